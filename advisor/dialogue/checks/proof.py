"""The proof that a screen fits its pages, for every value that its types allow.

Widths add up, so the widest text of a screen is the text with each value at its widest. That text is really put
together and kept, page by page, so that a claim can be looked at and a lazy bound cannot pass. A counted text has
one widest text for each plural form; a page is fixed so that each of them fits.
"""

from __future__ import annotations

from collections.abc import Callable

from advisor.agronomy.labels import Label
from advisor.dialogue.flows import Screen
from advisor.dialogue.screens import ENGINE, MORE, Layout, footer, lines, page_text
from advisor.wording.errors import TooManyPages, TooWide
from advisor.wording.pages import page_breaks_of_forms
from advisor.wording.segments import ROOM, answer_room, cost
from advisor.wording.voice import Voice

#: Pages that a screen may take, and the answer to an SMS in one line.
MOST_PAGES = 3
ONE_PAGE = 1


#: Of each plural form, its lines.
Forms = tuple[tuple[str, ...], ...]


class Uneven(Exception):  # noqa: N818
    """The plural forms of one text have different numbers of lines, so pages cannot be fixed."""


class DoesNotFit(Exception):  # noqa: N818
    """A screen has no pages.

    Args:
        why: the line that is too wide, or too many pages.
        lines: the widest text, line by line.
        costs: what each line costs.
    """

    def __init__(self, why: TooWide | TooManyPages, lines: list[str], costs: list[int]) -> None:
        super().__init__(str(why))
        self.why = why
        self.lines = lines
        self.costs = costs


def layout(
    forms: Forms,
    screen: Screen,
    voice: Voice,
    notice: str,
    *,
    brief: bool = False,
    answers: int = 0,
    headed: bool = False,
) -> Layout:
    """The pages of a screen, fixed by its widest lines.

    Args:
        forms: the screen's widest lines, see `widest_forms`.
        screen: the screen.
        voice: the language.
        notice: finished text of the line above, empty for none.
        brief: whether the screen's own text is left out of the forms.
        answers: where it answers an SMS in one line, the segments that the programme pays for: all of it must fit
            one message of so many.
        headed: whether the first line names what is in hand; who has several reads one page more rather than not
            knowing of which one is spoken.

    Returns:
        Page ranges with the widest text and cost of each page.

    Raises:
        DoesNotFit: a line is too wide, or there are too many pages.
        Uneven: plural forms with different numbers of lines.
    """
    above = [voice.out(notice)] if notice else []
    shown = [[*above, *form] for form in forms]
    if len({len(form) for form in shown}) != 1:
        raise Uneven
    costs = [[cost(line, voice.alphabet) for line in form] for form in shown]
    below = footer(screen, voice, can_go_back=True)
    more_cost = cost(voice.say(ENGINE, MORE), voice.alphabet)
    room = answer_room(voice.alphabet, answers) if answers else ROOM[voice.alphabet]
    try:
        pages = page_breaks_of_forms(
            costs, room, more_cost, cost(below, voice.alphabet), ONE_PAGE if answers else MOST_PAGES + headed
        )
    except (TooWide, TooManyPages) as why:
        weights = [_weight(why, form) for form in costs]
        worst = weights.index(max(weights))
        raise DoesNotFit(why, shown[worst], costs[worst]) from why
    bare = Layout(pages, (), ())
    texts = tuple(
        max(
            (page_text(form, bare, page, below, voice) for form in shown),
            key=lambda text: cost(text, voice.alphabet),
        )
        for page in range(len(pages))
    )
    return Layout(pages, texts, tuple(cost(text, voice.alphabet) for text in texts), brief)


def _weight(why: TooWide | TooManyPages, costs: list[int]) -> int:
    return costs[why.line] if isinstance(why, TooWide) else sum(costs)


def widest_forms(
    context: str,
    screen: Screen,
    voice: Voice,
    entries: tuple[tuple[str, Label], ...],
    words: Callable[[str], str],
    counts: tuple[tuple[int, str], ...],
    *,
    brief: bool = False,
    head: str = "",
) -> Forms:
    """The lines of a screen with every value at its widest, once for each plural form; no line stands above them.

    Args:
        context: ``flow.screen``.
        screen: the screen.
        voice: the language.
        entries: entries of the list that it picks from.
        words: the widest text of a named value.
        counts: of a counted text, for each plural form a count that takes it and the widest text of such a count.
        brief: leave the screen's own text out.
        head: the line that names what is in hand, empty for none.
    """

    def form(count: int | None, said: Callable[[str], str]) -> tuple[str, ...]:
        shown = lines(context, screen, voice, entries, said, "", count, brief=brief, head=head)
        return tuple(voice.out(line) for line in shown)

    if not counts:
        return (form(None, words),)
    counted = screen.say.count if screen.say else ""
    return tuple(
        form(count, lambda name, said=said: said if name == counted else words(name))  # type: ignore[misc]
        for count, said in counts
    )
