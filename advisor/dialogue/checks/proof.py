"""The proof that a screen fits its pages, for every value that its types allow.

Widths add up, so the widest text of a screen is the text with each value at its widest. That text is really put
together and kept, page by page, so that a claim can be looked at and a lazy bound cannot pass. A counted text has
one widest text for each plural form; a page is fixed so that each of them fits.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable

from advisor.agronomy.labels import Label
from advisor.dialogue.flows import Screen
from advisor.dialogue.screens import ENGINE, MORE, Layout, footer, lines
from advisor.wording.errors import TooManyPages, TooWide
from advisor.wording.pages import page_breaks_of_forms
from advisor.wording.segments import ROOM, answer_room, cost
from advisor.wording.voice import Voice

#: Pages that a screen may take, and the answer to an SMS in one line.
MOST_PAGES = 3
ONE_PAGE = 1


#: Of each plural form, its lines.
Forms = tuple[tuple[str, ...], ...]

#: Half-open ranges of lines, one a page.
Pages = tuple[tuple[int, int], ...]


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


class Sheet:
    """The widest lines of a screen in a language, measured once, then laid out under one notice after the other.

    Args:
        forms: the screen's widest lines, see `widest_forms`.
        screen: the screen.
        voice: the language.
        brief: whether the screen's own text is left out of the forms.
        answers: where it answers an SMS in one line, the segments that the programme pays for: all of it must fit
            one message of so many.
        headed: whether the first line names what is in hand; who has several reads one page more rather than not
            knowing of which one is spoken.

    Raises:
        Uneven: plural forms with different numbers of lines.
    """

    def __init__(
        self,
        forms: Forms,
        screen: Screen,
        voice: Voice,
        *,
        brief: bool = False,
        answers: int = 0,
        headed: bool = False,
    ) -> None:
        if len({len(form) for form in forms}) != 1:
            raise Uneven
        self._forms = forms
        self._voice = voice
        self._alphabet = voice.alphabet
        self._brief = brief
        self._costs = [[cost(line, voice.alphabet) for line in form] for form in forms]
        self._below = footer(screen, voice, can_go_back=True)
        self._more = voice.say(ENGINE, MORE)
        self._more_cost = cost(self._more, voice.alphabet)
        self._below_cost = cost(self._below, voice.alphabet)
        self._room = answer_room(voice.alphabet, answers) if answers else ROOM[voice.alphabet]
        self._most_pages = ONE_PAGE if answers else MOST_PAGES + headed
        # with the line break above each line and above the footer
        self._up_to = [0]
        for count in range(1, len(forms[0]) + 1):
            self._up_to.append(max(sum(form[:count]) + count for form in self._costs))
        self._all = self._up_to[-1] + (self._below_cost + 1 if self._below else 0)
        self._above_more = self._room - (self._more_cost + 1 if self._more else 0)
        self._pages: dict[tuple[bool, int], Pages] = {}
        self._widest: dict[tuple[bool, Pages], tuple[tuple[str, ...], tuple[int, ...]]] = {}

    def pages(self, above: str) -> Pages:
        """Which lines stand on which page, fixed by the widest lines.

        Args:
            above: finished text of the line above them, empty for none.

        Returns:
            Half-open ranges of lines, one a page.

        Raises:
            DoesNotFit: a line is too wide, or there are too many pages.
        """
        spent = cost(above, self._alphabet) if above else -1
        # Under all lines that leave room for equally many on the first page, the pages are the same.
        first = -1 if self._all + spent <= self._room else bisect_right(self._up_to, self._above_more - spent)
        key = (bool(above), first)
        if key not in self._pages:
            self._pages[key] = self._broken(above)
        return self._pages[key]

    def _broken(self, above: str) -> Pages:
        costs = [[cost(above, self._alphabet), *form] for form in self._costs] if above else self._costs
        try:
            return page_breaks_of_forms(costs, self._room, self._more_cost, self._below_cost, self._most_pages)
        except (TooWide, TooManyPages) as why:
            weights = [_weight(why, form) for form in costs]
            worst = weights.index(max(weights))
            shown = [above, *self._forms[worst]] if above else list(self._forms[worst])
            raise DoesNotFit(why, shown, costs[worst]) from why

    def layout(self, above: str, pages: Pages) -> Layout:
        """The widest text and the cost of each page.

        Args:
            above: the line above, as for `pages`.
            pages: the pages under it.
        """
        key = (bool(above), pages)
        if key not in self._widest:
            self._widest[key] = self._widest_pages(1 if above else 0, pages)
        texts, costs = self._widest[key]
        if above:
            texts = (above + texts[0], *texts[1:])
            costs = (cost(above, self._alphabet) + costs[0], *costs[1:])
        assert max(costs) <= self._room
        return Layout(pages, texts, costs, self._brief)

    def _widest_pages(self, shift: int, pages: Pages) -> tuple[tuple[str, ...], tuple[int, ...]]:
        """The widest text of each page and its cost, of the first what stands under so many lines above."""
        texts = []
        for page, (first, end) in enumerate(pages):
            under = self._below if page == len(pages) - 1 else self._more
            lines_of_forms = [form[max(0, first - shift) : end - shift] for form in self._forms]
            shown = ["\n".join((*form, under) if under else form) for form in lines_of_forms]
            if page == 0 and shift and (end > shift or under):
                shown = [f"\n{text}" for text in shown]
            made = [self._voice.out(text) for text in shown]
            texts.append(max(made, key=lambda text: cost(text, self._alphabet)))
        return tuple(texts), tuple(cost(text, self._alphabet) for text in texts)


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
