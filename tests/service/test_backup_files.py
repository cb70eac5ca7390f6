"""The file of a backup: whole or refused, for its owner's eyes; and all that is kept of one person."""

from __future__ import annotations

import gzip
import hashlib
import json
import stat
from pathlib import Path

import msgspec
import pytest

from advisor.service.backups import BadBackup, back_up, check, restore
from advisor.service.knowing import all_that_is_kept
from advisor.store import keys
from advisor.store.api import StoreUnavailable
from advisor.store.embedded import EmbeddedStore
from tests.service.lived import ANN, COR, MARK, PHONES, lines_in, lived_in, rules, taken
from tests.service.stage import IDS, NOW, StandingClock, grower_id


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A backup that nobody changes."""
    store = EmbeddedStore(secret_mark=MARK)
    store.open()
    lived_in(store)
    return taken(store, tmp_path_factory.mktemp("file"))


def test_a_file_of_the_form_before_rounds_is_read(file: Path, tmp_path: Path) -> None:
    lines = [line for line in lines_in(file)[:-1] if b'"type":"round"' not in line]
    without = [msgspec.json.decode(line) for line in lines]
    for line in without:
        line.pop("dues", None)
        line.pop("tallies", None)
    without[0]["format"] = 1
    raw = b"".join(msgspec.json.encode(line) + b"\n" for line in without)
    footer = {"type": "footer", "growers": 60, "lines": len(without), "sha256": hashlib.sha256(raw).hexdigest()}
    older = tmp_path / "older"
    older.write_bytes(gzip.compress(raw + msgspec.json.encode(footer) + b"\n"))
    store = EmbeddedStore(secret_mark=MARK)

    assert restore(store, older, rules(), StandingClock()).growers == 60
    assert store.rounds() == ()


class TestAFile:
    def test_can_be_read_by_its_owner_alone_and_leaves_nothing_beside_it(self, file: Path) -> None:
        assert stat.S_IMODE(file.stat().st_mode) == 0o600
        assert list(file.parent.iterdir()) == [file]

    def test_says_of_itself_what_it_is(self, file: Path) -> None:
        first = json.loads(lines_in(file)[0])

        assert (first["type"], first["format"], first["holds"], first["buckets"]) == ("header", 2, "growers", 256)
        assert first["secret"] == MARK
        assert check(file).taken == NOW

    def test_of_lists_holds_no_number_and_no_grower(self, tmp_path: Path) -> None:
        store = EmbeddedStore(secret_mark=MARK)
        lived_in(store)

        text = b"".join(lines_in(taken(store, tmp_path, lists_only=True))).decode()

        assert "99900" not in text
        assert grower_id(COR) in text
        assert grower_id(ANN) not in text

    @pytest.mark.parametrize("kept", [0.0, 0.1, 0.5, 0.99])
    def test_that_was_cut_off_is_refused(self, file: Path, tmp_path: Path, kept: float) -> None:
        cut = tmp_path / "cut"
        cut.write_bytes(file.read_bytes()[: int(kept * file.stat().st_size)])

        with pytest.raises(BadBackup):
            check(cut)

    def test_with_one_line_less_more_or_other_is_refused(self, file: Path, tmp_path: Path) -> None:
        lines = lines_in(file)
        other = tmp_path / "other"
        changed = {
            "a line less": lines[:40] + lines[41:],
            "no end": lines[:-1],
            "a line twice": [*lines[:40], lines[39], *lines[40:]],
            "two lines by turns": [*lines[:40], lines[41], lines[40], *lines[42:]],
            "more behind the end": [*lines, lines[-1]],
            "no beginning": lines[1:],
            "a digit": [line.replace(b'"version":1', b'"version":2', 1) for line in lines],
            "no line": [*lines[:40], b"{}\n", *lines[40:]],
            "a newer form": [lines[0].replace(b'"format":2', b'"format":3'), *lines[1:]],
        }
        for what, told in changed.items():
            assert told != lines, what
            other.write_bytes(gzip.compress(b"".join(told)))
            with pytest.raises(BadBackup):
                check(other)

    @pytest.mark.parametrize("place", range(0, 100, 7))
    def test_with_any_byte_changed_is_refused_or_reads_the_same(
        self, file: Path, tmp_path: Path, place: int
    ) -> None:
        raw = bytearray(file.read_bytes())
        at = 10 + (len(raw) - 18) * place // 100
        raw[at] ^= 0x55
        other = tmp_path / "other"
        other.write_bytes(bytes(raw))

        with pytest.raises(BadBackup):
            check(other)

    def test_is_not_there_when_its_writing_was_broken_off(self, tmp_path: Path) -> None:
        def broken(done: int) -> None:
            if done == 100:
                raise StoreUnavailable("away")

        store = EmbeddedStore()
        with pytest.raises(StoreUnavailable):
            back_up(store, tmp_path / "all.backup", StandingClock(), progress=broken)

        assert list(tmp_path.iterdir()) == []

    def test_names_what_could_not_be_read_and_holds_the_rest(self, tmp_path: Path) -> None:
        store = EmbeddedStore()
        lived_in(store)
        store._client().set(keys.of_grower(grower_id(ANN)), "garbage")

        saved = back_up(store, tmp_path / "all.backup", StandingClock())

        assert saved.damaged == (keys.of_grower(grower_id(ANN)),)
        assert saved.growers == 59
        assert check(tmp_path / "all.backup").footer.growers == 59


class TestOfOnePerson:
    def test_all_that_is_kept_can_be_seen(self) -> None:
        store = EmbeddedStore()
        lived_in(store)

        kept = all_that_is_kept(store, ANN, IDS)

        assert kept["number"] == ANN
        assert {fact["name"] for fact in kept["facts"]} == {"grower.village", "lot.origin"}
        assert [line["input"] for line in kept["history"]] == ["1", "2"]
        assert len(kept["remembered_answers"]) == 2
        assert [waiting["text"] for waiting in kept["waiting_messages"]] == ["Buy 0 kg"]
        assert kept["open_conversation"]["language"] == "en"
        assert kept["kept_until"] == "2029-02-28T07:30:00Z", "730 days after 2027-03-01"
        json.dumps(kept)

    def test_of_rounds_what_is_done_and_when_the_next_step_is_due_can_be_seen(self) -> None:
        store = EmbeddedStore()
        lived_in(store)

        kept = all_that_is_kept(store, PHONES[5], IDS)

        assert kept["steps_of_rounds"] == {"demo": ["one"]}
        assert [look_at[:19] for look_at in kept["next_looks_in_rounds"].values()] == ["2027-03-01T07:30:00"]

    def test_of_several_lots_of_seed_those_aside_can_be_seen(self) -> None:
        store = EmbeddedStore()
        lived_in(store)

        kept = all_that_is_kept(store, PHONES[6], IDS)

        assert [fact["value"] for fact in kept["facts"] if fact["name"] == "lot.origin"] == ["saved"]
        assert [[fact["value"] for fact in lot] for lot in kept["kept_aside"]["lot"]] == [["bought"]]

    def test_of_somebody_who_was_erased_only_the_mark_can_be_seen(self) -> None:
        store = EmbeddedStore()
        lived_in(store)

        assert all_that_is_kept(store, COR, IDS) == {"number": COR, "wants_no_messages": True}
