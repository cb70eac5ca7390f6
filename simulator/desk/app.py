"""The desk in the terminal: keys and clicks go to the hands, what the desk shows goes into panes.

No animation, no blinking, no colour but the sixteen of the terminal, and only rows that changed are sent.
"""

from __future__ import annotations

import asyncio
import signal
from collections.abc import Callable
from datetime import UTC, datetime

from textual import events
from textual.app import App, ComposeResult
from textual.containers import Container
from textual.driver import Driver

from simulator.desk import author_views, message_views, notice_views, phone_views
from simulator.desk.cells import Row
from simulator.desk.driver import PlainDriver
from simulator.desk.errands import Errands
from simulator.desk.hands import Hands
from simulator.desk.line import Line, Starts
from simulator.desk.pane import Pane
from simulator.desk.state import Desk, Held
from simulator.desk.state import Pane as Front
from simulator.desk.table import Table
from simulator.desk.typed import line
from simulator.gateway import Gateway
from simulator.phone import Phone

_TWO_COLUMNS, _THREE_COLUMNS = 78, 110
_KEYPAD_BELOW, _TALL = 24, 32
_KEYPAD_BESIDE = 58
_LAYING_OUT_S = 0.1


class DeskApp(App[Exception | int | None], inherit_bindings=False):
    """The phones on a whole screen.

    Args:
        gateway: where text messages arrive.
        start: starts the service.
        number: the first phone.
        language: the language it is set to; empty for none.
    """

    ENABLE_COMMAND_PALETTE = False
    ALLOW_SELECT = False
    CSS = """
    Screen { layout: vertical; overflow: hidden; }
    Pane { width: 1fr; }
    #phones, #state { height: 1; }
    #middle { height: 1fr; layout: horizontal; overflow: hidden; }
    #body { width: 28; layout: vertical; overflow: hidden; }
    #face { width: 28; height: 14; layout: vertical; }
    #screen { height: 12; width: 26; }
    #asked, #typed { height: 1; width: 26; }
    #keypad { height: 4; width: 28; }
    #side { width: 1fr; layout: vertical; overflow: hidden; }
    #messages { height: 1fr; }
    #author { height: 1fr; display: none; }
    #notices, #legend { height: 2; }
    .with-author #author { display: block; }
    .with-author #messages { height: 6; }
    .with-author.front-messages #messages { height: 12; }
    .three-columns #side { layout: horizontal; }
    .three-columns #messages, .three-columns.front-messages #messages { height: 1fr; margin-right: 2; }
    .tall #notices { height: 6; }
    .no-keypad #keypad { display: none; }
    .keypad-beside #body { width: 58; layout: horizontal; }
    .keypad-beside #keypad { margin: 1 0 0 2; }
    .one-column #side { display: none; }
    .one-column.front-messages #body, .one-column.front-author #body { display: none; }
    .one-column.front-messages #side, .one-column.front-author #side { display: block; }
    .one-column.front-messages #author, .one-column.front-author #messages { display: none; }
    .one-column.front-messages #messages { height: 1fr; }
    """

    def __init__(self, gateway: Gateway, start: Starts, number: str, language: str = "") -> None:
        super().__init__(ansi_color=True)
        self.theme = "ansi-dark"
        self.animation_level = "none"
        self._is_laid_out = False
        self.line = Line(gateway, start, self._told)
        desk = Desk((Held(Phone(number), language),), datetime.now(UTC), service="starting ...")
        self.table = Table(desk, self._shown)
        self.errands = Errands(self.table, self.line, gateway, self._left)
        self.hands = Hands(self.table, self.errands, self.exit)

    def get_driver_class(self) -> type[Driver]:
        return PlainDriver

    def compose(self) -> ComposeResult:
        yield Pane(lambda desk, wide, high: (phone_views.phones(desk, wide),), "phones")
        yield Pane(lambda desk, wide, high: (phone_views.state(desk),), "state")
        with Container(id="middle"):
            with Container(id="body"):
                with Container(id="face"):
                    yield Pane(lambda desk, wide, high: phone_views.screen(desk), "screen")
                    yield Pane(lambda desk, wide, high: (phone_views.asked(desk),), "asked")
                    yield Pane(_typed, "typed")
                yield Pane(lambda desk, wide, high: phone_views.keypad(), "keypad")
            with Container(id="side"):
                yield Pane(message_views.messages, "messages")
                yield Pane(author_views.author, "author")
        yield Pane(notice_views.notices, "notices")
        yield Pane(lambda desk, wide, high: notice_views.legend(desk, wide), "legend")

    def on_mount(self) -> None:
        self._is_laid_out = True
        # The library paints while it lays out; over a slow line three empty screens would come before the first.
        self.delay_update(_LAYING_OUT_S)
        self._shown(self.table.desk)
        self.set_interval(1.0, self.errands.pass_time)
        if not self.is_headless:
            loop = asyncio.get_running_loop()
            for number in (signal.SIGTERM, signal.SIGHUP):
                loop.add_signal_handler(number, self.exit, 128 + number)
        # After the first paint, so that starting the service does not delay the phone itself.
        self.call_after_refresh(self.errands.begin)

    def on_resize(self, event: events.Resize) -> None:
        self._arrange()

    def on_key(self, event: events.Key) -> None:
        event.prevent_default()
        event.stop()
        self.hands.key(event.key, event.character)

    def on_paste(self, event: events.Paste) -> None:
        event.stop()
        self.hands.paste(event.text)

    def on_pane_pressed(self, event: Pane.Pressed) -> None:
        wide, high = event.pane.size
        self.hands.press(event.pane.id or "", event.x, event.y, wide, high)

    def _told(self, what: Callable[[], None]) -> None:
        self.call_later(what)

    def _left(self, fault: Exception | None) -> None:
        self.exit(fault)

    def _shown(self, desk: Desk) -> None:
        if not self._is_laid_out:
            return
        self._arrange()
        for pane in self.query(Pane):
            pane.show(desk)

    def _arrange(self) -> None:
        desk, (wide, high) = self.table.desk, self.size
        is_low = high < _KEYPAD_BELOW
        one_column = wide < _TWO_COLUMNS
        beside = one_column and is_low and wide >= _KEYPAD_BESIDE
        classes = {
            "with-author": desk.has_author,
            "one-column": one_column,
            "three-columns": wide >= _THREE_COLUMNS,
            "tall": high >= _TALL,
            "keypad-beside": beside,
            "no-keypad": is_low and not beside,
            "front-messages": desk.front is Front.MESSAGES,
            "front-author": desk.front is Front.AUTHOR,
        }
        wanted = frozenset(name for name, is_so in classes.items() if is_so)
        if wanted != self.screen.classes & classes.keys():
            self.screen.set_classes(wanted)


def _typed(desk: Desk, wide: int, high: int) -> tuple[Row, ...]:
    return (line(desk.typed, wide),)
