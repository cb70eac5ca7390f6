"""The published schema of the table of growers, as Table Schema has it.

Source: Frictionless Data, "Table Schema" 1.0 (specs.frictionlessdata.io/table-schema), an open standard: fields
with name, type, format and constraints. The descriptor says what a file may hold; what is read more kindly than it
says (local forms of numbers, names in capitals) stands in the descriptions.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from advisor.records.rows import HOWS, ORIGINS

#: The columns in their order, each with whether it must be there.
COLUMNS = {
    "number": True,
    "language": False,
    "village": False,
    "agent": False,
    "field_area": False,
    "field_unit": False,
    "sowing_date": False,
    "seed_origin": False,
    "told_on": False,
    "consent_how": True,
    "consent_on": True,
}
REQUIRED = tuple(column for column, needed in COLUMNS.items() if needed)


def table_schema(
    local_number: str,
    languages: Sequence[str],
    villages: Sequence[str],
    agents: Sequence[str],
    units: Sequence[str],
) -> dict[str, Any]:
    """The descriptor of the table for one programme.

    Args:
        local_number: how numbers look at the place, in words.
        languages: codes.
        villages: names and keys of villages.
        agents: names and keys of agents, none where the programme names none.
        units: units of area.

    >>> schema = table_schema("9 digits", ["en"], ["Dovi"], [], ["acre"])
    >>> [field["name"] for field in schema["fields"]] == list(COLUMNS)
    True
    """
    hows = "; ".join(f"{how}: {what}" for how, what in HOWS.items())
    fields = (
        _field("number", f"Number of the phone: + and country code, tel: before it or not; or {local_number}."),
        _field("language", "Language of the messages.", among=languages),
        _field("village", "Village, by its name in any language of the programme or by its key.", among=villages),
        _field("agent", "Agent in whose care the grower is.", among=agents),
        _field("field_area", "Area of the field, in the unit beside it.", kind="number"),
        _field("field_unit", "Unit of the area; goes with it.", among=units),
        _field("sowing_date", "Day on which the field is to be sown, or was.", kind="date"),
        _field("seed_origin", "Whether the seed is bought or saved from the last harvest.", among=ORIGINS),
        _field("told_on", "Day on which the grower said what the row says; empty: day of consent.", kind="date"),
        _field("consent_how", f"How the grower agreed that number and answers be kept. {hows}.", among=HOWS),
        _field("consent_on", "Day on which the grower agreed.", kind="date"),
    )
    return {"fields": list(fields), "missingValues": [""]}


def _field(name: str, description: str, kind: str = "string", among: Iterable[str] = ()) -> dict[str, Any]:
    field: dict[str, Any] = {"name": name, "type": kind, "format": "default", "description": description}
    constraints: dict[str, Any] = {"required": True} if COLUMNS[name] else {}
    if allowed := list(among):
        constraints["enum"] = allowed
    return {**field, "constraints": constraints} if constraints else field
