"""The one reader of figure, programme, flow and catalog files; what it hands on is values."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from advisor.advice.assembling import Paper, Papers, data_fault, material_of
from advisor.agronomy.crop import Crop, read_crop
from advisor.agronomy.errors import DataFault
from advisor.agronomy.leaf_signs import LeafSigns, read_leaf_signs
from advisor.agronomy.onset_rules import OnsetRules, read_onset_rules
from advisor.agronomy.programme import Programme
from advisor.agronomy.programme_file import read_programme
from advisor.agronomy.sources import Source, read_sources
from advisor.dialogue.book import Book
from advisor.dialogue.building import book_from
from advisor.dialogue.checks.material import Material
from advisor.dialogue.faults import Fault, Faulty

DEMO = "ulami"


class NotThere(Exception):  # noqa: N818 - named for what is wrong
    """A programme file or a folder that a setting or an option names is of no use.

    Args:
        option: name of the option; the setting has the same.
        what: what it names.
        wanted: what it must name.
    """

    def __init__(self, option: str, what: str, wanted: str) -> None:
        super().__init__(f"--{option} or SOWING_{option.upper()} names a {what}: give a {wanted}")


class NoRound(Exception):  # noqa: N818 - named for what is wrong
    """There is no round file that can be read.

    Args:
        name: what was given.
        known: names of the rounds that go with the program.
    """

    def __init__(self, name: str, known: list[str]) -> None:
        super().__init__(f"{name} is no round file that can be read: give one, or {' or '.join(known)}")


@dataclass(frozen=True, slots=True)
class Calculator:
    """Everything that the calculator rests on.

    Args:
        sources: where figures come from.
        crops: the crops.
        leaf_signs: signs on leaves, of each crop that has them.
        onset_rules: rules for the onset of the rains.
        programme: the programme.
    """

    sources: tuple[Source, ...]
    crops: tuple[Crop, ...]
    leaf_signs: tuple[LeafSigns, ...]
    onset_rules: OnsetRules
    programme: Programme


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


def load_book(programme: str | None = None, flows: str = "", locales: str = "", *, drafting: bool = False) -> Book:
    """The book of a programme.

    Args:
        programme: path of a programme file, None or empty for the demonstration programme.
        flows: folder of flow files, empty for the shipped flows.
        locales: folder of catalogs and glossaries, empty for the shipped ones.
        drafting: what is not translated yet is said in English and told as a warning of the book.

    Returns:
        The book, checked and proven.

    Raises:
        Faulty: everything that is wrong in flows, catalogs, programme and figures.
        NotThere: the programme file or a folder cannot be read.
    """
    with _without_collecting():
        return book_from(load_material(programme, flows, locales), drafting=drafting)


def load_material(programme: str | None = None, flows: str = "", locales: str = "") -> Material:
    """What the book is made of, with everything that was wrong in the reading; arguments as of ``load_book``.

    Raises:
        Faulty: the calculator's own figures are faulty, which hides all else.
        NotThere: the programme file or a folder cannot be read.
    """
    try:
        sources, crops = load_figures()
        signs = load_leaf_signs()
    except DataFault as error:
        raise Faulty(data_fault(error.file, said, "") for said in error.faults) from error
    return material_of(load_papers(programme, flows, locales), crops, sources, zone_exists, signs)


def load_papers(programme: str | None = None, flows: str = "", locales: str = "") -> Papers:
    """The texts that a book is made of; arguments as of ``load_book``.

    Raises:
        NotThere: the programme file or a folder cannot be read.
    """
    flow_folder = folder_of(flows, "flows", ".yaml")
    locale_folder = folder_of(locales, "locales", ".glossary.toml")
    return Papers(
        programme=Paper(programme or f"{DEMO}.toml", _programme_text(programme or "")),
        flows=tuple(_paper(flow_folder, path.name) for path in _sorted(flow_folder.path, ".yaml")),
        glossaries=_by_language(locale_folder, ".glossary.toml"),
        catalogs=_by_language(locale_folder, ".po"),
        locales=locale_folder.named(""),
    )


def zone_exists(name: str) -> bool:
    """Whether there is a time zone of that name.

    >>> zone_exists("Etc/GMT-3"), zone_exists("Ulami")
    (True, False)
    """
    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError):
        return False
    return True


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
        *_sorted(data.joinpath("leaf_signs"), ".toml"),
    ]
    return tuple(path for path in found if isinstance(path, Path))


def folder_of(given: str, option: str, ending: str) -> Folder:
    """The folder that was given under an option, else the one of that name that goes with the program.

    Raises:
        NotThere: the given one is no folder, or holds no file with the ending.
    """
    if not given:
        return Folder(shipped(option), option)
    try:
        found = _sorted(Path(given), ending)
    except OSError as error:
        raise NotThere(option, "folder that cannot be read", f"folder of {option}") from error
    if not found:
        raise NotThere(option, f"folder without *{ending} files", f"folder of {option}")
    return Folder(Path(given), given)


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


def load_leaf_signs() -> tuple[LeafSigns, ...]:
    """Signs on leaves from the data files of the calculator, of each crop that has them."""
    sources = read_sources(_text(files("advisor.agronomy").joinpath("data", "sources.toml")))
    folder = files("advisor.agronomy").joinpath("data", "leaf_signs")
    return tuple(read_leaf_signs(_text(path), sources) for path in _sorted(folder, ".toml"))


def load_round(name: str) -> str:
    """The text of a round.

    Args:
        name: path of a round file, or the name of one that goes with the program.

    Raises:
        NoRound: there is none.
    """
    shipped_rounds = files("advisor").joinpath("rounds")
    known = [path.name.removesuffix(".toml") for path in _sorted(shipped_rounds, ".toml")]
    try:
        return _text(shipped_rounds.joinpath(f"{name}.toml")) if name in known else _text(Path(name))
    except (OSError, UnicodeDecodeError) as error:
        raise NoRound(name, known) from error


def load_onset_rules() -> OnsetRules:
    """Rules by which the rains have begun, from the data files of the calculator."""
    data = files("advisor.agronomy").joinpath("data")
    return read_onset_rules(_text(data.joinpath("onset_rules.toml")), load_figures()[0])


def load_calculator(programme: str | None = None) -> Calculator:
    """Everything that the calculator rests on; argument as of ``load_book``.

    Raises:
        DataFault: everything that is wrong in the first faulty file.
        NotThere: the programme file cannot be read.
    """
    sources, crops = load_figures()
    return Calculator(
        sources=sources,
        crops=crops,
        leaf_signs=load_leaf_signs(),
        onset_rules=load_onset_rules(),
        programme=read_programme(_programme_text(programme or ""), crops, sources),
    )


@contextmanager
def _without_collecting() -> Iterator[None]:
    """Leaves garbage for later: a book is kept, and a collector that goes over it while it grows finds nothing."""
    was_enabled = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_enabled:
            gc.enable()


def _programme_text(name: str) -> str:
    if not name:
        return _text(_demo_file())
    try:
        return Path(name).read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise NotThere("programme", "file that cannot be read", "programme file") from error


def _by_language(folder: Folder, ending: str) -> dict[str, Paper]:
    return {path.name.removesuffix(ending): _paper(folder, path.name) for path in _sorted(folder.path, ending)}


def _paper(folder: Folder, file: str) -> Paper:
    named = folder.named(file)
    try:
        return Paper(named, _text(folder.path.joinpath(file)))
    except OSError:
        return Paper(named, None, Fault(named, 0, "cannot be read", "put the file there"))
    except UnicodeDecodeError:
        return Paper(named, None, Fault(named, 1, "is not written in UTF-8", "save it as UTF-8"))


def _demo_file() -> Traversable:
    return files("advisor").joinpath("programmes", f"{DEMO}.toml")


def _sorted(folder: Traversable, *endings: str) -> list[Traversable]:
    found = (path for path in folder.iterdir() if path.name.endswith(endings))
    # an editor's lock beside a file that is open has its name, with a point in front
    return sorted((path for path in found if not path.name.startswith(".")), key=lambda path: path.name)


def _text(path: Traversable) -> str:
    return path.read_text(encoding="utf-8")
