"""Merges rows: those of one number within a file, and a row into what is known of the grower.

The rule is the same in both places: of each fact what was told later wins. Within a file, of two of the same day
the lower line wins; against what is known, a row counts from the beginning of its day, so that whatever the grower
said on that day or later stays. The earliest consent counts. Nothing here ends a stop.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime

from msgspec.structs import replace

from advisor.records.facts import Fact
from advisor.records.grower import Grower
from advisor.records.rows import FACTS, Row


def merged(upper: Row, lower: Row) -> Row:
    """Two rows of one number as one; it has the line of the upper one.

    >>> from advisor.records.rows import Said
    >>> first, later = date(2027, 2, 1), date(2027, 3, 1)
    >>> upper = Row(2, "+999001000001", "paper", first, later, (Said("lot.origin", "saved", later),))
    >>> lower = Row(9, "+999001000001", "spoken", later, first, (Said("lot.origin", "bought", first),))
    >>> merged(upper, lower).consent_how, merged(upper, lower).facts[0].value
    ('paper', 'saved')
    """
    facts = {fact.name: fact for fact in upper.facts}
    for fact in lower.facts:
        there = facts.get(fact.name)
        if there is None or there.on <= fact.on:
            facts[fact.name] = fact
    consent = min((upper, lower), key=lambda row: row.consent_on)
    return Row(
        line=upper.line,
        number=upper.number,
        consent_how=consent.consent_how,
        consent_on=consent.consent_on,
        told_on=max(upper.told_on, lower.told_on),
        facts=tuple(fact for _, fact in sorted(facts.items())),
    )


#: What two lines about one person seldom say differently, by the column that says it.
_OF_A_PERSON = {FACTS[column]: column for column in ("language", "village", "field_area")}


def unlike(upper: Row, lower: Row) -> tuple[str, ...]:
    """Columns in which two rows of one number differ so that they may be two people who share a phone.

    >>> from advisor.records.rows import Said
    >>> day = date(2027, 2, 1)
    >>> dovi, kesu = (Said("grower.village", village, day) for village in ("v1", "v2"))
    >>> upper, lower = (Row(2, "+999001000001", "paper", day, day, (said,)) for said in (dovi, kesu))
    >>> unlike(upper, lower), unlike(upper, upper)
    (('village',), ())
    """
    told = {fact.name: fact.value for fact in upper.facts}
    return tuple(
        _OF_A_PERSON[fact.name]
        for fact in lower.facts
        if fact.name in _OF_A_PERSON and told.get(fact.name, fact.value) != fact.value
    )


def unclear(record: Grower, row: Row) -> tuple[str, ...]:
    """Names of facts that cannot be merged: a table does not say which of several fields or lots it means."""
    several = {f"{aside.scope}." for aside in record.aside}
    return tuple(fact.name for fact in row.facts if fact.name.startswith(tuple(several))) if several else ()


def with_row(record: Grower, row: Row, begins: Callable[[date], datetime]) -> Grower:
    """The record with what a row says.

    Args:
        record: what is known of the grower.
        row: the row.
        begins: the moment at which a day begins, with a time zone.
    """
    left_out = unclear(record, row)
    facts, is_news = {fact.name: fact for fact in record.facts}, False
    for said in row.facts:
        learnt, known = begins(said.on), facts.get(said.name)
        if said.name not in left_out and (known is None or known.learnt < learnt):
            facts[said.name] = Fact(said.name, said.value, learnt)
            is_news = True
    if record.agreed is None:
        record = replace(
            record, number=record.number or row.number, agreed=begins(row.consent_on), agreed_how=row.consent_how
        )
    return replace(record, facts=tuple(facts[name] for name in sorted(facts))) if is_news else record
