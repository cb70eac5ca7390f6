"""Signs on leaves: likely causes in order, what tells them apart, and when to call the agent.

A grower says what is seen, never what is guessed: where on the plant it began, and how it looks. Each cause of
the data file lists the signs that it shows and those that it never shows. A cause that never shows what was seen
is out; the others come in the order of how much they explain, then of how little of them is missing. What one
of them shows and the next does not is what to look for. No product and no dose is ever named: that is for the
label and a licensed dealer.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from advisor.agronomy.cautions import ASK_DEALER_OR_EXTENSION, FOLLOW_THE_PACK, KEEP_FROM_CHILDREN_AND_FOOD
from advisor.agronomy.errors import CannotBe, MissingFigure
from advisor.agronomy.figures import MARKS, Mark
from advisor.agronomy.sources import Source
from advisor.agronomy.tables import Table, read_table


class Kind(StrEnum):
    """What sort of cause it is."""

    HUNGER = "hunger"
    DISEASE = "disease"


class Call(StrEnum):
    """When to call the agent: today; within the week; at the next visit."""

    TODAY = "today"
    THIS_WEEK = "this_week"
    NEXT_VISIT = "next_visit"


#: The soonest first.
_SOONEST = tuple(Call)


@dataclass(frozen=True, slots=True)
class Sign:
    """Something that can be seen.

    Args:
        key: short key, never changed.
        text: what it looks like, in plain English.
    """

    key: str
    text: str


@dataclass(frozen=True, slots=True)
class Cause:
    """A likely cause.

    Args:
        key: short key, never changed.
        text: its name in plain English.
        kind: what sort of cause it is.
        shows: keys of the signs that it shows.
        never: keys of the signs that it never shows.
        apart: what tells it from those that look like it.
        then: what to do, without any product or dose.
        call: when to call the agent.
        source: key of the source.
        mark: how far it can be relied on.
    """

    key: str
    text: str
    kind: Kind
    shows: tuple[str, ...]
    never: tuple[str, ...]
    apart: str
    then: str
    call: Call
    source: str
    mark: Mark


@dataclass(frozen=True, slots=True)
class LeafSigns:
    """All that is known of one crop's leaves.

    Args:
        crop: key of the crop.
        signs: what can be seen.
        causes: causes, the commoner first.
    """

    crop: str
    signs: tuple[Sign, ...]
    causes: tuple[Cause, ...]


@dataclass(frozen=True, slots=True)
class Likely:
    """A cause that explains something of what was seen.

    Args:
        cause: the cause.
        seen: its signs that were seen.
        look_for: its signs that were not named, in the order of the file: seeing one speaks for it.
        not_explained: what was seen and the cause does not show.
    """

    cause: Cause
    seen: tuple[str, ...]
    look_for: tuple[str, ...]
    not_explained: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """What the leaves may have.

    Args:
        likely: causes, the likeliest first; none where nothing explains what was seen.
        tells_apart: signs that only one of the two likeliest shows; empty where there are not two.
        call: when to call the agent.
        cautions: keys of what must be said with it.
    """

    likely: tuple[Likely, ...]
    tells_apart: tuple[str, ...]
    call: Call
    cautions: tuple[str, ...]


def leaf_causes(signs: LeafSigns, seen: Sequence[str]) -> Diagnosis:
    """Likely causes of what is seen on leaves.

    Args:
        signs: what is known of the crop's leaves.
        seen: keys of the signs that were seen, at least one.

    Returns:
        The causes; the agent is called as soon as any of them that explains as much as the first asks for it, and
        within the week where none explains anything.

    Raises:
        CannotBe: no sign was named.
        MissingFigure: a sign that the file does not know.

    Source:
        Each cause names its own; ordering by explained and missing signs is our own choice.

    >>> rust = Cause("rust", "", Kind.DISEASE, ("spots", "blisters"), (), "", "", Call.TODAY, "x", "judgement")
    >>> hunger = Cause("n", "", Kind.HUNGER, ("pale",), ("spots",), "", "", Call.NEXT_VISIT, "x", "judgement")
    >>> known = LeafSigns("x", tuple(Sign(key, key) for key in ("spots", "blisters", "pale")), (hunger, rust))
    >>> found = leaf_causes(known, ["spots"])
    >>> [(each.cause.key, each.look_for) for each in found.likely], str(found.call)
    ([('rust', ('blisters',))], 'today')
    """
    named = _checked(signs, seen)
    found = [_likely(cause, named, signs) for cause in signs.causes if not set(cause.never) & set(named)]
    likely = tuple(
        sorted((each for each in found if each.seen), key=lambda each: (-len(each.seen), len(each.look_for)))
    )
    calls = [each.cause.call for each in likely if len(each.seen) == len(likely[0].seen)]
    told = (ASK_DEALER_OR_EXTENSION, FOLLOW_THE_PACK, KEEP_FROM_CHILDREN_AND_FOOD)
    return Diagnosis(
        likely=likely,
        tells_apart=_apart(likely[:2], signs),
        call=min(calls, key=_SOONEST.index, default=Call.THIS_WEEK),
        cautions=told if any(each.cause.kind is not Kind.HUNGER for each in likely) else told[:2],
    )


def _checked(signs: LeafSigns, seen: Sequence[str]) -> tuple[str, ...]:
    known = [sign.key for sign in signs.signs]
    if not seen:
        raise CannotBe("no_sign", "no sign was named", f"name at least one of: {', '.join(known)}")
    for key in seen:
        if key not in known:
            raise MissingFigure(f"{signs.crop}.signs.{key}", f"name one of: {', '.join(known)}")
    return tuple(dict.fromkeys(seen))


def _likely(cause: Cause, named: Sequence[str], signs: LeafSigns) -> Likely:
    return Likely(
        cause=cause,
        seen=tuple(key for key in named if key in cause.shows),
        look_for=tuple(sign.key for sign in signs.signs if sign.key in cause.shows and sign.key not in named),
        not_explained=tuple(key for key in named if key not in cause.shows),
    )


def _apart(likeliest: Sequence[Likely], signs: LeafSigns) -> tuple[str, ...]:
    if len(likeliest) < 2:
        return ()
    one, other = (set(each.cause.shows) for each in likeliest)
    return tuple(sign.key for sign in signs.signs if sign.key in one ^ other)


def read_leaf_signs(text: str, sources: Sequence[Source]) -> LeafSigns:
    """What is known of a crop's leaves, from its data file.

    Args:
        text: TOML with ``[[signs]]`` and ``[[causes]]``.
        sources: sources that the causes may name.

    Returns:
        The signs and causes.

    Raises:
        DataFault: everything that is wrong with the file, at once.

    Source:
        The project's own file format.

    >>> from advisor.agronomy.errors import DataFault
    >>> try:
    ...     read_leaf_signs('crop = "x"', ())
    ... except DataFault as fault:
    ...     len(fault.faults)
    2
    """
    addresses = {source.key: bool(source.url) for source in sources}
    table = read_table(text, "leaf signs", addresses)
    signs = tuple(Sign(row.text("key", longest=24), row.text("text")) for row in table.rows("signs"))
    known = [sign.key for sign in signs]
    rows = table.rows("causes")
    causes = tuple(_cause(row, known, addresses) for row in rows)
    table.unique("signs", known)
    table.unique("causes", [cause.key for cause in causes])
    for sign in known if table.is_sound else ():
        if not any(sign in cause.shows for cause in causes):
            table.fault("signs", f"has {sign!r}, which no cause shows", "take it out, or name it in a cause")
    found = LeafSigns(table.text("crop", longest=16), signs, causes)
    table.finish()
    return found


def _cause(row: Table, known: Sequence[str], addresses: dict[str, bool]) -> Cause:
    mark = row.one_of("mark", MARKS)
    cause = Cause(
        key=row.text("key", longest=24),
        text=row.text("text"),
        kind=Kind(row.one_of("kind", tuple(Kind))),
        shows=row.texts("shows"),
        never=row.optional_texts("never"),
        apart=row.text("apart", longest=300),
        then=row.text("then", longest=300),
        call=Call(row.one_of("call", tuple(Call))),
        source=row.one_of("source", tuple(addresses)),
        mark=next(known_mark for known_mark in MARKS if known_mark == mark),
    )
    for key in sorted({*cause.shows, *cause.never} - {*known, "-"}):
        row.fault("shows", f"or never names {key!r}, which is no sign", "add it to [[signs]], or mend the name")
    for key in sorted(set(cause.shows) & set(cause.never)):
        row.fault("never", f"has {key!r}, which the cause shows as well", "keep it in one of the two")
    if row.is_sound and cause.mark == "published" and not addresses.get(cause.source):
        row.fault("mark", "is published but its source has no address", "name the source it is from")
    return cause
