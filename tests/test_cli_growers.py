"""``advisor growers erase``, ``move`` and ``export NUMBER`` on a real Redis: what is said, and each mistake."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from functools import partial

import pytest

from advisor.commands.exits import Exit
from advisor.records.grower import Grower
from advisor.service.clock import unix_ms
from advisor.service.identity import Ids
from advisor.service.stored import Stored, from_bytes, to_bytes
from advisor.store.api import Change
from advisor.store.redis_store import RedisStore
from tests.service.importing import BOOK
from tests.test_cli import run as run_any
from tests.test_cli_questions import NUMBER, SECRET, store  # noqa: F401 - a fixture

IDS = Ids(SECRET.encode())
run = partial(run_any, "growers")
NOW = datetime(2027, 3, 1, 7, 30, tzinfo=UTC)
NEW, LOCAL = "+999001000002", "0001000001"


@pytest.fixture(autouse=True)
def book(monkeypatch: pytest.MonkeyPatch) -> None:
    """The shipped dialogues, built once for all tests and not with each command."""
    monkeypatch.setattr("advisor.commands.growers.book_of", lambda settings: BOOK)


def there(store: RedisStore, number: str) -> None:  # noqa: F811
    record = Grower(number, agreed=NOW).knows("grower.village", "v1", NOW).knows("lot.test", (45, 50), NOW)
    history = (("at", NOW.isoformat()), ("input", "45"))
    store.commit(Change(IDS.number(number), 0, to_bytes(Stored(record)), unix_ms(NOW), history=history))


@pytest.fixture
def ann(store: RedisStore) -> RedisStore:  # noqa: F811
    there(store, NUMBER)
    return store


class TestErasing:
    def test_says_how_much_went_and_not_whose_it_was(
        self, ann: RedisStore, capsys: pytest.CaptureFixture[str]
    ) -> None:
        assert run("erase", LOCAL, "--yes") == Exit.DONE

        told = capsys.readouterr()
        assert told.out == "erased: 2 facts, 1 lines of history\n"
        assert "1000001" not in told.out + told.err
        assert ann.value(IDS.number(NUMBER)) == (0, None)
        assert ann.stopped(IDS.number(NUMBER), IDS.number(NUMBER))

    def test_of_nobody_puts_the_number_on_the_list(
        self,
        store: RedisStore,  # noqa: F811
        capsys: pytest.CaptureFixture[str],
    ) -> None:
        assert run("erase", NUMBER, "--yes") == Exit.DONE
        assert "it is on the do-not-contact list now" in capsys.readouterr().out
        assert store.stopped(IDS.number(NUMBER), IDS.number(NUMBER))

    @pytest.mark.parametrize("number", ["12", "Ann", "+0123456789", ""])
    def test_of_what_is_no_number_is_refused_without_showing_it(
        self, ann: RedisStore, number: str, capsys: pytest.CaptureFixture[str]
    ) -> None:
        assert run("erase", number, "--yes") == Exit.WRONG_USAGE
        told = capsys.readouterr().err
        assert "not a phone number" in told
        assert told.count("\n") == 1
        assert ann.value(IDS.number(NUMBER))[1] is not None


class TestMoving:
    def test_where_both_have_met_needs_no_code(self, ann: RedisStore, capsys: pytest.CaptureFixture[str]) -> None:
        assert run("move", LOCAL, NEW, "--seen") == Exit.DONE
        assert "the new number is the grower's" in capsys.readouterr().out
        assert from_bytes(ann.value(IDS.number(NUMBER))[1]).record.number == NEW

    @pytest.mark.parametrize(
        ("old", "new", "why"),
        [
            (NUMBER, NUMBER, "both numbers are the same"),
            (NEW, NUMBER, "nothing is kept of the old number"),
            (NUMBER, "12", "not a phone number"),
        ],
    )
    def test_that_cannot_be_is_one_line_and_moves_nothing(
        self, ann: RedisStore, old: str, new: str, why: str, capsys: pytest.CaptureFixture[str]
    ) -> None:
        assert run("move", old, new, "--seen") == Exit.WRONG_USAGE
        told = capsys.readouterr().err
        assert why in told
        assert told.count("\n") == 1
        assert from_bytes(ann.value(IDS.number(NUMBER))[1]).record.number == NUMBER

    def test_never_takes_the_place_of_another_record(
        self, ann: RedisStore, capsys: pytest.CaptureFixture[str]
    ) -> None:
        there(ann, NEW)
        assert run("move", NUMBER, NEW, "--seen") == Exit.WRONG_USAGE
        assert "the new number has a record of its own" in capsys.readouterr().err


class TestExportingOne:
    def test_shows_all_that_is_kept_and_warns(self, ann: RedisStore, capsys: pytest.CaptureFixture[str]) -> None:
        assert run("export", LOCAL) == Exit.DONE

        told = capsys.readouterr()
        kept = json.loads(told.out)
        assert kept["number"] == NUMBER
        assert "[45, 50]" in json.dumps(kept)
        assert "warning: " in told.err

    def test_takes_no_village(self, ann: RedisStore, capsys: pytest.CaptureFixture[str]) -> None:
        assert run("export", LOCAL, "--village", "Dovi") == Exit.WRONG_USAGE
        assert "--village goes with a table" in capsys.readouterr().err


@pytest.mark.parametrize(
    "command", [("erase", NUMBER, "--yes"), ("move", NUMBER, NEW, "--seen"), ("export", NUMBER)]
)
def test_a_store_that_is_away_is_one_line(
    command: tuple[str, ...],
    store: RedisStore,  # noqa: F811
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setenv("SOWING_STORE", "redis://127.0.0.1:1/0")
    assert run(*command) == Exit.WRONG_USAGE
    told = capsys.readouterr().err
    assert told.count("\n") == 1
    assert "Traceback" not in told
