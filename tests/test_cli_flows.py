"""``advisor flows``: the dialogues looked at from the command line."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from advisor.commands.exits import Exit
from tests.test_cli import run

HOME = Path(__file__).parent.parent


@pytest.fixture
def mine(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Copies of the shipped flows and catalogs, in the folder that commands are given in."""
    shutil.copytree(HOME / "flows", tmp_path / "flows")
    shutil.copytree(HOME / "locales", tmp_path / "locales")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def change(file: Path, old: str, new: str) -> int:
    """Changes a file once; the line of the change."""
    before, found, after = file.read_text(encoding="utf-8").partition(old)
    assert found
    file.write_text(before + new + after, encoding="utf-8")
    return before.count("\n") + 1


MINE = ("--flows", "flows", "--locales", "locales")


class TestOfSoundFlows:
    def test_it_shows_a_table_with_a_line_for_each_language(self, capsys: pytest.CaptureFixture[str]) -> None:
        assert run("flows", "check") == Exit.DONE

        shown = capsys.readouterr().out
        assert "all is sound" in shown
        assert "proofs that a page fits a USSD screen or an SMS" in shown
        for language in ("en", "sw", "hi"):
            assert any(line.startswith(f"{language}  ") for line in shown.splitlines())
        assert all(len(line) <= 80 for line in shown.splitlines())

    def test_it_shows_the_widest_text_of_a_screen_in_each_language(
        self, capsys: pytest.CaptureFixture[str]
    ) -> None:
        assert run("flows", "check", "buy_list.list_bought") == Exit.DONE

        shown = capsys.readouterr().out
        assert "en, page 1 of 1: " in shown
        assert "    19.99 acres. Buy:" in shown
        assert "hi, page 1 of 2: " in shown

    def test_it_shows_the_widest_text_of_every_screen(self, capsys: pytest.CaptureFixture[str]) -> None:
        assert run("flows", "check", "--widest") == Exit.DONE

        shown = capsys.readouterr().out
        assert " of 159  buy_list.list_half" in shown
        assert " of  70  buy_list.list_half" in shown
        assert shown.count("buy_list.money\n") == len(list((HOME / "locales").glob("*.glossary.toml")))

    def test_a_screen_that_is_none_is_named_with_the_nearest(self, capsys: pytest.CaptureFixture[str]) -> None:
        assert run("flows", "check", "buy_list.list_bougt") == Exit.WRONG_USAGE

        assert "did you mean 'buy_list.list_bought'?" in capsys.readouterr().err

    def test_stretched_it_counts_the_screens_that_a_longer_language_would_leave_whole(
        self, capsys: pytest.CaptureFixture[str], mine: Path
    ) -> None:
        wide = change(mine / "flows/buy_list.yaml", 'say: "Rows x holes, in cm?"', f'say: "{"Rows " * 24}?"')

        assert run("flows", "check", "--stretched", "--drafting", *MINE) == Exit.PROBLEMS

        shown = capsys.readouterr().out
        assert "screens would take texts 40 % longer" in shown
        assert f" {wide} buy_list.rows, en: a line costs 170, the room for it is " in " ".join(shown.split())

    def test_as_json_it_is_an_empty_list(self, capsys: pytest.CaptureFixture[str]) -> None:
        assert run("flows", "check", "--json") == Exit.DONE

        assert json.loads(capsys.readouterr().out) == []


class TestOfFaultyFlows:
    def test_it_tells_all_of_them_by_file_and_line_in_80_columns(
        self, capsys: pytest.CaptureFixture[str], mine: Path
    ) -> None:
        lost = change(mine / "flows/welcome.yaml", "to: agreed_before", "to: agreed_befor")
        dropped = change(mine / "locales/sw.po", 'msgstr "Imezidi. Mwisho ni %(high)s."', 'msgstr "Imezidi."')
        wide = change(mine / "flows/buy_list.yaml", 'say: "Rows x holes, in cm?"', f'say: "{"Rows " * 33}"')

        assert run("flows", "check", *MINE) == Exit.PROBLEMS

        shown = capsys.readouterr().err
        assert all(len(line) <= 80 for line in shown.splitlines())
        assert [line for line in shown.splitlines() if line.endswith((".yaml", ".po"))] == [
            "flows/buy_list.yaml",
            "flows/welcome.yaml",
            *(
                f"locales/{language}.po"
                for language in ("fr", "hi", "sw")
                if (mine / f"locales/{language}.po").exists()
            ),
        ]
        assert f"  {lost}  welcome.language: there is no screen 'agreed_befor'" in shown
        assert "did you mean 'agreed_before'?" in shown
        assert f"  {wide}  buy_list.rows, en: a line costs 164, the room for it is 152" in shown
        assert "  " + str(dropped - 1) + "  engine, sw: 'Too much. At most %(high)s.' form 0 does not" in shown
        assert "Not looked at yet:" in shown

    def test_it_tells_the_same_when_it_refuses_to_serve(
        self, capsys: pytest.CaptureFixture[str], mine: Path
    ) -> None:
        change(mine / "flows/welcome.yaml", "to: agreed_before", "to: agreed_befor")

        assert run("flows", "check", *MINE) == Exit.PROBLEMS
        checked = capsys.readouterr().err
        assert run("serve", "--demo", *MINE) == Exit.PROBLEMS

        assert capsys.readouterr().err == checked

    def test_as_json_it_gives_the_parts_of_each_fault(
        self, capsys: pytest.CaptureFixture[str], mine: Path
    ) -> None:
        line = change(mine / "flows/welcome.yaml", "to: agreed_before", "to: agreed_befor")

        assert run("flows", "check", "--json", *MINE) == Exit.PROBLEMS
        (fault,) = json.loads(capsys.readouterr().out)
        assert (fault["file"], fault["line"], fault["screen"]) == ("flows/welcome.yaml", line, "welcome.language")
        assert fault["what"] == "there is no screen 'agreed_befor'"

    def test_of_a_faulty_programme_it_names_every_fault(
        self, capsys: pytest.CaptureFixture[str], tmp_path: Path
    ) -> None:
        programme = tmp_path / "faulty.toml"
        programme.write_text('key = "x"', encoding="utf-8")

        assert run("flows", "check", "--programme", str(programme)) == Exit.PROBLEMS
        shown = capsys.readouterr().err
        assert "  1  languages is missing" in shown
        assert "  1  inoculants is missing" in shown
        assert "they rest on the programme, which is faulty" in " ".join(shown.split())


class TestPictures:
    def test_a_flow_is_drawn_as_svg_or_mermaid(self, capsys: pytest.CaptureFixture[str]) -> None:
        assert run("flows", "draw", "measure_field") == Exit.DONE
        assert capsys.readouterr().out.startswith("<svg ")

        assert run("flows", "draw", "all", "--mermaid") == Exit.DONE
        shown = capsys.readouterr().out
        assert shown.startswith("flowchart TD\n")
        assert shown.count("  subgraph ") == len(list((HOME / "flows").glob("*.yaml")))

    def test_a_flow_that_is_none_is_named_with_the_nearest(self, capsys: pytest.CaptureFixture[str]) -> None:
        assert run("flows", "draw", "buy_lst") == Exit.WRONG_USAGE

        assert "did you mean 'buy_list'?" in capsys.readouterr().err
