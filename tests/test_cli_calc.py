"""``calc`` and ``figures``: every calculation at the command line, with figures, cautions and plain refusals."""

from __future__ import annotations

import re
from pathlib import Path

import click
import pytest

import advisor
from advisor.agronomy.buylist import Lot, Origin, buy_list
from advisor.agronomy.cautions import CAUTIONS
from advisor.agronomy.germination import SeedTest
from advisor.commands.calculating import _command, load_known
from advisor.commands.calculator.examples import EXAMPLES
from advisor.commands.calculator.known import CHOSEN, FIGURES, PROVIDED
from advisor.commands.calculator.listed import FIGURES_OF, NOT_HERE, Listed, calculations, not_askable
from advisor.commands.calculator.showing import caution_meanings
from advisor.commands.exits import Exit
from advisor.loading import load_calculator
from tests.calc import data, refused, run, shown

README = (Path(__file__).parent.parent / "README.md").read_text(encoding="utf-8")
ALL = calculations()
WITH_EXAMPLE = [listed for listed in ALL if listed.example is not None]


class TestEveryCalculation:
    @pytest.mark.parametrize("listed", WITH_EXAMPLE, ids=lambda listed: listed.name)
    def test_works_out_its_example_for_people(self, listed: Listed) -> None:
        said = shown(f"calc {listed.name} {listed.example}")

        assert said.strip()
        assert "after: " in said
        assert not re.search(r"<\w+[. ]|object at|\bN\(|Decimal\(|datetime", said), said

    @pytest.mark.parametrize("listed", WITH_EXAMPLE, ids=lambda listed: listed.name)
    def test_works_out_its_example_for_programs(self, listed: Listed) -> None:
        found = data(f"calc {listed.name} {listed.example}")

        assert found["calculation"] == listed.function.__name__
        assert found["result"] is not None
        assert all(figure["mark"] and figure["unit"] and figure["citation"] for figure in found["figures"])
        assert set(found["cautions"]) <= set(CAUTIONS)

    @pytest.mark.parametrize("listed", ALL, ids=lambda listed: listed.name)
    def test_says_in_its_help_what_each_option_is_for(self, listed: Listed) -> None:
        command = _command(listed)

        assert command.help
        silent = [param.name for param in command.params if isinstance(param, click.Option) and not param.help]
        assert silent == []
        names = [name for param in command.params for name in param.opts]
        assert len(set(names)) == len(names)

    def test_there_are_over_a_hundred_and_few_that_cannot_be_asked_for(self) -> None:
        assert len(ALL) > 100
        assert len(not_askable()) < len(ALL) / 10

    def test_nothing_is_written_down_for_a_calculation_that_is_not_there(self) -> None:
        functions = {listed.function.__name__ for listed in ALL}

        assert set(EXAMPLES) <= {listed.name for listed in ALL}
        assert set(FIGURES_OF) <= functions

    def test_what_takes_tables_of_growers_is_named_and_not_offered(self) -> None:
        said = shown("calc --help")

        assert {each.function.__name__ for each in ALL}.isdisjoint(
            name.partition(".")[2] for name in not_askable()
        )
        assert "Not here, since what they take does not go on a line" in said

    def test_what_is_not_offered_says_why_and_what_is_there_instead(self) -> None:
        assert set(NOT_HERE) == set(not_askable()), "say in NOT_HERE why a calculation has no command"
        said = " ".join(shown("calc --help").split())
        for name, reason in NOT_HERE.items():
            assert f"{name.partition('.')[2]} {reason.split(';')[0]}" in said
        instead = {word for reason in NOT_HERE.values() for word in reason.partition("; ")[2].split()[:1]}
        assert instead <= {each.name for each in ALL}


class TestAnAnswer:
    def test_gives_the_number_first(self) -> None:
        assert shown("calc rectangle --long 54 --short 22").startswith("1,188 m²  Area of a rectangle\n")

    def test_has_every_digit_for_programs(self) -> None:
        found = data("calc seed-mass-by-rate --area 1acre --germination 60%")

        assert found["result"] == pytest.approx(20 * 0.8 / 0.6, rel=1e-12)
        assert found["unit"] == "kg"
        assert found["inputs"]["area_m2"] == 4046.8564224

    def test_of_the_buy_list_is_the_list_itself(self) -> None:
        loaded = load_calculator()
        (crop,) = [crop for crop in loaded.crops if crop.key == loaded.programme.crops[0].crop]
        expected = buy_list(loaded.programme, crop, 10117.141056, Lot(Origin.SAVED, SeedTest(75, 100)))

        found = data("calc buy-list --area 2.5acre --origin saved --grown 75 --sown 100")["result"]
        assert found["total"] == str(expected.total)
        assert found["seed_kg"] == expected.seed_kg
        assert found["holes"]["seeds"] == expected.holes.seeds

    def test_that_may_leave_out_a_test_is_made_without_one(self) -> None:
        assert data("calc buy-list --area 2.5acre --origin bought")["result"]["total"] == "5550"

    def test_is_about_where_a_figure_was_not_published_and_else_not(self) -> None:
        assert data("calc sold-dry-loss --moisture 11")["about"] is False
        assert data("calc inoculant --seed 50")["about"] is True
        assert shown("calc inoculant --seed 50").startswith("about 250 g")
        assert data("calc inoculant --seed 50 --dose 5")["about"] is False

    def test_of_a_range_says_it_in_one_line(self) -> None:
        said = shown("calc yield-before-harvest --stand 28 --pods-per-plant 30")

        assert "about 2,730 kg/ha" in said
        assert re.search(r"^2,402 kg/ha to 2,457 kg/ha  ", said, re.MULTILINE)

    def test_beside_a_range_of_something_else_is_not_about(self) -> None:
        assert re.search(r"^0.1 m +hole: ", shown(f"calc placement {EXAMPLES['placement']}"), re.MULTILINE)

    def test_of_an_area_is_in_the_unit_of_the_programme_too(self) -> None:
        assert "(0.695 acre)" in shown("calc paced --area-in-steps 5000")

    @pytest.mark.parametrize("listed", WITH_EXAMPLE, ids=lambda listed: listed.name)
    def test_never_leaves_a_caution_out(self, listed: Listed) -> None:
        line = f"calc {listed.name} {listed.example}"
        keys, said = data(line)["cautions"], shown(line)

        assert [key for key in keys if caution_meanings()[key] not in said] == []

    def test_on_fertiliser_and_treated_seed_has_cautions(self) -> None:
        assert data("calc nodule-score --plants 6 --nodules 0")["cautions"]
        assert "treat_only_the_batch" in data("calc inoculant --seed 5")["cautions"]
        assert "dressed_seed_is_poison" in data("calc buy-list --area 1acre --origin bought")["cautions"]
        assert "follow_the_pack" in data("calc batch-plan --area 1acre --seed 20 --people 2")["cautions"]

    def test_every_caution_has_its_meaning(self) -> None:
        assert set(caution_meanings()) == set(CAUTIONS)

    def test_never_takes_a_figure_for_what_has_a_value_of_its_own(self) -> None:
        """Bought seed is not sorted; the programme's sorting loss is for saved seed."""
        line = "calc own-or-bought --own-price-per-kg 40 --own-germination 0.7 --bought-price-per-kg 104"

        assert data(f"{line} --bought-germination 0.85")["inputs"]["bought.sorting_loss"] == 0


class TestFiguresStandIn:
    def test_and_are_named_with_place_source_and_mark(self) -> None:
        (figure,) = data("calc sold-dry-loss --moisture 11")["figures"]

        assert figure["place"] == "crop soybean: harvest.grain.trade"
        assert (figure["value"], figure["unit"], figure["mark"]) == (13, "percent", "published")
        assert figure["url"].startswith("https://")

    def test_until_the_number_is_given(self) -> None:
        given_too = data("calc sold-dry-loss --moisture 11 --trade 14")

        assert given_too["figures"] == []
        assert given_too["result"] == pytest.approx(1 - 86 / 89)

    def test_of_the_zone_that_is_named(self) -> None:
        valley = data("calc nitrogen-credit --straw-left 1 --area 1ha")["result"]
        hills = data("calc nitrogen-credit --straw-left 1 --area 1ha --zone hills")

        assert valley["high"] == {"kg_per_ha": 30}
        assert hills["result"]["high"] == {"kg_per_ha": 55}
        assert {figure["zone"] for figure in hills["figures"]} == {"hills"}

    def test_of_the_scheme_or_loan_that_is_named(self) -> None:
        line = "calc nodule-score --plants 5 --nodules 40 --red 5"

        assert data(line)["result"]["verdict"] == "poor"
        assert data(f"{line} --scheme seven")["result"]["verdict"] == "working"

    def test_of_a_crop_that_the_programme_does_not_grow_are_its_own(self) -> None:
        line = "calc kernels --shell 10 --crop"

        assert data(f"{line} groundnut")["figures"][0]["place"] == "crop groundnut: shell.kernels"
        assert refused(f"{line} maize").startswith("no figure crop maize: shell.kernels: give it as an option")
        assert "inoculants[none of maize].dose" in refused("calc inoculant --seed 5 --crop maize")

    def test_of_the_programme_that_is_named(self, tmp_path: Path) -> None:
        text = (Path(advisor.__file__).parent / "programmes" / "ulami.toml").read_text("utf-8")
        own = tmp_path / "own.toml"
        own.write_text(text.replace('dose = { value = 5, unit = "g/kg"', 'dose = { value = 4, unit = "g/kg"'))

        assert data(f"calc inoculant --seed 50 --programme {own}")["result"] == 200

    def test_only_where_there_are_such_figures(self) -> None:
        known = load_known(None, None, None)
        all_crops = [load_known(crop.key, None, None) for crop in known.crops]
        places = [*FIGURES.values(), *(place for own in FIGURES_OF.values() for place in own.values() if place)]
        for place in places:
            assert any(of_crop.under(place) for of_crop in all_crops), place
        assert all(provided.get(known) is not None for provided in PROVIDED.values())
        assert all(chosen.row(known, None)[0] is not None for chosen in CHOSEN.values())


class TestAMistake:
    @pytest.mark.parametrize(
        ("line", "said"),
        [
            ("rectangle --long 0 --short 22", "side is 0.0, allowed is above 1e-9 to below 1e9 (unit m)"),
            ("rectangle --long far --short 22", "--long: 'far' is no amount: give a number, with a unit"),
            ("rectangle --long 54kg --short 22", "--long: '54kg' is no amount"),
            ("triangle --first 1 --second 1 --third 5", "sides of 1, 1 and 5 do not meet"),
            ("band --grown 9 --sown 8", "9 seedlings cannot come from 8 seeds: count the seedlings again"),
            ("band --grown 7.5 --sown 8", "--grown: '7.5' is not whole: give a whole number"),
            ("leaf-causes --seen spotty", "no figure soybean.signs.spotty: name one of: old_first"),
            ("nodule-score --plants 5 --nodules 3", "3 nodules were found and none was cut open: cut some open"),
            ("nodule-score --plants 5 --nodules 0 --scheme x", "no figure harvest.nodules x: name one of: ten"),
            ("storage-time --moisture 30 --celsius 20", "moisture is 30.0, allowed is 0 to 24"),
            ("calendar --sowing tomorrow", "--sowing: 'tomorrow' cannot be read: write it as 2026-11-25"),
            ("inoculant --seed 50 --crop x", "no crop 'x': name one of "),
            ("inoculant --seed 50 --zone x", "no zone 'x': name one of valley, hills"),
            ("inoculant --seed 50 --programme nowhere.toml", "--programme or SOWING_PROGRAMME names a file"),
            ("worth --quantity 1 --price dear", "--price: 'dear' is no amount of money: give a number"),
            ("cheapest-purchase --packs 25kg --quantity 1kg", "--packs: '25kg' has 1 parts: give size:price"),
            ("cheapest-purchase --packs 25kg:x --quantity 1kg", "--packs: 'x' is no amount of money"),
            ("input-worth --harvests 1,2 --price 1 --costs 1,1", "--harvests: '1,2' has 2 parts: give 3"),
            ("jar-test --salt wet --purpose seed", "Invalid value for '--salt': 'wet' is not one of 'sticks'"),
            ("rectangle --long 54", "--short is missing: give it"),
            ("rectangel", "No such command 'rectangel'"),
        ],
    )  # fmt: skip
    def test_is_told_in_one_line_that_says_what_to_do(self, line: str, said: str) -> None:
        assert refused(f"calc {line}").startswith(said)

    def test_in_a_programme_file_is_told_with_all_its_faults(self, tmp_path: Path) -> None:
        file = tmp_path / "bad.toml"
        file.write_text('key = "x"\n', "utf-8")
        result = run(f"calc inoculant --seed 50 --programme {file}")

        assert result.exit_code == Exit.PROBLEMS
        assert "programme has" in result.output


def test_the_example_of_the_readme_is_what_it_shows() -> None:
    command, shown_there = re.findall(
        r"^    \.venv/bin/advisor (calc .*)\n\n((?:    .*\n|\n)+)", README, re.MULTILINE
    )[0]

    expected = [line.removeprefix("    ").rstrip() for line in shown_there.rstrip().splitlines()]
    assert shown(command).splitlines()[: len(expected)] == expected
