"""Lots of seed, their tests and what is said of them; what money is enough for; verdicts and going back."""

import pytest

from advisor.dialogue.talk import Forget


class TestSeedLots:
    def test_buying_seed_forgets_the_test_of_the_lot_before(self, known):
        known.type("1", "2.5", "2", "1", "90 100", "1")
        assert known.grower.fact("lot.test").value == (90, 100)

        known.type("1", "4", "2", "1")
        assert known.effects[0] == Forget(("lot.test", "lot.method"))
        assert known.grower.fact("lot.test") is None

    def test_a_count_of_nothing_is_a_count(self, known):
        shown = known.type("1", "2.5", "2", "1", "0 of 100", "1")

        assert known.grower.fact("lot.test").value == (0, 100)
        assert "do not sow it" in shown


class TestTwoCounts:
    """Own seed: 1 what to buy, 2.5 acres, 2 own, 1 counted, 2 on cloth, then the count."""

    def test_a_second_count_is_asked_for_and_replaces_the_first(self, known):
        known.type("1", "2.5", "2", "1", "65 100", "2")
        known.type("1", "4", "3")
        assert known.spot == "buy_list.count"

        known.type("85 100", "1")
        assert known.grower.fact("lot.test").value == (85, 100)
        assert known.grower.fact("lot.method").value == "bed"
        assert known.spot == "buy_list.list_good"

    def test_a_count_never_passes_to_another_lot(self, known):
        known.type("1", "2.5", "2", "1", "90 100", "2")
        known.type("1", "4", "2", "2")

        assert known.grower.fact("lot.test") is None
        assert known.spot == "buy_list.was_it_tested"

    def test_bought_seed_that_was_tested_is_judged(self, known):
        known.type("1", "2.5", "1", "1", "4", "3", "95 100", "2")
        assert known.spot == "buy_list.list_checked"
        assert "tested 95%" in known.reply.text

    def test_bought_seed_that_failed_goes_back(self, known):
        shown = known.type("1", "2.5", "1", "1", "4", "3", "40 100", "2")

        assert known.spot == "buy_list.take_back"
        assert "do not sow it" in shown

    def test_a_small_test_says_so_before_its_list_and_again_in_a_later_call(self, known):
        known.type("1", "2.5", "2", "1", "17 20", "2")
        assert known.spot == "buy_list.rough"
        known.type("1")
        assert known.spot == "buy_list.list_good"

        known.wait(hours=2).dial()
        known.type("1")
        assert known.spot == "buy_list.rough"

    @pytest.mark.parametrize(
        ("count", "screen", "percent"),
        [
            ("81 100", "list_good", "81%"),
            ("161 200", "list_good", "81%"),
            ("80 100", "list_middle", "80%"),
            ("60 100", "list_middle", "60%"),
            ("149 250", "list_half", "59%"),
            ("50 100", "list_half", "50%"),
            ("149 300", "list_poor", "49%"),
        ],
    )
    def test_a_percent_never_reads_as_the_other_side_of_an_edge(self, known, count, screen, percent):
        shown = known.type("1", "2.5", "2", "1", count, "2")

        assert known.spot == f"buy_list.{screen}"
        assert percent in shown


class TestBackAcrossAVerdict:
    def test_a_verdict_that_is_no_longer_true_is_not_shown_again(self, known):
        known.type("1", "2.5", "2", "1", "90 100", "2")
        assert known.spot == "buy_list.list_good"
        known.type("1", "4", "3", "65 100", "2")
        assert known.spot == "buy_list.list_middle"

        seen = []
        for _ in range(12):
            known.type("00" if known.spot in ("buy_list.count", "buy_list.size") else "0")
            seen.append((known.spot, known.reply.text))
        assert not [text for spot, text in seen if spot == "buy_list.list_good"]
        assert "welcome.menu" in [spot for spot, _ in seen]

    def test_where_the_step_would_choose_the_screen_on_show_back_leads_to_the_one_before(self, known):
        known.type("1", "2.5", "2", "1", "55 100", "1", "9", "1", "3", "2000", "9", "2")
        assert known.spot == "buy_list.list_half"

        known.type("0")
        assert known.spot == "buy_list.money"

    def test_back_always_comes_to_an_end(self, known):
        known.type("1", "2.5", "2", "1", "90 100", "2", "1", "4", "2", "1")
        for _ in range(25):
            known.type("00" if known.spot in ("buy_list.count", "buy_list.size") else "0")

        before = known.reply.text
        assert known.type("0") == before, "at the first screen back shows the same screen"

    def test_consent_is_not_asked_for_twice(self, talker):
        talker.dial()
        talker.type("1", "1", "0")

        assert talker.spot == "welcome.language"
        assert talker.grower.agreed


class TestMoney:
    def test_too_little_gives_the_list_for_the_part_it_is_enough_for(self, known):
        shown = known.type("1", "2.5", "1", "1", "3", "2000")
        assert known.spot == "buy_list.less_field"
        assert "Ul 2,000 is enough for 0.5 acres." in shown

        shown = known.type("1")
        assert known.spot == "buy_list.list_bought"
        assert shown.startswith("0.5 acres. Buy:\n10 kg seed: 2x5 kg")
        assert known.grower.fact("plot.area").value == pytest.approx(10117.141056), "the field stays what it is"

    def test_bad_seed_is_named_beside_the_sum(self, known):
        known.type("1", "2.5", "1", "1", "3", "2000", "3", "2000")
        known.type("2", "1", "4", "2", "2", "1", "30 100", "2")
        assert known.spot == "buy_list.less_bad"
        assert "tested 30%: do not sow it" in known.reply.text
        assert "Ul 2,000 buys other seed for 0.5 acres." in known.reply.text

        known.type("1")
        assert known.spot == "buy_list.list_poor"
        assert "0.5 acres. Buy:" in known.reply.text

    @pytest.mark.parametrize("change", [("1", "4", "1", "5", "1"), ("1", "3", "2100")])
    def test_a_new_field_or_sum_is_worked_out_anew(self, known, change):
        known.type("1", "2.5", "1", "1", "3", "2000", "1")
        assert known.spot == "buy_list.list_bought"

        known.type(*change)
        assert known.spot == "buy_list.less_field"


class TestOtherSeed:
    def test_a_new_count_after_bad_seed_asks_which_seed_it_is_of(self, known):
        known.type("1", "2.5", "2", "1", "10 100", "1", "1", "4", "3")
        assert known.spot == "buy_list.which_seed"

        known.type("2")
        assert known.spot == "buy_list.other_seed"

    def test_going_back_from_other_seed_shows_the_verdict_again(self, known):
        shown = known.type("1", "2.5", "2", "1", "10 100", "1")
        known.type("9", "2")
        assert known.spot == "buy_list.other_seed"

        assert known.type("0") == shown

    def test_going_back_from_a_new_count_keeps_the_old(self, known):
        known.type("1", "2.5", "2", "1", "90 100", "1", "1", "4", "3")
        assert known.spot == "buy_list.count"
        known.type("00", "0", "0")

        assert known.spot == "buy_list.list_good"
        assert known.grower.fact("lot.test").value == (90, 100)
