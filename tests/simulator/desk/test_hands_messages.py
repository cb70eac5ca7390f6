"""Keys and clicks: several phones, messages, and what was done as a script."""

import threading

import pytest

from simulator.desk.state import Asked, Pane
from tests.simulator.conftest import ANN
from tests.simulator.desk.hands import BEN, message, notice, script_of
from tests.simulator.standin import ACRES, MENU


class TestPhones:
    def test_another_phone_has_its_own_screen_and_what_is_typed_goes_to_it(self, caller, standin):
        caller.answers("1", ACRES)
        caller.commands("n")
        caller.types("", "enter")
        assert (caller.desk.held.phone.number, caller.screen) == (BEN, None)

        caller.answers("", MENU)
        caller.commands("1")

        assert (caller.desk.held.phone.number, caller.screen) == (ANN, ACRES)
        assert [body["from"] for path, body in standin.requests if "ussd" in path] == [ANN, ANN, BEN]

    def test_a_number_that_a_network_could_reach_is_refused(self, caller):
        caller.commands("n")
        caller.types("", "ctrl+u")
        caller.types("0700", "enter")

        assert "give +999" in notice(caller)
        assert len(caller.desk.phones) == 1

    def test_a_place_without_a_phone_is_told(self, caller):
        caller.commands("7")

        assert "there is no phone 7" in notice(caller)

    def test_one_phone_can_be_used_while_another_waits(self, caller, standin):
        caller.commands("n")
        caller.types("", "enter")
        standin.until[BEN] = threading.Event()
        caller.types("", "enter")
        caller.commands("1")
        caller.answers("1", ACRES)

        assert caller.desk.found(BEN).waits
        standin.until[BEN].set()
        caller.until(lambda: caller.desk.found(BEN).phone.screen == MENU)


class TestMessages:
    def test_one_that_is_written_is_sent_and_the_reply_comes_in(self, caller):
        caller.commands("m")
        caller.types("hello", "enter")
        caller.until(lambda: caller.desk.held.letters)

        assert caller.desk.held.letters[0].sms.text == "You wrote: hello"
        assert caller.desk.held.unread == 1

    def test_an_empty_one_is_not_sent(self, caller):
        caller.commands("m")
        caller.types(" ", "enter")

        assert "write the message first" in notice(caller)

    def test_they_are_chosen_and_opened_by_keys(self, caller, gateway):
        for place in range(3):
            gateway.take(message(f"text {place}", message_id=f"o{place}"))
        caller.until(lambda: len(caller.desk.held.letters) == 3)
        caller.commands("i")
        for key in ["down", "enter"]:
            caller.hands.key(key, None)

        held = caller.desk.held
        assert (held.letters[held.chosen].sms.text, held.is_opened, held.unread) == ("text 1", True, 2)
        caller.hands.key("enter", None)
        assert not caller.desk.held.is_opened

    def test_typing_goes_to_the_phone_again(self, caller):
        caller.commands("i")
        caller.types("1")

        assert caller.desk.front is Pane.PHONE

    def test_one_for_another_phone_is_counted_there(self, caller, gateway):
        caller.commands("n")
        caller.types("", "enter")
        gateway.take(message("Hello"))
        caller.until(lambda: caller.desk.found(ANN).unread)

        assert caller.desk.held.unread == 0

    def test_what_the_gateway_refuses_is_told(self, caller, gateway):
        with pytest.raises(Exception, match="segments is 2"):
            gateway.take(message("Hello") | {"segments": 2})
        gateway.take(message("Hello"))
        caller.until(lambda: caller.desk.held.letters)

        assert any("the gateway refused a message with 422" in said for said in caller.desk.notices)


class TestRecording:
    def test_all_since_the_beginning_is_written_as_a_script(self, caller, tmp_path):
        caller.answers("1", ACRES)
        caller.commands("m")
        caller.types("hello", "enter")
        caller.until(lambda: caller.desk.held.letters)
        caller.commands("n")
        caller.types("", "enter")
        caller.answers("", MENU)

        turns = script_of(caller, tmp_path).turns

        assert [turn.written for turn in turns] == ["dial", "> 1", "sms> hello", f"phone {BEN}", "dial"]
        assert [[line.text for line in found] for found in turns[2].messages] == [["You wrote: hello"]]

    def test_it_overwrites_nothing_and_another_name_can_be_given(self, caller, tmp_path):
        (tmp_path / "new.txt").write_text("old", encoding="utf-8")
        caller.commands("r")
        caller.types("", "ctrl+u")
        caller.types(str(tmp_path / "new.txt"), "enter")

        assert "give the name of a new file" in notice(caller)
        assert caller.desk.asked is Asked.FILE

    def test_before_anything_was_done_there_is_nothing_to_record(self, person):
        person.commands("r")

        assert "nothing was done yet" in notice(person)
