"""The proof that a screen fits its pages, for every value that its types allow.

Widths add up, so the widest line is the line with each value at its widest. That text is really put together
and kept, page by page, so that a claim can be looked at and a lazy bound cannot pass.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from advisor.agronomy.labels import Label
from advisor.dialogue.flows import Screen
from advisor.dialogue.screens import ENGINE, MORE, Layout, footer, lines, page_text
from advisor.wording.pages import page_breaks
from advisor.wording.segments import ROOM, cost
from advisor.wording.voice import Voice


class Uneven(Exception):  # noqa: N818
    """The plural forms of one text have different numbers of lines, so pages cannot be fixed."""


def layout(
    context: str,
    screen: Screen,
    voice: Voice,
    entries: tuple[tuple[str, Label], ...],
    words: Callable[[str], str],
    counts: tuple[tuple[int, str], ...],
    notice: str,
    *,
    brief: bool = False,
) -> Layout:
    """The pages of a screen, fixed by its widest lines.

    Args:
        context: ``flow.screen``.
        screen: the screen.
        voice: the language.
        entries: entries of the list that it picks from.
        words: the widest text of a named value.
        counts: of a counted text, for each plural form a count that takes it and the widest text of such a count.
        notice: finished text of the line above, empty for none.
        brief: leave the screen's own text out.

    Returns:
        Page ranges with the widest text and cost of each page.

    Raises:
        TooWide, TooManyPages: it cannot fit.
        Uneven: plural forms with different numbers of lines.
    """
    forms = list(_forms(context, screen, voice, entries, words, counts, notice, brief))
    if len({len(form) for form in forms}) != 1:
        raise Uneven
    widest = [max(row, key=lambda line: cost(line, voice.alphabet)) for row in zip(*forms, strict=True)]
    below = footer(screen, voice, can_go_back=True)
    costs = [cost(line, voice.alphabet) for line in widest]
    more_cost = cost(voice.say(ENGINE, MORE), voice.alphabet)
    last_cost = cost(below, voice.alphabet)
    pages = page_breaks(costs, ROOM[voice.alphabet], more_cost, last_cost)
    bare = Layout(pages, (), ())
    texts = tuple(page_text(widest, bare, page, below, voice) for page in range(len(pages)))
    return Layout(pages, texts, tuple(cost(text, voice.alphabet) for text in texts), brief)


def _forms(
    context: str,
    screen: Screen,
    voice: Voice,
    entries: tuple[tuple[str, Label], ...],
    words: Callable[[str], str],
    counts: tuple[tuple[int, str], ...],
    notice: str,
    brief: bool,
) -> Iterator[list[str]]:
    if not counts:
        yield [
            voice.out(line) for line in lines(context, screen, voice, entries, words, notice, None, brief=brief)
        ]
    for count, said in counts:
        counted = screen.say.count if screen.say else ""

        def with_count(name: str, counted: str = counted, said: str = said) -> str:
            return said if name == counted else words(name)

        yield [
            voice.out(line)
            for line in lines(context, screen, voice, entries, with_count, notice, count, brief=brief)
        ]
