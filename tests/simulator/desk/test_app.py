"""The whole screen, driven by the library's own pilot, at the sizes that are promised."""

import asyncio
import threading
import time
from contextlib import nullcontext

import pytest

from advisor.commands.inprocess import running_in_process
from simulator.desk import phone_views
from simulator.desk.app import DeskApp
from simulator.desk.pane import Pane
from simulator.desk.state import Pane as Front
from simulator.gateway import Gateway
from simulator.house import joined
from simulator.player import play
from simulator.reading import read
from tests.simulator.conftest import ANN
from tests.simulator.desk.test_cells import HINDI
from tests.simulator.standin import ACRES, MENU

SIZES = [(80, 24), (60, 20), (120, 40)]
PATIENCE_S = 20.0


def visible(app):
    return {pane.id for pane in app.query(Pane) if pane.display and pane.size.width and pane.size.height}


def shown(app, name):
    return app.query_one(f"#{name}", Pane).text()


def lines(app):
    """What stands on the screen, line by line, as it was laid out."""
    return ["".join(segment.text for strip in line for segment in strip) for line in _strips(app)]


def _strips(app):
    return app.screen._compositor.render_full_update().strips


async def until(pilot, is_so):
    until_s = time.monotonic() + PATIENCE_S
    while not is_so():
        assert time.monotonic() < until_s, lines(pilot.app)
        await pilot.pause(0.02)


def used(gateway, start, use, size=(80, 24), **options):
    """Runs the phone and lets ``use(app, pilot)`` use it once its first screen is there."""

    async def run():
        app = DeskApp(gateway, start, ANN, **options)
        try:
            async with app.run_test(size=size) as pilot:
                await until(pilot, lambda: app.table.desk.held.phone.screen is not None)
                await until(pilot, lambda: not app.table.desk.held.waits)
                await use(app, pilot)
        finally:
            app.line.close()
        return app.return_value

    return asyncio.run(run())


@pytest.fixture
def use(gateway, standin):
    return lambda use, **options: used(gateway, lambda _: nullcontext(standin.address), use, **options)


async def types(pilot, text):
    await pilot.press(*("full_stop" if char == "." else char for char in text), "enter")


class TestSizes:
    @pytest.mark.parametrize("size", SIZES)
    def test_a_conversation_is_held_at_every_size(self, use, size):
        async def conversation(app, pilot):
            await types(pilot, "1")
            await until(pilot, lambda: "How many acres?" in shown(app, "screen"))
            await types(pilot, "2.5")
            await until(pilot, lambda: "About 2.5 acres." in shown(app, "screen"))
            assert len(lines(app)) == size[1]
            assert "[ 1 ] [ 2 ] [ 3 ] [ call ]" in "\n".join(lines(app))
            assert "q quit" in "\n".join(lines(app))

        use(conversation, size=size)

    def test_the_smallest_shows_the_phone_alone_and_the_others_in_its_place(self, use):
        async def look(app, pilot):
            assert "messages" not in visible(app)
            await pilot.press("escape", "i")
            assert {"messages"} == visible(app) & {"messages", "author", "screen", "keypad"}
            await pilot.press("escape", "a")
            assert {"author"} == visible(app) & {"messages", "author", "screen", "keypad"}
            await pilot.press("1")
            assert {"screen", "keypad"} == visible(app) & {"messages", "author", "screen", "keypad"}

        use(look, size=(60, 20))

    def test_the_largest_shows_all_side_by_side(self, use):
        async def look(app, pilot):
            await pilot.press("escape", "a")
            await pilot.pause()
            regions = [app.query_one(f"#{name}").region for name in ("screen", "messages", "author")]
            assert {"screen", "keypad", "messages", "author"} <= visible(app)
            assert regions[0].right <= regions[1].x
            assert regions[1].right <= regions[2].x
            assert min(region.width for region in regions[1:]) >= 40

        use(look, size=(120, 40))

    def test_it_may_be_resized_at_any_time(self, use):
        async def resize(app, pilot):
            await pilot.press("escape", "a")
            for size in [(120, 40), (60, 20), (20, 5), (5, 2), (1, 1), (200, 60), (80, 24)]:
                await pilot.resize_terminal(*size)
                await pilot.press("1", "backspace", "tab")
                await pilot.pause()
            assert MENU.splitlines()[0] in shown(app, "screen")
            assert len(lines(app)) == 24

        use(resize)


class TestScreen:
    def test_the_frame_is_whole_around_hindi(self, use, standin):
        standin.instead = {"text": HINDI, "open": True}

        async def look(app, pilot):
            rows = shown(app, "screen").splitlines()
            assert [row[0] + row[-1] for row in rows[1:-1]] == ["||"] * phone_views.ROWS
            assert "50 किलो बीज लें" in shown(app, "screen")
            assert "of 70, UCS-2" in shown(app, "screen")

        use(look)

    def test_typing_goes_on_while_the_service_is_slow(self, use, standin):
        async def look(app, pilot):
            standin.until[ANN] = threading.Event()
            await types(pilot, "1")
            await pilot.press("2")
            await pilot.pause()
            assert "> 2" in shown(app, "typed")
            assert "waits for the service" in shown(app, "asked")
            standin.until[ANN].set()
            await until(pilot, lambda: ACRES in shown(app, "screen"))
            assert "> 2" in shown(app, "typed")

        use(look)

    def test_pasting_goes_into_the_typed_line(self, use):
        from textual import events

        async def look(app, pilot):
            app.post_message(events.Paste("two\nand a half\n"))
            await until(pilot, lambda: app.table.desk.typed.text == "two and a half")

        use(look)

    def test_a_key_of_the_keypad_is_clicked(self, use):
        async def look(app, pilot):
            await pilot.click("#keypad", offset=(2, 0))
            await until(pilot, lambda: "> 1" in shown(app, "typed"))
            await pilot.click("#keypad", offset=(21, 3))
            await until(pilot, lambda: ACRES in shown(app, "screen"))

        use(look)

    def test_a_message_comes_in_while_nobody_types(self, use, gateway):
        async def look(app, pilot):
            said = {"id": "o1", "from": "2500", "to": ANN, "text": "Due", "alphabet": "gsm7", "segments": 1}
            gateway.take(said)
            await until(pilot, lambda: "2500" in shown(app, "messages"))
            assert "(1 new)" in shown(app, "phones")

        use(look)

    def test_nothing_is_sent_to_the_terminal_while_nothing_changes(self, use):
        async def look(app, pilot):
            await until(pilot, lambda: app.table.desk.held.session)
            await pilot.pause(0.3)
            refreshed = []
            for pane in app.query(Pane):
                pane.refresh = lambda *regions, name=pane.id, **_: refreshed.append((name, regions))
            await pilot.press("7")
            # a minute may begin just now, which the state shows
            assert {name for name, _ in refreshed} - {"state"} == {"asked", "typed"}
            refreshed.clear()
            app.errands.look()
            await pilot.pause(0.3)
            app.table.lay(app.table.desk.saying("Hello"))
            assert {name for name, _ in refreshed} - {"state"} == {"notices"}

        use(look)


class TestLeaving:
    def test_leaving_ends_the_program(self, use):
        async def leave(app, pilot):
            await pilot.press("escape", "q")

        assert use(leave) is None

    def test_a_service_that_cannot_start_ends_it_with_the_fault(self, gateway):
        fault = RuntimeError("no such folder")

        def start(_):
            raise fault

        async def run():
            app = DeskApp(gateway, start, ANN)
            async with app.run_test():
                for _ in range(200):
                    if app.return_value is not None:
                        break
                    await asyncio.sleep(0.02)
            app.line.close()
            return app.return_value

        assert asyncio.run(run()) is fault


class TestDemoService:
    """Against the service itself, inside this process as ``advisor phone`` has it."""

    def test_a_conversation_is_recorded_and_plays_again(self, tmp_path):
        file = tmp_path / "recorded.txt"

        async def conversation(app, pilot):
            await until(pilot, lambda: "Choose language" in shown(app, "screen"))
            for typed, screen in [
                ("1", "May we keep"),
                ("1", "Where is"),
                ("2", "What do you"),
                ("1", "How many"),
            ]:
                await types(pilot, typed)
                await until(pilot, lambda screen=screen: screen in shown(app, "screen"))
            await until(pilot, lambda: app.table.desk.held.spoken == "en")
            assert app.table.desk.book["fingerprint"]
            await pilot.press("escape", "a")
            await until(pilot, lambda: "buy_list." in shown(app, "author"))
            await pilot.press("escape", "n", "enter", "enter")
            await until(pilot, lambda: "Choose language" in shown(app, "screen"))
            await pilot.press("escape", "c", "ctrl+u")
            await types(pilot, "+1w")
            await until(pilot, lambda: "It is now" in shown(app, "notices"))
            await pilot.press("escape", "1")
            await pilot.press("escape", "m")
            await types(pilot, "0")
            await until(pilot, lambda: "2500" in shown(app, "messages"))
            await pilot.press("escape", "r", "ctrl+u")
            app.hands.paste(str(file))
            await pilot.press("enter")
            await until(pilot, lambda: "Written" in shown(app, "notices"))
            assert app.table.desk.front is Front.PHONE

        with Gateway() as gateway:
            used(gateway, running_in_process, conversation)
        with (
            Gateway() as gateway,
            running_in_process(gateway.address) as address,
            joined(address, gateway) as wire,
        ):
            played = play(read(file.read_text(encoding="utf-8"), file.name), wire, gateway)

        assert played.differences == ()
        assert len(played.seen) == 10
