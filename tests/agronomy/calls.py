"""What the table of published numbers calls: the calculator's own formulas, in the units that a source prints."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from importlib.resources import files

from advisor.agronomy import drying, grades, nutrients, placement, ripening, seed
from advisor.agronomy.batches import people_for_batch, time_to_sow_s
from advisor.agronomy.budget_figures import Interest, LoanTerms
from advisor.agronomy.crop import read_crop
from advisor.agronomy.fertiliser_figures import SoilClass
from advisor.agronomy.fertiliser_need import removed_p2o5, soil_class_of
from advisor.agronomy.field import PacedArea, paced_rectangle, rectangle_m2, square_side_steps, step_length_m
from advisor.agronomy.germination import SeedTest, wilson_interval
from advisor.agronomy.grades import Grade
from advisor.agronomy.inoculant import inoculant_g, water_ml
from advisor.agronomy.inoculation_figures import Handling, LifeStarts
from advisor.agronomy.labels import Label
from advisor.agronomy.loan import instalment
from advisor.agronomy.nitrogen_left import nitrogen_credit
from advisor.agronomy.nodules import Nodulation, NoduleCount, nodule_score
from advisor.agronomy.nutrients import P2O5, N, P
from advisor.agronomy.onset_rules import read_onset_rules
from advisor.agronomy.placing import seeds_per_metre
from advisor.agronomy.powder_measures import Measure, level_measures, measure_g, part_of_pack
from advisor.agronomy.programme_file import read_programme
from advisor.agronomy.rain import Rain, onset
from advisor.agronomy.replicates import tolerated_range
from advisor.agronomy.rows import furrow_length_m
from advisor.agronomy.saved_seed import in_shell_kg
from advisor.agronomy.season_calendar import Task, calendar, day_for_test
from advisor.agronomy.season_days import variety_of, zone_season
from advisor.agronomy.season_money import chance_below, value_cost_ratio
from advisor.agronomy.shapes import sum_of_pieces, triangle_m2
from advisor.agronomy.sources import read_sources
from advisor.agronomy.sowing_window import day_of_year
from advisor.agronomy.stand_check import RowCount, counted_stand_per_m2
from advisor.agronomy.strips import seed_for_furrows_kg
from advisor.agronomy.units import ACRE_M2, FIGURE_UNITS, FOOT_M, HECTARE_M2, INCH_M, POUND_KG, area_in, area_m2

_DATA, _PROGRAMMES = files("advisor.agronomy") / "data", files("advisor") / "programmes"
_SOURCES = read_sources((_DATA / "sources.toml").read_text("utf-8"))
_CROPS = {
    crop.key: crop
    for crop in (read_crop(file.read_text("utf-8"), _SOURCES) for file in (_DATA / "crops").iterdir())
}
_SOY = _CROPS["soybean"]
_ULAMI = read_programme((_PROGRAMMES / "ulami.toml").read_text("utf-8"), list(_CROPS.values()), _SOURCES)
_RULES = read_onset_rules((_DATA / "onset_rules.toml").read_text("utf-8"), _SOURCES)
_SEASON = calendar(date(2026, 11, 20), _SOY.days, variety_of(_ULAMI.varieties, _SOY.key))
_MAY = date(2026, 5, 1)
#: A bushel of soybean is 60 lb, of maize 56 (University of Nebraska-Lincoln, CropWatch, 2009; trade definition).
_BUSHEL_KG = 60 * POUND_KG
_LB_PER_ACRE = POUND_KG * FIGURE_UNITS["kg/acre"][1]
_DAP = Grade(18, 46, 0)
_ONTARIO = ((0, 110), (4, 100), (6, 90), (8, 70), (10, 50), (13, 20), (16, 20), (21, 20), (31, 0))
_IOWA = ((0, 80), (11, 60), (16, 40), (21, 0))


def _tsw_g(seeds_per_pound):
    return POUND_KG / seeds_per_pound * 1e6


def _figure(key, place):
    held = {"ulami": _ULAMI, **_CROPS}[key]
    return dict(held.figures)[place].value


def _class_of(classes, test, factor=1.0):
    rows = [SoilClass("x", str(edge), edge, P2O5(amount * factor)) for edge, amount in classes]
    return soil_class_of(rows, test).p2o5.kg_per_ha / factor


def _step(task, nth):
    return [step for step in _SEASON.steps if step.task is Task(task)][nth]


def _day(of):
    return (of - _SEASON.sowing).days


def _onset_day(rule, *runs):
    """Day of the series, the first being 1, on which the rains begin; 0 where they do not. Runs are (days, mm)."""
    rain = Rain(_MAY, tuple(mm for days, mm in runs for _ in range(days)))
    found = onset(rain, _RULES.rule(rule), _MAY)
    return 0 if found.day is None else (found.day - _MAY).days + 1


def _begins(rule):
    return dict(_RULES.begins)[rule]


def _fewest_enough(scheme):
    """The fewest working nodules on each of five plants that a scheme takes as enough."""
    figures = _SOY.harvest.scheme(scheme)
    return next(
        nodules
        for nodules in range(1, 100)
        if nodule_score(NoduleCount(5, 5 * nodules, red=5), figures).verdict is Nodulation.WORKING
    )


def _seed(plants_per_m2, tsw_g, germination, emergence=1.0, *purity):
    """kg of seed for a hectare."""
    return seed.seed_mass_by_population_kg(HECTARE_M2, plants_per_m2, tsw_g, germination, emergence, *purity)


def _pounds_an_acre(seeds, seeds_per_pound):
    """Seed for an acre in 30 in rows; the spacing drops out."""
    furrow_m = furrow_length_m(ACRE_M2, 30 * INCH_M)
    return seed_for_furrows_kg(furrow_m, furrow_m / seeds, 1, _tsw_g(seeds_per_pound)) / POUND_KG


def _bushels_an_acre(pods, seeds_per_pod, seeds_per_pound):
    """From the pods on a ten-thousandth of an acre."""
    stand = pods / (ACRE_M2 / 10_000)
    return ripening.standing_kg_per_ha(stand, 1, seeds_per_pod, _tsw_g(seeds_per_pound)) / 60 / _LB_PER_ACRE


def _bulk(purity, germination):
    """Mass of bulk seed that holds one mass of pure live seed."""
    return _seed(1, 1, germination, 1.0, purity) / _seed(1, 1, 1)


def _harvest_loss_percent(figure):
    whole = ripening.standing_kg_per_ha(30, 25, _SOY.harvest.yields.seeds_per_pod, 130)
    return 100 - 100 * getattr(ripening.yield_before_harvest(_SOY.harvest.yields, 30, 25, 130), figure) / whole


def _n_left(zone):
    figures = next(each for each in _ULAMI.zones if each.key == zone).nitrogen_left or _SOY.harvest.nitrogen_left
    return nitrogen_credit(figures, 1, HECTARE_M2).high.kg_per_ha


def _rest_of_n(n, p2o5, percent):
    rest = N(n).less(grades.delivered(_DAP, _kg_p2o5(p2o5, _DAP), HECTARE_M2).n)
    return grades.product_kg_for_n(rest, Grade(percent, 0, 0), HECTARE_M2)


def _kg_p2o5(p2o5, grade):
    return grades.product_kg_for_p2o5(P2O5(p2o5), grade, HECTARE_M2)


def _removed_lb(bushels, lb_per_bushel):
    taken = removed_p2o5(bushels * 60 * _LB_PER_ACRE, lb_per_bushel / 60 * 1000)
    return taken.kg_per_ha / _LB_PER_ACRE


CALLS = {
    "figure": _figure,
    # units and fields
    "square_feet": lambda acres: area_m2(acres, "acre") / FOOT_M**2,
    "square_metres": lambda acres: area_m2(acres, "acre"),
    "in_pounds_an_acre": lambda kg_per_ha: kg_per_ha / _LB_PER_ACRE,
    "pounds_in_kg_per_ha": lambda pounds: pounds * _LB_PER_ACRE,
    "bushels_in_kg_per_ha": lambda bushels: bushels * 60 * _LB_PER_ACRE,
    "figure_in_pounds_an_acre": lambda key, place: _figure(key, place) / _LB_PER_ACRE,
    "per_square_foot": lambda per_m2: per_m2 * FOOT_M**2,
    "rectangle": rectangle_m2,
    "hectares": lambda long_m, short_m: area_in(rectangle_m2(long_m, short_m), "hectare"),
    "square_side": lambda hectares: square_side_steps(area_m2(hectares, "hectare"), 1),
    "step_m": step_length_m,
    "step_ft": lambda feet, steps: step_length_m(feet * FOOT_M, steps) / FOOT_M,
    "paced_error": lambda error: paced_rectangle(60, 65, 1, error).high_m2 / (60 * 65) - 1,
    "triangle": triangle_m2,
    "triangles": lambda *pieces: sum_of_pieces([PacedArea(*[triangle_m2(*each)] * 3) for each in pieces]).area_m2,
    "row_inches": lambda part, row_in: furrow_length_m(ACRE_M2 / part, row_in * INCH_M) / INCH_M,
    "furrow_feet": lambda row_in: furrow_length_m(ACRE_M2, row_in * INCH_M) / FOOT_M,
    # stand and seed
    "per_hectare": lambda row, hole, plants: seed.stand_per_m2(plants, row / 100, hole / 100) * HECTARE_M2,
    "per_square_metre": lambda row, hole, plants: seed.stand_per_m2(plants, row / 100, hole / 100),
    "per_acre_cm": lambda row, hole, plants: seed.stand_per_m2(plants, row / 100, hole / 100) * ACRE_M2,
    "per_acre": lambda plants, row_in, ft: seed.stand_per_m2(plants, row_in * INCH_M, ft * FOOT_M) * ACRE_M2,
    "counted_per_hectare": lambda plants, length_m, row: (
        counted_stand_per_m2([RowCount(plants, length_m)], row / 100) * HECTARE_M2
    ),
    "counted_per_acre": lambda row_in, ft, inches, *counts: (
        counted_stand_per_m2([RowCount(each, ft * FOOT_M + inches * INCH_M) for each in counts], row_in * INCH_M)
        * ACRE_M2
    ),
    "seeds_a_foot": lambda plants, row_in, g, e: seeds_per_metre(plants / ACRE_M2, row_in * INCH_M, g, e) * FOOT_M,
    "seeds_an_acre": lambda plants, g: seeds_per_metre(plants / ACRE_M2, 1, g, 1) * ACRE_M2,
    "pounds_an_acre": _pounds_an_acre,
    "seeds_a_pound": lambda pounds: 1 / (seed_for_furrows_kg(1, 1, 1, pounds * POUND_KG * 1000) / POUND_KG),
    "seed": _seed,
    "seed_lb_an_acre": lambda plants, tsw_g, g, e: _seed(plants / FOOT_M**2, tsw_g, g, e) / _LB_PER_ACRE,
    "seed_by_rate": lambda acres, kg_per_acre, g, g0: seed.seed_mass_by_rate_kg(
        area_m2(acres, "acre"), kg_per_acre * FIGURE_UNITS["kg/acre"][1], g, g0
    ),
    "implied_stand": lambda kg, tsw_g, g, e: seed.implied_stand_per_m2(kg, ACRE_M2, tsw_g, g, e),
    "bulk": _bulk,
    "pure_live": lambda purity, germination: 1 / _bulk(purity, germination),
    "in_shell": in_shell_kg,
    "germination_percent": lambda grown, sown: SeedTest(grown, sown).germination * 100,
    "wilson": lambda grown, sown, end: wilson_interval(grown, sown)[end],
    "tolerated": lambda percent, sets: tolerated_range(SeedTest(percent * sets, 100 * sets), sets)[0],
    # inoculant
    "inoculant": inoculant_g,
    "teaspoons_of_water": lambda seed_kg, ml_per_kg: water_ml(seed_kg, ml_per_kg) / 5,
    "part_of_pack": lambda grams, pack_g: part_of_pack(grams, pack_g).of,
    "level_spoons": lambda grams, g_per_ml: level_measures(grams, Measure("t", Label("t"), 5), g_per_ml).count,
    "people": lambda kg, kg_per_acre, m2_an_hour, hours: people_for_batch(
        kg, kg_per_acre / ACRE_M2, m2_an_hour / 3600, hours * 3600
    ),
    "hours_to_sow": lambda drying_h, life_h: (
        time_to_sow_s(Handling(drying_h * 3600, life_h * 3600, LifeStarts.MIXED, 0.4, 30, 0.25)) / 3600
    ),
    # nutrients and fertiliser
    "p_in_p2o5": lambda kg: nutrients.p_from_p2o5(P2O5(kg)).kg_per_ha,
    "p2o5_of_p": lambda kg: nutrients.p2o5_from_p(P(kg)).kg_per_ha,
    "k_in_k2o": lambda kg: nutrients.k_from_k2o(nutrients.K2O(kg)).kg_per_ha,
    "k2o_of_k": lambda kg: nutrients.k2o_from_k(nutrients.K(kg)).kg_per_ha,
    "product_for_p2o5": lambda kg, percent: _kg_p2o5(kg, Grade(0, percent, 0)),
    "product_for_p": lambda kg, percent: _kg_p2o5(nutrients.p2o5_from_p(P(kg)).kg_per_ha, Grade(0, percent, 0)),
    "n_with_p2o5": lambda kg: grades.delivered(_DAP, _kg_p2o5(kg, _DAP), HECTARE_M2).n.kg_per_ha,
    "rest_of_n": _rest_of_n,
    "p2o5_in": lambda kg, percent: grades.delivered(Grade(0, percent, 0), kg, HECTARE_M2).p2o5.kg_per_ha,
    "p_of_two": lambda kg, percent, other_kg, other: (
        nutrients.p_from_p2o5(
            grades.delivered(Grade(0, percent, 0), kg, HECTARE_M2).p2o5
            + grades.delivered(Grade(other, other, other), other_kg, HECTARE_M2).p2o5
        ).kg_per_ha
    ),
    "n_on": lambda kg_per_ha, m2: grades.product_kg_for_n(N(kg_per_ha), Grade(100, 0, 0), m2),
    "n_in": lambda kg, percent, ha: grades.delivered(Grade(percent, 0, 0), kg, ha * HECTARE_M2).n.kg_per_ha,
    "n_an_acre": lambda kg, percent: grades.delivered(Grade(percent, 0, 0), kg, ACRE_M2).n.kg_per_ha,
    "removed_lb": _removed_lb,
    "removed_with_a_bushel": lambda: removed_p2o5(60, _SOY.removal.p2o5_g_per_kg).kg_per_ha,
    "ontario_corn": lambda test: _class_of(_ONTARIO, test),
    "iowa_soybean": lambda test: _class_of(_IOWA, test, _LB_PER_ACRE),
    "grams_a_plant": lambda kg, plants: placement.grams_per_hole(kg, HECTARE_M2, 1, HECTARE_M2 / plants),
    "grams_a_plant_of": lambda kg, hectares, row, hole: placement.grams_per_hole(
        kg, hectares * HECTARE_M2, row / 100, hole / 100
    ),
    "grams_a_metre": lambda kg, row: placement.grams_per_metre(kg, HECTARE_M2, row / 100),
    "kg_on_plants": lambda g, plants: placement.check_caps(g, HECTARE_M2 / plants, 1, HECTARE_M2, 50, 0.1).kg,
    "caps_kg_an_acre": lambda g, hole, row: placement.check_caps(g, hole / 100, row / 100, ACRE_M2, 60, 0.1).kg,
    "plants_a_cap": placement.holes_per_cap,
    "spoon": lambda volume_ml, glass_g: measure_g(volume_ml, glass_g / 200),
    # calendar and rain
    "day_of": lambda task, nth: _day(_step(task, nth).first),
    "last_day_of": lambda task, nth: _day(_step(task, nth).last),
    "days_to_harvest": lambda: (_step("harvest", 0).last - _step("maturity", 0).last).days,
    "final_count_day": lambda: (
        _day(day_for_test(_SEASON.sowing - timedelta(15), _SEASON.sowing, _SOY.days).final_count) + 15
    ),
    "onset_day": _onset_day,
    "begins": _begins,
    "day_of_month": lambda rule: day_of_year(2026, _begins(rule)).day,
    "month_of": lambda rule: day_of_year(2026, _begins(rule)).month,
    "sowing_mm": lambda zone: zone_season(_ULAMI.seasons, _SOY.key, zone).sowing_mm,
    # money
    "ratio": lambda more_kg, less_kg, price, cost: value_cost_ratio(
        more_kg, less_kg, Decimal(price), Decimal(cost)
    ),
    "chance_below": chance_below,
    "instalment_of": lambda amount, rate, months: float(
        instalment(Decimal(amount), LoanTerms("l", Label("l"), Interest.ON_BALANCE, rate, 1, months))
    ),
    # nodules, harvest, grain and nitrogen left
    "fewest_enough": _fewest_enough,
    "standing": ripening.standing_kg_per_ha,
    "bushels_an_acre": _bushels_an_acre,
    "pods_factor": lambda seeds_per_pound: 1000 / _bushels_an_acre(1000, 1, seeds_per_pound),
    "harvest_loss_percent": _harvest_loss_percent,
    "lost_bushels": lambda seeds, seeds_per_pound: (
        ripening.harvest_loss_kg_per_ha(seeds / FOOT_M**2, _tsw_g(seeds_per_pound)) / 60 / _LB_PER_ACRE
    ),
    "dry_matter": lambda lb, percent: drying.mass_at_moisture_kg(lb, percent, 0),
    "water": lambda lb, percent: lb - drying.mass_at_moisture_kg(lb, percent, 0),
    "maize_bushels": lambda lb, percent, wanted: drying.mass_at_moisture_kg(lb, percent, wanted) / 56,
    "sold_dry": lambda percent, trade: 100 * drying.sold_dry_loss(percent, trade),
    "bushels_lost": lambda bushels, percent: bushels * drying.sold_dry_loss(percent, 13),
    "shrink_percent": lambda percent, wanted, handling: 100 * drying.shrink(percent, wanted, handling),
    "days_kept": lambda percent, celsius: drying.storage_time(percent, celsius, _SOY.harvest.grain).days,
    "seed_life": lambda drier, cooler: drying.seed_life_factor(drier, cooler, _SOY.harvest.grain),
    "n_left": _n_left,
}
