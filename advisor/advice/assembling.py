"""From the texts of programme, flows, glossaries and catalogs to what a book is made of, with every fault."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from advisor.advice.binding import registry_for
from advisor.agronomy.crop import Crop
from advisor.agronomy.errors import AgronomyError, DataFault
from advisor.agronomy.leaf_signs import LeafSigns
from advisor.agronomy.lines import line_of
from advisor.agronomy.programme import Programme
from advisor.agronomy.programme_file import read_programme
from advisor.agronomy.sources import Source
from advisor.dialogue.checks.material import Material, line_with
from advisor.dialogue.faults import Fault
from advisor.dialogue.flows import Flow
from advisor.dialogue.reading import read_as_far_as_can_be
from advisor.dialogue.registry import Registry
from advisor.dialogue.talk import Spot
from advisor.wording.catalogs import Catalog, read_catalog
from advisor.wording.errors import CatalogUnreadable, GlossaryFaults, NotInAlphabet, WordingError
from advisor.wording.glossary import Glossary, read_glossary
from advisor.wording.voice import Voice

SOURCE_LANGUAGE = "en"

_TOML_LINE = re.compile(r" \(at line (\d+), column \d+\)")


@dataclass(frozen=True, slots=True)
class Paper:
    """One text file.

    Args:
        file: how faults name it.
        text: its text, None where it cannot be read.
        fault: what is wrong with a file that cannot be read.
    """

    file: str
    text: str | None
    fault: Fault | None = None


@dataclass(frozen=True, slots=True)
class Papers:
    """All text files that a book is made of.

    Args:
        programme: the programme.
        flows: the flows.
        glossaries: by language; one that the programme names and that is not here is told as missing.
        catalogs: by language.
        locales: name of the folder of catalogs and glossaries.
    """

    programme: Paper
    flows: tuple[Paper, ...]
    glossaries: Mapping[str, Paper]
    catalogs: Mapping[str, Paper]
    locales: str = "locales"


def material_of(
    papers: Papers,
    crops: tuple[Crop, ...],
    sources: tuple[Source, ...],
    zone_exists: Callable[[str], bool],
    signs: tuple[LeafSigns, ...] = (),
) -> Material:
    """Reads everything that can be read; a file that is faulty hides nothing of the others.

    Args:
        papers: the texts.
        crops: crops that the programme may grow.
        sources: sources that its figures may name.
        zone_exists: whether there is a time zone of that name.
        signs: what is known of the crops' leaves.
    """
    faults: list[Fault] = []
    programme = _programme(papers.programme, crops, sources, zone_exists, faults)
    flows, unread, unsound = _flows(papers.flows, faults)
    # Which languages are served stands in the programme; while that is faulty every catalog is looked at.
    languages = programme.languages if programme else tuple(sorted({*papers.catalogs, SOURCE_LANGUAGE}))
    voices: dict[str, Voice] = {}
    mute: list[Catalog] = []
    salt = papers.programme.text or ""
    for language in languages:
        glossary = _glossary(_paper(papers, language, papers.glossaries, "glossary.toml"), faults)
        catalog = _catalog(_paper(papers, language, papers.catalogs, "po"), language, faults)
        voice = _voice(catalog, glossary, programme, papers, language, faults)
        if voice:
            voices[language] = voice
        elif catalog and not catalog.is_source:
            mute.append(catalog)
        salt += "".join(_text(papers, kind, language) for kind in (papers.glossaries, papers.catalogs))
    everything = (papers.programme, *papers.flows, *papers.glossaries.values(), *papers.catalogs.values())
    registry = _registry(programme, crops, signs, tuple(voices.values()), papers.programme, faults)
    return Material(
        flows=MappingProxyType(flows),
        voices=MappingProxyType(voices),
        registry=registry,
        programme=programme,
        salt=salt,
        faults=tuple(faults),
        unread=frozenset(unread),
        unsound=frozenset(unsound),
        mute=tuple(mute),
        english=_english(voices, papers, programme),
        texts=MappingProxyType({paper.file: paper.text or "" for paper in everything}),
        programme_file=papers.programme.file,
    )


def _registry(
    programme: Programme | None,
    crops: tuple[Crop, ...],
    signs: tuple[LeafSigns, ...],
    voices: tuple[Voice, ...],
    paper: Paper,
    faults: list[Fault],
) -> Registry | None:
    """What flows may name, None where it cannot be made; its bounds are worked out for the largest field."""
    if programme is None or not voices:
        return None
    try:
        return registry_for(programme, crops, voices, signs)
    except AgronomyError as error:
        line = line_of(paper.text or "", "field.plot_high")
        faults.append(
            Fault(paper.file, line, f"the largest field asks too much: {error}", "give a lower plot_high")
        )
        return None


def _text(papers: Papers, kind: Mapping[str, Paper], language: str) -> str:
    # Of the source language no catalog is read, so none counts.
    if language not in kind or (kind is papers.catalogs and language == SOURCE_LANGUAGE):
        return ""
    return kind[language].text or ""


def _programme(
    paper: Paper,
    crops: tuple[Crop, ...],
    sources: tuple[Source, ...],
    zone_exists: Callable[[str], bool],
    faults: list[Fault],
) -> Programme | None:
    if paper.text is None:
        faults += [paper.fault] if paper.fault else []
        return None
    try:
        programme = read_programme(paper.text, crops, sources)
    except DataFault as error:
        faults += (data_fault(paper.file, said, paper.text) for said in error.faults)
        return None
    if not zone_exists(programme.time_zone):
        what = f"there is no time zone '{programme.time_zone}'"
        line = line_of(paper.text, "time_zone")
        faults.append(Fault(paper.file, line, what, "write one such as 'Etc/GMT-3'"))
    return programme


def _flows(papers: Iterable[Paper], faults: list[Fault]) -> tuple[dict[str, Flow], set[str], set[Spot]]:
    flows: dict[str, Flow] = {}
    unread: set[str] = set()
    unsound: set[Spot] = set()
    for paper in papers:
        stem = re.split(r"[/\\]", paper.file)[-1].removesuffix(".yaml")
        if paper.text is None:
            faults += [paper.fault] if paper.fault else []
            unread.add(stem)
            continue
        reading = read_as_far_as_can_be(paper.text, paper.file)
        faults += reading.faults
        if reading.flow is None:
            unread.add(stem)
        else:
            # It is called by its file's name, even where the name inside is wrong.
            flows[stem] = replace(reading.flow, name=stem)
            unsound |= {Spot(stem, screen) for screen in reading.unsound}
    return flows, unread, unsound


def _paper(papers: Papers, language: str, kind: Mapping[str, Paper], ending: str) -> Paper:
    if language in kind or (ending == "po" and language == SOURCE_LANGUAGE):
        return kind.get(language) or Paper(f"{papers.locales}/{language}.{ending}", "")
    file = f"{papers.locales}/{language}.{ending}"
    return Paper(file, None, Fault(file, 0, "cannot be read", "put the file there", language=language))


def _glossary(paper: Paper, faults: list[Fault]) -> Glossary | None:
    if paper.text is None:
        faults += [paper.fault] if paper.fault else []
        return None
    try:
        return read_glossary(paper.text)
    except GlossaryFaults as error:
        faults += (data_fault(paper.file, said, paper.text) for said in error.faults)
        return None


def _catalog(paper: Paper, language: str, faults: list[Fault]) -> Catalog | None:
    if language == SOURCE_LANGUAGE:
        return replace(Catalog.source(language), file=paper.file)
    if paper.text is None:
        faults += [paper.fault] if paper.fault else []
        return None
    try:
        return replace(read_catalog(paper.text, language), file=paper.file)
    except CatalogUnreadable as error:
        faults.append(Fault(paper.file, max(1, error.line), error.what, "mend the line", language=language))
    except WordingError as error:
        what, _, instead = str(error).rpartition(": ")
        faults.append(Fault(paper.file, 1, what, instead, language=language))
    return None


def _voice(
    catalog: Catalog | None,
    glossary: Glossary | None,
    programme: Programme | None,
    papers: Papers,
    language: str,
    faults: list[Fault],
) -> Voice | None:
    if catalog is None or glossary is None or programme is None:
        return None
    try:
        return Voice(catalog, glossary, programme.currency, programme.area_unit)
    except WordingError as error:
        what, _, instead = str(error).rpartition(": ")
        paper = papers.glossaries[language]
        line = line_with(paper.text or "", "language")
        if isinstance(error, NotInAlphabet):
            paper = papers.programme
            line = line_of(paper.text or "", "currency.symbol")
        faults.append(Fault(paper.file, line, what, instead, language=language))
        return None


def _english(voices: Mapping[str, Voice], papers: Papers, programme: Programme | None) -> Voice | None:
    """The source language, of a programme that does not serve it too; faults of its files are then nobody's."""
    if SOURCE_LANGUAGE in voices or SOURCE_LANGUAGE not in papers.glossaries:
        return voices.get(SOURCE_LANGUAGE)
    glossary = _glossary(papers.glossaries[SOURCE_LANGUAGE], [])
    catalog = _catalog(_paper(papers, SOURCE_LANGUAGE, papers.catalogs, "po"), SOURCE_LANGUAGE, [])
    return _voice(catalog, glossary, programme, papers, SOURCE_LANGUAGE, [])


def data_fault(file: str, said: str, text: str) -> Fault:
    """A line of a data file's faults as a fault, with its line in the file.

    >>> print(data_fault("mine.toml", "not a TOML file: Expected '=' (at line 3, column 4)", ""))
    mine.toml:3: not a TOML file: Expected '='
    """
    found = _TOML_LINE.search(said)
    what, _, instead = _TOML_LINE.sub("", said).partition(": ")
    line = int(found[1]) if found else line_of(text, said)
    return Fault(file, line, what, instead or "write it another way")
