// Beside the open step, the list of steps shows it. On a phone the list is below, and stays there.

const open = document.querySelector(".steps-done tr.on");
if (open && matchMedia("(min-width: 1000px)").matches) {
  const side = open.closest(".fig-side");
  const top = open.getBoundingClientRect().top - side.getBoundingClientRect().top;
  if (top > side.clientHeight - 60) side.scrollTop = top - side.clientHeight / 3;
}
