"""What others may try on a page that anyone's browser can reach, and what each of them gets."""

import json
from collections.abc import Callable
from dataclasses import dataclass

import pytest
from starlette.testclient import TestClient

SCRIPT = "<script>alert(1)</script>\"'><img src=x onerror=alert(1)>"
HERE = "http://127.0.0.1:8417"
TABLE = {"arrangement": "one-screw", "lead": "8", "table": "told,read\n0,0\n1,0.6\n2,1.6\n3,2.6\n"}


@dataclass(frozen=True)
class Attack:
    name: str
    tried: Callable[[TestClient], object]
    gets: int | tuple[int, ...]


def post(path: str, data=None, **headers) -> Callable[[TestClient], object]:
    return lambda client: client.post(path, data=data or TABLE, headers=headers)


def get(path: str, **headers) -> Callable[[TestClient], object]:
    named = {name.replace("_", "-"): value for name, value in headers.items()}
    return lambda client: client.get(path, headers=named)


def sent(path: str, what: object, **headers) -> Callable[[TestClient], object]:
    return lambda client: client.post(path, json=what, headers=headers)


ACTS = "/m/1/measure/1/acts"
KEEP = {"do": "keep", "at": ["left", 0], "token": "a-token-of-theirs", "text": "0.0"}


ATTACKS = (
    Attack("a name of theirs that leads to us", get("/shelf", host="evil.example:8417"), 421),
    Attack("the right name, another port", get("/shelf", host="127.0.0.1:80"), 421),
    Attack("our name with theirs behind it", get("/", host="127.0.0.1:8417.evil.example"), 421),
    Attack("no name at all", get("/", host=""), 421),
    Attack("a form on another site", post("/tables", origin="http://evil.example"), 403),
    Attack("a form in a sandboxed frame", post("/tables", origin="null"), 403),
    Attack("a form from another port here", post("/tables", origin="http://127.0.0.1:9999"), 403),
    Attack("our origin with theirs behind it", post("/tables", origin=f"{HERE}.evil.example"), 403),
    Attack(
        "our origin, said by a page of another site",
        lambda c: c.post("/tables", data=TABLE, headers={"sec-fetch-site": "cross-site"}),
        403,
    ),
    Attack(
        "a picture on another site that asks us",
        get("/m/1/files/readings.csv", sec_fetch_site="cross-site", sec_fetch_mode="no-cors"),
        403,
    ),
    Attack("up and out of the static files", get("/static/../app.py"), 404),
    Attack("the same, written in per cent", get("/static/%2e%2e/app.py"), 404),
    Attack("twice in per cent", get("/static/%252e%252e/%252e%252e/etc/passwd"), 404),
    Attack("with backslashes", get("/static/..%5c..%5capp.py"), 404),
    Attack("an absolute path", get("/static//etc/passwd"), 404),
    Attack("the list of a folder", get("/static/"), 404),
    Attack("a folder in it", get("/static/fonts"), 404),
    Attack("a file of the shelf's folder", get("/m/1/files/..%2f..%2fshelf.sqlite3"), 404),
    Attack("a machine that is no number", get("/m/1%20or%201=1"), 404),
    Attack("a machine beyond all numbers", get(f"/m/{10**30}"), 404),
    Attack("a link of the drawing that is none", get(f"/m/1/link/{SCRIPT}"), 404),
    Attack("an address without end", get("/m/1?x=" + "a" * 60_000), 414),
    Attack("a path without end", get("/" + "a" * 5_000), 414),
    Attack("a body that says it is huge", post("/tables", **{"content-length": "99999999999"}), 413),
    Attack("a body that is larger than it may be", post("/tables", {"table": "1,2\n" * 80_000}), 413),
    Attack("a length that is none", post("/tables", **{"content-length": "-5"}), 400),
    Attack("more fields than any form has", post("/tables", {f"f{i}": "1" for i in range(400)}), 400),
    Attack(
        "a form that breaks off",
        lambda c: c.post(
            "/tables", content=b"--x\r\nbad", headers={"content-type": "multipart/form-data; boundary=x"}
        ),
        (400, 422),
    ),
    Attack("a method that nobody needs", lambda c: c.request("TRACE", "/"), 405),
    Attack("deleting", lambda c: c.delete("/m/1"), 405),
    Attack("putting", lambda c: c.put("/static/bench.js", content=b"x"), 405),
    Attack("going elsewhere by way of us", post("/scheme", {"back": "//evil.example"}), 303),
    Attack("a line end in a header of ours", post("/scheme", {"back": "/\r\nset-cookie: a=b"}), 303),
    Attack("a code that is a guess", get("/in/AAAAAAAAAA"), 303),
    Attack("a table of nothing", post("/tables", TABLE | {"table": ""}), 422),
    Attack("a table of noughts and ones", post("/tables", TABLE | {"table": "\0\1\2" * 99}), 422),
    Attack("a lead without end", post("/tables", TABLE | {"lead": "9" * 400}), 422),
    Attack("a lead that is no number", post("/tables", TABLE | {"lead": "nan"}), 422),
    Attack("an arrangement that is none", post("/tables", TABLE | {"arrangement": SCRIPT}), 422),
    Attack("a harness without end", post("/wiring", {"harness": "x" * 150_000}), 422),
    Attack("a harness of ever deeper lists", post("/wiring", {"harness": "x = " + "[" * 40_000}), 422),
    Attack("more lines than any board drives", post("/wiring", {"harness": "[[line]]\nname = 'a'\n" * 3_000}), 422),
    Attack("a harness of keys of theirs", post("/m/1/wiring", {"harness": f"['{SCRIPT}']\na = 1"}), 422),
    Attack("a harness for a machine that is not there", post("/m/99/wiring", {"harness": "[[line]]\nname = 'a'"}), (404, 422)),
    Attack("a harness kept under a name of theirs", post("/wiring/files/..%2fshelf.sqlite3", {"harness": ""}), 404),
    Attack(
        "a harness file that is none",
        lambda c: c.post("/wiring", files={"file": (SCRIPT + ".toml", b"\xff\xfe\0" * 900)}),
        422,
    ),
    Attack("a step that is none", post("/m/1/build", {"do": "value", "step": SCRIPT, "said": "1"}), (404, 422)),
    Attack("a button that is none", post("/m/1/build", {"do": SCRIPT}), 404),
    Attack("power, without any work", post("/m/1/build", {"do": "own-word", "why": "let me in this time"}), 404),
    Attack(
        "work that is a bomb of brackets",
        lambda c: c.post("/m/1/build", data={"do": "open"}, files={"file": (SCRIPT, b"[" * 100_000)}),
        422,
    ),
    Attack("a file of the work that is none", get("/m/1/build/files/..%2fmachine.toml"), 404),
    Attack("acts on another site", sent(ACTS, {"key": "k", "acts": [KEEP]}, origin="http://evil.example"), 403),
    Attack("acts that are no JSON", post(ACTS, {"acts": "1"}), 400),
    Attack("acts that are a number", sent(ACTS, 7), 400),
    Attack("acts as deep as a well", lambda c: c.post(ACTS, content=b"[" * 90_000), 400),
    Attack("acts with a key that is guessed", sent(ACTS, {"key": "0" * 16, "acts": [KEEP]}), 409),
    Attack("acts for a plan that is none", sent("/m/1/measure/99/acts", {"key": "", "acts": []}), (404, 422)),
    Attack("acts for another machine's plan", sent("/m/7/measure/1/acts", {"key": "", "acts": []}), (404, 422)),
    Attack("a move where nothing is plugged in", sent("/m/1/measure/1/move", {"do": "begin"}), 404),
    Attack("a stop from another site", post("/stop", origin="http://evil.example"), 403),
    Attack("the events of a plan that is none", get("/m/1/measure/99/events"), (404, 422)),
    Attack(
        "a workbook that is a bomb of zeros",
        lambda c: c.post("/tables", data={"lead": "8"}, files={"file": ("a.xlsx", b"PK\3\4" + b"\0" * 5_000)}),
        422,
    ),
)  # fmt: skip


@pytest.mark.parametrize("attack", ATTACKS, ids=lambda attack: attack.name)
def test_an_attack_gets_nothing(attack, known, shelf, pasted):
    shelf.add_plan(
        1, "run,test,station,seq,target_mm,reading_mm\nleft,coarse-steps,gantry-left,0,0,\n"
    )
    before = shelf.fingerprint(1), len(shelf.machines())
    answer = attack.tried(known)
    allowed = (attack.gets,) if isinstance(attack.gets, int) else attack.gets
    assert answer.status_code in allowed
    assert "<script>alert" not in answer.text
    assert "onerror=alert(1)>" not in answer.text
    assert "Traceback" not in answer.text
    assert "root:" not in answer.text
    assert answer.headers.get("location", "/").startswith("/")
    assert "a=b" not in answer.headers.get("set-cookie", "")
    assert "default-src 'none'" in answer.headers["content-security-policy"]
    assert (shelf.fingerprint(1), len(shelf.machines())) == before


@pytest.mark.parametrize(
    "path", ["/", "/shelf", "/m/1", "/m/1/run.json", "/m/1/files/readings.csv", "/wiring"]
)
def test_a_browser_that_nobody_let_in_sees_nothing(path, stranger):
    answer = stranger.get(path)
    assert answer.status_code == 401
    assert "code" in answer.text


def test_a_browser_that_nobody_let_in_changes_nothing(stranger, shelf):
    assert stranger.post("/tables", data=TABLE).status_code == 401
    assert shelf.machines() == ()


def test_a_form_that_does_not_say_where_it_comes_from_is_refused(known):
    del known.headers["origin"]
    assert known.post("/tables", data=TABLE).status_code == 403


def test_a_code_lets_in_once(stranger, asgi, door):
    code = door.new_code()
    assert "set-cookie" in stranger.get(f"/in/{code}").headers
    other = TestClient(asgi, base_url=HERE, follow_redirects=False)
    assert other.get(f"/in/{code}").status_code == 403
    assert other.get("/shelf").status_code == 401


def test_guessing_at_codes_shuts_the_door_for_a_while(stranger, door):
    for guess in range(5):
        assert stranger.get(f"/in/GUESS{guess}").status_code == 403
    assert stranger.get(f"/in/{door.new_code()}").status_code == 429


def test_a_cookie_that_somebody_made_up_is_not_known(stranger):
    for made_up in ("", "a", "a.b", "a." + "0" * 40, "ä.ö", "." * 3000):
        stranger.cookies.set("plumbrise-8417", made_up.encode("ascii", "ignore").decode())
        assert stranger.get("/shelf").status_code == 401


def test_the_cookie_is_for_our_pages_alone(stranger, door):
    said = stranger.get(f"/in/{door.new_code()}").headers["set-cookie"].lower()
    assert "httponly" in said
    assert "samesite=strict" in said


PLACES = {
    "the machine's name": lambda c: c.post("/tables", data=TABLE | {"name": SCRIPT}),
    "a note in the table": lambda c: c.post(
        "/tables", data=TABLE | {"table": f"told,read,note\n0,0,{SCRIPT!r}\n1,0.6,\n2,1.6,\n3,2.6,\n"}
    ),
    "a column's name": lambda c: c.post(
        "/tables", data=TABLE | {"table": f"told,read,{SCRIPT.replace(',', '')}\n0,0,1\n1,0.6,1\n2,1.6,1\n"}
    ),
    "a file's name": lambda c: c.post(
        "/tables", data=TABLE, files={"file": (SCRIPT + ".csv", TABLE["table"].encode())}
    ),
}  # fmt: skip


@pytest.mark.parametrize("place", PLACES)
def test_script_is_text_on_every_page(place, known):
    made = PLACES[place](known)
    address = made.headers.get("location", "/")
    looked = [address] if address == "/" else [
        address, f"{address}/readings", f"{address}/readings/1", f"{address}/machine",
        f"{address}/plan", f"{address}/report", f"{address}/link/seat", "/shelf", "/",
    ]  # fmt: skip
    for page in [made.text, *(known.get(one).text for one in looked)]:
        assert "<script>alert" not in page
        assert "<img src=x" not in page


def test_a_machine_that_is_described_with_script_shows_it_as_text(known, pasted):
    known.post(
        f"{pasted}/machine", data={"name": SCRIPT, "note": SCRIPT, "arrangement": "one-screw"}
    )
    text = known.get(f"{pasted}/machine").text
    assert "<script>alert" not in text
    assert "&lt;script&gt;alert(1)" in text


def test_a_report_runs_no_script_and_is_no_page_of_ours(known, pasted):
    answer = known.get(f"{pasted}/files/report.html")
    assert answer.headers["content-disposition"].startswith("attachment")
    assert "sandbox" in answer.headers["content-security-policy"]


def test_a_file_is_named_by_letters_alone(known):
    made = known.post("/tables", data=TABLE | {"name": '../../x"\r\nset-cookie: a=b'})
    said = known.get(f"{made.headers['location']}/files/readings.csv").headers
    assert said["content-disposition"] == 'attachment; filename="x-set-cookie-a-b-readings.csv"'


@pytest.mark.parametrize(
    "page",
    [
        "/",
        "/shelf",
        "/m/1",
        "/m/1/plan",
        "/m/1/machine/screw",
        "/in",
        "/wiring?example=yes",
        "/m/1/build",
    ],
)
def test_no_page_holds_script_or_style_of_its_own(page, known, pasted):
    text = known.get(page).text
    assert "<style" not in text
    assert " style=" not in text
    assert " onclick" not in text
    assert text.count("<script") <= 3
    assert "<script>" not in text


def test_too_many_requests_wait(bench, door):
    from plumbrise.web.app import app
    from plumbrise.web.guard import Limits

    client = TestClient(
        app(bench, limits=Limits(burst=5, each_second=0.001)), base_url=HERE, follow_redirects=False
    )
    seen = [client.get("/in").status_code for _ in range(8)]
    assert seen[:5] == [200] * 5
    assert 429 in seen


async def _slowly(asgi, chunks, cookie: str):
    """A form whose body comes in pieces, with pauses; what was answered."""
    import asyncio

    pieces = iter(chunks)

    async def receive():
        pause, body = next(pieces)
        await asyncio.sleep(pause)
        return {"type": "http.request", "body": body, "more_body": True}

    sent = []

    async def send(message):
        sent.append(message)

    head = {
        "host": "127.0.0.1:8417", "origin": HERE, "cookie": f"plumbrise-8417={cookie}",
        "content-type": "application/x-www-form-urlencoded",
    }  # fmt: skip
    scope = {
        "type": "http", "method": "POST", "path": "/tables", "raw_path": b"/tables",
        "query_string": b"", "root_path": "", "scheme": "http", "http_version": "1.1",
        "headers": [(k.encode(), v.encode()) for k, v in head.items()],
        "client": ("127.0.0.1", 5), "server": ("127.0.0.1", 8417),
    }  # fmt: skip
    await asgi(scope, receive, send)
    return sent


@pytest.mark.parametrize(
    ("chunks", "gets"),
    [
        ([(0, b"table=1")] + [(0.2, b"1")] * 20, 408),
        ([(0, b"table=")] + [(0, b"1" * 60_000)] * 20, 413),
    ],
    ids=["letter by letter", "without a length, and without end"],
)
def test_a_body_that_never_ends_is_cut_off(chunks, gets, asgi, door):
    import asyncio

    cookie = door.let_in(door.new_code())
    sent = asyncio.run(_slowly(asgi, chunks, cookie))
    assert sent[0]["status"] == gets


def test_what_is_worked_out_is_told_as_plain_data(known, pasted):
    answer = known.get(f"{pasted}/run.json")
    assert answer.headers["content-type"] == "application/json"
    assert set(json.loads(answer.text)) == {"state", "step", "mark"}
