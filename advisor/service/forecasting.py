"""A round before it is started: what in it the dialogues cannot do, and what it would send to whom."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime
from functools import partial

from advisor.campaign.deciding import Running, Window
from advisor.campaign.previewing import Preview, preview
from advisor.campaign.reading import DAY, GROWERS, MOST_GROWERS
from advisor.campaign.rounds import BAG, ZONE_ANCHORS, Round
from advisor.dialogue.book import Book
from advisor.dialogue.unasked import has_screen, widest_day
from advisor.records.grower import Grower
from advisor.records.sown import SOWN
from advisor.service.planning import STEP
from advisor.service.speaking import Speech
from advisor.service.stored import from_bytes
from advisor.store.api import BUCKETS, Store
from advisor.wording.segments import ROOM, alphabet_of, cost, segments

#: What is known of growers and their zones without a dialogue that keeps it.
_KEPT_ELSEWHERE = frozenset((*ZONE_ANCHORS, SOWN, "grower.agent", "lot.closed", "lot.bag", "lot.test_by"))


def faults_with(book: Book, found: Round) -> tuple[str, ...]:
    """What a round asks of the dialogues that they do not have, or do not have the room for.

    Args:
        book: the dialogues.
        found: the round.

    Returns:
        One sentence each: a screen that takes no answer, a keyword that nothing answers, a village or language of
        no programme, a day or condition that nothing keeps, a text that is more than one SMS with the
        widest day in it.
    """
    faults = []
    for step in found.steps:
        if step.asks and not has_screen(book, step.asks):
            faults.append(f"{step.key}: no screen {step.asks} asks anything; give one as flow.screen")
        if step.says and step.says not in book.keywords:
            faults.append(f"{step.key}: {step.says} is no keyword; there are {', '.join(sorted(book.keywords))}")
    texts = [(step.key, step.texts + step.of_bag) for step in found.steps]
    texts += [(note.key, note.texts) for note in found.notes]
    for key, said in texts:
        for language, written in said:
            text = written.replace(DAY, widest_day(book, language)).replace(BAG, "0")
            text = text.replace(GROWERS, MOST_GROWERS)
            alphabet = alphabet_of(text)
            if cost(text, alphabet) > ROOM[alphabet]:
                faults.append(f"{key}: in {language} it is more than one SMS on {widest_day(book, language)}")
    faults += [
        f"{name}: no dialogue keeps that, so it would come to nobody; look at the spelling"
        for name in _unknown_names(book, found)
    ]
    villages = {village.key for village in book.programme.villages}
    faults += [
        f"{village} is no village of the programme" for village in found.chosen.villages if village not in villages
    ]
    languages = book.programme.languages
    faults += [f"{one} is no language of the programme" for one in found.chosen.languages if one not in languages]
    return tuple(faults)


def _unknown_names(book: Book, found: Round) -> list[str]:
    """Names that a round counts from or looks at and that nothing keeps: such a step would come to nobody."""
    conditions = [*found.conditions, *(one for note in found.notes for one in (*note.unless, *note.only))]
    names = [*found.anchors, *(condition.partition(" = ")[0] for condition in conditions)]
    return [name for name in dict.fromkeys(names) if name not in book.facts and name not in _KEPT_ELSEWHERE]


def forecast(store: Store, running: Running, speech: Speech, now: datetime, language: str) -> Preview:
    """What a round would send to the growers in store.

    Args:
        store: where they are.
        running: the round, as if it were started now.
        speech: how it speaks, and for how long facts hold.
        now: the moment.
        language: language of a grower who has not chosen one.
    """
    return preview(
        running,
        (
            (speech.facts(record, now), partial(_segments, running, speech, now, language, record))
            for record in _growers(store, speech)
        ),
        now,
    )


def twice(
    store: Store, running: Running, others: Sequence[Running], speech: Speech, now: datetime
) -> dict[str, int]:
    """To how many growers a round would say what another one says to them as well.

    Args:
        store: where they are.
        running: the round, as if it were started now.
        others: rounds that are under way.
        speech: how they speak, and for how long facts hold.
        now: the moment.

    Returns:
        Growers by the name of the other round, where there are any.
    """
    found = Counter[str]()
    for record in _growers(store, speech):
        facts = speech.facts(record, now)
        to_come = _to_come(running, facts, (), now)
        for other in others if to_come else ():
            key = other.round.key
            found[key] += not to_come.isdisjoint(_to_come(other, facts, record.passed_in(key), now))
    return {key: growers for key, growers in found.items() if growers}


def _to_come(
    running: Running, facts: Mapping[str, object], passed: tuple[str, ...], now: datetime
) -> frozenset[str]:
    """Keys of the messages that a round still has for a grower."""
    windows = running.windows(facts, passed)
    return frozenset(one.step.key for one in windows if one.until >= now and not one.step.closes)


def _segments(
    running: Running, speech: Speech, now: datetime, language: str, record: Grower, window: Window
) -> int:
    """What a message takes by what is known now; a grower's own result is longer in some scripts."""
    return segments(speech.text(running, record, window, now, language))


def _growers(store: Store, speech: Speech) -> Iterator[Grower]:
    for bucket in range(BUCKETS):
        left = list(store.settled(bucket))
        while left:
            some, left = left[:STEP], left[STEP:]
            for valued in store.values(some).taken:
                record = from_bytes(valued.value).record
                if speech.may_hear(record):
                    yield record
