"""Faults planted in the shipped catalogs are told with their line; one fault hides no other."""

import re

import pytest

from tests.dialogue.planting import (
    FIELD,
    FIRST,
    LIST,
    PROGRAMME,
    check,
    languages,
    plant,
    shipped_texts,
    told,
)

#: A text that stands once in the flow and once in each catalog.
MONEY = "How much money do you have for seed and inoculant?"


class TestCatalogs:
    @pytest.mark.parametrize("language", [language for language in languages() if language != "en"])
    def test_a_dropped_placeholder(self, language):
        file = f"locales/{language}.po"
        old = re.search(r'msgid "Too much. At most %\(high\)s."\nmsgstr "(.*)"', shipped_texts()[file])
        planted = plant(file, old[0], old[0].replace(old[1], old[1].replace("%(high)s", "")), ("en", language))

        told(planted, "does not name %(high)s", 'msgid "Too much. At most', "engine", language)

    def test_a_missing_translation_points_at_the_english_text_and_names_the_catalog(self):
        text = shipped_texts()["locales/sw.po"]
        entry = re.search(r'(#:.*\n)?msgctxt "buy_list.rows"\nmsgid ".*"\nmsgstr ".*"\n\n', text)[0]
        planted = plant("locales/sw.po", entry, "", ("en", "sw"))

        fault = told(planted, "is not translated into sw", "Rows x holes, in cm?", "buy_list.rows", "sw", LIST)
        assert "add it to locales/sw.po" in fault.instead
        assert fault.untranslated

    def test_an_english_text_that_was_changed_leaves_its_entry_behind(self):
        planted = plant(LIST, MONEY, "How much money for seed?", ("en", "sw"))

        (missing,) = [fault for fault in planted.found if "is not translated" in fault.what]
        (stale,) = [fault for fault in planted.found if "any more" in fault.what]
        assert (missing.file, missing.line) == (LIST, planted.line("How much money for seed?"))
        assert (stale.file, stale.line) == ("locales/sw.po", planted.line(MONEY, "locales/sw.po"))
        assert f"its line {stale.line}" in missing.instead

    def test_an_english_text_that_was_changed_in_the_catalog_only(self):
        planted = plant("locales/sw.po", f'msgid "{MONEY}"', 'msgid "How much money?"', ("en", "sw"))

        told(
            planted, "no screen says 'How much money?' any more", 'msgid "How much money?"', "buy_list.money", "sw"
        )
        told(planted, "is not translated", MONEY, "buy_list.money", "sw", LIST)

    def test_a_missing_plural_form(self):
        text = shipped_texts()["locales/sw.po"]
        form = re.search(r'msgstr\[1\] ""\n(?:".*"\n)+', text)[0]
        planted = type(plant("locales/sw.po", '\nmsgctxt "buy_list.rows"', '\nmsgctxt "buy_list.rows"'))(
            "locales/sw.po", text.replace(form, "", 1), ("en", "sw")
        )

        found = [fault for fault in planted.found if fault.screen == "buy_list.sow_even"]
        context = planted.text.splitlines().index('msgctxt "buy_list.sow_even"')
        assert {(fault.file, fault.line, fault.language) for fault in found} >= {
            ("locales/sw.po", context + 2, "sw")
        }

    def test_a_plural_form_with_another_number_of_lines(self):
        text = shipped_texts()["locales/hi.po"]
        form = re.search(r'msgstr\[1\] ""\n(?:".*"\n)+', text)[0]
        first, *rest = form.splitlines(keepends=True)
        changed = text.replace(form, first + rest[0].replace("\\n", " ") + "".join(rest[1:]), 1)
        found = check({"locales/hi.po": changed}, ("en", "hi")).faults

        assert [(fault.what, fault.screen) for fault in found] == [
            ("the plural forms have different numbers of lines", "buy_list.sow_even")
        ]

    def test_a_rule_of_plurals_that_is_not_the_languages_own(self):
        planted = plant("locales/hi.po", "plural=(n > 1)", "plural=(n != 1)", ("en", "hi"))

        told(planted, "Plural-Forms is not the rule of hi", "Plural-Forms:", "", "hi")

    def test_a_letter_outside_the_alphabet(self):
        old = f'msgid "{MONEY}"\nmsgstr "'
        planted = plant("locales/sw.po", old, old + "ɓ", ("en", "sw"))

        told(planted, "holds ɓ, which the GSM alphabet lacks", f'msgid "{MONEY}', "buy_list.money", "sw")


class TestAFaultHidesNoOther:
    def test_of_another_file_or_stage(self):
        lists = shipped_texts()[LIST].replace("Good sowing!", "Good sowing " + "x" * 160)
        changed = {
            FIRST: shipped_texts()[FIRST].replace("screens:\n", "screens: [\n"),
            FIELD: shipped_texts()[FIELD].replace("high: 99,", "high: x,"),
            LIST: lists.replace("to: counted\n", "to: conted\n"),
            "locales/sw.po": shipped_texts()["locales/sw.po"].replace('msgstr "0 Rudi"', 'msgstr "0 Rudi %(x)s"'),
            "locales/hi.glossary.toml": shipped_texts()["locales/hi.glossary.toml"].replace("[units]", "[unit]"),
        }
        found = check(changed)

        whats = {(fault.file, fault.what.partition("'")[0]) for fault in found.faults}
        assert whats >= {
            (FIRST, "not YAML: expected "),
            (FIELD, ""),
            (LIST, "there is no screen "),
            (LIST, "a line costs 195, the room for it is 159"),
            ("locales/hi.glossary.toml", "unknown key "),
        }
        assert any(fault.file == "locales/sw.po" and "%(x)s" in fault.what for fault in found.faults)
        assert any("flow 'welcome'" in one for one in found.left)
        assert any("widths in hi" in one for one in found.left)

    def test_of_the_flows_while_the_programme_is_faulty(self):
        changed = {
            PROGRAMME: shipped_texts()[PROGRAMME].replace('area_unit = "acre"', 'area_unit = "acer"'),
            LIST: shipped_texts()[LIST].replace("to: counted\n", "to: conted\n"),
            "locales/sw.po": shipped_texts()["locales/sw.po"].replace('msgstr "0 Rudi"', 'msgstr ""'),
        }
        found = check(changed)

        assert {fault.file for fault in found.faults} == {PROGRAMME, LIST, "locales/sw.po"}
        (fault,) = [fault for fault in found.faults if fault.file == PROGRAMME]
        line = changed[PROGRAMME].splitlines().index('area_unit = "acer"') + 1
        assert fault.line == line
        assert any("they rest on the programme" in one for one in found.left)
