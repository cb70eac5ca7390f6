"""Several fields and lots on the phone: one in hand, asked for once, and nothing of it for who has one."""

import pytest

from advisor.dialogue.session import session_from_json, session_to_json
from advisor.records.several import all_of, begins
from tests.dialogue.planting import ENGLISH, plant, told
from tests.dialogue.talker import Talker

FIELDS, WHICH = "flows/my_fields.yaml", "flows/which_field.yaml"
SECOND = ("8", "2", "3", "1", "1.25")


@pytest.fixture
def two(known):
    """A grower with a field of 2.5 acres and one of 1.25, which is in hand."""
    known.type("1", "2.5", "1", "00", *SECOND, "00")
    return known


def again(grower):
    grower.hang_up()
    return grower.wait(days=1).dial()


def acres(grower):
    facts = [{fact.name: fact.value for fact in each} for each in all_of(grower.grower, "plot")]
    return [round(each["plot.area"] / 4046.8564224, 2) if "plot.area" in each else None for each in facts]


class TestOneField:
    def test_is_never_asked_for(self, known):
        known.type("1", "2.5", "1", "00")
        again(known)

        assert "2.5 acres. Buy:" in known.type("1")

    def test_that_was_never_measured_is_measured_at_once(self, known):
        assert known.type("8", "2").startswith("Lay out a rope 20 m long.")

    def test_is_all_that_is_kept_before_consent(self, talker):
        talker.dial()
        talker.type("1", "2", "2", "1", "2.5", "1", "00", "8", "2")

        assert talker.type("3").startswith("For more fields we must keep your answers.")
        assert talker.type("1").startswith("A new field.")
        talker.type("1", "1.25")
        assert acres(talker) == [2.5, 1.25]


class TestTheFieldThatIsMeant:
    def test_is_asked_once_in_a_conversation(self, two):
        again(two)

        assert two.type("1").startswith("Which field?\n1 Field 1: 2.5 acres\n2 Field 2: 1.25 acres")
        assert "2.5 acres. Buy:" in two.type("1")
        assert "2.5 acres. Buy:" in two.type("00", "1")

    def test_is_the_one_just_begun(self, two):
        assert "1.25 acres. Buy:" in two.type("1")

    def test_has_its_own_day_to_sow(self, two):
        two.type("4", "1", "1", "1/4", "00")
        again(two)

        assert two.type("4", "1", "1").startswith("Too late to sow this season.")
        again(two)
        assert "1 Apr" in two.type("4", "1", "2")

    def test_keeps_the_time_at_which_it_was_learnt(self, two):
        """A size holds for 300 days; that of the first field is as old as it was, however often it is taken up."""
        two.hang_up()
        two.wait(days=200).dial()
        two.type("1", "1", "00")
        two.hang_up()
        two.wait(days=101).dial()

        assert two.type("1").startswith("Which field?\n1 Field 1, not measured\n2 Field 2, not measured")

    def test_a_number_that_is_not_on_the_screen_is_asked_again(self, two):
        again(two)

        shown = two.type("1", "3")

        assert shown.startswith("Type one of the numbers you see.\nWhich field?")

    def test_an_answer_to_a_list_that_has_changed_since_is_not_taken(self, two):
        again(two)
        two.type("1")
        two.grower = begins(two.grower, "plot").knows("plot.area", 4046.8564224, two.now)

        shown = two.type("2")

        assert shown.startswith("The questions are new.")
        assert "3 Field 3: 1 acre" in shown

    def test_travels_with_the_session(self, two):
        assert session_from_json(session_to_json(two.session)) == two.session


class TestTheList:
    def test_takes_four_and_no_more(self, two):
        two.type("8", "2", "0", "1", "3", "4", "0", "1", "4", "4", "0")

        assert two.reply.text.startswith("You have 4 fields. We keep no more.")
        assert acres(two) == [2.5, 1.25, 3.0, 4.0]

    def test_forgets_one_after_asking_and_the_first_is_in_hand(self, two):
        two.type("8", "2", "2", "3")
        assert two.reply.text.startswith("Forget field 2?")
        two.type("2")
        assert acres(two) == [2.5, 1.25]

        shown = two.type("3", "1")

        assert shown.startswith("Your field: 2.5 acres.")
        assert two.grower.aside == ()

    def test_a_field_that_was_begun_and_not_measured_is_none_once_another_is_taken_up(self, two):
        two.type("8", "2", "0", "2", "00")
        assert acres(two) == [2.5, 1.25, None]

        two.type("8", "2", "1", "00")

        assert acres(two) == [2.5, 1.25]

    def test_is_gone_with_all_else_when_consent_is_taken_back(self, two):
        two.type("8", "6")
        shown = two.reply.text
        choice = next(line[0] for line in shown.splitlines() if "Forget my answers" in line)
        two.type(choice, "1")

        assert two.grower.aside == ()
        assert two.grower.facts == ()


class TestLots:
    @pytest.fixture
    def tested(self, known):
        """Own seed of which 45 of 50 grew."""
        known.type("1", "2.5", "2", "1", "45 50", "2")
        return known

    def other(self, tested):
        """The way from the list to the lots."""
        return tested.type("1", "4", "4")

    def test_other_seed_begins_with_no_test_and_the_tested_seed_stays(self, tested):
        self.other(tested)
        tested.type("0", "1")
        assert tested.spot == "buy_list.list_bought"
        assert tested.grower.fact("lot.test") is None

        assert self.other(tested).startswith(
            "Which seed will you sow?\n1 Bag 1, my own: 45 of 50 grew\n2 Bag 2, bought, not tested"
        )
        tested.type("1")
        assert tested.spot == "buy_list.list_good"
        assert tested.grower.fact("lot.test").value == (45, 50)

    def test_a_fourth_lot_takes_the_place_of_the_one_not_heard_of_for_longest(self, tested):
        for _ in range(3):
            tested.wait(minutes=1)
            self.other(tested)
            tested.type("0", "1")

        assert len(all_of(tested.grower, "lot")) == 3
        assert not any(fact.name == "lot.test" for facts in all_of(tested.grower, "lot") for fact in facts)

    def test_seed_of_which_nothing_holds_any_more_is_not_listed(self, tested):
        self.other(tested)
        tested.type("0", "1")
        tested.hang_up()
        tested.wait(days=61).dial()

        tested.type("1", "1")

        assert self.other(tested).startswith("Which seed will you sow?\n1 Bag 2, bought, not tested\n0 New seed")

    def test_before_consent_other_seed_takes_the_place_of_the_one_of_before(self, book):
        ann = Talker(book)
        ann.dial()
        ann.type("1", "2", "2", "1", "2.5", "2", "1", "45 50", "2")

        self.other(ann)
        ann.type("0", "1")

        assert self.other(ann).startswith("Which seed will you sow?\n1 Bag 1, bought, not tested\n0 New seed")
        assert ann.grower.facts == ()


class TestBags:
    """Lots are called bags on the phone, by the number that is written on them."""

    @pytest.fixture
    def two(self, known):
        """Bag 1 is tested own seed, bag 2 bought and in hand."""
        known.type("1", "2.5", "2", "1", "45 50", "2", "1", "4", "4", "0", "1")
        return known

    def test_that_is_meant_is_asked_once_in_a_conversation_about_seed(self, two):
        again(two)

        assert two.type("1").startswith("Which bag of seed?\n1 Bag 1, my own: 45 of 50 grew\n2 Bag 2, bought")
        assert two.type("1").startswith("Bag 1\n2.5 acres. Your seed is good: 90%.")
        assert not two.type("00", "4", "2").startswith("Which bag")

    def test_is_asked_for_where_the_test_the_holes_and_the_inoculant_rest_on_it(self, two):
        for way in (("3", "1"), ("3", "3"), ("4", "2")):
            again(two)
            assert two.type(*way).startswith("Which bag of seed?")

    def test_is_not_asked_for_nor_named_where_there_is_one(self, known):
        known.type("1", "2.5", "2", "1", "45 50", "2")
        for way in (("1",), ("3", "1"), ("3", "3"), ("4", "2")):
            again(known)
            assert "Bag" not in known.type(*way)

    def test_that_is_new_is_begun_once_however_often_that_is_said(self, two):
        again(two)
        two.type("3", "1", "0", "1", "0", "1")

        assert two.type("1", "2").startswith("Bag 3\nWhere do you want to sow the test?")
        assert len(all_of(two.grower, "lot")) == 3

    def test_changes_nothing_of_another_by_its_test(self, two):
        again(two)
        two.type("3", "1", "2")
        two.type("1", "1", "1", "2", "today", "50")
        two.hang_up()
        two.wait(days=8).dial()
        assert two.type("3", "1", "2", "20").startswith("Bag 2\n20 of 50: right?")
        two.type("1")

        tests = [fact.value for facts in all_of(two.grower, "lot") for fact in facts if fact.name == "lot.test"]
        assert tests == [(45, 50), (20, 50)]


class TestWhatTheCheckerTells:
    def test_a_screen_that_names_what_is_never_named(self):
        text = "    say: |-\n      Sort first"
        planted = plant("flows/seed_test.yaml", f"    names: lot\n{text}", f"    names: plot\n{text}", ENGLISH)

        told(planted, "'names: plot' names nothing here", "prepare:", "seed_test.prepare")

    def test_a_step_that_takes_up_what_nothing_gives(self):
        planted = plant("flows/seed_test.yaml", "take: lot, to: sown_day", "take: seed, to: sown_day", ENGLISH)

        told(planted, "'take: seed' takes nothing here", "next_sown:", "seed_test.next_sown")

    LAST = '        - {say: "Field %(number)s, not measured"}\n'

    def test_a_list_without_a_line_for_every_field(self):
        planted = plant(WHICH, self.LAST, "", ENGLISH)

        told(planted, "the list of lines has no last resort", "Field %(number)s: %(area)s", "which_field.which")

    def test_a_line_that_names_what_not_every_field_has(self):
        planted = plant(WHICH, ", known: plot.area}", '}\n        - {say: "x"}', ENGLISH)

        told(planted, "the line needs 'plot.area'", "%(area)s", "which_field.which")

    def test_a_line_that_names_nothing(self):
        planted = plant(WHICH, "%(area)s", "%(aria)s", ENGLISH)

        fault = told(planted, "nothing gives 'aria'", "%(aria)s", "which_field.which")

        assert fault.instead.startswith("did you mean 'area'?")

    def test_a_condition_on_something_else_than_the_field(self):
        planted = plant(WHICH, "known: plot.area}", "known: plot.area, when: lot_is_bought}", ENGLISH)

        told(planted, "looks at more than facts of the plot", "lot_is_bought", "which_field.which")

    def test_a_scope_of_which_there_is_but_one(self):
        planted = plant(WHICH, "of: plot", "of: grower", ENGLISH)

        assert "there are not several of 'grower'" in [fault.what for fault in planted.found]

    def test_an_answer_that_is_kept_beside(self):
        planted = plant(WHICH, "    to: return", "    keep: plot.area\n    to: return", ENGLISH)

        assert "'keep' on a question which of several" in [fault.what for fault in planted.found]

    def test_a_size_that_is_counted_on_behind_another_field(self):
        """Known or not before, once another field is in hand its size is not."""
        planted = plant(FIELDS, "    to: field\n\n  field:\n", "    to: sized\n\n  field:\n", ENGLISH)

        (fault,) = [each for each in planted.found if "needs 'plot.area'" in each.what]
        assert fault.screen == "my_fields.sized"

    def test_a_size_that_is_counted_on_behind_a_dialogue_that_takes_another_up(self):
        welcome = plant(
            "flows/welcome.yaml",
            "  buy: {call: which_field, to: buy_bag}",
            (
                "  buy:\n    to: [{to: buy_it, known: plot.area}, {to: menu}]\n"
                "  buy_it: {call: which_field, to: size}\n"
                "  size: {work: picture, to: buy_list}"
            ),
            ENGLISH,
        )

        (fault,) = [each for each in welcome.found if "'picture' needs 'plot.area'" in each.what]
        assert fault.screen == "welcome.size"
