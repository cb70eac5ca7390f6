"""While an author drafts: what is not translated yet is told and said in English; all else stays a fault."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.app import book_at
from advisor.commands.exits import Exit
from advisor.dialogue.book import Book
from advisor.dialogue.faults import Faulty
from advisor.dialogue.talk import Spot
from advisor.loading import load_book
from advisor.settings import Settings
from advisor.wording.segments import Alphabet, cost
from tests.desk import Desk, desk_in
from tests.dialogue.talker import Talker
from tests.test_cli import run
from tests.test_reloading import Demonstration

OLD, NEW = "Now walk the short side.", "Now walk the short side, along the path where the goats graze."


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    """A desk at which one sentence has just been changed, in English only."""
    desk = desk_in(tmp_path)
    desk.change("flows/measure_field.yaml", OLD, NEW)
    return desk


def draft(desk: Desk) -> Book:
    return load_book(*desk.settings.values(), drafting=True)


def at_the_short_side(book: Book, language: str) -> Talker:
    talker = Talker(book)
    talker.dial()
    number = list(book.voices).index(language) + 1
    talker.type(str(number), "2", "1", "1", "0", "25", "60")
    assert talker.spot == "measure_field.short_side"
    return talker


@pytest.mark.parametrize("language", ["hi", "sw", "fr"])
class TestAScreenThatIsNotTranslated:
    def test_is_said_in_english_to_its_last_line(self, desk: Desk, language: str) -> None:
        talker = at_the_short_side(draft(desk), language)

        assert talker.reply.text == f"{NEW}\nHow many steps?\n0 Back"

    def test_takes_answers_and_leads_on_in_its_own_language(self, desk: Desk, language: str) -> None:
        book = draft(desk)
        talker = at_the_short_side(book, language)

        shown = talker.type("45") + talker.type("9")

        assert talker.spot == "measure_field.result"
        right = book.voices[language].say("measure_field.result", "Right")
        assert f"1 {right}" in shown

    def test_gives_its_reasons_and_help_in_english(self, desk: Desk, language: str) -> None:
        talker = at_the_short_side(draft(desk), language)

        assert talker.type("many").startswith("Type a number, like 45.\n")
        assert talker.type("?").startswith("Type one number and send. 00 is the menu.\n")

    def test_is_told_with_file_and_line(self, desk: Desk, language: str) -> None:
        told = [warning for warning in draft(desk).warnings if warning.language == language]

        assert {(warning.screen, warning.untranslated) for warning in told} == {("measure_field.short_side", True)}
        missing = next(warning for warning in told if "not translated" in warning.what)
        assert missing.file == str(desk.home / "flows/measure_field.yaml")
        assert missing.line == desk.read("flows/measure_field.yaml").partition(NEW)[0].count("\n")
        stale = next(warning for warning in told if "no screen says" in warning.what)
        assert stale.file == str(desk.home / f"locales/{language}.po")

    def test_is_a_fault_where_nobody_drafts(self, desk: Desk, language: str) -> None:
        with pytest.raises(Faulty) as refused:
            load_book(*desk.settings.values())

        assert language in {fault.language for fault in refused.value.faults}


class TestWidths:
    def test_of_a_draft_are_the_english_ones_in_hindi_too(self, desk: Desk) -> None:
        layout = draft(desk).layout(Spot("measure_field", "short_side"), "hi", "")

        assert cost(layout.widest[0], Alphabet.UCS2) > 70, "as Hindi it would not fit"
        assert len(layout.pages) == 1

    def test_that_do_not_fit_in_english_stay_a_fault(self, desk: Desk) -> None:
        desk.change("flows/measure_field.yaml", NEW, "far " * 60)

        with pytest.raises(Faulty) as refused:
            draft(desk)
        assert {(fault.screen, fault.language) for fault in refused.value.faults} == {
            ("measure_field.short_side", "en")
        }


class TestWhatStaysAFault:
    CHANGES = (
        ("locales/sw.po", "kama %(example)s", "kama %(exampel)s"),
        ("locales/sw.po", "Plural-Forms: nplurals=2", "Plural-Forms: nplurals=3"),
        ("locales/sw.po", 'msgstr "0 Rudi"', 'msgstr "0 Rudi ĝ"'),
        ("flows/measure_field.yaml", "to: short_side", "to: nowhere"),
        ("place.toml", 'symbol = "Ul"', "symbol = 3"),
    )

    @pytest.mark.parametrize(("file", "old", "new"), CHANGES)
    def test_is_refused(self, desk: Desk, file: str, old: str, new: str) -> None:
        desk.change(file, old, new)

        with pytest.raises(Faulty) as refused:
            draft(desk)
        assert not any(fault.untranslated for fault in refused.value.faults)


class TestOtherWaysToBeBehind:
    ENTRY = 'msgctxt "measure_field.result"\nmsgid "Measure again"\nmsgstr "'

    @pytest.mark.parametrize(
        ("new", "language"),
        [("#, fuzzy\n" + ENTRY, "sw"), (ENTRY + '"\n# "', "fr")],
        ids=["not confirmed", "empty"],
    )
    def test_are_warnings_too(self, tmp_path: Path, new: str, language: str) -> None:
        desk = desk_in(tmp_path)
        desk.change(f"locales/{language}.po", self.ENTRY, new)

        book = draft(desk)

        assert {(warning.screen, warning.language) for warning in book.warnings} == {
            ("measure_field.result", language)
        }
        assert book.in_english == {(Spot("measure_field", "result"), language)}

    def test_a_whole_new_language_is_english_until_it_is_translated(self, tmp_path: Path) -> None:
        desk = desk_in(tmp_path)
        head, _, _ = desk.read("locales/hi.po").partition("\n\n")
        desk.write("locales/hi.po", head + "\n")

        book = draft(desk)
        talker = Talker(book)
        talker.dial()

        shown = talker.type(str(list(book.voices).index("hi") + 1))
        assert shown.startswith("May we keep your number and answers, to help you better?")
        assert (
            book.stopped("hi")
            == "You get no more messages from us. To start again, write START, or call and say yes."
        )

    def test_a_programme_without_english_drafts_in_english_all_the_same(self, desk: Desk) -> None:
        desk.change("place.toml", 'languages = ["en", ', "languages = [")
        book = draft(desk)

        assert "en" not in book.voices
        assert at_the_short_side(book, "hi").reply.text.startswith(NEW)


def test_nothing_is_told_of_what_is_translated() -> None:
    book = load_book(drafting=True)

    assert (book.warnings, book.in_english) == ((), frozenset())
    assert book.fingerprint == load_book().fingerprint


class TestTheCommand:
    def check(self, desk: Desk, monkeypatch: pytest.MonkeyPatch, *options: str) -> int:
        for name, value in desk.settings.items():
            monkeypatch.setenv(name, value)
        return run("flows", "check", *options)

    def test_refuses_a_draft(self, desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
        assert self.check(desk, monkeypatch) == Exit.PROBLEMS

    def test_lists_its_warnings_where_it_is_told_to_draft(
        self, desk: Desk, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
    ) -> None:
        assert self.check(desk, monkeypatch, "--drafting") == Exit.DONE

        shown = capsys.readouterr().out.splitlines()
        told = [line.split()[0] for line in shown if "measure_field.short_side" in line]
        places = {(fault.file, fault.line) for fault in draft(desk).warnings}
        assert sorted(told) == sorted(str(line) for _, line in places)
        assert {file for file, _ in places} <= set(shown)
        assert all(len(line) <= 80 for line in shown if line.startswith(" "))

    def test_a_text_that_several_languages_lack_is_told_once(
        self, desk: Desk, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
    ) -> None:
        lacking = [fault for fault in draft(desk).warnings if " is not translated into " in fault.what]
        assert len({fault.language for fault in lacking}) == 3

        self.check(desk, monkeypatch, "--drafting")

        shown = " ".join(capsys.readouterr().out.split())
        assert shown.count("is not translated into") == len({(fault.line, fault.screen) for fault in lacking})
        assert "is not translated into fr, hi, sw" in shown


def test_a_demonstration_takes_a_draft_and_an_installation_does_not(desk: Desk) -> None:
    assert book_at(Settings.from_env(desk.settings, demo=True)).warnings
    with pytest.raises(Faulty):
        book_at(Settings.from_env(desk.settings | {"SOWING_ID_SECRET": "a secret of the tests, long enough"}))


def test_a_changed_sentence_is_seen_live_and_told(desk: Desk) -> None:
    """What an author sees beside the phone: the book is in use, its warnings say what is left to translate."""
    demonstration = Demonstration(desk)
    told = demonstration.settle()

    assert told["faults"] == []
    assert {warning["screen"] for warning in told["warnings"]} == {"measure_field.short_side"}
