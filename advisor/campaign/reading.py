"""Reading a round from its file, and finding what in it cannot be."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import timedelta

from advisor.agronomy.tables import Table, read_table
from advisor.campaign.rounds import After, OnDay, Round, Step
from advisor.wording.segments import ROOM, alphabet_of, cost

_KEY = re.compile(r"[a-z0-9][a-z0-9_-]{0,31}")
_MINUTES_MOST = 366 * 24 * 60
_DAYS_MOST = 366
_TIMES_MOST = 60


def read_round(text: str, languages: Sequence[str]) -> Round:
    """A round from its file.

    Args:
        text: TOML; the demonstration round shows every key.
        languages: languages of the programme, in each of which every step has a text.

    Raises:
        DataFault: everything that is wrong with the file, at once.

    >>> step = '[[steps]]\\nkey = "sort"\\nafter_minutes = 0\\ngood_for_hours = 24\\ntext.en = "Sort your seed"'
    >>> read_round('key = "demo"\\n' + step, ("en",)).steps[0].text("en")
    'Sort your seed'
    """
    table = read_table(text, "round", {})
    found = Round(_key(table), tuple(_step(row, languages) for row in table.rows("steps")))
    table.unique("steps", [step.key for step in found.steps])
    table.finish()
    return found


def _key(table: Table) -> str:
    key = table.text("key", longest=32)
    if not _KEY.fullmatch(key):
        table.fault("key", f"is {key!r}", "give 1 to 32 small letters, digits, dashes or underscores")
    return key


def _step(row: Table, languages: Sequence[str]) -> Step:
    times = row.whole("times", 1, _TIMES_MOST, default=1)
    return Step(
        key=_key(row),
        when=_when(row),
        good_for=timedelta(hours=row.whole("good_for_hours", 1, 24 * _DAYS_MOST)),
        texts=_texts(row.row("text"), languages),
        unless=row.optional_texts("unless"),
        times=times,
        every_days=row.whole("every_days", 1, _DAYS_MOST) if times > 1 else 0,
    )


def _when(row: Table) -> After | OnDay:
    if row.has("after_minutes"):
        return After(row.whole("after_minutes", 0, _MINUTES_MOST))
    return OnDay(row.text("from", longest=64), row.whole("day", -_DAYS_MOST, _DAYS_MOST), row.clock("at"))


def _texts(row: Table, languages: Sequence[str]) -> tuple[tuple[str, str], ...]:
    found = tuple((language, row.text(language, longest=1000)) for language in languages)
    for language, text in found:
        alphabet = alphabet_of(text)
        taken, room = cost(text, alphabet), ROOM[alphabet]
        if taken > room:
            row.fault(language, f"costs {taken} of a page's {room}", "say it in fewer words")
    return found
