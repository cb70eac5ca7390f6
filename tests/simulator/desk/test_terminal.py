"""The phone in a real terminal device: what is sent there, and how it leaves."""

import os
import signal
import sys

import pytest

from simulator.house import free_port
from tests.simulator.desk.test_cells import HINDI
from tests.simulator.grids import Grid, marks_take_none, marks_take_one
from tests.simulator.ptys import PHONE, Terminal
from tests.simulator.standin import StandIn

COLOURS = {str(code) for code in (*range(30, 38), *range(40, 48), *range(90, 98), *range(100, 108))}
NEUTRAL = {"", "0", "1", "7", "39", "49"}
QUIET_S = 0.4


@pytest.fixture
def listening():
    """A stand-in that posts to the port on which the phone listens, and the phone's command."""
    port = free_port()
    with StandIn(f"http://127.0.0.1:{port}") as standin:
        options = ["--service", standin.address, "--listen", str(port)]
        yield standin, [sys.executable, "-m", "simulator", "phone", *options]


class TestWhatIsSent:
    def test_a_key_costs_few_bytes(self, listening):
        """What a slow line bears: 9600 bits a second carry some 960 bytes. A minute may begin just then."""
        with Terminal(listening[1]) as terminal:
            terminal.wait_for("My field")
            terminal.read(QUIET_S * 3)
            for key in ["7", "k", "\x7f", "\x1b[D", "\x1b[A"]:
                terminal.press(key)
                assert len(terminal.read(QUIET_S)) < 300

    def test_nothing_is_sent_while_nothing_happens(self, listening):
        with Terminal(listening[1]) as terminal:
            terminal.wait_for("My field")
            terminal.read(QUIET_S * 3)

            # a minute may begin just now, and its line is one of 80 columns
            assert len(terminal.read(2.5)) < 120

    @pytest.mark.parametrize("term", ["xterm-256color", "screen", "linux"])
    def test_only_the_sixteen_colours_are_used(self, listening, term):
        with Terminal(listening[1], TERM=term, COLORTERM="truecolor") as terminal:
            terminal.wait_for("My field")
            terminal.press("\x1ba9\r")
            terminal.wait_for("Goodbye")

            marks = Grid(terminal.seen, marks_take_one).marks

        assert marks <= COLOURS | NEUTRAL
        assert marks & COLOURS

    def test_no_colours_are_used_where_none_are_wanted(self, listening):
        with Terminal(listening[1], NO_COLOR="1") as terminal:
            terminal.wait_for("My field")

            assert Grid(terminal.seen, marks_take_one).marks <= NEUTRAL

    def test_the_mouse_is_asked_for_clicks_only(self, listening):
        with Terminal(listening[1]) as terminal:
            terminal.wait_for("My field")

        assert b"\x1b[?1000h" in terminal.seen
        assert b"\x1b[?1003h" not in terminal.seen

    @pytest.mark.parametrize("taken", [marks_take_one, marks_take_none])
    @pytest.mark.parametrize(("columns", "rows"), [(80, 24), (120, 40)])
    def test_hindi_breaks_no_frame_however_wide_a_terminal_makes_it(self, listening, taken, columns, rows):
        standin, command = listening
        standin.instead = {"text": HINDI, "open": True}
        standin.session = {"facts": {f"fact{place}": place for place in range(40)}}
        with Terminal(command, columns, rows) as terminal:
            terminal.wait_for("UCS-2")
            terminal.press("बीज की जाँच")
            terminal.press("\x1ba")
            terminal.wait_for("For the author")
            terminal.read(QUIET_S)

            cells = Grid(terminal.seen, taken, columns, rows).cells

        for row in cells[3:13]:
            assert [x for x, cell in enumerate(row[:28]) if cell == "|"] == [0, 25]
        assert "किलो" in "".join(cells[4])
        assert "जाँच" in "".join(cells[15])
        facts = ["".join(row[28:]).find("fact") for row in cells]
        assert facts[15] > 0, "a fact stands beside the typed line"
        assert len(set(facts) - {-1}) == 1, "what stands to the right has not moved"


class TestKeys:
    def test_escape_and_a_digit_close_together_take_up_a_phone(self, listening):
        with Terminal(listening[1]) as terminal:
            terminal.wait_for("My field")
            terminal.press("\x1bn\r")
            terminal.wait_for("2 +99900500002")
            terminal.press("\x1b1")
            terminal.press("1\r")
            terminal.wait_for("How many acres?")

        assert [body["from"] for path, body in listening[0].requests if "ussd" in path] == ["+99900500001"] * 2

    def test_a_click_is_taken_though_movements_are_not_reported(self, listening):
        """Press and release in the first key of the keypad, as xterm reports them (SGR, mode 1006)."""
        with Terminal(listening[1]) as terminal:
            terminal.wait_for("My field")
            terminal.read(QUIET_S)
            terminal.press("\x1b[<0;3;17M\x1b[<0;3;17m")
            terminal.wait_for("1 of 159")

    def test_it_follows_the_size_of_the_terminal(self, listening):
        with Terminal(listening[1]) as terminal:
            terminal.wait_for("My field")
            terminal.read(QUIET_S)
            before = len(terminal.seen)
            terminal.resize(60, 20)
            os.kill(terminal.child.pid, signal.SIGWINCH)
            terminal.wait_for("[ 1 ]")
            terminal.read(QUIET_S)

            lines = Grid(terminal.seen[before:], marks_take_one, 60, 20).lines

        assert "|1 My field" in lines[4]
        assert "[ 4 ] [ 5 ] [ 6 ] [ end  ]" in lines[4]
        assert lines[19].startswith("n phone")


class TestLeaving:
    def leaves(self, terminal, code):
        assert terminal.left() == code
        assert b"\x1b[?1049l" in terminal.seen
        assert b"\x1b[?25h" in terminal.seen

    def test_by_a_command(self, listening):
        with Terminal(listening[1]) as terminal:
            terminal.wait_for("My field")
            terminal.press("\x1bq")

            self.leaves(terminal, 0)

    @pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP])
    def test_by_a_signal_the_terminal_is_as_it_was(self, listening, number):
        with Terminal(listening[1]) as terminal:
            terminal.wait_for("My field")
            terminal.child.send_signal(number)

            self.leaves(terminal, 128 + number)

    def test_a_service_that_cannot_start_is_said_after_the_terminal_is_as_it_was(self):
        with Terminal([*PHONE, "--flows", "no-such-folder"]) as terminal:
            self.leaves(terminal, 2)

        assert "give a folder of flows" in terminal.seen.decode().split("\x1b[?1049l")[-1].replace("\r\n", " ")

    def test_a_terminal_without_a_movable_cursor_gets_it_line_by_line(self, listening):
        with Terminal(listening[1], TERM="dumb") as terminal:
            terminal.wait_for("Enter dials>")
            terminal.press("\n")
            terminal.wait_for("1 My field")

        assert b"\x1b" not in terminal.seen


class TestDemo:
    def test_the_phone_of_the_program_shows_the_first_screen_of_its_own_service(self):
        with Terminal(PHONE) as terminal:
            terminal.wait_for("Choose language")
            terminal.press("1\r")
            terminal.wait_for("May we keep")
            terminal.press("\x1bq")

            assert terminal.left() == 0
