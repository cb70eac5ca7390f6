"""Cautions left out, misspelt or not said, planted in the shipped flows, are told with file, line and screen."""

from __future__ import annotations

import pytest

from advisor.advice.buying import buying
from advisor.agronomy.buylist import Lot, Origin, buy_list
from advisor.agronomy.cautions import CAUTIONS
from advisor.agronomy.germination import SeedTest
from advisor.agronomy.units import ACRE_M2
from advisor.dialogue.faults import in_order
from advisor.loading import load_book, load_figures
from tests.dialogue.planting import ENGLISH, LIST, Planted, plant, shipped_texts, told

ALL = "    warns: [dressed_seed_is_poison, wash, follow_the_pack, ask_dealer_or_extension]\n"


def planted_in(screen, old, new, spoken=ENGLISH):
    """One change inside a screen of the list."""
    text = shipped_texts()[LIST]
    start = text.index(f"\n  {screen}:\n")
    end = text.find("\n\n", start)
    assert text.count(old, start, end) == 1
    return Planted(LIST, text[:start] + text[start:end].replace(old, new) + text[end:], spoken)


class TestACautionThatIsLeftOut:
    def test_is_told_at_every_screen_whose_figures_lead_there_without_it(self):
        found = planted_in("more", ALL, ALL.replace("dressed_seed_is_poison, ", "")).found
        unsaid = in_order(fault for fault in found if "caution 'dressed_seed_is_poison'" in fault.what)

        bought = ("list_bought", "list_bought_runs", "list_bought_now", "list_checked")
        lists = (*bought, "list_half", "list_half_now", "list_poor", "list_poor_now", "sow_even", "sow_mixed")
        assert [fault.screen for fault in unsaid] == [f"buy_list.{name}" for name in lists]
        assert all("'buy_list' brings" in fault.what and "'more'" in fault.what for fault in unsaid[:-2])
        assert all("'sowing' brings" in fault.what for fault in unsaid[-2:])
        assert all("warns: [dressed_seed_is_poison]" in fault.instead for fault in found)

    @pytest.mark.parametrize(
        ("screen", "warns", "caution"),
        [
            (
                "take_back",
                "    warns: [dressed_seed_is_poison, ask_dealer_or_extension]\n",
                "dressed_seed_is_poison",
            ),
            ("less_bad", "    warns: [dressed_seed_is_poison]\n", "dressed_seed_is_poison"),
            (
                "message_take_back",
                "    warns: [dressed_seed_is_poison, ask_dealer_or_extension]\n",
                "dressed_seed_is_poison",
            ),
            ("message_test_first", "    warns: [dressed_seed_is_poison]\n", "dressed_seed_is_poison"),
        ],
    )
    def test_is_told_where_a_screen_stands_alone_or_leads_away(self, screen, warns, caution):
        planted = planted_in(screen, warns, "")
        (fault,) = [each for each in planted.found if f"'{caution}'" in each.what]

        lines = planted.text.splitlines()
        assert lines[fault.line - 1].startswith("    say: ")
        assert lines.index(f"  {screen}:") < fault.line <= lines.index(f"  {screen}:") + 4
        assert fault.screen == f"buy_list.{screen}"

    @pytest.mark.parametrize("screen", ["sms_list", "sms_own", "message_buy", "message_own"])
    def test_is_told_of_a_text_that_is_sent_by_itself(self, screen):
        text = shipped_texts()[LIST]
        start = text.index(f"\n  {screen}:\n")
        line = text[text.index("    warns:", start) : text.index("    end:", start)]

        what = [fault.what for fault in planted_in(screen, line, "").found if fault.screen == f"buy_list.{screen}"]
        assert any("'follow_the_pack', which is not said on the way to the end" in each for each in what)

    def test_is_told_where_another_screen_comes_between(self):
        """The list leads to a screen that does not warn, and that one to the caution."""
        planted = plant(
            LIST,
            "  list_checked:\n",
            '  between:\n    say: "Good."\n    choices:\n      - {say: "More", to: more}\n\n  list_checked:\n',
        )
        text = planted.text
        start = text.index("  list_bought:")
        text = text[:start] + text[start:].replace('{say: "More", to: more}', '{say: "More", to: between}', 1)
        found = [fault for fault in Planted(LIST, text, ENGLISH).found if "'between'" in fault.what]

        assert {fault.screen for fault in found} == {"buy_list.list_bought"}
        assert len(found) == 3

    def test_is_not_told_where_every_way_has_said_it_before(self):
        """How to sow is shown behind the caution only; it need not be read twice."""
        text = shipped_texts()[LIST]

        assert "warns" not in text[text.index("  sow_even:") : text.index("  rows:")]
        assert plant(LIST, "version: 1", "version: 2", ENGLISH).found == ()

    def test_is_told_where_one_way_has_not_said_it(self):
        planted = plant(
            LIST, "      - {to: bought_untested, when: seed_is_bought}\n", "      - {to: sowing}\n", ENGLISH
        )

        unsaid = [fault.screen for fault in planted.found if "'sowing' brings the caution" in fault.what]
        assert unsaid == ["buy_list.sow_even", "buy_list.sow_mixed"]


class TestACautionThatIsNoneOrNotSaid:
    def test_a_misspelt_one_is_told_with_the_right_one(self):
        planted = planted_in("less_bad", "[dressed_seed_is_poison]", "[dressed_seed_is_poisn]")

        fault = told(planted, "no caution 'dressed_seed_is_poisn'", "[dressed_seed_is_poisn]", "buy_list.less_bad")
        assert "did you mean 'dressed_seed_is_poison'" in fault.instead

    def test_on_a_step_that_says_nothing_it_is_told(self):
        planted = plant(LIST, "  bad_seed:\n    work", "  bad_seed:\n    warns: [wash]\n    work", ENGLISH)

        told(planted, "says nothing", "    warns: [wash]", "buy_list.bad_seed")

    def test_a_text_that_does_not_say_it_is_told(self):
        planted = planted_in("less_bad", "Dressed seed is poison, not food.", "Dressed seed is not food.")

        found = [fault for fault in planted.found if "does not say the caution" in fault.what]
        assert [(fault.screen, fault.language) for fault in found] == [("buy_list.less_bad", "en")]
        assert "'poison'" in found[0].instead

    @pytest.mark.parametrize(
        ("language", "said", "unsaid"),
        [
            ("sw", "zenye dawa: ni sumu. Nawa", "zenye dawa. Nawa"),
            ("hi", "दवा लगा बीज न मिलाएँ: वह जहर है", "दवा लगा बीज न मिलाएँ"),
            ("fr", "de semence traitée: c'est un poison.", "de semence traitée."),
        ],
    )
    def test_a_translation_that_does_not_say_it_is_told_under_its_line(self, language, said, unsaid):
        file = f"locales/{language}.po"
        planted = plant(file, said, unsaid, ("en", language))

        (fault,) = [fault for fault in planted.found if "does not say the caution" in fault.what]
        assert (fault.file, fault.screen, fault.language) == (file, "buy_list.more_own", language)
        lines = planted.text.splitlines()
        assert lines[fault.line - 2] == 'msgctxt "buy_list.more_own"'

    def test_a_language_without_words_for_it_is_told(self):
        file = "locales/sw.glossary.toml"
        planted = plant(file, 'dressed_seed_is_poison = ["sumu"]\n', "", ("en", "sw"))

        assert {(fault.file, fault.language) for fault in planted.found} == {(file, "sw")}
        assert "[cautions]" in planted.found[0].instead


class TestTheCalculations:
    def test_bring_only_cautions_that_their_results_carry_and_results_that_they_give(self):
        programme = load_book().programme
        crop = next(crop for crop in load_figures()[1] if crop.key == programme.crops[0].crop)
        lots = (Lot(Origin.BOUGHT), Lot(Origin.SAVED), Lot(Origin.SAVED, SeedTest(90, 100)))
        carried = {key for lot in lots for key in buy_list(programme, crop, ACRE_M2, lot).cautions}

        for calculation in buying(programme, crop):
            assert calculation.brings
            for brings in calculation.brings:
                assert brings.caution in carried <= set(CAUTIONS)
                assert set(brings.with_results) <= {name for name, _ in calculation.gives}

    def test_are_listed_with_their_cautions_on_the_authors_page(self):
        from tests.dialogue.answers.test_documented import PAGE

        for calculation in load_book().registry.calculations:
            for brings in calculation.brings:
                (results,) = (
                    row[2]
                    for row in (line.strip("| ").split(" | ") for line in PAGE.splitlines())
                    if len(row) == 3 and f"`{calculation.name}`" in row[0] and f"`{brings.caution}`" in row[1]
                )
                assert all(f"`{name}`" in results for name in brings.with_results)
                assert ("not in an SMS in one line" in results) != brings.in_one_line
