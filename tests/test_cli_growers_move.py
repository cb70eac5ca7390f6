"""``advisor growers move``: each mistake in one line, and a move."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from advisor.cli import main
from advisor.commands.exits import Exit
from advisor.records.grower import Grower
from advisor.service.clock import unix_ms
from advisor.service.identity import Ids
from advisor.service.stored import Stored, from_bytes, to_bytes
from advisor.store.api import Change
from advisor.store.redis_store import RedisStore
from tests.test_cli_questions import NUMBER, SECRET, store  # noqa: F401 - a fixture

NEW = "+999001000002"
IDS = Ids(SECRET.encode())


def run(*arguments: str) -> int:
    with pytest.raises(SystemExit) as ended:
        main(("growers", "move", *arguments))
    assert isinstance(ended.value.code, int)
    return ended.value.code


@pytest.fixture
def code(store: RedisStore) -> str:  # noqa: F811
    now = datetime.now(UTC)
    record = Grower(NUMBER, now).with_code(now)
    grower = IDS.number(NUMBER)
    store.commit(Change(grower, 0, to_bytes(Stored(record)), unix_ms(now)))
    return IDS.code(grower, now)


def test_a_record_moves_with_its_code(code: str, store: RedisStore) -> None:  # noqa: F811
    assert run(NUMBER, NEW, "--code", code) == Exit.DONE
    assert from_bytes(store.value(IDS.number(NUMBER))[1]).record.number == NEW


def test_another_code_moves_nothing(code: str, store: RedisStore, capsys: pytest.CaptureFixture[str]) -> None:  # noqa: F811
    wrong = f"{(int(code) + 1) % 10**6:06d}"
    assert run(NUMBER, NEW, "--code", wrong) == Exit.WRONG_USAGE
    assert "that is not the code" in capsys.readouterr().err
    record = from_bytes(store.value(IDS.number(NUMBER))[1]).record
    assert record.number == NUMBER
    assert record.code is not None
    assert record.code.tries == 1


@pytest.mark.parametrize("more", [(), ("--code", "123456", "--seen")])
def test_either_a_code_or_a_meeting_is_needed(
    store: RedisStore,  # noqa: F811
    more: tuple[str, ...],
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert run(NUMBER, NEW, *more) == Exit.WRONG_USAGE
    assert "give --code with the code from the old phone, or --seen" in capsys.readouterr().err
