import pytest
from hypothesis import given
from hypothesis import strategies as st

from simulator.phone import NumberRefused, Phone, Sms

ANN = Phone("+99900500001")


class TestNumbers:
    @pytest.mark.parametrize(
        "number", ["+254700000000", "99900500001", "+999", "+99912", "+9990050000१", "+99900500001\n"]
    )
    def test_only_numbers_that_no_network_reaches_are_taken(self, number):
        with pytest.raises(NumberRefused, match="give \\+999"):
            Phone(number)


class TestEffort:
    @given(st.lists(st.text(max_size=20), max_size=10))
    def test_every_character_and_every_send_is_a_key_press(self, texts):
        phone = ANN
        for text in texts:
            phone = phone.typing(text)

        assert phone.keys == sum(len(text) + 1 for text in texts)

    def test_dialling_costs_no_key_press_and_its_screen_counts(self):
        phone = ANN.numbered().dialling("run").showing("Welcome", True)

        assert (phone.keys, phone.screens) == (0, 1)


class TestSessions:
    def test_a_phone_is_open_from_the_first_screen_to_the_last(self):
        phone = ANN.numbered().dialling("run").showing("Welcome", True)

        assert phone.open
        assert not phone.showing("Goodbye", False).open
        assert not phone.hung_up().open

    def test_dialling_again_makes_a_new_session(self):
        first = ANN.numbered().dialling("run")
        second = first.numbered().dialling("run")

        assert first.session != second.session


class TestIds:
    def test_an_id_is_derived_so_that_the_same_message_has_the_same(self):
        assert ANN.numbered().message_id("run") == ANN.numbered().message_id("run")

    def test_ids_differ_by_count_phone_and_run(self):
        first = ANN.numbered()
        ids = [
            first.message_id("run"),
            first.numbered().message_id("run"),
            Phone("+99900500002").numbered().message_id("run"),
            first.message_id("other"),
        ]

        assert len(set(ids)) == 4

    def test_an_id_does_not_carry_the_number(self):
        assert "00500001" not in ANN.numbered().message_id("run")


def test_the_inbox_keeps_messages_in_their_order():
    first, second = (Sms(name, "2500", ANN.number, name, "gsm7", 1) for name in ("a", "b"))

    assert ANN.receiving((first,)).receiving((second,)).inbox == (first, second)
