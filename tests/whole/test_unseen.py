"""What the project has never seen: another programme, flows and a language of others, with no change of code."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from advisor.commands.exits import Exit
from advisor.loading import load_book
from tests.test_cli import run

UNSEEN = Path(__file__).parent / "unseen"
UPPER = UNSEEN / "upper.toml"


@pytest.fixture
def upper(tmp_path: Path) -> Path:
    """The unseen programme in the languages that are shipped."""
    languages = ", ".join(f'"{language}"' for language in load_book().programme.languages)
    text = re.sub(r"languages = .*", f"languages = [{languages}]", UPPER.read_text(encoding="utf-8"))
    file = tmp_path / "upper.toml"
    file.write_text(re.sub(r", pt = [^}]*", "", text), encoding="utf-8")
    return file


class TestTheShippedFlows:
    """In hectares, with prices a hundred times as high to two decimals, three bags, villages of twelve letters."""

    def test_are_proven_under_the_unseen_programme_in_every_language(
        self, upper: Path, capsys: pytest.CaptureFixture[str]
    ) -> None:
        assert run("flows", "check", "--programme", str(upper)) == Exit.DONE

        shown = capsys.readouterr().out
        for language in load_book().programme.languages:
            assert f"\n{language} " in shown

    def test_show_its_money_and_villages_on_more_pages_where_one_is_not_enough(self, upper: Path) -> None:
        book, usual = load_book(str(upper)), load_book()

        widest = "".join(text for layout in book.layouts.values() for text in layout.widest)
        assert "Um 9,999,999.00" in widest
        assert "Dovikesulawi" in widest
        assert max(len(layout.pages) for layout in book.layouts.values()) == 3
        assert sum(len(layout.pages) for layout in book.layouts.values()) > sum(
            len(layout.pages) for layout in usual.layouts.values()
        )
