"""Answers that do not stand on the screen: a word, and what answers another question of the flow."""

import pytest

from tests.dialogue.planting import ENGLISH, plant, told

TEST = "flows/seed_test.yaml"


class TestAtTheSeedTest:
    @pytest.fixture
    def asked(self, known):
        """Which seed is tested."""
        known.type("3", "1", "1")
        assert known.spot == "seed_test.origin"
        return known

    def test_a_day_answers_the_question_for_it(self, asked):
        asked.type("in 30 days")

        assert asked.spot == "seed_test.moved"
        assert "plot.sowing" in {fact.name for fact in asked.grower.facts}

    def test_no_leads_to_that_question(self, asked):
        asked.type("no")

        assert asked.spot == "seed_test.new_day"

    def test_a_number_on_the_screen_is_its_own_answer(self, asked):
        asked.type("2")

        assert asked.spot == "seed_test.place"

    def test_nothing_of_it_is_kept_as_the_answer_to_the_screen(self, asked):
        asked.type("no")

        assert "lot.origin" not in {fact.name for fact in asked.grower.facts}

    def test_going_back_leads_to_where_it_was_said(self, asked):
        asked.type("no", "0")

        assert asked.spot == "seed_test.origin"

    def test_what_is_neither_is_refused_with_the_reason_of_the_screen(self, asked):
        asked.type("tomorow perhaps")

        assert asked.spot == "seed_test.origin"
        assert "Type one of the numbers you see." in asked.reply.text


class TestPlanted:
    @pytest.mark.parametrize(
        ("new", "what", "needle"),
        [
            ('{word: "no", to: newday}', "no screen 'newday'", "to: newday"),
            ("{word: perhaps, to: new_day}", "there is no word 'perhaps'", "word: perhaps"),
            ("{to: new_day}", "a word or the answer of a screen", "- {to: new_day}"),
            ("{answers: place}", "asks for nothing that can be typed", "answers: place"),
        ],
    )
    def test_each_is_told_where_it_stands(self, new, what, needle):
        told(plant(TEST, '{word: "no", to: new_day}', new, ENGLISH), what, needle, "seed_test.origin")

    def test_beside_no_question(self):
        planted = plant(TEST, "  put_it_off:\n", "  put_it_off:\n    or: [{word: later, to: later}]\n", ENGLISH)

        told(planted, "'or' beside no question", "or: [{word", "seed_test.put_it_off")
