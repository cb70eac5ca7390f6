"""What no programme may say, each with the whole line in which its author is told."""

from __future__ import annotations

import pytest

from advisor.agronomy.errors import DataFault
from tests.agronomy.small_programme import SHORT, faults_of_small, read_small

LONG = "x" * 17
AN_AMOUNT = 'give an amount above 0 in quotes with at most 2 decimals, as "120", below 1,000,000,000,000'
OWN_NAME = "give each a name of its own"
CAP = """[[measures]]
key = "cap"
label = "cap"
volume = 5 ml

"""


@pytest.mark.parametrize(
    ("place", "line", "longest"),
    [
        ("key", 'key = "small"', 16),
        ("country_code", 'country_code = "99"', 3),
        ("trunk_prefix", 'trunk_prefix = "01"', 3),
        ("time_zone", 'time_zone = "Etc/GMT-3"', 200),
        ("currency.symbol", 'symbol = "Ul"', 4),
        ("zones[1].key", 'key = "coast"', 16),
        ("villages[1].key", 'key = "v1"', 16),
        ("villages[1].zone", '" }\nzone = "hills"', 16),
        ("seeds[1].key", 'key = "s1"', 16),
        ("seeds[1].crop", 's1"\ncrop = "pea"', 16),
        ("inoculants[1].key", 'key = "i1"', 16),
        ("inoculants[1].crop", 'i1"\ncrop = "pea"', 16),
        ("varieties[1].key", 'key = "a1"', 16),
        ("seasons[1].onset_rule", 'onset_rule = "dekads"', 24),
        ("budgets[1].costs[1].key", 'key = "weed"', 16),
        ("loans[1].key", 'key = "l1"', 16),
    ],
)
def test_a_text_is_as_long_as_phones_and_pages_have_room_for(place, line, longest):
    def told(length):
        start = line[: line.rindex("= ")]
        return faults_of_small((line, f'{start}= "{"1" * length}"'))

    assert f"{place} has {longest + 1} characters: give 1 to {longest}" in told(longest + 1)
    assert not [fault for fault in told(longest) if "characters" in fault]


@pytest.mark.parametrize(
    ("place", "default"),
    [
        ("name", "Small"),
        ("zones[1].label", "coast"),
        ("villages[1].label", "Dovi"),
        ("crops[1].label", "pea"),
        ("seeds[1].label", "pea seed"),
        ("inoculants[1].label", "pea powder"),
        ("varieties[1].label", "usual"),
        ("budgets[1].costs[1].label", "weeding"),
        ("loans[1].label", "bank"),
    ],
)
def test_a_name_has_sixteen_characters_and_only_forms_in_the_programmes_languages(place, default):
    old = f'{{ default = "{default}", sw'

    assert faults_of_small((old, f'{{ default = "{LONG}", sw')) == (
        f"{place}.default is '{LONG}': give a name of 1 to 16 characters",
    )
    assert faults_of_small((old, f'{{ default = "{default}", fr')) == (
        f"{place}.fr is no language of the programme: use en, sw",
    )


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ('country_code = "99"', 'country_code = "+9"', "country_code is '+9': give digits only"),
        ('trunk_prefix = "01"', 'trunk_prefix = "0-"', "trunk_prefix is '0-': give digits only"),
        (
            "number_length = 8",
            "number_length = 14",
            "number_length is 14, behind country code 99: a number has 15 digits at most with its country code",
        ),
        (
            'area_unit = "hectare"',
            'area_unit = "furlong"',
            "field.area_unit is 'furlong': give one of m2, acre, hectare",
        ),
        (
            "quiet_from = 20:00:00",
            "quiet_from = 20",
            "quiet_from is 20: give a time of day such as 20:00:00",
        ),
        ("quiet_to = 06:30:00", "", "quiet_to is missing: give a time of day such as 20:00:00"),
        ('purse_max = "900.50"', 'purse_max = "900.505"', f"purse_max is '900.505': {AN_AMOUNT}"),
        ('price = "2.50"', 'price = "2.505"', f"seeds[1].packs[1].price is '2.505': {AN_AMOUNT}"),
        ('price = "1.50"', 'price = "1.505"', f"seeds[1].scoop.price is '1.505': {AN_AMOUNT}"),
        ('price = "4"', 'price = "0"', f"inoculants[1].packs[1].price is '0': {AN_AMOUNT}"),
        ('grain_price = "0.75"', 'grain_price = "0.755"', f"budgets[1].grain_price is '0.755': {AN_AMOUNT}"),
        ('amount = "12.25"', 'amount = "1.225"', f"budgets[1].costs[1].amount is '1.225': {AN_AMOUNT}"),
        (
            'per = "acre"',
            'per = "bag"',
            "budgets[1].costs[1].per is 'bag': give one of field, acre, hectare, kg",
        ),
        (
            'interest = "on_balance"',
            'interest = "none"',
            "loans[1].interest is 'none': give one of flat, on_balance",
        ),
        (
            'buying_rule = "rate"',
            'buying_rule = "guess"',
            "crops[1].buying_rule is 'guess': give one of rate, population",
        ),
        ('\ncrop = "pea"', '\ncrop = "teff"', "crops[1].crop is 'teff': give one of pea, bean"),
        ('a1"\ncrop = "pea"', 'a1"\ncrop = "teff"', "varieties[1].crop is 'teff': give one of pea, bean"),
        (
            'zone = "hills"\ncrop = "pea"\nopens',
            'zone = "lake"\ncrop = "pea"\nopens',
            "seasons[1].zone is 'lake': give one of coast, hills",
        ),
        (
            'zone = "hills"\ncrop = "pea"\nopens',
            'zone = "hills"\ncrop = "teff"\nopens',
            "seasons[1].crop is 'teff': give one of pea, bean",
        ),
        (
            'zone = "hills"\ncrop = "pea"\nharvest',
            'zone = "lake"\ncrop = "pea"\nharvest',
            "budgets[1].zone is 'lake': give one of coast, hills",
        ),
        (
            'zone = "hills"\ncrop = "pea"\nharvest',
            'zone = "hills"\ncrop = "teff"\nharvest',
            "budgets[1].crop is 'teff': give one of pea, bean",
        ),
        ("opened_life = 2 day", "opened_life = 1.5 day", "inoculants[1].opened_life is 1.5: give a whole number"),
        ("most = 5 1", "most = 4.5 1", "sharing.most is 4.5: give a whole number"),
        ("rope = 21 m", "rope = 21 g", "field.rope.unit is 'g': give m or cm"),
        ("rope = 21 m", "", "field.rope is missing: give a table with value, unit, source and mark"),
        ("answer_segments", "answer_parts", "answer_parts is not known here: take it out, or use one of: "),
    ],
)
def test_a_value_that_cannot_be_is_told_in_one_line(old, new, fault):
    (told,) = faults_of_small((old, new))

    assert told == fault or (fault.endswith("one of: ") and told.startswith(fault))


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ('key = "v2"', 'key = "v1"', f"villages has v1 twice: {OWN_NAME}"),
        ('key = "s2"', 'key = "s1"', f"seeds has s1 twice: {OWN_NAME}"),
        ('key = "i2"', 'key = "i1"', f"inoculants has i1 twice: {OWN_NAME}"),
        ("size_g = 5000", "size_g = 1000", f"seeds[1].packs has 1000 g twice: {OWN_NAME}"),
        (
            "size_g = 100,",
            'size_g = 100, price = "3" }, { size_g = 100,',
            f"inoculants[1].packs has 100 g twice: {OWN_NAME}",
        ),
        (
            'costs = [{ key = "weed", ',
            'costs = [{ key = "weed", label = "w", amount = 1, per = "kg" }, { key = "weed", ',
            f"budgets[1].costs has weed twice: {OWN_NAME}",
        ),
        (
            'zone = "coast"\ncrop = "pea"\nharvest',
            'zone = "hills"\ncrop = "pea"\nharvest',
            f"budgets has pea in hills twice: {OWN_NAME}",
        ),
    ],
)
def test_a_name_that_is_used_twice_is_told(old, new, fault):
    assert faults_of_small((old, new)) == (fault,)


def test_a_zone_that_stands_there_twice_is_told():
    faults = faults_of_small(('key = "hills"', 'key = "coast"'), *[('zone = "hills"', 'zone = "coast"')] * 3)

    assert f"zones has coast twice: {OWN_NAME}" in faults


@pytest.mark.parametrize(("section", "name"), [("varieties", "a1"), ("loans", "l1"), ("seasons", "pea in hills")])
def test_a_row_that_stands_there_twice_is_told(section, name):
    start = SHORT.index(f"[[{section}]]")
    end = SHORT.find("\n\n", start)
    row = SHORT[start : end if end > 0 else None]

    assert faults_of_small((row, f"{row}\n\n{row}")) == (f"{section} has {name} twice: {OWN_NAME}",)


def test_a_crop_that_is_planned_twice_is_told():
    twice = ('crop = "bean"\nlabel = "bean"\n', 'crop = "pea"\nlabel = "bean"\n')
    faults = faults_of_small(twice, ('crop = "bean"', 'crop = "pea"'), ('crop = "bean"', 'crop = "pea"'))

    assert faults == (f"crops has pea twice: {OWN_NAME}",)


@pytest.mark.parametrize(
    ("old", "new", "faults"),
    [
        (
            'label = "Kesu"\nzone = "coast"',
            'label = "Kesu"\nzone = "lake"',
            ["villages has no zone 'lake': use or add one of: coast, hills"],
        ),
        (
            's2"\ncrop = "bean"',
            's2"\ncrop = "teff"',
            [
                "seeds has no crop 'teff': use or add one of: bean, pea",
                "crops has no product in [[seeds]] for 'bean': add one to [[seeds]]",
            ],
        ),
        (
            'i2"\ncrop = "bean"',
            'i2"\ncrop = "teff"',
            [
                "inoculants has no crop 'teff': use or add one of: bean, pea",
                "crops has no product in [[inoculants]] for 'bean': add one to [[inoculants]]",
            ],
        ),
    ],
)
def test_a_name_that_nothing_answers_to_is_told(old, new, faults):
    assert faults_of_small((old, new)) == tuple(faults)


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ("plot_low = 100", "plot_low = 90001", "field.plot_low is 90001, more than plot_high, which is 90000"),
        ("step_low = 0.4", "step_low = 0.8", "field.step_low is 0.8, more than step, which is 0.7"),
        ("step_high = 1.2", "step_high = 0.6", "field.step is 0.7, more than step_high, which is 0.6"),
        (
            "maturity_from = 80",
            "maturity_from = 86",
            "varieties[1].maturity_from is 86, more than maturity_to, which is 85",
        ),
        (
            "harvest_low = 400",
            "harvest_low = 901",
            "budgets[1].harvest_low is 901, more than harvest_middle, which is 900",
        ),
        (
            "harvest_high = 1500",
            "harvest_high = 899",
            "budgets[1].harvest_middle is 900, more than harvest_high, which is 899",
        ),
        (
            "demonstration = 2500",
            "demonstration = 1499",
            "budgets[1].harvest_high is 1500, more than demonstration, which is 1499",
        ),
        (
            "part_no_p = 0.7",
            "part_no_p = 0.95",
            "budgets[1].part_no_p is 0.95, more than part_half_p, which is 0.9",
        ),
        (
            "removed_low = 1",
            "removed_low = 5",
            "zones[2].nitrogen_left.removed_low is 5, more than removed_high, which is 4",
        ),
        (
            "removed_high = 4",
            "removed_high = 41",
            "zones[2].nitrogen_left.removed_high is 41, more than returned_high, which is 40",
        ),
        (
            "returned_low = 10",
            "returned_low = 0.5",
            "zones[2].nitrogen_left.removed_low is 1, more than returned_low, which is 0.5",
        ),
        (
            "returned_low = 10",
            "returned_low = 41",
            "zones[2].nitrogen_left.returned_low is 41, more than returned_high, which is 40",
        ),
    ],
)
def test_numbers_that_must_not_fall_are_told(old, new, fault):
    assert faults_of_small((old, new)) == (f"{fault}: give them in rising order",)


def test_a_crop_that_nobody_knows_is_one_fault_and_not_four():
    faults = faults_of_small(('crop = "bean"', 'crop = "been"'), ('s2"\ncrop = "bean"', 's2"\ncrop = "bean"'))

    assert faults == ("crops[2].crop is 'been': give one of pea, bean",)


def test_a_zone_that_nobody_knows_is_not_told_to_stand_there_twice():
    wrong = ('zone = "hills"\ncrop = "pea"\nharvest', 'zone = "hill"\ncrop = "pea"\nharvest')

    assert faults_of_small(wrong) == ("budgets[1].zone is 'hill': give one of coast, hills",)


def test_the_file_is_named_in_its_faults():
    with pytest.raises(DataFault, match=r"^programme has 1 fault\n  key is missing"):
        read_small(('key = "small"', ""))


def test_a_measure_that_stands_there_twice_is_told():
    assert faults_of_small(("[[varieties]]", f"{CAP}{CAP}[[varieties]]")) == (
        f"measures has cap twice: {OWN_NAME}",
    )


def test_a_number_may_have_fifteen_digits_with_its_country_code():
    assert faults_of_small(("number_length = 8", "number_length = 13")) == ()
