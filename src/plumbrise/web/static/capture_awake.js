// The screen stays on while readings are taken, where the browser lets a page ask for it.

/** Ask for it; `tell` hears "awake", or "dark" where nothing is promised. */
export async function keepAwake(tell) {
  if (await asked()) {
    tell("awake");
    document.addEventListener("visibilitychange", () => {
      if (document.visibilityState === "visible") asked();
    });
    return;
  }
  tell("dark");
  film();
}

async function asked() {
  try {
    await navigator.wakeLock.request("screen");
    return true;
  } catch {
    return false; // a plain address in the network, or the battery is low
  }
}

/** Browsers leave the screen on while a film plays: a still, silent one, drawn here. */
function film() {
  const canvas = document.createElement("canvas");
  canvas.width = canvas.height = 2;
  const pen = canvas.getContext("2d");
  if (!pen || !canvas.captureStream) return;
  const video = document.createElement("video");
  video.muted = true;
  video.playsInline = true;
  video.className = "awake-film";
  video.setAttribute("aria-hidden", "true");
  video.srcObject = canvas.captureStream(1);
  document.body.append(video);
  setInterval(() => {
    if (document.visibilityState !== "visible") return;
    pen.fillStyle = pen.fillStyle === "#000000" ? "#010101" : "#000000";
    pen.fillRect(0, 0, 2, 2);
    if (video.paused) video.play().catch(() => {});
  }, 1000);
}
