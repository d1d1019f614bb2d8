// Forms that are answered in place: every move of a slider or field asks the server for the same
// sheet again, and what it says anew is put in the place of the old. Without this script the same
// forms are sent with their button.

const LATE_MS = 300; // an answer that takes longer is seen to be on its way
const PAUSE_MS = 250; // after a key: more of them may follow

let under = false;
let next = null;
let timer = 0;

/** The form as an address; what is empty is left out. */
function addressOf(form) {
  const said = [...new FormData(form)].filter(([, value]) => String(value).trim());
  const query = new URLSearchParams(said).toString();
  return form.getAttribute("action") + (query ? `?${query}` : "");
}

/** Ask for this address; of several asked meanwhile only the last is. */
async function ask(address) {
  if (under) {
    next = address;
    return;
  }
  under = true;
  const late = setTimeout(() => mark(true), LATE_MS);
  try {
    const answer = await fetch(address, { headers: { accept: "text/html" } });
    if (answer.ok || answer.status === 422) {
      put(new DOMParser().parseFromString(await answer.text(), "text/html"));
      if (answer.ok) history.replaceState(null, "", answer.url);
    }
    trouble("");
  } catch {
    trouble(document.body.dataset.lost ?? "");
  }
  clearTimeout(late);
  mark(false);
  under = false;
  if (next) {
    const address = next;
    next = null;
    ask(address);
  }
}

function mark(waits) {
  for (const part of document.querySelectorAll("[data-swap]")) part.classList.toggle("waits", waits);
}

function trouble(words) {
  const line = document.getElementById("trouble");
  if (!line) return;
  line.textContent = words;
  line.hidden = !words;
}

/** What the sheet says now in the place of what it said; what was opened stays open. */
function put(fresh) {
  for (const old of document.querySelectorAll("[data-swap], #answers")) {
    const made = old.id && fresh.getElementById(old.id);
    if (!made) continue;
    for (const opened of old.querySelectorAll("details[open]")) {
      const same = opened.id && made.querySelector(`#${CSS.escape(opened.id)}`);
      if (same) same.open = true;
    }
    const here = old.contains(document.activeElement) ? document.activeElement : null;
    const back = here && (here.closest("details")?.id ?? here.id);
    old.replaceChildren(...made.childNodes);
    if (back) document.querySelector(`#${CSS.escape(back)} > summary`)?.focus({ preventScroll: true });
  }
  for (const field of document.querySelectorAll("form[data-asks] [name]")) {
    const same = fresh.querySelector(`form[data-asks] [name="${CSS.escape(field.name)}"]`);
    for (const name of ["aria-invalid", "aria-describedby"]) {
      if (same?.hasAttribute(name)) field.setAttribute(name, same.getAttribute(name));
      else field.removeAttribute(name);
    }
  }
  const told = document.getElementById("told");
  const said = told && document.getElementById(told.dataset.from);
  if (said) told.textContent = said.textContent.replace(/\s+/g, " ").trim();
}

/** A slider and its field say the same. */
function together(moved, form) {
  if (moved.dataset.of) form.elements[moved.dataset.of].value = moved.value;
  const slider = form.querySelector(`[data-of="${CSS.escape(moved.name || "-")}"]`);
  const value = Number.parseFloat(moved.value.replace(",", "."));
  if (slider && Number.isFinite(value)) slider.value = String(value);
}

document.addEventListener("input", (event) => {
  const form = event.target.closest?.("form[data-asks]");
  if (!form) return;
  together(event.target, form);
  clearTimeout(timer);
  const typed = event.target.matches('input:not([type]), input[type="text"]');
  if (typed) timer = setTimeout(() => ask(addressOf(form)), PAUSE_MS);
  else ask(addressOf(form));
});
