"""How many screens and key presses the main answers take, in each language; dialling is not counted."""

import pytest

from tests.dialogue.talker import Talker

LANGUAGES = {"en": "1", "sw": "2", "hi": "3", "fr": "4"}

#: What the list must name for 2.5 acres of bought seed at 20 kg an acre: common practice, no source.
NAMED = {
    "en": ("2.5 acres", "50 kg", "2x25 kg", "soybean inoculant", "1x250 g", "Ul 5,550", "not tested", "sow 100"),
    "sw": ("ekari 2.5", "50", "2x25", "soya", "1x250", "Ul 5,550", "100"),
    "hi": ("2.5 एकड़", "50 किलो", "2x25", "सोयाबीन", "1x250", "Ul 5,550", "100"),
    "fr": ("2,5 acres", "50 kg", "2x25 kg", "soja", "1x250 g", "Ul 5 550", "Non testée", "100"),
}


def read_on(talker):
    """The whole of a screen: every page is turned and counted."""
    shown = talker.reply.text
    while len(layout(talker).pages) > talker.session.page + 1:
        shown += "\n" + talker.type("9")
    return shown


def layout(talker):
    return talker.book.layout(talker.session.spots[-1], talker.session.language, talker.session.notice)


@pytest.fixture(params=LANGUAGES)
def language(request):
    return request.param


@pytest.fixture
def talker(book):
    return Talker(book)


def first_call(talker, language):
    talker.dial()
    talker.type(LANGUAGES[language], "1", "2")
    assert talker.spot == "welcome.menu"


def test_from_a_first_call_the_list_takes_eight_screens_and_sixteen_keys(talker, language):
    first_call(talker, language)
    talker.type("1", "2.5", "1")
    shown = read_on(talker)

    assert talker.spot == "buy_list.list_bought"
    assert [name for name in NAMED[language] if name not in shown] == []
    assert talker.screens <= 8
    assert talker.keys <= 16


def test_with_the_field_known_the_list_takes_three_screens(talker, language):
    first_call(talker, language)
    talker.type("1", "2.5", "1")
    talker.wait(days=1)
    before = talker.screens

    talker.dial()
    talker.type("1")
    shown = read_on(talker)
    assert [name for name in NAMED[language] if name not in shown] == []
    assert talker.screens - before <= 3


def test_with_only_the_field_known_three_screens_bring_what_to_buy(talker, language):
    """Digits dialled behind the service's code answer the menu, so that the seed is the first question."""
    first_call(talker, language)
    talker.type("1", "2.5")
    talker.wait(days=1)
    before = talker.screens

    talker.dial("1")
    talker.type("1")
    shown = read_on(talker)
    assert [name for name in NAMED[language] if name not in shown] == []
    assert talker.screens - before <= 3


def test_a_field_of_60_by_45_steps_is_measured_with_a_step_from_the_rope(talker, language):
    """A rope of 20 m in 25 steps is a step of 0.8 m: 48 m by 36 m, 1,728 m² (arithmetic)."""
    first_call(talker, language)
    talker.type("8", "2", "25", "60", "45")
    assert talker.spot == "measure_field.result"
    shown = talker.reply.text.replace(",", ".")  # in French the decimals stand behind a comma
    assert "0.43" in shown, "1,728 m² are 0.43 acres"
    # A step 5 % off makes the area 10.25 % large and 9.75 % small: 0.39 to 0.47 acres.
    assert "0.39" in shown
    assert "0.47" in shown

    talker.type("1")
    assert talker.grower.fact("plot.area").value == pytest.approx(48 * 36)
    assert talker.spot == "buy_list.source"


def test_the_inoculant_for_the_seed_in_hand_takes_four_screens_and_nine_keys_from_the_menu(talker, language):
    """Menu, its part, dressed or not, kilograms: nothing less tells whether, and how much. Pages are not counted.

    3, 3, 1 and 20, each sent: common practice, no source, is 100 g for 20 kg.
    """
    first_call(talker, language)
    screens, keys = talker.screens, talker.keys
    talker.type("3", "3", "1", "20")

    assert talker.spot == "inoculate.people"
    assert "100" in talker.reply.text
    assert talker.screens - screens <= 4
    assert talker.keys - keys <= 9


def test_of_a_list_that_is_known_the_inoculant_takes_three_screens_and_six_keys(talker, language):
    """Menu, its part, dressed or not: the seed is known from the list, and what was dressed since is not."""
    first_call(talker, language)
    talker.type("1", "2.5", "1", "00")
    screens, keys = talker.screens, talker.keys
    talker.type("3", "3", "1")

    assert talker.spot == "inoculate.people"
    assert "250" in talker.reply.text
    assert talker.screens - screens <= 3
    assert talker.keys - keys <= 6


def test_all_steps_of_a_batch_take_six_screens_and_twelve_keys_more(talker, language):
    """People and window, then a screen for each time that hands are busy: shade, batch, mix, dry and sow, wash."""
    first_call(talker, language)
    talker.type("3", "3", "1", "20")
    screens, keys = talker.screens, talker.keys
    talker.type("5", "1", "1", "1", "1", "1")

    assert talker.spot == "inoculate.wash"
    assert talker.screens - screens <= 6
    assert talker.keys - keys <= 12


def test_the_day_to_sow_and_what_is_due_before_it_take_five_screens_and_twelve_keys(talker, language):
    """Menu, its part, today's answer, the question for the day, the dates: none asks for what another knows.

    A screen of three languages has room for four dates; the Hindi one turns pages, which are counted apart.
    """
    talker.now = talker.now.replace(year=2026, month=10)
    first_call(talker, language)
    screens, keys = talker.screens, talker.keys

    talker.type("4", "1", "1", "20/11")
    assert talker.spot == "when_to_sow.due_test"
    assert talker.screens - screens <= 4  # the menu was on show already
    assert talker.keys - keys <= 2 + 2 + 2 + 6
    shown = read_on(talker)
    # Sown on the 20th: tested 15 to 10 days before, bought 5 before, inoculant 2 before (the crop's file).
    assert [day for day in ("5", "10", "15", "18", "20") if day not in shown] == []
    assert talker.screens - screens <= (7 if language == "hi" else 5)


def test_with_the_day_known_what_is_due_takes_two_keys(talker, language):
    talker.now = talker.now.replace(year=2026, month=10)
    first_call(talker, language)
    talker.type("4", "1", "1", "20/11")
    talker.wait(days=1)

    talker.dial("4")
    talker.type("1")
    assert talker.spot == "when_to_sow.due_test"
