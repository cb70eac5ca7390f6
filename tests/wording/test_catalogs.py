"""Catalogs: read like any gettext tool reads them, looked up, and every fault found with its line."""

import subprocess

import polib
import pytest

from advisor.wording.catalog_check import catalog_faults, missing_translations
from advisor.wording.catalogs import Catalog, read_catalog
from advisor.wording.errors import CatalogUnreadable, MissingTranslation, UnknownLanguage
from advisor.wording.segments import Alphabet
from tests.wording.voices import catalog, po

ENTRIES = """
msgctxt "seed.buy"
msgid "Buy %(seed)s."
msgstr "Nunua %(seed)s."

msgctxt "seed.yes"
msgid "Yes"
msgstr "Ndiyo"

#. at most 40 septets
msgctxt "seed.packs"
msgid "%(n)s pack"
msgid_plural "%(n)s packs"
msgstr[0] "pakiti %(n)s"
msgstr[1] "pakiti %(n)s kwa jumla"

#, fuzzy
msgctxt "seed.no"
msgid "No"
msgstr "Labda"

msgctxt "seed.later"
msgid "Later"
msgstr ""

#~ msgctxt "seed.old"
#~ msgid "Old"
#~ msgstr "Zamani"
"""


def whats(text, language="sw", alphabet=Alphabet.GSM7):
    return [fault.what for fault in catalog_faults(read_catalog(text, language), alphabet)]


class TestLookingUp:
    def test_a_message_is_found_by_context_and_english_text(self):
        found = catalog("sw", ENTRIES)

        assert found.message("seed.yes", "Yes") == "Ndiyo"
        assert found.message("seed.buy", "Yes") is None
        assert found.message("seed.yes", "Yes!") is None

    def test_fuzzy_empty_and_old_entries_are_not_there(self):
        found = catalog("sw", ENTRIES)

        assert found.message("seed.no", "No") is None
        assert found.message("seed.later", "Later") is None
        assert found.message("seed.old", "Old") is None

    def test_a_count_chooses_the_form(self):
        found = catalog("sw", ENTRIES)
        forms = [found.plural("seed.packs", "%(n)s pack", "%(n)s packs", count) for count in (0, 1, 2)]

        assert forms == ["pakiti %(n)s kwa jumla", "pakiti %(n)s", "pakiti %(n)s kwa jumla"]

    def test_in_hindi_nothing_is_singular(self):
        entries = 'msgctxt "a.b"\nmsgid "a pack"\nmsgid_plural "packs"\nmsgstr[0] "ek"\nmsgstr[1] "kai"\n'
        found = catalog("hi", entries)

        assert [found.plural("a.b", "a pack", "packs", count) for count in (0, 1, 2)] == ["ek", "ek", "kai"]

    def test_another_english_plural_is_another_message(self):
        assert catalog("sw", ENTRIES).plural("seed.packs", "%(n)s pack", "%(n)s bags", 2) is None

    def test_a_check_can_insist(self):
        with pytest.raises(MissingTranslation) as caught:
            catalog("sw", ENTRIES).translation("seed.no", "No")

        assert (caught.value.language, caught.value.context, caught.value.msgid) == ("sw", "seed.no", "No")

    def test_every_translated_entry_is_what_polib_reads(self):
        text = po("sw", ENTRIES)
        found = read_catalog(text, "sw")
        by_polib = {
            (entry.msgctxt, entry.msgid): tuple(entry.msgstr_plural.values()) or (entry.msgstr,)
            for entry in polib.pofile(text)
            if not entry.fuzzy and not entry.obsolete
        }

        assert {(entry.context, entry.msgid): entry.texts for entry in found.entries} == by_polib
        assert all(text.splitlines()[entry.line - 1].startswith("msgid ") for entry in found.entries)


class TestTheSource:
    def test_every_text_stands_for_itself(self):
        source = Catalog.source("en")

        assert source.message("any.where", "Yes") == "Yes"
        assert [source.plural("a.b", "a pack", "packs", count) for count in (0, 1, 2)] == [
            "packs",
            "a pack",
            "packs",
        ]


class TestWhoReviewedIt:
    def test_nobody_makes_it_a_draft(self):
        assert catalog("sw", "").reviewed_by == ""

    def test_the_header_names_the_reviewer(self):
        text = po("sw", "").replace("X-Reviewed-By: ", "X-Reviewed-By: A. Mbek, 2027-01-05")

        assert read_catalog(text, "sw").reviewed_by == "A. Mbek, 2027-01-05"


class TestACatalogIsAValue:
    def test_the_same_text_gives_an_equal_one(self):
        assert catalog("sw", ENTRIES) == catalog("sw", ENTRIES)
        assert hash(catalog("sw", ENTRIES)) == hash(catalog("sw", ENTRIES))

    def test_another_text_gives_another_fingerprint(self):
        assert catalog("sw", ENTRIES) != catalog("sw", ENTRIES.replace("Ndiyo", "Ndio"))


class TestEveryFaultIsFoundWithItsLine:
    def test_a_sound_catalog_has_none(self):
        sound = ENTRIES.replace("#, fuzzy\n", "").replace('msgstr ""', 'msgstr "Baadaye"')

        assert whats(po("sw", sound)) == []

    def test_fuzzy_and_empty_entries_are_named_by_line(self):
        text = po("sw", ENTRIES)
        faults = catalog_faults(read_catalog(text, "sw"), Alphabet.GSM7)

        assert [(fault.context, text.splitlines()[fault.line - 1]) for fault in faults] == [
            ("seed.no", 'msgid "No"'),
            ("seed.later", 'msgid "Later"'),
        ]

    @pytest.mark.parametrize(
        ("before", "after", "what"),
        [
            ("Nunua %(seed)s.", "Nunua.", "form 0 does not name %(seed)s"),
            ("Nunua %(seed)s.", "Nunua %(mbegu)s.", "form 0 does not name %(seed)s"),
            ("Nunua %(seed)s.", "Nunua %(seed)s %(x)s.", "form 0 names %(x)s"),
            ("Nunua %(seed)s.", "Nunua %(seed)d.", "form 0 has a faulty placeholder"),
            ("Nunua %(seed)s.", "Nunua %(seed)s 5%.", "form 0 has a faulty placeholder"),
            ("Nunua %(seed)s.", "Nunua %(seed)s ça.", "form 0 holds ç"),
            ('msgstr[1] "pakiti %(n)s kwa jumla"', 'msgstr[1] "pakiti"', "form 1 does not name %(n)s"),
            ('msgstr[1] "pakiti %(n)s kwa jumla"', "", "has an empty text"),
            ('msgid "Yes"', 'msgid "Yes %d"', "English text: '%d'"),
            ('msgctxt "seed.yes"\nmsgid "Yes"', 'msgctxt "seed.buy"\nmsgid "Buy %(seed)s."', "stands on line 11"),
        ],
    )
    def test_each_fault_says_what_is_wrong(self, before, after, what):
        sound = ENTRIES.replace("#, fuzzy\n", "").replace('msgstr ""', 'msgstr "Baadaye"')
        assert before in sound

        found = whats(po("sw", sound.replace(before, after)))

        assert any(one.startswith(what) for one in found), found

    def test_a_language_of_ucs2_may_hold_any_letter(self):
        entries = 'msgctxt "a.b"\nmsgid "Yes"\nmsgstr "हाँ"\n'

        assert whats(po("hi", entries), "hi", Alphabet.UCS2) == []
        assert "lacks" in whats(po("hi", entries), "hi", Alphabet.GSM7)[0]

    def test_the_default_plural_header_of_hindi_is_refused(self):
        assert "Plural-Forms" in whats(po("hi", "", rule="(n != 1)"), "hi", Alphabet.UCS2)[0]

    def test_a_header_of_another_language_is_refused(self):
        assert "write hi" in whats(po("sw", "", rule="(n > 1)"), "hi")[0]

    def test_what_is_wanted_and_not_there_is_listed(self):
        wanted = [("seed.yes", "Yes", ""), ("seed.how", "How?", ""), ("seed.packs", "%(n)s pack", "%(n)s packs")]
        missing = missing_translations(catalog("sw", ENTRIES), wanted)

        assert [(fault.context, fault.msgid) for fault in missing] == [("seed.how", "How?")]

    def test_what_stands_there_fuzzy_or_empty_is_told_once(self):
        found = catalog("sw", ENTRIES)

        assert missing_translations(found, [("seed.no", "No", ""), ("seed.later", "Later", "")]) == ()
        told = {fault.msgid for fault in catalog_faults(found, Alphabet.GSM7) if fault.untranslated}
        assert told == {"Later", "No"}


class TestWhatIsNoCatalog:
    @pytest.mark.parametrize(
        "entries",
        [
            "msgid",
            "nonsense here",
            'msgid "a"',
            'msgid "a"\nmsgstr[x] "b"',
            'msgid "a\nmsgstr "b"',
            'msgid "a"\nmsgstr "b',
            'msgid "a "quoted" word"\nmsgstr "b"',
            'msgid "a"\nmsgstr "b\\"',
        ],
    )
    def test_it_is_refused_with_one_line(self, entries):
        with pytest.raises(CatalogUnreadable) as caught:
            catalog("sw", entries)

        assert "\n" not in str(caught.value)

    def test_more_forms_than_the_header_says_are_refused_with_the_line(self):
        entries = 'msgid "a"\nmsgid_plural "b"\nmsgstr[0] "x"\nmsgstr[1] "y"\nmsgstr[2] "z"\n'
        with pytest.raises(CatalogUnreadable) as caught:
            catalog("sw", entries)

        assert caught.value.line > 0

    def test_an_unknown_language_is_refused(self):
        with pytest.raises(UnknownLanguage):
            read_catalog("", "xx")


def test_gettext_itself_takes_the_same_file(tmp_path):
    path = tmp_path / "sw.po"
    path.write_text(po("sw", ENTRIES), encoding="utf-8")

    subprocess.run(["msgfmt", "-c", "--check-format", "-o", "/dev/null", str(path)], check=True)
