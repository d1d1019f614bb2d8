"""A page in a real browser, as a laptop and as a phone shows it.

PLUMBRISE_BROWSER says what to do where there is no Chromium:
    (not set)   as root on a Debian system install Debian's; else pass the tests over, loudly
    none        never install anything, pass the tests over, loudly
    required    install if we may; if there is still none, the tests fail
"""

import os
import re
import shutil
import socket
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from threading import Condition, Thread

import pytest

SIZES = {"laptop": (1366, 850), "phone": (390, 844)}
NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
WISH = os.environ.get("PLUMBRISE_BROWSER", "")
AXE = Path(__file__).parent / "vendor" / "axe-core" / "axe.min.js"


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if "chromium" in getattr(item, "fixturenames", ()):
            item.add_marker("browser")


def _found() -> str | None:
    return next((path for path in map(shutil.which, NAMES) if path), None)


def _may_install() -> bool:
    root = hasattr(os, "geteuid") and os.geteuid() == 0
    return WISH != "none" and root and shutil.which("apt-get") is not None


def _install() -> str:
    """Install Debian's Chromium; returns what went wrong, or nothing."""
    quiet = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    for command in (
        ["apt-get", "update", "-qq"],
        ["apt-get", "install", "-qq", "-y", "--no-install-recommends", "chromium"],
    ):
        done = subprocess.run(command, env=quiet, capture_output=True, text=True, check=False)
    return "" if done.returncode == 0 else done.stderr.strip().splitlines()[-1]


def _found_or_installed() -> tuple[str | None, str]:
    import fcntl  # only where there is apt-get

    with (Path(tempfile.gettempdir()) / "plumbrise-chromium.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)  # two test workers, one installation
        problem = "" if _found() else _install()
        return _found(), problem


@pytest.fixture(scope="session")
def chromium() -> str:
    """Where Chromium is; without one the test is passed over, or fails if one is required."""
    path, why = _found(), ""
    if path is None and _may_install():
        path, why = _found_or_installed()
    if path is not None:
        return path
    reason = f"no Chromium on the search path{f', and apt-get said: {why}' if why else ''}"
    if WISH == "required":
        pytest.fail(f"{reason} (PLUMBRISE_BROWSER=required)")
    pytest.skip(f"{reason}. Install Debian's package chromium, or any Chromium, and run again.")


@pytest.fixture(scope="module")
def browser(chromium: str) -> Iterator:
    """One for each file: its event loop runs on in this thread, and other files need their own."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=chromium, args=list(FLAGS))
        yield opened
        opened.close()


@pytest.fixture(params=SIZES)
def size(request: pytest.FixtureRequest) -> tuple[int, int]:
    return SIZES[request.param]


@pytest.fixture
def page(browser, size: tuple[int, int]) -> Iterator:
    """A page that may ask nothing of a network and has nothing to complain about."""
    yield from _page(browser, *size)


@pytest.fixture
def laptop(browser) -> Iterator:
    """The same, at laptop size only."""
    yield from _page(browser, *SIZES["laptop"])


@pytest.fixture
def phone(browser) -> Iterator:
    """The same, at phone size only."""
    yield from _page(browser, *SIZES["phone"])


@pytest.fixture(scope="session")
def breaches() -> Callable[..., list[dict]]:
    """What the accessibility engine finds wrong with a page as it stands. Where both schemes are
    asked for the page is looked at in light, then only its contrasts in dark: nothing else of it
    depends on the scheme."""
    engine = AXE.read_text(encoding="utf-8")
    asked = """rules => axe.run(document, {...rules, resultTypes: ['violations']}).then(
        told => told.violations.map(one => ({
            rule: one.id, where: one.nodes.slice(0, 3).map(node => node.target)})))"""

    def found(page, *, both_schemes: bool = False) -> list[dict]:
        if both_schemes:
            page.emulate_media(color_scheme="light")
        page.evaluate(engine)
        told = page.evaluate(asked, {})
        if both_schemes:
            page.emulate_media(color_scheme="dark")
            told += page.evaluate(asked, {"runOnly": ["color-contrast"]})
        return told

    return found


@pytest.fixture(scope="session")
def over_sideways() -> Callable[..., list[str]]:
    """Which of some addresses of a bench scroll sideways in a window so many pixels wide."""

    def found(page, bench, paths: tuple[str, ...], width: int) -> list[str]:
        page.set_viewport_size({"width": width, "height": 640})
        over = []
        for path in paths:
            page.goto(bench.address + path)
            if page.evaluate("document.documentElement.scrollWidth > window.innerWidth"):
                over.append(path)
        return over

    return found


def _heard(message, complaints: list[str]) -> None:
    """A complaint of the browser; that a field was left unfocused for another one is none."""
    if not message.text.startswith("Autofocus processing was blocked"):
        complaints.append(f"{message.type}: {message.text}")


def _page(browser, width: int, height: int) -> Iterator:
    context = browser.new_context(viewport={"width": width, "height": height}, locale="en-GB")
    outside: list[str] = []
    complaints: list[str] = []

    def answer(route) -> None:
        address = route.request.url
        if address.startswith(("file:", "data:", "blob:", "http://127.0.0.1:")):
            route.continue_()
        else:
            outside.append(address)
            route.abort()

    context.route("**/*", answer)
    opened = context.new_page()
    opened.on("console", lambda message: _heard(message, complaints))
    opened.on("pageerror", lambda problem: complaints.append(str(problem)))
    opened.complaints = complaints  # a test that expects one takes it out
    yield opened
    context.close()
    assert outside == [], "the page asked for something from elsewhere"
    assert complaints == [], "the page complained at the console"


def free_port() -> int:
    """A port that nobody has at this moment."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


class RunningBench:
    """The bench as a process of its own, on a port that was free, and the codes that it prints.
    `python` are the words that run the program, where not as it is installed."""

    def __init__(
        self, shelf: Path, *options: str, python: Sequence[str] = ("-m", "plumbrise")
    ) -> None:
        self.shelf = shelf
        command = [sys.executable, *python, "bench", "--no-browser"]
        if "--port" not in options:  # the usual one may be taken by another bench meanwhile
            options = ("--port", str(free_port()), *options)
        self.process = subprocess.Popen(
            [*command, "--shelf", str(shelf), *options],
            stdout=subprocess.PIPE,
            text=True,
            encoding="utf-8",
            env={**os.environ, "PYTHONUNBUFFERED": "1"},
        )
        self._ways: list[str] = []
        self._changed = Condition()
        Thread(target=self._listen, daemon=True).start()
        self.address = self.way_in().split("/in/")[0]
        self.port = int(self.address.rpartition(":")[2])

    def way_in(self) -> str:
        """An address that lets one browser in."""
        with self._changed:
            self._changed.wait_for(lambda: bool(self._ways), timeout=30)
            return self._ways[-1]

    def enter(self, page) -> None:
        """Let this page's browser in."""
        with self._changed:
            way = self.way_in()
            self._ways.clear()
        page.goto(way)

    def _listen(self) -> None:
        for line in self.process.stdout:
            found = re.search(r"http://\S+/in/\w+", line)
            if found:
                with self._changed:
                    self._ways.append(found[0])
                    self._changed.notify_all()

    def kill(self) -> None:
        """End it as a power cut would."""
        self.process.kill()
        self.process.wait()


@pytest.fixture(scope="session")
def bench(chromium, tmp_path_factory) -> Iterator[RunningBench]:
    """One bench for the whole run; each test's browser comes in by a code of its own."""
    running = RunningBench(tmp_path_factory.mktemp("bench") / "shelf.sqlite3")
    yield running
    running.kill()


@pytest.fixture(scope="session")
def start_bench(chromium) -> Iterator:
    """Start a bench on a shelf, with options; for tests that end it themselves."""
    started: list[RunningBench] = []

    def start(shelf: Path, *options: str, **how: Sequence[str]) -> RunningBench:
        started.append(RunningBench(shelf, *options, **how))
        return started[-1]

    yield start
    for one in started:
        one.kill()
