"""Lines onto pages. A line is never cut, so a number never leaves its unit."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.wording.errors import TooManyPages, TooWide

_NEWLINE = 1


def page_breaks(
    line_costs: Sequence[int], room: int, more_cost: int, last_cost: int, most: int = 3
) -> tuple[tuple[int, int], ...]:
    """Which lines stand on which page, with the fewest pages there can be.

    Every page takes as many lines as fit. That cannot cost a page: what is left is then as short as it can be.

    Args:
        line_costs: cost of each line, in septets or UTF-16 units; at least one line.
        room: what a page may cost.
        more_cost: cost of the line under every page but the last ("9 Next"), 0 for none.
        last_cost: cost of the line under the last page ("0 Back"), 0 for none.
        most: pages allowed.

    Returns:
        Half-open ranges of lines, one a page. All on one page where they fit above the last footer.

    Raises:
        TooWide: a line does not fit on a page of its own.
        TooManyPages: more pages are needed than allowed.

    >>> page_breaks([60, 60, 60], room=159, more_cost=6, last_cost=6)
    ((0, 2), (2, 3))
    >>> page_breaks([60, 60], room=159, more_cost=6, last_cost=6)
    ((0, 2),)
    """
    return page_breaks_of_forms([line_costs], room, more_cost, last_cost, most)


def page_breaks_of_forms(
    forms: Sequence[Sequence[int]], room: int, more_cost: int, last_cost: int, most: int = 3
) -> tuple[tuple[int, int], ...]:
    """Which lines stand on which page, so that each of several forms of one text fits.

    A page need not hold the widest line of one form above the widest line of another: no text has both.

    Args:
        forms: for each form the cost of each line; equally many lines in all.
        room: what a page may cost.
        more_cost: cost of the line under every page but the last, 0 for none.
        last_cost: cost of the line under the last page, 0 for none.
        most: pages allowed.

    Returns:
        Half-open ranges of lines, one a page, as few as there can be.

    Raises:
        TooWide: a line does not fit on a page of its own.
        TooManyPages: more pages are needed than allowed.

    >>> page_breaks_of_forms([[90, 60], [60, 90]], room=159, more_cost=6, last_cost=6)
    ((0, 2),)
    """
    more_room, last_room = (room - (footer + _NEWLINE if footer else 0) for footer in (more_cost, last_cost))
    breaks: list[tuple[int, int]] = []
    start, lines = 0, len(forms[0])
    left = [_cost(form) for form in forms]
    while not breaks or start < lines:
        if max(left) <= last_room:
            end = lines
        else:
            # The last page must keep a line of its own, so this page may not take them all.
            end = start + min(_fitting(form[start : lines - 1], more_room) for form in forms)
        if end == start < lines:
            widest = max(form[start] for form in forms)
            raise TooWide(start, widest, last_room if start == lines - 1 else more_room)
        breaks.append((start, end))
        left = [
            rest - sum(form[start:end]) - _NEWLINE * (end - start) for form, rest in zip(forms, left, strict=True)
        ]
        start = end
    if len(breaks) > most:
        raise TooManyPages(len(breaks), most)
    return tuple(breaks)


def _cost(line_costs: Sequence[int]) -> int:
    return sum(line_costs) + _NEWLINE * max(0, len(line_costs) - 1)


def _fitting(line_costs: Sequence[int], room: int) -> int:
    """How many lines from the first on fit into the room."""
    used = -_NEWLINE
    for count, line_cost in enumerate(line_costs):
        used += line_cost + _NEWLINE
        if used > room:
            return count
    return len(line_costs)
