"""The book: compiled flows, catalogs, calculations and programme, one immutable value built at start."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta, tzinfo

from advisor.agronomy.programme import Programme
from advisor.dialogue.answers.tidying import tidy
from advisor.dialogue.faults import Fault
from advisor.dialogue.flows import AskKind, Flow, Screen
from advisor.dialogue.machine import Router
from advisor.dialogue.notices import notice_text
from advisor.dialogue.one_line.keywords import Keyword, Vocabulary
from advisor.dialogue.registry import Registry
from advisor.dialogue.screens import ENGINE, Layout
from advisor.dialogue.talk import CODE_MARK, Spot
from advisor.wording.folding import folded
from advisor.wording.kinds import Kind
from advisor.wording.voice import Voice

STOPPED = "You get no more messages from us. To start again, write START, or call and say yes."
STARTED = "You get our messages again."
PASSED_ON = "Your question is with your agent. The answer comes by SMS."
#: Behind the code itself, on a line of its own.
CODE_IS_FOR = "Good for a day, for your agent only. Not asked for it? Do nothing."
FROM_AGENT = "From your agent:"
TRY_LATER = "Something went wrong on our side. Please try later."

_NO_TIME = timedelta(0)

#: The engine's own messages that stand alone on a page.
ALONE = (STOPPED, STARTED, CODE_IS_FOR, PASSED_ON, FROM_AGENT, TRY_LATER)


@dataclass(frozen=True, slots=True, eq=False, repr=False)  # half a megabyte of text helps nobody
class Book:
    """Everything that a step needs beside session, record, event and moment.

    Args:
        flows: the flows by name.
        routers: the machine of each flow.
        voices: the languages by code.
        registry: what flows may name.
        programme: the programme.
        root: where a conversation begins.
        menu: where the menu key leads.
        kinds: kind of each named value, by (flow, name); facts under an empty flow.
        layouts: pages of each screen, by (spot, language, notice); of a list of the grower's own for
            the most of them.
        fewer: pages of such a list for fewer of them, by (spot, language, notice, how many).
        headed: pages of a screen under the line that names what is in hand, by (spot, language, notice).
        answers: the one page of each answer to an SMS in one line, by (spot, language).
        screens: the screens by spot.
        questions: what each shown screen asks: its kind, a colon, and a digest of the answers it offers.
        says: of each screen whose pages follow from the values that it names, these names.
        facts: how long each fact holds, None for ever.
        fact_kinds: kind of each fact.
        keywords: what an SMS in one line gets, by keyword.
        vocabulary: the words of all languages that such an SMS can hold.
        fingerprint: hash over flows, catalogs and programme.
        zone: time zone of the programme, in which a day begins.
        english: the source language, None where no draft is said in it.
        in_english: screens, each with a language, that are not translated yet and are said in English.
        warnings: where a catalog is behind the English texts; none in an installation.
        callers: the first screen that calls a flow, by flow; worked out here.
        behind_a_pin: names of the flows that ask for an agent's PIN; worked out here.
        pages: finished pages of such screens, kept by whoever shows them, see `showing`.
    """

    flows: Mapping[str, Flow]
    routers: Mapping[str, Router]
    voices: Mapping[str, Voice]
    registry: Registry
    programme: Programme
    root: Spot
    menu: Spot
    kinds: Mapping[tuple[str, str], Kind]
    layouts: Mapping[tuple[Spot, str, str], Layout]
    fewer: Mapping[tuple[Spot, str, str, int], Layout]
    headed: Mapping[tuple[Spot, str, str], Layout]
    answers: Mapping[tuple[Spot, str], Layout]
    screens: Mapping[Spot, Screen]
    questions: Mapping[Spot, str]
    says: Mapping[Spot, tuple[str, ...]]
    facts: Mapping[str, timedelta | None]
    fact_kinds: Mapping[str, Kind]
    keywords: Mapping[str, Keyword]
    vocabulary: Vocabulary
    fingerprint: str
    zone: tzinfo
    english: Voice | None = None
    in_english: frozenset[tuple[Spot, str]] = frozenset()
    warnings: tuple[Fault, ...] = ()
    callers: Mapping[str, Spot] = field(init=False)
    behind_a_pin: frozenset[str] = field(init=False)
    pages: dict[tuple[object, ...], tuple[str, int]] = field(init=False, default_factory=dict)

    def __post_init__(self) -> None:
        calls = {screen.call: spot for spot, screen in reversed(list(self.screens.items())) if screen.call}
        secrets = {
            name
            for name, flow in self.flows.items()
            if any(screen.ask is not None and screen.ask.kind is AskKind.SECRET for screen in flow.screens)
        }
        object.__setattr__(self, "callers", calls)
        object.__setattr__(self, "behind_a_pin", frozenset(secrets))

    @property
    def default_language(self) -> str:
        """The programme's first language, spoken before anyone chose."""
        return self.programme.languages[0]

    def has(self, spot: Spot) -> bool:
        """Whether the book has that screen."""
        return spot in self.screens

    def screen(self, spot: Spot) -> Screen:
        """The screen at a spot that the book has."""
        return self.screens[spot]

    def voice(self, spot: Spot, language: str) -> Voice:
        """The language that a screen is said in: English where its draft is not translated yet."""
        if self.english is not None and (spot, language) in self.in_english:
            return self.english
        return self.voices[language]

    def question(self, spot: Spot) -> str:
        """What a shown screen asks; where this changes, an answer to the old question is none to the new."""
        return self.questions[spot]

    def kind(self, flow: str, name: str) -> Kind:
        """The kind of a named value in a flow."""
        return self.kinds.get((flow, name)) or self.kinds["", name]

    def layout(self, spot: Spot, language: str, notice: str, own: int = 0, *, headed: bool = False) -> Layout:
        """The pages of a screen with a notice above, without it where it has no room.

        Args:
            spot: the screen.
            language: the language.
            notice: the line above, empty for none.
            own: how many of the grower's own the screen lists, 0 where it lists none.
            headed: whether a line above names what is in hand.
        """
        if headed:
            return self.headed.get((spot, language, notice)) or self.headed[spot, language, ""]
        if own:
            notice = notice if self.has_room(spot, language, notice) else ""
            fewer = self.fewer.get((spot, language, notice, own))
            return fewer or self.layouts[spot, language, notice]
        return self.layouts.get((spot, language, notice)) or self.layouts[spot, language, ""]

    def has_room(self, spot: Spot, language: str, notice: str, *, headed: bool = False) -> bool:
        """Whether a notice can be said above a screen, under a line that names what is in hand or without one."""
        return (spot, language, notice) in (self.headed if headed else self.layouts)

    def fresh_for(self, fact: str) -> timedelta | None:
        """How long a fact holds, None for ever; one that no flow keeps any more is never fresh."""
        return self.facts.get(fact, _NO_TIME)

    def day_of(self, now: datetime) -> date:
        """The day at a moment in the programme's time zone."""
        return now.astimezone(self.zone).date()

    def notice_text(self, notice: str, spot: Spot, language: str, now: datetime) -> str:
        """The finished line of a notice above a screen, empty for none."""
        if not notice:
            return ""
        context = f"{spot.flow}.{spot.screen}"
        return notice_text(
            notice, context, self.screen(spot), self.voice(spot, language), self.registry, self.day_of(now)
        )

    def command(self, typed: str) -> str:
        """Which command a message is in any language of the programme, ``stop`` or ``erase``; empty for none."""
        return self.vocabulary.endings.get(self._command_in(typed), "")

    def is_stop_word(self, typed: str) -> bool:
        """Whether a message is a stop word of any language of the programme."""
        return self.command(typed) == "stop"

    def is_erase_word(self, typed: str) -> bool:
        """Whether a message is the word for erasing, in any language of the programme."""
        return self.command(typed) == "erase"

    def is_start_word(self, typed: str) -> bool:
        """Whether a message is a word for starting messages again, in any language of the programme."""
        return any(voice.glossary.key_word(typed) == "start" for voice in self.voices.values())

    def is_work_word(self, typed: str) -> bool:
        """Whether a message is a word for an agent's work, in any language of the programme."""
        return any(voice.glossary.key_word(typed) == "work" for voice in self.voices.values())

    def is_command(self, typed: str) -> bool:
        """Whether a message is one of these words."""
        return bool(self._command_in(typed))

    def language_of_command(self, typed: str) -> str:
        """The language that a word for stop or erasing is of: the default where that has the word too."""
        said = self._command_in(typed)
        spoken = {language for word, language in self.vocabulary.languages if word == said}
        if not spoken or self.default_language in spoken:
            return self.default_language
        return next(language for language in self.voices if language in spoken)

    def _command_in(self, typed: str) -> str:
        """The word for stop or erasing that a message is, said once or again and again; empty for none."""
        if typed.isdecimal():
            return ""  # the most frequent of all answers is none
        said = folded(tidy(typed))
        once = said if said in self.vocabulary.endings else " ".join(dict.fromkeys(said.split()))
        return once if once in self.vocabulary.endings else ""

    def stopped(self, language: str) -> str:
        """The one confirmation after a stop word."""
        voice = self.voices[language]
        return voice.out(voice.say(ENGINE, STOPPED))

    def started(self, language: str) -> str:
        """The confirmation after a word for starting again."""
        voice = self.voices[language]
        return voice.out(voice.say(ENGINE, STARTED))

    def code_text(self, language: str) -> str:
        """The message with a code for a move to another number, `CODE_MARK` in its place."""
        voice = self.voices[language]
        return f"{CODE_MARK}\n{voice.out(voice.say(ENGINE, CODE_IS_FOR))}"

    def try_later(self, language: str) -> str:
        """What is said when a message keeps failing."""
        voice = self.voices.get(language) or self.voices[self.default_language]
        return voice.out(voice.say(ENGINE, TRY_LATER))
