"""All figures as a page to read: by subject, with value, unit, zone, mark and source."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from advisor.agronomy.leaf_signs import LeafSigns
from advisor.commands.calculator.amounts import said_number
from advisor.commands.calculator.known import Known, Used
from advisor.commands.calculator.subjects import SUBJECTS

#: How the page that is kept in the tree is written anew.
RENEW = ".venv/bin/advisor figures --page > advisor/agronomy/FIGURES.md"
#: Figures that are said in the name of the row that they belong to.
_IN_THE_ROW = re.compile(r"harvest\.grain\.storage\[\d+\]\.(moisture|temperature)$")
_UNITS = {"1": "", "celsius": "°C", "m2": "m²", "plants/m2": "plants/m²", "m2/hour": "m²/hour", "g/ml": "g/mL"}
#: Units that have a plural.
_COUNTED = frozenset({"acre", "hour", "day", "month"})
_INTRO = f"""# Figures in use

Every figure that the calculator rests on, by subject, from the same files as `advisor figures`. Written by

    {RENEW}

*published*: taken from the source that is named, whose address is linked. *common practice*: what field agents do
and say, without a source. *judgement*: whoever set the figure up put it there, to be measured and replaced; where
a source is named it gives the range, or was not seen itself. Figures of Ulami, the invented district of the
demonstration, are examples: a programme brings its own. Parts are fractions of one; a zone is named where a figure
holds in that zone only."""


@dataclass(frozen=True, slots=True)
class _Row:
    """A line of a table; figures that are alike for several crops share one."""

    name: str
    value: str
    zone: str
    mark: str
    source: str


def figure_page(known: Known) -> str:
    """All figures as a page in Markdown.

    Args:
        known: the programme and everything else that has figures.
    """
    used = [each for each in known.all_used() if not _IN_THE_ROW.search(each.place)]
    parts = [_INTRO]
    for subject in SUBJECTS:
        own = [(name, each) for kind, name in subject.names.items() for each in used if _kind(each.place) == kind]
        if own:
            parts += [f"## {subject.title}\n\n{subject.told}", _table(own, known)]
    named = {kind for subject in SUBJECTS for kind in subject.names}
    rest = [(each.place, each) for each in used if _kind(each.place) not in named]
    if rest:
        parts += ["## Other figures", _table(rest, known)]
    return "\n\n".join([*parts, *_leaves(known), _sources(known)])


def _kind(place: str) -> str:
    """A place without crop, programme and the numbers of rows: ``crop: calendar.weedings.day``."""
    file, _, inside = place.partition(": ")
    kind = file if file == "onset rules" else file.partition(" ")[0]
    return f"{kind}: " + re.sub(r"\[\d+\]", "", inside)


def _table(own: Sequence[tuple[str, Used]], known: Known) -> str:
    rows: dict[_Row, list[str]] = {}
    for name, each in own:
        source = (
            f"[{each.figure.source}]({each.url})" if each.url else f"[{each.figure.source}](#{each.figure.source})"
        )
        row = _Row(name, _value(each), each.zone, each.figure.mark, source)
        rows.setdefault(row, []).append(_of(each.place, known))
    lines = (
        f"| {row.name} | {'; '.join(dict.fromkeys(of))} | {row.value} | {row.zone} | {row.mark} | {row.source} |"
        for row, of in rows.items()
    )
    return "\n".join(
        ("| figure | of | value | zone | mark | source |", "| --- | --- | --- | --- | --- | --- |", *lines)
    )


def _value(each: Used) -> str:
    value, unit = each.figure.value, each.figure.unit
    if unit == "day of year":
        # A year without a leap day, as the figures are counted.
        day = date(2001, 1, 1) + timedelta(value - 1)
        return f"{day.day} {day:%B}"
    if unit == "pH":
        return f"pH {said_number(value)}"
    said = _UNITS.get(unit, unit).replace("percent", "%").replace("ml", "mL")
    if unit in _COUNTED and value != 1:
        said += "s"
    return f"{said_number(value)} {said.removesuffix('s') if unit == 'seeds' and value == 1 else said}".rstrip()


def _of(place: str, known: Known) -> str:
    """What a figure is of: the crop, the product, the rule."""
    file, _, inside = place.partition(": ")
    if file == "onset rules":
        return known.onset_rules.rules[_number(inside)].key
    if file.startswith("crop "):
        return _of_crop(file.removeprefix("crop "), inside, known)
    return _of_programme(inside, known)


def _of_crop(key: str, inside: str, known: Known) -> str:
    crop = next(crop for crop in known.crops if crop.key == key)
    name = key.replace("_", " ")
    harvest = crop.harvest
    if inside.startswith("harvest.grain.storage") and harvest and harvest.grain:
        kept = harvest.grain.storage[_number(inside)]
        return f"{name} at {said_number(kept.moisture_percent)} %, {said_number(kept.celsius)} °C"
    if inside.startswith("harvest.nodules") and harvest:
        return f"{name}, scheme {harvest.nodules[_number(inside)].key}"
    return f"{name}, {_nested(inside)}" if "[" in inside else name


def _of_programme(inside: str, known: Known) -> str:
    """The row of the programme file by its own name, and its crop where it has one; else the programme."""
    programme = known.programme
    table = inside.partition("[")[0]
    rows = {
        "zones": programme.zones,
        "crops": programme.crops,
        "seeds": programme.seeds,
        "inoculants": programme.inoculants,
        "measures": programme.measures,
        "varieties": programme.varieties,
        "seasons": programme.seasons,
        "budgets": programme.budgets,
        "loans": programme.loans,
        "body_measures": programme.land.measures,
        "partners": programme.land.partners,
        "field.units": programme.land.units,
    }
    if (fertilising := programme.fertilising) is not None:
        rows["fertilising.needs"] = fertilising.needs
        rows["fertilising.soil_classes"] = fertilising.soil_classes
        rows["fertilising.products"] = fertilising.products
    if "[" not in inside or table not in rows:
        return programme.name.default
    row = rows[table][_number(inside)]
    crop = getattr(row, "crop", "").replace("_", " ")
    label = getattr(row, "label", None)
    own = label.default if label is not None else getattr(row, "key", "")
    said = ", ".join(dict.fromkeys(part for part in (crop, own) if part)) or programme.name.default
    return f"{said}, {nested}" if (nested := _nested(inside.partition("].")[2])) else said


def _nested(inside: str) -> str:
    """A row in a row: ``weeding 2``; empty where there is none."""
    found = re.search(r"([a-z_]+?)s?\[(\d+)\]", inside)
    return f"{found[1].replace('_', ' ')} {found[2]}" if found else ""


def _number(inside: str) -> int:
    """The first number of a row in a place, counted from 0."""
    found = re.search(r"\[(\d+)\]", inside)
    return int(found[1]) - 1 if found else 0


def _leaves(known: Known) -> Iterator[str]:
    if known.leaf_signs:
        yield "## Signs on leaves\n\nLikely causes by what is seen, the commoner first; no product and no dose."
        yield "\n".join(
            (
                "| cause | of | shows | never shows | mark | source |",
                "| --- | --- | --- | --- | --- | --- |",
                *(line for signs in known.leaf_signs for line in _causes(signs, known)),
            )
        )


def _causes(signs: LeafSigns, known: Known) -> Iterator[str]:
    texts = {sign.key: sign.text for sign in signs.signs}
    urls = {source.key: source.url for source in known.sources}
    for cause in signs.causes:
        source = f"[{cause.source}]({urls[cause.source] or '#' + cause.source})"
        shows, never = ("; ".join(texts[key] for key in keys) for keys in (cause.shows, cause.never))
        yield f"| {cause.text} | {signs.crop.replace('_', ' ')} | {shows} | {never} | {cause.mark} | {source} |"


def _sources(known: Known) -> str:
    used = {each.figure.source for each in known.all_used()}
    used |= {cause.source for signs in known.leaf_signs for cause in signs.causes}
    rows = (
        f'- <a id="{source.key}"></a>**{source.key}**: {source.citation}'
        + (f", <{source.url}>" if source.url else "")
        for source in sorted(known.sources, key=lambda source: source.key)
        if source.key in used
    )
    return "\n".join(("## Sources\n", *rows))
