"""``advisor catalog``: texts for translators, catalogs brought up to the flows, and everything wrong in them."""

from __future__ import annotations

import io
import re
import shutil
import subprocess
import sys
from pathlib import Path

import polib
import pytest
from babel.messages.extract import extract_from_file
from babel.messages.pofile import read_po as read_by_babel

from advisor.commands.exits import Exit
from tests.test_cli import run

HOME = Path(__file__).parents[1]
CATALOGS = sorted(path.name for path in (HOME / "locales").glob("*.po"))
LINES = re.compile(r"(?m)^(#: .*):\d+$")

TEA = """\
flow: welcome
version: 1
start: sugar
screens:
  sugar:
    # Spoons are heaped here.
    say: |-
      How many spoons for %(area)s?
      Like 2
    help: "A heaped spoon counts as two."
    work: picture
    choices:
      - {say: "Two", to: bye}
      # Not said to children.
      - {say: "Three", to: bye}
  bye:
    menu: "yes"
    say:
      count: seeds
      one: "%(seeds)s spoon."
      other: "%(seeds)s spoons."
    work: sowing
    choices:
      - {say: "Two", to: bye}
"""


@pytest.fixture
def tea(tmp_path: Path) -> Path:
    """A folder with a flow and with the shipped glossaries, but for catalogs."""
    (tmp_path / "flows").mkdir()
    (tmp_path / "locales").mkdir()
    (tmp_path / "flows" / "welcome.yaml").write_text(TEA, "utf-8")
    for file in (HOME / "locales").glob("*.toml"):
        shutil.copy(file, tmp_path / "locales")
    return tmp_path


def of(folder: Path) -> tuple[str, ...]:
    return "--flows", str(folder / "flows"), "--locales", str(folder / "locales")


def begun(folder: Path, **texts: str) -> Path:
    """The Swahili catalog of the tea; every text is translated as itself, but for those given by their English."""
    assert run("catalog", "update", "sw", *of(folder)) == Exit.DONE
    file = folder / "locales" / "sw.po"
    catalog = polib.pofile(str(file), wrapwidth=0)
    for entry in catalog:
        entry.msgstr = "" if entry.msgid_plural else texts.get(entry.msgid, entry.msgid)
        entry.msgstr_plural = {0: entry.msgid, 1: entry.msgid_plural} if entry.msgid_plural else {}
    catalog.save(str(file))
    assert run("catalog", "update", "sw", *of(folder)) == Exit.DONE
    return file


class TestExtract:
    def test_writes_every_text_with_context_place_and_notes(
        self, capsys: pytest.CaptureFixture[str], tea: Path
    ) -> None:
        assert run("catalog", "extract", *of(tea)) == Exit.DONE

        shown = capsys.readouterr().out
        found = {(entry.msgctxt, entry.msgid): entry for entry in polib.pofile(shown)}
        question = found["welcome.sugar", "How many spoons for %(area)s?\nLike 2"]
        assert question.occurrences == [(str(tea / "flows" / "welcome.yaml"), "7")]
        assert "Spoons are heaped here." in question.comment
        assert "%(area)s at its widest: 19.99 acres (11)" in question.comment
        assert "159 septets" in question.comment
        assert "Not said to children." in found["welcome.sugar", "Three"].comment
        assert "Not said to children." not in found["welcome.sugar", "Two"].comment
        assert found["welcome.bye", "%(seeds)s spoon."].msgid_plural == "%(seeds)s spoons."
        assert ("welcome.sugar", "A heaped spoon counts as two.") in found
        assert ("engine", "0 Back") in found

    def test_gives_the_same_file_for_the_same_texts(self, tmp_path: Path) -> None:
        for name in ("a.pot", "b.pot"):
            assert run("catalog", "extract", "--out", str(tmp_path / name)) == Exit.DONE

        assert (tmp_path / "a.pot").read_bytes() == (tmp_path / "b.pot").read_bytes()
        assert b"Date" not in (tmp_path / "a.pot").read_bytes()

    def test_of_a_flow_that_cannot_be_read_names_the_fault(
        self, capsys: pytest.CaptureFixture[str], tea: Path
    ) -> None:
        (tea / "flows" / "welcome.yaml").write_text(TEA.replace("  bye:", "  bye: :"), "utf-8")

        assert run("catalog", "extract", *of(tea)) == Exit.PROBLEMS
        assert "welcome.yaml:" in capsys.readouterr().err

    def test_into_a_folder_that_is_not_there_is_wrong_usage(self, tmp_path: Path) -> None:
        assert run("catalog", "extract", "--out", str(tmp_path / "none" / "a.pot")) == Exit.WRONG_USAGE


class TestTheExtractionMethod:
    def test_gives_babel_the_same_texts(self, tea: Path, tmp_path: Path) -> None:
        """``pybabel extract`` is a program of its own; it knows no programme, so it tells no widths."""
        mapping = tmp_path / "mapping"
        mapping.write_text("[sowing_flow: **.yaml]\n", "utf-8")
        program = Path(sys.executable).with_name("pybabel")
        by_babel = tmp_path / "babel.pot"
        command = [str(program), "extract", "-F", str(mapping), "-o", str(by_babel), "--no-wrap", "flows"]
        subprocess.run(command, cwd=HOME, check=True, capture_output=True)
        assert run("catalog", "extract", "--out", str(tmp_path / "ours.pot")) == Exit.DONE

        def texts(file: Path) -> dict[tuple[str, str, str], list[tuple[str, str]]]:
            return {
                (entry.msgctxt, entry.msgid, entry.msgid_plural): sorted(entry.occurrences)
                for entry in polib.pofile(str(file))
                if entry.msgctxt != "engine"
            }

        assert len(texts(by_babel)) > 100
        assert texts(by_babel) == texts(tmp_path / "ours.pot")

    def test_hands_on_the_authors_comments(self, tea: Path) -> None:
        found = list(extract_from_file("sowing_flow", tea / "flows" / "welcome.yaml"))

        line, text, comments, context = found[0]
        assert (line, text, context) == (7, "How many spoons for %(area)s?\nLike 2", "welcome.sugar")
        assert comments[0] == "Spoons are heaped here."


class TestUpdate:
    def test_leaves_the_shipped_catalogs_as_they_are_but_for_lines(self, tmp_path: Path) -> None:
        """Whoever changes a flow runs ``advisor catalog update``; that lines moved is no change of a catalog."""
        shutil.copytree(HOME / "locales", tmp_path / "locales")
        assert run("catalog", "update", "--locales", str(tmp_path / "locales")) == Exit.DONE

        for name in CATALOGS:
            before = (HOME / "locales" / name).read_text("utf-8")
            after = (tmp_path / "locales" / name).read_text("utf-8")
            assert LINES.sub(r"\1", after) == LINES.sub(r"\1", before), f"run: advisor catalog update ({name})"

    def test_begins_a_catalog_that_is_named_and_not_there(
        self, capsys: pytest.CaptureFixture[str], tea: Path
    ) -> None:
        assert run("catalog", "update", "fr", "pt", *of(tea)) == Exit.DONE

        assert "pt: 0 of" in capsys.readouterr().out
        assert (
            polib.pofile(str(tea / "locales" / "pt.po")).metadata["Plural-Forms"] == "nplurals=2; plural=(n > 1);"
        )

    def test_twice_changes_nothing_more(self, capsys: pytest.CaptureFixture[str], tea: Path) -> None:
        file = begun(tea, Two="Mbili")
        before = file.stat().st_mtime_ns, file.read_bytes()
        capsys.readouterr()

        assert run("catalog", "update", *of(tea)) == Exit.DONE
        assert (file.stat().st_mtime_ns, file.read_bytes()) == before
        assert "as it was" in capsys.readouterr().out

    def test_of_a_changed_flow_offers_the_old_and_keeps_what_is_gone(self, tea: Path) -> None:
        file = begun(tea, Two="Mbili", Three="Tatu")
        changed = TEA.replace("A heaped spoon counts as two.", "A heaped spoon counts as three.").replace(
            "Three", "None at all"
        )
        (tea / "flows" / "welcome.yaml").write_text(changed, "utf-8")
        assert run("catalog", "update", *of(tea)) == Exit.DONE

        found = polib.pofile(str(file))
        by_text = {(entry.msgctxt, entry.msgid): entry for entry in found if not entry.obsolete}
        spoon = by_text["welcome.sugar", "A heaped spoon counts as three."]
        assert (spoon.fuzzy, spoon.previous_msgid) == (True, "A heaped spoon counts as two.")
        assert by_text["welcome.sugar", "None at all"].msgstr == ""
        assert by_text["welcome.sugar", "Two"].msgstr == "Mbili"
        assert [(entry.msgid, entry.msgstr) for entry in found.obsolete_entries()] == [("Three", "Tatu")]
        assert len(read_by_babel(io.StringIO(file.read_text("utf-8"))).obsolete) == 1

    @pytest.mark.parametrize(
        ("damage", "said"),
        [
            (lambda text: text.replace("msgid", "<<<<<<< HEAD\nmsgid", 1), "is no line of a PO file"),
            (lambda text: text + '\nmsgctxt "welcome.sugar"\nmsgid "Two"\nmsgstr "Pili"\n', "already: keep one"),
        ],
        ids=["a conflict left in it", "one text twice"],
    )
    def test_touches_no_catalog_where_one_is_damaged(
        self, capsys: pytest.CaptureFixture[str], tea: Path, damage, said: str
    ) -> None:
        file = begun(tea)
        assert run("catalog", "update", "fr", *of(tea)) == Exit.DONE
        french = (tea / "locales" / "fr.po").read_text("utf-8").replace("Two", "Deux")
        (tea / "locales" / "fr.po").write_text(french, "utf-8")
        file.write_text(damage(file.read_text("utf-8")), "utf-8")
        damaged = file.read_text("utf-8")

        assert run("catalog", "update", *of(tea)) == Exit.PROBLEMS
        assert said in capsys.readouterr().err
        assert (file.read_text("utf-8"), (tea / "locales" / "fr.po").read_text("utf-8")) == (damaged, french)

    def test_of_a_flow_that_cannot_be_read_touches_no_catalog(self, tea: Path) -> None:
        file = begun(tea, Two="Mbili")
        before = file.read_bytes()
        (tea / "flows" / "welcome.yaml").write_text(TEA.replace('"Two", to', '"Two", too'), "utf-8")

        assert run("catalog", "update", *of(tea)) == Exit.PROBLEMS
        assert file.read_bytes() == before

    @pytest.mark.parametrize("language", ["xx", "en"])
    def test_of_a_language_that_cannot_be_is_wrong_usage(self, tea: Path, language: str) -> None:
        assert run("catalog", "update", language, *of(tea)) == Exit.WRONG_USAGE
        assert not (tea / "locales" / f"{language}.po").exists()


class TestCheck:
    def test_of_the_shipped_catalogs_finds_nothing(self, capsys: pytest.CaptureFixture[str]) -> None:
        assert run("catalog", "check") == Exit.DONE

        shown = capsys.readouterr().out
        for name in CATALOGS:
            line = next(line for line in shown.splitlines() if line.startswith(f"  {name.removesuffix('.po')}:"))
            assert "(100 %), draft; fuzzy 0, empty 0" in line
            assert line.endswith("faults 0")

    @pytest.mark.parametrize(
        ("old", "new", "said"),
        [
            (
                'msgstr ""\n"How many spoons for %(area)s?',
                'msgstr ""\n"How many spoons?',
                "does not name %(area)s",
            ),
            ('msgstr[1] "%(seeds)s spoons."', 'msgstr[1] "spoons."', "form 1 does not name %(seeds)s"),
            ('msgstr[1] "%(seeds)s spoons."', 'msgstr[1] "%(seed)s spoons."', "names %(seed)s, which the English"),
            ('\nmsgstr[1] "%(seeds)s spoons."', "", "has an empty text"),
            ('msgstr "Three"', 'msgstr "Tatu ç"', "holds ç"),
            ('msgstr "Three"', 'msgstr ""', "has an empty text"),
            (
                'msgctxt "welcome.sugar"\nmsgid "Three"',
                '#, fuzzy\nmsgctxt "welcome.sugar"\nmsgid "Three"',
                "is fuzzy",
            ),
            ('msgid "Three"', 'msgid "Four"', "no screen says 'Four' any more"),
            ("plural=(n != 1)", "plural=(n > 1)", "Plural-Forms is not the rule of sw"),
            ('"Language: sw', '"Language: hi', "write sw"),
        ],
    )
    def test_names_what_is_wrong_with_file_and_line(
        self, capsys: pytest.CaptureFixture[str], tea: Path, old: str, new: str, said: str
    ) -> None:
        file = begun(tea)
        text = file.read_text("utf-8")
        assert old in text
        file.write_text(text.replace(old, new), "utf-8")
        capsys.readouterr()

        assert run("catalog", "check", "sw", *of(tea)) == Exit.PROBLEMS
        shown = capsys.readouterr()
        fault = next(line for line in shown.err.splitlines() if said in line.replace("': ", "' "))
        number = int(re.search(r"sw\.po:(\d+) ", fault)[1])
        assert 1 <= number <= len(file.read_text("utf-8").splitlines())
        assert "faults 0" not in shown.out

    def test_finds_a_value_that_babels_own_check_lets_go(self, tea: Path) -> None:
        file = begun(tea)
        dropped = file.read_text("utf-8").replace('msgstr[0] "%(seeds)s spoon."', 'msgstr[0] "spoon."')
        file.write_text(dropped, "utf-8")
        by_babel = read_by_babel(io.StringIO(dropped), locale="sw")

        assert "python-format" in next(message for message in by_babel if message.pluralizable).flags
        assert list(by_babel.check()) == []
        assert run("catalog", "check", "sw", *of(tea)) == Exit.PROBLEMS

    def test_looks_at_a_language_that_the_programme_does_not_serve(
        self, capsys: pytest.CaptureFixture[str], tea: Path
    ) -> None:
        assert run("catalog", "update", "pt", *of(tea)) == Exit.DONE
        capsys.readouterr()

        assert run("catalog", "check", "pt", *of(tea)) == Exit.PROBLEMS
        shown = capsys.readouterr()
        assert "pt: 0 of" in shown.out
        assert "has an empty text: translate it" in shown.err

    def test_tells_faults_of_the_glossary_too(self, capsys: pytest.CaptureFixture[str], tea: Path) -> None:
        begun(tea)
        glossary = tea / "locales" / "sw.glossary.toml"
        glossary.write_text(glossary.read_text("utf-8").replace('step = ["hatua"]', "step = []"), "utf-8")

        assert run("catalog", "check", "sw", *of(tea)) == Exit.PROBLEMS
        assert "sw.glossary.toml:" in capsys.readouterr().err

    def test_of_a_catalog_that_is_not_there_says_how_it_is_begun(
        self, capsys: pytest.CaptureFixture[str], tea: Path
    ) -> None:
        assert run("catalog", "check", "pt", *of(tea)) == Exit.WRONG_USAGE
        assert "advisor catalog update pt" in capsys.readouterr().err
