"""Tables of growers for the tests: their lines, and an import into a store."""

from __future__ import annotations

import io
from datetime import UTC, timedelta

import pytest

from advisor.loading import load_book
from advisor.records.grower import Grower
from advisor.service.importing import Brought, Checked, Importing, check
from advisor.service.listing import Days, terms_of
from advisor.service.stored import from_bytes
from advisor.service.tables import BrokenTable
from advisor.store.api import Store
from tests.service.stage import BANDS, IDS, NOW, StandingClock

BOOK = load_book()
TERMS = terms_of(BOOK.programme, NOW)
DAYS = Days(BOOK.zone)
RETENTION = timedelta(days=BOOK.programme.retention_days)
HEAD = (
    "number,language,village,agent,field_area,field_unit,sowing_date,seed_origin,told_on,consent_how,consent_on\n"
)
ANN = "+999001000001"
BEN = "+999001000002"


def line(number: str = ANN, **cells: str) -> str:
    """One line of a table; consent is there unless it is taken away."""
    told = {"number": number, "consent_how": "paper", "consent_on": "2027-02-01", **cells}
    return ",".join(told.get(column, "") for column in HEAD.strip().split(",")) + "\n"


#: A table in which nothing is wrong.
SOUND = HEAD + line() + line(BEN, village="Dovi")


def of(raw: bytes) -> Checked:
    """What comes of the bytes of a file."""
    return check(io.BytesIO(raw), TERMS)


def reason(raw: bytes) -> str:
    """Why a file is refused whole."""
    with pytest.raises(BrokenTable) as broken:
        of(raw)
    return str(broken.value)


def checked(*lines: str, head: str = HEAD) -> Checked:
    return of((head + "".join(lines)).encode())


def importing(store: Store, clock: StandingClock | None = None, *, writes: bool = True) -> Importing:
    return Importing(store, clock or StandingClock(), IDS, BANDS, DAYS, RETENTION, writes)


def brought(store: Store, *lines: str, **options: bool) -> Brought:
    """Imports a table of these lines."""
    return importing(store, **options).bring_in(checked(*lines).rows)


def record_of(store: Store, number: str = ANN) -> Grower:
    grower = store.read(IDS.number(number), IDS.message(number, "")).grower
    return from_bytes(store.value(grower)[1]).record


def facts_of(store: Store, number: str = ANN) -> dict[str, object]:
    return {fact.name: fact.value for fact in record_of(store, number).facts}


def day(text: str) -> str:
    """When a day begins in the programme's zone, as text in UTC."""
    from datetime import date

    return DAYS.begins(date.fromisoformat(text)).astimezone(UTC).isoformat()
