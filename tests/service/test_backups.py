"""A backup and back: between kinds of store, whole or refused, obeying whoever was erased or said stop since."""

from __future__ import annotations

import json
from datetime import timedelta
from pathlib import Path

import pytest

from advisor.dialogue.talk import Agree, Stop
from advisor.service.backups import BadBackup, Restored, Saved, back_up, restore
from advisor.service.clock import unix_ms
from advisor.store import keys
from advisor.store.api import RoundState, Standing, StoreMismatch, StoreUnavailable
from advisor.store.embedded import EmbeddedStore
from advisor.store.names import bucket_of
from advisor.store.plans import Keeps
from advisor.store.recount import recount
from advisor.store.redis_store import RedisStore
from advisor.store.restoring import StoreInUse
from advisor.store.script import Plan
from tests.servers import RedisServer
from tests.service.lived import (
    ANN,
    COR,
    MARK,
    PHONES,
    VILLAGES,
    figures_of,
    lines_in,
    lived_in,
    rules,
    taken,
)
from tests.service.stage import (
    NOW,
    StandingClock,
    grower_id,
    inbound,
    says,
    session,
    sms,
    ussd,
)
from tests.service.two_stores import (  # noqa: F401 - fixtures
    Two,
    both_servers,
    contents,
    lived_in_and_empty,
    two_on_redis,
    without_erased,
)


class TestThereAndBack:
    def test_everything_is_as_it_was(self, pair: tuple, tmp_path: Path) -> None:
        source, target, before, after = pair
        lived_in(source)

        saved = back_up(source, tmp_path / "all.backup", StandingClock())
        done = restore(target, tmp_path / "all.backup", rules(), StandingClock())

        assert saved == Saved(60, 2 + 60 + 256, ())
        assert done == Restored(60, 0)
        assert contents(after) == without_erased(contents(before), COR)
        assert target.rounds() == source.rounds()
        assert target.standing("demo") == source.standing("demo") == Standing(2, 0, {"sent": 2})
        assert recount(target, figures_of, VILLAGES) == ()
        assert target.counts("v1")["growers"] == 20
        assert isinstance(target.open(), type(None)), "it opens like any other"

    def test_the_copy_answers_as_the_original_would(self, pair: tuple, tmp_path: Path) -> None:
        source, target, _, _ = pair
        lived_in(source)
        restore(target, taken(source, tmp_path), rules(), StandingClock())

        for store in (source, target):
            repeated = inbound(store, says("never said")).take(ussd("1", id="m1", number=ANN))
            assert (repeated.outcome, json.loads(repeated.body)["text"]) == ("repeated", "Noted.")
            seen: list[object] = []

            def step(known_session, known, event, now, seen=seen):
                seen.append((known_session, known))
                return says("Next")(known_session, known, event, now)

            inbound(store, step).take(ussd("3", id="m9", number=PHONES[7]))
            assert seen[0][0].spots == session().spots
            assert seen[0][1].fact("grower.village").value == "v2"
        bucket = bucket_of(grower_id(PHONES[7]))
        assert source.history(grower_id(PHONES[7])) == target.history(grower_id(PHONES[7]))
        claims = [store.claim(bucket, unix_ms(NOW) + 9, 1000, 99) for store in (source, target)]
        assert claims[0] == claims[1]
        assert len(claims[0]) >= 1

    def test_what_was_put_aside_is_there_with_its_text_and_leaves_no_more(self, two: Two, tmp_path: Path) -> None:
        source, target = two
        lived_in(source)
        restore(target, taken(source, tmp_path), rules(), StandingClock())

        for phone, state in ((PHONES[20], "dead"), (PHONES[21], "unknown")):
            bucket = bucket_of(grower_id(phone))
            assert [one.state for one in target.aside(bucket)] == [state]
            assert target.aside(bucket) == source.aside(bucket)
            assert all(one.grower != grower_id(phone) for one in target.claim(bucket, unix_ms(NOW) + 9, 0, 99))

    def test_a_second_backup_of_the_copy_holds_the_same_growers(self, two: Two, tmp_path: Path) -> None:
        source, target = two
        lived_in(source)
        first = taken(source, tmp_path)
        restore(target, first, rules(), StandingClock())
        second = taken(target, tmp_path)

        told = [
            [json.loads(line) for line in lines_in(file) if b'"grower"' in line[:20]] for file in (first, second)
        ]
        for rows in told:
            for row in rows:
                for kept in (*row.get("answers", ()), *row.get("effects", ())):
                    kept[2] = kept[2] // 10_000_000  # milliseconds left, to some hours
                # what ends in the same millisecond is in no order
                row["answers"] = sorted(row.get("answers", ()))
        assert told[0] == told[1]
        assert len(told[0]) == 60, "one of them has not agreed"


class TestRounds:
    def test_a_round_that_ran_comes_back_paused(self, two: Two, tmp_path: Path) -> None:
        """What it has sent since the backup is in no backup."""
        source, target = two
        lived_in(source)
        source.set_round("demo", RoundState.RUNNING)

        restore(target, taken(source, tmp_path), rules(), StandingClock())

        assert [(row.key, row.state) for row in target.rounds()] == [("demo", "paused"), ("over", "stopped")]
        assert target.claim_due(bucket_of(grower_id(PHONES[5])), "demo", unix_ms(NOW) + 9, 1, 9, 9).taken == ()
        target.set_round("demo", RoundState.RUNNING)
        (due,) = target.claim_due(bucket_of(grower_id(PHONES[5])), "demo", unix_ms(NOW) + 9, 1, 9, 9).taken
        assert due.grower == grower_id(PHONES[5])

    def test_who_said_stop_since_is_due_in_none(self, two: Two, tmp_path: Path) -> None:
        source, target = two
        lived_in(source)
        file = taken(source, tmp_path)
        inbound(source, says("Stopped.", Stop())).take(sms("stop", id="m8", number=PHONES[5]))

        restore(target, file, rules(), StandingClock(), lists=[taken(source, tmp_path, lists_only=True)])

        assert target.standing("demo").waiting == 1

    def test_a_store_with_rounds_is_not_empty(self, two: Two, tmp_path: Path) -> None:
        source, target = two
        lived_in(source)
        target.start_round(source.rounds()[0])

        with pytest.raises(StoreInUse, match="it holds rounds"):
            restore(target, taken(source, tmp_path), rules(), StandingClock())


class TestWhatIsRefused:
    def test_a_store_that_holds_growers(self, two: Two, tmp_path: Path) -> None:
        source, target = two
        lived_in(source)
        file = taken(source, tmp_path)
        inbound(target, says("Noted.", Agree())).take(ussd("1"))

        with pytest.raises(StoreInUse, match="1 growers"):
            restore(target, file, rules(), StandingClock())

        assert len(list(target.growers())) == 1
        target.open()

    def test_a_store_with_another_secret(self, two: Two, tmp_path: Path) -> None:
        lived_in(two[0])
        other = EmbeddedStore(secret_mark=keys.secret_mark(b"another"))
        other.open()

        with pytest.raises(StoreMismatch, match="id secret"):
            restore(other, taken(two[0], tmp_path), rules(), StandingClock())

        assert list(other.growers()) == []

    def test_lists_in_the_place_of_a_backup_and_lists_of_another_installation(
        self, two: Two, tmp_path: Path
    ) -> None:
        source, target = two
        file, lists = taken(source, tmp_path), taken(source, tmp_path, lists_only=True)
        other = taken(EmbeddedStore(secret_mark="another"), tmp_path, lists_only=True)

        with pytest.raises(BadBackup, match="lists alone"):
            restore(target, lists, rules(), StandingClock())
        with pytest.raises(BadBackup, match="another id secret"):
            restore(target, file, rules(), StandingClock(), lists=[other])


class TestInterrupted:
    def test_a_restore_broken_off_is_opened_by_nobody_and_goes_on_with_the_same_file(
        self, two: Two, servers: tuple[RedisServer, RedisServer], tmp_path: Path
    ) -> None:
        source, target = two
        lived_in(source)
        file, other = taken(source, tmp_path), taken(source, tmp_path)
        server = servers[1]

        def killed(done: int) -> None:
            if done in (20, 41):
                server.restart()
                raise KeyboardInterrupt

        for _ in range(2):
            with pytest.raises(KeyboardInterrupt):
                restore(target, file, rules(), StandingClock(), progress=killed)
            fresh = RedisStore(server.address, Keeps(), MARK, timeout_s=10)
            with pytest.raises(StoreMismatch, match="half in this store"):
                _patiently(fresh.open)
            with pytest.raises(StoreInUse, match="another backup"):
                restore(fresh, _changed(other), rules(), StandingClock())
            fresh.close()

        assert _patiently(lambda: restore(target, file, rules(), StandingClock())) == Restored(60, 0)
        with servers[0].client() as before, server.client() as after:
            assert contents(after) == without_erased(contents(before), COR)
        target.open()
        assert recount(target, figures_of, VILLAGES) == ()


def _changed(file: Path) -> Path:
    """Another backup: taken at another moment."""
    store = EmbeddedStore(secret_mark=MARK)
    other = file.with_suffix(".other")
    back_up(store, other, StandingClock(NOW + timedelta(hours=1)))
    return other


def _patiently(ask):
    for _ in range(20):
        try:
            return ask()
        except StoreUnavailable:
            continue
    return ask()


def test_a_history_of_thousands_of_lines_comes_back(two: Two, tmp_path: Path) -> None:
    """More words than a script's stack has places for."""
    source, target = two
    inbound(source, says("Noted.", Agree())).take(ussd("1"))
    plan = Plan()
    plan.drop(keys.of_history(grower_id()), "stream")
    source.run(plan)
    plan = Plan()
    told = [(f"{unix_ms(NOW) + at}-0", ["input", str(at), "channel", "sms"]) for at in range(9000)]
    plan.lines(keys.of_history(grower_id()), told)
    assert source.run(plan) == "committed"

    restore(target, taken(source, tmp_path), rules(), StandingClock())

    assert len(target.history(grower_id())) == 9000
