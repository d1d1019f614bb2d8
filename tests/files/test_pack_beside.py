"""What a pack tells beside its stages comes out again, and lies and rubbish are told."""

import json
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from packs import HARNESS, PRINTS, TOLD, changed_of, opened_of, pack, told_pack

from plumbrise.errors import InputErrors
from plumbrise.files import PackNotWhole, read_pack, write_pack
from plumbrise.files.pack_beside import beside_again

JSONS = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-9, 9)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(max_size=4),
    lambda of: st.lists(of, max_size=3) | st.dictionaries(st.text(max_size=4), of, max_size=3),
)


def again(pack):
    return beside_again(pack, opened_of(pack))


def test_a_pack_with_all_of_it_comes_out_as_it_went_in():
    assert read_pack(TOLD) == told_pack()


def test_proof_work_order_promise_and_harness_come_out_again():
    found = again(read_pack(TOLD))
    assert (found.proof.verdict, found.build.verdict) == ("same", "same")
    assert found.changes == ("New plain nut",)
    assert found.harness == "cannot tell"


def test_a_pack_without_them_tells_nothing_of_them():
    bare = replace(told_pack(), proof=None, proposal=None, build=None, harness="", story="")
    found = again(read_pack(write_pack(bare)))
    assert (found.proof, found.build, found.changes, found.harness) == (None, None, (), "")


def _proof(change):
    pack = told_pack()
    proof = json.loads(json.dumps(pack.proof))
    change(proof["proofs"][0])
    return replace(pack, proof=proof)


def _figure(key, value):
    return lambda proof: proof["figures"][0].update({key: value})


LINK = {"link": "seat", "side": "left", "station": "gantry-left", "before": {"estimate": 0.4}}
LIES = {
    "a verdict that the readings do not bear": _figure("verdict", "worse"),
    "a figure under another name": _figure("thing", "home"),
    "another chance": _figure("p", 0.9),
    "another value after": lambda proof: proof["figures"][0]["after"].update(value=0.0),
    "a promise that was kept more than it was": lambda proof: proof["promises"][0].update(
        kept=None
    ),
    "a figure too many": lambda proof: proof["figures"].append(dict(proof["figures"][0])),
    "a link that nobody explained": lambda proof: proof.update(links=[LINK]),
    "links that are none": lambda proof: proof.update(links=["seat"]),
    "no test that differs where one does not": lambda proof: proof["fairness"].update(same=[]),
}


@pytest.mark.parametrize("lie", LIES)
def test_a_proof_that_its_readings_do_not_bear_is_told(lie):
    found = again(_proof(LIES[lie])).proof
    assert found.verdict == "other"
    assert found.told


def test_a_proof_of_fewer_sessions_than_there_are_is_told():
    assert again(replace(told_pack(), proof={"version": 1, "proofs": []})).proof.verdict == "other"


def test_an_empty_proof_of_one_session_says_nothing_false():
    assert again(replace(pack("before"), proof={})).proof.verdict == "same"


def test_a_work_order_with_other_numbers_is_told():
    pack = told_pack()
    other = replace(pack, build=pack.build | {"minutes_out_of_use": 1})
    assert again(other).build.verdict == "other"


HOSTILE = {
    "proof.json": [b"[]", b"{", b'{"a": NaN}', b'{"a": 1e999}', b'{"a": 1}\0', b"\xff\xfe{}", b"[" * 99_999],
    "proposal.json": [b"{}", b'{"version": 1, "chosen": {"changes": ["hammer"]}}', b'"x"'],
    "build.json": [b"{}", b'{"version": 1, "made_for": [], "entries": [], "changes": ["hammer"]}',
                   b'{"version": 1, "made_for": [], "entries": [1], "changes": ["new-nut"]}'],
    "harness.toml": [b"\0", b"[[line]]\nname = 3", b"line = 1", b"\xff" * 9],
    "before/print.csv": [b"what,place\nwall,left\n", b"\xff\0", b"PK\3\4"],
    "after-2/print.csv": [PRINTS.encode()],
}  # fmt: skip


@pytest.mark.parametrize(
    ("name", "data"), [(name, data) for name, some in HOSTILE.items() for data in some],
    ids=lambda one: repr(one)[:24],
)  # fmt: skip
def test_what_is_not_what_its_name_says_keeps_the_pack_out(name, data):
    with pytest.raises(PackNotWhole) as broken:
        again(read_pack(changed_of(TOLD, name, data)))
    assert name.partition("/")[0].partition(".")[0] in str(broken.value)


@pytest.mark.parametrize("name", ["story.html", "proof.json", "build.json", "harness.toml"])
def test_a_member_that_is_larger_than_it_may_be_keeps_the_pack_out(name):
    with pytest.raises(PackNotWhole, match=r"up to \d+"):
        read_pack(changed_of(TOLD, name, b" " * 10_000_001))


@pytest.mark.parametrize(
    "name", ["proof.JSON", "Story.html", "before/story.html", "figures/proof.json", "proof.json/x"]
)
def test_nothing_beside_the_known_names_is_taken(name):
    with pytest.raises(PackNotWhole, match="unknown member"):
        read_pack(changed_of(TOLD, name, b"{}"))


@given(JSONS, JSONS, JSONS)
@settings(max_examples=30)
def test_whatever_json_stands_there_it_is_worked_out_or_refused(proof, proposal, build):
    told = told_pack()
    spoiled = replace(
        told,
        proof={"version": 1, "proofs": proof},
        proposal=told.proposal | {"chosen": proposal},
        build=told.build | {"entries": build},
    )
    for one in (
        replace(told, proof=spoiled.proof),
        replace(told, proposal=spoiled.proposal),
        replace(told, build=spoiled.build),
    ):
        try:
            found = again(one)
        except InputErrors:
            continue
        assert found.proof.verdict in ("same", "other")


def test_the_story_is_kept_as_it_is_and_never_looked_into():
    page = "<script>alert(1)</script>"
    assert read_pack(write_pack(replace(told_pack(), story=page))).story == page
    assert HARNESS in told_pack().harness
