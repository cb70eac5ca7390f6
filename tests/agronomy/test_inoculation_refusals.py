"""What the calculations of inoculation refuse, in full: name, value, allowed range, unit, and what to do."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from advisor.agronomy.batches import batch_plan, people_for_batch, time_to_sow_s
from advisor.agronomy.errors import CannotBe, MissingFigure, OutOfRange
from advisor.agronomy.inoculant import (
    inoculant_g,
    inoculant_purchase,
    packs_by_days,
    packs_by_mass,
    packs_needed,
    sowing_days,
    water_ml,
)
from advisor.agronomy.inoculation import inoculation_plan
from advisor.agronomy.inoculation_figures import Handling, Inoculation, LifeStarts, SowingWindow
from advisor.agronomy.inoculation_rules import CannotInoculate, Circumstances, inoculation_refusals
from advisor.agronomy.labels import Label
from advisor.agronomy.opened_packs import cheapest_opening, open_packs
from advisor.agronomy.packs import Pack
from advisor.agronomy.powder_measures import Measure, level_measures, measure_g, measured_dose, part_of_pack
from advisor.agronomy.programme import Inoculant

ANY = "below 1e9"
NO_END = "below 1e9"
PACK = Pack(250, Decimal(350))
SPOON = Measure("spoon", Label("spoon"), 5)
HOURS = SowingWindow(6 * 3600, 10 * 3600), SowingWindow(16 * 3600, 18 * 3600)
HANDLING = Handling(3600, 7200, LifeStarts.MIXED, 0.4, 30, 0.25)


def planned(area_m2=4000, seed_kg=20, people=5, dose=5, water=2, by_one=0.02, hours=HOURS, handling=HANDLING):
    return batch_plan(area_m2, seed_kg, people, Inoculation(*hours, by_one), handling, dose, water)


NO_HOURS = SowingWindow(6 * 3600, 6 * 3600), SowingWindow(16 * 3600, 16 * 3600)


@pytest.mark.parametrize(
    ("call", "name", "value", "low", "high", "unit"),
    [
        (lambda: inoculant_g(0, 5), "seed", 0, "above 1e-9", ANY, "kg"),
        (lambda: inoculant_g(1, 0), "dose", 0, "above 1e-9", ANY, "g/kg"),
        (lambda: water_ml(0, 2), "seed", 0, "above 1e-9", ANY, "kg"),
        (lambda: water_ml(1, -2), "water", -2, "above 1e-9", ANY, "ml/kg"),
        (lambda: sowing_days(0, 5), "area", 0, "above 1e-9", ANY, "m2"),
        (lambda: sowing_days(5, 0), "area a day", 0, "above 1e-9", ANY, "m2/day"),
        (lambda: packs_by_mass(0, 5), "inoculant", 0, "above 1e-9", ANY, "g"),
        (lambda: packs_by_mass(5, 0), "pack", 0, "above 1e-9", ANY, "g"),
        (lambda: packs_by_days(0, 2), "sowing days", 0, 1, NO_END, "day"),
        (lambda: packs_by_days(2, 0), "life of an opened pack", 0, 1, NO_END, "day"),
        (lambda: packs_needed(0, 250, 1, 1), "inoculant", 0, "above 1e-9", ANY, "g"),
        (lambda: packs_needed(9, 250, 0, 1), "sowing days", 0, 1, NO_END, "day"),
        (lambda: inoculant_purchase([PACK], 0, 1, 1), "inoculant", 0, "above 1e-9", ANY, "g"),
        (lambda: inoculant_purchase([PACK], 9, 1, 0), "life of an opened pack", 0, 1, NO_END, "day"),
        (lambda: people_for_batch(0, 1, 1, 1), "seed", 0, "above 1e-9", ANY, "kg"),
        (lambda: people_for_batch(1, 0, 1, 1), "seed for an area", 0, "above 1e-9", ANY, "kg/m2"),
        (lambda: people_for_batch(1, 1, 0, 1), "area a second", 0, "above 1e-9", ANY, "m2/s"),
        (lambda: people_for_batch(1, 1, 1, 0), "time", 0, "above 1e-9", ANY, "s"),
        (lambda: planned(area_m2=0), "area", 0, "above 1e-9", ANY, "m2"),
        (lambda: planned(seed_kg=0), "seed", 0, "above 1e-9", ANY, "kg"),
        (lambda: planned(dose=0), "dose", 0, "above 1e-9", ANY, "g/kg"),
        (lambda: planned(water=0), "water", 0, "above 1e-9", ANY, "ml/kg"),
        (lambda: planned(people=0), "people", 0, 1, 1000, "people"),
        (lambda: planned(people=1001), "people", 1001, 1, 1000, "people"),
        (lambda: planned(by_one=0), "area a second", 0, "above 1e-9", ANY, "m2/s"),
        (lambda: planned(hours=NO_HOURS), "hours of sowing", 0, "above 1e-9", ANY, "s"),
        (
            lambda: planned(area_m2=5 * 0.02 * 6 * 3600 * 10_001),
            "days of sowing",
            10_001,
            0,
            10_000,
            "day",
        ),
        (lambda: open_packs([0, 9], 50, 1), "inoculant", 0, "above 1e-9", ANY, "g"),
        (lambda: open_packs([9, -1], 50, 1), "inoculant", -1, "above 1e-9", ANY, "g"),
        (lambda: open_packs([9, -2, 9], 50, 1), "inoculant", -2, 0, 1e9, "g"),
        (lambda: open_packs([9, 1.1e9, 9], 50, 1), "inoculant", 1.1e9, 0, 1e9, "g"),
        (lambda: open_packs([9], 0, 1), "pack", 0, "above 1e-9", ANY, "g"),
        (lambda: open_packs([9], 50, 0), "life of an opened pack", 0, 1, NO_END, "day"),
        (lambda: part_of_pack(0, 250), "powder", 0, "above 1e-9", ANY, "g"),
        (lambda: part_of_pack(9, 0), "pack", 0, "above 1e-9", ANY, "g"),
        (lambda: measure_g(0, 1), "volume", 0, "above 1e-9", ANY, "ml"),
        (lambda: measure_g(1, 0), "bulk density", 0, "above 1e-9", ANY, "g/ml"),
        (lambda: level_measures(0, SPOON, 1), "powder", 0, "above 1e-9", ANY, "g"),
        (lambda: measured_dose(9, 250, [], 1, -1), "over-dose", -1, 0, 100, "1"),
        (lambda: measured_dose(9, 250, [], 1, 101), "over-dose", 101, 0, 100, "1"),
    ],
)
def test_a_value_outside_its_range_is_refused_with_the_range(call, name, value, low, high, unit):
    with pytest.raises(OutOfRange) as refused:
        call()

    error = refused.value
    assert (error.name, error.value, error.low, error.high, error.unit) == (
        name,
        pytest.approx(value),
        low,
        high,
        unit,
    )


@pytest.mark.parametrize(
    "call",
    [
        lambda: packs_by_days(1, 1),
        lambda: planned(people=1),
        lambda: planned(people=1000),
        lambda: open_packs([1, 0, 1], 50, 1),
        lambda: measured_dose(9, 250, [], 1, 0),
        lambda: measured_dose(9, 250, [], 1, 100),
    ],
)
def test_the_edges_themselves_are_allowed(call):
    assert call()


GOOD = {"crop": "bean", "strain_of": "bean", "used_on": date(2027, 3, 2), "expires": date(2027, 3, 2)}


@pytest.mark.parametrize("celsius", [-50.1, 90.1])
def test_warmth_that_cannot_be_is_refused_for_the_pack_and_for_what_is_allowed(celsius):
    with pytest.raises(OutOfRange) as pack:
        inoculation_refusals(Circumstances(**GOOD, warmest_c=celsius), 30)
    with pytest.raises(OutOfRange) as allowed:
        inoculation_refusals(Circumstances(**GOOD), celsius)

    for error, name in ((pack.value, "warmest"), (allowed.value, "warmest allowed")):
        assert (error.name, error.value, error.low, error.high, error.unit) == (name, celsius, -50, 90, "celsius")


@pytest.mark.parametrize("celsius", [-50, 90])
def test_the_edges_of_warmth_are_allowed(celsius):
    assert inoculation_refusals(Circumstances(**GOOD, warmest_c=celsius), celsius) == ()


@pytest.mark.parametrize(
    ("wrong", "name", "said", "cautions"),
    [
        (
            {"dressed": True},
            "dressed_seed",
            "seed dressed with poison kills the bacteria, and is never food or feed: "
            "sow it without inoculant, with gloves, or inoculate undressed seed",
            (
                "dressed_seed_is_poison",
                "no_bare_hands_on_dressed_seed",
                "keep_from_children_and_food",
                "wash",
                "ask_dealer_or_extension",
            ),
        ),
        (
            {"strain_of": "pea"},
            "other_strain",
            "the strain of pea makes no nodules on bean: buy inoculant for bean",
            ("follow_the_pack", "ask_dealer_or_extension"),
        ),
        (
            {"expires": None},
            "undated_pack",
            "a pack without a date that can be read may be dead: ask the dealer for a pack with its date",
            ("follow_the_pack", "ask_dealer_or_extension"),
        ),
        (
            {"expires": date(2027, 3, 1)},
            "expired_pack",
            "the pack is good until 2027-03-01 and would be used on 2027-03-02: "
            "take it back to the dealer and buy one that lasts until the last day of sowing",
            ("follow_the_pack", "ask_dealer_or_extension"),
        ),
        (
            {"touches_fertiliser": True},
            "fertiliser_contact",
            "fertiliser that touches treated seed kills the bacteria: "
            "put soil between them, or fertiliser in a furrow of its own",
            ("inoculant_apart_from_fertiliser",),
        ),
        (
            {"in_sun": True},
            "in_the_sun",
            "sun kills the bacteria: work in the shade and cover the seed",
            ("inoculant_in_shade",),
        ),
        (
            {"warmest_c": 31.5},
            "too_warm",
            "the pack has been at 31.5 °C, and 30 °C is the most: "
            "buy a pack that was kept cool, and carry it in a wet cloth",
            ("inoculant_in_shade", "ask_dealer_or_extension"),
        ),
    ],
)
def test_an_inoculation_that_does_no_good_is_refused_with_what_to_do_instead(wrong, name, said, cautions):
    (refusal,) = inoculation_refusals(Circumstances(**{**GOOD, **wrong}), 30)

    assert isinstance(refusal, CannotInoculate)
    assert (refusal.name, str(refusal), refusal.cautions) == (name, said, cautions)


@pytest.mark.parametrize(
    ("call", "name", "said"),
    [
        (
            lambda: time_to_sow_s(Handling(3600, 1800, LifeStarts.MIXED, 0.4, 30, 0.25)),
            "dead_when_dry",
            "seed that dries for 3600 s and lives for 1800 s is dead when dry: "
            "use the times on the pack, or sow it moist",
        ),
        (
            lambda: open_packs([], 50, 1),
            "no_day",
            "a plan for no days opens no pack: give the inoculant for one day or more",
        ),
    ],
)
def test_what_contradicts_itself_is_refused_with_what_to_do(call, name, said):
    with pytest.raises(CannotBe) as refused:
        call()
    assert (refused.value.name, str(refused.value)) == (name, said)


def without_handling():
    return Inoculant("i1", "x", Label("x"), 5, 2, 2, (PACK,), None)


@pytest.mark.parametrize(
    ("call", "name", "instead"),
    [
        (
            lambda: cheapest_opening([], [9], 1),
            "packs on sale",
            "add at least one pack with its price to the programme file",
        ),
        (
            lambda: inoculation_plan(without_handling(), None, (), 4000, 20, 5),
            "inoculation",
            "add the table [inoculation] to the programme file",
        ),
        (
            lambda: inoculation_plan(without_handling(), Inoculation(*HOURS, 0.02), (), 4000, 20, 5),
            "handling of i1",
            "add the table handling to the inoculant i1",
        ),
    ],
)
def test_a_figure_that_is_missing_is_named_with_its_place(call, name, instead):
    with pytest.raises(MissingFigure) as refused:
        call()
    assert (refused.value.name, refused.value.instead) == (name, instead)
    assert str(refused.value) == f"no figure {name}: {instead}"


SOUND = {
    "inoculants": {
        "drying": (1, "hour", "s", 0, 86_400, 3600),
        "life": (2, "hour", "s", 60, 1_209_600, 3600),
        "bulk_density": (0.4, "g/ml", "g/ml", 0.05, 3, 1),
        "store_below": (30, "celsius", "celsius", 4, 45, 1),
        "over_dose": (0.25, "1", "1", 0, 10, 1),
    },
    "inoculation": {
        "morning_from": (6.5, "hour", "s", 0, 43_200, 3600),
        "morning_to": (10, "hour", "s", 0, 43_200, 3600),
        "evening_from": (16, "hour", "s", 43_200, 86_400, 3600),
        "evening_to": (18.5, "hour", "s", 43_200, 86_400, 3600),
        "sown_by_one": (75, "m2/hour", "m2/s", 1e-4, 10, 1 / 3600),
    },
    "measures": {"volume": (5, "ml", "ml", 0.1, 1000, 1)},
}
PLACES = {"inoculants": "inoculants[1].handling", "inoculation": "inoculation", "measures": "measures[1]"}
FIGURES = [(table, key, *figure) for table, figures in SOUND.items() for key, figure in figures.items()]


@pytest.mark.parametrize(("table", "key", "value", "unit", "kept_in", "low", "high", "factor"), FIGURES)
def test_a_figure_of_inoculation_is_taken_at_its_edges_and_refused_beyond_them(
    faults_with_figure, table, key, value, unit, kept_in, low, high, factor
):
    place = f"{PLACES[table]}.{key}"
    for edge, beyond in ((low, -1e-6), (high, 1e-6)):
        said = faults_with_figure(key, value, unit, edge / factor)
        assert not [fault for fault in said if f" {kept_in}: give {low:g} to" in fault]
        given = (edge + beyond * max(1, edge)) / factor
        (fault,) = faults_with_figure(key, value, unit, given)
        assert fault == f"{place} is {given * factor:g} {kept_in}: give {low:g} to {high:g} {kept_in}"


@pytest.mark.parametrize(
    ("key", "value", "unit", "given", "fault"),
    [
        (
            "life",
            2,
            "hour",
            1,
            "inoculants[1].handling.life is 3600 s from mixing, and the seed dries for 3600 s: "
            "give a longer life or a shorter drying, so that time to sow is left",
        ),
        (
            "morning_to",
            10,
            "hour",
            6.4,
            "inoculation.morning_from is 23400, more than morning_to, which is 23040: give them in rising order",
        ),
        (
            "evening_to",
            18.5,
            "hour",
            15.9,
            "inoculation.evening_from is 57600, more than evening_to, which is 57240: give them in rising order",
        ),
    ],
)
def test_clocks_and_windows_that_contradict_each_other_are_told_in_full(
    faults_with_figure, key, value, unit, given, fault
):
    assert faults_with_figure(key, value, unit, given) == (fault,)


def test_two_windows_have_an_hour_together(faults_with_text):
    half = ("morning_to = { value = 10,", "morning_to = { value = 7,")

    assert faults_with_text(half, ("evening_to = { value = 18.5,", "evening_to = { value = 16.5,")) == ()
    assert faults_with_text(half, ("evening_to = { value = 18.5,", "evening_to = { value = 16.499,")) == (
        "inoculation.evening_to leaves 3596.4 s of sowing a day in both windows: "
        "give them 3600 s or more together",
    )


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        (
            'life_starts = "mixed"',
            'life_starts = "noon"',
            "inoculants[1].handling.life_starts is 'noon': give one of mixed, dry",
        ),
        (
            'key = "teaspoon"',
            'key = "a-spoon-of-17-chr"',
            "measures[1].key has 17 characters: give 1 to 16",
        ),
        (
            'default = "teaspoon", sw',
            'default = "teaspoon", yy = "z", sw',
            "measures[1].label.yy is no language of the programme: use en, sw, hi",
        ),
        ('key = "crown-cap"', 'key = "teaspoon"', "measures has teaspoon twice: give each a name of its own"),
    ],
)
def test_words_that_are_not_known_are_told_with_those_that_are(faults_with_text, old, new, fault):
    assert faults_with_text((old, new)) == (fault,)
