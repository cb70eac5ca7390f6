"""``advisor visits``, ``results`` and ``order``: tables, JSON and sheets, and no number that nobody asked for."""

from __future__ import annotations

import csv
import json
import os
from datetime import UTC, date, datetime, timedelta
from functools import cache
from io import StringIO

import pytest

from advisor.agronomy.units import ACRE_M2
from advisor.campaign.village_results import VillageResult
from advisor.cli import main
from advisor.commands.exits import Exit
from advisor.commands.results import results_table
from advisor.dialogue.book import Book
from advisor.loading import load_book
from advisor.records.grower import Grower
from advisor.service.clock import unix_ms
from advisor.service.identity import Ids
from advisor.service.stored import Stored, from_bytes, to_bytes
from advisor.store.api import Change
from advisor.store.keys import secret_mark
from advisor.store.plans import Keeps
from advisor.store.redis_store import RedisStore
from tests.servers import RedisServer

SECRET = "drawn for the tests, thirty-two and more"
NUMBERS = [f"+99900100{place:04}" for place in range(3)]
NOW = datetime.now(UTC)
SOWING = (NOW + timedelta(days=30)).date().isoformat()
QUESTION = "Why are my leaves pale?"


@cache
def _book() -> Book:
    return load_book()


@pytest.fixture(autouse=True)
def growers(monkeypatch: pytest.MonkeyPatch, shared_redis: RedisServer) -> None:
    """Two neighbours in Dovi who buy seed, and one in Kesu whose saved seed failed and who asked something."""
    for name in [name for name in os.environ if name.startswith("SOWING_")]:
        monkeypatch.delenv(name)
    with shared_redis.client() as client:
        client.flushall()
    monkeypatch.setenv("SOWING_STORE", shared_redis.address)
    monkeypatch.setenv("SOWING_ID_SECRET", SECRET)
    store = RedisStore(shared_redis.address, Keeps(), secret_mark(SECRET.encode()))
    store.open()
    for number, village, acres, origin in zip(
        NUMBERS, ("v1", "v1", "v2"), (0.4, 0.6, 1), ("bought", "bought", "saved"), strict=True
    ):
        record = Grower(number, NOW).knows("grower.village", village, NOW).knows("lot.origin", origin, NOW)
        record = record.knows("plot.area", acres * ACRE_M2, NOW).knows("plot.sowing", SOWING, NOW)
        if origin == "saved":
            record = record.knows("lot.test", (40, 100), NOW).asks(QUESTION, NOW)
        store.commit(Change(Ids(SECRET.encode()).number(number), 0, to_bytes(Stored(record)), unix_ms(NOW)))
    store.close()
    # the book is half a minute of proofs on a busy machine, and the same for each of these
    monkeypatch.setattr("advisor.commands.agent_lists.book_of", lambda _settings: _book())


def run(capsys: pytest.CaptureFixture[str], *arguments: str, code: int = Exit.DONE) -> tuple[str, str]:
    with pytest.raises(SystemExit) as ended:
        main(arguments)
    assert ended.value.code == code
    return capsys.readouterr()


def zone_day(moment: datetime) -> date:
    return moment.astimezone(_book().zone).date()


def ask_too(number: str) -> None:
    """One more grower asks something."""
    store = RedisStore(os.environ["SOWING_STORE"], Keeps(), secret_mark(SECRET.encode()))
    grower = Ids(SECRET.encode()).number(number)
    version, value = store.value(grower)
    record = from_bytes(value).record.asks(QUESTION, NOW)
    store.commit(Change(grower, version, to_bytes(Stored(record)), unix_ms(NOW)))
    store.close()


def tell(number: str, name: str, value: str, at: datetime) -> None:
    """One fact of a grower is told anew, whenever the old one was."""
    store = RedisStore(os.environ["SOWING_STORE"], Keeps(), secret_mark(SECRET.encode()))
    grower = Ids(SECRET.encode()).number(number)
    version, value_now = store.value(grower)
    record = from_bytes(value_now).record.forgets((name,)).knows(name, value, at)
    store.commit(Change(grower, version, to_bytes(Stored(record)), unix_ms(NOW)))
    store.close()


FORMS = [(), ("--json",), ("--csv",)]
LISTS = [("visits",), ("results",), ("order",), ("order", "--bags")]


class TestPrivacy:
    @pytest.mark.parametrize("form", FORMS)
    @pytest.mark.parametrize("what", LISTS)
    def test_no_list_shows_a_number_or_a_question_without_the_flag(
        self, capsys: pytest.CaptureFixture[str], what: tuple[str, ...], form: tuple[str, ...]
    ) -> None:
        out, err = run(capsys, *what, *form)

        assert out.strip()
        for secret in (*NUMBERS, *(number[4:] for number in NUMBERS), QUESTION):
            assert secret not in out + err

    @pytest.mark.parametrize("form", FORMS)
    @pytest.mark.parametrize(("what", "shown"), [(("visits",), NUMBERS[2:]), (("order", "--bags"), NUMBERS)])
    def test_numbers_come_with_the_flag_and_a_warning(
        self, capsys: pytest.CaptureFixture[str], what: tuple[str, ...], shown: list[str], form: tuple[str, ...]
    ) -> None:
        out, err = run(capsys, *what, "--numbers", *form)

        assert all(number in out for number in shown)
        assert "warning: it holds personal data" in err
        assert QUESTION not in out

    def test_the_order_itself_names_nobody(self, capsys: pytest.CaptureFixture[str]) -> None:
        _, err = run(capsys, "order", "--numbers", code=Exit.WRONG_USAGE)
        assert "--numbers goes with --bags" in err


class TestForms:
    def test_the_status_of_rounds_has_the_counts_where_they_are_asked_for(
        self, capsys: pytest.CaptureFixture[str]
    ) -> None:
        out, _ = run(capsys, "round", "status", "--growers")

        listed = run(capsys, "visits")[0].splitlines()
        assert out.splitlines()[1:] == [
            *listed,
            "3 growers, 3 lots of seed: 0 good, 0 weak, 1 poor, 0 running, 2 untested, 0 of them given up by a "
            "round",
        ]
        assert "to visit" not in run(capsys, "round", "status")[0]

    def test_visits_say_on_one_line_a_grower_why_since_when_what_to_bring_and_the_days_left(
        self, capsys: pytest.CaptureFixture[str]
    ) -> None:
        out, _ = run(capsys, "visits")

        day, left = zone_day(NOW), (date.fromisoformat(SOWING) - zone_day(NOW)).days
        line, total = out.splitlines()
        grower = Ids(SECRET.encode()).number(NUMBERS[2])
        assert line == (
            f"Kesu  {grower}  sows in {left} days ({SOWING}): bad seed (40 of 100) since {day}, "
            f"bring 20 kg of other seed; asked since {day}, answer the question"
        )
        assert total == "1 to visit: asked 1, bad seed 1"

    @pytest.mark.parametrize(
        ("days", "told_now", "said", "left"),
        [(-2, False, "was to sow 2 days ago ({})", -2), (-2, True, "day of sowing was {}", None)],
    )
    def test_a_day_of_sowing_that_is_past_is_said(
        self, capsys: pytest.CaptureFixture[str], days: int, told_now: bool, said: str, left: int | None
    ) -> None:
        """Kesu's grower asks something; the day was told long before, or now."""
        day = (zone_day(NOW) + timedelta(days=days)).isoformat()
        tell(NUMBERS[2], "plot.sowing", day, NOW if told_now else NOW - timedelta(days=20))

        line = run(capsys, "visits")[0].splitlines()[0]
        (row,) = json.loads(run(capsys, "visits", "--json")[0])

        assert said.format(day) in line
        assert (row["sowing"], row["days_left"]) == (day, left)

    def test_a_sheet_has_a_row_for_each_grower_in_the_same_order(self, capsys: pytest.CaptureFixture[str]) -> None:
        ask_too(NUMBERS[0])
        out, _ = run(capsys, "visits", "--csv", "--numbers")

        rows = list(csv.DictReader(StringIO(out)))
        assert [(row["village"], row["reason"], row["grown"], row["kg"], row["number"]) for row in rows] == [
            ("Kesu", "bad_seed", "40", "20", f"tel:{NUMBERS[2]}"),
            ("Dovi", "asked", "", "", f"tel:{NUMBERS[0]}"),
        ]
        assert rows[0]["also"].startswith("asked since 20")
        lines = run(capsys, "visits", "--numbers")[0].splitlines()
        assert [row["number"].removeprefix("tel:") in line for row, line in zip(rows, lines, strict=False)] == [
            True,
            True,
        ]

    def test_an_agent_has_the_growers_in_the_own_care(self, capsys: pytest.CaptureFixture[str]) -> None:
        assert "Kesu" in run(capsys, "visits", "--agent", "a1")[0]
        assert run(capsys, "visits", "--agent", "a2")[0] == "nobody needs a visit\n"
        _, err = run(capsys, "visits", "--agent", "a9", code=Exit.WRONG_USAGE)
        assert "--agent is 'a9': use one of a1, a2, a3, a4" in err

    def test_results_give_counts_interval_median_and_range(self, capsys: pytest.CaptureFixture[str]) -> None:
        out, _ = run(capsys, "results", "--json")

        dovi, kesu = json.loads(out)
        assert (dovi["village"], dovi["growers"], dovi["untested"], dovi["pooled"]) == ("Dovi", 2, 2, None)
        assert (kesu["poor"], kesu["grown"], kesu["sown"], kesu["median"]) == (1, 40, 100, 0.4)
        # scipy.stats.binomtest(40, 100).proportion_ci(0.95, "wilson")
        assert (kesu["pooled_low"], kesu["pooled_high"]) == (0.3094, 0.4980)

    def test_results_say_that_lots_are_not_one_population(self, capsys: pytest.CaptureFixture[str]) -> None:
        out, _ = run(capsys, "results")
        assert "not one population" in out

    def test_the_widest_results_fit_a_screen_of_a_hundred_columns(self) -> None:
        """A village of as many letters as a name may have, and more growers than an agent has."""
        widest = VillageResult(
            "v1", 100_000, 100_000, 100_000, 30_000, 30_000, 30_000, 10_000, 10_000, 10_000, 9_000_000, 9_000_000,
            0.1234, 0.5678, 0.9876,
        )  # fmt: skip

        said = results_table([("W" * 16, widest), ("all", widest)])

        assert max(map(len, said.splitlines())) <= 100
        assert "9000000/9000000" in said

    def test_results_of_villages_without_a_test_have_no_table_of_seedlings(self) -> None:
        said = results_table([("Dovi", VillageResult("v1", growers=2, lots=2, untested=2))])
        assert "grown/sown" not in said

    def test_the_order_shares_bags_and_says_what_it_saves(self, capsys: pytest.CaptureFixture[str]) -> None:
        out, _ = run(capsys, "order", "--village", "dovi")

        assert "soya seed, assumed: 4x5 kg for 2 growers (20 kg), Ul 2,300, Ul 575 less than alone" in out
        assert "Kesu" not in out
        assert "seed dressed with a fungicide or insecticide is never eaten, fed or sold as grain" in out

    def test_bags_add_up_in_the_sheet(self, capsys: pytest.CaptureFixture[str]) -> None:
        out, _ = run(capsys, "order", "--bags", "--csv")

        rows = list(csv.DictReader(StringIO(out)))
        bags = {
            tuple(row[name] for name in ("village", "week", "product", "rests_on", "group", "bag")) for row in rows
        }
        sizes = {row["product"]: float(row["bag_kg"]) for row in rows}
        for product in sizes:
            here = [row for row in rows if row["product"] == product]
            bought = sum(
                size for *place, size in {(*place, sizes[product]) for place in bags if place[2] == product}
            )
            assert sum(float(row["takes_kg"]) + float(row["left_kg"]) for row in here) == pytest.approx(bought)

    def test_a_sheet_is_no_formula_and_has_its_head_without_rows(self, capsys: pytest.CaptureFixture[str]) -> None:
        out, _ = run(capsys, "visits", "--csv", "--village", "Zolu")
        head = "village,grower,days_left,sowing,reason,since,bag,grown,sown,help,kg,by,also"
        assert out.splitlines() == [head]

    @pytest.mark.parametrize("what", LISTS)
    def test_a_village_that_there_is_not_is_named_with_those_there_are(
        self, capsys: pytest.CaptureFixture[str], what: tuple[str, ...]
    ) -> None:
        _, err = run(capsys, *what, "--village", "Dove", code=Exit.WRONG_USAGE)
        assert "use one of Dovi, Kesu, Lawi, Mbek, Nuvu, Zolu" in err
