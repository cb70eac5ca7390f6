"""``advisor flows replay``: a changed flow against the one that ships, by the conversations that go with it."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.commands.exits import Exit
from simulator.house import conversations
from tests.test_cli import run
from tests.test_cli_flows import MINE, change, mine

__all__ = ["mine"]

SCRIPT = str(next(file for file in conversations() if file.name == "bad-seed.en.txt"))


def test_unchanged_flows_go_alike(capsys: pytest.CaptureFixture[str], mine: Path) -> None:
    assert run("flows", "replay", SCRIPT, *MINE) == Exit.DONE

    assert capsys.readouterr().out == "alike    bad-seed.en.txt\nconversations: 1, going another way: 0\n"


def test_the_first_message_that_goes_another_way_is_shown_with_its_line(
    capsys: pytest.CaptureFixture[str], mine: Path
) -> None:
    change(mine / "flows/buy_list.yaml", "to: list_half, when", "to: list_poor, when")
    change(mine / "flows/buy_list.yaml", "      - {to: list_poor}", "      - {to: list_half}")

    assert run("flows", "replay", SCRIPT, *MINE) == Exit.PROBLEMS

    rows = capsys.readouterr().out.splitlines()
    line = int(rows[0].split(":")[1])
    assert Path(SCRIPT).read_text(encoding="utf-8").splitlines()[line - 1] == "> 1"
    assert rows[:3] == [
        f"another  bad-seed.en.txt:{line}: after '> 1'",
        "  screen was: buy_list.list_poor",
        "  screen now: buy_list.list_half",
    ]
    assert rows[-1] == "conversations: 1, going another way: 1"


def test_other_words_are_told_and_are_no_other_way(capsys: pytest.CaptureFixture[str], mine: Path) -> None:
    change(mine / "flows/buy_list.yaml", 'say: "Where did you sow it?"', 'say: "Where did it grow?"')

    assert run("flows", "replay", SCRIPT, *MINE) == Exit.DONE

    shown = capsys.readouterr().out
    assert shown.startswith("words    bad-seed.en.txt:")
    assert "words was: Where did you sow it?\n" in shown
    assert "words now: Where did it grow?\n" in shown


def test_what_was_before_is_read_from_a_folder(capsys: pytest.CaptureFixture[str], mine: Path) -> None:
    change(mine / "flows/buy_list.yaml", 'say: "Where did you sow it?"', 'say: "Where did it grow?"')

    assert run("flows", "replay", SCRIPT, *MINE, "--before", ".") == Exit.DONE
    assert capsys.readouterr().out.startswith("alike ")

    assert run("flows", "replay", SCRIPT, "--before", "flows") == Exit.WRONG_USAGE
    assert "give one that holds flows and locales as they were" in capsys.readouterr().err
