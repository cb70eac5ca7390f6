"""A store that is lived in, for the tests of backups: sixty growers, and what becomes of them."""

from __future__ import annotations

import gzip
from datetime import timedelta
from pathlib import Path

from msgspec.structs import replace

from advisor.dialogue.talk import Agree, Begin, Effect, Erase, Keep, Send, Stop
from advisor.service.backups import back_up, rules_of
from advisor.service.clock import unix_ms
from advisor.service.figures import village_figures
from advisor.service.stored import from_bytes, to_bytes
from advisor.store import keys
from advisor.store.api import Change, Committed, Relay, RoundRow, RoundState, Settlement
from advisor.store.names import bucket_of
from advisor.store.redis_store import RedisStore
from tests.service.stage import BANDS, IDS, NOW, StandingClock, grower_id, inbound, says, session, sms, ussd

PHONES = tuple(f"+9990077{end:05}" for end in range(60))
ANN, BEN, COR = PHONES[:3]
VILLAGES = ("v1", "v2", "v3")
ROUND = b'key = "demo"\n[[steps]]\nkey = "one"\nafter_minutes = 0\ngood_for_hours = 6\ntext = { en = "One" }'
MARK = keys.secret_mark(b"tests")


def lived_in(store: RedisStore) -> None:
    """Sixty growers of three villages, with open conversations, waiting messages, a stop, an erase and a relay."""
    for place, phone in enumerate(PHONES):
        facts = (Keep("grower.village", VILLAGES[place % 3]), Keep("lot.origin", "bought"))
        other = (Begin("lot"), Keep("lot.origin", "saved")) if place % 7 == 6 else ()
        told: tuple[Effect, ...] = (Agree(), *facts, *other, Send("list", (f"Buy {place} kg",)))
        inbound(store, says("Noted.", *told, to=session())).take(ussd("1", id="m1", number=phone))
        inbound(store, says(f"Area {place}?", to=session())).take(ussd("2", id="m2", number=phone))
    inbound(store, says("Stopped.", Stop())).take(sms("stop", id="m3", number=BEN))
    inbound(store, says("Erased.", Erase())).take(ussd("1", id="m3", number=COR))
    inbound(store, says("Consent?", to=session())).take(ussd("1", number="+999001110000"))
    version, value = store.value(grower_id(ANN))
    elsewhere = grower_id(PHONES[9])
    assert bucket_of(elsewhere) != bucket_of(grower_id(ANN))
    verdict = store.commit(
        Change(
            grower_id(ANN),
            version,
            value,
            unix_ms(NOW),
            relays=(Relay("e1", elsewhere, b"{}"),),
            applied="e0",
            idle_ms=unix_ms(NOW + timedelta(days=730)),
        )
    )
    assert isinstance(verdict, Committed)
    far = grower_id(PHONES[40])
    store.commit(Change(far[:2] + "00000000000000", 0, None, unix_ms(NOW), pointer=(far[:2] + "0" * 14, far)))
    store.park(grower_id(ANN), "55ff", unix_ms(NOW))
    in_rounds(store)
    for phone, state in ((PHONES[20], "dead"), (PHONES[21], "unknown")):
        bucket = bucket_of(grower_id(phone))
        (one,) = [one for one in store.claim(bucket, unix_ms(NOW) + 9, 0, 99) if one.grower == grower_id(phone)]
        store.settle(bucket, [Settlement(one.oid, one.lane, state, grower=one.grower)], unix_ms(NOW))


def in_rounds(store: RedisStore) -> None:
    """One round is paused, with two who are due in it and one step done; another was stopped."""
    for key in ("demo", "over"):
        store.start_round(RoundRow(key, RoundState.RUNNING, unix_ms(NOW), ROUND))
    for phone in PHONES[5:7]:
        version, value = store.value(grower_id(phone))
        stored = from_bytes(value)
        value = to_bytes(replace(stored, record=stored.record.passes("demo", ("one",))))
        given = {"dues": (("demo", unix_ms(NOW) + 7),), "tallies": (("demo", "sent", 1),), "heard": False}
        verdicts = store.commit_all([Change(grower_id(phone), version, value, unix_ms(NOW), **given)])
        assert isinstance(verdicts[0], Committed)
    store.set_round("demo", RoundState.PAUSED)
    store.set_round("over", RoundState.STOPPED)


def rules(clock: StandingClock | None = None):
    return rules_of(IDS, BANDS, clock or StandingClock())


def taken(store: RedisStore, folder: Path, **options: bool) -> Path:
    file = folder / f"all{len(list(folder.iterdir()))}.backup"
    back_up(store, file, StandingClock(), **options)
    return file


def lines_in(file: Path) -> list[bytes]:
    return gzip.decompress(file.read_bytes()).splitlines(keepends=True)


def figures_of(value: bytes):
    village, counters = village_figures(from_bytes(value).record, BANDS)
    return [(village, counter, 1) for counter in counters]
