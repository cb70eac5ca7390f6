"""Sick leaves on the phone: each way through the questions ends at the cause that its signs name."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from advisor.advice.leaves import conditions, leaves
from advisor.agronomy.errors import MissingFigure
from advisor.agronomy.leaf_signs import Call, leaf_causes
from advisor.dialogue.notices import notice_of
from advisor.loading import load_leaf_signs
from tests.dialogue.talker import Talker

NOW = datetime(2026, 12, 20, 9, tzinfo=UTC)
#: What is typed from the first question on, and where it ends: the causes of the sources that the file names.
WAYS = {
    # Ontario: nitrogen and potassium show on old leaves first, sulphur and zinc on young ones.
    "1 1 1": "nitrogen",
    "1 1 2": "magnesium",
    "1 1 3": "potassium",
    "1 2 1": "sulphur",
    "1 2 2 1": "iron",
    "1 2 2 2": "zinc",
    "1 2 2 3": "manganese",
    "1 2 2 4": "several",
    "3": "phosphorus",
    # North Dakota and Illinois: rust has blisters with dust below, blight wet spots with corners.
    "2 1": "rust",
    "2 2": "pustule",
    "2 3": "mildew",
    "2 4 1": "blight",
    "2 4 2": "frogeye",
    "2 4 3": "brown_spot",
    "1 1 4": "unclear",
    "1 2 3": "unclear",
    "1 3": "unclear",
    "2 4 4": "unclear",
    "4": "unclear",
}
CAUSES = {"pustule": "bacterial_pustule", "blight": "bacterial_blight", "mildew": "downy_mildew"}
#: How soon the agent is named, in the words of the text.
SOON = {Call.TODAY: "today", Call.THIS_WEEK: "this week"}


@pytest.fixture(scope="module")
def signs():
    return load_leaf_signs()


def at_leaves(book):
    talker = Talker(book)
    talker.dial()
    talker.type("1", "1", "2", "5", "4")
    assert talker.spot == "sick_leaves.look"
    return talker


def cause(signs, crop, **answers):
    (calculation,) = leaves(signs, crop)
    return calculation.run({"leaf_kind": "pale", **answers}, NOW)


class TestWays:
    @pytest.mark.parametrize(("keys", "screen"), WAYS.items())
    def test_each_ends_where_the_signs_say(self, book, keys, screen):
        talker = at_leaves(book)
        talker.type(*keys.split())

        assert talker.spot == f"sick_leaves.{screen}"

    @pytest.mark.parametrize("screen", sorted({*WAYS.values()} - {"several", "unclear"}))
    def test_the_text_names_the_agent_as_soon_as_the_file_does(self, book, signs, crop, screen):
        known = next(each for each in signs if each.crop == crop.key)
        call = next(each.call for each in known.causes if each.key == CAUSES.get(screen, screen))
        text = book.flows["sick_leaves"].screen(screen).say.text

        assert [when for when in SOON.values() if when in text] == ([SOON[call]] if call in SOON else [])

    def test_answers_of_another_way_are_forgotten(self, book):
        talker = at_leaves(book)
        talker.type("1", "2", "2", "1")
        assert talker.spot == "sick_leaves.iron"

        talker.type("1", "2", "1")
        assert talker.spot == "sick_leaves.rust"

    def test_every_cause_of_the_crop_has_a_screen(self, signs, crop):
        known = next(each for each in signs if each.crop == crop.key)

        assert {each.key for each in known.causes} == {CAUSES.get(end, end) for end in WAYS.values()} - {
            "several",
            "unclear",
        }


class TestTheCause:
    def test_is_the_calculators_first_with_how_many_of_its_signs_were_seen(self, signs, crop):
        known = next(each for each in signs if each.crop == crop.key)
        first = leaf_causes(known, ["old_first", "all_pale"]).likely[0]

        found = cause(signs, crop, leaf_first="old_first", leaf_look="all_pale")
        assert found == {"cause": first.cause.key, "fits": (2, len(first.cause.shows))}

    def test_is_not_told_where_two_explain_as_much(self, signs, crop):
        assert cause(signs, crop, leaf_first="young_first", leaf_look="veins_green") == {"cause": ""}

    def test_is_not_told_where_no_sign_was_named(self, signs, crop):
        assert cause(signs, crop, leaf_first="none") == {"cause": ""}

    def test_of_a_crop_without_signs_is_refused(self, signs, crop):
        with pytest.raises(MissingFigure) as refused:
            cause(signs, replace(crop, key="teff"), leaf_first="old_first")
        assert notice_of(refused.value) == "no_figures"

    def test_has_a_condition_whatever_crop_it_is_of(self, signs):
        named = {each.name for each in conditions(signs)}

        assert named == {f"leaf_has_{cause.key}" for each in signs for cause in each.causes}
        assert len(signs) == 4


def test_no_text_names_a_dose_and_rust_leads_to_the_dealer_and_the_pack(book):
    flow = book.flows["sick_leaves"]
    said = [screen.say.text.replace("%(fits)s", "") for screen in flow.screens if screen.say]

    assert [text for text in said if any(letter.isdigit() for letter in text)] == []
    rust = flow.screen("rust").say.text
    assert "licensed dealer" in rust
    assert "Follow the pack" in rust
