"""A backup and back: between kinds of store, whole or refused, obeying whoever was erased or said stop since."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
import redis

from advisor.dialogue.talk import Agree, Erase, Stop, Withdraw
from advisor.service.backups import BadBackup, Restored, Saved, back_up, check, restore
from advisor.service.clock import unix_ms
from advisor.service.erasing import Erasing
from advisor.service.moving import Moving
from advisor.service.stored import from_bytes
from advisor.store import keys
from advisor.store.api import RoundState, Standing, StoreMismatch, StoreUnavailable
from advisor.store.embedded import EmbeddedStore
from advisor.store.names import bucket_of
from advisor.store.plans import Keeps
from advisor.store.recount import recount
from advisor.store.redis_store import RedisStore
from advisor.store.restoring import StoreInUse
from advisor.store.script import Plan
from tests.servers import RedisServer, redis_server
from tests.service.lived import (
    ANN,
    BEN,
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
    BANDS,
    HOUR,
    IDS,
    NOW,
    StandingClock,
    grower_id,
    inbound,
    relaying,
    says,
    session,
    sms,
    ussd,
)

Two = tuple[RedisStore, RedisStore]


@pytest.fixture(scope="module")
def servers() -> Iterator[tuple[RedisServer, RedisServer]]:
    with redis_server() as one, redis_server() as other:
        yield one, other


@pytest.fixture(params=["redis-redis", "redis-embedded", "embedded-redis"])
def pair(request: pytest.FixtureRequest, servers: tuple[RedisServer, RedisServer]) -> Iterator[tuple]:
    """A store that is lived in, and one to restore into, each with a client that looks behind it."""
    stores, clients = [], []
    for kind, server in zip(request.param.split("-"), servers, strict=True):
        if kind == "redis":
            clients.append(server.client())
            clients[-1].flushall()
            stores.append(RedisStore(server.address, Keeps(), MARK, timeout_s=10))
        else:
            stores.append(EmbeddedStore(secret_mark=MARK))
            clients.append(stores[-1]._client())
        stores[-1].open()
    yield (*stores, *clients)
    for closing in (*stores, *clients):
        closing.close()


@pytest.fixture
def two(servers: tuple[RedisServer, RedisServer]) -> Iterator[Two]:
    stores = []
    for server in servers:
        with server.client() as client:
            client.flushall()
        stores.append(RedisStore(server.address, Keeps(), MARK, timeout_s=10))
        stores[-1].open()
    yield stores[0], stores[1]
    for store in stores:
        store.close()


def contents(client: redis.Redis) -> dict[str, object]:
    """All that a server holds, in the words of its types; of what ends by itself only that it does.

    A figure of nought is as good as none. The state of a message that has ended is in no backup.
    """
    found: dict[str, object] = {}
    ended = {
        key.rpartition(b":")[2]
        for key in client.scan_iter("*:o:*", count=1000)
        if not client.get(key).startswith((b"queued", b"dead", b"unknown"))
    }
    for key in client.scan_iter(count=1000):
        name, kind = key.decode(), client.type(key).decode()
        if name.startswith("{meta}"):
            continue
        read = {
            "string": lambda key: client.get(key),
            "zset": lambda key: dict(client.zrange(key, 0, -1, withscores=True)),
            "set": client.smembers,
            "hash": client.hgetall,
            "stream": client.xrange,
        }[kind]
        held = read(key)
        if kind == "hash":
            held = {counter: count for counter, count in held.items() if count != b"0"}
            if not held:
                continue
        if key.rpartition(b":")[2] in ended:
            continue
        told = sorted(trace for trace in held if trace[2:] not in ended) if ":t:" in name else held
        found[name] = (told, client.pttl(key) > 0)
    return found


def without_erased(found: dict[str, object], *numbers: str) -> dict[str, object]:
    """But for what ends within the hour and belongs to nobody any more: marks of erased growers."""
    gone = {keys.of_message(grower_id(n), IDS.message(n, f"m{m}")) for n in numbers for m in (1, 2, 3)}
    gone |= {keys.of_traces(grower_id(number)) for number in numbers}
    return {name: held for name, held in found.items() if name not in gone}


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


class TestWhatHasEndedSince:
    def test_does_not_come_back(self, two: Two, tmp_path: Path) -> None:
        source, target = two
        lived_in(source)
        file, later = taken(source, tmp_path), StandingClock(NOW + 80 * HOUR)

        done = restore(target, file, rules(later), later)

        assert done == Restored(59, 1), "the unconsented conversation is over"
        assert target.busy(unix_ms(later.now())).outbox == ()
        assert target.read(grower_id(ANN), IDS.message(ANN, "m1")).remembered is None
        assert target.value(grower_id(ANN))[1] == source.value(grower_id(ANN))[1]

    def test_a_message_is_never_queued_twice(self, two: Two, tmp_path: Path) -> None:
        """It was handed over after the backup: its id is the same, and the gateway knows it again."""
        source, target = two
        lived_in(source)
        bucket = bucket_of(grower_id(ANN))
        file = taken(source, tmp_path)
        handed_over = [claimed.oid for claimed in source.claim(bucket, unix_ms(NOW) + 9, 1000, 99)]

        restore(target, file, rules(), StandingClock())

        assert [claimed.oid for claimed in target.claim(bucket, unix_ms(NOW) + 9, 1000, 99)] == handed_over


class TestWhoWasErasedSince:
    def test_stays_erased_by_the_lists_in_the_store(self, two: Two, tmp_path: Path) -> None:
        source, target = two
        lived_in(source)
        file = taken(source, tmp_path)
        Erasing(target, StandingClock(), BANDS).at_the_operators_word(ANN, IDS)

        done = restore(target, file, rules(), StandingClock())

        assert done == Restored(59, 1)
        assert target.value(grower_id(ANN)) == (0, None)
        assert target.history(grower_id(ANN)) == ()
        assert target.parked(bucket_of(grower_id(ANN))) == ()
        assert target.stopped(grower_id(ANN), grower_id(ANN))
        assert recount(target, figures_of, VILLAGES) == ()

    def test_stays_erased_by_lists_kept_elsewhere(self, two: Two, tmp_path: Path) -> None:
        """Who had said stop before the backup, and was erased after it, is on both lists."""
        source, target = two
        lived_in(source)
        file = taken(source, tmp_path)
        for phone in (ANN, BEN):
            inbound(source, says("Erased.", Erase())).take(ussd("1", id="m8", number=phone))
        lists = taken(source, tmp_path, lists_only=True)

        done = restore(target, file, rules(), StandingClock(), lists=[lists])

        assert done == Restored(58, 2)
        for phone in (ANN, BEN):
            assert target.value(grower_id(phone)) == (0, None)
            assert target.stopped(grower_id(phone), grower_id(phone))

    def test_and_came_back_since_then_is_not_held_back_for_ever(self, two: Two, tmp_path: Path) -> None:
        source, target = two
        lived_in(source)
        inbound(source, says("Welcome.", Agree(), to=session())).take(ussd("1", id="m8", number=COR))

        done = restore(target, taken(source, tmp_path), rules(), StandingClock())

        assert done == Restored(61, 0)
        assert from_bytes(target.value(grower_id(COR))[1]).record.agreed is not None

    def test_while_the_backup_was_taken_stays_erased(
        self, two: Two, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        source, target = two
        lived_in(source)
        from advisor.service import backups

        rest_of, bucket = backups.rest_of, bucket_of(grower_id(ANN))

        def erased_before_the_lists(store: RedisStore, at: int):
            if at == bucket:
                Erasing(store, StandingClock(), BANDS).at_the_operators_word(ANN, IDS)
            return rest_of(store, at)

        monkeypatch.setattr(backups, "rest_of", erased_before_the_lists)
        file = taken(source, tmp_path)
        assert check(file).footer.growers == 60

        restore(target, file, rules(), StandingClock())

        assert target.value(grower_id(ANN)) == (0, None)


class TestWhoTookConsentBack:
    def test_does_not_come_back_by_a_backup_of_before_and_the_marks_are_merged(
        self, two: Two, tmp_path: Path
    ) -> None:
        """Ann did so in the store that is lost, Ben in the one that it goes into."""
        source, target = two
        lived_in(source)
        file = taken(source, tmp_path)
        inbound(source, says("We keep nothing.", Withdraw())).take(ussd("1", id="m8", number=ANN))
        inbound(target, says("Noted.", Agree())).take(ussd("1", number=BEN))
        inbound(target, says("We keep nothing.", Withdraw())).take(ussd("1", id="m9", number=BEN))

        done = restore(target, file, rules(), StandingClock(), lists=[taken(source, tmp_path, lists_only=True)])

        assert done == Restored(58, 2)
        for phone in (ANN, BEN):
            assert target.value(grower_id(phone)) == (0, None)
            assert target.stopped(grower_id(phone), grower_id(phone))
        assert recount(target, figures_of, VILLAGES) == ()

    def test_and_agreed_again_comes_back_though_the_number_had_changed(self, two: Two, tmp_path: Path) -> None:
        """Grower and number are then two marks, and both must go."""
        source, target = two
        new = next(f"+9990022{end:05}" for end in range(99) if not _is_near(f"+9990022{end:05}"))
        inbound(source, says("Noted.", Agree())).take(ussd("1", number=ANN))
        Moving(source, StandingClock(), IDS).move(ANN, new, None)
        relaying(source).apply_waiting(bucket_of(grower_id(ANN)))
        inbound(source, says("We keep nothing.", Withdraw())).take(ussd("1", id="m2", number=new))
        inbound(source, says("Noted.", Agree())).take(ussd("1", id="m3", number=new))

        done = restore(target, taken(source, tmp_path), rules(), StandingClock())

        assert done == Restored(1, 0)
        reading = target.read(grower_id(new), IDS.message(new, "m9"))
        assert (reading.grower, from_bytes(reading.value).record.number) == (grower_id(ANN), new)


def _is_near(number: str) -> bool:
    return bucket_of(grower_id(number)) == bucket_of(grower_id(ANN))


def test_who_said_stop_since_comes_back_with_the_mark(two: Two, tmp_path: Path) -> None:
    source, target = two
    lived_in(source)
    file = taken(source, tmp_path)
    inbound(source, says("Stopped.", Stop())).take(sms("stop", id="m8", number=ANN))

    restore(target, file, rules(), StandingClock(), lists=[taken(source, tmp_path, lists_only=True)])

    assert from_bytes(target.value(grower_id(ANN))[1]).record.stopped == NOW
    assert target.stopped(grower_id(ANN), grower_id(ANN))


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
