"""``advisor flows cover``: the shipped dialogues are all visited, and what an author's own leave out is named."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from advisor.commands.covering import read_scripts, visited_by
from advisor.commands.exits import Exit
from advisor.dialogue.cover.counting import FlowCover, covers_of, total
from advisor.dialogue.cover.points import Part
from simulator.house import conversations
from tests.test_cli import run


@pytest.fixture(scope="module")
def shipped() -> list[FlowCover]:
    visits, _ = visited_by(read_scripts(()))
    assert visits.book is not None
    return covers_of(visits.book, visits.points)


class TestTheShippedConversations:
    def test_they_show_every_screen_of_every_flow(self, shipped: list[FlowCover]) -> None:
        missing = [point for cover in shipped for point in cover.missing if point.part is Part.SCREENS]

        assert missing == []

    @pytest.mark.parametrize("part", [Part.ANSWERS, Part.CONDITIONS])
    def test_they_give_nearly_every_answer_and_take_nearly_every_way(
        self, shipped: list[FlowCover], part: Part
    ) -> None:
        missing = [point for cover in shipped for point in cover.missing if point.part is part]

        assert total(shipped, part).percent >= 95, missing


def script(name: str) -> str:
    return str(next(file for file in conversations() if file.name == name))


class TestTheCommand:
    def test_one_conversation_leaves_most_out_and_says_where(self, capsys: pytest.CaptureFixture[str]) -> None:
        assert run("flows", "cover", script("not-erased.en.txt")) == Exit.DONE

        rows = capsys.readouterr().out.splitlines()
        assert rows[0].split() == ["flow", "screens", "answers", "conditions"]
        assert any(row.startswith("flows/buy_list.yaml:") and row.endswith("size: is not shown") for row in rows)

    def test_less_than_is_asked_for_ends_with_1(self, capsys: pytest.CaptureFixture[str]) -> None:
        assert run("flows", "cover", "--least", "50", script("not-erased.en.txt")) == Exit.PROBLEMS
        assert run("flows", "cover", "--least", "0", script("not-erased.en.txt")) == Exit.DONE

    def test_as_json_it_gives_the_figures_and_what_is_missing(self, capsys: pytest.CaptureFixture[str]) -> None:
        assert run("flows", "cover", "--json", script("not-erased.en.txt")) == Exit.DONE

        found = {flow["flow"]: flow for flow in json.loads(capsys.readouterr().out)}
        assert found["my_data"]["screens"]["visited"] == 1
        assert {"part", "screen", "line", "what"} == set(found["welcome"]["missing"][0])

    def test_a_conversation_that_differs_is_told_of(
        self, capsys: pytest.CaptureFixture[str], tmp_path: Path
    ) -> None:
        changed = tmp_path / "changed.en.txt"
        source = Path(script("not-erased.en.txt")).read_text(encoding="utf-8")
        changed.write_text(source.replace("Erase all", "Erase some"), encoding="utf-8")

        assert run("flows", "cover", str(changed)) == Exit.DONE
        assert "warning: changed.en.txt:" in capsys.readouterr().err

    def test_a_file_that_is_no_conversation_is_refused(
        self, capsys: pytest.CaptureFixture[str], tmp_path: Path
    ) -> None:
        nothing = tmp_path / "nothing.txt"
        nothing.write_text("tea\n", encoding="utf-8")

        assert run("flows", "cover", str(nothing)) == Exit.WRONG_USAGE
        assert "nothing.txt:1" in capsys.readouterr().err
