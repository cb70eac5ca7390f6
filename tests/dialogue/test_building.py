"""What is refused before anyone is served, and the proof that the rest fits."""

import pytest

from advisor.dialogue.checks.texts import engine_texts, texts_of
from advisor.dialogue.faults import Faulty
from advisor.wording.segments import ROOM, cost
from tests.dialogue.small import TEA, WELCOME, small_book


def whats(book, **flows):
    with pytest.raises(Faulty) as caught:
        small_book(book, **flows)
    return [fault.what for fault in caught.value.faults]


class TestNames:
    @pytest.mark.parametrize(
        ("old", "new", "what"),
        [
            ("work: sweetness", "work: bitterness", "there is no calculation 'bitterness'"),
            ("%(sweetness)s", "%(sweetnes)s", "nothing gives 'sweetnes'"),
            ("to: cup\n", "to: [{to: cup, when: is_sour}, {to: cup}]\n", "there is no condition 'is_sour'"),
            ("grower.spoons: 10 days", "grower.taste: 10 days", "nobody says how long 'grower.spoons' holds"),
            (
                '{kind: number, low: 0, high: 9, example: "2"}',
                "{kind: pick, from: beers}",
                "there is no list 'beers'",
            ),
            ("low: 0, high: 9", "low: 9, high: 0", "no number lies between 'low' 9 and 'high' 0"),
            ("Sweetness %(sweetness)s.", "Sweetness %s.", None),
        ],
    )
    def test_a_name_that_stands_for_nothing_is_named(self, book, old, new, what):
        found = whats(book, tea=TEA.replace(old, new))

        assert what in found if what else "is no placeholder" in found[0]


class TestWidths:
    def test_a_text_of_159_septets_fits_and_one_more_makes_a_page(self, book):
        footer = len("\n1 Again\n2 Done\n0 Back")
        text = "x" * (159 - footer)
        bare = TEA.replace("    work: sweetness\n", "").replace("Sweetness %(sweetness)s.", text)

        assert small_book(book, tea=bare).layout(_spot("tea.cup"), "en", "").costs == (159,)
        more = small_book(book, tea=bare.replace(text, text + "x")).layout(_spot("tea.cup"), "en", "")
        assert len(more.pages) == 2

    def test_a_line_longer_than_a_page_is_named_with_its_cost(self, book):
        (first, *_) = whats(book, tea=TEA.replace("Sweetness %(sweetness)s.", "x" * 160))

        assert first.startswith("a line costs 160, the room for it is 152")

    def test_a_letter_outside_the_alphabet_is_named(self, book):
        found = whats(book, tea=TEA.replace("How many", "Combien ç"))

        assert any("ç (U+00E7)" in what for what in found)

    def test_the_widest_text_claimed_is_really_produced(self, book):
        layout = small_book(book).layout(_spot("tea.cup"), "en", "")

        assert layout.widest == ("Sweetness 900.\n1 Again\n2 Done\n0 Back",)

    def test_every_page_of_the_shipped_book_fits_in_every_language_under_every_notice(self, book):
        assert len(book.layouts) > 800
        for (spot, language, notice), layout in book.layouts.items():
            voice = book.voices[language]
            for text, claimed in zip(layout.widest, layout.costs, strict=True):
                assert cost(text, voice.alphabet) == claimed <= ROOM[voice.alphabet], (spot, language, notice)
            assert len(layout.pages) <= 3

    def test_no_choice_list_can_hide_the_key_that_turns_the_page(self, book):
        choices = ", ".join(f'{{say: "c{number}", to: return}}' for number in range(9))
        tea = TEA.replace(
            'choices: [{say: "Again", to: sugar, again: "yes"}, {say: "Done", to: return}]',
            f"choices: [{choices}]",
        )

        assert "9 choices, 8 are allowed" in whats(book, tea=tea)


class TestExamples:
    @pytest.mark.parametrize("example", ["12", "few", "1.5"])
    def test_one_that_would_be_refused_is_named(self, book, example):
        found = whats(book, tea=TEA.replace('example: "2"', f'example: "{example}"'))

        assert found == [f"'{example}' is no answer to its own question"]

    def test_a_question_needs_one(self, book):
        assert "'example' must be a word or a sentence" in whats(book, tea=TEA.replace(', example: "2"', ""))


class TestSilentSlips:
    @pytest.mark.parametrize(
        ("old", "new", "what"),
        [
            ('again: "yes"}', 'again: "yes", forget: [grower.spoon]}', "nothing is known as 'grower.spoon'"),
            ("to: cup\n", "to: [{to: cup, known: grower.cup}, {to: cup}]\n", "nothing is known as 'grower.cup'"),
            ('to: sugar, again: "yes"}', "to: sugar}", None),
        ],
    )
    def test_a_name_that_would_do_nothing_is_named(self, book, old, new, what):
        if what:
            assert what in whats(book, tea=TEA.replace(old, new))
        else:
            assert small_book(book, tea=TEA.replace(old, new))

    def test_a_condition_on_results_needs_the_calculation_that_gives_them(self, book):
        tea = TEA.replace("to: cup\n", "to: [{to: cup, when: is_strong}, {to: cup}]\n")

        assert "'is_strong' looks at 'sweetness', which is not here" in whats(book, tea=tea)

    def test_one_fact_cannot_hold_for_two_times(self, book):
        welcome = WELCOME.replace("screens:", "facts: {grower.spoons: 3 days}\nscreens:")

        assert "another flow says something else of how long 'grower.spoons' holds" in whats(book, welcome=welcome)


class TestFingerprints:
    def test_the_book_has_another_when_a_word_changes(self, book):
        assert small_book(book).fingerprint == small_book(book).fingerprint
        assert small_book(book).fingerprint != small_book(book, tea=TEA.replace("spoons?", "spoon?")).fingerprint


class TestTranslations:
    def test_every_text_of_the_shipped_flows_is_translated(self, book):
        for voice in book.voices.values():
            for flow in book.flows.values():
                for context, text, plural, _ in texts_of(flow):
                    said = (
                        voice.catalog.plural(context, text, plural, 2)
                        if plural
                        else voice.catalog.message(context, text)
                    )
                    assert said, (voice.language, context, text)
            for text in engine_texts():
                assert voice.catalog.message("engine", text)

    def test_a_language_without_a_text_is_refused_with_the_text(self, book):
        from advisor.dialogue.building import build_book
        from advisor.dialogue.reading import read_flow
        from tests.dialogue.small import registry

        flows = [read_flow(WELCOME, "welcome.yaml"), read_flow(TEA, "tea.yaml")]
        with pytest.raises(Faulty) as caught:
            build_book(flows, [book.voices["en"], book.voices["sw"]], registry(), book.programme, "")

        fault = next(fault for fault in caught.value.faults if fault.screen == "tea.sugar")
        assert (fault.language, "How many spoons?" in fault.what) == ("sw", True)


def _spot(name):
    from advisor.dialogue.talk import Spot

    return Spot(*name.split("."))
