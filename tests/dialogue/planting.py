"""Faults planted in the texts of the shipped files, which are then read and checked as an author's would be."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from unittest.mock import patch

from advisor.advice import assembling
from advisor.advice.assembling import Paper, material_of
from advisor.dialogue.checks.checking import Findings, findings
from advisor.loading import load_figures, load_leaf_signs, load_papers, zone_exists
from advisor.wording.kinds import scales

PROGRAMME = "ulami.toml"
LIST, FIELD, FIRST = "flows/buy_list.yaml", "flows/measure_field.yaml", "flows/welcome.yaml"
ENGLISH = ("en",)


# What is read from one text is the same each time; only the file with the planted fault is read anew.
_READ_ONCE = {
    name: lru_cache(maxsize=64)(getattr(assembling, name))
    for name in ("read_as_far_as_can_be", "read_catalog", "read_glossary")
}
_category = cache(scales.plural_category)


@cache
def shipped_texts():
    """The text of each shipped file by its name in faults."""
    papers = load_papers()
    every = (papers.programme, *papers.flows, *papers.glossaries.values(), *papers.catalogs.values())
    return {paper.file: paper.text for paper in every}


def languages():
    """The languages of the demonstration programme."""
    return re.findall('"(..)"', re.search("(?m)^languages = .*$", shipped_texts()[PROGRAMME])[0])


@cache
def figures():
    return load_figures()


@cache
def leaf_signs():
    return load_leaf_signs()


def check(changed, spoken=None) -> Findings:
    """What the checks find once files hold other texts.

    Args:
        changed: new text by file name.
        spoken: only these languages, which is quicker where the others do not matter.
    """
    papers = load_papers()
    programme = changed.get(PROGRAMME, papers.programme.text)
    if spoken:
        listed = ", ".join(f'"{language}"' for language in spoken)
        programme = re.sub("(?m)^languages = .*$", f"languages = [{listed}]", programme)
        gone = "|".join(set(languages()) - set(spoken))
        programme = re.sub(rf', ({gone}) = "[^"\n]*"', "", programme) if gone else programme

    def now(paper):
        return replace(paper, text=changed.get(paper.file, paper.text))

    planted = replace(
        papers,
        programme=Paper(PROGRAMME, programme),
        flows=tuple(now(paper) for paper in papers.flows),
        glossaries={language: now(paper) for language, paper in papers.glossaries.items()},
        catalogs={language: now(paper) for language, paper in papers.catalogs.items()},
    )
    (sources, crops), signs = figures(), leaf_signs()
    with patch.multiple(assembling, **_READ_ONCE), patch.object(scales, "plural_category", _category):
        return findings(material_of(planted, crops, sources, zone_exists, signs))


@dataclass(frozen=True)
class Planted:
    """A file with one thing changed."""

    file: str
    text: str
    spoken: tuple[str, ...] | None = None

    @property
    def found(self):
        return check({self.file: self.text}, self.spoken).faults

    @property
    def before(self):
        """The text as it is shipped."""
        return shipped_texts()[self.file]

    @property
    def changed(self):
        """File and line of the first change, for whoever reads what was missed."""
        pairs = zip(self.before.splitlines(), [*self.text.splitlines(), *[""] * 99], strict=False)
        return next(f"{self.file}:{n} {new}" for n, (old, new) in enumerate(pairs, 1) if old != new)

    def line(self, needle, file=""):
        """The line of the mutated text, or of another file, that holds a text; it must hold it once."""
        text = shipped_texts()[file] if file and file != self.file else self.text
        lines = list(enumerate(text.splitlines(), 1))
        held = [number for number, line in lines if line == needle] or [n for n, line in lines if needle in line]
        assert len(held) == 1, f"{needle!r} stands on the lines {held}"
        return held[0]


def plant(file, old, new, spoken=None):
    """Changes the one place in a shipped file where a text stands."""
    text = shipped_texts()[file]
    assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times in {file}"
    return Planted(file, text.replace(old, new), spoken)


def told(planted, what, needle, screen="", language="", file=""):
    """The one fault of these words, which must stand at the line that holds the needle."""
    found = [fault for fault in planted.found if what in fault.what]
    assert len(found) == 1, [str(fault) for fault in planted.found]
    (fault,) = found
    where = (fault.file, fault.line, fault.screen, fault.language)
    assert where == (file or planted.file, planted.line(needle, file), screen, language)
    assert fault.instead
    return fault
