"""What to tell the author of a text that does not fit: where to mend it, the text itself, what costs most."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from advisor.dialogue.checks.labels import alphabet_fault
from advisor.dialogue.checks.material import Material, line_with
from advisor.dialogue.checks.one_line_faults import answering_screens
from advisor.dialogue.checks.proof import DoesNotFit
from advisor.dialogue.checks.texts import file_of
from advisor.dialogue.faults import Fault, Wide
from advisor.dialogue.flows import AskKind, Flow, Screen
from advisor.dialogue.notices import notice_source
from advisor.dialogue.screens import ENGINE
from advisor.wording.errors import NotInAlphabet, TooManyPages, TooWide
from advisor.wording.segments import ROOM, answer_room, cost
from advisor.wording.templates import placeholders
from advisor.wording.voice import Voice


@dataclass(frozen=True, slots=True)
class Measured:
    """What was measured: a screen in a language under a notice."""

    material: Material
    flow: Flow
    screen: Screen
    voice: Voice
    notice: str

    @property
    def context(self) -> str:
        """``flow.screen``."""
        return f"{self.flow.name}.{self.screen.name}"

    @property
    def under(self) -> str:
        """The notice in words, empty for none."""
        return f", under the line '{self.notice}'" if self.notice else ""


@dataclass(frozen=True, slots=True)
class LineSource:
    """Where a line of a page comes from.

    Args:
        part: ``notice``, ``say``, ``choice`` or ``entry``.
        place: which line of the text, or which choice or entry, from 0.
    """

    part: str
    place: int


def line_sources(
    screen: Screen, notice: str, lines: int, entries: int, *, brief: bool, headed: bool = False
) -> list[LineSource]:
    """Where each line comes from, in the order in which a page is put together.

    Args:
        screen: the screen.
        notice: name of the line above, empty for none.
        lines: how many lines there are.
        entries: how many entries of a list are shown.
        brief: whether the screen's own text is left out.
        headed: whether a line names what is in hand; where it makes a page too full, the text is to be shortened.
    """
    ask = screen.ask
    choices = len(ask.choices) if ask and ask.kind is AskKind.CHOICE else 0
    zero = 1 if ask and ask.zero else 0
    above = 1 if notice else 0
    said = 0 if brief else lines - above - headed - choices - entries - zero
    options = [LineSource("choice", n) for n in range(choices)] + [LineSource("entry", n) for n in range(entries)]
    return [
        *[LineSource("notice", 0)] * above,
        *[LineSource("say", 0)] * headed,
        *(LineSource("say", n) for n in range(said)),
        *options,
        *[LineSource("choice", choices)] * zero,
    ]


def width_fault(
    measured: Measured, error: DoesNotFit, sources: list[LineSource], widest: Callable[[str], str | None]
) -> Fault:
    """A text that does not fit, told at the line where it is mended.

    Args:
        measured: screen, language and notice.
        error: the widest text, line by line.
        sources: where each line comes from.
        widest: the widest words of a named value, None for a name without a kind.
    """
    why, voice = error.why, measured.voice
    answers = measured.screen.name in answering_screens(measured.flow)
    programme = measured.material.programme
    paid = programme.answer_segments if programme else 1
    room = answer_room(voice.alphabet, paid) if answers else ROOM[voice.alphabet]
    dearest = max(range(len(error.lines)), key=lambda line: error.costs[line])
    if isinstance(why, TooWide):
        text, spent, allowed = error.lines[why.line], why.cost, why.room
        source = sources[why.line]
        what = f"a line costs {spent}, the room for it is {allowed}{measured.under}"
        most = _dearest_value(measured, source, widest)
        instead = "shorten it, or break it into two lines"
    else:
        assert isinstance(why, TooManyPages)
        text, allowed = "\n".join(error.lines), why.most * room
        spent = cost(text, voice.alphabet)
        source = LineSource("say", 0) if any(found.part == "say" for found in sources) else sources[0]
        what = f"{why.pages} pages are needed, {why.most} are allowed{measured.under}"
        most = f"its widest line costs {error.costs[dearest]}: {error.lines[dearest]}"
        instead = "say less, or make two screens of it"
        if answers:
            what, instead = f"{spent} do not fit the one message of an SMS in one line, {room} do", "say less"
    file, line = _place(measured, source, text)
    wide = Wide(text, spent, allowed, most)
    return Fault(file, line, what, instead, measured.context, voice.language, wide)


def _dearest_value(measured: Measured, source: LineSource, widest: Callable[[str], str | None]) -> str:
    """The value that costs most in a line, in words; empty where the line names none."""
    say = measured.screen.say
    if source.part != "say" or say is None:
        return ""
    alphabet = measured.voice.alphabet
    catalog = measured.voice.catalog
    texts = (
        [catalog.plural(measured.context, say.text, say.other, count) for count in (1, 2)]
        if say.other
        else [catalog.message(measured.context, say.text)]
    )
    found: list[tuple[int, str]] = []
    for text in filter(None, texts):
        said = text.split("\n")[source.place : source.place + 1]
        for name in sorted(placeholders(said[0])) if said else ():
            words = widest(name)
            if words is not None:
                found.append((cost(words, alphabet), f"%({name})s takes {cost(words, alphabet)}: {words}"))
    return max(found)[1] if found else ""


def _place(measured: Measured, source: LineSource, text: str) -> tuple[str, int]:
    """File and line of the text that a line of a page comes from."""
    screen, material, catalog = measured.screen, measured.material, measured.voice.catalog
    if source.part == "entry" and screen.ask and screen.ask.kind is AskKind.WHICH:
        return measured.flow.file, screen.ask.lines[0].line
    if source.part == "entry":
        label = text.partition(" ")[2]
        return material.programme_file, line_with(material.texts.get(material.programme_file, ""), label)
    line, msgid, context = screen.line, "", measured.context
    if source.part == "notice":
        msgid = notice_source(measured.notice, screen)
        if msgid == screen.help:
            line = screen.help_line or line
        else:
            context = ENGINE
    elif source.part == "choice" and screen.ask:
        choice = screen.ask.options[source.place]
        line, msgid = choice.line, choice.say
    elif screen.say:
        line, msgid = screen.say.line, screen.say.text
        english = (screen.say.other or screen.say.text).split("\n")[source.place : source.place + 1]
        line = material.line_from(measured.flow.file, line, english[0]) if english else line
    entry = next((entry for entry in catalog.entries if (entry.context, entry.msgid) == (context, msgid)), None)
    if entry is None:
        return measured.flow.file, line
    return file_of(catalog), entry.line


def uneven_fault(measured: Measured) -> Fault:
    """Plural forms with different numbers of lines."""
    file, line = _place(measured, LineSource("say", 0), "")
    what = "the plural forms have different numbers of lines"
    instead = "break each form into as many lines as the others"
    return Fault(file, line, what, instead, measured.context, measured.voice.language)


def unsayable_fault(measured: Measured, error: Exception) -> Fault:
    """A value or text that the language cannot send or put together."""
    if isinstance(error, NotInAlphabet):
        return alphabet_fault(measured.material, error.text, measured.voice)
    what, _, instead = str(error).rpartition(": ")
    file, line = _place(measured, LineSource("say", 0), "")
    what = f"{what}{measured.under}"
    return Fault(file, line, what, instead, measured.context, measured.voice.language)
