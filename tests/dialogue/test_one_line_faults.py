"""What is wrong with the answers to an SMS in one line is named before anyone is served."""

from dataclasses import replace
from pathlib import Path

import pytest

import advisor
from advisor.dialogue.building import build_book
from advisor.dialogue.faults import Faulty
from advisor.dialogue.one_line.keywords import keyword_faults
from advisor.dialogue.reading import read_flow

HOME = Path(advisor.__file__).parent.parent
FLOW = (HOME / "flows" / "buy_list.yaml").read_text(encoding="utf-8")
LOCALES = HOME / "locales"


def faults_of(book, *changes):
    """The faults of the shipped flows in English with something changed in the buy list.

    Args:
        changes: pairs of text in the flow and what stands there instead.
    """
    text = FLOW
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    try:
        flow = read_flow(text, "flows/buy_list.yaml")
    except Faulty as faulty:
        return faulty.faults
    return built(book, flow)


def built(book, flow, *voices):
    """The faults of the shipped flows with one of them changed, in English or in the languages given."""
    flows = [*(other for other in book.flows.values() if other.name != flow.name), flow]
    try:
        build_book(flows, voices or [book.voices["en"]], book.registry, book.programme, "")
    except Faulty as faulty:
        return faulty.faults
    return ()


def word_faults(book, *flows, **words):
    """What is wrong with the words of the shipped glossaries, some fields of some languages changed."""
    changed = [
        replace(voice, glossary=replace(voice.glossary, **words.get(language, {})))
        for language, voice in book.voices.items()
    ]
    declared = {flow.name: flow for flow in flows} or book.flows
    return [(fault.what, fault.language) for fault in keyword_faults(declared, changed)]


def keyword(word, *more):
    return {"keywords": (("soya", (word, *more)),)}


def test_the_shipped_flows_and_glossaries_have_none(book):
    assert faults_of(book) == ()


class TestFlows:
    @pytest.mark.parametrize(
        ("old", "new", "what"),
        [
            ("answers: size\n", "answers: sise\n", "'sise' cannot be answered"),
            ("answers: size\n", "answers: source\n", "'source' cannot be answered"),
            ("answers: size\n", "answers: rows\n", "'rows' cannot be answered"),
            ("    to: message\n", "    to: messages\n", "'messages' is no answer to a message"),
            ("    to: message\n", "    to: menu\n", "'menu' is no answer to a message"),
            ("    to: message\n", "    to: rough\n", "'rough' cannot answer a message"),
            ("    to: message\n", "    to: list\n", "'rough' cannot answer a message"),
            ("assumes: {lot.origin: bought}", "assumes: {lot.origin: found}", "'lot.origin' is never 'found'"),
            ("assumes: {lot.origin: bought}", "assumes: {lot.colour: red}", "'lot.colour' is never 'red'"),
            ("assumes: {lot.origin: bought}", "assume: {lot.origin: bought}", "unknown key 'assume' in 'soya'"),
            ("  soya:\n    answers", "  soya:\n    help: Soya\n    answers", "unknown key 'help' in 'soya'"),
            ("  soya:\n    answers", "  Soya:\n    answers", "'Soya' is no name"),
            ("{lot.origin: bought}\n    to", "bought\n    to", "'assumes' is not a table"),
            ("send: sms_list", "send: message_buy", "'message_buy' is the answer to an SMS in one line,"),
        ],
    )
    def test_a_declaration_that_does_not_hold_is_named(self, book, old, new, what):
        assert any(fault.what.startswith(what) for fault in faults_of(book, (old, new)))

    def test_what_the_answer_needs_must_stand_in_the_message_or_be_assumed(self, book):
        found = [fault.what for fault in faults_of(book, ("    assumes: {lot.origin: bought}\n", ""))]

        assert "'buy_list' needs 'lot.origin', which is not known on every path to here" in found

    def test_a_value_that_is_not_always_there_needs_its_condition(self, book):
        found = faults_of(book, ("      - {to: message_test_again}\n", "      - {to: message_own}\n"))

        assert any("'grain'" in fault.what for fault in found)

    def test_the_fault_has_file_line_and_keyword(self, book):
        (fault,) = (
            fault
            for fault in faults_of(book, ("answers: size\n", "answers: sise\n"))
            if "cannot be answered" in fault.what
        )

        assert FLOW.splitlines()[fault.line - 1].strip() == "soya:"
        assert (fault.file, fault.screen) == ("flows/buy_list.yaml", "buy_list.soya")

    def test_one_keyword_in_two_flows_is_named(self, book):
        other = replace(book.flows["measure_field"], one_lines=book.flows["buy_list"].one_lines)

        assert ("'soya' is declared in 'buy_list' too", "") in word_faults(book, book.flows["buy_list"], other)


class TestWidths:
    @pytest.mark.parametrize("language", ["en", "sw", "hi", "fr"])
    def test_the_widest_answer_is_measured_to_the_letter(self, book, language):
        """As many letters more as there is room for fit, and one more does not."""
        (spot, _), layout = max(
            (
                (key, layout)
                for key, layout in book.answers.items()
                if (key[0].flow, key[1]) == ("buy_list", language)
            ),
            key=lambda pair: pair[1].costs[0],
        )
        room = {"hi": 134}.get(language, 159) - layout.costs[0]
        assert room >= 0
        assert self._with(book, language, spot.screen, room) == ()

        (fault,) = self._with(book, language, spot.screen, room + 1)
        assert fault.language == language
        assert fault.screen == f"buy_list.{spot.screen}"
        assert "do not fit the one message" in fault.what
        assert fault.wide.cost == fault.wide.room + 1 == len(fault.wide.text)

    def _with(self, book, language, screen, letters):
        """The faults once the text of a screen has some letters more in one language."""
        voice, flow = book.voices[language], book.flows["buy_list"]
        if language == "en":
            text = flow.screen(screen).say.text.split("\n")[-1]
            start = FLOW.index(f"  {screen}:\n")
            tail = FLOW[start:].replace(text, text + "x" * letters, 1)
            return built(book, read_flow(FLOW[:start] + tail, "flows/buy_list.yaml"))
        entries = tuple(
            replace(entry, texts=tuple(text + "x" * letters for text in entry.texts))
            if entry.context == f"buy_list.{screen}"
            else entry
            for entry in voice.catalog.entries
        )
        return built(book, flow, replace(voice, catalog=replace(voice.catalog, entries=entries)))


class TestWords:
    @pytest.mark.parametrize(
        ("word", "what"),
        [
            ("acre", "the keyword word 'acre' is also a word of the unit 'acre' (en)"),
            ("menu", "the keyword word 'menu' is also a word of the command 'menu' (en)"),
            ("seven", "the keyword word 'seven' is also a word of a number (en)"),
            ("mbegu", "the keyword word 'mbegu' is also an aside (sw)"),
            ("stop", "the keyword word 'stop' is too near to 'stop'"),
            ("stoop", "the keyword word 'stoop' is too near to 'stop'"),
            ("simamo", "the keyword word 'simamo' is too near to 'simama'"),
            ("soy", "the keyword word 'soy' is too short or not one word"),
            ("soya bean", "the keyword word 'soya bean' is too short or not one word"),
        ],
    )
    def test_a_word_that_could_be_taken_for_another_is_named(self, book, word, what):
        assert (what, "en") in word_faults(book, en=keyword("Soya", word))

    def test_one_word_for_two_keywords_is_named_whatever_their_language(self, book):
        (one,) = book.flows["buy_list"].one_lines
        flow = replace(book.flows["buy_list"], one_lines=(one, replace(one, keyword="maize")))
        words = {
            language: {"keywords": (*voice.glossary.keywords, ("maize", ("Maize",)))}
            for language, voice in book.voices.items()
        }
        # "soyo" of one language is one letter from "soya" of another.
        words["fr"] = {"keywords": (*book.voices["fr"].glossary.keywords, ("maize", ("Soyo",)))}

        assert ("'soyo' for 'maize' is too near to 'soya' for 'soya'", "fr") in word_faults(book, flow, **words)

    def test_the_fault_stands_at_the_line_of_the_keyword_in_its_glossary(self, book):
        english = book.voices["en"]
        voice = replace(english, glossary=replace(english.glossary, **keyword("Soya", "acre")))
        text = (LOCALES / "en.glossary.toml").read_text(encoding="utf-8")

        faults = keyword_faults(book.flows, [voice], {"mine/en.glossary.toml": text})
        fault = next(each for each in faults if "'acre'" in each.what)
        assert fault.file == "mine/en.glossary.toml"
        assert text.splitlines()[fault.line - 1].startswith("soya = [")

    def test_a_language_without_a_word_is_named(self, book):
        assert ("no word for 'soya'", "hi") in word_faults(book, hi={"keywords": ()})

    def test_a_word_that_stops_in_one_language_and_erases_in_another_is_named(self, book):
        keys = (*book.voices["fr"].glossary.keys, ("acha", "erase"))

        assert ("'acha' means stop, and erase in another language", "sw") in word_faults(book, fr={"keys": keys})

    def test_an_aside_that_says_something_is_named(self, book):
        assert ("'ekari' says something and is no aside", "en") in word_faults(book, en={"asides": ("ekari",)})

    def test_an_example_that_would_be_read_as_another_is_named(self, book):
        """Where "acres" were a word for hectares, the example in acres would be another field."""
        voice = book.voices["en"]
        units = tuple((word, "hectare" if word == "acres" else unit) for word, unit in voice.glossary.units)
        strange = replace(voice, glossary=replace(voice.glossary, units=units))

        assert "'SOYA 2.5 ACRES' is not understood, and it is the example" in [
            fault.what for fault in built(book, book.flows["buy_list"], strange)
        ]
