"""``catalog``: the English texts for translators, and what they made of them."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from advisor.commands.beginning import author_options, read_settings
from advisor.commands.exits import Exit, FoundProblems, WrongUsage

if TYPE_CHECKING:
    from advisor.dialogue.checks.material import Material
    from advisor.dialogue.faults import Fault
    from advisor.settings import Settings
    from advisor.wording.merging import SourceText


@click.group()
def catalog() -> None:
    """Gives translators the English texts, and checks what they made of them.

    \b
    Example:
      advisor catalog update fr
    """


@catalog.command("extract")
@click.option(
    "--out", metavar="FILE", type=click.Path(path_type=Path), help="File to write; without one it is shown."
)
@author_options
def extract_texts(out: Path | None, **options: str | None) -> Exit:
    """Writes every English text as a template, which a translator's tool can begin from.

    \b
    Example:
      advisor catalog extract --out advisor.pot
    """
    from advisor.dialogue.sources import source_texts
    from advisor.wording.merging import template
    from advisor.wording.po_files import write_po

    material = _all_flows(read_settings(demo=True, **options))
    text = write_po(template(source_texts(material)))
    if out is None:
        click.echo(text, nl=False)
    else:
        _write(out, text)
    return Exit.DONE


@catalog.command("update")
@click.argument("languages", metavar="[LANGUAGE]...", nargs=-1)
@author_options
def update_catalogs(languages: tuple[str, ...], **options: str | None) -> Exit:
    """Brings the texts of now into catalogs: all of them, or those named; one that is not there is begun.

    \b
    Example:
      advisor catalog update fr sw
    """
    from advisor.dialogue.sources import source_texts

    settings = read_settings(demo=True, **options)
    material = _all_flows(settings)
    wanted = source_texts(material)
    folder = _folder(settings)
    # Nothing is written before every catalog was read and merged.
    updated = {name: _updated(folder / f"{name}.po", name, wanted) for name in _named(languages, folder)}
    for name, text in updated.items():
        file = folder / f"{name}.po"
        changed = not file.exists() or file.read_text("utf-8") != text
        if changed:
            _write(file, text)
        click.echo(f"{_counted(name, text, wanted)}{'' if changed else '; as it was'}")
    return Exit.DONE


@catalog.command("check")
@click.argument("languages", metavar="[LANGUAGE]...", nargs=-1)
@author_options
def check_catalogs(languages: tuple[str, ...], **options: str | None) -> Exit:
    """Counts what is done in each catalog, and names everything that is wrong, with file and line.

    \b
    Example:
      advisor catalog check
    """
    from advisor.dialogue.faults import in_order
    from advisor.dialogue.sources import source_texts

    settings = read_settings(demo=True, **options)
    material = _all_flows(settings)
    wanted = source_texts(material)
    folder = _folder(settings)
    faults: list[str] = []
    for name in _named(languages, folder):
        found = [str(fault) for fault in in_order(_faults(material, name, folder / f"{name}.po"))]
        click.echo(f"{_counted(name, _read(folder / f'{name}.po'), wanted)}; faults {len(found)}")
        faults += found
    if faults:
        raise FoundProblems("\n".join(faults))
    return Exit.DONE


def _all_flows(settings: Settings) -> Material:
    """Flows, catalogs and programme; every text must be known, or translations would be taken for old ones."""
    from advisor.dialogue.faults import Faulty
    from advisor.loading import NotThere, load_material

    try:
        material = load_material(settings.programme, settings.flows, settings.locales)
    except Faulty as error:
        raise FoundProblems(str(error)) from error
    except NotThere as error:
        raise WrongUsage(str(error)) from error
    if not material.all_read:
        of_flows = (fault for fault in material.faults if Path(fault.file).suffix == ".yaml")
        raise FoundProblems("\n".join(map(str, of_flows)))
    return material


def _folder(settings: Settings) -> Path:
    from advisor.loading import folder_of

    return Path(str(folder_of(settings.locales, "locales", ".glossary.toml").path)).resolve()


def _named(languages: tuple[str, ...], folder: Path) -> list[str]:
    from advisor.advice.assembling import SOURCE_LANGUAGE
    from advisor.wording.errors import UnknownLanguage
    from advisor.wording.languages import locale_of

    named = list(dict.fromkeys(languages)) or sorted(path.stem for path in folder.glob("*.po"))
    for name in named:
        if name == SOURCE_LANGUAGE:
            raise WrongUsage(f"{name} is what the flows are written in: name another language")
        try:
            locale_of(name)
        except UnknownLanguage as error:
            raise WrongUsage(str(error)) from error
    return named


def _updated(file: Path, language: str, wanted: tuple[SourceText, ...]) -> str:
    from advisor.wording.merging import begun, merged
    from advisor.wording.po_files import read_po, write_po

    old = read_po(_sound(file, language)) if file.exists() else begun(language)
    return write_po(merged(old, wanted, language))


def _sound(file: Path, language: str) -> str:
    """The text of a catalog that can be read and holds no text twice."""
    from advisor.wording.catalogs import read_catalog
    from advisor.wording.errors import CatalogUnreadable

    text = _read(file)
    try:
        found = read_catalog(text, language)
    except CatalogUnreadable as error:
        raise FoundProblems(f"{file}: {error}") from error
    if found.repeats:
        raise FoundProblems(
            "\n".join(f"{file}:{fault.line}: '{fault.msgid}' {fault.what}" for fault in found.repeats)
        )
    return text


def _faults(material: Material, language: str, file: Path) -> list[Fault]:
    """What is wrong in a catalog and its glossary; widths are another command's."""
    from advisor.dialogue.checks.texts import faults_in, mute_faults_of, text_faults
    from advisor.wording.catalogs import read_catalog

    own = (f"{language}.po", f"{language}.glossary.toml")
    found = [fault for fault in material.faults if Path(fault.file).name in own]
    voice = material.voices.get(language)
    if voice is not None:
        return [*found, *faults_in(text_faults(material, voice))]
    mute = [catalog for catalog in material.mute if catalog.language == language]
    if not found and not mute:
        # The programme does not serve the language, so nothing of it was read yet.
        mute = [read_catalog(_sound(file, language), language)]
    return [*found, *(fault for catalog in mute for fault in mute_faults_of(material, catalog))]


def _counted(language: str, text: str, wanted: tuple[SourceText, ...]) -> str:
    """How far a catalog is, in one line."""
    from advisor.wording.errors import CatalogUnreadable
    from advisor.wording.po_files import read_po
    from advisor.wording.progress import progress

    try:
        found = progress(read_po(text), (source.key for source in wanted))
    except CatalogUnreadable:
        return f"  {language}: cannot be read"
    review = f"reviewed by {found.reviewed_by}" if found.reviewed_by else "draft"
    return (
        f"  {language}: {found.done} of {found.wanted} texts translated ({found.percent} %), {review};"
        f" fuzzy {found.fuzzy}, empty {found.empty}, obsolete {found.obsolete}"
    )


def _read(file: Path) -> str:
    try:
        return file.read_text("utf-8")
    except FileNotFoundError as error:
        raise WrongUsage(f"{file} is not there: 'advisor catalog update {file.stem}' begins it") from error
    except (OSError, UnicodeDecodeError) as error:
        raise FoundProblems(f"{file} cannot be read: save it as UTF-8") from error


def _write(file: Path, text: str) -> None:
    """Writes beside and puts in place, so that a running demonstration never reads half a file."""
    beside = file.with_name(f".{file.name}.new")
    try:
        beside.write_text(text, "utf-8")
        beside.replace(file)
    except OSError as error:
        raise WrongUsage(f"{file} cannot be written: name another place") from error
