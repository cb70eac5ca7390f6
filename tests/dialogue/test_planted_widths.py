"""Texts too long by one septet or character, and what makes them so, are told with the longest text itself."""

import re

import pytest

from advisor.wording.segments import ROOM, Alphabet
from tests.dialogue.planting import ENGLISH, LIST, PROGRAMME, check, languages, plant, shipped_texts, told


class TestWidths:
    @pytest.mark.parametrize(("length", "fits"), [(159, True), (160, False), (161, False)])
    def test_a_text_of_septets_fits_up_to_159(self, length, fits):
        planted = plant(LIST, "The list comes by SMS. Good sowing!", "x" * length, ENGLISH)

        if fits:
            assert planted.found == ()
        else:
            fault = told(
                planted, f"a line costs {length}, the room for it is 159", "x" * length, "buy_list.sent", "en"
            )
            assert (fault.wide.text, fault.wide.cost, fault.wide.room) == ("x" * length, length, 159)

    @pytest.mark.parametrize(("length", "fits"), [(70, True), (71, False)])
    def test_a_translation_of_characters_fits_up_to_70(self, length, fits):
        old = re.search(
            r'msgid "The list comes by SMS. Good sowing!"\nmsgstr ".*"', shipped_texts()["locales/hi.po"]
        )[0]
        new = re.sub('msgstr ".*"', f'msgstr "{"क" * length}"', old)
        planted = plant("locales/hi.po", old, new, ("en", "hi"))

        if fits:
            assert planted.found == ()
        else:
            fault = told(planted, f"a line costs {length}", 'msgid "The list comes by SMS', "buy_list.sent", "hi")
            assert (fault.wide.cost, fault.wide.room) == (71, 70)

    def test_bounds_that_make_a_number_too_long_name_the_text_and_what_costs_most(self):
        """A largest field of twice as much: the widest list does not fit one SMS any more."""
        planted = plant(PROGRAMME, "plot_high = { value = 20,", "plot_high = { value = 40,")
        wide = [fault for fault in planted.found if fault.wide]

        assert {fault.language for fault in wide} == set(languages())
        (english,) = [f for f in wide if (f.screen, f.language) == ("buy_list.message_buy", "en")]
        assert (english.file, english.line) == (LIST, _say(shipped_texts()[LIST], "message_buy"))
        assert english.wide.text.startswith("39.99 acres soybean. Buy:\nSeed 1,066.7 kg: ")
        assert english.wide.cost == len(english.wide.text) > english.wide.room == 159
        assert "its widest line costs 40" in english.wide.dearest
        (swahili,) = [f for f in wide if (f.screen, f.language) == ("buy_list.message_buy", "sw")]
        assert (swahili.file, swahili.line) == ("locales/sw.po", _entry("locales/sw.po", "buy_list.message_buy"))

    def test_a_largest_field_that_no_purchase_can_be_worked_out_for_is_told_at_its_line(self):
        planted = plant(PROGRAMME, "plot_high = { value = 20,", "plot_high = { value = 24000,", ENGLISH)
        text = planted.text.replace("{ size_g = 5000, price", "{ size_g = 1000, price", 1)
        (fault,) = check({PROGRAMME: text}, ENGLISH).faults

        assert fault.line == next(n for n, line in enumerate(text.splitlines(), 1) if line.startswith("plot_high"))
        assert fault.what.startswith(
            "the largest field asks too much: quantity is 480000000, allowed is 0 to 262144000"
        )
        assert fault.instead == "give a lower plot_high"

    def test_a_value_that_makes_a_line_too_wide_is_named(self):
        planted = plant(LIST, "Rows x holes, in cm?", "x", ENGLISH)
        text = planted.text.replace("      How many %(unit)s is your field?", "      " + "x" * 150 + "%(unit)s")
        (fault,) = [fault for fault in check({LIST: text}, ENGLISH).faults if fault.wide]

        assert fault.wide.dearest == "%(unit)s takes 5: acres"
        assert fault.line == text.splitlines().index("      " + "x" * 150 + "%(unit)s") + 1

    def test_a_page_too_many_is_told_with_the_whole_text(self):
        text = "\\n".join(["x" * 150] * 4)
        planted = plant(LIST, "The list comes by SMS. Good sowing!", text, ENGLISH)

        (fault,) = [fault for fault in planted.found if "pages are needed" in fault.what]
        assert fault.what.startswith("4 pages are needed, 3 are allowed")
        assert (fault.line, fault.screen) == (planted.line("x" * 150), "buy_list.sent")
        assert fault.wide.text == "\n".join(["x" * 150] * 4)
        assert (fault.wide.cost, fault.wide.room) == (603, 3 * ROOM[Alphabet.GSM7])

    def test_a_name_of_the_programme_that_a_language_cannot_send(self):
        planted = plant(PROGRAMME, 'default = "Dovi"', 'default = "Dović"')

        found = {(fault.file, fault.line, fault.language) for fault in planted.found}
        gsm = {language for language in languages() if language != "hi"}
        assert found == {(PROGRAMME, planted.line("Dović"), language) for language in gsm}

    def test_a_unit_of_a_glossary_that_is_too_long(self):
        old = re.search("(?m)^acre = {.*}$", shipped_texts()["locales/en.glossary.toml"])[0]
        new = re.sub('"[^"]*"', lambda found: f'"{{0}} {"acres" * 30}"' if "{0}" in found[0] else found[0], old)
        planted = plant("locales/en.glossary.toml", old, new, ENGLISH)

        assert {fault.language for fault in planted.found if fault.wide} == {"en"}


def _say(text, screen):
    """The line on which the text of a screen begins."""
    lines = text.splitlines()
    return lines.index("    say: |-", lines.index(f"  {screen}:")) + 2


def _entry(file, context):
    """The line of the first English text of a screen in a catalog."""
    return shipped_texts()[file].splitlines().index(f'msgctxt "{context}"') + 2
