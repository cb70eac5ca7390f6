"""Files of an author's own: found where they were said to be, and named in faults as the author named them."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from advisor.dialogue.faults import Fault, Faulty
from advisor.loading import NotThere, folder_of, load_book, load_onset_rules
from tests.desk import Desk, desk_in


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Desk:
    """An author's desk, at which commands are given."""
    monkeypatch.chdir(tmp_path)
    return desk_in(tmp_path)


def faults(**places: str) -> tuple[Fault, ...]:
    with pytest.raises(Faulty) as refused:
        load_book(**places)
    return refused.value.faults


def test_copies_of_the_shipped_files_make_the_same_book(desk: Desk) -> None:
    assert load_book("place.toml", "flows", "locales").fingerprint == load_book().fingerprint


def test_a_flow_of_ones_own_is_the_one_that_is_told(desk: Desk) -> None:
    desk.change(
        "flows/measure_field.yaml",
        'high: 2000, unit: step, example: "60"',
        'high: 1999, unit: step, example: "60"',
    )

    assert load_book(flows="flows").fingerprint != load_book().fingerprint


def test_an_editor_s_lock_beside_an_open_file_is_no_flow(desk: Desk) -> None:
    (desk.home / "flows" / ".#welcome.yaml").symlink_to("somebody@a-machine.4711")
    (desk.home / "locales" / ".sw.po").write_bytes(b"\xff")

    assert load_book("place.toml", "flows", "locales").fingerprint == load_book().fingerprint


class TestAFaultNames:
    @pytest.mark.parametrize("given", ["flows", "./flows/", "{desk.home}/flows"])
    def test_a_flow_file_as_the_author_did(self, desk: Desk, given: str) -> None:
        desk.change("flows/welcome.yaml", "to: agreed_before", "to: nowhere")
        given = given.format(desk=desk)

        fault = faults(flows=given)[0]

        assert fault.file == str(Path(given, "welcome.yaml"))
        assert fault.line > 0

    def test_a_flow_file_that_is_no_yaml(self, desk: Desk) -> None:
        desk.write("flows/welcome.yaml", "flow: [")

        assert faults(flows="flows")[0].file == "flows/welcome.yaml"

    def test_a_catalog(self, desk: Desk) -> None:
        desk.change("locales/sw.po", 'msgstr "0 Rudi"', 'msgstr ""')

        assert {fault.file for fault in faults(locales="locales")} == {"locales/sw.po"}

    def test_a_catalog_that_breaks_off_inside_a_line(self, desk: Desk) -> None:
        text = desk.read("locales/sw.po")
        desk.write("locales/sw.po", text[: text.index('msgstr "0 Rudi') + 12])

        (fault,) = faults(locales="locales")
        assert (fault.file, fault.line > 0) == ("locales/sw.po", True)

    @pytest.mark.parametrize("file", ["sw.po", "hi.glossary.toml"])
    def test_a_file_that_is_not_there(self, desk: Desk, file: str) -> None:
        (desk.home / "locales" / file).unlink()

        (fault,) = faults(locales="locales")
        assert (fault.file, fault.what) == (f"locales/{file}", "cannot be read")

    @pytest.mark.parametrize("file", ["flows/welcome.yaml", "locales/sw.po", "locales/en.glossary.toml"])
    def test_a_file_in_other_letters_than_utf_8(self, desk: Desk, file: str) -> None:
        (desk.home / file).write_bytes(b"\xff\xfe")

        assert faults(flows="flows", locales="locales")[0] == Fault(
            file, 1, "is not written in UTF-8", "save it as UTF-8"
        )

    def test_a_glossary_with_the_line_that_is_no_toml(self, desk: Desk) -> None:
        desk.write("locales/sw.glossary.toml", 'language = "sw"\nown_name Kiswahili')

        (fault,) = faults(locales="locales")
        assert (fault.file, fault.line) == ("locales/sw.glossary.toml", 2)

    def test_a_programme_with_each_thing_that_it_lacks(self, desk: Desk) -> None:
        desk.write("place.toml", 'key = "x"')

        found = faults(programme="place.toml")
        assert {fault.file for fault in found} == {"place.toml"}
        assert len(found) > 10

    def test_a_programme_whose_currency_no_phone_shows(self, desk: Desk) -> None:
        desk.change("place.toml", 'symbol = "Ul"', 'symbol = "₿"')

        found = [(fault.file, "₿" in fault.what) for fault in faults(programme="place.toml", locales="locales")]
        assert found == [("place.toml", True)] * 3, "in each language that travels in septets"

    def test_everything_at_once(self, desk: Desk) -> None:
        desk.write("flows/welcome.yaml", "flow: [")
        desk.write("locales/hi.po", "nothing")
        desk.write("locales/sw.glossary.toml", "nothing")

        named = [fault.file for fault in faults(flows="flows", locales="locales")]
        assert named == ["flows/welcome.yaml", "locales/hi.po", "locales/sw.glossary.toml"]


@pytest.mark.parametrize(
    ("place", "said"),
    [
        (
            {"flows": "missing"},
            "--flows or SOWING_FLOWS names a folder that cannot be read: give a folder of flows",
        ),
        (
            {"flows": "place.toml"},
            "--flows or SOWING_FLOWS names a folder that cannot be read: give a folder of flows",
        ),
        (
            {"flows": "locales"},
            "--flows or SOWING_FLOWS names a folder without *.yaml files: give a folder of flows",
        ),
        (
            {"locales": "missing"},
            "--locales or SOWING_LOCALES names a folder that cannot be read: give a folder of locales",
        ),
        (
            {"programme": "missing"},
            "--programme or SOWING_PROGRAMME names a file that cannot be read: give a programme file",
        ),
    ],
)
def test_what_is_not_there_is_said_in_one_line(desk: Desk, place: dict[str, str], said: str) -> None:
    with pytest.raises(NotThere) as refused:
        load_book(**place)

    assert str(refused.value) == said


@pytest.mark.parametrize("option", ["flows", "locales"])
def test_a_folder_that_one_may_not_look_into_is_said_in_one_line(
    desk: Desk, monkeypatch: pytest.MonkeyPatch, option: str
) -> None:
    def shut(_: Path) -> Iterator[Path]:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "iterdir", shut)
    monkeypatch.setattr(Path, "is_dir", shut)

    with pytest.raises(NotThere, match="folder that cannot be read"):
        folder_of("shut", option, ".yaml")


def test_the_shipped_programme_names_onset_rules_that_there_are() -> None:
    rules = load_onset_rules()
    seasons = load_book().programme.seasons

    assert seasons
    assert all(rules.rule(season.onset_rule).key == season.onset_rule for season in seasons)
