"""What all tests share: chance that can be repeated, reviewed texts, and where things lie."""

import os
import sys
from collections.abc import Callable
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path
from types import ModuleType

import pytest
from hypothesis import HealthCheck, settings

REPOSITORY = Path(__file__).resolve().parents[1]
GOLDEN = Path(__file__).parent / "golden"
PUBLISHED = REPOSITORY.parent / "shared" / "published"
# Several workers share few cores: threads of linear algebra would only wait for one another. They
# ask before numpy is loaded, in the workers and in every program that a test starts.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
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
