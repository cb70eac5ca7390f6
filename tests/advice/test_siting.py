"""Does it fit my land, for a dialogue: what the answers come to is the calculator's, edge by edge."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.suitability import Question, Reason, Site, SoilLimits, Suitability, Verdict, suitability

NOW = datetime(2027, 3, 1, tzinfo=UTC)
GOOD = {"plot.water": "no", "plot.sour": "no", "plot.last_crop": "other", "grower.buyer": "yes"}


@pytest.fixture(scope="module")
def fit(book):
    calculation = book.registry.calculation("fit")

    def fit(**answers):
        return calculation.run(GOOD | {key.replace("_", ".", 1): answers[key] for key in answers}, NOW)

    return fit


@pytest.fixture(scope="module")
def empty(book):
    return book.registry.calculation("fit").run({}, NOW)


def test_good_answers_are_a_yes(fit):
    found = fit()

    assert (found["verdict"], found["reasons"], found["open"]) == (Verdict.YES, (), ())


def test_nothing_answered_is_open_and_never_good(empty):
    assert empty["verdict"] is Verdict.WITH_CARE
    assert empty["open"] == tuple(Question)


@pytest.mark.parametrize(
    ("answers", "reason", "verdict"),
    [
        ({"plot_water": "yes"}, Reason.WATERLOGGED, Verdict.NO),
        ({"plot_sour": "yes"}, Reason.ACID_SOIL, Verdict.NO),
        # Michigan State University, as in the crop's file: nodules fail below pH 5.5 and above 8.0.
        ({"plot_sour": "measured", "plot_ph": "5.4"}, Reason.ACID_SOIL, Verdict.NO),
        ({"plot_sour": "measured", "plot_ph": "8.1"}, Reason.ALKALINE_SOIL, Verdict.NO),
        ({"plot_last_crop": "same"}, Reason.SAME_CROP_LAST_YEAR, Verdict.WITH_CARE),
        ({"grower_buyer": "no"}, Reason.NO_MARKET, Verdict.WITH_CARE),
    ],
)
def test_each_answer_that_speaks_against_it_is_its_reason(fit, answers, reason, verdict):
    found = fit(**answers)

    assert (found["reasons"], found["verdict"]) == ((reason,), verdict)


def test_a_soil_test_that_comes_later_counts_more_than_the_word_that_the_soil_is_sour(fit):
    assert fit(plot_sour="yes", plot_ph="6.2")["verdict"] is Verdict.YES


@pytest.mark.parametrize("ph", ["5.5", "8.0"])
def test_soil_at_its_limits_is_good(fit, ph):
    assert fit(plot_sour="measured", plot_ph=ph)["verdict"] is Verdict.YES


@pytest.mark.parametrize(
    ("answers", "question"),
    [
        ({"plot_water": "unsure"}, Question.WATER),
        ({"plot_sour": "unsure"}, Question.SOIL),
        ({"plot_sour": "measured"}, Question.SOIL),
        ({"plot_last_crop": "unsure"}, Question.LAST_CROP),
    ],
)
def test_what_is_not_known_takes_care(fit, answers, question):
    found = fit(**answers)

    assert (found["open"], found["verdict"]) == ((question,), Verdict.WITH_CARE)


def test_an_old_soil_test_counts_no_more_once_the_soil_is_answered_otherwise(fit):
    assert fit(plot_sour="no", plot_ph="4.0")["verdict"] is Verdict.YES


maybe = st.none() | st.booleans()


@given(
    site=st.builds(
        Site, st.none() | st.floats(2, 12), maybe, maybe, st.none() | st.sampled_from(["", "x", "maize"]), maybe
    )
)
def test_the_verdict_is_yes_only_without_reason_and_question_and_no_only_for_soil(site):
    found = suitability("x", SoilLimits(5.5, 8.0), site)

    assert (found.verdict is Verdict.YES) == (found == Suitability((), ()))
    soil = {Reason.WATERLOGGED, Reason.ACID_SOIL, Reason.ALKALINE_SOIL}
    assert (found.verdict is Verdict.NO) == bool(soil & {*found.reasons})
