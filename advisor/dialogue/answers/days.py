"""Answers that are a day: written, or said from today on. What could be two days is asked again."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta

from advisor.dialogue.answers.results import Slip, Taken
from advisor.dialogue.answers.words import in_digits
from advisor.dialogue.answers.written_days import Written, written
from advisor.dialogue.flows import Ask
from advisor.wording.calendar import weekday_named
from advisor.wording.folding import folded
from advisor.wording.voice import Voice

_WEEK = 7


def bounds(ask: Ask, today: date) -> tuple[date, date]:
    """The first and the last day that a question takes."""
    return today + timedelta(days=int(ask.low or 0)), today + timedelta(days=int(ask.high or 0))


def day(typed: str, ask: Ask, voice: Voice, today: date) -> Taken | Slip:
    """A day between the question's bounds, as ISO 8601 text.

    Args:
        typed: what was typed, tidied.
        ask: the question, with its bounds in days from today.
        voice: the language.
        today: the day in the programme's time zone.
    """
    first, last = bounds(ask, today)
    said = folded(typed)
    near = _near(typed, said, voice, today) or _weekday(said, voice, today)
    if near:
        return _the_one(near, first, last, "two_days")
    read = written(typed, voice)
    return Slip("not_a_date") if read is None else _resolved(read, first, last)


def _near(typed: str, said: str, voice: Voice, today: date) -> list[date]:
    """``yesterday``, ``in 3 days``: the days that it can mean."""
    words = voice.glossary.day_words
    offsets = words.near.get(said, ())
    if offsets:
        return [today + timedelta(days=offset) for offset in offsets]
    counted = in_digits(typed, voice.glossary)
    if counted != typed:
        said = folded(counted)
    for form, step in words.distances:
        if match := form.fullmatch(said):
            return [today + timedelta(days=int(match[1]) * step)]
    return []


def _weekday(said: str, voice: Voice, today: date) -> list[date]:
    """``Monday``: today if it is one, else the last and the next."""
    named = " ".join([word for word in said.split() if word not in voice.glossary.day_words.silent])
    number = None if any(map(str.isdecimal, named)) else weekday_named(named, voice)
    if number is None:
        return []
    ahead = (number - today.isoweekday()) % _WEEK
    return [today + timedelta(days=days) for days in ([ahead - _WEEK, ahead] if ahead else [0])]


def _the_one(days: Iterable[date], first: date, last: date, slip: str) -> Taken | Slip:
    """The only one of some days that lies between two others; else the slip that says why not."""
    known = sorted(set(days))
    inside = [found for found in known if first <= found <= last]
    if len(inside) == 1:
        return Taken(inside[0].isoformat())
    if inside:
        return Slip(slip)
    early = min((first - found for found in known if found < first), default=timedelta.max)
    late = min((found - last for found in known if found > last), default=timedelta.max)
    return Slip("too_early" if early <= late else "too_late")


def _resolved(read: Written, first: date, last: date) -> Taken | Slip:
    """A written day; without a year, the only one that its question allows."""
    if read.year is not None:
        days = _existing(read, range(read.year, read.year + 1))
        return _the_one(days, first, last, "two_days") if days else Slip("no_such_day")
    if not _existing(read, range(first.year, last.year + 1)):
        return Slip("no_such_day")
    return _the_one(_existing(read, range(first.year - 1, last.year + 2)), first, last, "which_year")


def _existing(read: Written, years: Iterable[int]) -> list[date]:
    """The days that exist in some years, on the weekday that was written with them."""
    days = []
    for year in years:
        try:
            found = date(year, read.month, read.day)
        except ValueError:
            continue
        if read.weekday in (None, found.isoweekday()):
            days.append(found)
    return days
