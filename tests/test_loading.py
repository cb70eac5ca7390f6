"""Files of an author's own: found where they were said to be, and named in faults as the author named them."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from advisor.dialogue.faults import Fault, Faulty
from advisor.loading import NotThere, load_book

HOME = Path(__file__).parent.parent
ULAMI = HOME / "advisor" / "programmes" / "ulami.toml"


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An author's folder with copies of everything, from which commands are given."""
    shutil.copytree(HOME / "flows", tmp_path / "mine")
    shutil.copytree(HOME / "locales", tmp_path / "words")
    shutil.copy(ULAMI, tmp_path / "place.toml")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def change(file: Path, old: str, new: str) -> None:
    text = file.read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new), encoding="utf-8")


def faults(**places: str) -> tuple[Fault, ...]:
    with pytest.raises(Faulty) as refused:
        load_book(**places)
    return refused.value.faults


def test_copies_of_the_shipped_files_make_the_same_book(desk: Path) -> None:
    assert load_book("place.toml", "mine", "words").fingerprint == load_book().fingerprint


def test_a_flow_of_ones_own_is_the_one_that_is_told(desk: Path) -> None:
    change(desk / "mine" / "measure_field.yaml", 'high: 2000, example: "60"', 'high: 1999, example: "60"')

    assert load_book(flows="mine").fingerprint != load_book().fingerprint


class TestAFaultNames:
    @pytest.mark.parametrize("given", ["mine", "./mine/", "{desk}/mine"])
    def test_a_flow_file_as_the_author_did(self, desk: Path, given: str) -> None:
        change(desk / "mine" / "welcome.yaml", "to: agreed_before", "to: nowhere")
        given = given.format(desk=desk)

        fault = faults(flows=given)[0]

        assert fault.file == str(Path(given, "welcome.yaml"))
        assert fault.line > 0

    def test_a_flow_file_that_is_no_yaml(self, desk: Path) -> None:
        (desk / "mine" / "welcome.yaml").write_text("flow: [", encoding="utf-8")

        assert faults(flows="mine")[0].file == "mine/welcome.yaml"

    def test_a_catalog(self, desk: Path) -> None:
        change(desk / "words" / "sw.po", 'msgstr "0 Rudi"', 'msgstr ""')

        assert {fault.file for fault in faults(locales="words")} == {"words/sw.po"}

    def test_a_catalog_that_breaks_off_inside_a_line(self, desk: Path) -> None:
        text = (desk / "words" / "sw.po").read_text(encoding="utf-8")
        (desk / "words" / "sw.po").write_text(text[: text.index('msgstr "0 Rudi') + 12], encoding="utf-8")

        (fault,) = faults(locales="words")
        assert (fault.file, fault.line > 0) == ("words/sw.po", True)

    @pytest.mark.parametrize("file", ["sw.po", "hi.glossary.toml"])
    def test_a_file_that_is_not_there(self, desk: Path, file: str) -> None:
        (desk / "words" / file).unlink()

        (fault,) = faults(locales="words")
        assert (fault.file, fault.what) == (f"words/{file}", "cannot be read")

    @pytest.mark.parametrize("file", ["mine/welcome.yaml", "words/sw.po", "words/en.glossary.toml"])
    def test_a_file_in_other_letters_than_utf_8(self, desk: Path, file: str) -> None:
        (desk / file).write_bytes(b"\xff\xfe")

        assert faults(flows="mine", locales="words")[0] == Fault(
            file, 0, "is not written in UTF-8", "save it as UTF-8"
        )

    def test_a_glossary_with_the_line_that_is_no_toml(self, desk: Path) -> None:
        (desk / "words" / "sw.glossary.toml").write_text('language = "sw"\nown_name Kiswahili', encoding="utf-8")

        (fault,) = faults(locales="words")
        assert (fault.file, fault.line) == ("words/sw.glossary.toml", 2)

    def test_a_programme_with_each_thing_that_it_lacks(self, desk: Path) -> None:
        (desk / "place.toml").write_text('key = "x"', encoding="utf-8")

        found = faults(programme="place.toml")
        assert {fault.file for fault in found} == {"place.toml"}
        assert len(found) > 10

    def test_a_programme_whose_currency_no_phone_shows(self, desk: Path) -> None:
        change(desk / "place.toml", 'symbol = "Ul"', 'symbol = "₿"')

        assert "words/en.glossary.toml" in {
            fault.file for fault in faults(programme="place.toml", locales="words")
        }

    def test_everything_at_once(self, desk: Path) -> None:
        (desk / "mine" / "welcome.yaml").write_text("flow: [", encoding="utf-8")
        (desk / "words" / "hi.po").write_text("nothing", encoding="utf-8")
        (desk / "words" / "sw.glossary.toml").write_text("nothing", encoding="utf-8")

        named = [fault.file for fault in faults(flows="mine", locales="words")]
        assert named == ["mine/welcome.yaml", "words/sw.glossary.toml", "words/hi.po"]


@pytest.mark.parametrize(
    ("place", "said"),
    [
        ({"flows": "missing"}, "SOWING_FLOWS names a folder that cannot be read: give a folder of flows"),
        ({"flows": "place.toml"}, "SOWING_FLOWS names a folder that cannot be read: give a folder of flows"),
        ({"locales": "missing"}, "SOWING_LOCALES names a folder that cannot be read: give a folder of locales"),
        (
            {"programme": "missing"},
            "SOWING_PROGRAMME names a file that cannot be read: give a programme file",
        ),
    ],
)
def test_what_is_not_there_is_said_in_one_line(desk: Path, place: dict[str, str], said: str) -> None:
    with pytest.raises(NotThere) as refused:
        load_book(**place)

    assert str(refused.value) == said
