"""Every page and state of the bench as a picture, in both sizes and both schemes.

    .venv/bin/python scripts/screenshots.py FOLDER [NAME ...]
    .venv/bin/python scripts/screenshots.py --readme        the two pictures of the README, anew
    .venv/bin/python scripts/screenshots.py --help          the names

Starts a bench of its own on a shelf of its own, fills it with the invented example and a pasted
table, then one for each way through the measure sheet with devices plugged in, and needs a
Chromium on the search path. With names only those pages are taken, with `devices` those of devices. The
README's pictures are made small with Pillow.
"""

from __future__ import annotations

import argparse
import re
import shutil
import subprocess
import sys
import tempfile
from datetime import UTC, datetime
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright
from screenshots_devices import device_states

from plumbrise.machine import blank
from plumbrise.store import Shelf

SIZES = {"laptop": (1366, 850), "phone": (390, 844)}
SCHEMES = ("light", "dark")
GOLDEN = Path(__file__).resolve().parents[1] / "tests" / "golden" / "packs" / "format-1.zip"
AFTER = Path(__file__).resolve().parents[1] / "src" / "plumbrise" / "demo" / "session"
STEPS = "told\tread\n0\t0\n1\t0.62\n2\t1.58\n3\t2.57\n4\t3.58\n5\t4.57\n"
PAGES = {
    "start": "/",
    "shelf": "/shelf",
    "code": "/in",
    "answer": "{example}",
    "first-answer": "{pasted}",
    "link": "{example}/link/seat",
    "racking": "{example}/link/racking",
    "shared-link": "{pasted}/link/seat",
    "station": "{example}/station/gantry-left",
    "station-not-read": "{pasted}/station/screw",
    "cause": "{example}/cause/motor-seat",
    "machine": "{example}/machine",
    "part": "{example}/machine/screw",
    "part-of-little": "{pasted}/machine/guide",
    "plan": "{example}/plan?minutes=40&symptom=bands",
    "plan-of-little-time": "{pasted}/plan?minutes=5",
    "set-the-gauge": "{taking}",
    "typed": "{taking}",
    "asked": "{taking}",
    "mending": "{taking}",
    "noting": "{taking}",
    "not-answering": "{taking}",
    "redesign-working": "{fresh}/redesign",
    "redesign-stopped": "{fresh}/redesign",
    "steps": "{steps}",
    "readings": "{example}/readings",
    "set-up": "{example}/readings/2",
    "mend": "{example}/readings/2?mend=3",
    "foresee": "{example}/foresee",
    "foresee-asked": "{example}/foresee?layer=0.16&lift=every&offset=0.1&spacing=0.8",
    "foresee-wrong": "{example}/foresee?layer=x&place=4999",
    "foresee-of-little": "{pasted}/foresee",
    "foresee-unread": "{blank}/foresee?spacing=1.6",
    "foresee-after": "{example}/foresee?with=thrust-bearing&with=stiff-bracket&spiral=yes",
    "bands": "/bands?spacing=1.6",
    "foresee-part": "{example}/foresee/part?left-1=0.2&left-3=0.5&right-5=x&right-10=1.3",
    "redesign": "{example}/redesign",
    "redesign-out-of-reach": "{example}/redesign?asked=yes&aim=lost-motion&lost-motion=0.02&budget=20",
    "redesign-wrong": "{example}/redesign?asked=yes&aim=bands&bands=x",
    "redesign-of-little": "{pasted}/redesign",
    "redesign-unread": "{blank}/redesign",
    "build": "{example}/build",
    "build-step": "{example}/build?step=block-seated-right",
    "build-wiring": "{example}/build?step=wiring-go",
    "build-back": "{example}/build?step=wiring-go&back=yes",
    "build-unread": "{blank}/build",
    "wiring": "/wiring?example=yes",
    "wiring-begun": "{example}/wiring?begin=yes",
    "wiring-start": "/wiring",
    "wiring-of-machine": "{blank}/wiring",
    "prove": "{example}/prove",
    "prove-of-pack": "{packed}/prove",
    "prove-waits": "{pasted}/prove?before=none",
    "prove-unread": "{blank}/prove",
    "sizes": "/size",
    "size": "/size/beam?span_mm=340&case=cantilever&force_n=10&section=tube",
    "size-empty": "/size/screw",
    "size-wrong": "/size/screw?lead_mm=8+kg&mass_kg=99999",
    "size-list": "/size/stack-up?link=slot:20:0.1:0.1&link=block:19.8:0.05:0.05:-1",
    "size-of-machine": "{sized}",
    "report": "{example}/report",
    "pack": "{packed}/pack",
    "blank-machine": "{blank}",
    "blank-plan": "{blank}/plan",
    "not-there": "/m/99",
}
DEVICES = "devices"
"""The name of all states with devices plugged in."""
TYPED = {
    "typed": ("Enter", "6", "4"),
    "asked": ("Enter", "0", ".", "0", "Enter", "9", ".", "5", "Enter"),
    "mending": ("Escape", "ArrowUp"),
    "noting": ("n",),
    "not-answering": ("Enter", "x"),
    "steps": (
        "Enter",
        *(key for read in (0, 57, 58, 56, 58) for key in (*str(read), "Enter")),
        *"57",
    ),
}
"""Keys that lead to a state of a page."""
WORKING = ("redesign-working", "redesign-stopped")
"""Pages that are looked at while something is being worked out."""


README = {"answer-laptop-light": "sheet", "steps-phone-light": "capture"}
"""Picture -> its name in the README's folder."""
PICTURES = Path(__file__).resolve().parents[1] / "docs" / "pictures"
WORKSHEET = "run,test,station,seq,target_mm,reading_mm,approach\n" + "".join(
    f"left,coarse-steps,gantry-left,{i},{i},,{'up' if i else 'down'}\n" for i in range(9)
)


def main() -> None:
    known = (*PAGES, DEVICES)
    asked = argparse.ArgumentParser(
        description="The bench's pages as pictures, in both sizes and both schemes.",
        epilog=f"Names: {', '.join(known)}; or one picture, as start-phone-dark.",
    )
    asked.add_argument("folder", type=Path, nargs="?", help="where the pictures go")
    asked.add_argument("names", nargs="*", metavar="NAME", help="only these")
    asked.add_argument("--readme", action="store_true", help="the README's pictures, anew")
    given = asked.parse_args()
    ends = tuple(f"-{size}-{scheme}" for size in SIZES for scheme in SCHEMES)
    for name in given.names:
        plain = next((name.removesuffix(end) for end in ends if name.endswith(end)), name)
        if plain not in known:
            asked.error(f"{name} is no page: see --help for the names")
    if given.readme:
        with tempfile.TemporaryDirectory() as folder:
            take(Path(folder), list(README))
            for name, called in README.items():
                smaller(Path(folder) / f"{name}.png", PICTURES / f"{called}.png")
    elif given.folder is None:
        asked.error("a folder for the pictures is wanted, or --readme")
    else:
        take(given.folder, given.names)


def smaller(taken: Path, to: Path) -> None:
    """The picture with few colours: the page has not many."""
    from PIL import Image

    drawn = Image.open(taken).convert("RGB")
    drawn = drawn.crop((0, 0, drawn.width, min(drawn.height, 850)))
    drawn.quantize(256, method=Image.Quantize.MAXCOVERAGE, dither=Image.Dither.NONE).save(
        to, optimize=True
    )
    print(f"{to.relative_to(PICTURES.parents[1])}: {to.stat().st_size} bytes")


def take(to: Path, names: list[str]) -> None:
    """The pictures of a bench with a shelf of its own."""
    to.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as place:
        with Shelf.open(f"{place}/shelf.sqlite3", now=lambda: datetime.now(UTC)) as shelf:
            machine = shelf.add_machine(blank("one-screw"), "Shed printer")
            plans = {
                (size, scheme): {
                    name: f"/m/{machine}/measure/{shelf.add_plan(machine, WORKSHEET)}"
                    for name in ("taking", "steps")
                }
                for size in SIZES
                for scheme in SCHEMES
            }
        command = [sys.executable, "-m", "plumbrise", "bench", "--no-browser"]
        running = subprocess.Popen(
            [*command, "--shelf", f"{place}/shelf.sqlite3"], stdout=subprocess.PIPE, text=True
        )
        try:
            way = ""
            while not (found := re.search(r"http://\S+/in/\w+", way)):
                way = running.stdout.readline()
            with sync_playwright() as playwright:
                browser = playwright.chromium.launch(
                    executable_path=shutil.which("chromium"), args=["--no-sandbox", "--disable-gpu"]
                )
                taken(browser, found[0], to, names, plans)
                browser.close()
        finally:
            running.terminate()
            running.wait()


def taken(
    browser: Browser,
    way_in: str,
    to: Path,
    names: list[str],
    plans: dict[tuple[str, str], dict[str, str]],
) -> None:
    """Let a browser in, fill the shelf, take the pictures."""
    first = browser.new_context()
    page = first.new_page()
    page.goto(way_in)
    base = way_in.split("/in/")[0]
    places = filled(page, base)
    known = first.storage_state()
    for size, (width, height) in SIZES.items():
        for scheme in SCHEMES:
            context = browser.new_context(
                viewport={"width": width, "height": height},
                color_scheme=scheme,
                storage_state=known,
            )
            page = context.new_page()
            for name, address in PAGES.items():
                picture = f"{name}-{size}-{scheme}"
                if names and name not in names and picture not in names:
                    continue
                fresh = pasted(page, base) if "{fresh}" in address else ""
                where = {**places, "fresh": fresh, **plans[size, scheme]}
                page.goto(base + address.format(**where))
                settle(page, name)
                shot(page, to, picture, size)
            context.close()
            if not names or DEVICES in names:
                device_states(
                    browser,
                    {"width": width, "height": height},
                    scheme,
                    lambda page, name: shot(page, to, f"{name}-{size}-{scheme}", size),  # noqa: B023
                )


def settle(page: Page, name: str) -> None:
    """Wait until a page shows all, and do what leads to its state."""
    if name not in WORKING:
        page.locator("[data-run]").wait_for(state="detached", timeout=120_000)
    if name in TYPED:
        page.wait_for_timeout(600)  # its script has to be there
    if name == "not-answering":
        page.context.set_offline(True)
    if name == "redesign-stopped":
        page.get_by_role("button", name="Stop", exact=True).click()
    for keys in TYPED.get(name, ()):
        page.keyboard.press(keys)
    if name == "not-answering":
        page.locator("#trouble").wait_for()


def shot(page: Page, to: Path, picture: str, size: str) -> None:
    """One picture: of a laptop what is in sight, of a phone the whole length."""
    page.evaluate("document.fonts.ready")
    page.screenshot(path=to / f"{picture}.png", full_page=size == "phone")
    page.context.set_offline(False)


def filled(page: Page, base: str) -> dict[str, str]:
    """The addresses of the example, of a pasted table, and of a machine nobody has read."""
    page.get_by_role("button", name="Open the invented example").click()
    places = {"example": whole(page)}
    page.goto(f"{places['example']}/redesign")
    page.get_by_role("button", name="Make the work order").click(timeout=120_000)
    page.wait_for_url("**/build")
    places["pasted"] = base + pasted(page, base)
    page.goto(base)
    page.locator("#describe").get_by_text("Two screws tied").click()
    page.get_by_role("button", name="Draw it and plan").click()
    page.wait_for_url("**/plan*")
    places["blank"] = page.url.split("/plan")[0]
    page.goto(base)
    page.get_by_text("I have a pack").click()
    page.get_by_label("Its file, ending in .zip").set_input_files(GOLDEN)
    page.get_by_role("button", name="Open this pack").click()
    page.wait_for_url("**/pack")
    places["packed"] = page.url.removesuffix("/pack")
    page.goto(f"{places['example']}/prove")
    page.locator("#give input[name=file]").set_input_files(AFTER / "after-readings.csv")
    page.locator("#give input[name=machine]").set_input_files(AFTER / "after-machine.toml")
    page.get_by_role("button", name="Keep and compare").click()
    page.get_by_role("heading", name="Every figure that was judged").wait_for()
    number = places["example"].rpartition("/")[2]
    places["sized"] = f"{base}/size/belt-loop?machine={number}"
    return {name: address.removeprefix(base) for name, address in places.items()}


def pasted(page: Page, base: str) -> str:
    """The address of a machine of which one table was pasted, explained."""
    page.goto(base)
    page.get_by_label("Paste a table").fill(STEPS)
    page.locator("#paste").get_by_label("Lead").fill("8")
    page.get_by_role("button", name="Read this table").click()
    return whole(page).removeprefix(base)


def whole(page: Page) -> str:
    """Wait until a machine is wholly explained; its address."""
    page.wait_for_url("**/m/*")
    page.get_by_role("heading", level=1).first.wait_for()
    page.locator("[data-run]").wait_for(state="detached", timeout=60_000)
    return page.url


if __name__ == "__main__":
    main()
