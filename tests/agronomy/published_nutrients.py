"""Numbers that others printed on inoculant, fertiliser, removal by harvests and level measures."""

from __future__ import annotations

from advisor.agronomy.batches import people_for_batch, time_to_sow_s
from advisor.agronomy.fertiliser_figures import SoilClass
from advisor.agronomy.fertiliser_need import removed_p2o5, soil_class_of
from advisor.agronomy.grades import Grade, delivered, product_kg_for_n, product_kg_for_p2o5
from advisor.agronomy.inoculant import inoculant_g
from advisor.agronomy.inoculation_figures import Handling, LifeStarts
from advisor.agronomy.labels import Label
from advisor.agronomy.nutrients import K2O, P2O5, K, N, P, k2o_from_k, k_from_k2o, p2o5_from_p, p_from_p2o5
from advisor.agronomy.placement import check_caps, grams_per_hole, grams_per_metre, holes_per_cap
from advisor.agronomy.powder_measures import Measure, level_measures, measure_g, part_of_pack
from advisor.agronomy.units import ACRE_M2, HECTARE_M2, POUND_KG
from tests.agronomy.published import ARITHMETIC, IITA, INDIA, MYSCHOOL, NEW_VISION, PRACTICE, Check

WEIGHTS = "IUPAC, abridged standard atomic weights, 2021"
BIOCHEMINOLOGY = "Biocheminology, Determining amount of fertilizer to apply, 2015, worked example"
MICHIGAN_REMOVAL = "Michigan State University, Nutrient removal rates by grain crops, 2017, soybean, 40 bu an acre"
IOWA_REMOVAL = "Iowa State University in No-Till Farmer, 2018, removal by soybean at 13 %"
ILLINOIS_REMOVAL = "Illinois, older removal rate of soybean, 0.85 lb P2O5 a bushel"
ECHO_2004 = "ECHO, micro-dosing, 2004: 50 kg/ha at 10,000 pockets is a teaspoon or 5 mL to a pocket"
ECHO_2008 = "ECHO Development Notes 100, 2008: a crown cap of 6 g serves two to three plants"
NIGER = "C. Bielders and B. Gerard, Field Crops Research 171 (2015) 165, demonstrations in Niger"
ICRISAT_2008 = "ICRISAT coordinator in a radio story, 2008: 2 g a hill, a bag of 20 kg for a hectare"
TAAT = "Technologies for African Agricultural Transformation, catalogue, Fertilizer micro-dosing"
ONTARIO_CORN = "Ontario Grain Farmer, phosphorus for corn by Olsen test, table in ppm and kg P2O5/ha"
AUSTRALIA = (
    "Western Australia, Department of Agriculture, Inoculating pasture legumes: 250 g for 10 to 50 kg of seed"
)
SE_ASIA = "Soyaguru, Treating and sowing of the soybean seed: 10 g/kg on new land"
SCHOOL_SUMS = "School sums on fertiliser, as repeated on answer pages"
SPOONS = "Garden table of spoons and glasses (adzumi-sushi.ru), densities by its glass of 200 mL"
IOWA_MEMORY = "Iowa State University, PM 1688, 2013, soybean by Bray-1, from memory, not seen"

DAP = Grade(18, 46, 0)
BUSHEL_KG = 60 * POUND_KG


def removed_lb(bushels, lb_per_bushel):
    """lb of P₂O₅ that so many bushels an acre take off an acre; a bushel of soybean is 60 lb."""
    kg_per_ha = bushels * BUSHEL_KG / ACRE_M2 * HECTARE_M2
    return lambda: removed_p2o5(kg_per_ha, lb_per_bushel / 60 * 1000).kg_per_ha * ACRE_M2 / HECTARE_M2 / POUND_KG


def by_test(edges, test, factor=1.0):
    classes = [SoilClass("x", str(edge), edge, P2O5(amount * factor)) for edge, amount in edges]
    return lambda: soil_class_of(classes, test).p2o5.kg_per_ha / factor


def a_hill(kg, plants):
    """Grams to a plant of so many plants on a hectare."""
    return lambda: grams_per_hole(kg, HECTARE_M2, 1, HECTARE_M2 / plants)


def spread_kg(g, plants):
    return lambda: check_caps(g, HECTARE_M2 / plants, 1, HECTARE_M2, 50, 0.1).kg


def spoon_g(volume_ml, glass_g):
    """What a spoon holds of a fertiliser of which a glass of 200 mL holds so much."""
    return lambda: measure_g(volume_ml, glass_g / 200)


_ONTARIO = [(0, 110), (4, 100), (6, 90), (8, 70), (10, 50), (13, 20), (16, 20), (21, 20), (31, 0)]
_LB_PER_ACRE = POUND_KG / ACRE_M2 * HECTARE_M2
_IOWA = [(0, 80), (11, 60), (16, 40), (21, 0)]

PUBLISHED_NUTRIENTS = (
    Check("phosphorus in P2O5", lambda: p_from_p2o5(P2O5(1)).kg_per_ha, 0.4364, 5e-5, WEIGHTS, 0.4364, 0.0001),
    Check("P2O5 of phosphorus", lambda: p2o5_from_p(P(1)).kg_per_ha, 2.2914, 1e-4, WEIGHTS, 2.29, 0.01),
    Check("potassium in K2O, printed as 0.8301", lambda: k_from_k2o(K2O(1)).kg_per_ha, 0.8301, 1e-4, WEIGHTS),
    Check("K2O of potassium", lambda: k2o_from_k(K(1)).kg_per_ha, 1.2046, 5e-5, WEIGHTS, 1.2046, 0.0001),
    Check(
        "60 kg P2O5 from 18 %",
        lambda: product_kg_for_p2o5(P2O5(60), Grade(0, 18, 0), HECTARE_M2),
        333.3333,
        1e-4,
        BIOCHEMINOLOGY,
        333.33,
        0.01,
    ),
    Check(
        "nitrogen that comes with 60 kg P2O5 of 18-46-0",
        lambda: delivered(DAP, product_kg_for_p2o5(P2O5(60), DAP, HECTARE_M2), HECTARE_M2).n.kg_per_ha,
        23.4783,
        1e-4,
        BIOCHEMINOLOGY,
        23.47,
        0.01,
        cut=True,
    ),
    Check(
        "the rest of 80 kg nitrogen from 26 %",
        lambda: product_kg_for_n(
            N(80).less(delivered(DAP, product_kg_for_p2o5(P2O5(60), DAP, HECTARE_M2), HECTARE_M2).n),
            Grade(26, 0, 0),
            HECTARE_M2,
        ),
        217.3913,
        1e-3,
        BIOCHEMINOLOGY,
    ),
    Check("P2O5 in 40 bu of soybean", removed_lb(40, 0.80), 32, 1e-6, MICHIGAN_REMOVAL, 32),
    Check(
        "P2O5 in a tonne, 0.80 lb a bushel",
        lambda: removed_p2o5(1000, 800 / 60).kg_per_ha,
        13.333,
        1e-3,
        MICHIGAN_REMOVAL,
    ),
    Check(
        "P2O5 in a tonne, 0.72 lb a bushel",
        lambda: removed_p2o5(1000, 720 / 60).kg_per_ha,
        12.0,
        1e-6,
        IOWA_REMOVAL,
    ),
    Check(
        "P2O5 in a tonne, 0.85 lb a bushel",
        lambda: removed_p2o5(1000, 850 / 60).kg_per_ha,
        14.167,
        1e-3,
        ILLINOIS_REMOVAL,
    ),
    Check("grams to a pocket", a_hill(50, 10_000), 5, 1e-9, ECHO_2004, 5),
    Check("a teaspoon of 1 g/mL", lambda: measure_g(5, 1.0), 5, 0, ECHO_2004, 5),
    Check("plants of 2 g from a cap", lambda: holes_per_cap(6, 2), 3, 0, ECHO_2008, 3),
    Check("plants of 3 g from a cap", lambda: holes_per_cap(6, 3), 2, 0, ECHO_2008, 2),
    Check("2 g a hill at 10,000 hills", spread_kg(2, 10_000), 20, 1e-9, NIGER, 20),
    Check("6 g a hill at 10,000 hills", spread_kg(6, 10_000), 60, 1e-9, NIGER, 60),
    Check("a bag of 20 kg on a hectare of 10,000 hills", a_hill(20, 10_000), 2, 1e-9, ICRISAT_2008, 2),
    Check("millet, 3 g at 16,666 plants", spread_kg(3, 16_666), 49.998, 1e-3, TAAT, 50, 1),
    Check("sorghum, 3.75 g at 26,666 plants", spread_kg(3.75, 26_666), 99.9975, 1e-3, TAAT, 100, 1),
    Check(
        "a third of 100 kg on 36,630 stands, whose working slips by ten",
        lambda: grams_per_hole(100 / 3, 2 * HECTARE_M2, 0.6, 0.91),
        0.910,
        5e-4,
        MYSCHOOL,
        0.9,
        0.1,
    ),
    *(
        Check(f"corn, Olsen {test} ppm", by_test(_ONTARIO, test), amount, 1e-9, ONTARIO_CORN, amount)
        for test, amount in ((3, 110), (4, 100), (7, 90), (8, 70), (12, 50), (13, 20), (30, 20), (31, 0))
    ),
    Check("a pack for 50 kg of small seed", lambda: inoculant_g(50, 5), 250, 0, AUSTRALIA, 250),
    Check("a pack for 10 kg of small seed", lambda: inoculant_g(10, 25), 250, 0, AUSTRALIA, 250),
    Check("soybean on new land, 25 kg", lambda: inoculant_g(25, 10), 250, 0, SE_ASIA),
)

#: Pages that repeat somebody else's number; they check the arithmetic only.
SECOND_HAND_NUTRIENTS = (
    Check(
        "three bags of 18 % and two and a half of 15-15-15, which the note calls 30 kg P",
        lambda: (
            p_from_p2o5(
                delivered(Grade(0, 18, 0), 150, HECTARE_M2).p2o5
                + delivered(Grade(15, 15, 15), 125, HECTARE_M2).p2o5
            ).kg_per_ha
        ),
        19.967,
        1e-3,
        IITA,
    ),
    Check(
        "200 kg of 18 %, sold as equal to 100 kg of 46 %",
        lambda: delivered(Grade(0, 18, 0), 200, HECTARE_M2).p2o5.kg_per_ha,
        36,
        1e-9,
        NEW_VISION,
    ),
    Check(
        "100 kg of 46 %, sold as equal to 200 kg of 18 %",
        lambda: delivered(Grade(0, 46, 0), 100, HECTARE_M2).p2o5.kg_per_ha,
        46,
        1e-9,
        NEW_VISION,
    ),
    Check(
        "hours to sow, dried 30 minutes, sown within 24 hours",
        lambda: time_to_sow_s(Handling(1800, 24 * 3600, LifeStarts.MIXED, 0.4, 30, 0.25)) / 3600,
        23.5,
        1e-9,
        INDIA,
    ),
    Check(
        "60 kg N/ha on 15 m2",
        lambda: product_kg_for_n(N(60), Grade(100, 0, 0), 15),
        0.09,
        1e-9,
        SCHOOL_SUMS,
        0.09,
        0.01,
    ),
    Check(
        "80 kg of 12 % on 5 ha",
        lambda: delivered(Grade(12, 0, 0), 80, 5 * HECTARE_M2).n.kg_per_ha,
        1.92,
        1e-9,
        SCHOOL_SUMS,
        1.92,
        0.01,
    ),
    Check("urea, teaspoon", spoon_g(5, 130), 3.25, 1e-9, SPOONS, 3),
    Check("urea, tablespoon", spoon_g(15, 130), 9.75, 1e-9, SPOONS, 10),
    Check("single superphosphate, tablespoon", spoon_g(15, 220), 16.5, 1e-9, SPOONS, 17),
    Check("double superphosphate, teaspoon", spoon_g(5, 200), 5, 1e-9, SPOONS, 5),
    Check("double superphosphate, tablespoon", spoon_g(15, 200), 15, 1e-9, SPOONS, 15),
    Check("potassium chloride, tablespoon", spoon_g(15, 180), 13.5, 1e-9, SPOONS, 14),
    Check("20 kg P as P2O5", lambda: p2o5_from_p(P(20)).kg_per_ha, 45.83, 5e-3, ARITHMETIC),
    Check(
        "20 kg P as 18 %",
        lambda: product_kg_for_p2o5(p2o5_from_p(P(20)), Grade(0, 18, 0), HECTARE_M2),
        254.6,
        0.05,
        ARITHMETIC,
    ),
    Check(
        "20 kg P as 46 %",
        lambda: product_kg_for_p2o5(p2o5_from_p(P(20)), Grade(0, 46, 0), HECTARE_M2),
        99.6,
        0.05,
        ARITHMETIC,
    ),
    Check("100 kg/ha in 0.75 m rows", lambda: grams_per_metre(100, HECTARE_M2, 0.75), 7.5, 1e-9, ARITHMETIC),
    Check("100 kg/ha in 0.45 m rows", lambda: grams_per_metre(100, HECTARE_M2, 0.45), 4.5, 1e-9, ARITHMETIC),
)

FROM_MEMORY_NUTRIENTS = tuple(
    Check(f"soybean, Bray-1 {test} ppm, lb an acre", by_test(_IOWA, test, _LB_PER_ACRE), amount, 1e-9, IOWA_MEMORY)
    for test, amount in ((10, 80), (11, 60), (20, 40), (21, 0))
)

COMMON_PRACTICE_NUTRIENTS = (
    Check(
        "nitrogen of 60 kg of 18-46-0 an acre",
        lambda: delivered(DAP, 60, ACRE_M2).n.kg_per_ha,
        26.687,
        1e-3,
        PRACTICE,
        26.7,
        0.1,
    ),
    Check(
        "caps of 4.6 g every 30 cm of 60 cm rows, kg an acre",
        lambda: check_caps(4.6, 0.3, 0.6, ACRE_M2, 60, 0.1).kg,
        103.42,
        1e-2,
        PRACTICE,
        103,
    ),
    *(
        Check(
            f"people who sow 15 kg within {hours} h at 20 kg an acre, some twenty to forty",
            lambda hours=hours: people_for_batch(15, 20 / ACRE_M2, 75 / 3600, hours * 3600),
            people,
            0,
            PRACTICE,
        )
        for hours, people in ((2, 21), (1, 41))
    ),
    Check("75 g are a third of a pack of 250 g", lambda: part_of_pack(75, 250).of, 3, 0, PRACTICE),
    Check(
        "75 g of peat at 0.4 g/mL, teaspoons, where a powder of 1 g/mL takes 15",
        lambda: level_measures(75, Measure("t", Label("t"), 5), 0.4).count,
        37.5,
        0,
        PRACTICE,
    ),
)
