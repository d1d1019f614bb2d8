"""Codes and cookies."""

from plumbrise.web.door import CODE_LASTS_S, LETTERS, Door, secret_beside


class Clock:
    def __init__(self):
        self.now = 0.0

    def __call__(self) -> float:
        return self.now


def test_a_code_is_typed_as_people_type():
    door = Door(b"a" * 32, Clock())
    code = door.new_code()
    assert set(code) <= set(LETTERS)
    assert door.let_in(f" {code[:5].lower()}-{code[5:]} ")


def test_a_code_closes_after_its_time():
    clock = Clock()
    door = Door(b"a" * 32, clock)
    code = door.new_code()
    clock.now = CODE_LASTS_S + 1
    assert door.let_in(code) is None


def test_a_cookie_holds_when_the_bench_starts_anew_and_not_on_another_shelf(tmp_path):
    one, other = tmp_path / "a.sqlite3", tmp_path / "b.sqlite3"
    door = Door(secret_beside(one), Clock())
    cookie = door.let_in(door.new_code())
    assert Door(secret_beside(one), Clock()).knows(cookie)
    assert not Door(secret_beside(other), Clock()).knows(cookie)


def test_the_secret_is_for_its_owner_alone(tmp_path):
    secret_beside(tmp_path / "a.sqlite3")
    assert (tmp_path / "a.sqlite3.key").stat().st_mode & 0o077 == 0


def test_a_secret_that_was_cut_short_is_made_anew(tmp_path):
    (tmp_path / "a.sqlite3.key").write_bytes(b"short")
    assert len(secret_beside(tmp_path / "a.sqlite3")) == 32


def test_the_door_opens_again_after_a_minute_of_quiet():
    clock = Clock()
    door = Door(b"a" * 32, clock)
    for _ in range(5):
        door.let_in("GUESS")
    assert door.shut
    clock.now = 61.0
    assert not door.shut
