"""What a programme file says about fertiliser: one reading in full, every range, every contradiction."""

from __future__ import annotations

from decimal import Decimal

import pytest

from advisor.agronomy.crop import read_crop
from advisor.agronomy.errors import DataFault
from advisor.agronomy.fertiliser_figures import (
    FertiliserProduct,
    Fertilising,
    Furrow,
    Removal,
    SoilClass,
    ZoneNeed,
    read_fertilising,
)
from advisor.agronomy.grades import Grade
from advisor.agronomy.labels import Currency, Label
from advisor.agronomy.nutrients import K2O, P2O5, N
from advisor.agronomy.packs import Pack
from advisor.agronomy.tables import read_table


def figure(value, unit):
    return f'{{ value = {value}, unit = "{unit}", source = "s", mark = "judgement" }}'


FILE = f"""
[fertilising]
credit_part = {figure(0.5, "1")}
[fertilising.furrow]
from = {figure(5, "cm")}
to = {figure(7, "cm")}
cover = {figure(2, "cm")}
beside = {figure(6, "cm")}
cap_tolerance = {figure(0.1, "1")}
[[fertilising.needs]]
crop = "bean"
zone = "hills"
p2o5 = {figure(40, "kg P2O5/ha")}
k2o = {figure(30, "kg K2O/ha")}
n_limit = {figure(20, "kg N/ha")}
[[fertilising.soil_classes]]
crop = "bean"
key = "low"
from = {figure(0, "mg P/kg")}
p2o5 = {figure(60, "kg P2O5/ha")}
[[fertilising.soil_classes]]
crop = "bean"
key = "high"
from = {figure(15, "mg P/kg")}
p2o5 = {figure(10, "kg P2O5/ha")}
[[fertilising.products]]
key = "f1"
label = {{ default = "dressing", sw = "mbolea" }}
n = {figure(10, "percent N")}
p2o5 = {figure(26, "percent P2O5")}
k2o = {figure(24, "percent K2O")}
bulk_density = {figure(0.9, "g/ml")}
packs = [{{ size_g = 50000, price = "52.50" }}]
loose = {{ size_g = 500, price = "0.75" }}
[[fertilising.products]]
key = "f2"
label = "plain"
n = {figure(0, "percent N")}
p2o5 = {figure(46, "percent P2O5")}
k2o = {figure(0, "percent K2O")}
bulk_density = {figure(1.1, "g/ml")}
packs = [{{ size_g = 25000, price = "30" }}]
"""


def read(text):
    table = read_table(text, "programme", {"s": False})
    found = read_fertilising(
        table.optional_row("fertilising"), ("en", "sw"), Currency("Ul", 2), ("bean", "pea"), ("valley", "hills")
    )
    table.finish()
    return found


def faults(*changes):
    text = FILE
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    try:
        read(text)
    except DataFault as fault:
        return fault.faults
    return ()


def test_a_file_is_read_whole():
    assert read(FILE) == Fertilising(
        credit_part=0.5,
        furrow=Furrow(0.05, 0.07, 0.02, 0.06, 0.1),
        needs=(ZoneNeed("bean", "hills", P2O5(40), K2O(30), N(20)),),
        soil_classes=(SoilClass("bean", "low", 0, P2O5(60)), SoilClass("bean", "high", 15, P2O5(10))),
        products=(
            FertiliserProduct(
                "f1",
                Label("dressing", (("sw", "mbolea"),)),
                Grade(10, 26, 24),
                0.9,
                (Pack(50_000, Decimal("52.50")),),
                Pack(500, Decimal("0.75")),
            ),
            FertiliserProduct("f2", Label("plain"), Grade(0, 46, 0), 1.1, (Pack(25_000, Decimal(30)),), None),
        ),
    )


def test_soil_classes_may_be_left_out_and_so_may_all_of_it():
    start, end = FILE.index("[[fertilising.soil_classes]]"), FILE.index("[[fertilising.products]]")

    assert read(FILE[:start] + FILE[end:]).soil_classes == ()
    assert read("") is None


NEED, CLASS = "fertilising.needs[1]", "fertilising.soil_classes[1]"
FURROW, PRODUCT = "fertilising.furrow", "fertilising.products[1]"


@pytest.mark.parametrize(
    ("place", "key", "value", "unit", "low", "high", "factor"),
    [
        ("fertilising", "credit_part", 0.5, "1", 0, 1, 1),
        (FURROW, "from", 5, "cm", 0.01, 0.3, 0.01),
        (FURROW, "to", 7, "cm", 0.01, 0.3, 0.01),
        (FURROW, "cover", 2, "cm", 0.005, 0.2, 0.01),
        (FURROW, "beside", 6, "cm", 0.01, 0.5, 0.01),
        (FURROW, "cap_tolerance", 0.1, "1", 0, 1, 1),
        (NEED, "p2o5", 40, "kg P2O5/ha", 0, 300, 1),
        (NEED, "k2o", 30, "kg K2O/ha", 0, 300, 1),
        (NEED, "n_limit", 20, "kg N/ha", 0, 200, 1),
        (CLASS, "from", 0, "mg P/kg", 0, 500, 1),
        (CLASS, "p2o5", 60, "kg P2O5/ha", 0, 300, 1),
        (PRODUCT, "n", 10, "percent N", 0, 100, 1),
        (PRODUCT, "p2o5", 26, "percent P2O5", 0, 100, 1),
        (PRODUCT, "k2o", 24, "percent K2O", 0, 100, 1),
        (PRODUCT, "bulk_density", 0.9, "g/ml", 0.3, 3, 1),
    ],
)
def test_a_figure_is_taken_at_its_edges_and_refused_beyond_them(place, key, value, unit, low, high, factor):
    kept_in = "m" if unit == "cm" else unit
    old = f"\n{key} = {figure(value, unit)}"

    for edge in (low, high):
        said = faults((old, f"\n{key} = {figure(edge / factor, unit)}"))
        assert not [fault for fault in said if f" {kept_in}: give {low:g} to" in fault]
    for given in (low - 0.001, high + 0.001):
        (fault,) = faults((old, f"\n{key} = {figure(given / factor, unit)}"))
        assert fault == f"{place}.{key} is {given:g} {kept_in}: give {low:g} to {high:g} {kept_in}"
    (fault,) = faults((old, f"\n{key} = {figure(value, 'percent')}"))
    assert fault.startswith(f"{place}.{key}.unit is 'percent': give ")
    (fault,) = faults((old, ""))
    assert fault.startswith(f"{place}.{key} is missing: give ")


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ('crop = "bean"', 'crop = "rice"', f"{NEED}.crop is 'rice': give one of bean, pea"),
        ('zone = "hills"', 'zone = "coast"', f"{NEED}.zone is 'coast': give one of valley, hills"),
        ('key = "low"', f'key = "{"x" * 17}"', f"{CLASS}.key has 17 characters: give 1 to 16"),
        ('key = "f1"', f'key = "{"x" * 17}"', f"{PRODUCT}.key has 17 characters: give 1 to 16"),
        (
            'sw = "mbolea"',
            'fr = "engrais"',
            f"{PRODUCT}.label.fr is no language of the programme: use en, sw",
        ),
        (
            "size_g = 50000",
            "size_g = 0",
            f"{PRODUCT}.packs[1].size_g is 0: give a whole number from 1 to 1000000",
        ),
        (
            "size_g = 500,",
            "size_g = 1000001,",
            f"{PRODUCT}.loose.size_g is 1000001: give a whole number from 1 to 1000000",
        ),
        (
            'price = "52.50"',
            'price = "52.505"',
            f"{PRODUCT}.packs[1].price is '52.505': give an amount above 0 in quotes with at most 2 decimals, "
            'as "120", below 1,000,000,000,000',
        ),
        (
            'size_g = 50000, price = "52.50" }',
            'size_g = 50000, price = "52.50" }, { size_g = 50000, price = "50" }',
            f"{PRODUCT}.packs has 50000 g twice: give each a name of its own",
        ),
        ('key = "f2"', 'key = "f1"', "fertilising.products has f1 twice: give each a name of its own"),
        (
            'key = "high"',
            'key = "low"',
            "fertilising.soil_classes has bean low twice: give each a name of its own",
        ),
        (
            figure(10, "percent N"),
            figure(51, "percent N"),
            f"{PRODUCT}.n and p2o5 and k2o are 101 percent together: give the three numbers on the bag",
        ),
        (
            figure(46, "percent P2O5"),
            figure(0, "percent P2O5"),
            "fertilising.products[2].n and p2o5 and k2o are 0 percent together: give the three numbers on the bag",
        ),
        (
            figure(2, "cm"),
            figure(5.5, "cm"),
            f"{FURROW}.cover is 0.055, more than from, which is 0.05: give them in rising order",
        ),
        (
            figure(7, "cm"),
            figure(4, "cm"),
            f"{FURROW}.from is 0.05, more than to, which is 0.04: give them in rising order",
        ),
        (
            figure(0, "mg P/kg"),
            figure(2.5, "mg P/kg"),
            "fertilising.soil_classes of bean start at 2.5: start the first at 0",
        ),
        (
            figure(15, "mg P/kg"),
            figure(0, "mg P/kg"),
            "fertilising.soil_classes of bean have high from 0, behind low from 0: "
            "let each start higher than the one before",
        ),
    ],
)
def test_what_cannot_be_is_told_in_one_line_with_its_place(old, new, fault):
    assert faults((old, new)) == (fault,)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (figure(10, "percent N"), figure(50, "percent N")),
        ("size_g = 50000", "size_g = 1"),
        ("size_g = 500,", "size_g = 1000000,"),
        (figure(2, "cm"), figure(5, "cm")),
        (figure(46, "percent P2O5"), figure(0.5, "percent P2O5")),
        (figure(7, "cm"), figure(5, "cm")),
    ],
)
def test_what_is_just_sound_is_taken(old, new):
    assert faults((old, new)) == ()


def test_a_need_twice_for_a_crop_in_a_zone_is_told():
    start, end = FILE.index("[[fertilising.needs]]"), FILE.index("[[fertilising.soil_classes]]")

    with pytest.raises(DataFault) as refused:
        read(FILE[:end] + FILE[start:])
    assert "fertilising.needs has bean in hills twice: give each a name of its own" in refused.value.faults


def test_soil_classes_of_two_crops_each_start_at_nothing():
    start, end = FILE.index("[[fertilising.soil_classes]]"), FILE.index("[[fertilising.products]]")
    of_peas = FILE[start:end].replace('"bean"', '"pea"')

    both = read(FILE[:end] + of_peas + FILE[end:])

    assert [each.key for each in both.soil_classes_of("pea")] == ["low", "high"]
    assert len(both.soil_classes) == 4


@pytest.mark.parametrize("value", [-0.001, 100.001])
def test_what_a_harvest_takes_off_has_its_range(crop_text, sources, value):
    given = crop_text.replace("p2o5 = { value = 12,", f"p2o5 = {{ value = {value},")

    with pytest.raises(DataFault) as refused:
        read_crop(given, sources)
    assert refused.value.faults == (f"removal.p2o5 is {value:g} g P2O5/kg: give 0 to 100 g P2O5/kg",)


def test_a_crop_that_takes_nothing_or_its_own_weight_away_is_read(crop_text, sources):
    for value in (0, 100):
        given = crop_text.replace("p2o5 = { value = 12,", f"p2o5 = {{ value = {value},")
        assert read_crop(given, sources).removal == Removal(value)
