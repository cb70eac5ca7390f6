"""A flow that was changed while a conversation was open, and values that went missing."""

from datetime import UTC, datetime

import pytest
from msgspec.structs import replace

from advisor.records.grower import Grower
from tests.dialogue.small import TEA, WELCOME, registry, small_book
from tests.dialogue.talker import Talker


@pytest.fixture
def talker(book):
    """Somebody in front of the question for spoons."""
    talker = Talker(small_book(book))
    talker.dial()
    talker.type("1")
    assert talker.spot == "tea.sugar"
    return talker


class TestAChangedFlow:
    def test_goes_on_at_the_same_screen_where_it_still_asks_the_same(self, book, talker):
        talker.book = small_book(book, TEA.replace("How many spoons?", "Spoons of sugar?"))

        talker.type("3")
        assert talker.spot == "tea.cup"

    def test_begins_again_and_says_so_where_it_asks_something_else(self, book, talker):
        other = TEA.replace('ask: {kind: number, low: 0, high: 9, example: "2"}', "ask: {kind: pick, from: milks}")
        other = other.replace('work: sweetness\n    say: "Sweetness %(sweetness)s."', 'say: "Done."')
        talker.book = small_book(book, other)

        shown = talker.type("3")
        assert shown.startswith("The questions are new. We start here again.\nHow many spoons?")
        assert talker.spot == "tea.sugar"

    def test_says_so_only_where_the_screen_has_room_for_it(self, book, talker):
        three_pages = "\\n".join(["y" * 145, "y" * 145, "y" * 90])
        other = TEA.replace('ask: {kind: number, low: 0, high: 9, example: "2"}', "ask: {kind: pick, from: milks}")
        other = other.replace('work: sweetness\n    say: "Sweetness %(sweetness)s."', 'say: "Done."')
        talker.book = small_book(book, other.replace("How many spoons?", three_pages))

        assert talker.type("3") == "y" * 145 + "\n9 Next"
        assert (talker.spot, talker.session.notice) == ("tea.sugar", "")
        assert talker.type("9") == "y" * 145 + "\n9 Next"

    def test_begins_again_where_the_screen_is_gone(self, book, talker):
        talker.book = small_book(book, TEA.replace("sugar", "sweet"))

        shown = talker.type("3")
        assert shown.startswith("The questions are new.")
        assert talker.spot == "tea.sweet"

    def test_starts_at_the_root_where_the_flow_is_gone(self, book, talker):
        welcome = 'flow: welcome\nversion: 1\nstart: menu\nscreens:\n  menu:\n    menu: "yes"\n    say: "Milk?"\n'
        welcome += '    choices: [{say: "Yes", to: milk}]\n  milk: {call: milk, to: menu}\n'
        milk = TEA.replace("flow: tea", "flow: milk")
        talker.book = _book_of(book, welcome, milk)

        assert talker.type("3").startswith("Milk?")

    def test_going_back_passes_over_screens_that_are_gone(self, book, talker):
        talker.type("3")
        talker.book = small_book(
            book,
            TEA.replace("start: sugar", "start: spoons")
            .replace("  sugar:", "  spoons:")
            .replace("to: sugar", "to: spoons"),
        )

        assert talker.type("0").startswith("The questions are new."), "its choices lead elsewhere now"
        talker.type("0")
        assert talker.spot == "welcome.menu"


class TestAChangedQuestion:
    def test_an_answer_to_the_old_choices_is_not_taken_for_the_new(self, book):
        talker = Talker(small_book(book))
        talker.dial()
        talker.type("1", "3")
        assert talker.spot == "tea.cup"
        swapped = TEA.replace(
            '{say: "Again", to: sugar, again: "yes"}, {say: "Done", to: return}',
            '{say: "Done", to: return}, {say: "Again", to: sugar, again: "yes"}',
        )
        talker.book = small_book(book, swapped)

        assert talker.type("1").startswith("The questions are new.")
        assert talker.spot == "tea.cup"
        talker.type("1")
        assert talker.spot == "welcome.menu"

    def test_a_flow_that_is_no_longer_called_begins_at_the_root(self, book, talker):
        welcome = WELCOME.replace("tea: {call: tea, to: menu}", "tea: {call: milk, to: menu}")
        talker.book = _book_of(book, welcome, TEA.replace("flow: tea", "flow: milk"), TEA.replace("TEA", ""))

        talker.type("3")
        assert talker.spot == "welcome.menu"


class TestMissingAndOutgrownValues:
    def test_a_value_that_went_missing_is_asked_for(self, book, talker):
        """The fact ages away between two messages of one session."""
        talker.grower = replace(talker.grower, agreed=talker.now).knows(
            "grower.spoons", 3, datetime(2027, 2, 19, 8, 30, tzinfo=UTC)
        )
        talker.session = None
        talker.dial()
        talker.type("1")
        assert talker.spot == "tea.cup"

        talker.wait(minutes=40).dial()
        assert talker.spot == "tea.sugar"
        talker.type("4")
        assert talker.reply.text.startswith("Sweetness 400.")

    def test_a_result_beyond_its_scale_is_refused_and_never_shown(self, book):
        talker = Talker(small_book(book, given=registry(most=500)))
        talker.dial()

        shown = talker.type("1", "6")
        assert shown.startswith("That size is outside what we work out.")
        assert talker.spot == "tea.sugar"

    def test_a_kept_fact_that_a_new_programme_does_not_allow_leads_to_the_menu(self, book, talker):
        grower = Grower(agreed=talker.now).knows("grower.spoons", 6, talker.now)
        talker.book = small_book(book, given=registry(most=500))
        talker.grower, talker.session = grower, None

        talker.dial()
        shown = talker.type("1")
        assert shown.startswith("That size is outside what we work out.")
        assert talker.spot == "welcome.menu"


def _book_of(shipped, welcome, milk, *_):
    from advisor.dialogue.building import build_book
    from advisor.dialogue.reading import read_flow

    flows = [read_flow(welcome, "welcome.yaml"), read_flow(milk, "milk.yaml")]
    return build_book(flows, [shipped.voices["en"]], registry(), shipped.programme, "other")
