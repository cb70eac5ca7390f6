"""A demonstration follows its files: what passes the checker is in force, what does not is told."""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import UTC, datetime
from itertools import count
from pathlib import Path
from typing import Any

import httpx
import pytest
from flask.testing import FlaskClient

import advisor
from advisor.app import EDITIONS, book_at, create_app
from advisor.commands.inprocess import running_in_process
from advisor.dialogue.faults import Fault, Faulty
from advisor.loading import files_of, load_book
from advisor.reloading import Editions, stamps_at
from advisor.service.talking import Edition
from advisor.settings import Settings
from advisor.store.memory import DictStore
from tests.desk import Desk, desk_in
from tests.gateway.bodies import ANN, AT, ussd
from tests.service.stage import NOW, StandingClock, dialogues, echo


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return desk_in(tmp_path)


class Demonstration:
    """A demonstration on an author's desk, and one phone; the watch looks when it is told to."""

    def __init__(self, desk: Desk) -> None:
        app = create_app(Settings.from_env(desk.settings, demo=True), store=DictStore(), clock=StandingClock())
        self.client: FlaskClient = app.test_client()
        self.editions: Editions = app.extensions[EDITIONS]
        self._ids = count(1)

    def dial(self) -> str:
        return self._ussd("begin", "")

    def type(self, *answers: str) -> str:
        for answer in answers:
            shown = self._ussd("answer", answer)
        return shown

    def _ussd(self, event: str, typed: str) -> str:
        response = self.client.post("/gateway/ussd", json=ussd(id=f"m{next(self._ids)}", event=event, input=typed))
        assert response.status_code == 200
        return response.get_json()["text"]

    def settle(self) -> dict[str, Any]:
        """Two looks, as the watch takes them after a change; then what an author is told of the book."""
        self.editions.look()
        self.editions.look()
        return self.client.get("/demo/book").get_json()

    def session(self) -> dict[str, Any]:
        return self.client.get("/demo/session", query_string={"from": ANN}).get_json()


def test_what_is_changed_while_the_book_is_being_proven_is_taken_up(desk: Desk) -> None:
    settings = Settings.from_env(desk.settings, demo=True)
    as_read, book = stamps_at(settings), book_at(settings)
    everywhere(desk, ACRES, "What size in %(unit)s is your field?")

    app = create_app(settings, book=book, as_read=as_read, store=DictStore(), clock=StandingClock())
    editions: Editions = app.extensions[EDITIONS]
    editions.look()

    assert editions.now().faults == ()
    assert editions.now().book.fingerprint != book.fingerprint


@pytest.fixture
def demonstration(desk: Desk) -> Demonstration:
    return Demonstration(desk)


ACRES = "How many %(unit)s is your field?"
TO_ACRES = ("1", "2", "2", "1")  # English, no consent, second village, what to buy


def everywhere(desk: Desk, old: str, new: str) -> None:
    """Changes an English text in its flow and, as its author must, in every catalog."""
    desk.change("flows/buy_list.yaml", old, new)
    for file in sorted((desk.home / "locales").glob("*.po")):
        desk.change(f"locales/{file.name}", old, new)


class TestAChangedText:
    def test_is_on_the_same_screen_from_the_next_message_on(
        self, desk: Desk, demonstration: Demonstration
    ) -> None:
        demonstration.dial()
        assert "How many acres is your field?" in demonstration.type(*TO_ACRES)
        before = demonstration.session()

        everywhere(desk, ACRES, "How many %(unit)s do you sow?")
        told = demonstration.settle()
        shown = demonstration.type("?")

        assert "How many acres do you sow?" in shown
        assert told["faults"] == []
        assert told["fingerprint"] != before["book"]
        after = demonstration.session()
        assert after["book"] == told["fingerprint"]
        assert after["session"]["spots"] == before["session"]["spots"]

    def test_takes_the_answer_to_the_question_it_asks(self, desk: Desk, demonstration: Demonstration) -> None:
        demonstration.dial()
        demonstration.type(*TO_ACRES)
        everywhere(desk, ACRES, "How many %(unit)s do you sow?")
        demonstration.settle()

        assert demonstration.type("2.5").startswith("2.5 acres: as big as")

    def test_is_not_taken_up_before_it_stayed_for_a_look(self, desk: Desk, demonstration: Demonstration) -> None:
        before = demonstration.editions.now()
        everywhere(desk, ACRES, "How many %(unit)s do you sow?")

        demonstration.editions.look()

        assert demonstration.editions.now() is before


class TestAChangedQuestion:
    def test_of_another_kind_begins_its_flow_again_and_says_so(
        self, desk: Desk, demonstration: Demonstration
    ) -> None:
        demonstration.dial()
        demonstration.type(*TO_ACRES, "0")
        desk.change(
            "flows/measure_field.yaml",
            'ask: {kind: number, low: 1, high: 99, unit: step, example: "25"}\n    keep: rope_steps\n    to: step',
            'choices:\n      - {say: "Done", to: rope_count}\n\n  rope_count:\n    say: "Steps?"\n'
            '    ask: {kind: number, low: 1, high: 99, unit: step, example: "25"}\n'
            "    keep: rope_steps\n    to: step",
        )
        for language, done, steps in (
            ("sw", "Tayari", "Hatua?"),
            ("fr", "Fait", "Pas ?"),
            ("hi", "हो गया", "कदम?"),
        ):
            entries = [("rope", "Done", done), ("rope_count", "Steps?", steps)]
            lines = [
                f'\nmsgctxt "measure_field.{screen}"\nmsgid "{text}"\nmsgstr "{said}"\n'
                for screen, text, said in entries
            ]
            desk.write(f"locales/{language}.po", desk.read(f"locales/{language}.po") + "".join(lines))
        told = demonstration.settle()
        assert told["faults"] == []

        shown = demonstration.type("25")

        assert shown.startswith("The questions are new. We start here again.")
        assert "1 Done" in shown
        assert demonstration.session()["session"]["spots"] == [
            "welcome.buy_list",
            "buy_list.measure",
            "measure_field.rope",
        ]


class TestABrokenFile:
    BREAKS = (
        ("flows/buy_list.yaml", "to: source", "to: nowhere"),
        ("flows/welcome.yaml", "screens:", "screens: ["),
        ("locales/sw.po", 'msgstr "0 Rudi"', 'msgstr "0 Rudi'),
        ("locales/sw.po", "kama %(example)s", "kama %(exampel)s"),
        ("locales/hi.glossary.toml", "[words]", "[words"),
        ("place.toml", 'symbol = "Ul"', "symbol ="),
        ("place.toml", "Etc/GMT-3", "Mars/Olympus"),
    )

    @pytest.mark.parametrize(("file", "old", "new"), BREAKS)
    def test_leaves_the_old_book_in_use_and_its_faults_are_told_until_it_is_mended(
        self, desk: Desk, demonstration: Demonstration, file: str, old: str, new: str
    ) -> None:
        demonstration.dial()
        before = demonstration.editions.now().book.fingerprint
        whole = desk.read(file)
        desk.change(file, old, new)

        told = demonstration.settle()

        assert str(desk.home / file) in {fault["file"] for fault in told["faults"]}
        assert all(fault["what"] for fault in told["faults"])
        assert told["fingerprint"] == before
        assert "How many acres is your field?" in demonstration.type(*TO_ACRES)

        desk.write(file, whole)

        assert demonstration.settle()["faults"] == []

    def test_that_is_mended_in_another_way_is_a_new_book(self, desk: Desk, demonstration: Demonstration) -> None:
        before = demonstration.editions.now().book.fingerprint
        desk.change("flows/measure_field.yaml", "high: 99", "high: x")
        (fault,) = demonstration.settle()["faults"]
        assert fault == {
            "file": str(desk.home / "flows/measure_field.yaml"),
            "line": desk.read("flows/measure_field.yaml").partition("high: x")[0].count("\n") + 1,
            "screen": "measure_field.rope",
            "language": "",
            "what": "'x' is no number",
            "instead": "write 'high: 10'",
        }

        desk.change("flows/measure_field.yaml", "high: x", "high: 98")
        told = demonstration.settle()

        assert (told["faults"], told["fingerprint"] == before) == ([], False)

    def test_that_is_half_written_at_any_byte_stops_nothing(
        self, desk: Desk, demonstration: Demonstration
    ) -> None:
        whole = {file: desk.read(file).encode() for file in ("flows/measure_field.yaml", "locales/hi.po")}
        for file, text in whole.items():
            for end in range(0, len(text), len(text) // 25):
                (desk.home / file).write_bytes(text[:end])
                told = demonstration.settle()
                assert told["faults"] or told["warnings"], (
                    "of a catalog that breaks off between entries, what is left out"
                )
                assert {fault["file"] for fault in told["faults"]} <= {
                    str(desk.home / "flows/measure_field.yaml"),
                    str(desk.home / "locales/hi.po"),
                    str(desk.home / "locales/sw.po"),
                    str(desk.home / "locales/fr.po"),
                    *(str(path) for path in (desk.home / "flows").iterdir()),
                }
            (desk.home / file).write_bytes(text)

        assert demonstration.settle()["faults"] == []

    @pytest.mark.parametrize("name", ["flows", "locales", "place.toml"])
    def test_that_is_gone_is_told_and_may_come_back(
        self, desk: Desk, demonstration: Demonstration, name: str
    ) -> None:
        (desk.home / name).rename(desk.home / "away")
        assert demonstration.settle()["faults"]
        assert "1 English" in demonstration.dial()

        (desk.home / "away").rename(desk.home / name)
        assert demonstration.settle()["faults"] == []


def test_a_file_that_an_editor_puts_in_place_of_the_old_one_is_taken_up(
    desk: Desk, demonstration: Demonstration
) -> None:
    before = demonstration.editions.now().book.fingerprint
    desk.write("flows/new", desk.read("flows/measure_field.yaml").replace("high: 99", "high: 98"))
    (desk.home / "flows/new").replace(desk.home / "flows/measure_field.yaml")

    told = demonstration.settle()

    assert (told["faults"], told["fingerprint"] == before) == ([], False)


def test_another_programme_is_in_force_at_once(desk: Desk, demonstration: Demonstration) -> None:
    demonstration.dial()
    desk.change("place.toml", 'default = "Kesu"', 'default = "Kesumbe"')
    demonstration.settle()

    assert "2 Kesumbe" in demonstration.type("1", "2")


class TestAWatch:
    EDITION = Edition(load_book(), dialogues(echo), NOW)

    def watch(self, tmp_path: Path, read: Callable[[], Edition]) -> Editions:
        (tmp_path / "flow").write_text("one")
        return Editions(self.EDITION, read, lambda: tmp_path.iterdir())

    def test_reads_nothing_while_nothing_changes(self, tmp_path: Path) -> None:
        def read() -> Edition:
            raise AssertionError

        editions = self.watch(tmp_path, read)
        for _ in range(3):
            editions.look()

        assert editions.now() is self.EDITION

    def counted(self, tmp_path: Path) -> tuple[Editions, list[Edition]]:
        """A watch, and the editions that it read."""
        read: list[Edition] = []

        def once_more() -> Edition:
            read.append(self.EDITION)
            return self.EDITION

        return self.watch(tmp_path, once_more), read

    def test_reads_a_change_once(self, tmp_path: Path) -> None:
        editions, read = self.counted(tmp_path)

        (tmp_path / "flow").write_text("three")
        for _ in range(4):
            editions.look()

        assert len(read) == 1

    def test_sees_a_file_that_comes_and_one_that_goes(self, tmp_path: Path) -> None:
        editions, read = self.counted(tmp_path)
        for change in (lambda: (tmp_path / "more").write_text(""), lambda: (tmp_path / "more").unlink()):
            change()
            editions.look()
            editions.look()

        assert len(read) == 2

    @pytest.mark.parametrize(
        "error", [Faulty([Fault("a.yaml", 1, "x", "y")]), OSError("gone"), RecursionError(), ZeroDivisionError()]
    )
    def test_outlives_whatever_reading_does(self, tmp_path: Path, error: Exception) -> None:
        def read() -> Edition:
            raise error

        editions = self.watch(tmp_path, read)
        (tmp_path / "flow").write_text("three")
        editions.look()
        editions.look()

        assert editions.now().book is self.EDITION.book
        assert len(editions.now().faults) == 1


def test_every_file_that_a_book_is_made_of_is_watched(desk: Desk) -> None:
    named = {file.name for file in files_of(*desk.settings.values())}

    written = [file for file in desk.home.rglob("*") if file.suffix in (".yaml", ".po", ".toml")]
    data = Path(advisor.__file__).parent / "agronomy" / "data"
    figures = {file.name for file in data.rglob("*.toml")}
    assert set(data.rglob("*.toml")) <= set(files_of(*desk.settings.values()))
    assert {file.name for file in written} | figures == named
    assert {file.name for file in files_of()} == named - {"place.toml"} | {"ulami.toml"}


def test_a_running_demonstration_takes_a_change_up_by_itself(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    for name, value in desk.settings.items():
        monkeypatch.setenv(name, value)
    with running_in_process("http://127.0.0.1:9/sms") as address:
        before = httpx.get(f"{address}/demo/book").json()["fingerprint"]
        desk.change("flows/measure_field.yaml", "high: 99", "high: 98")
        until = time.monotonic() + 20
        while (now := httpx.get(f"{address}/demo/book").json()["fingerprint"]) == before:
            assert time.monotonic() < until
            time.sleep(0.05)

        at = datetime.now(UTC).isoformat()
        answer = httpx.post(f"{address}/gateway/ussd", json=ussd(event="begin", input="", at=at)).json()
        seen = httpx.get(f"{address}/demo/session", params={"from": ANN}).json()

    assert answer["open"]
    assert seen["book"] == now


def test_an_installation_follows_no_files(desk: Desk) -> None:
    settings = Settings.from_env(desk.settings | {"SOWING_ID_SECRET": "a secret of the tests, long enough"})

    assert EDITIONS not in create_app(settings, store=DictStore()).extensions


def test_when_a_book_was_read_is_told_by_the_clock_of_the_machine(demonstration: Demonstration) -> None:
    demonstration.client.post("/demo/clock", json={"at": "2030-01-01T00:00:00Z"})

    assert demonstration.settle()["loaded_at"] == AT
