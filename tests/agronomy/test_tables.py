"""The reader of data files: what each question gives, and the whole line that each fault is told in."""

from __future__ import annotations

from datetime import date, time
from decimal import Decimal

import pytest

from advisor.agronomy.errors import DataFault
from advisor.agronomy.figures import Figure
from advisor.agronomy.labels import Label
from advisor.agronomy.tables import read_table

SOURCES = {"guide": True, "talk": False}
FIGURE = '{ value = 3, unit = "cm", source = "guide", mark = "published" }'


def read(text, ask):
    """What a question gives, and the faults that are told in the end."""
    table = read_table(text, "file", SOURCES)
    given = ask(table)
    try:
        table.finish()
    except DataFault as fault:
        return given, fault.faults
    return given, ()


def figure(**changed):
    """A figure with other entries; an entry that is None is left out."""
    held = {"value": "3", "unit": '"cm"', "source": '"guide"', "mark": '"published"', **changed}
    return "a = { " + ", ".join(f"{key} = {each}" for key, each in held.items() if each is not None) + " }"


@pytest.mark.parametrize(
    ("text", "ask", "given"),
    [
        ('a = "x"', lambda table: table.text("a"), "x"),
        ("", lambda table: table.text("a", default=""), ""),
        ('a = "' + "x" * 200 + '"', lambda table: table.text("a"), "x" * 200),
        ('a = "xyz"', lambda table: table.text("a", longest=3), "xyz"),
        ('a = "099"', lambda table: table.digits("a", 3), "099"),
        ("", lambda table: table.digits("a", 3, default=""), ""),
        ('a = "y"', lambda table: table.one_of("a", ("x", "y")), "y"),
        ("a = 1", lambda table: table.whole("a", 1, 9), 1),
        ("a = 9", lambda table: table.whole("a", 1, 9), 9),
        ("", lambda table: table.whole("a", 1, 9, default=4), 4),
        ("a = 12", lambda table: table.money("a", 0), Decimal(12)),
        ('a = "12.50"', lambda table: table.money("a", 2), Decimal("12.50")),
        ('a = "0.01"', lambda table: table.money("a", 2), Decimal("0.01")),
        ('a = "999999999999"', lambda table: table.money("a", 0), Decimal(999_999_999_999)),
        ("a = 06:30:00", lambda table: table.clock("a"), time(6, 30)),
        ('a = "Dovi"', lambda table: table.label("a", ("en",)), Label("Dovi")),
        (
            'a = { default = "soybean", sw = "soya" }',
            lambda table: table.label("a", ("en", "sw")),
            Label("soybean", (("sw", "soya"),)),
        ),
        ('a = "' + "x" * 16 + '"', lambda table: table.label("a", ()), Label("x" * 16)),
        ('a = "xyz"', lambda table: table.label("a", (), longest=3), Label("xyz")),
        ('a = ["x", "y"]', lambda table: table.texts("a"), ("x", "y")),
        ('a = ["x"]', lambda table: table.optional_texts("a"), ("x",)),
        ("", lambda table: table.optional_texts("a"), ()),
        (f"a = {FIGURE}", lambda table: table.quantity("a", "m", 0.03, 1), 0.03),
        (f"a = {FIGURE}", lambda table: table.quantity("a", "m", 0, 0.03), 0.03),
        (figure(value="3.0", unit='"day"'), lambda table: table.whole_quantity("a", "day", 3, 3), 3),
        ("[a]\nb = 1", lambda table: table.row("a").whole("b", 0, 2), 1),
        ("[a]\nb = 1", lambda table: table.optional_row("a").whole("b", 0, 2), 1),
        ("", lambda table: table.optional_row("a"), None),
        ("", lambda table: table.optional_rows("a"), ()),
        ("[[a]]\nb = 1\n[[a]]\nb = 2", lambda table: [row.whole("b", 0, 2) for row in table.rows("a")], [1, 2]),
        ("a = 1", lambda table: (table.has("a"), table.has("b")), (True, False)),
    ],
)
def test_a_sound_value_is_given_as_it_is_kept(text, ask, given):
    assert read(text, ask) == (given, ())


MONEY = 'give an amount above 0 in quotes with at most 2 decimals, as "120", below 1,000,000,000,000'
NAME = 'give a text, or { default = "...", sw = "..." }'
TABLES = "write one or more [[a]] tables"


@pytest.mark.parametrize(
    ("text", "ask", "given", "faults"),
    [
        ("", lambda table: table.text("a"), "-", ["a is missing: give a text in quotes"]),
        ("a = 7", lambda table: table.text("a"), "-", ["a is 7: give a text in quotes"]),
        ("a = 7", lambda table: table.text("a", default="x"), "x", ["a is 7: give a text in quotes"]),
        ('a = ""', lambda table: table.text("a"), "", ["a has 0 characters: give 1 to 200"]),
        ('a = "wxyz"', lambda table: table.text("a", longest=3), "wxyz", ["a has 4 characters: give 1 to 3"]),
        ('a = "X9"', lambda table: table.digits("a", 3), "0", ["a is 'X9': give digits only"]),
        ('a = "+9"', lambda table: table.digits("a", 3), "0", ["a is '+9': give digits only"]),
        ('a = "٣"', lambda table: table.digits("a", 3), "0", ["a is '٣': give digits only"]),
        ('a = "9999"', lambda table: table.digits("a", 3), "9999", ["a has 4 characters: give 1 to 3"]),
        ('a = "z"', lambda table: table.one_of("a", ("x", "y")), "x", ["a is 'z': give one of x, y"]),
        ("a = 7", lambda table: table.one_of("a", ("x", "y")), "x", ["a is 7: give one of x, y"]),
        ("", lambda table: table.one_of("a", ("x", "y")), "x", ["a is missing: give one of x, y"]),
        ('a = "z"', lambda table: table.one_of("a", ()), "-", ["a is 'z': give one of none"]),
        ("", lambda table: table.whole("a", 1, 9), 1, ["a is missing: give a whole number"]),
        ("a = 2.0", lambda table: table.whole("a", 1, 9), 1, ["a is 2.0: give a whole number"]),
        ('a = "2"', lambda table: table.whole("a", 1, 9, default=4), 4, ["a is '2': give a whole number"]),
        ("a = 0", lambda table: table.whole("a", 1, 9), 1, ["a is 0: give a whole number from 1 to 9"]),
        ("a = 10", lambda table: table.whole("a", 1, 9), 1, ["a is 10: give a whole number from 1 to 9"]),
        ("a = true", lambda table: table.whole("a", 1, 9), 1, ["a is True: give a whole number from 1 to 9"]),
        ("", lambda table: table.money("a", 2), 1, [f"a is missing: {MONEY}"]),
        ("a = 1.5", lambda table: table.money("a", 2), 1, [f"a is 1.5: {MONEY}"]),
        ("a = true", lambda table: table.money("a", 2), 1, [f"a is True: {MONEY}"]),
        ("a = 0", lambda table: table.money("a", 2), 1, [f"a is 0: {MONEY}"]),
        ('a = "1.255"', lambda table: table.money("a", 2), 1, [f"a is '1.255': {MONEY}"]),
        ('a = "much"', lambda table: table.money("a", 2), 1, [f"a is 'much': {MONEY}"]),
        ('a = "Infinity"', lambda table: table.money("a", 2), 1, [f"a is 'Infinity': {MONEY}"]),
        ("a = 1000000000000", lambda table: table.money("a", 2), 1, [f"a is 1000000000000: {MONEY}"]),
        ("", lambda table: table.clock("a"), time(0), ["a is missing: give a time of day such as 20:00:00"]),
        ("", lambda table: table.label("a", ("en",)), Label("-"), [f"a is no name: {NAME}"]),
        ("a = 7", lambda table: table.label("a", ("en",)), Label("-"), [f"a is no name: {NAME}"]),
        ('a = { sw = "x" }', lambda table: table.label("a", ("sw",)), Label("-"), [f"a is no name: {NAME}"]),
        (
            'a = { default = "x", fr = "y" }',
            lambda table: table.label("a", ("en", "sw")),
            Label("x", (("fr", "y"),)),
            ["a.fr is no language of the programme: use en, sw"],
        ),
        (
            'a = ""',
            lambda table: table.label("a", ()),
            Label(""),
            ["a.default is '': give a name of 1 to 16 characters"],
        ),
        (
            'a = "' + "x" * 17 + '"',
            lambda table: table.label("a", ()),
            Label("x" * 17),
            [f"a.default is '{'x' * 17}': give a name of 1 to 16 characters"],
        ),
        (
            "a = { default = 7, sw = 8 }",
            lambda table: table.label("a", ("sw",), longest=3),
            Label("7", (("sw", "8"),)),
            ["a.default is 7: give a name of 1 to 3 characters", "a.sw is 8: give a name of 1 to 3 characters"],
        ),
        ("", lambda table: table.texts("a"), ("-",), ["a is missing: give a list of texts"]),
        ('a = "x"', lambda table: table.texts("a"), ("-",), ["a is 'x': give a list of texts"]),
        ("a = []", lambda table: table.texts("a"), ("-",), ["a is []: give at least one text, each in quotes"]),
        (
            'a = ["x", 2]',
            lambda table: table.texts("a"),
            ("-",),
            ["a is ['x', 2]: give at least one text, each in quotes"],
        ),
        (
            'a = ["x", ""]',
            lambda table: table.texts("a"),
            ("-",),
            ["a is ['x', '']: give at least one text, each in quotes"],
        ),
        (
            'a = ["y", "x", "y", "x"]',
            lambda table: table.texts("a"),
            ("y", "x", "y", "x"),
            ["a has x twice: give each a name of its own", "a has y twice: give each a name of its own"],
        ),
        ("a = 3", lambda table: table.optional_row("a").has("b"), False, ["a is 3: give a table"]),
        ("", lambda table: table.row("a").has("b"), False, ["a is missing: give a table"]),
        ("", lambda table: table.rows("a"), (), ["a is missing: give one or more [[a]] tables"]),
        ("a = 3", lambda table: table.rows("a"), (), ["a is 3: give one or more [[a]] tables"]),
        ("a = []", lambda table: table.optional_rows("a"), (), [f"a is no list of tables: {TABLES}"]),
        ("a = [3]", lambda table: table.rows("a"), (), [f"a is no list of tables: {TABLES}"]),
        (
            "[[a]]\n[[a.b]]\nc = 3",
            lambda table: table.rows("a")[0].rows("b")[0].whole("c", 0, 2),
            0,
            ["a[1].b[1].c is 3: give a whole number from 0 to 2"],
        ),
        (
            "[a]\nb = 1",
            lambda table: table.row("a").rows("b"),
            (),
            ["a.b is 1: give one or more [[a.b]] tables"],
        ),
        (
            "[a]\nb = []",
            lambda table: table.row("a").rows("b"),
            (),
            ["a.b is no list of tables: write one or more [[a.b]] tables"],
        ),
        ("a = 1", lambda table: None, None, ["a is not known here: take it out, or use one of: none"]),
        (
            "a = 1\nb = 2\nc = 3",
            lambda table: (table.has("c"), table.has("a")),
            (True, True),
            ["b is not known here: take it out, or use one of: a, c"],
        ),
    ],
)
def test_a_value_that_cannot_be_is_told_once_and_replaced_by_one_of_its_type(text, ask, given, faults):
    assert read(text, ask) == (given, tuple(faults))


TABLE_OF_FIGURE = "give a table with value, unit, source and mark"


@pytest.mark.parametrize(
    ("text", "faults"),
    [
        ("", [f"a is missing: {TABLE_OF_FIGURE}"]),
        ("a = 3", [f"a is 3: {TABLE_OF_FIGURE}"]),
        ("a = {}", ["a has no mark, source, unit, value: add it to the figure"]),
        (figure(unit=None), ["a has no unit: add it to the figure"]),
        (figure(page="7", note="8"), ["a has note, page: a figure holds value, unit, source and mark only"]),
        (figure(value="true"), ["a.value is True: give a number"]),
        (figure(value='"3"'), ["a.value is '3': give a number"]),
        (figure(mark='"printed"'), ["a.mark is 'printed': give one of published, judgement, common practice"]),
        (figure(source='"x"'), ["a.source is 'x': give the key of a source in sources.toml"]),
        (figure(source='["guide"]'), ["a.source is ['guide']: give the key of a source in sources.toml"]),
        (
            figure(source='"talk"'),
            ["a.mark is published but its source has no address: name the source it is from"],
        ),
        (figure(unit='"kg"'), ["a.unit is 'kg': give m or cm"]),
        (figure(unit='"ell"'), ["a.unit is 'ell': give m or cm"]),
        (figure(value="0.9"), ["a is 0.009 m: give 0.01 to 0.5 m"]),
        (figure(value="51"), ["a is 0.51 m: give 0.01 to 0.5 m"]),
        (figure(value="nan"), ["a is nan m: give 0.01 to 0.5 m"]),
    ],
)
def test_a_figure_that_cannot_be_is_told_and_its_lowest_value_stands_in(text, faults):
    assert read(text, lambda table: table.quantity("a", "m", 0.01, 0.5)) == (0.01, tuple(faults))


def test_a_figure_in_parts_of_a_day_is_no_whole_number_of_days():
    told = read(figure(value="3.5", unit='"day"'), lambda table: table.whole_quantity("a", "day", 1, 9))

    assert told == (3, ("a is 3.5: give a whole number",))


def test_figures_are_remembered_as_the_file_gives_them_at_their_places():
    table = read_table(f"[[a]]\nb = {FIGURE}\nc = 1", "file", SOURCES)
    table.rows("a")[0].quantity("b", "m", 0, 1)

    assert table.figures == (("a[1].b", Figure(3.0, "cm", "guide", "published")),)


class TestNumbersThatMustNotFall:
    @pytest.mark.parametrize(
        ("numbers", "faults"),
        [
            ((1, 1, 2), ()),
            ((2, 1, 3), ("a.x is 2, more than y, which is 1: give them in rising order",)),
            (
                (3, 2.5, 1),
                (
                    "a.x is 3, more than y, which is 2.5: give them in rising order",
                    "a.y is 2.5, more than z, which is 1: give them in rising order",
                ),
            ),
        ],
    )
    def test_are_told_pair_by_pair(self, numbers, faults):
        assert read("[a]", lambda table: table.row("a").rising(*zip("xyz", numbers, strict=True))) == (
            None,
            faults,
        )

    def test_are_not_told_before_each_number_is_sound_by_itself(self):
        def ask(table):
            table.whole("a", 5, 9)
            table.rising(("a", 5), ("b", 1))

        assert read("a = 1", ask) == (None, ("a is 1: give a whole number from 5 to 9",))


def test_values_that_do_not_go_together_are_told_once_each_is_sound_by_itself():
    def ask(table):
        table.whole("a", 5, 9)
        table.contradiction("a", "and b are both odd", "make one even")

    assert read("a = 5", ask) == (None, ("a and b are both odd: make one even",))
    assert read("a = 1", ask) == (None, ("a is 1: give a whole number from 5 to 9",))


def test_everything_that_is_wrong_is_told_under_the_name_of_the_file():
    table = read_table("a = 1\nb = 2", "onset rules", {})

    with pytest.raises(DataFault) as fault:
        table.finish()

    assert str(fault.value) == (
        "onset rules has 2 faults\n"
        "  a is not known here: take it out, or use one of: none\n"
        "  b is not known here: take it out, or use one of: none"
    )


def test_a_text_that_is_no_toml_is_told_with_its_line():
    with pytest.raises(DataFault) as fault:
        read_table("a = 1\nb = = 2", "crop", {})

    assert str(fault.value).startswith("crop has 1 fault\n  is no TOML: Invalid value (at line 2, column 5): mend")


def test_a_number_of_more_digits_than_can_be_read_is_a_fault_of_the_file():
    with pytest.raises(DataFault, match=r"is no TOML: .*: mend that line"):
        read_table("a = " + "1" * 5000, "crop", {})


class TestDays:
    @pytest.mark.parametrize(
        ("text", "days"),
        [
            ("", frozenset()),
            ("a = []", frozenset()),
            ("a = [2027-01-01, 2026-12-25]", frozenset({date(2027, 1, 1), date(2026, 12, 25)})),
        ],
    )
    def test_may_be_left_out_and_are_at_most_so_many(self, text, days):
        assert read(text, lambda table: table.optional_days("a", 2)) == (days, ())

    @pytest.mark.parametrize(
        ("text", "fault"),
        [
            ("a = 2027-01-01", "a is datetime.date(2027, 1, 1): give a list of days such as 2027-01-01"),
            ('a = ["1"]', "a is ['1']: give at most 2 days such as 2027-01-01, without quotes"),
            (
                "a = [2027-01-01T08:00:00]",
                "a is [datetime.datetime(2027, 1, 1, 8, 0)]: "
                "give at most 2 days such as 2027-01-01, without quotes",
            ),
            (
                "a = [2027-01-01, 2027-01-02, 2027-01-03]",
                "a is [datetime.date(2027, 1, 1), datetime.date(2027, 1, 2), datetime.date(2027, 1, 3)]: "
                "give at most 2 days such as 2027-01-01, without quotes",
            ),
        ],
    )
    def test_that_cannot_be_are_told(self, text, fault):
        assert read(text, lambda table: table.optional_days("a", 2)) == (frozenset(), (fault,))

    def test_that_stand_there_twice_are_told(self):
        _, faults = read("a = [2027-01-01, 2027-01-01]", lambda table: table.optional_days("a", 2))

        assert faults == ("a has 2027-01-01 twice: give each a name of its own",)
