"""What the flows say now brought into a catalog: nothing translated is lost, nothing is taken as right unseen."""

from dataclasses import replace

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from advisor.wording.errors import UnknownLanguage
from advisor.wording.languages import header_agrees
from advisor.wording.merging import SourceText, begun, merged, template
from advisor.wording.po_files import Key, PoEntry, PoFile, read_po, write_po
from advisor.wording.progress import progress

HOW_MANY = Key("seed.count", "How many grew?")
HOW_MANY_SEEDS = Key("seed.count", "How many seeds grew?")
MENU = Key("seed.menu", "Menu")
PACKS = Key("seed.packs", "%(n)s pack", "%(n)s packs")

COUNT = PoEntry(HOW_MANY, ("Ngapi ziliota?",), remarks=("ota: to sprout",))


def catalog(*entries, obsolete=()):
    return PoFile(("Swahili.",), "Language: sw\nX-Reviewed-By: A. Mbek\n", entries, tuple(obsolete))


def says(*keys):
    return [SourceText(key, ("a note",), "flows/seed.yaml", line) for line, key in enumerate(keys, 1)]


def update(old, *keys):
    return merged(old, says(*keys), "sw")


class TestATextThatIsStillSaid:
    def test_keeps_translation_and_remarks_and_gets_place_and_notes(self):
        entry = update(catalog(COUNT), HOW_MANY).entries[0]

        assert (entry.key, entry.texts, entry.remarks) == (HOW_MANY, COUNT.texts, COUNT.remarks)
        assert (entry.places, entry.notes, entry.flags) == ((("flows/seed.yaml", 1),), ("a note",), ())

    def test_that_was_fuzzy_stays_fuzzy_with_what_it_was_made_of(self):
        fuzzy = replace(COUNT, key=HOW_MANY_SEEDS, flags=("fuzzy",), previous=HOW_MANY)
        entry = update(catalog(fuzzy), HOW_MANY_SEEDS).entries[0]

        assert (entry.flags, entry.previous, entry.texts) == (("fuzzy",), HOW_MANY, COUNT.texts)

    def test_on_two_places_is_one_entry_with_both(self):
        entry = update(catalog(), MENU, MENU).entries

        assert [found.places for found in entry] == [(("flows/seed.yaml", 1), ("flows/seed.yaml", 2))]

    def test_comes_in_the_order_of_files_and_lines(self):
        texts = [SourceText(MENU, (), "flows/b.yaml", 1), SourceText(PACKS, (), "flows/a.yaml", 9)]
        texts += [SourceText(HOW_MANY, (), "flows/a.yaml", 2), SourceText(Key("engine", "0 Back"))]

        assert [entry.key.context for entry in merged(catalog(), texts, "sw").entries] == [
            "engine",
            "seed.count",
            "seed.packs",
            "seed.menu",
        ]


class TestANewText:
    def test_is_empty_in_every_plural_form_of_the_language(self):
        assert update(catalog(), PACKS).entries[0].texts == ("", "")
        assert merged(catalog(), says(PACKS), "ar").entries[0].texts == ("",) * 6

    def test_is_marked_where_values_stand_in_it(self):
        assert [entry.flags for entry in update(catalog(), PACKS, MENU).entries] == [("python-format",), ()]

    def test_is_offered_what_the_same_words_are_called_on_another_screen(self):
        menu = PoEntry(MENU, ("Menyu",), remarks=("short",))
        other = Key("seed.other", "Menu")
        found = update(catalog(menu), MENU, other)

        assert [(entry.texts, entry.flags) for entry in found.entries] == [
            (("Menyu",), ()),
            (("Menyu",), ("fuzzy",)),
        ]
        assert [entry.remarks for entry in found.entries] == [("short",), ()]
        assert update(found, MENU).obsolete == ()

    def test_is_offered_nothing_where_other_screens_do_not_agree(self):
        menus = PoEntry(MENU, ("Menyu",)), PoEntry(Key("seed.more", "Menu"), ("Orodha",))
        found = update(catalog(*menus), *(entry.key for entry in menus), Key("seed.other", "Menu"))

        assert found.entries[2].texts == ("",)


class TestAChangedText:
    def test_gets_the_old_translation_as_fuzzy_with_the_text_before(self):
        found = update(catalog(COUNT), HOW_MANY_SEEDS)
        entry = found.entries[0]

        assert (entry.key, entry.texts, entry.previous) == (HOW_MANY_SEEDS, COUNT.texts, HOW_MANY)
        assert (entry.flags, entry.remarks, found.obsolete) == (("fuzzy",), COUNT.remarks, ())

    def test_that_changes_again_still_names_the_text_that_was_translated(self):
        again = Key("seed.count", "How many seeds grew up?")
        entry = update(update(catalog(COUNT), HOW_MANY_SEEDS), again).entries[0]

        assert (entry.key, entry.texts, entry.previous) == (again, COUNT.texts, HOW_MANY)

    def test_that_is_changed_back_has_its_translation_back(self):
        assert update(update(catalog(COUNT), HOW_MANY_SEEDS), HOW_MANY) == update(catalog(COUNT), HOW_MANY)

    def test_on_a_renamed_screen_is_offered_the_same_words(self):
        entry = update(catalog(COUNT), Key("seed.how_many", HOW_MANY.msgid)).entries[0]

        assert (entry.texts, entry.flags, entry.previous) == (COUNT.texts, ("fuzzy",), HOW_MANY)

    def test_on_another_screen_is_offered_nothing_that_is_only_like_it(self):
        entry = update(catalog(COUNT), Key("seed.other", HOW_MANY_SEEDS.msgid)).entries[0]

        assert entry.texts == ("",)

    def test_that_is_quite_another_is_empty_and_the_old_one_obsolete(self):
        found = update(catalog(COUNT), Key("seed.count", "Where is it?"))

        assert found.entries[0].texts == ("",)
        assert [(entry.key, entry.texts, entry.remarks) for entry in found.obsolete] == [
            (HOW_MANY, COUNT.texts, COUNT.remarks)
        ]

    def test_with_another_english_plural_is_fuzzy(self):
        old = PoEntry(replace(PACKS, plural="%(n)s bags"), ("pakiti %(n)s", "pakiti %(n)s zote"))
        entry = update(catalog(old), PACKS).entries[0]

        assert (entry.texts, entry.flags) == (old.texts, ("fuzzy", "python-format"))
        assert entry.previous == old.key

    def test_that_now_counts_or_no_longer_does_keeps_every_form(self):
        counted = PoEntry(PACKS, ("pakiti %(n)s", "pakiti %(n)s zote"))
        found = update(catalog(counted), replace(PACKS, plural=""))

        assert found.entries[0].texts == ("",)
        assert found.obsolete[0].texts == counted.texts
        assert update(found, PACKS).entries[0].texts == counted.texts

    def test_is_not_given_what_another_text_still_uses(self):
        found = update(catalog(COUNT), HOW_MANY, HOW_MANY_SEEDS)

        assert [entry.texts for entry in found.entries] == [COUNT.texts, ("",)]


class TestATextThatIsGone:
    def test_is_kept_as_obsolete_and_comes_back_when_it_is_said_again(self):
        gone = update(catalog(COUNT), MENU)
        assert [entry.key for entry in gone.obsolete] == [HOW_MANY]

        back = update(gone, HOW_MANY, MENU)
        assert (back.entries[0].texts, back.entries[0].flags, back.obsolete) == (COUNT.texts, (), ())

    def test_that_was_fuzzy_rests_under_the_text_it_translates(self):
        fuzzy = replace(COUNT, key=HOW_MANY_SEEDS, flags=("fuzzy",), previous=HOW_MANY)
        rests = update(catalog(fuzzy), MENU).obsolete[0]

        assert (rests.key, rests.flags, rests.previous) == (HOW_MANY, (), None)

    def test_that_nobody_translated_goes(self):
        assert update(catalog(PoEntry(HOW_MANY, ("",))), MENU).obsolete == ()


class TestTheCatalogAsAWhole:
    def test_header_remarks_and_reviewer_stay(self):
        found = update(catalog(COUNT), MENU)

        assert (found.remarks, found.header) == (catalog().remarks, catalog().header)
        assert progress(found, [MENU]).reviewed_by == "A. Mbek"

    keys = st.builds(
        Key,
        st.sampled_from(["a.b", "a.c"]),
        st.sampled_from(["How many?", "How many seeds?", "How many seeds grew?", "Menu", "%(n)s pack"]),
        st.sampled_from(["", "", "packs", "bags"]),
    )
    lists = st.lists(keys, max_size=5, unique_by=lambda key: (key.context, key.msgid))

    @example(
        first=[Key("a.b", "How many?")], steps=[[], [Key("a.b", "How many?"), Key("a.c", "How many?")]]
    )  # the first comes back, and is then known for the second
    @settings(max_examples=400)
    @given(first=lists, steps=st.lists(lists, min_size=1, max_size=3))
    def test_whatever_changes_no_translation_is_lost_and_twice_is_as_once(self, first, steps):
        found = catalog(*(PoEntry(key, (f"{key} 1", f"{key} 2") if key.plural else (f"{key}",)) for key in first))
        translated = {text for entry in found.entries for text in entry.texts}
        for said in steps:
            found = read_po(write_po(update(found, *said)))

            assert [entry.key for entry in found.entries] == said
            assert read_po(write_po(update(found, *said))) == found
            kept = {text for entry in (*found.entries, *found.obsolete) for text in entry.texts}
            assert translated <= kept

    @given(first=lists, said=lists)
    def test_only_what_was_made_of_the_very_text_is_used(self, first, said):
        old = catalog(*(PoEntry(key, (f"of {key}",) * (2 if key.plural else 1)) for key in first))
        for entry in update(old, *said).entries:
            if any(entry.texts) and "fuzzy" not in entry.flags:
                assert entry.texts[0] == f"of {entry.key}"


class TestBeginning:
    def test_a_template_holds_the_texts_and_no_date(self):
        found = template(says(MENU, PACKS))

        assert [(entry.key, set(entry.texts)) for entry in found.entries] == [(MENU, {""}), (PACKS, {""})]
        assert "Date" not in found.header

    @pytest.mark.parametrize("language", ["fr", "ar", "pt", "ha", "yo", "am"])
    def test_a_new_catalog_has_the_plural_rule_of_its_language(self, language):
        fields = dict(line.split(": ", 1) for line in begun(language).header.splitlines())
        count, expression = fields["Plural-Forms"].removeprefix("nplurals=").removesuffix(";").split("; plural=")

        assert fields["Language"] == language
        assert header_agrees(expression, int(count), language)
        assert begun(language).remarks[1].startswith("DRAFT")

    def test_a_language_that_there_is_none_of_is_refused(self):
        with pytest.raises(UnknownLanguage):
            begun("xx")
