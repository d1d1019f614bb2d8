"""The server on a socket of its own."""

import asyncio
import os
import re
import signal
import socket
import subprocess
import sys
import threading
import time

import pytest

from plumbrise.web.guard import STOP
from plumbrise.web.serving import (
    LOOPBACK,
    NotTooMany,
    PatientButNotForever,
    bound,
    hosts_of,
    server_of,
)


class Impatient(PatientButNotForever):
    head_within_s = 0.3


@pytest.fixture
def served(asgi, bench):
    """The bench on a free port of this computer."""
    sock = bound(LOOPBACK, None)
    bench.hosts = hosts_of([sock])
    server = server_of(asgi, Impatient)
    thread = threading.Thread(target=lambda: server.run(sockets=[sock]), daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.01)
    yield sock.getsockname()
    server.should_exit = True
    thread.join(10)
    sock.close()


def _answer(address, sent: bytes, wait_s: float = 5.0) -> bytes:
    with socket.create_connection(address, timeout=wait_s) as to:
        to.sendall(sent)
        got = b""
        while part := to.recv(65_536):
            got += part
        return got


def test_a_head_sent_letter_by_letter_is_cut_off(served):
    began = time.monotonic()
    assert _answer(served, b"GET / HT") == b""
    assert time.monotonic() - began < 3


@pytest.mark.parametrize(
    "sent",
    [
        b"\x16\x03\x01\x02\x00\x01\x00",
        b"GET / HTTP/1.1\r\nX: " + b"a" * 60_000,
        b"GET / HTTP/1.1\r\nHost: a\r\nHost: b\r\nConnection: close\r\n\r\n",
        b"GET / HTTP/1.1\r\nConnection: close\r\n\r\n",
        b"POST /tables HTTP/1.1\r\nHost: x\r\nContent-Length: 5\r\nContent-Length: 6\r\n\r\n12345",
        b"POST / HTTP/1.1\r\nHost: x\r\nTransfer-Encoding: chunked\r\nContent-Length: 3\r\n\r\nzz\r\n",
        b"GET http://evil.example/ HTTP/1.1\r\nHost: evil.example\r\nConnection: close\r\n\r\n",
    ],
    ids=["no http", "a head without end", "two names", "no name", "two lengths", "chunks and length",
         "as if we were a proxy"],
)  # fmt: skip
def test_what_is_no_proper_request_is_refused(sent, served):
    answer = _answer(served, sent)
    assert answer == b"" or re.match(rb"HTTP/1\.1 4\d\d ", answer)


def test_however_many_are_served_the_stop_of_the_axis_comes_through():
    served, let_go = [], asyncio.Event()

    async def waits(scope, _receive, _send):
        served.append(scope["path"])
        if scope["path"] != STOP:
            await let_go.wait()

    async def crowd():
        app, answers = NotTooMany(waits, most=3), []

        async def send(message):
            answers.append(message.get("status"))

        asking = [
            asyncio.create_task(app({"type": "http", "path": f"/{i}"}, None, send))
            for i in range(5)
        ]
        await asyncio.sleep(0)
        await app({"type": "http", "path": STOP}, None, send)
        let_go.set()
        await asyncio.gather(*asking)
        return answers

    assert [status for status in asyncio.run(crowd()) if status] == [503, 503]
    assert served == ["/0", "/1", "/2", STOP]


def test_it_listens_on_this_computer_alone(served):
    others = [
        info[4][0]
        for info in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)
        if not info[4][0].startswith("127.")
    ]
    if not others:
        pytest.skip("this computer has no address in a network")
    with pytest.raises(OSError):
        socket.create_connection((others[0], served[1]), timeout=1).close()


def test_the_command_opens_a_bench_and_closes_it_on_request(tmp_path):
    command = [sys.executable, "-m", "plumbrise", "bench", "--no-browser"]
    command += ["--shelf", str(tmp_path / "shelf.sqlite3")]
    running = subprocess.Popen(
        command, stdout=subprocess.PIPE, text=True, encoding="utf-8",
        env={**os.environ, "PYTHONUNBUFFERED": "1"},
    )  # fmt: skip
    try:
        line = ""
        while "http" not in line:
            line = running.stdout.readline()
            assert line or running.poll() is None
        host, port = re.search(r"http://([\d.]+):(\d+)/in/", line).groups()
        assert host == "127.0.0.1"
        assert b" 401 " in _answer(
            (host, int(port)),
            f"GET /shelf HTTP/1.1\r\nHost: {host}:{port}\r\nConnection: close\r\n\r\n".encode(),
        )
        running.send_signal(signal.SIGINT)
        assert "The bench is closed" in running.communicate(timeout=15)[0]
    finally:
        running.kill()
        running.communicate()
