"""A flow as an SVG picture: a box a screen, a row in it for each way, and arrows from the rows.

A row names the screen it leads to, so that no arrow must be followed to read it. Arrows that lead back are thin
and broken, and ways to the menu and out of the flow have none.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from html import escape

from advisor.dialogue.drawing.layers import Layout, laid_out
from advisor.dialogue.drawing.mermaid import wrapped
from advisor.dialogue.drawing.pictures import Box, Picture, is_outside

_SIGNS = 44
_WIDTH = _SIGNS * 6.7 + 16
_ROW = 16.0
_BETWEEN = 110.0
_MARGIN = 24.0
_STYLE = """
text{font:11px ui-monospace,"DejaVu Sans Mono",monospace;fill:#222}
.name{font-weight:bold}.words{fill:#555}.flow{font-size:18px;font-weight:bold}
.box{fill:#fff;stroke:#333}.step{fill:#eef1f4;stroke:#889;stroke-dasharray:4 2}.ends{fill:#f3ead8;stroke:#333}
.start{stroke-width:2.5}.line{stroke:#ccc}
.way{fill:none;stroke:#456;stroke-width:1.1}.back{fill:none;stroke:#bbb;stroke-dasharray:3 3}
.sms{fill:none;stroke:#a63;stroke-dasharray:6 3}
"""


@dataclass(frozen=True, slots=True)
class _Row:
    style: str
    text: str
    to: str = ""
    sends: bool = False


def svg(pictures: Iterable[Picture]) -> str:
    """One picture of all flows, one below the other."""
    parts: list[str] = []
    width, height = 0.0, _MARGIN
    for picture in pictures:
        drawn, wide, high = _flow(picture)
        parts += [f'<g transform="translate({_MARGIN:g} {height:g})">', *drawn, "</g>"]
        width, height = max(width, wide), height + high + 2 * _MARGIN
    size = f"{width + 2 * _MARGIN:g} {height:g}"
    head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {size}" width="{width + 2 * _MARGIN:g}">'
    arrow = '<path d="M0 0L8 4L0 8z" fill="#456"/>'
    marker = '<marker id="tip" viewBox="0 0 8 8" refX="8" refY="4" markerWidth="7" markerHeight="7" orient="auto">'
    defs = f"<defs>{marker}{arrow}</marker></defs>"
    white = f'<rect width="{width + 2 * _MARGIN:g}" height="{height:g}" fill="#fff"/>'
    return "\n".join([head, f"<style>{_STYLE}</style>", defs, white, *parts, "</svg>"]) + "\n"


def _flow(picture: Picture) -> tuple[list[str], float, float]:
    rows = {box.name: list(_rows(box)) for box in picture.boxes}
    arrows = [(name, row.to) for name, own in rows.items() for row in own if row.to and row.to in rows]
    starts = [box.name for box in picture.boxes if box.is_start]
    layout = laid_out({name: len(own) * _ROW + 10 for name, own in rows.items()}, arrows, starts)
    drawn = [f'<text class="flow" x="0" y="14">{escape(picture.flow)}</text>', '<g transform="translate(0 34)">']
    for box in picture.boxes:
        for number, row in enumerate(rows[box.name]):
            if row.to in rows:
                drawn.append(_arrow(layout, box.name, row, number))
    for box in picture.boxes:
        drawn += _drawn(box, rows[box.name], _left(layout, box.name), layout.top[box.name])
    columns = max(layout.column.values()) + 1
    return [*drawn, "</g>"], columns * (_WIDTH + _BETWEEN) - _BETWEEN, layout.height + 34


def _rows(box: Box) -> Iterator[_Row]:
    yield _Row("name", box.name)
    for line in wrapped(box.words, _SIGNS):
        yield _Row("words", line)
    for exit_ in box.exits:
        target = f"({exit_.to})" if is_outside(exit_.to) else exit_.to
        lines = wrapped(f"{exit_.label} > {target}".strip(), _SIGNS)
        for line in lines[:-1]:
            yield _Row("exit", line)
        yield _Row("exit", lines[-1] if len(lines) == 1 else f"  {lines[-1]}", exit_.to, exit_.sends)


def _left(layout: Layout, name: str) -> float:
    return layout.column[name] * (_WIDTH + _BETWEEN)


def _drawn(box: Box, rows: list[_Row], left: float, top: float) -> Iterator[str]:
    style = "ends" if box.ends else "box" if box.is_shown else "step"
    style += " start" if box.is_start else ""
    size = f'width="{_WIDTH:g}" height="{len(rows) * _ROW + 10:g}"'
    yield f'<rect class="{style}" x="{left:g}" y="{top:g}" {size} rx="4"/>'
    for number, row in enumerate(rows):
        y = top + (number + 1) * _ROW
        yield f'<text class="{row.style}" x="{left + 8:g}" y="{y:g}">{escape(row.text)}</text>'
        if row.style == "exit" and rows[number - 1].style != "exit":
            at = y - _ROW + 5
            yield f'<line class="line" x1="{left:g}" x2="{left + _WIDTH:g}" y1="{at:g}" y2="{at:g}"/>'


def _arrow(layout: Layout, name: str, row: _Row, number: int) -> str:
    start_x, start_y = _left(layout, name) + _WIDTH, layout.top[name] + (number + 1) * _ROW - 4
    end_x, end_y = _left(layout, row.to), layout.top[row.to] + 12
    path = f"M{start_x:g} {start_y:g}"
    if (name, row.to) not in layout.through:
        return f'<path class="back" d="{path}{_curve(start_x, start_y, end_x, end_y)}"/>'
    x, y = start_x, start_y
    for at in layout.through[name, row.to]:
        path += f"{_curve(x, y, x + _BETWEEN, at)}h{_WIDTH:g}"
        x, y = x + _BETWEEN + _WIDTH, at
    style = "sms" if row.sends else "way"
    return f'<path class="{style}" d="{path}{_curve(x, y, end_x, end_y)}" marker-end="url(#tip)"/>'


def _curve(x: float, y: float, to_x: float, to_y: float) -> str:
    """A curve that leaves and arrives level."""
    bend = _BETWEEN / 2
    return f"C{x + bend:g} {y:g} {to_x - bend:g} {to_y:g} {to_x:g} {to_y:g}"
