"""``advisor flows``: the dialogues looked at from the command line."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.commands.exits import Exit
from tests.test_cli import run


class TestFlowsCheck:
    def test_of_the_shipped_flows_finds_nothing(self, capsys: pytest.CaptureFixture[str]) -> None:
        assert run("flows", "check") == Exit.DONE

        shown = capsys.readouterr().out
        assert "proven to fit in every language" in shown
        assert "hi: the widest page holds" in shown

    def test_of_a_faulty_programme_names_every_fault(
        self, capsys: pytest.CaptureFixture[str], tmp_path: Path
    ) -> None:
        programme = tmp_path / "faulty.toml"
        programme.write_text('key = "x"', encoding="utf-8")

        assert run("flows", "check", "--programme", str(programme)) == Exit.PROBLEMS
        shown = capsys.readouterr().err
        assert f"{programme}:1: languages is missing: give a list" in shown
        assert f"{programme}:1: inoculants is missing" in shown
