// The live parts of every sheet. Without this script all pages work; they are then loaded anew.

const wait = (ms) => new Promise((done) => setTimeout(done, ms));

/** Show or take away the line that says the bench does not answer. */
function trouble(words) {
  const line = document.getElementById("trouble");
  if (!line) return;
  line.textContent = words;
  line.hidden = !words;
}

/** Put the page as the server has it now in the place of the one shown; the place stays. */
async function refresh() {
  const answer = await fetch(location.href, { headers: { accept: "text/html" } });
  const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
  for (const id of ["notes", "figure", "answers"]) {
    const old = document.getElementById(id);
    const made = fresh.getElementById(id);
    if (!old || !made) continue;
    const place = old.scrollTop;
    const focused = old.contains(document.activeElement) ? pathOf(document.activeElement, old) : null;
    old.replaceChildren(...made.childNodes);
    old.scrollTop = place;
    if (focused) old.querySelector(focused)?.focus({ preventScroll: true });
  }
}

function pathOf(element, within) {
  const href = element.getAttribute("href");
  const name = element.getAttribute("name");
  if (href) return `[href="${CSS.escape(href)}"]`;
  return name ? `[name="${CSS.escape(name)}"]` : null;
}

/** Somebody is in a field, or has left a page of text unsent: nothing is put in its place. */
const typing = () =>
  (document.activeElement?.matches("input, textarea, select") ?? false) ||
  [...document.querySelectorAll(".notes textarea")].some((field) => field.value !== field.defaultValue);

/** While something is being worked out: ask how far it is, show each better answer. */
async function follow() {
  for (;;) {
    const shown = document.querySelector("[data-run]");
    if (!shown) return;
    await wait(300);
    try {
      const answer = await fetch(shown.dataset.run);
      if (answer.ok) {
        const { state, step } = await answer.json();
        const news = state !== shown.dataset.state || String(step) !== shown.dataset.step;
        if (news && !typing()) await refresh();
        trouble("");
      }
    } catch {
      trouble(document.body.dataset.lost ?? "");
      await wait(1500);
    }
  }
}

/** Readings that come in elsewhere (another tab, a phone) are shown here too, unless somebody is
 * typing on this sheet. */
async function live() {
  const notes = document.querySelector("[data-live]");
  if (!notes) return;
  let mark = notes.dataset.mark;
  for (;;) {
    await wait(2500);
    if (document.hidden || typing() || document.querySelector("[data-run]")) continue;
    try {
      const answer = await fetch(notes.dataset.live);
      if (!answer.ok) continue;
      const now = (await answer.json()).mark;
      if (now !== mark) {
        mark = now;
        await refresh();
        follow();
      }
      trouble("");
    } catch {
      trouble(document.body.dataset.lost ?? "");
    }
  }
}

/** A file dropped on the table field is put into it as text. */
function takeDrops() {
  const field = document.querySelector("[data-drop]");
  const files = document.querySelector('input[type="file"]');
  if (!field || !files) return;
  for (const kind of ["dragover", "drop"]) {
    field.addEventListener(kind, (event) => {
      if (!event.dataTransfer.types.includes("Files")) return;
      event.preventDefault();
      if (kind === "drop") files.files = event.dataTransfer.files;
    });
  }
}

/** Arrow keys walk the load path while the drawing has the focus. */
function walkTheDrawing() {
  document.addEventListener("keydown", (event) => {
    const here = event.target.closest?.(".drawing a");
    if (!here) return;
    const all = [...here.closest("svg").querySelectorAll("a[data-part]")];
    const order = ["seat", "coupling", "screw", "nut", "bracket", "racking"];
    const rank = (link) => order.indexOf((link.dataset.links ?? "").split(" ")[0]);
    all.sort((one, other) => rank(one) - rank(other));
    const links = (here.dataset.links ?? "").split(" ");
    const at = all.findIndex((link) => links.includes(link.dataset.links));
    const to = {
      ArrowUp: at + 1,
      ArrowRight: at + 1,
      ArrowDown: at - 1,
      ArrowLeft: at - 1,
      Home: 0,
      End: all.length - 1,
    }[event.key];
    if (to === undefined || !all[to]) return;
    event.preventDefault();
    all[to].focus();
  });
}

takeDrops();
walkTheDrawing();
follow();
live();
