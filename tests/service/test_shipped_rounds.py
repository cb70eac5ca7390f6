"""The rounds that go with the program: each text is one SMS in each language, each question has its screen."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from importlib.resources import files

import pytest

from advisor.by_book import quiet_of, speech_of
from advisor.campaign.choosing import Chosen, as_text
from advisor.campaign.deciding import Running
from advisor.campaign.previewing import as_if_it_rained
from advisor.campaign.reading import DAY, DAY_CHARACTERS, GROWERS, MOST_GROWERS, read_round
from advisor.campaign.rounds import Round
from advisor.dialogue.unasked import has_screen, widest_day
from advisor.loading import load_round
from advisor.service.forecasting import faults_with, forecast
from advisor.service.outgoing import Parcel, delivery_of
from advisor.wording.segments import segments
from tests.service.seed_round import S, Season, at, book
from tests.service.stage import ANN

SHIPPED = sorted(path.name.removesuffix(".toml") for path in files("advisor").joinpath("rounds").iterdir())
BEN, CLEO = "+999004445566", "+999008889999"


def read(name: str, chosen: Chosen | None = None) -> Round:
    return read_round(load_round(name) + (as_text(chosen) if chosen else ""), book().programme.languages)


def test_all_rounds_of_the_season_are_there() -> None:
    assert {"seed_test", "buy_inputs", "pick_up", "follow_up", "nodules", "harvest"} <= set(SHIPPED)


@pytest.mark.parametrize("name", SHIPPED)
def test_each_text_is_one_segment_in_each_language_on_its_widest_day(name: str) -> None:
    found = read(name)
    for key, texts in [(part.key, part.texts) for part in (*found.steps, *found.notes)]:
        for language, text in texts:
            said = text.replace(DAY, widest_day(book(), language)).replace(GROWERS, MOST_GROWERS)
            assert delivery_of("b07-1", Parcel(ANN, said), "1212").segments == 1, (key, language)


@pytest.mark.parametrize("name", SHIPPED)
def test_the_dialogues_have_all_that_it_asks_of_them(name: str) -> None:
    assert faults_with(book(), read(name)) == ()


def test_no_language_says_a_day_in_more_characters_than_a_file_leaves_room_for() -> None:
    assert max(len(widest_day(book(), language)) for language in book().voices) == DAY_CHARACTERS


class TestWhatTheDialoguesLack:
    def test_is_named(self) -> None:
        found = read("seed_test")
        broken = replace(found.steps[0], asks="seed_test.nowhere", says="soja9", texts=(("en", "a" * 154 + DAY),))
        faults = faults_with(book(), Round("x", (broken,), Chosen(("v9",), ("xx",))))

        assert len(faults) == 5
        assert faults[0].startswith("season: no screen seed_test.nowhere asks anything")

    def test_a_fact_that_nothing_keeps_is_named_once(self) -> None:
        step = read("seed_test").steps[0]
        slips = [
            replace(step, when=replace(step.when, anchor="plot.sewing")),
            replace(step, key="b", only=("lot.tset",), unless=("lot.orign = bought",)),
            replace(step, key="c", only=("lot.tset",)),
        ]

        faults = faults_with(book(), Round("x", tuple(slips)))

        assert [fault.partition(":")[0] for fault in faults] == ["plot.sewing", "lot.orign", "lot.tset"]

    def test_a_screen_that_ends_takes_no_answer(self) -> None:
        assert has_screen(book(), "seed_test.final_count")
        assert not has_screen(book(), "seed_test.message_good")


class TestWhoIsChosen:
    @pytest.fixture
    def season(self) -> Season:
        season = Season(at(-22))
        season.has(ANN)
        season.has(BEN, grower_village="v2", grower_language="sw")
        season.has(CLEO, lot_test=(90, 100), plot_sowing=at(10).date().isoformat())
        return season

    @pytest.mark.parametrize(
        ("chosen", "who"),
        [
            (Chosen(villages=("v1",)), {ANN, CLEO}),
            (Chosen(languages=("sw",)), {BEN}),
            (Chosen(sowing_to=S), {ANN, BEN}),
            (Chosen(sowing_from=at(1).date()), {CLEO}),
            (Chosen(tested=False), {ANN, BEN}),
            (Chosen(tested=True), {CLEO}),
        ],
    )
    def test_gets_the_round_and_nobody_else(self, season: Season, chosen: Chosen, who: set[str]) -> None:
        season.text = load_round("pick_up") + as_text(chosen)
        season.start()
        season.until(at(8))

        assert {number for _, number, _ in season.inbox} == who

    def test_stays_in_it_once_a_message_came(self, season: Season) -> None:
        season.text = load_round("seed_test") + as_text(Chosen(villages=("v1",), tested=False))
        season.start()
        season.until(at(-21, "12:00"))
        season.has_learnt("lot.test", (80, 100))
        season.until(at(-2))

        assert season.days() == [-21, -5, -3]

    def test_is_read_back_from_the_text_that_is_kept(self) -> None:
        chosen = Chosen(("v1", "v2"), ("sw",), S, at(9).date(), tested=False)

        assert read("pick_up", chosen).chosen == chosen


class TestAPreview:
    def test_counts_people_days_segments_and_cost_of_what_then_leaves(self) -> None:
        season = Season(at(-22))
        season.has(ANN)
        season.has(BEN, grower_language="sw", plot_area=8094.0)
        speech = speech_of(book())
        running = Running(read("seed_test"), season.clock.now(), quiet_of(book().programme), speech.slowed_by)
        seen = forecast(season.store, running, speech, season.clock.now(), "en")
        season.start()
        season.until(at(9))

        assert seen.messages == len(season.inbox)
        assert (seen.growers, seen.most) == (2, len(season.days()))
        # 3GPP TS 23.038: 160 septets a segment, and these are all shorter
        assert all(len(text) <= 160 for _, _, text in season.inbox)
        assert seen.cost(Decimal("0.8")) == Decimal("0.8") * len(season.inbox)
        first = seen.steps[0]
        assert (first.by_language, first.first, first.last) == (
            (("en", 1), ("sw", 1)),
            at(-21).date(),
            at(-21).date(),
        )

    def test_counts_the_segments_of_a_list_that_takes_more_than_one(self) -> None:
        season = Season(at(-22))
        season.has(ANN, grower_language="hi", plot_area=5000.0, lot_origin="saved")
        speech, now = speech_of(book()), season.clock.now()
        running = Running(read("seed_test"), now, quiet_of(book().programme), speech.slowed_by)
        seen = forecast(season.store, running, speech, now, "en")
        season.start()
        season.until(at(9))

        left = [segments(text) for _, _, text in season.inbox]
        assert max(left) == 2
        assert (seen.messages, seen.segments) == (len(left), sum(left))
        assert seen.cost(Decimal("0.8")) == Decimal("0.8") * sum(left)

    def test_counts_the_two_segments_of_a_list_in_hindi(self) -> None:
        """3GPP TS 23.040: in UCS-2 70 characters are one segment, and longer texts have 67 in each."""
        season = Season(at(-22), round="buy_inputs")
        season.has(ANN, grower_language="hi", plot_area=8094.0, lot_origin="bought")
        season.has(BEN, grower_language="hi")
        speech = speech_of(book())
        running = Running(read("buy_inputs"), season.clock.now(), quiet_of(book().programme), speech.slowed_by)
        seen = forecast(season.store, running, speech, season.clock.now(), "en")
        season.start()
        season.until(at(9))

        sent = [1 if len(text) <= 70 else -(-len(text) // 67) for _, _, text in season.inbox]
        assert 2 in sent
        assert (seen.messages, seen.segments) == (len(sent), sum(sent))
        assert seen.cost(Decimal("0.8")) == Decimal("0.8") * sum(sent)

    def test_of_rain_is_as_if_it_had_begun_and_broken_off_today(self) -> None:
        season = Season(at(-3))
        season.has(ANN)
        season.has(BEN, plot_sowing=at(-4).date().isoformat())
        season.has(CLEO, grower_village="v4")
        speech, now = speech_of(book()), season.clock.now()
        zone_of = {village.key: village.zone for village in book().programme.villages}
        found = {}
        for name in ("sow_now", "false_start"):
            running = Running(read(name), now, quiet_of(book().programme), speech.slowed_by)
            none = forecast(season.store, running, speech, now, "en")
            assert (none.messages, [count for _, count in none.notes if count]) == (0, [])
            found[name] = forecast(
                season.store, as_if_it_rained(running, zone_of, at(-3).date()), speech, now, "en"
            )

        assert [step.messages for step in found["sow_now"].steps] == [2]
        assert [count for _, count in found["sow_now"].notes] == [2]
        assert [step.messages for step in found["false_start"].steps] == [1, 2]
        assert [count for _, count in found["false_start"].notes] == [1, 2]

    @pytest.mark.parametrize("day", [-15, -12, -10, -9, -5])
    def test_of_a_round_that_is_started_late_counts_what_then_leaves(self, day: int) -> None:
        """A reminder of that morning gives way to the warning, and is counted no more."""
        season = Season(at(day, "09:00"))
        season.has(ANN, plot_area=8094.0)
        speech = speech_of(book())
        running = Running(read("seed_test"), season.clock.now(), quiet_of(book().programme), speech.slowed_by)
        seen = forecast(season.store, running, speech, season.clock.now(), "en")
        season.start()
        season.until(at(9))

        assert (seen.messages, seen.most) == (len(season.inbox), len(season.inbox))

    def test_of_nobody_costs_nothing(self) -> None:
        season = Season(at(-22))
        speech = speech_of(book())
        running = Running(read("seed_test"), season.clock.now(), quiet_of(book().programme))

        assert forecast(season.store, running, speech, season.clock.now(), "en").cost(Decimal(1)) == 0


class TestTheSowingFollowUp:
    def test_takes_the_day_of_sowing_and_counts_from_it(self) -> None:
        season = Season(at(-1), round="follow_up")
        season.has()
        season.start()
        season.until(at(2, "12:00"))
        season.sms("yesterday")
        season.until(at(12))

        assert season.fact("plot.sowing") == at(1).date().isoformat()
        assert season.days() == [2, 9]
