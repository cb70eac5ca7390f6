"""A question for a date, from the phone to the record."""

import json
from datetime import UTC, date, datetime, timedelta

import pytest

from advisor.dialogue.faults import Faulty
from advisor.dialogue.reading import read_flow
from advisor.dialogue.talk import Keep, Spot
from advisor.records.codec import grower_from_json, grower_to_json
from advisor.records.grower import Grower
from advisor.wording.numbers import day_and_month
from advisor.wording.segments import cost
from tests.dialogue.small import SOWING, sowing_book
from tests.dialogue.talker import MORNING, Talker

#: The first of March 2027, at eleven o'clock in the district.
TODAY = date(2027, 3, 1)
LANGUAGES = ("en", "sw", "hi", "fr")
WHEN = Spot("sowing", "when")


@pytest.fixture(scope="module")
def sowing(book):
    return sowing_book(book)


def asked(sowing, language="en", *, now=MORNING):
    """A grower who agreed, in front of the question."""
    talker = Talker(sowing, now)
    talker.grower = Grower("+99900000001", agreed=MORNING).knows("grower.language", language, MORNING)
    talker.dial()
    talker.type("1")
    return talker


class TestAnAnswer:
    @pytest.mark.parametrize(
        ("language", "typed", "shown"),
        [
            ("en", "12 February", "Sown on 12 Feb."),
            ("sw", "tarehe 12 Februari", "Imepandwa 12 Feb."),
            ("hi", "१२ फरवरी", "बुवाई 12 फ़र॰"),
            ("fr", "12 fevrier", "Semis le 12 févr."),
        ],
    )
    def test_it_is_kept_as_text_and_said_in_the_language(self, sowing, language, typed, shown):
        talker = asked(sowing, language)

        assert talker.type(typed).split("\n")[0] == shown
        assert talker.effects == (Keep("lot.sown", "2027-02-12"),)

    def test_the_record_survives_its_store(self, sowing):
        talker = asked(sowing)
        talker.type("yesterday")

        stored = json.dumps(grower_to_json(talker.grower))
        assert grower_from_json(json.loads(stored)) == talker.grower
        assert talker.grower.fact("lot.sown").value == "2027-02-28"

    def test_the_day_begins_where_the_grower_lives(self, sowing):
        """The district is three hours ahead: 21:30 in UTC is tomorrow there."""
        talker = asked(sowing, now=datetime(2027, 3, 1, 21, 30, tzinfo=UTC))
        talker.type("today")

        assert talker.grower.fact("lot.sown").value == "2027-03-02"

    def test_a_day_that_is_known_is_not_asked_for_again(self, sowing):
        talker = asked(sowing)
        talker.type("yesterday", "2")

        assert talker.type("1").startswith("Sown on 28 Feb.")

    def test_a_record_that_holds_no_day_is_asked_again(self, sowing):
        talker = asked(sowing)
        talker.grower = talker.grower.knows("lot.sown", "soon", MORNING)
        talker.wait(hours=2).dial()

        assert talker.type("1").startswith("When did you sow?")

    def test_zero_leads_where_the_flow_says(self, sowing):
        assert asked(sowing).type("0").startswith("Come back then.")


class TestASlip:
    @pytest.mark.parametrize(
        ("typed", "line"),
        [
            ("soon", "Type day and month, like 1 Mar."),
            ("31/2", "There is no such day. Type like 1 Mar."),
            ("20/12", "Too early. Not before 31 Dec."),
            ("tomorrow", "Too late. Not after 1 Mar."),
        ],
    )
    def test_it_says_why_with_the_bound_or_an_example(self, sowing, typed, line):
        talker = asked(sowing)

        assert talker.type(typed).split("\n")[:2] == [line, "When did you sow?"]

    @pytest.mark.parametrize(("language", "typed"), [("en", "monday"), ("hi", "कल"), ("hi", "परसों")])
    def test_what_can_be_two_days_elsewhere_is_one_where_only_the_past_is_asked_for(self, sowing, language, typed):
        talker = asked(sowing, language)
        talker.type(typed)

        assert talker.grower.fact("lot.sown")

    def test_a_year_is_asked_for_by_example(self, book):
        wide = sowing_book(book, SOWING.replace("-60 days", "-366 days").replace("to: today,", "to: +366 days,"))

        assert asked(wide).type("1/3").split("\n")[0] == "Which year? Type like 1/3/2027."

    @pytest.mark.parametrize("language", LANGUAGES)
    def test_every_example_is_itself_an_answer(self, sowing, language):
        talker = asked(sowing, language)
        said = day_and_month(TODAY, sowing.voices[language])

        assert said in talker.type("?!")
        talker.type(said)
        assert talker.grower.fact("lot.sown").value == TODAY.isoformat()


class TestTheProof:
    @pytest.mark.parametrize("language", LANGUAGES)
    @pytest.mark.parametrize("notice", ["not_a_date", "two_days", "which_year", "too_early", "too_late"])
    def test_no_day_of_a_year_makes_a_line_longer_than_the_proven_one(self, sowing, language, notice):
        alphabet = sowing.voices[language].alphabet
        days = [datetime(2028, 1, 1, 12, tzinfo=UTC) + timedelta(days) for days in range(366)]
        costs = {cost(sowing.notice_text(notice, WHEN, language, day), alphabet) for day in days}

        layout = sowing.layout(WHEN, language, notice)
        proven = cost(layout.widest[0].split("\n")[0], alphabet)
        assert max(costs) <= proven
        assert notice == "which_year" or max(costs) == proven


class TestInTheFile:
    @pytest.mark.parametrize(
        ("old", "new", "what"),
        [
            ("-60 days", "60 days ago", "'60 days ago' is no number of days from today"),
            ("-60 days", "-367 days", "'-367 days' is no number of days from today"),
            ("to: today", "to: tomorrow", "'tomorrow' is no number of days from today"),
            ("to: today", "to: -61 days", "no day lies between 'from' and 'to'"),
            ("from: -60 days, ", "", "'from' must be a word or a sentence"),
            ("to: today", "to: today, example: 12 March", "unknown key 'example' in 'ask'"),
        ],
    )
    def test_what_is_wrong_with_its_bounds_is_named(self, old, new, what):
        assert old in SOWING
        with pytest.raises(Faulty) as caught:
            read_flow(SOWING.replace(old, new), "sowing.yaml")

        assert [fault.what for fault in caught.value.faults] == [what]
