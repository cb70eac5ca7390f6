"""Bought seed or one's own on the phone: what is sown and why, and what a thousand plants cost of either."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.advice.choosing_seed import MOST_SEASONS, Sow, choosing_seed
from advisor.agronomy.errors import MissingFigure, OutOfRange
from advisor.agronomy.units import ACRE_M2
from advisor.dialogue.notices import notice_of

NOW = datetime(2026, 10, 20, tzinfo=UTC)


def choose(programme, crop, seasons=2, area=ACRE_M2, **lot):
    known = {"plot.area": area, "lot.seasons": seasons, "grower.village": "v1"}
    known |= {f"lot.{name}": value for name, value in lot.items()}
    return choosing_seed(programme, crop)[1].run(known, NOW)


def own(grown, sown, method="paper"):
    return {"origin": "saved", "test": (grown, sown), "method": method}


class TestWhatIsSown:
    @pytest.mark.parametrize(
        ("seasons", "lot", "sow"),
        [
            (1, {}, Sow.TEST_FIRST),
            (2, {}, Sow.TEST_FIRST),
            (3, {}, Sow.OLD),
            (2, own(60, 100), Sow.OWN),
            (2, own(59, 100), Sow.FAILED),
            (3, own(95, 100), Sow.OLD),
            (3, own(59, 100), Sow.FAILED),
            (2, own(40, 49), Sow.TEST_FIRST),
            (2, own(40, 50), Sow.OWN),
            (2, {"origin": "bought", "test": (20, 100)}, Sow.TEST_FIRST),
        ],
    )
    def test_goes_by_test_and_age(self, programme, crop, seasons, lot, sow):
        """Under 60 of 100 find other seed: common practice, no source. Three seasons: Groundnut production guide,
        Recommended packages. Under 50 seeds are rough; a bought lot's test counts for nothing here."""
        assert choose(programme, crop, seasons, **lot)["sow"] is sow

    def test_is_bought_where_own_plants_cost_more(self, programme, crop):
        """At 4 x 5 kg for 2,300 a thousand bought plants cost 21.11, of own seed of 60 % 0.2832 kg of grain."""
        edge = Decimal("74.5")
        found = [choose(priced(programme, edge + step), crop, **own(60, 100)) for step in (-1, 1)]

        assert [each["sow"] for each in found] == [Sow.OWN, Sow.DEARER]
        assert found[0]["own"] < found[0]["bought"] == found[1]["bought"] < found[1]["own"]


def priced(programme, price):
    return replace(programme, budgets=tuple(replace(each, grain_price=price) for each in programme.budgets))


class TestCosts:
    def test_of_a_thousand_plants_are_those_of_the_seeds_that_they_take(self, programme, crop):
        """A thousand seeds of 130 g over germination, emergence, purity and what sorting leaves (arithmetic)."""
        found = choose(programme, crop)

        assert float(found["own"]) == pytest.approx(0.13 / (0.6 * 0.85) / 0.9 * 40, abs=1e-4)
        assert float(found["bought"]) == pytest.approx(0.13 / (0.85 * 0.85 * 0.98) * 2300 / 20, abs=1e-4)

    def test_of_a_field_are_those_of_the_buy_list(self, programme, crop, book):
        found, list_ = choose(programme, crop), book.registry.calculation("buy_list")
        lists = {
            origin: list_.run({"plot.area": ACRE_M2, "lot.origin": origin}, NOW) for origin in ("saved", "bought")
        }

        assert found["grain"] == lists["saved"]["grain"]
        assert found["own_cost"] == pytest.approx(Decimal(str(lists["saved"]["grain"])) * 40, abs=Decimal("0.1"))
        packs = {575: 5, 2600: 25}
        bags = dict(lists["bought"]["bags"])
        assert found["cost"] == sum(price * bags.get(size, 0) for price, size in packs.items()) == 2300

    def test_of_seed_that_failed_there_are_none(self, programme, crop):
        assert {"own", "own_cost", "grain", "seed"} & set(choose(programme, crop, **own(59, 100))) == set()

    def test_of_a_test_in_soil_are_lower_than_of_one_on_paper(self, programme, crop):
        """What came up in soil has most of emergence behind it."""
        bed, paper = (choose(programme, crop, **own(70, 100, method))["own"] for method in ("bed", "paper"))

        assert bed < paper

    def test_of_bought_seed_alone_need_no_seed_of_ones_own(self, programme, crop):
        known = {"plot.area": ACRE_M2}
        found, both = choosing_seed(programme, crop)[0].run(known, NOW), choose(programme, crop)

        assert found == {name: both[name] for name in ("area", "bought", "cost", "most")} | {"origin": "bought"}
        assert both["origin"] == "saved"


def test_seasons_left_and_seed_for_the_season_after(programme, crop):
    found = choose(programme, crop, 1)

    assert (found["seasons"], found["left"], found["most"], found["loss"]) == (1, 2, 3, 0.1)
    assert found["next"] == pytest.approx(20 * 0.8 / 0.7 / 0.9 * 1.25, abs=1e-5)


class TestRefusals:
    @pytest.mark.parametrize(
        "lacks",
        [
            lambda p: replace(p, land=replace(p.land, saved_seed=None)),
            lambda p: replace(p, budgets=()),
        ],
    )
    def test_whatever_lacks_is_phrased_as_having_no_figures(self, programme, crop, lacks):
        with pytest.raises(MissingFigure) as refused:
            choose(lacks(programme), crop)
        assert notice_of(refused.value) == "no_figures"

    def test_a_test_of_too_few_seeds_is_refused_as_in_the_buy_list(self, programme, crop):
        with pytest.raises(OutOfRange) as refused:
            choose(programme, crop, **own(15, 19))
        assert notice_of(refused.value) == "too_few_seeds"


def test_the_flow_asks_for_no_more_seasons_than_the_kinds_are_made_for(book):
    asks = {screen.keep: screen.ask for screen in book.flows["choose_seed"].screens if screen.keep}

    assert asks["lot.seasons"].high == MOST_SEASONS


@given(
    acres=st.floats(0.05, 20),
    seasons=st.integers(1, MOST_SEASONS),
    sown=st.integers(20, 400),
    part=st.floats(0, 1),
    method=st.sampled_from(["paper", "bed"]),
)
def test_no_number_is_wider_than_its_kind(programme, crop, acres, seasons, sown, part, method):
    lot = own(round(part * sown), sown, method)
    found = choose(programme, crop, seasons, acres * ACRE_M2, **lot)
    for name, kind in choosing_seed(programme, crop)[1].gives:
        if name in found:
            kind.check(found[name])
