"""What a preview of a round says, line by line."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from datetime import date, timedelta
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from advisor.campaign.previewing import Preview, StepPreview
    from advisor.campaign.rounds import Step
    from advisor.dialogue.book import Book


def preview_lines(book: Book, seen: Preview, languages: Collection[str], today: date) -> Iterator[str]:
    """Each message with whom it comes to, when, and in which words; and what agents are told.

    Args:
        book: says the days.
        seen: what a round would send.
        languages: codes of the languages whose texts are wanted, empty for all.
        today: the day, which stands as an example where nobody is there to take one from.
    """
    from advisor.campaign.previewing import some
    from advisor.campaign.reading import DAY, GROWERS

    texts = [text for part in seen.steps for _, text in part.step.texts]
    texts += [text for note, _ in seen.notes for _, text in note.texts]

    def said(written: Iterable[tuple[str, str]], day: date) -> Iterator[str]:
        from advisor.dialogue.unasked import said_day

        for language, text in written:
            if not languages or language in languages:
                yield f"  {language}: {text.replace(DAY, said_day(book, language, day.isoformat()))}"

    for part in seen.steps:
        yield _head(part)
        if part.step.says:
            yield f"  the grower's own answer of the keyword {part.step.says}; where too little is known:"
        yield from said(part.step.texts, _example(part, today))
    for note, growers in seen.notes:
        yield f"{note.key}, to agents: about {some(growers, 'grower')}"
        yield from said(((language, text.replace(GROWERS, str(growers))) for language, text in note.texts), today)
    if any(DAY in text for text in texts):
        yield "the days in these texts are examples: each grower reads their own"


def told_days(first: date, last: date | None) -> str:
    """The days on which a step falls.

    >>> told_days(date(2027, 11, 20), date(2027, 11, 20)), told_days(date(2027, 11, 20), date(2027, 11, 22))
    ('2027-11-20', '2027-11-20 to 2027-11-22')
    """
    return str(first) if last in (None, first) else f"{first} to {last}"


def _head(part: StepPreview) -> str:
    from advisor.campaign.previewing import counted_from, some

    days = "as things stand" if part.first is None else told_days(part.first, part.last)
    people = ", ".join(f"{language or 'no language'} {count}" for language, count in part.by_language)
    of = some(part.messages, "message") + (f" of {some(part.segments, 'segment')}" if part.step.says else "")
    return f"{part.step.key} ({counted_from(part.step)}): {of} ({people or 'nobody'}), {days}"


def _example(part: StepPreview, today: date) -> date:
    """A day for the text of a step: the one that its first message is counted from, as on warm soil."""
    return today if part.first is None else part.first - timedelta(days=_days_from(part.step))


def _days_from(step: Step) -> int:
    from advisor.campaign.rounds import OnDay

    return step.when.day if isinstance(step.when, OnDay) else 0
