"""A part of the screen: rows of cells, of which only those that changed are sent to the terminal."""

from __future__ import annotations

from collections.abc import Callable

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.geometry import Region
from textual.message import Message
from textual.strip import Strip
from textual.widget import Widget

from simulator.desk.cells import Mark, Row, filled, is_uncertain, text_of, width
from simulator.desk.state import Desk

#: Only the sixteen colours that every terminal has, each with a weight, so that nothing is said by colour alone.
_STYLES = {
    Mark.PLAIN: Style(),
    Mark.STRONG: Style(bold=True),
    Mark.REVERSED: Style(reverse=True),
    Mark.WARN: Style(color="yellow", bold=True),
    Mark.BAD: Style(color="red", bold=True),
}
_SAVE, _RESTORE = "\x1b7", "\x1b8"  # DECSC and DECRC, which the consoles and multiplexers all know


class Pane(Widget, can_focus=False):
    """Shows what a function makes of the desk.

    Args:
        draw: rows for a desk, and for so many columns and rows.
        id: its name.
    """

    ALLOW_SELECT = False

    class Pressed(Message):
        """A cell of the pane was clicked."""

        def __init__(self, pane: Pane, x: int, y: int) -> None:
            super().__init__()
            self.pane, self.x, self.y = pane, x, y

    def __init__(self, draw: Callable[[Desk, int, int], tuple[Row, ...]], id: str) -> None:  # noqa: A002
        super().__init__(id=id)
        self._draw = draw
        self._rows: tuple[Row, ...] = ()
        self._desk: Desk | None = None

    def show(self, desk: Desk) -> None:
        """Shows another desk."""
        self._desk = desk
        wide, high = self.size
        if not wide or not high:
            return
        drawn = [filled(row, wide) for row in self._draw(desk, wide, high)[:high]]
        rows = (*drawn, *[filled((), wide)] * (high - len(drawn)))
        if len(rows) != len(self._rows) or width(rows[0]) != width(self._rows[0]):
            self._rows = rows
            self.refresh()
            return
        changed = [place for place, (old, new) in enumerate(zip(self._rows, rows, strict=True)) if old != new]
        self._rows = rows
        if changed:
            self.refresh(*(Region(0, place, wide, 1) for place in changed))

    def text(self) -> str:
        """What the pane shows, without marks; for tests and for whoever reads it aloud."""
        return "\n".join(text_of(row).rstrip() for row in self._rows)

    def on_resize(self, event: events.Resize) -> None:
        if self._desk is not None:
            self.show(self._desk)

    def on_click(self, event: events.Click) -> None:
        event.stop()
        self.post_message(self.Pressed(self, event.x, event.y))

    def render_line(self, y: int) -> Strip:
        if y >= len(self._rows):
            return Strip.blank(self.size.width)
        cells = self._rows[y]
        if is_uncertain(text_of(cells)) and not self.app.is_headless:
            return Strip(_laid_over(cells), width(cells))
        return Strip([Segment(span.text, _STYLES[span.mark]) for span in cells], width(cells))


def _laid_over(cells: Row) -> list[Segment]:
    """A row drawn as blanks first; each piece is then laid over them from its own column.

    So neither what stands to the right nor the edge of the screen moves, however wide a terminal makes a letter.
    The pieces are laid on before the last column, since behind it terminals differ in where the cursor is.
    """
    columns = width(cells)
    last = text_of(cells)[-1]
    inner = filled(cells, columns - 1)
    blanks, over, start = [], [], 0
    for span in inner:
        wide = width((span,))
        back = columns - 1 - start
        blanks.append(Segment(" " * wide, _STYLES[span.mark]))
        over.append(Segment(f"{_SAVE}\x1b[{back}D{span.text}{_RESTORE}", _STYLES[span.mark]))
        start += wide
    return [*blanks, *over, Segment(last if last.isascii() else " ", _STYLES[cells[-1].mark])]
