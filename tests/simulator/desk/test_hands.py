"""Keys and clicks against a service, without a terminal."""

import threading
from contextlib import nullcontext

import pytest

from simulator.desk import phone_views
from simulator.desk.state import Asked, Pane
from tests.simulator.conftest import ANN
from tests.simulator.desk.conftest import Person
from tests.simulator.desk.hands import inputs, message, notice
from tests.simulator.standin import ACRES, MENU


class TestConversation:
    def test_the_phone_dials_by_itself(self, caller):
        assert caller.screen == MENU

    def test_what_is_typed_is_sent_with_enter(self, caller, standin):
        caller.answers("1", ACRES)
        caller.answers("2.5", "About 2.5 acres.\n\nThank you.")

        assert inputs(standin) == ["", "1", "2.5"]
        assert not caller.desk.held.phone.open
        assert caller.desk.typed.text == ""

    def test_enter_on_an_empty_line_dials_again_once_the_session_has_ended(self, caller, standin):
        caller.answers("3", "Goodbye")
        caller.answers("", MENU)

        assert inputs(standin) == ["", "3", ""]

    def test_an_answer_with_nothing_open_is_not_sent(self, caller, standin):
        caller.answers("3", "Goodbye")
        caller.types("1", "enter")

        assert "no session is open" in notice(caller)
        assert caller.desk.typed.text == "1"

    def test_what_was_typed_is_dialled_behind_the_code_by_the_call_key(self, caller):
        caller.answers("3", "Goodbye")
        caller.types("2*1")
        caller.commands("d")
        caller.until(lambda: caller.screen == "You dialled 2*1")

    def test_dialling_while_a_session_is_open_shows_its_screen_again(self, caller, standin):
        caller.answers("1", ACRES)
        caller.commands("d")
        caller.until(lambda: caller.screen == MENU)

        assert standin.requests[-1][1]["event"] == "begin"

    def test_hanging_up_ends_the_session(self, caller, standin):
        caller.commands("h")
        caller.until(lambda: not caller.desk.held.phone.open)

        assert standin.requests[-1][1]["event"] == "cancel"
        caller.commands("h")
        assert "no session is open" in notice(caller)

    def test_while_the_phone_waits_typing_goes_on_and_nothing_is_sent_twice(self, caller, standin):
        standin.until[ANN] = threading.Event()
        caller.types("1", "enter")
        caller.types("2", "enter")

        assert "waits for the service" in notice(caller)
        assert caller.desk.typed.text == "2"
        standin.until[ANN].set()
        caller.until(lambda: caller.screen == ACRES)
        assert inputs(standin) == ["", "1"]


class TestClicks:
    def click(self, person, label):
        cells = ((x, y) for y in range(4) for x in range(28) if phone_views.key_at(x, y) == label)
        person.hands.press("keypad", *next(cells), 28, 4)

    def test_the_keypad_types_erases_and_sends(self, caller):
        for label in ["2", "erase", "1", "send"]:
            self.click(caller, label)
        caller.until(lambda: caller.screen == ACRES)

        self.click(caller, "end")
        caller.until(lambda: not caller.desk.held.phone.open)
        self.click(caller, "call")
        caller.until(lambda: caller.screen == MENU)

    def test_a_phone_and_a_message_are_taken_by_a_click(self, caller, gateway):
        caller.commands("n")
        caller.types("", "enter")
        caller.hands.press("phones", 2, 0, 80, 1)
        assert caller.desk.in_hand == 0

        gateway.take(message("Hello"))
        caller.until(lambda: caller.desk.held.letters)
        caller.hands.press("messages", 3, 2, 50, 10)
        assert caller.desk.held.is_opened

    def test_a_slip_by_a_click_is_told_as_one_by_a_key(self, caller):
        self.click(caller, "end")
        caller.until(lambda: not caller.desk.held.phone.open)
        self.click(caller, "end")

        assert "no session is open" in notice(caller)

    def test_a_click_beside_everything_does_nothing(self, caller):
        before = caller.desk
        for pane in ("screen", "keypad", "phones", "messages", "author", "legend"):
            caller.hands.press(pane, 79, 0, 80, 10)

        assert caller.desk == before


class TestCommands:
    @pytest.mark.parametrize("close_together", [True, False])
    def test_escape_and_a_letter_do_something_however_fast_they_are_pressed(self, caller, close_together):
        if close_together:
            caller.hands.key("alt+m", None)
        else:
            caller.commands("m")

        assert caller.desk.asked is Asked.SMS

    def test_a_letter_that_does_nothing_is_told(self, caller):
        caller.commands("x")

        assert "x does nothing" in notice(caller)
        assert not caller.desk.is_armed

    def test_a_shift_key_that_is_reported_by_itself_does_no_harm(self, caller):
        for name, char in [("escape", "\x1b"), ("left_shift", None), ("upper_m", "M")]:
            caller.hands.key(name, char)

        assert caller.desk.asked is Asked.SMS

    def test_escape_twice_changes_nothing(self, caller):
        before = caller.desk
        caller.hands.key("escape", "\x1b")
        caller.hands.key("escape", "\x1b")

        assert caller.desk == before

    def test_escape_leaves_what_was_asked_and_the_answer_comes_back(self, caller):
        caller.types("12")
        caller.commands("c")
        caller.types("x")
        caller.hands.key("escape", "\x1b")

        assert (caller.desk.asked, caller.desk.typed.text) == (Asked.ANSWER, "12")

    @pytest.mark.parametrize("key", ["ctrl+c", "ctrl+d", "ctrl+q"])
    def test_keys_that_leave_elsewhere_say_what_leaves_here(self, caller, key):
        caller.hands.key(key, None)

        assert "Esc, then q leaves" in notice(caller)
        assert caller.left == []

    def test_leaving(self, caller):
        caller.commands("q")

        assert caller.left == [None]

    def test_the_clock_moves_for_phones_and_service(self, caller, standin):
        caller.commands("c")
        caller.types("", "ctrl+u")
        caller.types("2027-03-01T08:00+03:00", "enter")
        caller.until(lambda: standin.clock is not None and not caller.desk.moves)

        assert "It is now Mon 01 Mar 2027, 08:00" in notice(caller)

    def test_a_round_is_for_all_phones_and_the_clock_then_goes_through_its_days(self, caller, standin):
        caller.commands("n")
        caller.types("", "ctrl+u")
        caller.types("+99900500077", "enter")
        caller.commands("s")
        caller.types("", "enter")
        caller.until(lambda: "has begun" in notice(caller))
        caller.commands("c")
        caller.types("", "enter")
        caller.until(lambda: standin.clock is not None and not caller.desk.moves)

        (_, started), (_, moved) = [one for one in standin.requests if one[0] in ("/demo/round", "/demo/clock")]
        assert (started["round"], len(started["numbers"]), started["numbers"][1]) == (
            "seed_test",
            2,
            "+99900500077",
        )
        assert moved["passing"]

    def test_a_time_that_cannot_be_read_is_told_and_can_be_mended(self, caller):
        caller.commands("c")
        caller.types("x", "enter")

        assert "give a step such as +30m" in notice(caller)
        assert (caller.desk.asked, caller.desk.typed.text) == (Asked.CLOCK, "+1dx")

    def test_the_language_of_the_phone_goes_with_what_it_sends(self, caller, standin):
        caller.commands("l")
        caller.types("sw", "enter")
        caller.answers("1", ACRES)

        assert standin.languages[-1] == "sw"
        assert caller.desk.held.language == "sw"


class TestFaults:
    def test_a_service_that_refuses_is_told_and_what_was_typed_comes_back(self, caller, standin):
        standin.answers = [500]
        caller.types("1", "enter")
        caller.until(lambda: not caller.desk.held.waits)

        assert "refused POST /gateway/ussd with 500" in notice(caller)
        assert (caller.desk.typed.text, caller.screen) == ("1", MENU)

    def test_a_service_that_breaks_the_contract_is_told(self, caller, standin):
        standin.instead = {"text": 5}
        caller.types("1", "enter")
        caller.until(lambda: not caller.desk.held.waits)

        assert "breaks the contract" in notice(caller)

    def test_a_service_that_is_gone_is_told(self, gateway):
        person = Person(gateway, lambda _: nullcontext("http://127.0.0.1:9"))
        person.errands.begin()
        person.until(lambda: person.desk.notices)
        person.line.close()

        assert "see that the service runs at this address" in notice(person)
        assert not person.desk.held.waits

    def test_a_service_that_does_not_start_ends_the_program_with_its_fault(self, gateway):
        fault = RuntimeError("no such folder")

        def start(_):
            raise fault

        person = Person(gateway, start)
        person.errands.begin()
        person.until(lambda: person.left)
        person.line.close()

        assert person.left == [fault]

    def test_what_is_pressed_before_the_service_is_there_stays(self, person):
        person.types("1", "enter")

        assert notice(person) == "the service is still starting"
        person.errands.begin()
        person.until(lambda: person.screen == MENU)
        assert person.desk.typed.text == "1"
        person.answers("", ACRES)


class TestAuthors:
    def test_the_session_is_asked_about_while_nobody_types(self, caller):
        caller.until(lambda: caller.desk.held.session.get("facts") == {"area": 2.5})

    def test_a_changed_book_is_announced_and_so_are_faults(self, person, standin):
        standin.book = {"fingerprint": "a1", "faults": []}
        person.errands.begin()
        person.until(lambda: person.desk.book)
        said = []
        for book in [
            {"fingerprint": "b2", "faults": []},
            {"fingerprint": "b2", "faults": [{"file": "x.yaml", "line": 3, "what": "bad"}]},
            {"fingerprint": "b2", "faults": []},
        ]:
            standin.book = book
            person.until(lambda book=book: person.desk.book == book)
            said.append(notice(person))

        assert said == [
            "The book has changed: Esc, then d shows this screen again",
            "The changed files have 1 fault (Esc, then a shows all): x.yaml:3: bad",
            "The files are without faults again",
        ]

    def test_with_the_pane_open_faults_show_there_from_the_top(self, person, standin):
        standin.book = {"fingerprint": "a1", "faults": []}
        person.errands.begin()
        person.until(lambda: person.desk.book)
        person.commands("a")
        person.types("", "pagedown")
        assert person.desk.author_top > 0

        standin.book = {"fingerprint": "a1", "faults": [{"file": "x.yaml", "line": 3, "what": "bad"}]}
        person.until(lambda: person.desk.book == standin.book)
        assert person.desk.author_top == 0
        assert notice(person) == "The changed files have 1 fault: x.yaml:3: bad"

    def test_page_keys_scroll_the_pane_while_an_answer_is_typed(self, caller):
        caller.commands("a")
        caller.types("2", "pagedown")
        assert (caller.desk.front, caller.desk.author_top) == (Pane.PHONE, 8)
        caller.types("", "pageup")
        assert (caller.desk.author_top, caller.desk.typed.text) == (0, "2")

    def test_the_pane_is_switched_on_and_off(self, caller):
        caller.commands("a")
        assert (caller.desk.has_author, caller.desk.front) == (True, Pane.AUTHOR)
        caller.commands("a")
        assert (caller.desk.has_author, caller.desk.front) == (False, Pane.PHONE)

    def test_enter_in_it_goes_back_to_the_phone_and_sends_nothing(self, caller, standin):
        caller.commands("a")
        caller.types("", "enter")

        assert caller.desk.front is Pane.PHONE
        assert inputs(standin) == [""]
