"""Messages filled strictly."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.wording.errors import BadPlaceholder, WrongValues
from advisor.wording.templates import fill, fill_with, placeholders


class TestPlaceholders:
    def test_each_name_once(self):
        assert placeholders("%(seed)s on %(area)s, again %(seed)s") == {"seed", "area"}

    def test_a_doubled_sign_is_the_sign_itself(self):
        assert placeholders("100%% sure") == frozenset()
        assert fill("100%% sure", {}) == "100% sure"

    @pytest.mark.parametrize(
        "text",
        ["%s", "%d", "%(n)d", "100% free", "%", "%%%", "%(Area)s", "%(a b)s", "%()s", "%(a)", "%(a)5s", "% s"],
    )
    def test_any_other_use_of_the_sign_is_refused_with_its_place(self, text):
        with pytest.raises(BadPlaceholder) as caught:
            placeholders(text)

        assert text[caught.value.at] == "%"

    @given(st.text(alphabet="%()sdn ab", max_size=12))
    def test_what_passes_can_be_filled(self, text):
        try:
            names = placeholders(text)
        except BadPlaceholder:
            return

        fill(text, dict.fromkeys(names, "x"))


class TestFilling:
    def test_a_value_may_hold_any_sign(self):
        assert fill("%(part)s grew", {"part": "90% %(x)s"}) == "90% %(x)s grew"

    def test_a_name_without_a_value_is_refused(self):
        with pytest.raises(WrongValues) as caught:
            fill("%(a)s %(b)s", {"a": "1"})

        assert (caught.value.missing, caught.value.extra) == (("b",), ())

    def test_a_value_without_a_name_is_refused(self):
        with pytest.raises(WrongValues) as caught:
            fill("%(a)s", {"a": "1", "z": "2"})

        assert (caught.value.missing, caught.value.extra) == ((), ("z",))

    def test_a_number_is_not_a_finished_text(self):
        with pytest.raises(WrongValues) as caught:
            fill("%(a)s", {"a": 2.5})

        assert caught.value.missing == ("a",)

    def test_values_can_be_asked_for_by_name(self):
        assert fill_with("%(a)s-%(b)s", {"a": "1", "b": "2"}.__getitem__) == "1-2"
