"""What the flows say now, brought into a catalog. Nothing that somebody translated is lost on the way."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from difflib import SequenceMatcher

from babel.messages.catalog import Message

from advisor.wording.languages import header_rule, locale_of, plural_forms
from advisor.wording.po_files import FUZZY, Key, PoEntry, PoFile

#: How alike two English texts must be (0 to 1) for the translation of one to be offered for the other.
ALIKE = 0.6

_PYTHON_FORMAT = "python-format"
_FORMAT = {
    "MIME-Version": "1.0",
    "Content-Type": "text/plain; charset=UTF-8",
    "Content-Transfer-Encoding": "8bit",
}


@dataclass(frozen=True, slots=True)
class SourceText:
    """One English text that the catalogs translate.

    Args:
        key: context, text and plural.
        notes: comments for the translator.
        file: the file that says it, empty for the program itself.
        line: line in it, from 1.
    """

    key: Key
    notes: tuple[str, ...] = ()
    file: str = ""
    line: int = 0


def template(wanted: Iterable[SourceText]) -> PoFile:
    """The texts alone, for a translator's tool to begin from; no date, so the same texts give the same file."""
    header = _header({"Language": "", **_FORMAT})
    return PoFile(("English texts of the sowing advisor.",), header, tuple(_entries(wanted, 2)))


def begun(language: str) -> PoFile:
    """A catalog with nothing in it.

    Raises:
        UnknownLanguage: the locale data do not hold the language.

    >>> begun("fr").header.splitlines()[-2]
    'Plural-Forms: nplurals=2; plural=(n > 1);'
    """
    fields = {
        "Language": language,
        **_FORMAT,
        "Plural-Forms": header_rule(language),
        "X-Reviewed-By": "",
    }
    remarks = (
        f"{locale_of(language).english_name} texts of the sowing advisor.",
        "DRAFT: no native speaker has reviewed this file. Do not serve growers with it before one has.",
    )
    return PoFile(remarks, _header(fields), ())


def _header(fields: Mapping[str, str]) -> str:
    return "".join(f"{name}: {value}\n" for name, value in fields.items())


def merged(old: PoFile, wanted: Iterable[SourceText], language: str) -> PoFile:
    """A catalog brought up to what the flows say now; done twice it changes nothing more.

    A text that stands in the catalog keeps its translation. A new one gets an obsolete translation of the very
    same text, or as ``fuzzy`` that of a text that is gone and was nearly the same, or that of the same words on
    another screen, or none. A translation that no text needs becomes obsolete. Header and the translator's
    comments stay.

    Args:
        old: the catalog, without two entries of one text.
        wanted: every text.
        language: its language, for the number of plural forms.

    >>> old = PoFile((), "", (PoEntry(Key("a.b", "How many bags?"), ("Mifuko mingapi?",)),))
    >>> entry = merged(old, [SourceText(Key("a.b", "How many big bags?"))], "sw").entries[0]
    >>> entry.texts, entry.flags, entry.previous.msgid
    (('Mifuko mingapi?',), ('fuzzy',), 'How many bags?')
    """
    return _Merging(old, tuple(_entries(wanted, len(plural_forms(language))))).merged()


def _entries(wanted: Iterable[SourceText], forms: int) -> Iterator[PoEntry]:
    """One empty entry for each text, in the order of files and lines, with all its places."""
    by_key: dict[tuple[str, str], list[SourceText]] = {}
    for source in sorted(wanted, key=lambda source: (source.file, source.line)):
        by_key.setdefault((source.key.context, source.key.msgid), []).append(source)
    for sources in by_key.values():
        key = sources[0].key
        notes = dict.fromkeys(note for source in sources for note in source.notes)
        places = dict.fromkeys((source.file, source.line) for source in sources if source.file)
        formatted = Message((key.msgid, key.plural) if key.plural else key.msgid).python_format
        yield PoEntry(
            key,
            ("",) * (forms if key.plural else 1),
            notes=tuple(notes),
            places=tuple(places),
            flags=(_PYTHON_FORMAT,) if formatted else (),
        )


class _Merging:
    """One merge; every translation is used once."""

    def __init__(self, old: PoFile, empty: Sequence[PoEntry]) -> None:
        self.old = old
        self.empty = empty
        wanted = {_name(entry) for entry in empty}
        self.live = {_name(entry): entry for entry in old.entries}
        self.gone = [entry for entry in old.entries if _name(entry) not in wanted]
        self.obsolete = list(old.obsolete)

    def merged(self) -> PoFile:
        # What is still there or comes back unchanged is settled first, before anything goes to a like text.
        settled = [self.same(entry) or self.back(entry) for entry in self.empty]
        entries = [
            found or self.moved(entry) or self.like(entry) or _elsewhere(entry, settled) or entry
            for found, entry in zip(settled, self.empty, strict=True)
        ]
        for entry in map(_at_rest, self.gone):
            if entry.begun and not any(_says_the_same(entry, old) for old in (*self.obsolete, *entries)):
                self.obsolete.append(entry)
        return replace(self.old, entries=tuple(entries), obsolete=tuple(self.obsolete))

    def same(self, entry: PoEntry) -> PoEntry | None:
        """The entry as it stands; one that nobody began is as good as new, but for the translator's comments."""
        old = self.live.get(_name(entry))
        if old is None:
            return None
        if old.key == entry.key:
            return _with_texts(entry, old, fuzzy=FUZZY in old.flags) if old.begun or old.remarks else None
        return _with_texts(entry, old, fuzzy=True) if old.begun else None

    def back(self, entry: PoEntry) -> PoEntry | None:
        """A translation of this very text that was obsolete, or was kept for a text that is gone."""
        for old in self.obsolete:
            if old.key == entry.key:
                self.obsolete.remove(old)
                return _with_texts(entry, old, fuzzy=FUZZY in old.flags)
        for old in self.gone:
            if old.begun and old.previous == entry.key:
                self.gone.remove(old)
                return _with_texts(entry, old, fuzzy=False)
        return None

    def moved(self, entry: PoEntry) -> PoEntry | None:
        """The translation of the same words on a screen that is gone."""
        alike = (old for old in self.gone if old.begun and _words(old.key) == _words(entry.key))
        return self.take(entry, next(alike, None))

    def like(self, entry: PoEntry) -> PoEntry | None:
        """The translation of nearly the same words, of the same screen."""
        near = [old for old in self.gone if old.begun and old.key.context == entry.key.context]
        best = max(near, key=lambda old: _likeness(old.key, entry.key), default=None)
        return self.take(entry, best if best and _likeness(best.key, entry.key) >= ALIKE else None)

    def take(self, entry: PoEntry, old: PoEntry | None) -> PoEntry | None:
        if old is None:
            return None
        self.gone.remove(old)
        return _with_texts(entry, old, fuzzy=True)


def _elsewhere(entry: PoEntry, settled: Iterable[PoEntry | None]) -> PoEntry | None:
    """What the very same words are called on the other screens of now, where all of these agree."""
    used = [other for other in settled if other and other.begun and FUZZY not in other.flags]
    found = {other.texts: other for other in used if _words(other.key) == _words(entry.key)}
    if len(found) != 1:
        return None
    (other,) = found.values()
    # The other screen keeps its entry, with what the translator noted there.
    return replace(_with_texts(entry, other, fuzzy=True), remarks=())


def _name(entry: PoEntry) -> tuple[str, str, bool]:
    """What must not stand twice in a catalog; another plural does not make another entry, to count at all does."""
    return entry.key.context, entry.key.msgid, bool(entry.key.plural)


def _says_the_same(first: PoEntry, second: PoEntry) -> bool:
    return (first.key, first.texts) == (second.key, second.texts)


def _words(key: Key) -> tuple[str, str]:
    return key.msgid, key.plural


def _likeness(first: Key, second: Key) -> float:
    if bool(first.plural) != bool(second.plural):
        return 0
    return SequenceMatcher(None, first.msgid, second.msgid, autojunk=False).ratio()


def _with_texts(entry: PoEntry, old: PoEntry, *, fuzzy: bool) -> PoEntry:
    """An entry of now with a translation of before."""
    texts = old.texts
    if len(texts) < len(entry.texts):
        texts = (*texts, *("" for _ in entry.texts[len(texts) :]))
    previous = old.previous or (old.key if old.key != entry.key else None)
    kept = {flag for flag in old.flags if flag not in (FUZZY, _PYTHON_FORMAT)} | set(entry.flags)
    flags = sorted(kept | {FUZZY}) if fuzzy else sorted(kept)
    return replace(
        entry, texts=texts, remarks=old.remarks, flags=tuple(flags), previous=previous if fuzzy else None
    )


def _at_rest(entry: PoEntry) -> PoEntry:
    """An entry that becomes obsolete, under the text that its translation was made of."""
    key = entry.previous or entry.key
    flags = tuple(flag for flag in entry.flags if flag != FUZZY)
    return replace(entry, key=key, notes=(), places=(), flags=flags, previous=None)
