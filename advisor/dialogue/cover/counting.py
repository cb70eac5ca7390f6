"""How much of each flow was visited, and what was not."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from advisor.dialogue.book import Book
from advisor.dialogue.cover.points import Part, Point, points_of


@dataclass(frozen=True, slots=True)
class Share:
    """How much of one part of one flow was visited.

    Args:
        visited: how many points.
        of: how many there are.

    >>> Share(19, 20).percent, Share(0, 0).percent
    (95.0, 100.0)
    """

    visited: int
    of: int

    @property
    def percent(self) -> float:
        """Share of the points [%]; of none all are visited."""
        return 100 * self.visited / self.of if self.of else 100.0


@dataclass(frozen=True, slots=True)
class FlowCover:
    """What was visited of one flow.

    Args:
        flow: its name.
        file: its file.
        shares: of each part.
        missing: points that were not visited, in the order of the file.
    """

    flow: str
    file: str
    shares: Mapping[Part, Share]
    missing: tuple[Point, ...]


def covers_of(book: Book, visited: Iterable[Point]) -> list[FlowCover]:
    """What was visited of each flow.

    Args:
        book: the dialogues.
        visited: what conversations visited.
    """
    seen = frozenset(visited)
    points = points_of(book)
    covers = []
    for flow in book.flows.values():
        own = [point for point in points if point.spot.flow == flow.name]
        missing = tuple(point for point in own if point not in seen)
        shares = {part: _share(own, missing, part) for part in Part}
        covers.append(FlowCover(flow.name, flow.file, shares, missing))
    return covers


def total(covers: Sequence[FlowCover], part: Part) -> Share:
    """The share of one part over all flows together."""
    shares = [cover.shares[part] for cover in covers]
    return Share(sum(share.visited for share in shares), sum(share.of for share in shares))


def least_percent(covers: Sequence[FlowCover]) -> float:
    """The smallest share of any part, of all flows together [%]."""
    return min(total(covers, part).percent for part in Part)


def table(covers: Sequence[FlowCover]) -> Iterator[str]:
    """A line for each flow and one for all, then what is missing with file and line."""
    yield f"{'flow':<20}" + "".join(f"{part.value:>20}" for part in Part)
    for cover in covers:
        yield f"{cover.flow:<20}" + "".join(_cell(cover.shares[part]) for part in Part)
    yield f"{'all':<20}" + "".join(_cell(total(covers, part)) for part in Part)
    for cover in covers:
        if cover.missing:
            yield ""
        for point in sorted(cover.missing, key=lambda point: point.line):
            yield f"{cover.file}:{point.line}: {point.spot.screen}: {point.said}"


def as_json(covers: Sequence[FlowCover]) -> list[dict[str, object]]:
    """The same for a tool: a table for each flow."""
    return [
        {
            "flow": cover.flow,
            "file": cover.file,
            **{part.value: {"visited": share.visited, "of": share.of} for part, share in cover.shares.items()},
            "missing": [
                {"part": point.part.value, "screen": point.spot.screen, "line": point.line, "what": point.said}
                for point in cover.missing
            ],
        }
        for cover in covers
    ]


def _share(own: Sequence[Point], missing: Sequence[Point], part: Part) -> Share:
    of = sum(point.part is part for point in own)
    return Share(of - sum(point.part is part for point in missing), of)


def _cell(share: Share) -> str:
    # rounded down, so that 100 % means all
    percent = f"{share.visited} of {share.of}, {int(share.percent):>3} %"
    return f"{percent:>20}"
