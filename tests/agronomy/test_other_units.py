"""Every conversion against a library of units that knows nothing of this one."""

from __future__ import annotations

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.agronomy.units import (
    ACRE_M2,
    AREA_M2,
    FIGURE_UNITS,
    FOOT_M,
    HECTARE_M2,
    INCH_M,
    POUND_KG,
    area_in,
    area_m2,
)

UNITS = pint.UnitRegistry()
UNITS.define("percent = 0.01 = %")

#: How the other library spells a unit; what is not here it spells alike.
SPELT = {
    "1": "dimensionless", "m2": "m**2", "plants/m2": "1/m**2", "m2/day": "m**2/day", "m2/s": "m**2/s",
    "m2/hour": "m**2/hour", "acre": "international_acre", "acre/day": "international_acre/day",
    "kg/acre": "kg/international_acre", "kg/ha": "kg/hectare", "ml": "mL", "ml/kg": "mL/kg", "g/ml": "g/mL",
    "celsius": "degC", "min": "minute",
}  # fmt: skip
UNITS.define("international_acre = 43560 * foot**2")

#: Counts of things, calendar words and forms of a nutrient, which are no units elsewhere.
OURS = {
    "seeds", "plants", "nodules/plant", "pods/plant", "seeds/pod", "day of year", "pH",
    "kg N/ha", "kg P2O5/ha", "kg P/ha", "kg K2O/ha", "kg K/ha", "percent N", "percent P2O5", "percent P",
    "percent K2O", "percent K", "g P2O5/kg", "g P/kg", "mg P/kg",
}  # fmt: skip


def spelt(unit):
    return SPELT.get(unit, unit)


@pytest.mark.parametrize("unit", sorted(FIGURE_UNITS.keys() - OURS))
def test_a_unit_of_the_data_files_has_the_factor_that_another_library_gives_it(unit):
    kept_in, factor = FIGURE_UNITS[unit]

    assert UNITS.Quantity(1.0, spelt(unit)).to(spelt(kept_in)).magnitude == pytest.approx(factor, rel=1e-12)


def test_only_counts_and_forms_of_nutrients_are_left_out_and_a_change_of_form_is_the_only_factor_there():
    assert FIGURE_UNITS.keys() >= OURS
    assert {unit for unit in OURS if FIGURE_UNITS[unit][1] != 1} == {
        "kg P/ha", "kg K/ha", "percent P", "percent K", "g P/kg",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("ours", "theirs"),
    [
        (ACRE_M2, UNITS.Quantity(1, "international_acre").to("m**2")),
        (HECTARE_M2, UNITS.Quantity(1, "hectare").to("m**2")),
        (POUND_KG, UNITS.Quantity(1, "pound").to("kg")),
        (INCH_M, UNITS.Quantity(1, "inch").to("m")),
        (FOOT_M, UNITS.Quantity(1, "foot").to("m")),
    ],
    ids=["acre", "hectare", "pound", "inch", "foot"],
)
def test_a_definition_is_the_other_librarys(ours, theirs):
    assert ours == pytest.approx(theirs.magnitude, rel=1e-12)


@given(st.floats(0.01, 9e4), st.sampled_from(sorted(AREA_M2)), st.sampled_from(sorted(AREA_M2)))
def test_an_area_in_one_unit_is_in_another_what_the_other_library_says(number, unit, other):
    theirs = UNITS.Quantity(number, spelt(unit)).to(spelt(other)).magnitude

    assert area_in(area_m2(number, unit), other) == pytest.approx(theirs, rel=1e-12)
