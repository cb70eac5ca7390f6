"""What the project has never seen: another programme, flows and a language of others, with no change of code."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path

import polib
import pytest

from advisor.commands.exits import Exit
from advisor.dialogue.checks.texts import engine_texts
from advisor.dialogue.flows import AskKind
from advisor.dialogue.screens import ENGINE
from advisor.loading import load_book
from simulator.gateway import Gateway
from simulator.house import SERVICE, connected
from simulator.player import play
from simulator.reading import read
from simulator.wire import Wire
from tests.dialogue.talker import Talker
from tests.test_cli import run

HOME = Path(__file__).parent.parent.parent
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

    def test_say_so_where_it_has_no_figures_and_ask_nothing_that_has_no_answer(self, upper: Path) -> None:
        book = load_book(str(upper))
        for keys in (("4", "3", "1", "1", "2"), ("4", "3", "1", "3"), ("4", "4", "1", "1"), ("4", "4", "1", "2")):
            talker = Talker(book)
            talker.dial()
            shown = talker.type("1", "1", "1", *keys)

            assert shown.startswith("We have no figures for your place. Ask your agent.\n"), keys
            assert book.screen(talker.session.spots[-1]).ask.kind is AskKind.CHOICE

    def test_reckon_with_its_bags_and_prices(self, upper: Path) -> None:
        """One hectare takes 55 kg by the file: at least cost 50 and 3 x 2 kg, and one pack of 400 g."""
        total = 520_000 + 3 * Decimal("24500.50") + 52_000
        assert total < 520_000 + 115_000 + 52_000, "three small bags are cheaper than one of ten"
        talker = Talker(load_book(str(upper)))
        talker.dial()

        shown = talker.type("1", "2", "1", "1", "1", "1") + talker.type("9")

        assert talker.spot == "buy_list.list_bought"
        assert "1x50 + 3x2 kg" in shown
        assert f"Total Um {total:,}" in shown

    def test_answer_an_sms_in_one_line_in_the_two_segments_that_it_pays_for(self, upper: Path) -> None:
        book = load_book(str(upper))

        costs = [
            cost for (_, language), layout in book.answers.items() if language == "en" for cost in layout.costs
        ]
        assert 160 < max(costs) <= 305


@pytest.fixture
def unseen(tmp_path: Path) -> list[str]:
    """The options that name the unseen files; of what is shipped they hold the glossary of English."""
    shutil.copytree(UNSEEN, tmp_path / "unseen")
    shutil.copy(HOME / "locales" / "en.glossary.toml", tmp_path / "unseen" / "locales")
    _brought_up_to_date(tmp_path / "unseen" / "locales" / "pt.po")
    places = {"programme": "upper.toml", "flows": "flows", "locales": "locales"}
    return [word for name, file in places.items() for word in (f"--{name}", str(tmp_path / "unseen" / file))]


def _brought_up_to_date(catalog: Path) -> None:
    """Texts of the engine that are newer than the catalog stand in it in English: they are not what is tested."""
    found = polib.pofile(str(catalog), wrapwidth=0)
    wanted = dict.fromkeys(engine_texts())
    for entry in [entry for entry in found if entry.msgctxt == ENGINE]:
        if entry.msgid in wanted:
            del wanted[entry.msgid]
        else:
            found.remove(entry)
    for text in wanted:
        found.append(polib.POEntry(msgctxt=ENGINE, msgid=text, msgstr=text))
    found.save(str(catalog))


class TestFlowsThatTheProjectHasNeverSeen:
    """A dialogue about cowpea, of which the calculator knows nothing, in Portuguese, which is not shipped."""

    def test_are_proven(self, unseen: list[str], capsys: pytest.CaptureFixture[str]) -> None:
        assert run("flows", "check", *unseen) == Exit.DONE

        shown = capsys.readouterr().out
        assert shown.startswith("3 flows, 30 screens, 2 languages: all is sound")
        assert "\npt " in shown

    def test_are_refused_with_their_own_place_where_something_is_wrong(
        self, unseen: list[str], capsys: pytest.CaptureFixture[str]
    ) -> None:
        folder = Path(unseen[unseen.index("--flows") + 1])
        text = (folder / "cowpea.yaml").read_text(encoding="utf-8")
        (folder / "cowpea.yaml").write_text(text.replace("call: pace", "call: space"), encoding="utf-8")

        assert run("flows", "check", *unseen) == Exit.PROBLEMS
        assert str(folder / "cowpea.yaml") in capsys.readouterr().err

    def test_ask_every_kind_of_question_and_count_in_every_plural_form(self, unseen: list[str]) -> None:
        book = load_book(*unseen[1::2])
        asked = {screen.ask.kind.value for screen in book.screens.values() if screen.ask}

        assert asked == {"choice", "pick", "number", "area", "count_of", "money", "date"}
        assert book.flows["cowpea"].screen("plan").say.other
        assert {screen.call for screen in book.screens.values()} >= {"cowpea", "pace"}

    @pytest.fixture
    def joined(self, unseen: list[str]) -> Iterator[tuple[Wire, Gateway]]:
        with connected(command=(*SERVICE, *unseen)) as found:
            yield found

    def test_are_served_to_a_phone_as_written(self, joined: tuple[Wire, Gateway]) -> None:
        """A process of ``advisor serve --demo``; what the script says was read by a person against the flow."""
        file = UNSEEN / "cowpea.pt.txt"

        played = play(read(file.read_text(encoding="utf-8"), file.name), *joined)

        assert played.differences == ()
        assert len(played.seen) > 30
