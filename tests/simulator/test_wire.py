import httpx
import pytest

from simulator.clock import Clock, moment
from simulator.house import free_port
from simulator.wire import ContractBroken, ServiceRefused, ServiceUnreachable, Shown, Wire, problem
from tests.simulator.conftest import ANN
from tests.simulator.standin import ACRES, MENU, StandIn


class TestMessages:
    def test_a_session_begins_is_answered_and_is_cancelled(self, wire, standin):
        assert wire.begin("m1", "s1", ANN) == Shown(MENU, True)
        assert wire.answer("m2", "s1", ANN, "1") == Shown(ACRES, True)
        wire.cancel("m3", "s1", ANN)

        assert [body["event"] for _, body in standin.requests] == ["begin", "answer", "cancel"]

    def test_a_message_has_the_fields_of_the_contract_and_no_other(self, wire, standin):
        wire.begin("m1", "s1", ANN)
        wire.sms("m2", ANN, "hello")
        wire.receipt("o1", "delivered")
        ussd, sms, receipt = (body for _, body in standin.requests)

        assert set(ussd) == {"id", "session", "from", "to", "event", "input", "at"}
        assert set(sms) == {"id", "from", "to", "text", "at"}
        assert set(receipt) == {"id", "status", "at"}

    def test_the_time_of_a_message_carries_an_offset(self, standin):
        clock = Clock(lambda: moment("2027-03-01T08:00+00:00"))
        with Wire(standin.address, clock=clock) as wire:
            wire.begin("m1", "s1", ANN)

        assert standin.requests[0][1]["at"] == "2027-03-01T08:00:00+00:00"

    def test_dialled_digits_go_along(self, wire):
        assert wire.begin("m1", "s1", ANN, "2*1").text == "You dialled 2*1"

    def test_the_language_of_the_phone_goes_along_as_networks_pass_it_on(self, wire, standin):
        wire.begin("m1", "s1", ANN, language="sw")
        wire.sms("m2", ANN, "hello")

        assert standin.languages == ["sw", ""]


class TestRepeats:
    @pytest.mark.parametrize("status", [502, 503, 504])
    def test_an_unavailable_service_is_asked_again_with_the_same_message(self, wire, standin, status):
        standin.answers = [status, status]

        assert wire.begin("m1", "s1", ANN) == Shown(MENU, True)
        assert [body for _, body in standin.requests] == [standin.requests[0][1]] * 3

    def test_a_lost_answer_is_asked_for_again(self, standin):
        with Wire(standin.address, timeout_s=0.2, pause=lambda _: None) as wire:
            standin.delays_s = [0.6]

            assert wire.begin("m1", "s1", ANN) == Shown(MENU, True)
            assert len(standin.requests) == 2

    def test_repeats_are_bounded_and_the_last_answer_is_told(self, standin):
        standin.answers = [503] * 9
        pauses_s = []
        with (
            Wire(standin.address, pause_s=0.2, pause=pauses_s.append) as wire,
            pytest.raises(ServiceUnreachable, match=r"4 attempts \(503: unavailable: ask again\)"),
        ):
            wire.begin("m1", "s1", ANN)

        assert len(standin.requests) == 4
        assert pauses_s == [0.2, 0.4, 0.8]

    def test_a_service_that_asks_for_time_gets_it_within_bounds(self, standin):
        standin.answers, standin.retry_after = [503, 503], "1"
        pauses_s = []
        with Wire(standin.address, pause=pauses_s.append) as wire:
            wire.begin("m1", "s1", ANN)

        assert pauses_s == [1.0, 2.0]

    def test_a_refusal_is_not_repeated(self, wire, standin):
        standin.answers = [500]
        with pytest.raises(ServiceRefused, match="refused POST /gateway/ussd with 500: unavailable: ask again"):
            wire.begin("m1", "s1", ANN)

        assert len(standin.requests) == 1

    def test_nobody_at_the_address_is_said_as_such(self):
        with (
            Wire(f"http://127.0.0.1:{free_port()}", attempts=2, pause=lambda _: None) as wire,
            pytest.raises(ServiceUnreachable, match="see that the service runs"),
        ):
            wire.begin("m1", "s1", ANN)


class TestContract:
    def test_another_message_under_a_used_id_is_refused(self, wire):
        wire.sms("m1", ANN, "hello")

        with pytest.raises(ServiceRefused, match="409: id used: send another id"):
            wire.sms("m1", ANN, "other")

    @pytest.mark.parametrize("instead", [[], "text", {"text": 1, "open": True}, {"text": "a", "open": "yes"}, {}])
    def test_a_screen_of_another_shape_breaks_the_contract(self, wire, standin, instead):
        standin.instead = instead

        with pytest.raises(ContractBroken, match="POST /gateway/ussd breaks the contract"):
            wire.begin("m1", "s1", ANN)

    def test_a_cancel_that_gets_a_screen_breaks_the_contract(self, wire, standin):
        standin.instead = {"text": "Goodbye", "open": False}

        with pytest.raises(ContractBroken, match="a cancel gets no screen"):
            wire.cancel("m1", "s1", ANN)

    def test_an_sms_is_taken_under_its_own_id(self, wire, standin):
        standin.instead = {"id": "other"}

        with pytest.raises(ContractBroken, match="must be 'm1'"):
            wire.sms("m1", ANN, "hello")


class TestDemo:
    def test_the_clock_of_the_service_and_of_the_phones_move_together(self, wire, standin):
        wire.set_clock(moment("2027-03-01T08:00+03:00"))

        assert standin.clock == "2027-03-01T08:00:00+03:00"
        assert wire.clock.now().isoformat(timespec="minutes") == "2027-03-01T08:00+03:00"

    def test_a_clock_that_the_service_refuses_stays(self, wire, standin):
        standin.answers = [404]
        before = wire.clock.now()
        with pytest.raises(ServiceRefused):
            wire.set_clock(moment("2030-03-01T08:00+03:00"))

        assert wire.clock.now().year == before.year

    def test_authors_can_look_at_a_session(self, wire):
        assert wire.demo_session(ANN) == {"from": ANN, "facts": {"area": 2.5}}


class TestReadiness:
    def test_a_service_that_answers_is_ready_and_a_missing_one_is_not(self):
        with StandIn() as standin, Wire(standin.address) as wire:
            assert wire.is_ready()
        with Wire(f"http://127.0.0.1:{free_port()}") as wire:
            assert not wire.is_ready()


def test_a_problem_without_words_says_what_its_status_means():
    assert problem(httpx.Response(404, json={})) == "Not Found"
    assert problem(httpx.Response(404, text="")) == "Not Found"
