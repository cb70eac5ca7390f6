"""What one message visits of the dialogues, noted beside an outcome that stays the same."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.dialogue.cover.counting import covers_of, least_percent, table
from advisor.dialogue.cover.noting import noted_step
from advisor.dialogue.cover.points import Part, points_of
from advisor.dialogue.talk import Event
from tests.dialogue.small import TEA, small_book
from tests.dialogue.talker import Talker

#: A flow with a list of ways, a screen with help and a choice that is sent.
BRANCHING = TEA.replace(
    "    to: cup\n",
    '    help: "A heaped spoon counts as two."\n'
    "    to:\n      - {to: cup, when: is_sweet}\n      - {to: bitter}\n"
    '  bitter: {say: "No sugar.", choices: [{say: "By SMS", send: note, to: return}, {say: "Done", to: return}]}\n'
    '  note: {say: "Tea without sugar.", end: "yes"}\n',
)


class Noted(Talker):
    """A grower whose every message is noted."""

    def __init__(self, book):
        super().__init__(book)
        self.visited, self.last = set(), frozenset()

    def _step(self, kind, text, place):
        event = Event(kind, text, place, f"m{self.messages + 1}")
        outcome, self.last = noted_step(self.book, self.session, self.grower, event, self.now)
        self.visited |= self.last
        shown = super()._step(kind, text, place)
        assert (outcome.session, outcome.effects, outcome.reply) == (self.session, self.effects, self.reply)
        return shown

    def names(self, part):
        """What the last message visited of a part, as screen and name."""
        return {(point.spot.screen, point.name) for point in self.last if point.part is part}


@pytest.fixture
def drinker(book):
    drinker = Noted(small_book(book, tea=BRANCHING))
    drinker.dial()
    return drinker


class TestScreens:
    def test_the_screen_that_is_shown_is_visited_and_the_steps_on_the_way_to_it(self, drinker):
        drinker.type("1")

        assert drinker.names(Part.SCREENS) == {("tea", ""), ("sugar", "")}

    def test_a_screen_that_is_passed_over_because_its_answer_is_known_is_not(self, drinker):
        drinker.type("1", "2", "2", "1")

        assert drinker.spot == "tea.cup"
        assert ("sugar", "") not in drinker.names(Part.SCREENS)

    def test_what_is_sent_as_sms_is_visited(self, drinker):
        drinker.type("1", "0", "1")

        assert ("note", "") in drinker.names(Part.SCREENS)

    def test_a_hang_up_visits_nothing(self, drinker):
        drinker.hang_up()

        assert drinker.last == frozenset()

    def test_the_answer_to_an_sms_in_one_line_is_visited(self, book):
        grower = Noted(book)
        grower.sms("SOYA 2 ACRES")

        assert ("message_buy", "") in grower.names(Part.SCREENS)


class TestAnswers:
    def test_a_choice_an_answer_that_is_typed_help_and_back_each_count_where_they_were_given(self, drinker):
        found = []
        for typed in ("1", "?", "00", "1", "2", "1"):
            drinker.type(typed)
            found.append(drinker.names(Part.ANSWERS))

        assert found == [
            {("menu", "choice_0")},
            {("sugar", "help")},
            {("sugar", "back")},
            {("menu", "choice_0")},
            {("sugar", "go")},
            {("cup", "choice_0")},
        ]

    def test_an_answer_that_is_refused_counts_as_none(self, drinker):
        drinker.type("1", "77")

        assert drinker.names(Part.ANSWERS) == set()

    def test_a_choice_that_was_kept_and_is_not_asked_again_counts_as_none(self, known):
        grower = Noted(known.book)
        grower.grower = known.grower
        grower.dial()

        assert grower.names(Part.ANSWERS) == set()
        assert {point.part for point in grower.last} >= {Part.CONDITIONS}


class TestConditions:
    def test_each_way_of_a_list_is_its_own(self, drinker):
        drinker.type("1", "0")
        assert drinker.names(Part.CONDITIONS) == {("sugar", "to 'bitter' where nothing else holds")}

        drinker.type("0", "3")
        assert drinker.names(Part.CONDITIONS) == {("sugar", "to 'cup' when is_sweet")}


class TestCounting:
    def test_nothing_visited_is_nothing_and_everything_is_all(self, book):
        assert least_percent(covers_of(book, ())) == 0
        covers = covers_of(book, points_of(book))
        assert least_percent(covers) == 100
        assert not any(cover.missing for cover in covers)

    def test_what_is_missing_is_named_by_file_and_line(self, book):
        told = list(table(covers_of(book, ())))

        line = next(point.line for point in points_of(book) if point.spot == ("buy_list", "size"))
        assert f"flows/buy_list.yaml:{line}: size: is not shown" in told
        assert any(row.endswith("withdraw: nobody answers '2 No'") for row in told)

    def test_a_share_that_is_not_whole_never_reads_as_whole(self, book):
        points = points_of(book)
        told = list(table(covers_of(book, points[1:])))

        assert "100" not in next(row for row in told if row.startswith("all")).split("%")[0]


TYPED = st.lists(
    st.sampled_from(["1", "2", "3", "0", "00", "000", "?", "9", "2.5", "45 of 50", "26"]), max_size=15
)


@given(typed=TYPED)
@settings(max_examples=40)
def test_noting_never_changes_an_outcome_and_notes_only_what_there_is(book, typed):
    grower = Noted(book)
    grower.dial()
    for text in typed:
        if grower.session is None:
            grower.dial()
        grower.type(text)

    assert grower.visited <= set(points_of(book))
