"""A record as the cells of a row, in the form that reading takes back."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date, datetime

from advisor.records.grower import Grower
from advisor.records.rows import FACTS
from advisor.records.rows_cells import number_cell, safe_cell


def cells_of(
    record: Grower, day_of: Callable[[datetime], date], names: Mapping[str, Mapping[str, str]]
) -> dict[str, str]:
    """The cells of a grower who has agreed, by column; what is not known is empty.

    ``told_on`` is the day of the oldest fact of the row: read back, it never overwrites what was said later. The
    field is given in square metres, in which it is kept.

    Args:
        record: what is known of the grower.
        day_of: the day of a moment, in the programme's zone.
        names: what keys are called, by fact; a key without a name stands for itself.
    """
    facts = {column: record.fact(name) for column, name in FACTS.items()}
    known = {column: fact for column, fact in facts.items() if fact is not None}
    cells = {
        column: safe_cell(names.get(fact.name, {}).get(str(fact.value), _text(fact.value)))
        for column, fact in known.items()
    }
    if "field_area" in known:
        cells["field_unit"] = "m2"
    if known:
        cells["told_on"] = min(day_of(fact.learnt) for fact in known.values()).isoformat()
    if record.agreed is not None:
        cells["consent_how"] = record.agreed_how or "dialogue"
        cells["consent_on"] = day_of(record.agreed).isoformat()
    return {"number": number_cell(record.number), **cells}


def _text(value: object) -> str:
    return f"{value:.6f}".rstrip("0").rstrip(".") if isinstance(value, float) else str(value)
