"""The one reader of figure, programme, flow and catalog files; what it hands on is values."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import TypeVar
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from advisor.advice.binding import registry_for
from advisor.agronomy.crop import Crop, read_crop
from advisor.agronomy.errors import DataFault
from advisor.agronomy.programme import Programme
from advisor.agronomy.programme_file import read_programme
from advisor.agronomy.sources import Source, read_sources
from advisor.dialogue.book import Book
from advisor.dialogue.building import build_book
from advisor.dialogue.faults import Fault, Faulty
from advisor.dialogue.flows import Flow
from advisor.dialogue.reading import read_flow
from advisor.wording.catalogs import Catalog, read_catalog
from advisor.wording.errors import CatalogUnreadable, GlossaryFaults, WordingError
from advisor.wording.glossary import Glossary, read_glossary
from advisor.wording.voice import Voice

DEMO = "ulami"
SOURCE_LANGUAGE = "en"

_T = TypeVar("_T")
_TOML_LINE = re.compile(r" \(at line (\d+), column \d+\)")


class NotThere(Exception):  # noqa: N818 - named for what is wrong
    """A programme file or a folder that a setting names cannot be read.

    Args:
        setting: name of the setting.
        what: ``file`` or ``folder``.
        wanted: what it must name.
    """

    def __init__(self, setting: str, what: str, wanted: str) -> None:
        super().__init__(f"{setting} names a {what} that cannot be read: give a {wanted}")


@dataclass(frozen=True, slots=True)
class Folder:
    """A folder of data files.

    Args:
        path: where it is.
        name: how faults name it: as the author gave it.
    """

    path: Traversable
    name: str

    def named(self, file: str) -> str:
        """How faults name a file in it.

        >>> Folder(Path("/x"), "./mine/").named("tea.yaml")
        'mine/tea.yaml'
        """
        return str(Path(self.name, file))


def load_book(programme: str | None = None, flows: str = "", locales: str = "") -> Book:
    """The book of a programme.

    Args:
        programme: path of a programme file, None or empty for the demonstration programme.
        flows: folder of flow files, empty for the shipped flows.
        locales: folder of catalogs and glossaries, empty for the shipped ones.

    Returns:
        The book, checked and proven.

    Raises:
        Faulty: everything that is wrong in flows, catalogs, programme and figures.
        NotThere: the programme file or a folder cannot be read.
    """
    flow_folder = folder_of(flows, "flows", "SOWING_FLOWS")
    locale_folder = folder_of(locales, "locales", "SOWING_LOCALES")
    faults: list[Fault] = []
    found = _gathered(lambda: load_flows(flow_folder), faults)
    known = _gathered(lambda: _programme(programme or ""), faults)
    spoken = _gathered(lambda: load_voices(locale_folder, known[1]), faults) if known else None
    if found is None or known is None or spoken is None:
        raise Faulty(faults)
    (text, loaded, crops), (voices, salt) = known, spoken
    registry = registry_for(loaded, crops, voices)
    return build_book(found, voices, registry, loaded, text + salt)


def files_of(programme: str = "", flows: str = "", locales: str = "") -> tuple[Path, ...]:
    """The files that such a book is made of, as they are now; none inside an archive.

    Args:
        programme: as for ``load_book``.
        flows: as for ``load_book``.
        locales: as for ``load_book``.

    Raises:
        OSError: a folder cannot be looked into.
    """
    data = files("advisor.agronomy").joinpath("data")
    found = [
        Path(programme) if programme else _demo_file(),
        *_sorted(Path(flows) if flows else shipped("flows"), ".yaml"),
        *_sorted(Path(locales) if locales else shipped("locales"), ".po", ".toml"),
        *_sorted(data, ".toml"),
        *_sorted(data.joinpath("crops"), ".toml"),
    ]
    return tuple(path for path in found if isinstance(path, Path))


def folder_of(given: str, shipped_as: str, setting: str) -> Folder:
    """The folder that was given, else the one that goes with the program.

    Raises:
        NotThere: the given one is no folder.
    """
    if not given:
        return Folder(shipped(shipped_as), shipped_as)
    if not Path(given).is_dir():
        raise NotThere(setting, "folder", f"folder of {shipped_as}")
    return Folder(Path(given), given)


def _gathered(load: Callable[[], _T], faults: list[Fault]) -> _T | None:
    try:
        return load()
    except Faulty as error:
        faults += error.faults
        return None


def _programme(name: str) -> tuple[str, Programme, tuple[Crop, ...]]:
    """The programme with its text and the crops; the faults of figure files at once with its own."""
    try:
        sources, crops = load_figures()
        text = _programme_text(name)
        return text, load_programme(text, crops, sources, name or f"{DEMO}.toml"), crops
    except DataFault as error:
        raise Faulty(_data_fault(error.file, line) for line in error.faults) from error


def shipped(folder: str) -> Traversable:
    """A folder of data that goes with the program: inside the wheel, or beside the package in a checkout."""
    inside = files("advisor").joinpath("shipped", folder)
    return inside if inside.is_dir() else files("advisor").joinpath("..", folder)


def load_figures() -> tuple[tuple[Source, ...], tuple[Crop, ...]]:
    """Sources and crops from the data files of the calculator."""
    data = files("advisor.agronomy").joinpath("data")
    sources = read_sources(_text(data.joinpath("sources.toml")))
    crops = tuple(read_crop(_text(path), sources) for path in _sorted(data.joinpath("crops"), ".toml"))
    return sources, crops


def load_programme(text: str, crops: tuple[Crop, ...], sources: tuple[Source, ...], name: str) -> Programme:
    """A programme from its text, with a time zone that exists; ``name`` is how faults name its file."""
    try:
        programme = read_programme(text, crops, sources)
    except DataFault as error:
        raise Faulty(_data_fault(name, line) for line in error.faults) from error
    try:
        ZoneInfo(programme.time_zone)
    except (ZoneInfoNotFoundError, ValueError) as error:
        what = f"there is no time zone '{programme.time_zone}'"
        raise Faulty([Fault(name, 0, what, "write one such as 'Etc/GMT-3'")]) from error
    return programme


def load_flows(folder: Folder) -> tuple[Flow, ...]:
    """Every flow of a folder; the faults of all files at once."""
    flows: list[Flow] = []
    faults: list[Fault] = []
    for path in _sorted(folder.path, ".yaml"):
        try:
            flows.append(read_flow(_text_in(folder, path.name), folder.named(path.name)))
        except Faulty as error:
            faults += error.faults
    if faults:
        raise Faulty(faults)
    return tuple(flows)


def load_voices(folder: Folder, programme: Programme) -> tuple[tuple[Voice, ...], str]:
    """The languages of a programme, and the text of their files for the fingerprint; all faults at once."""
    voices: list[Voice] = []
    faults: list[Fault] = []
    salt = ""
    for language in programme.languages:
        try:
            voice, text = _voice(folder, language, programme)
        except Faulty as error:
            faults += error.faults
        else:
            voices.append(voice)
            salt += text
    if faults:
        raise Faulty(faults)
    return tuple(voices), salt


def _voice(folder: Folder, language: str, programme: Programme) -> tuple[Voice, str]:
    faults: list[Fault] = []
    glossary = _gathered(lambda: _glossary(folder, language), faults)
    catalog = _gathered(lambda: _catalog(folder, language), faults)
    if glossary is None or catalog is None:
        raise Faulty(faults)
    try:
        voice = Voice(catalog[0], glossary[0], programme.currency, programme.area_unit)
    except WordingError as error:
        what, _, instead = str(error).rpartition(": ")
        file = folder.named(f"{language}.glossary.toml")
        raise Faulty([Fault(file, 0, what, instead, language=language)]) from error
    return voice, glossary[1] + catalog[1]


def _glossary(folder: Folder, language: str) -> tuple[Glossary, str]:
    file = f"{language}.glossary.toml"
    text = _text_in(folder, file)
    try:
        return read_glossary(text), text
    except GlossaryFaults as error:
        raise Faulty(_data_fault(folder.named(file), line) for line in error.faults) from error


def _catalog(folder: Folder, language: str) -> tuple[Catalog, str]:
    file = f"{language}.po"
    if language == SOURCE_LANGUAGE:
        return replace(Catalog.source(language), file=folder.named(file)), ""
    text = _text_in(folder, file)
    try:
        return replace(read_catalog(text, language), file=folder.named(file)), text
    except CatalogUnreadable as error:
        raise Faulty([Fault(folder.named(file), error.line, error.what, "mend the line")]) from error
    except WordingError as error:
        what, _, instead = str(error).rpartition(": ")
        raise Faulty([Fault(folder.named(file), 0, what, instead, language=language)]) from error


def _data_fault(file: str, said: str) -> Fault:
    """A line of a data file's faults as a fault, with the line in the file where the library tells it.

    >>> print(_data_fault("mine.toml", "not a TOML file: Expected '=' (at line 3, column 4)"))
    mine.toml:3: not a TOML file: Expected '='
    """
    found = _TOML_LINE.search(said)
    what, _, instead = _TOML_LINE.sub("", said).rpartition(": ")
    return Fault(file, int(found[1]) if found else 0, what, instead)


def _programme_text(name: str) -> str:
    if not name:
        return _text(_demo_file())
    try:
        return Path(name).read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise NotThere("SOWING_PROGRAMME", "file", "programme file") from error


def _text_in(folder: Folder, file: str) -> str:
    try:
        return _text(folder.path.joinpath(file))
    except OSError as error:
        raise Faulty([Fault(folder.named(file), 0, "cannot be read", "put the file there")]) from error
    except UnicodeDecodeError as error:
        raise Faulty([Fault(folder.named(file), 0, "is not written in UTF-8", "save it as UTF-8")]) from error


def _demo_file() -> Traversable:
    return files("advisor").joinpath("programmes", f"{DEMO}.toml")


def _sorted(folder: Traversable, *endings: str) -> list[Traversable]:
    return sorted((path for path in folder.iterdir() if path.name.endswith(endings)), key=lambda path: path.name)


def _text(path: Traversable) -> str:
    return path.read_text(encoding="utf-8")
