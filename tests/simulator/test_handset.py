import pytest

from simulator.handset import Handset, NothingOpen
from simulator.wire import ServiceRefused
from tests.simulator.conftest import ANN
from tests.simulator.standin import ACRES, MENU, SLIP


def test_a_conversation_goes_from_dialling_to_its_last_screen(ann):
    ann.dial()
    assert (ann.phone.screen, ann.phone.open) == (MENU, True)
    ann.answer("1")
    assert (ann.phone.screen, ann.phone.open) == (ACRES, True)
    ann.answer("two")
    assert (ann.phone.screen, ann.phone.open) == (SLIP, True)
    ann.answer("2.5")
    assert (ann.phone.screen, ann.phone.open) == ("About 2.5 acres.\n\nThank you.", False)
    assert (ann.phone.screens, ann.phone.keys) == (4, 2 + 4 + 4)


def test_all_messages_of_a_session_carry_its_id_and_each_its_own(ann, standin):
    ann.dial()
    ann.answer("1")
    ann.hang_up()
    bodies = [body for _, body in standin.requests]

    assert len({body["session"] for body in bodies}) == 1
    assert len({body["id"] for body in bodies}) == 3


def test_dialling_again_opens_another_session(ann, standin):
    ann.dial()
    ann.dial()

    assert len({body["session"] for _, body in standin.requests}) == 2


def test_nothing_can_be_typed_or_hung_up_with_nothing_open(ann):
    with pytest.raises(NothingOpen, match="dial first"):
        ann.answer("1")
    with pytest.raises(NothingOpen):
        ann.hang_up()


def test_after_a_refused_message_the_next_one_has_another_id(ann, standin):
    ann.dial()
    standin.answers = [500]
    with pytest.raises(ServiceRefused):
        ann.answer("1")
    assert ann.phone.open
    ann.answer("one")

    assert len({body["id"] for _, body in standin.requests}) == 3


def test_a_reply_by_sms_arrives_through_the_gateway(ann):
    ann.send_sms("hello")

    assert [sms.text for sms in ann.receive(1, 10)] == ["You wrote: hello"]
    assert ann.receive() == ()
    assert [sms.text for sms in ann.phone.inbox] == ["You wrote: hello"]


def test_a_new_phone_does_not_see_what_arrived_before_it(ann, wire, gateway):
    ann.send_sms("hello")
    ann.receive(1, 10)

    assert Handset(ANN, wire, gateway, "later").receive() == ()


def test_a_phone_that_is_taken_up_later_shows_what_came_meanwhile(ann, gateway):
    other = "+99900500002"
    gateway.take({"id": "o-1", "from": "2500", "to": other, "text": "Sort it", "alphabet": "gsm7", "segments": 1})

    assert [sms.text for sms in ann.another(other).receive()] == ["Sort it"]


def test_messages_can_be_taken_one_by_one(ann, gateway):
    for text in ("a", "b"):
        ann.send_sms(text)
    gateway.wait(ANN, 2, 10)

    assert len(ann.receive(most=1)) == 1
    assert len(ann.receive()) == 1
