"""``figures``: every figure in use, for people and for programs."""

from __future__ import annotations

import json

from advisor.loading import load_calculator
from tests.calc import refused, shown


class TestFigures:
    def test_are_all_listed_with_place_source_and_mark(self) -> None:
        loaded = load_calculator()
        files = (*loaded.crops, loaded.programme, loaded.onset_rules)

        listed = json.loads(shown("figures --json"))
        assert len(listed) == sum(len(each.figures) for each in files)
        assert all(row["unit"] and row["source"] and row["mark"] and row["citation"] for row in listed)
        assert len({row["place"] for row in listed}) == len(listed)

    def test_have_one_line_each_for_people(self) -> None:
        lines = shown("figures").splitlines()

        assert len(lines) == len(json.loads(shown("figures --json")))
        assert "13 %  crop soybean: harvest.grain.trade  (published: University of Nebraska-Lincoln" in "\n".join(
            lines
        )

    def test_of_a_zone_name_it(self) -> None:
        zones = {row["zone"] for row in json.loads(shown("figures --json"))}

        assert {"valley", "hills", None} == zones

    def test_of_a_programme_that_is_not_there_are_refused(self) -> None:
        assert refused("figures --programme nowhere.toml").startswith(
            "--programme or SOWING_PROGRAMME names a file"
        )
