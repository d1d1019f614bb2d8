// The stop of the axis, on every sheet. A press is sent at once, and again until it is answered.
// While the axis moves this also tells the bench that a page looks on.

const SLOWLY_MS = 1000, QUICKLY_MS = 400, PATIENCE_MS = 1500, AGAIN_MS = 250, MOST = 40;
const bar = document.getElementById("stop-bar");
const button = bar.querySelector("button");
const says = document.getElementById("axis-says");
let does = "unknown";
let pressedAt = -1e9;

async function stop() {
  bar.classList.add("pressed");
  for (let i = 0; i < MOST; i++) {
    try {
      const answer = await fetch("/stop", {
        method: "POST",
        headers: { accept: "application/json" },
        priority: "high",
        keepalive: true,
        signal: AbortSignal.timeout(PATIENCE_MS),
      });
      if (answer.ok) {
        const told = await answer.json();
        const said = told.says.includes(told.bound) ? told.says : `${told.says} ${told.bound}`;
        show({ ...told, says: said, bound: "" });
        return;
      }
    } catch {
      // said below, and sent again
    }
    says.textContent = bar.dataset.not;
    bar.classList.add("lost");
    await new Promise((done) => setTimeout(done, AGAIN_MS));
  }
}

function show(told) {
  bar.classList.remove("pressed", "lost");
  document.dispatchEvent(new CustomEvent("axis", { detail: told }));
}

document.addEventListener("axis", ({ detail }) => {
  does = detail.does;
  bar.classList.toggle("moves", does === "moves");
  const moving = does === "moves" && detail.bound ? ` ${detail.bound}` : "";
  const text = `${detail.says}${moving}`;
  if (says.textContent !== text) says.textContent = text;
});

let looks = 0;

async function lookOn() {
  clearTimeout(looks);
  if (document.visibilityState === "visible") {
    try {
      const answer = await fetch("/axis.json", { signal: AbortSignal.timeout(PATIENCE_MS) });
      if (answer.ok) show(await answer.json());
    } catch {
      does = "unknown";
      says.textContent = bar.dataset.not;
      bar.classList.add("lost");
    }
  }
  clearTimeout(looks); // another look may have begun meanwhile
  looks = setTimeout(lookOn, does === "moves" ? QUICKLY_MS : SLOWLY_MS);
}

bar.addEventListener("submit", (event) => event.preventDefault());
button.addEventListener("pointerdown", () => {
  pressedAt = performance.now();
  stop();
});
button.addEventListener("click", () => {
  if (performance.now() - pressedAt > 700) stop(); // by a key, or by what presses for a person
});
document.addEventListener(
  "keydown",
  (event) => {
    if (event.key !== "Escape" || !["moves", "unknown"].includes(does)) return;
    event.preventDefault();
    event.stopPropagation();
    stop();
  },
  true,
);
document.addEventListener("visibilitychange", lookOn); // a press that comes now needs news of now
lookOn();
