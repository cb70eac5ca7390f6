"""A backup that is put back obeys what was said and erased since it was made."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.dialogue.talk import Agree, Erase, Stop, Withdraw
from advisor.service.backups import Restored, check, restore
from advisor.service.clock import unix_ms
from advisor.service.erasing import Erasing
from advisor.service.moving import Moving
from advisor.service.stored import from_bytes
from advisor.store.names import bucket_of
from advisor.store.recount import recount
from advisor.store.redis_store import RedisStore
from tests.service.lived import (
    ANN,
    BEN,
    COR,
    VILLAGES,
    figures_of,
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
from tests.service.two_stores import (  # noqa: F401 - fixtures
    Two,
    both_servers,
    contents,
    lived_in_and_empty,
    two_on_redis,
    without_erased,
)


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
