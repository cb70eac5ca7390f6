"""From a screen to the lines that a phone shows, for the proof of widths and for the real thing alike.

Both go through ``lines``: the proof hands in the widest member of every value, a running dialogue the value
itself. Pages are fixed when the book is built, from the widest lines, so a page break never moves.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from advisor.agronomy.labels import Label
from advisor.dialogue.flows import PICKED, AskKind, Screen
from advisor.wording.voice import Voice

#: Lines of the engine itself stand in the catalogs under this context.
ENGINE = "engine"

BACK = "0 Back"
BACK_ZERO_TAKEN = "00 Back"
MORE = "9 Next"

#: The line that names which of several is in hand, by scope.
HEADS = {"lot": "Bag %(number)s"}


@dataclass(frozen=True, slots=True)
class Layout:
    """How one screen of one language falls into pages.

    Args:
        pages: half-open ranges of lines.
        widest: the widest text of each page, footers included.
        costs: its septets or UTF-16 units.
        brief: only the notice and the choices are shown, since the text is on the phone already and all of it
            would take another page.
    """

    pages: tuple[tuple[int, int], ...]
    widest: tuple[str, ...]
    costs: tuple[int, ...]
    brief: bool = False


def lines(
    context: str,
    screen: Screen,
    voice: Voice,
    entries: tuple[tuple[str, Label], ...],
    words: Callable[[str], str],
    notice: str,
    count: int | None,
    *,
    brief: bool = False,
    head: str = "",
) -> list[str]:
    """The lines of a screen, without the footer.

    Args:
        context: ``flow.screen``, under which the catalogs hold its texts.
        screen: the screen, which says something.
        voice: the language.
        entries: entries of the list that a ``pick`` or a ``which`` chooses from.
        words: the text of a named value.
        notice: finished text of a line above, empty for none.
        count: the whole number that chooses the plural form, None where nothing is counted.
        brief: leave the screen's own text out.
        head: finished line that names what is in hand, above the text; empty for none.

    Returns:
        One text a line; a value never holds a line break.
    """
    shown = [line for line in (notice, head) if line]
    if not brief:
        shown += _said(context, screen, voice, words, count).split("\n")
    if screen.ask is None:
        return shown
    if screen.ask.kind is AskKind.CHOICE:
        shown += [f"{n} {voice.say(context, choice.say)}" for n, choice in enumerate(screen.ask.choices, 1)]
    if screen.ask.kind in PICKED:
        shown += [
            f"{n} {' '.join(label.in_language(voice.language).split())}" for n, (_, label) in enumerate(entries, 1)
        ]
    if screen.ask.zero:
        shown.append(f"0 {voice.say(context, screen.ask.zero.say)}")
    return shown


def _said(context: str, screen: Screen, voice: Voice, words: Callable[[str], str], count: int | None) -> str:
    say = screen.say
    assert say is not None

    def one_line(name: str) -> str:
        # Pages are proven line by line, so a value must never bring a line of its own.
        return words(name).replace("\n", " ")

    if count is not None and say.other:
        return voice.plural_with(context, say.text, say.other, count, one_line)
    return voice.say_with(context, say.text, one_line)


def head_text(scope: str, number: int, voice: Voice) -> str:
    """The line that names which of several is in hand.

    Args:
        scope: a key of `HEADS`.
        number: what it is called, one digit.
        voice: the language.
    """
    return voice.say(ENGINE, HEADS[scope], number=str(number))


def footer(screen: Screen, voice: Voice, *, can_go_back: bool) -> str:
    """The line under the last page, empty where there is nothing to go back to."""
    if screen.ends or not can_go_back:
        return ""
    taken = screen.ask is not None and screen.ask.zero_is_answer
    return voice.say(ENGINE, BACK_ZERO_TAKEN if taken else BACK)


def page_text(shown: list[str], layout: Layout, page: int, below: str, voice: Voice) -> str:
    """The text of one page.

    Args:
        shown: the screen's lines.
        layout: its pages.
        page: which page, from 0.
        below: footer of the last page, empty for none.
        voice: the language.
    """
    first, end = layout.pages[page]
    last_page = page == len(layout.pages) - 1
    under = below if last_page else voice.say(ENGINE, MORE)
    return voice.out("\n".join([*shown[first:end], *([under] if under else [])]))
