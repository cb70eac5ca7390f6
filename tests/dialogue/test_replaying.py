"""Two courses of one conversation: where they part, and in what."""

import pytest

from advisor.dialogue.cover.noting import noted_step
from advisor.dialogue.replaying import Aspect, first_parting, happened
from advisor.dialogue.talk import Event, EventKind
from tests.dialogue.small import TEA, WELCOME, small_book
from tests.dialogue.talker import Talker


class Course(Talker):
    """A grower whose every message is kept as what it did."""

    def __init__(self, book):
        super().__init__(book)
        self.steps = []

    def _step(self, kind, text, place):
        event = Event(kind, text, place, f"m{self.messages + 1}")
        outcome, visited = noted_step(self.book, self.session, self.grower, event, self.now)
        self.steps.append(happened(self.book, outcome, visited))
        return super()._step(kind, text, place)


def course(book, *typed):
    grower = Course(book)
    grower.dial()
    grower.type(*typed)
    return grower.steps


@pytest.fixture
def was(book):
    return course(small_book(book), "1", "2", "2")


def under(book, old, new, *typed, welcome=WELCOME):
    assert old in TEA
    return course(small_book(book, tea=TEA.replace(old, new), welcome=welcome), *typed)


class TestWhatAMessageDid:
    def test_screen_answer_effects_and_words(self, book):
        grower = Course(book)
        grower.dial()
        grower.type("1", "1", "2")
        dialled, language, consent, village = grower.steps

        assert (dialled.screen, dialled.answer) == ("welcome.language", "")
        assert (language.screen, language.answer) == ("welcome.consent", "go")
        assert (consent.answer, consent.effects) == ("yes", ("agree", "keeps grower.language: en"))
        assert (village.screen, village.effects) == ("welcome.menu", ("keeps grower.village: v2",))
        assert village.words[0].startswith("What do you need?")

    def test_a_call_that_ends_shows_its_last_screen_and_what_is_sent_is_said(self, known):
        grower = Course(known.book)
        grower.grower = known.grower
        grower.dial()
        grower.type("1", "2.5", "1", "1", "1")

        assert grower.steps[-1].screen == "buy_list.sent"
        assert "sends buy_list.sms_list" in grower.steps[-1].effects
        assert len(grower.steps[-1].words) == 3

    def test_a_hang_up_does_nothing(self, book):
        grower = Course(book)
        grower.dial()
        grower.act(EventKind.CANCEL, "", "ussd:call-1")

        assert grower.steps[-1].answer == ""
        assert grower.steps[-1].effects == ()


class TestTheFirstDifference:
    def test_the_same_book_goes_the_same_way(self, book, was):
        assert first_parting(was, course(small_book(book), "1", "2", "2"), Aspect) is None

    def test_another_screen(self, book, was):
        bye = 'say: "Done", to: bye}]\n  bye: {say: "Bye.", end: "yes"}'
        now = under(book, 'say: "Done", to: return}]', bye, "1", "2", "2")
        found = first_parting(was, now, Aspect)

        assert (found.place, found.aspect) == (3, Aspect.SCREEN)
        assert (found.was, found.now) == ("welcome.menu", "tea.bye")

    def test_words_alone_are_no_other_way(self, book, was):
        now = under(book, "How many spoons?", "How much sugar?", "1", "2", "2")

        assert first_parting(was, now, [Aspect.SCREEN, Aspect.ANSWER, Aspect.EFFECTS]) is None
        found = first_parting(was, now, Aspect)
        assert (found.place, found.aspect) == (1, Aspect.WORDS)

    def test_a_conversation_that_cannot_go_on_parts_where_it_stops(self, was):
        assert first_parting(was, was[:2], Aspect).place == 2

    def test_choices_in_another_order_are_another_answer_only_for_the_number_that_was_typed(self, book, was):
        swapped = under(
            book,
            '{say: "Again", to: sugar, again: "yes"}, {say: "Done", to: return}',
            '{say: "Done", to: return}, {say: "Again", to: sugar, again: "yes"}',
            "1",
            "2",
            "1",
        )

        assert first_parting(was, swapped, [Aspect.SCREEN, Aspect.ANSWER, Aspect.EFFECTS]) is None

    def test_other_effects(self, book):
        agreeing = WELCOME.replace('{say: "Tea", to: tea}', '{say: "Tea", do: agree, to: tea}')
        was = course(small_book(book, welcome=agreeing), "1", "2")
        renamed = TEA.replace("keep: grower.spoons", "keep: grower.spoons\n    forget: [grower.spoons]")
        now = course(small_book(book, welcome=WELCOME, tea=renamed), "1", "2")

        assert first_parting(was, now, [Aspect.EFFECTS]).was == "agree"
