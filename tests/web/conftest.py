"""A bench of its own for every test, reached as a browser reaches it."""

import time
from datetime import UTC, datetime

import pytest
from starlette.testclient import TestClient

from plumbrise.store import Shelf
from plumbrise.web.app import app
from plumbrise.web.bench import Bench
from plumbrise.web.door import Door
from plumbrise.web.guard import Limits
from plumbrise.web.work import Work

HOST = "127.0.0.1:8417"
HERE = f"http://{HOST}"
COOKIE = "plumbrise-8417"
STEPS = "told,read\n0,0\n1,0.62\n2,1.58\n3,2.57\n4,3.58\n5,4.57\n"


@pytest.fixture(scope="session")
def work():
    """One working process for the whole run: it takes a while to warm up."""
    made = Work()
    yield made
    made.close()


@pytest.fixture
def shelf(tmp_path):
    with Shelf.open(tmp_path / "shelf.sqlite3", now=lambda: datetime.now(UTC)) as opened:
        yield opened


@pytest.fixture
def door():
    return Door(b"k" * 32, time.monotonic)


@pytest.fixture
def bench(shelf, door, work):
    return Bench(shelf, door, work, lambda: datetime.now(UTC), frozenset({HOST}), COOKIE)


@pytest.fixture
def limits():
    return Limits(body_bytes=200_000, body_within_s=0.4)


@pytest.fixture
def asgi(bench, limits):
    return app(bench, limits=limits)


@pytest.fixture
def stranger(asgi):
    """A browser that nobody let in."""
    return TestClient(
        asgi, base_url=HERE, headers={"origin": HERE}, follow_redirects=False,
        raise_server_exceptions=False,
    )  # fmt: skip


@pytest.fixture
def known(stranger, door):
    """A browser that came in by the code."""
    stranger.get(f"/in/{door.new_code()}")
    return stranger


@pytest.fixture
def pasted(known):
    """The address of a machine with one pasted table."""
    answer = known.post("/tables", data={"arrangement": "one-screw", "lead": "8", "table": STEPS})
    assert answer.status_code == 303, answer.text
    return answer.headers["location"]
