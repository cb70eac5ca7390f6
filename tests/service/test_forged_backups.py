"""Files that are as they were written, by the checksum, and hold what no store has written."""

from __future__ import annotations

import gzip
import hashlib
import json
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from advisor.dialogue.talk import Agree, Erase
from advisor.service.backups import BadBackup, back_up, restore
from advisor.store import keys
from advisor.store.embedded import EmbeddedStore
from tests.service.lived import ANN, MARK, lines_in, lived_in, rules, taken
from tests.service.stage import NOW, StandingClock, grower_id, inbound, says, sms, ussd

HUGE = 2**62
FAR = "ff" + "0" * 14


@pytest.fixture(scope="module")
def lines(tmp_path_factory: pytest.TempPathFactory) -> list[bytes]:
    store = EmbeddedStore(secret_mark=MARK)
    store.open()
    lived_in(store)
    return lines_in(taken(store, tmp_path_factory.mktemp("file")))


def forged(lines: list[bytes], file: Path) -> Path:
    """The lines as a file whose count and checksum are right."""
    body, footer = lines[:-1], json.loads(lines[-1])
    footer |= {"lines": len(body), "sha256": hashlib.sha256(b"".join(body)).hexdigest()}
    footer["growers"] = sum(b'"type":"grower"' in line for line in body)
    file.write_bytes(gzip.compress(b"".join((*body, json.dumps(footer).encode() + b"\n"))))
    return file


def with_line(lines: list[bytes], holds: bytes, change: Callable[[dict[str, Any]], object]) -> list[bytes]:
    """The lines, the first one that holds something changed."""
    place = next(place for place, line in enumerate(lines) if holds in line)
    told = json.loads(lines[place])
    change(told)
    changed = json.dumps(told, separators=(",", ":")).encode() + b"\n"
    assert changed != lines[place]
    return [*lines[:place], changed, *lines[place + 1 :]]


ROW, REST, HEADER, BEGUN = b'"queued"', b'"relays"', b'"header"', b'"type":"round"'


def puts(**fields: object) -> Callable[[dict[str, Any]], object]:
    return lambda line: line.update(fields)


class TestAForgedFile:
    @pytest.mark.parametrize(
        ("holds", "change"),
        [
            (ROW, puts(grower="../x")),
            (ROW, puts(grower=FAR)),
            (ROW, puts(version=0)),
            (ROW, puts(version=10**16)),
            (ROW, puts(lapses_ms=-1)),
            (ROW, puts(idle_ms=HUGE)),
            (ROW, puts(answers=[["a b", "AAAA", 1]])),
            (ROW, puts(answers=[["55ff", "AAAA", HUGE]])),
            (ROW, puts(effects=[["", "AAAA", 1]])),
            (ROW, lambda line: line["queued"][0].__setitem__(0, "bff-1")),
            (ROW, lambda line: line["queued"][0].__setitem__(1, 9)),
            (ROW, lambda line: line["queued"][0].__setitem__(2, HUGE)),
            (ROW, lambda line: line["queued"][0].__setitem__(3, "AAAA")),
            (ROW, puts(history=[["x", ["a", "b"]]])),
            (ROW, puts(history=[["0-0", ["a", "b"]]])),
            (ROW, puts(history=[["5-1", ["a", "b"]], ["5-1", ["a", "b"]]])),
            (ROW, puts(history=[[f"{HUGE}-1"[:21], ["a", "b"]]])),
            (ROW, puts(history=[["5-1", ["a"]]])),
            (ROW, puts(history=[["5-1", []]])),
            (ROW, puts(history=[["5-1", ["a", "b"] * 10_000]])),
            (REST, puts(bucket=256)),
            (REST, puts(bucket=-1)),
            (REST, puts(stops=["+99900"])),
            (REST, puts(gone=[""])),
            (REST, puts(pointers=[["x", "y"]])),
            (REST, puts(pointers=[[FAR, FAR]])),
            (REST, puts(relays=[["a b", 5, "AAAA"]])),
            (REST, lambda line: line["relays"][0].__setitem__(1, HUGE)),
            (REST, puts(parked=[["x", 5]])),
            (REST, lambda line: line.update(parked=[[f"{line['bucket']:02x}" + "0" * 14 + ":55ff", HUGE]])),
            (REST, puts(tallies=[["a b", "sent", 1]])),
            (REST, puts(tallies=[["demo", "plan", 1]])),
            (REST, puts(tallies=[["demo", "sent", HUGE]])),
            (ROW, puts(dues=[["a b", 1]])),
            (ROW, puts(dues=[["demo", HUGE]])),
            (BEGUN, puts(key="a b")),
            (BEGUN, puts(state="waiting")),
            (BEGUN, puts(started_ms=HUGE)),
            (HEADER, puts(holds="all")),
            (HEADER, puts(taken_ms=-1)),
            (HEADER, puts(taken_ms=HUGE)),
        ],
    )
    def test_is_refused_before_anything_is_written(
        self, lines: list[bytes], tmp_path: Path, holds: bytes, change: Callable[[dict[str, Any]], object]
    ) -> None:
        store = EmbeddedStore(secret_mark=MARK)
        store.open()

        with pytest.raises(BadBackup):
            restore(store, forged(with_line(lines, holds, change), tmp_path / "f"), rules(), StandingClock())

        assert list(store.growers()) == []
        store.open()

    def test_with_a_nest_of_brackets_is_refused(self, lines: list[bytes], tmp_path: Path) -> None:
        for nest in (b"[" * 100_000, b'{"type":"grower","grower":' + b"[" * 100_000):
            file = forged([*lines[:5], nest + b"\n", *lines[5:]], tmp_path / "f")
            with pytest.raises(BadBackup):
                restore(EmbeddedStore(secret_mark=MARK), file, rules(), StandingClock())

    def test_that_was_only_put_together_anew_comes_back(self, lines: list[bytes], tmp_path: Path) -> None:
        store = EmbeddedStore(secret_mark=MARK)

        assert restore(store, forged(lines, tmp_path / "f"), rules(), StandingClock()).growers == 60


class TestListsThatAreOlderThanTheBackup:
    def test_are_refused_since_who_agreed_again_would_be_left_out(self, tmp_path: Path) -> None:
        store = EmbeddedStore(secret_mark=MARK)
        store.open()
        inbound(store, says("Welcome.", Agree())).take(ussd("1", id="m1", number=ANN))
        inbound(store, says("Erased.", Erase())).take(sms("erase", id="m2", number=ANN))
        lists = tmp_path / "lists"
        back_up(store, lists, StandingClock(), lists_only=True)
        inbound(store, says("Welcome.", Agree())).take(ussd("1", id="m3", number=ANN))
        later = StandingClock(NOW + timedelta(days=1))
        back_up(store, tmp_path / "all", later)
        empty = EmbeddedStore(secret_mark=MARK)
        empty.open()

        with pytest.raises(BadBackup, match="before the backup"):
            restore(empty, tmp_path / "all", rules(), later, lists=[lists])

        assert restore(empty, tmp_path / "all", rules(), later).growers == 1
        assert empty._client().get(keys.of_grower(grower_id(ANN))) is not None
