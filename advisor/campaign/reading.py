"""Reading a round from its file, and finding what in it cannot be."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date, timedelta

from advisor.agronomy.tables import Table, read_table
from advisor.campaign.choosing import Chosen
from advisor.campaign.rounds import BAG, ZONE_ANCHORS, After, AgentNote, Later, LateStart, OnDay, Round, Step
from advisor.wording.segments import ROOM, alphabet_of, cost

_KEY = re.compile(r"[a-z0-9][a-z0-9_-]{0,31}")
_MINUTES_MOST = 366 * 24 * 60
_DAYS_MOST = 366
_TIMES_MOST = 60
#: A grower is put on the agent's list for so long after the day for it: a count is out of date a month after it
#: was told, and who has counted must not come to look like somebody who has not.
CLOSES_FOR = timedelta(days=21)
_CONDITION = re.compile(r"(?:grower|plot|lot)\.[a-z_]+(?: = [a-z0-9_-]+)?")
_SCREEN = re.compile(r"[a-z_]+\.[a-z_]+")
_REASON = re.compile(r"[a-z_]{1,32}")
#: Stands in a text for the day that its step is counted from.
DAY = "%(day)s"
#: No language of the programme says a day of a month in more characters; a test of the shipped rounds measures it.
DAY_CHARACTERS = 9
#: Stands in what agents are told for how many growers it is about, and the most that there is room for.
GROWERS, MOST_GROWERS = "%(growers)s", "99999"


def read_round(text: str, languages: Sequence[str]) -> Round:
    """A round from its file.

    Args:
        text: TOML; `rounds/demo.toml` and `rounds/seed_test.toml` show every key between them.
        languages: languages of the programme, in each of which every step has a text.

    Raises:
        DataFault: everything that is wrong with the file, at once.

    >>> step = '[[steps]]\\nkey = "sort"\\nafter_minutes = 0\\ngood_for_hours = 24\\ntext.en = "Sort your seed"'
    >>> read_round('key = "demo"\\n' + step, ("en",)).steps[0].text("en")
    'Sort your seed'
    """
    table = read_table(text, "round", {})
    found = Round(
        _key(table),
        tuple(_step(row, languages) for row in table.rows("steps")),
        _chosen(table.optional_row("chosen")),
        tuple(_note(row, languages) for row in (table.rows("agents") if table.has("agents") else ())),
    )
    table.unique("agents", [note.key for note in found.notes])
    table.unique("steps", [step.key for step in found.steps])
    _stand_in(table, found.steps)
    table.finish()
    return found


def _key(table: Table) -> str:
    key = table.text("key", longest=32)
    if not _KEY.fullmatch(key):
        table.fault("key", f"is {key!r}", "give 1 to 32 small letters, digits, dashes or underscores")
    return key


def _step(row: Table, languages: Sequence[str]) -> Step:
    times = row.whole("times", 1, _TIMES_MOST, default=1)
    closes = _matching(row, "closes", _REASON, "small letters and underscores")
    when = _when(row)
    if times > 1 and isinstance(when, OnDay) and when.anchor in ZONE_ANCHORS:
        row.fault(
            "times", f"is {times}", "a step that hangs on rain comes once for each beginning: give another step"
        )
    return Step(
        key=_key(row),
        when=when,
        # late, since planning may have been held; but not so late that what was told then is out of date by now
        good_for=CLOSES_FOR if closes else timedelta(hours=row.whole("good_for_hours", 1, 24 * _DAYS_MOST)),
        texts=() if closes else _texts(row.row("text"), languages),
        unless=_conditions(row, "unless"),
        times=times,
        every_days=row.whole("every_days", 1, _DAYS_MOST) if times > 1 else 0,
        only=_conditions(row, "only"),
        closes=closes,
        asks="" if closes else _matching(row, "asks", _SCREEN, "flow.screen"),
        says="" if closes else row.text("says", default="", longest=32),
        started=_started(row.optional_row("started")),
        later=_later(row.optional_row("later")),
        of_bag=_texts_of_bag(row.optional_row("of_bag"), languages),
        each_bag=row.has("each_bag") and row.one_of("each_bag", ("yes", "no")) == "yes",
        instead_of=row.optional_texts("instead_of"),
    )


def _stand_in(table: Table, steps: Sequence[Step]) -> None:
    """Only what comes once a grower is told apart by its key from what never came."""
    once = {step.key for step in steps if step.times == 1 and not step.is_of_bags}
    for step in steps:
        for key in step.instead_of:
            if key == step.key or key not in once:
                table.fault("steps", f"has {step.key!r} instead of {key!r}", "name another step that comes once")


def _note(row: Table, languages: Sequence[str]) -> AgentNote:
    started = _started(row.optional_row("started"))
    return AgentNote(
        key=_key(row),
        on=row.one_of("from", ZONE_ANCHORS) if started is None else started,
        good_for=timedelta(hours=row.whole("good_for_hours", 1, 24 * _DAYS_MOST)),
        texts=_texts(row.row("text"), languages),
        unless=_conditions(row, "unless"),
        only=_conditions(row, "only"),
    )


def _when(row: Table) -> After | OnDay:
    if row.has("after_minutes"):
        return After(row.whole("after_minutes", 0, _MINUTES_MOST))
    slowed = row.has("slowed") and row.one_of("slowed", ("yes", "no")) == "yes"
    return OnDay(row.text("from", longest=64), row.whole("day", -_DAYS_MOST, _DAYS_MOST), row.clock("at"), slowed)


def _conditions(row: Table, key: str) -> tuple[str, ...]:
    found = row.optional_texts(key)
    for condition in found:
        if not _CONDITION.fullmatch(condition):
            row.fault(key, f"has {condition!r}", 'give "lot.test" for known, "lot.origin = bought" for just that')
    return found


def _matching(row: Table, key: str, pattern: re.Pattern[str], form: str) -> str:
    found = row.text(key, default="", longest=64)
    if found and not pattern.fullmatch(found):
        row.fault(key, f"is {found!r}", f"give {form}")
    return found


def _started(row: Table | None) -> LateStart | None:
    if row is None:
        return None
    first, last = (row.whole(key, -_DAYS_MOST, _DAYS_MOST) for key in ("first", "last"))
    if first > last:
        row.fault("first", f"is {first}, after {last}", "give the earlier day first")
    slowed = row.one_of("slowed", ("first", "last")) if row.has("slowed") else ""
    return LateStart(row.text("from", longest=64), first, last, row.text("warns", default="", longest=120), slowed)


def _later(row: Table | None) -> Later | None:
    return None if row is None else Later(row.text("fact", longest=64), row.whole("days", 1, _DAYS_MOST))


def _chosen(row: Table | None) -> Chosen:
    if row is None:
        return Chosen()
    tested = row.one_of("tested", ("yes", "no")) if row.has("tested") else None
    return Chosen(
        row.optional_texts("villages"),
        row.optional_texts("languages"),
        _day(row, "sowing_from"),
        _day(row, "sowing_to"),
        None if tested is None else tested == "yes",
    )


def _day(row: Table, key: str) -> date | None:
    told = row.text(key, default="", longest=10)
    try:
        return date.fromisoformat(told) if told else None
    except ValueError:
        row.fault(key, f"is {told!r}", 'give a day such as "2027-11-20"')
        return None


def _texts_of_bag(row: Table | None, languages: Sequence[str]) -> tuple[tuple[str, str], ...]:
    if row is None:
        return ()
    found = _texts(row, languages)
    for language, text in found:
        if BAG not in text:
            row.fault(language, "names no bag", f"say which one with {BAG}")
    return found


def _texts(row: Table, languages: Sequence[str]) -> tuple[tuple[str, str], ...]:
    found = tuple((language, row.text(language, longest=1000)) for language in languages)
    for language, written in found:
        text = written.replace(DAY, "0" * DAY_CHARACTERS).replace(GROWERS, MOST_GROWERS).replace(BAG, "0")
        alphabet = alphabet_of(text)
        taken, room = cost(text, alphabet), ROOM[alphabet]
        if taken > room:
            row.fault(language, f"costs {taken} of a page's {room}", "say it in fewer words")
    return found
