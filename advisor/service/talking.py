"""What the shell needs to know of the dialogues, as values and callables; the wiring binds them to a book."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from advisor.agronomy.programme import Agent
from advisor.campaign.quiet import Quiet
from advisor.dialogue.book import Book
from advisor.dialogue.faults import Fault
from advisor.dialogue.flows import AskKind
from advisor.dialogue.talk import Event, Outcome, Session
from advisor.records.grower import Grower, Value
from advisor.service.clock import Clock
from advisor.service.figures import Bands
from advisor.service.numbers import Dialling
from advisor.service.onsets import Noting
from advisor.service.speaking import Speech
from advisor.store.api import Store, Terms

#: From a screen, what it may name, a language and a moment to the pages of a message.
ToldText = Callable[[str, Mapping[str, Value], str, datetime], tuple[str, ...]]
#: From store, clock, agent and language to the messages of a list.
VisitList = Callable[[Store, Clock, Agent, str], tuple[str, ...]]
#: The pure step, bound to one book.
Step = Callable[[Session | None, Grower, Event, datetime], Outcome]


@dataclass(frozen=True, slots=True)
class Dialogues:
    """One programme's dialogues.

    Args:
        step: decides what a message does.
        fingerprint: fingerprint of the book, for the history.
        try_later: the sentence for a message that keeps failing, by language code.
        language: language of a grower who has not chosen one yet.
        bands: what counts as good and bad seed in the village figures.
        retention: for how long a record is kept of which nothing is heard.
        terms: on what terms messages of rounds leave at a moment.
        quiet: when nothing is sent unasked, None where no round is ever made.
        languages: languages of the programme, the first one its own.
        agents: the agents by the number of their phone.
        waits_for: the kind of the veiled question that a message answers, None where it answers none.
        told_text: the pages that tell a grower what an agent recorded, by screen, values, language and moment.
        visit_list: the messages that tell an agent whom to visit, by store, clock, agent and language.
        dialling: how numbers are typed.
        zone_of: zone of each village, by their keys.
        is_command: whether an SMS is a word for stop or for erasing, which nobody is asked to repeat.
        speech: how rounds speak.
        noting: what is noted of the rains of a zone, None where no gauge is looked at.
    """

    step: Step
    fingerprint: str
    try_later: Callable[[str], str]
    language: str
    bands: Bands
    retention: timedelta = timedelta(days=730)
    terms: Callable[[datetime], Terms] = lambda _now: Terms()
    quiet: Quiet | None = None
    languages: tuple[str, ...] = ()
    is_command: Callable[[str], bool] = lambda _typed: False
    speech: Speech = field(default_factory=Speech)
    agents: Mapping[str, Agent] = field(default_factory=dict)
    waits_for: Callable[[Session | None, Event, datetime], AskKind | None] = lambda _session, _event, _now: None
    told_text: ToldText = lambda _screen, _values, _language, _now: ()
    visit_list: VisitList = lambda _store, _clock, _agent, _language: ()
    dialling: Dialling | None = None
    zone_of: Mapping[str, str] = field(default_factory=dict)
    noting: Noting | None = None


@dataclass(frozen=True, slots=True)
class Edition:
    """A book in use, and what became of the files since it was read.

    Args:
        book: the book.
        dialogues: what decides by it.
        loaded_at: when it was read.
        faults: what is wrong with the files as they are now, empty where this book is what they say.
    """

    book: Book
    dialogues: Dialogues
    loaded_at: datetime
    faults: tuple[Fault, ...] = ()
