"""The one reader of figure, programme, flow and catalog files; what it hands on is values."""

from __future__ import annotations

from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from advisor.advice.binding import registry_for
from advisor.agronomy.crop import Crop, read_crop
from advisor.agronomy.programme import Programme
from advisor.agronomy.programme_file import read_programme
from advisor.agronomy.sources import Source, read_sources
from advisor.dialogue.book import Book
from advisor.dialogue.building import build_book
from advisor.dialogue.faults import Fault, Faulty
from advisor.dialogue.flows import Flow
from advisor.dialogue.reading import read_flow
from advisor.wording.catalogs import Catalog, read_catalog
from advisor.wording.glossary import read_glossary
from advisor.wording.voice import Voice

DEMO = "ulami"
SOURCE_LANGUAGE = "en"


def load_book(programme: str | None = None) -> Book:
    """The book of a programme.

    Args:
        programme: path of a programme file, None for the demonstration programme.

    Returns:
        The book, checked and proven.

    Raises:
        Faulty: everything that is wrong in flows and catalogs.
        AgronomyError: everything that is wrong in a figure or programme file.
    """
    sources, crops = load_figures()
    text = _programme_text(programme)
    loaded = load_programme(text, crops, sources)
    flows = load_flows(shipped("flows"))
    voices, salt = load_voices(shipped("locales"), loaded)
    registry = registry_for(loaded, crops, voices)
    return build_book(flows, voices, registry, loaded, text + salt)


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


def load_programme(text: str, crops: tuple[Crop, ...], sources: tuple[Source, ...]) -> Programme:
    """A programme from its text, with a time zone that exists."""
    programme = read_programme(text, crops, sources)
    try:
        ZoneInfo(programme.time_zone)
    except (ZoneInfoNotFoundError, ValueError) as error:
        what = f"there is no time zone '{programme.time_zone}'"
        raise Faulty([Fault("programme", 0, what, "write one such as 'Etc/GMT-3'")]) from error
    return programme


def load_flows(folder: Traversable) -> tuple[Flow, ...]:
    """Every flow of a folder; the faults of all files at once."""
    flows: list[Flow] = []
    faults: list[Fault] = []
    for path in _sorted(folder, ".yaml"):
        try:
            flows.append(read_flow(_text(path), f"flows/{path.name}"))
        except Faulty as error:
            faults += error.faults
    if faults:
        raise Faulty(faults)
    return tuple(flows)


def load_voices(folder: Traversable, programme: Programme) -> tuple[tuple[Voice, ...], str]:
    """The languages of a programme, and the text of their files for the fingerprint."""
    voices, salt = [], ""
    for language in programme.languages:
        glossary_text = _text(folder.joinpath(f"{language}.glossary.toml"))
        catalog_text = "" if language == SOURCE_LANGUAGE else _text(folder.joinpath(f"{language}.po"))
        catalog = read_catalog(catalog_text, language) if catalog_text else Catalog.source(language)
        voices.append(Voice(catalog, read_glossary(glossary_text), programme.currency, programme.area_unit))
        salt += glossary_text + catalog_text
    return tuple(voices), salt


def _programme_text(programme: str | None) -> str:
    if programme is not None:
        return Path(programme).read_text(encoding="utf-8")
    return _text(files("advisor").joinpath("programmes", f"{DEMO}.toml"))


def _sorted(folder: Traversable, ending: str) -> list[Traversable]:
    return sorted((path for path in folder.iterdir() if path.name.endswith(ending)), key=lambda path: path.name)


def _text(path: Traversable) -> str:
    return path.read_text(encoding="utf-8")
