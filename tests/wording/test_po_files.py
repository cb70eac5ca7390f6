"""PO files: written as they were read, and read by two other readers as they were written."""

import io
import subprocess

import polib
import pytest
from babel.messages.pofile import read_po as read_by_babel
from hypothesis import given
from hypothesis import strategies as st

from advisor.wording.errors import CatalogUnreadable
from advisor.wording.po_files import Key, PoEntry, PoFile, read_po, write_po
from tests.wording.voices import LOCALES

HEADER = "Language: sw\nContent-Type: text/plain; charset=UTF-8\nPlural-Forms: nplurals=2; plural=(n != 1);\n"

FULL = PoFile(
    remarks=("Swahili.", "", "DRAFT."),
    header=HEADER,
    entries=(
        PoEntry(Key("engine", "0 Back"), ("0 Rudi",)),
        PoEntry(
            Key("seed.buy", 'Buy "%(seed)s".\nThen sow.\n'),
            ('Nunua "%(seed)s".\nPanda \\ sasa.\n',),
            remarks=("chanjo is the inoculant",),
            notes=("Answer 1 of 2.", "%(seed)s at its widest: 50 kg (5)"),
            places=(
                ("flows/seed.yaml", 3),
                ("flows/seed.yaml", 9),
                ("flows/other.yaml", 0),
                ("my flows/a.yaml", 2),
            ),
            flags=("fuzzy", "python-format"),
            previous=Key("seed.buy", 'Buy "%(seed)s".\nSow.'),
        ),
        PoEntry(
            Key("seed.packs", "%(n)s pack", "%(n)s packs"),
            ("pakiti %(n)s", ""),
            flags=("python-format",),
            previous=Key("seed.pack", "%(n)s bag", "%(n)s bags"),
        ),
    ),
    obsolete=(
        PoEntry(Key("seed.old", "Old\nseed"), ("Mbegu\nza zamani",), remarks=("keep me",)),
        PoEntry(Key("seed.olds", "%(n)s old", "%(n)s olds"), ("a", "b"), flags=("python-format",)),
    ),
)

words = st.text(st.characters(exclude_categories=("Cs", "Cc"), exclude_characters="\u2028\u2029\x85"), max_size=12)
texts = st.lists(words, min_size=1, max_size=3).map("\n".join)
some = texts.filter(str.strip)


class TestWritingAndReading:
    def test_nothing_of_a_full_file_is_lost(self):
        assert read_po(write_po(FULL)) == FULL

    def test_what_is_written_twice_is_the_same(self):
        assert write_po(read_po(write_po(FULL))) == write_po(FULL)

    @given(context=some, msgid=some, plural=texts, first=texts, second=texts)
    def test_any_text_comes_back(self, context, msgid, plural, first, second):
        entry = PoEntry(Key(context, msgid, plural), (first, second) if plural else (first,))
        flags = read_po(write_po(PoFile((), HEADER, (entry,)))).entries[0].flags
        back = read_po(write_po(PoFile((), HEADER, (entry,))))

        # The library marks what looks like a format, whoever writes it.
        assert [(found.key, found.texts) for found in back.entries] == [(entry.key, entry.texts)]
        assert set(flags) <= {"python-format"}

    def test_two_obsolete_entries_of_one_text_are_both_kept(self):
        old = PoFile((), HEADER, (), (PoEntry(Key("a.b", "x"), ("y",)), PoEntry(Key("a.b", "x"), ("z",))))

        assert read_po(write_po(old)) == old

    @pytest.mark.parametrize("language", ["sw", "hi", "fr"])
    def test_a_shipped_catalog_is_written_as_it_stands(self, language):
        text = (LOCALES / f"{language}.po").read_text("utf-8")

        assert write_po(read_po(text)) == text

    def test_what_is_no_catalog_is_refused_with_its_line(self):
        with pytest.raises(CatalogUnreadable) as caught:
            read_po('msgid "a"\n<<<<<<< HEAD\nmsgstr "b"\n')

        assert caught.value.line == 2


class TestOtherReaders:
    def test_polib_reads_the_same(self):
        found = polib.pofile(write_po(FULL))
        buy, packs = found[1], found[2]

        assert found.metadata["Language"] == "sw"
        assert (buy.msgctxt, buy.msgid) == ("seed.buy", FULL.entries[1].key.msgid)
        assert buy.msgstr == FULL.entries[1].texts[0]
        assert (buy.tcomment, buy.comment) == ("chanjo is the inoculant", "\n".join(FULL.entries[1].notes))
        # It splits a name with a space in it; gettext and Babel read the marks around one.
        assert buy.occurrences[:3] == [
            ("flows/seed.yaml", "3"),
            ("flows/seed.yaml", "9"),
            ("flows/other.yaml", ""),
        ]
        assert (buy.fuzzy, buy.previous_msgid) == (True, FULL.entries[1].previous.msgid)
        assert packs.msgstr_plural == {0: "pakiti %(n)s", 1: ""}
        assert (packs.previous_msgctxt, packs.previous_msgid_plural) == ("seed.pack", "%(n)s bags")
        assert [(old.msgctxt, old.msgstr) for old in found.obsolete_entries()] == [
            ("seed.old", "Mbegu\nza zamani"),
            ("seed.olds", ""),
        ]

    def test_what_polib_writes_is_read_the_same(self):
        by_polib = str(polib.pofile(write_po(FULL), wrapwidth=200))

        assert read_po(by_polib).entries == FULL.entries
        assert {entry.key for entry in read_po(by_polib).obsolete} == {entry.key for entry in FULL.obsolete}

    def test_babel_reads_the_same(self):
        found = read_by_babel(io.StringIO(write_po(FULL)))
        by_babel = {(message.context, message.id): message for message in found if message.id}

        assert len(by_babel) == len(FULL.entries)
        for entry in FULL.entries:
            key = (entry.key.msgid, entry.key.plural) if entry.key.plural else entry.key.msgid
            message = by_babel[entry.key.context, key]
            texts = message.string if entry.key.plural else (message.string,)
            assert (tuple(texts), message.fuzzy) == (entry.texts, "fuzzy" in entry.flags)
            assert tuple(message.auto_comments) == entry.notes
            assert tuple((file, line or 0) for file, line in message.locations) == entry.places
        assert len(found.obsolete) == 2

    @pytest.mark.parametrize("language", ["sw", "hi", "fr"])
    def test_msgfmt_finds_no_fault_in_a_shipped_catalog(self, language, tmp_path):
        file = LOCALES / f"{language}.po"
        checks = ["--check-format", "--check-domain", "-o", str(tmp_path / "x.mo")]
        found = subprocess.run(["msgfmt", *checks, str(file)], capture_output=True, text=True)

        assert (found.returncode, found.stderr) == (0, "")
