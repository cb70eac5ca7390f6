"""The small words of a language that are no messages: keys, yes and no, units, number words, unit patterns."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from dataclasses import dataclass, field

from advisor.agronomy.cautions import CAUTIONS
from advisor.wording import typed_words
from advisor.wording.day_words import DayWords
from advisor.wording.errors import GlossaryFaults
from advisor.wording.folding import folded
from advisor.wording.gsm import gsm_safe, outside
from advisor.wording.number_words import NumberWords
from advisor.wording.segments import Alphabet
from advisor.wording.typed_words import Words
from advisor.wording.units import UNITS

_TYPED_TABLES = ("numbers", "fractions", "days", "months", "weekdays")
_TABLES = ("words", "units", *_TYPED_TABLES, "keywords", "cautions", "patterns")
_KEYS = ("language", "own_name", "alphabet", "reviewed", *_TABLES, "count_of", "grew", "asides")
#: Keys with words that people type on any screen.
COMMANDS = ("back", "menu", "help", "more", "yes", "no", "stop", "start", "erase", "work", "later")
_CATEGORIES = ("zero", "one", "two", "few", "many", "other")


@dataclass(frozen=True, slots=True)
class Glossary:
    """One language's small words. Words typed by people are kept folded, words shown as the file has them.

    Args:
        language: language code.
        own_name: name of the language in letters that every phone shows.
        alphabet: the alphabet its texts travel in.
        reviewed: whether a native speaker has read it; a draft otherwise.
        shown: pairs of key (``back``, ``menu``, ``help``, ``more``, ``yes``, ``no``, ``stop``, ``start``,
            ``erase``, ``work``, ``later``) and the word to show for it.
        keys: pairs of folded word and key.
        units: pairs of folded word and unit key.
        number_words: words for numbers and fractions.
        day_words: words for days, months and weekdays.
        patterns: (unit key, plural category, pattern with ``{0}``), where they differ from the locale data.
        counts_of: patterns of a count out of a count, ``{0}`` grown and ``{1}`` sown, in the order of the
            language; the first is shown, all are understood.
        grew: folded words behind a count that say only what is counted (grew, seedlings).
        keywords: of each keyword of an SMS in one line its words, the first of them to show.
        asides: folded words around a keyword that say nothing (please, for, of).
        cautions: of each caution the folded words of which a text that says it holds one.
    """

    language: str
    own_name: str
    alphabet: Alphabet
    reviewed: bool
    shown: tuple[tuple[str, str], ...]
    keys: tuple[tuple[str, str], ...]
    units: tuple[tuple[str, str], ...]
    number_words: NumberWords = field(hash=False)
    day_words: DayWords = field(hash=False)
    patterns: tuple[tuple[str, str, str], ...]
    counts_of: tuple[str, ...]
    grew: tuple[str, ...] = ()
    keywords: Words = ()
    asides: tuple[str, ...] = ()
    cautions: Words = ()
    _key_of: dict[str, str] = field(init=False, compare=False, repr=False)
    _unit_of: dict[str, str] = field(init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_key_of", dict(self.keys))
        object.__setattr__(self, "_unit_of", dict(self.units))

    @property
    def count_of(self) -> str:
        """The pattern of a count out of a count that is shown."""
        return self.counts_of[0]

    def word(self, key: str) -> str:
        """The word to show for a key such as ``back``; raises KeyError for a key that is none."""
        return dict(self.shown)[key]

    def keyword(self, name: str) -> str:
        """The word to show for a keyword; raises KeyError for a keyword that is none."""
        return dict(self.keywords)[name][0]

    def key_word(self, typed: str) -> str | None:
        """The key that a typed word means, None when it means none."""
        return self._key_of.get(folded(typed))

    def unit(self, typed: str, measures: str = "") -> str | None:
        """The unit key that a typed word means, None when it means none.

        Args:
            typed: what was typed.
            measures: what the unit must measure (``area``, ``mass``, ``length``), empty for anything.
        """
        key = self._unit_of.get(folded(typed))
        return None if key and measures and UNITS[key].measures != measures else key

    def pattern(self, unit: str, category: str) -> str | None:
        """The pattern for a unit and a plural category, None where the locale data serve."""
        other = None
        for named, form, pattern in self.patterns:
            if named == unit:
                if form == category:
                    return pattern
                if form == "other":
                    other = pattern
        return other


def read_glossary(toml_text: str) -> Glossary:
    """Reads one glossary.

    Args:
        toml_text: the file's text.

    Raises:
        GlossaryFaults: everything that is wrong in it: unknown and missing keys, words with two meanings, texts
            outside the alphabet that the file declares.

    >>> try:
    ...     read_glossary("colour = 'red'")
    ... except GlossaryFaults as faulty:
    ...     print(faulty.faults[0].partition(":")[0])
    unknown key 'colour'
    """
    try:
        tree = tomllib.loads(toml_text)
    except tomllib.TOMLDecodeError as error:
        raise GlossaryFaults((f"not a TOML file: {error}",)) from error
    reader = _Reader()
    glossary = reader.glossary(tree)
    if reader.faults:
        raise GlossaryFaults(tuple(reader.faults))
    return glossary


class _Reader:
    """Walks one tree and gathers faults; where something is wrong it goes on with an empty value."""

    def __init__(self) -> None:
        self.faults: list[str] = []
        self.alphabet = Alphabet.UCS2

    def glossary(self, tree: dict[str, object]) -> Glossary:
        self.unknown(tree, _KEYS, "")
        self.alphabet = self.declared_alphabet(tree)
        words = self.words(tree, "words", COMMANDS)
        units = self.words(tree, "units", tuple(UNITS))
        for key, texts in words:
            self.fits(f"words.{key}", texts[0])
        return Glossary(
            language=self.text(tree, "language"),
            own_name=self.own_name(tree),
            alphabet=self.alphabet,
            reviewed=self.reviewed(tree),
            shown=tuple((key, texts[0]) for key, texts in words),
            keys=self.meanings("words", words),
            units=self.meanings("units", units),
            number_words=self.number_words(tree),
            day_words=self.day_words(tree),
            patterns=self.patterns(tree),
            counts_of=self.counts_of(tree),
            grew=self.grew(tree),
            keywords=self.keywords(tree),
            asides=self.asides(tree),
            cautions=self.cautions(tree),
        )

    def unknown(self, tree: dict[str, object], allowed: tuple[str, ...], inside: str) -> None:
        for key in sorted(tree.keys() - set(allowed)):
            self.faults.append(f"unknown key '{inside}{key}': use {', '.join(allowed)}")

    def text(self, tree: dict[str, object], key: str) -> str:
        found = tree.get(key)
        if isinstance(found, str) and found.strip():
            return found.strip()
        self.faults.append(f"'{key}' is missing or no text: write {key} = \"...\"")
        return ""

    def declared_alphabet(self, tree: dict[str, object]) -> Alphabet:
        name = self.text(tree, "alphabet")
        if name not in tuple(Alphabet):
            self.faults.append(f"alphabet is '{name}': use gsm7, or ucs2 where the script needs it")
            return Alphabet.UCS2
        return Alphabet(name)

    def own_name(self, tree: dict[str, object]) -> str:
        name = self.text(tree, "own_name")
        if outside(name):
            self.faults.append(f"own_name '{name}' holds {outside(name)}: use letters that every phone shows")
        return name

    def reviewed(self, tree: dict[str, object]) -> bool:
        found = tree.get("reviewed")
        if not isinstance(found, bool):
            self.faults.append("'reviewed' is missing: write reviewed = false until a native speaker has read it")
        return found is True

    def table(self, tree: dict[str, object], key: str, allowed: tuple[str, ...]) -> dict[str, object]:
        found = tree.get(key, {})
        if not isinstance(found, dict):
            self.faults.append(f"'{key}' is no table: write [{key}]")
            return {}
        self.unknown(found, allowed, f"{key}.")
        return found

    def number_words(self, tree: dict[str, object]) -> NumberWords:
        table = tree.get("numbers")
        scale_first = table.pop("scale_first", False) if isinstance(table, dict) else False
        if not isinstance(scale_first, bool):
            self.faults.append("'numbers.scale_first' is no yes or no: write scale_first = true")
        numbers = self.words(tree, "numbers", typed_words.NUMBERS, typed_words.NEEDED_NUMBERS)
        fractions = self.words(tree, "fractions", typed_words.FRACTIONS, typed_words.NEEDED_FRACTIONS)
        return typed_words.number_words(
            numbers, fractions, scale_first=scale_first is True, meanings=self.meanings
        )

    def day_words(self, tree: dict[str, object]) -> DayWords:
        days = self.words(tree, "days", typed_words.DAYS, typed_words.NEEDED_DAYS)
        for key in typed_words.DISTANCES:
            for form in dict(days).get(key, ()):
                if form.count("{0}") != 1:
                    self.faults.append(f"'days.{key}' needs {{0}} once: write the number of days as {{0}}")
        months = self.words(tree, "months", typed_words.MONTHS, ())
        weekdays = self.words(tree, "weekdays", typed_words.WEEKDAYS, ())
        return typed_words.day_words(days, months, weekdays, meanings=self.meanings)

    def words(
        self, tree: dict[str, object], name: str, allowed: tuple[str, ...], needed: tuple[str, ...] | None = None
    ) -> Words:
        """Every key of the table has at least one word, and every word is one once it is folded.

        Args:
            tree: the file.
            name: the table's name.
            allowed: its keys.
            needed: the keys that may not be left out, None for all of them.
        """
        table = self.table(tree, name, allowed)
        found: list[tuple[str, tuple[str, ...]]] = []
        for key in allowed:
            if key not in table and needed is not None and key not in needed:
                continue
            texts = table.get(key)
            listed = texts if isinstance(texts, list) else []
            words = tuple(text for text in listed if isinstance(text, str) and folded(text))
            if not words or len(words) != len(listed):
                self.faults.append(f"'{name}.{key}' has no words: write {key} = [\"...\"]")
                words = (f"<{name}.{key}>",)
            found.append((key, words))
        return tuple(found)

    def meanings(self, name: str, words: Iterable[tuple[str, tuple[str, ...]]]) -> tuple[tuple[str, str], ...]:
        """Folded word to key; a word with two meanings is a fault."""
        found: dict[str, str] = {}
        for key, texts in words:
            for word in map(folded, texts):
                if found.setdefault(word, key) != key:
                    self.faults.append(f"'{word}' means both {name}.{found[word]} and {name}.{key}: keep one")
        return tuple(found.items())

    def patterns(self, tree: dict[str, object]) -> tuple[tuple[str, str, str], ...]:
        table = self.table(tree, "patterns", tuple(UNITS))
        found: list[tuple[str, str, str]] = []
        for unit, forms in table.items():
            by_category = {"other": forms} if isinstance(forms, str) else forms
            if not isinstance(by_category, dict) or "other" not in by_category:
                self.faults.append(f"'patterns.{unit}' lacks 'other': write other = \"{{0}} ...\"")
                continue
            self.unknown(by_category, _CATEGORIES, f"patterns.{unit}.")
            for category, pattern in by_category.items():
                found.append((unit, category, self.pattern(f"patterns.{unit}.{category}", pattern, ("{0}",))))
        for unit in UNITS:
            if not UNITS[unit].cldr and unit not in table:
                self.faults.append(f"'patterns.{unit}' is missing: the locale data have no pattern for it")
        return tuple(found)

    def keywords(self, tree: dict[str, object]) -> Words:
        """Keywords are named by the flows, so any name will do here; the flows' check compares the two."""
        table = tree.get("keywords", {})
        words = self.words(tree, "keywords", tuple(table) if isinstance(table, dict) else ())
        self.meanings("keywords", words)
        for key, texts in words:
            self.fits(f"keywords.{key}", texts[0])
        return words

    def cautions(self, tree: dict[str, object]) -> Words:
        """What a text says that warns; only the flows know which cautions they need."""
        table = self.table(tree, "cautions", CAUTIONS)
        found = self.words(tree, "cautions", tuple(key for key in table if key in CAUTIONS))
        return tuple((key, tuple(folded(text) for text in texts)) for key, texts in found)

    def grew(self, tree: dict[str, object]) -> tuple[str, ...]:
        found = tree.get("grew", [])
        listed = found if isinstance(found, list) else [found]
        words = tuple(folded(word) for word in listed if isinstance(word, str) and folded(word))
        if len(words) != len(listed):
            self.faults.append("'grew' is no list of words: write grew = [\"...\"]")
        # the longest first, so that none is cut off by a part of it
        return tuple(sorted(words, key=lambda word: -len(word)))

    def asides(self, tree: dict[str, object]) -> tuple[str, ...]:
        found = tree.get("asides", [])
        listed = found if isinstance(found, list) else [found]
        words = tuple(folded(word) for word in listed if isinstance(word, str))
        if len(words) != len(listed) or any(len(word.split()) != 1 for word in words):
            self.faults.append("'asides' is no list of single words: write asides = [\"...\"]")
            return ()
        return words

    def counts_of(self, tree: dict[str, object]) -> tuple[str, ...]:
        found = tree.get("count_of")
        if not isinstance(found, list) or not found:
            self.faults.append("'count_of' is no list of patterns: write count_of = [\"{0} ... {1}\"]")
            return ("{0}/{1}",)
        return tuple(self.pattern("count_of", pattern, ("{0}", "{1}")) for pattern in found)

    def pattern(self, where: str, pattern: object, slots: tuple[str, ...]) -> str:
        text = pattern if isinstance(pattern, str) else ""
        bare = text
        for slot in slots:
            bare = bare.replace(slot, "", 1)
        if any(slot not in text for slot in slots) or "{" in bare or "}" in bare:
            self.faults.append(f"'{where}' needs {' and '.join(slots)} once each and no other braces")
        self.fits(where, bare)
        return text

    def fits(self, where: str, text: str) -> None:
        if self.alphabet is Alphabet.GSM7 and outside(gsm_safe(text)):
            self.faults.append(f"'{where}' holds {outside(gsm_safe(text))}, which the GSM alphabet lacks")
