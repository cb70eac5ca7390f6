"""The terminal phone, driven as a person would: lines in, text out."""

import io
import os
import threading
from pathlib import Path

import pytest

from simulator.reading import read
from simulator.terminal import run
from tests.simulator.conftest import ANN
from tests.simulator.standin import ACRES, MENU


@pytest.fixture
def use(ann):
    def used(*lines):
        screen_out = io.StringIO()
        assert run(ann, io.StringIO("".join(f"{line}\n" for line in lines)), screen_out) == 0
        return screen_out.getvalue()

    return used


class TestConversation:
    def test_enter_dials_and_what_is_typed_goes_to_the_screen(self, use, standin):
        shown = use("", "1", "2.5")

        assert [body.get("input") for _, body in standin.requests] == ["", "1", "2.5"]
        for line in (*MENU.splitlines(), ACRES, "About 2.5 acres."):
            assert f"|  {line}" in shown
        assert "15 of 160" in shown
        assert "key presses 6" in shown
        assert "[ ended ]" in shown

    def test_typing_with_nothing_open_says_what_to_do(self, use, standin):
        assert "press Enter to dial" in use("1")
        assert standin.requests == []

    def test_a_session_can_be_opened_with_digits_dropped_and_hung_up(self, use, standin):
        shown = use(":dial 2*1", ":dial", ":hang")
        bodies = [body for _, body in standin.requests]

        assert "You dialled 2*1" in shown
        assert [body["event"] for body in bodies] == ["begin", "begin", "cancel"]
        assert "Hung up." in shown

    def test_a_piped_conversation_reads_as_it_would_in_a_terminal(self, use):
        assert "answer> 1\n" in use("", "1")

    def test_every_turn_ends_with_one_line_of_help(self, use):
        assert use("").count(":dial :hang :sms TEXT") == 1


class TestMessages:
    def test_a_reply_by_sms_is_shown_when_it_comes(self, use):
        assert " :  You wrote: hello" in use(":sms hello")

    def test_the_inbox_shows_all_messages_again(self, use):
        assert use(":sms hello", ":inbox", ":quit").count(" :  You wrote: hello") == 2

    def test_an_empty_inbox_and_an_empty_message_are_said(self, use):
        shown = use(":inbox", ":sms")

        assert "No text messages." in shown
        assert "write the message behind :sms" in shown

    def test_a_message_that_comes_while_nobody_types_is_shown_at_once(self, ann, gateway):
        """The keyboard stays silent until the message has been shown."""
        read_end, write_end = os.pipe()
        with os.fdopen(read_end) as keys_in, os.fdopen(write_end, "w") as typist:
            shown = _Watched(" :  Your seed test is due", typist.close)
            message = {"id": "o1", "from": "2500", "to": ANN, "text": "Your seed test is due"}
            threading.Timer(0.1, gateway.take, [message | {"alphabet": "gsm7", "segments": 1}]).start()

            assert run(ann, keys_in, shown) == 0


class TestCommands:
    def test_the_clock_of_phones_and_service_moves(self, use, standin):
        shown = use(":clock 2027-03-01T08:00+03:00", ":clock +3d")

        assert "It is now Thu 04 Mar 2027, 08:00." in shown
        assert standin.clock.startswith("2027-03-04T08:00:0")

    def test_a_round_is_for_the_phones_used_so_far_and_time_then_passes(self, use, standin):
        shown = use("", ":phone +99900500002", ":round seed_test", ":clock +3d")

        asked = [(path, body) for path, body in standin.requests if path.startswith("/demo/")]
        (_, started), (_, moved) = asked
        assert "seed_test has begun for" in shown
        assert started == {"round": "seed_test", "numbers": [ANN, "+99900500002"]}
        assert moved["passing"]

    def test_another_phone_can_be_taken_up_and_the_first_again(self, use, standin):
        use("", ":phone +99900500002", "", f":phone {ANN}", "1")

        assert [body["from"] for _, body in standin.requests] == [ANN, "+99900500002", ANN]

    def test_facts_shows_what_the_service_keeps(self, use):
        assert f' from: "{ANN}"\n facts area: 2.5\n' in use(":facts")

    def test_help_explains_every_command(self, use):
        shown = use(":help")

        for word in ["dial", "hang", "sms", "inbox", "clock", "round", "phone", "facts", "record", "quit"]:
            assert f" :{word}" in shown.replace(":dial :hang", "")

    @pytest.mark.parametrize(
        ("line", "says"),
        [
            (":bogus", "no command :bogus: known are :dial"),
            (":clock soon", "give a step such as +30m"),
            (":round", "write the name of a round"),
            (":phone 0700", "give +999"),
            (":hang", "nothing is open"),
        ],
    )
    def test_a_slip_at_the_terminal_is_told_and_the_phone_goes_on(self, use, line, says):
        shown = use(line, "")

        assert says in shown
        assert "1 My field" in shown

    def test_a_service_that_refuses_is_told_and_the_phone_goes_on(self, use, standin):
        standin.answers = [500]

        shown = use("", "")

        assert " ! the service refused POST /gateway/ussd with 500" in shown
        assert "1 My field" in shown

    def test_no_line_is_wider_than_the_terminal(self, use):
        shown = use("", "2", ":help", ":bogus", ":clock soon", ":phone 0700", ":sms hello", ":inbox")

        assert all(len(line) <= 80 for line in shown.splitlines())


class TestRecording:
    def test_a_conversation_is_written_as_a_script(self, use, tmp_path):
        file = tmp_path / "new.txt"
        shown = use("", "1", ":sms hello", f":record {file}")
        script = read(file.read_text(encoding="utf-8"), file.name)

        assert f"play {file}" in shown
        assert [turn.written for turn in script.turns] == ["dial", "> 1", "sms> hello"]
        assert [line.text for line in script.turns[1].screen] == [ACRES]
        assert [[line.text for line in message] for message in script.turns[2].messages] == [["You wrote: hello"]]

    def test_a_recording_overwrites_nothing(self, use, tmp_path):
        file = Path(tmp_path / "old.txt")
        file.write_text("old", encoding="utf-8")

        assert "give the name of a new file" in use("", f":record {file}")
        assert file.read_text(encoding="utf-8") == "old"


class TestLeaving:
    @pytest.mark.parametrize(
        "lines", [[], [":quit"], ["", ":quit", "1"]], ids=["end-of-input", "quit", "quit-open"]
    )
    def test_leaving_is_clean(self, use, lines, standin):
        assert use(*lines).endswith("\n")
        assert "1" not in [body.get("input") for _, body in standin.requests]

    def test_an_interrupt_leaves_cleanly(self, ann):
        class Interrupted(io.StringIO):
            def readline(self):
                raise KeyboardInterrupt

        screen_out = io.StringIO()

        assert run(ann, Interrupted(), screen_out) == 0
        assert screen_out.getvalue().endswith("\n")


class _Watched(io.StringIO):
    """A screen that does something once a text has been shown on it."""

    def __init__(self, text, then):
        super().__init__()
        self._text = text
        self._then = then

    def flush(self):
        if self._text in self.getvalue():
            self._then()
