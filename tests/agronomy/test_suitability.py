"""Reasons not to sow the crop here, each asked once and said plainly."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.errors import OutOfRange
from advisor.agronomy.suitability import Question, Reason, Site, SoilLimits, suitability

LIMITS = SoilLimits(5.5, 8.0)
GOOD = {"soil_ph": 6.0, "waterlogged": False, "last_crop": "maize", "has_buyer": True}

maybe = st.none() | st.booleans()
sites = st.builds(
    Site, st.none() | st.floats(2, 12), maybe, maybe, st.none() | st.sampled_from(["", "x", "maize"]), maybe
)


def told(**known):
    found = suitability("x", LIMITS, Site(**{**GOOD, **known}))
    return found.reasons, found.open_questions


def test_a_good_field_has_no_reason_and_no_question():
    assert told() == ((), ())
    assert told(last_crop="") == ((), ())


@pytest.mark.parametrize(
    ("known", "reasons"),
    [
        ({"soil_ph": 5.5}, ()),
        ({"soil_ph": 5.49}, (Reason.ACID_SOIL,)),
        ({"soil_ph": 8.0}, ()),
        ({"soil_ph": 8.01}, (Reason.ALKALINE_SOIL,)),
        ({"soil_ph": None, "seems_acid": True}, (Reason.ACID_SOIL,)),
        ({"soil_ph": None, "seems_acid": False}, ()),
        ({"soil_ph": 6.0, "seems_acid": True}, ()),
        ({"soil_ph": 5.0, "seems_acid": False}, (Reason.ACID_SOIL,)),
        ({"waterlogged": True}, (Reason.WATERLOGGED,)),
        ({"last_crop": "x"}, (Reason.SAME_CROP_LAST_YEAR,)),
        ({"has_buyer": False}, (Reason.NO_MARKET,)),
    ],
)
def test_each_reason_is_said_at_its_edge_and_not_before(known, reasons):
    assert told(**known) == (reasons, ())


@pytest.mark.parametrize(
    ("known", "question"),
    [
        ({"soil_ph": None}, Question.SOIL),
        ({"waterlogged": None}, Question.WATER),
        ({"last_crop": None}, Question.LAST_CROP),
        ({"has_buyer": None}, Question.MARKET),
    ],
)
def test_what_was_not_answered_is_a_question_and_never_a_reason(known, question):
    assert told(**known) == ((), (question,))


@given(sites)
def test_a_question_is_open_or_answered_and_reasons_come_only_from_answers(site):
    found = suitability("x", LIMITS, site)

    answers = {
        Question.WATER: Reason.WATERLOGGED, Question.LAST_CROP: Reason.SAME_CROP_LAST_YEAR,
        Question.MARKET: Reason.NO_MARKET, Question.SOIL: Reason.ACID_SOIL,
    }  # fmt: skip
    assert not [question for question in found.open_questions if answers[question] in found.reasons]
    assert list(found.reasons) == [reason for reason in Reason if reason in found.reasons]
    assert not {Reason.ACID_SOIL, Reason.ALKALINE_SOIL} <= set(found.reasons)


@pytest.mark.parametrize("ph", [1.9, 12.1, float("nan")])
def test_an_acidity_that_no_soil_has_is_refused(ph):
    with pytest.raises(OutOfRange) as refused:
        told(soil_ph=ph)

    assert (refused.value.low, refused.value.high, refused.value.unit) == (2, 12, "pH")


def test_the_limits_of_the_shipped_crop_are_the_published_ones(crop):
    """Michigan State University: nodules fail below pH 5.5 and above 8.0."""
    assert crop.soil == LIMITS
    assert {figure.mark for place, figure in crop.figures if place.startswith("soil.")} == {"published"}
