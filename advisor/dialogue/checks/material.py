"""What a book is made of, as far as it could be read: what is not sound is named, so that the rest is checked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from advisor.agronomy.programme import Programme
from advisor.dialogue.faults import Fault
from advisor.dialogue.flows import Flow
from advisor.dialogue.registry import Registry
from advisor.dialogue.talk import Spot
from advisor.wording.catalogs import Catalog
from advisor.wording.voice import Voice

#: No text of a screen is longer than this many lines.
_NEAR = 40


@dataclass(frozen=True, slots=True)
class Material:
    """Flows, languages and programme, with what was found wrong while they were read.

    Args:
        flows: the flows by name; of a screen that is not sound only as much as could be read.
        voices: the languages that can speak, by code.
        registry: what flows may name, None while the programme is faulty.
        programme: the programme, None while it is faulty.
        salt: text of catalogs and programme, for the fingerprint.
        faults: what was wrong in the reading.
        unread: names of flows that could not be read at all.
        unsound: screens of which a part could not be read; an empty name stands for the head of a flow.
        mute: catalogs of languages that cannot speak yet, because their glossary or the programme is faulty.
        english: the source language, served or not, in which drafts are said; None where it has no sound glossary.
        texts: the text of each file by its name, so that a fault finds its line.
        programme_file: name of the programme's file.
    """

    flows: Mapping[str, Flow]
    voices: Mapping[str, Voice]
    registry: Registry | None
    programme: Programme | None
    salt: str
    faults: tuple[Fault, ...] = ()
    unread: frozenset[str] = frozenset()
    unsound: frozenset[Spot] = frozenset()
    mute: tuple[Catalog, ...] = ()
    english: Voice | None = None
    texts: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    programme_file: str = "programme"

    def is_whole(self, flow: str) -> bool:
        """Whether a flow is there and every part of it could be read."""
        return flow in self.flows and all(spot.flow != flow for spot in self.unsound)

    def line_from(self, file: str, first: int, needle: str) -> int:
        """The line, from the first on and not far behind it, that holds a text; the first where none does."""
        lines = self.texts.get(file, "").splitlines()
        wanted = needle.strip()
        for number in range(first, min(first + _NEAR, len(lines) + 1)):
            if wanted and wanted in lines[number - 1]:
                return number
        return first

    @property
    def all_read(self) -> bool:
        """Whether every flow could be read in every part."""
        return not self.unread and not self.unsound


def line_with(text: str, *needles: str) -> int:
    """The first line that holds every needle, or else the first needle alone; 1 where none does.

    >>> line_with("a\\nb c\\nc", "c", "b"), line_with("a", "z")
    (2, 1)
    """
    lines = text.splitlines()
    for wanted in (needles, needles[:1]):
        for number, line in enumerate(lines, 1):
            if wanted and all(needle in line for needle in wanted):
                return number
    return 1
