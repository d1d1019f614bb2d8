"""What all tests share: chance that can be repeated, reviewed texts, and where things lie."""

import os
import pickle
import shutil
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

from plumbrise.cli.compiled_cache import use_compiled_cache

REPOSITORY = Path(__file__).resolve().parents[1]
GOLDEN = Path(__file__).parent / "golden"
PUBLISHED = REPOSITORY.parent / "shared" / "published"
# Several workers share few cores: threads of linear algebra would only wait for one another. They
# ask before numpy is loaded, in the workers and in every program that a test starts.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
use_compiled_cache()  # one folder for them all too: what one has compiled, no other compiles again
KEPT = "PLUMBRISE_TESTS_KEPT"
"""Where the run says to its workers in which folder they keep what they share."""
IN_CI = os.environ.get("CI", "").lower() not in ("", "0", "false")

settings.register_profile(
    "plumbrise",
    deadline=None,  # two busy cores make any deadline a coin toss
    max_examples=40,
    derandomize=IN_CI,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("plumbrise")


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--accept-golden",
        action="store_true",
        help="Write the reviewed texts anew. The difference that git shows is the review.",
    )


def pytest_configure(config: pytest.Config) -> None:
    if not hasattr(config, "workerinput"):
        os.environ[KEPT] = tempfile.mkdtemp(prefix="plumbrise-tests-")


def pytest_unconfigure(config: pytest.Config) -> None:
    if not hasattr(config, "workerinput"):
        shutil.rmtree(os.environ.pop(KEPT), ignore_errors=True)


@contextmanager
def _alone(lock: Path) -> Iterator[None]:
    """One worker at a time; where files cannot be locked, all at once."""
    try:
        import fcntl
    except ImportError:
        yield
        return
    with lock.open("w") as held:
        fcntl.flock(held, fcntl.LOCK_EX)
        yield


@pytest.fixture(scope="session")
def kept() -> Callable[[str, Callable[[], Any]], Any]:
    """What is dear to make, made once in a run: the worker that asks for a name first makes it,
    those that ask later read it."""
    folder = Path(os.environ[KEPT])

    def once(name: str, make: Callable[[], Any]) -> Any:
        place = folder / name
        with _alone(folder / f"{name}.lock"):
            if not place.exists():
                part = place.with_suffix(".part")
                part.write_bytes(pickle.dumps(make()))
                part.rename(place)
            return pickle.loads(place.read_bytes())

    return once


@pytest.fixture(scope="session")
def demo(kept) -> Path:
    """The folder that `plumbrise demo` writes, run in one where an earlier demo was stopped."""

    def made() -> Path:
        from click.testing import CliRunner

        from plumbrise.cli import main
        from plumbrise.cli.demo import MARK

        folder = Path(os.environ[KEPT]) / "bramble"
        folder.mkdir()
        (folder / MARK).write_text("invented", encoding="utf-8")
        (folder / "report.html").write_text("half", encoding="utf-8")
        done = CliRunner().invoke(main, ["demo", str(folder)], catch_exceptions=False)
        assert done.exit_code == 0, done.output
        assert "report.html" in done.stdout
        return folder

    return kept("demo", made)


@pytest.fixture
def repository() -> Path:
    """The folder that holds README.md."""
    return REPOSITORY


@pytest.fixture
def published() -> Path:
    """The folder of data that others published; a test that needs it is passed over without."""
    if not PUBLISHED.is_dir():
        pytest.skip("published data are not beside this checkout (../shared/published)")
    return PUBLISHED


@pytest.fixture(scope="session")
def stand_ins() -> ModuleType:
    """Far ends of serial lines, for all rooms; a test is passed over where there is no pty."""
    if os.name == "nt":
        pytest.skip("stand-ins talk over pseudo-terminals, which this system has not")
    name = "plumbrise_stand_ins"
    if name not in sys.modules:
        spec = spec_from_file_location(name, Path(__file__).parent / "hardware" / "stand_ins.py")
        sys.modules[name] = module_from_spec(spec)
        spec.loader.exec_module(sys.modules[name])
    return sys.modules[name]


@pytest.fixture
def golden(request: pytest.FixtureRequest) -> Callable[[str, str], None]:
    """Compare a text with the one that a person reviewed: golden("worksheet.txt", made)."""

    def compare(name: str, made: str) -> None:
        reviewed = GOLDEN / name
        if request.config.getoption("--accept-golden"):
            reviewed.parent.mkdir(parents=True, exist_ok=True)
            reviewed.write_text(made, encoding="utf-8", newline="\n")
        if not reviewed.exists():
            pytest.fail(f"tests/golden/{name} is not there: make it with --accept-golden, read it")
        assert made == reviewed.read_text(encoding="utf-8")

    return compare


def pytest_terminal_summary(terminalreporter) -> None:
    """Say loudly which tests no browser was there for, whatever the verbosity."""
    passed_over = [
        report
        for report in terminalreporter.stats.get("skipped", [])
        if "browser" in getattr(report, "keywords", {})
    ]
    if not passed_over:
        return
    terminalreporter.section("BROWSER TESTS DID NOT RUN", sep="!", red=True, bold=True)
    reason = passed_over[0].longrepr
    terminalreporter.line(reason[2] if isinstance(reason, tuple) else str(reason))
    for report in passed_over:
        terminalreporter.line(f"  did not run: {report.nodeid}")
