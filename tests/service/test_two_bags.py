"""A grower with two bags of seed in the seed-test round: named, tested and judged apart, for no more messages."""

from __future__ import annotations

from datetime import timedelta

import pytest

from advisor.by_book import speech_of
from advisor.service.figures import village_figures
from advisor.service.stored import from_bytes, glance, to_bytes
from advisor.store.recount import recount
from tests.service.seed_round import Season, at, book
from tests.service.stage import BANDS

OWN = {"lot_origin": "saved", "lot_method": "bed", "lot_dressed": "no"}


@pytest.fixture
def season() -> Season:
    """The round, started in time for Ann, who has two bags of her own seed; bag 2 is in hand."""
    found = Season(at(-22))
    found.has(plot_area=8094.0, **OWN)
    found.has_another_bag(**OWN)
    found.start()
    return found


def sow(season: Season) -> None:
    """Ann puts both tests out on one day, 100 seeds of bag 1 and 50 of bag 2."""
    season.until(at(-15, "09:00"))
    for typed in ("today", "100", "1", "today", "50"):
        season.sms(typed)


class TestTwoBagsOnOneDay:
    def test_cost_seven_messages_as_one_bag_does(self, season: Season) -> None:
        sow(season)
        season.until(at(-10, "09:00"))
        season.sms("60")
        season.sms("30")
        season.until(at(-7, "09:00"))
        for typed in ("92", "1", "1", "20", "3", "1"):
            season.sms(typed)
        season.until(at(20))

        assert season.days() == [-21, -16, -10, -7, -6, -3, 8]

    def test_are_named_by_each_message_that_asks_of_one(self, season: Season) -> None:
        asked = season.until(at(-9, "09:00"))

        assert [text[:5] for text in asked[1:]] == ["Bag 1"] * (len(asked) - 1)
        assert "Bag 1: which seed?" in asked[0]

    def test_are_both_asked_of_by_the_reply(self, season: Season) -> None:
        season.until(at(-15, "09:00"))

        assert season.sms("today").startswith("Bag 1\nHow many seeds")
        assert "Is the test of your next bag sown too?" in season.sms("100")
        assert season.sms("1").startswith("Bag 2\nOn which day did you sow the test?")

    def test_keep_their_counts_apart(self, season: Season) -> None:
        sow(season)
        season.until(at(-10, "09:00"))

        assert season.sms("60").startswith("Bag 2\nDay 5")
        season.sms("30")
        assert {number: bag["lot.early"] for number, bag in season.bags().items()} == {1: 60, 2: 30}

    def test_are_judged_apart(self, season: Season) -> None:
        """A verdict is told at once; the next bag is counted behind it, and changes nothing of the first."""
        sow(season)
        season.until(at(-7, "09:00"))
        season.sms("92")

        assert season.sms("1").startswith("Bag 1\n92 of 100 grew: good seed.")
        assert season.sms("1").startswith("Bag 2\nCount whole, healthy plants.\nHow many of 50 grew?")
        assert season.sms("20").startswith("Bag 2\n20 of 50: right?")
        assert season.sms("1").startswith("Bag 2\n20 of 50 grew: very poor seed.")
        assert {number: bag["lot.test"] for number, bag in season.bags().items()} == {1: (92, 100), 2: (20, 50)}

    def test_are_closed_apart(self, season: Season) -> None:
        sow(season)
        season.until(at(-10, "09:00"))
        season.sms("60")
        season.until(at(-3))

        assert {number: bag["lot.closed"] for number, bag in season.bags().items()} == {
            1: "early_only",
            2: "no_count",
        }

    def test_leave_the_village_figures_right(self, season: Season) -> None:
        sow(season)
        season.until(at(-7, "09:00"))
        for typed in ("92", "1", "1"):
            season.sms(typed)
        season.until(at(-5))

        def figures(value: bytes) -> list[tuple[str, str, int]]:
            village, counters = village_figures(from_bytes(value).record, BANDS)
            return [(village, counter, 1) for counter in counters]

        assert list(recount(season.store, figures, [each.key for each in book().programme.villages])) == []


class TestTwoBagsSownApart:
    def test_by_two_days_are_counted_together_on_the_later_day(self, season: Season) -> None:
        season.until(at(-15, "09:00"))
        for typed in ("today", "100", "2"):
            season.sms(typed)
        season.until(at(-13, "09:00"))
        assert season.inbox[-1][2].startswith("Bag 2, soya seed test")
        for typed in ("2", "today", "50"):
            season.sms(typed)
        season.until(at(-4))

        asked = [day for day, (_, _, text) in zip(season.days(), season.inbox, strict=True) if "Bag" in text]
        assert season.bags()[2]["lot.test_day"] == at(-13).date().isoformat()
        assert -8 in asked
        assert -5 in asked
        assert -10 not in asked

    def test_by_more_are_asked_of_once_and_then_only_for_silence(self, season: Season) -> None:
        """The day of the later count was told on the screen; who counts on it is asked nothing more."""
        season.until(at(-15, "09:00"))
        for typed in ("today", "100", "2"):
            season.sms(typed)
        season.until(at(-12, "12:00"))
        assert season.inbox[-1][2].startswith("Bag 2, soya seed test")
        for typed in ("2", "today", "50"):
            season.sms(typed)
        season.until(at(-10, "09:00"))
        season.sms("60")
        season.until(at(-7, "09:00"))
        for typed in ("92", "1"):
            season.sms(typed)
        season.until(at(-4, "20:00"))
        assert season.days().count(-4) == 0

        # what she fetches at S-3 is more pressing than the first reminder, which falls on that very hour
        season.until(at(-2, "12:00"))
        assert any(text.startswith("Bag 2: we wait for the count") for _, _, text in season.inbox)


class TestAnAnswer:
    def test_is_of_the_bag_that_is_open_and_of_no_other(self, season: Season) -> None:
        """The message of the day asks of bag 1; a newer one of bag 2 takes its place, and gets the count."""
        sow(season)
        season.until(at(-10, "09:00"))
        season.sms("60")
        season.sms("30")
        season.until(at(-7, "09:00"))
        season.sms("92")
        season.sms("1")
        season.until(at(-6, "12:00"))

        assert season.inbox[-1][2].startswith(("Bag 2: we wait", "You sow soya"))
        season.until(at(-5, "12:00"))
        assert season.sms("20").startswith("Bag 2\n")
        assert season.bags()[1]["lot.test"] == (92, 100)

    def test_moves_no_bag_for_the_list(self, season: Season) -> None:
        """The list goes by the bag that was chosen for it, whichever the round has asked of since."""
        sow(season)
        season.until(at(-7, "09:00"))
        for typed in ("92", "1", "1", "20", "1"):
            season.sms(typed)
        season.has_learnt("lot.to_sow", 2)
        season.until(at(-6, "20:00"))

        assert "do not sow" in season.inbox[-1][2].lower()


class TestOneBag:
    def test_is_never_named(self) -> None:
        season = Season(at(-22))
        season.has(plot_area=8094.0, **OWN)
        season.start()

        assert not any("Bag" in text for text in season.until(at(9)))

    def test_that_is_left_of_two_is_one(self) -> None:
        """Of the bag of before nothing holds any more."""
        season = Season(at(-90))
        season.has(plot_area=8094.0, lot_origin="saved")
        season.clock.at += timedelta(days=68)
        season.has_another_bag(**OWN)
        season.start()

        assert not any("Bag" in text for text in season.until(at(9)))


class TestAPlanner:
    def test_sees_the_bags_that_the_ticker_sees(self, season: Season) -> None:
        speech, now = speech_of(book()), season.clock.now()
        kept = season.stored()
        known = glance(to_bytes(kept) or b"", "seed_test", now.timestamp(), speech.fresh_for)

        assert known is not None
        assert known.facts["lot.bags"] == speech.facts(kept.record, now)["lot.bags"]
