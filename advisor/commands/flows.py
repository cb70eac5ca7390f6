"""``flows``: the dialogues looked at from the command line."""

from __future__ import annotations

import json
from dataclasses import asdict
from pathlib import Path
from time import perf_counter
from typing import TYPE_CHECKING

import click

from advisor.commands.beginning import author_options, book_of, material_of, read_settings
from advisor.commands.exits import Exit, WrongUsage

if TYPE_CHECKING:
    from advisor.dialogue.book import Book
    from advisor.dialogue.talk import Spot
    from advisor.settings import Settings


@click.group()
def flows() -> None:
    """Looks at the dialogues.

    \b
    Example:
      advisor flows check
    """


@flows.command("check")
@click.argument("screen", required=False, metavar="[FLOW.SCREEN]")
@click.option("--widest", is_flag=True, help="Shows the widest text of every screen in every language.")
@click.option("--stretched", is_flag=True, help="Shows what would not fit if every English text were 40 % longer.")
@click.option("--json", "as_json", is_flag=True, help="Writes the faults as a list of JSON objects.")
@author_options
@click.option("--drafting", is_flag=True, help="What is not translated yet is a warning, and said in English.")
def check_flows(
    screen: str | None, widest: bool, stretched: bool, as_json: bool, drafting: bool, **options: str | None
) -> Exit:
    """Proves the dialogues without running one, or names everything that is wrong, with file and line.

    With the name of a screen it shows the widest text of that screen in each language.

    \b
    Examples:
      advisor flows check --programme my-district.toml
      advisor flows check buy_list.list_good
    """
    from advisor.dialogue.checks.overview import overview, proofs, widest_of_all, widest_texts
    from advisor.dialogue.checks.report import warned

    settings = read_settings(demo=True, **options)
    if as_json:
        from advisor.dialogue.checks.checking import all_faults
        from advisor.dialogue.checks.stretching import stretched_faults

        material = material_of(settings)
        faults = stretched_faults(material) if stretched else all_faults(material, drafting=drafting)
        click.echo(json.dumps([asdict(fault) for fault in faults], ensure_ascii=False, indent=1))
        return Exit.PROBLEMS if faults else Exit.DONE
    started = perf_counter()
    book = book_of(settings, drafting=drafting)
    took = perf_counter() - started
    if book.warnings:
        click.echo(f"{warned(book.warnings)}\n")
    if screen:
        click.echo("\n".join(widest_texts(book, _spot(book, screen))))
        return Exit.DONE
    if stretched:
        return _stretched(settings, book)
    said = f"{len(book.flows)} flows, {len(book.screens)} screens, {len(book.voices)} languages: all is sound"
    click.echo(f"{said}\n{proofs(book):,} proofs that a page fits a USSD screen or an SMS, in {took:.1f} s\n")
    click.echo("\n".join(widest_of_all(book) if widest else overview(book)))
    return Exit.DONE


@flows.command("cover")
@click.argument("scripts", nargs=-1, type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option(
    "--least", metavar="PERCENT", type=click.FloatRange(0, 100), help="Ends with 1 where less is visited."
)
@click.option("--json", "as_json", is_flag=True, help="Writes a list of JSON objects, one a flow.")
@author_options
def cover_flows(scripts: tuple[Path, ...], least: float | None, as_json: bool, **options: str | None) -> Exit:
    """Shows which screens, answers and conditions scripted conversations visit.

    Without SCRIPTS it plays those that go with the program. --least counts
    screens, answers and conditions each by themselves, of all flows together.

    \b
    Examples:
      advisor flows cover
      advisor flows cover --least 95 --flows my-flows --locales my-locales mine.txt
    """
    from advisor.commands.covering import read_scripts, visited_by
    from advisor.dialogue.cover.counting import as_json as covers_as_json
    from advisor.dialogue.cover.counting import covers_of, least_percent, table

    visits, played = visited_by(read_scripts(scripts), **options)
    for one in played:
        for difference in one.differences[:1]:
            click.echo(f"warning: {one.script.name}:{difference.line}: {difference.what}", err=True)
    assert visits.book is not None
    covers = covers_of(visits.book, visits.points)
    if as_json:
        click.echo(json.dumps(covers_as_json(covers), ensure_ascii=False, indent=1))
    else:
        click.echo("\n".join(table(covers)))
    return Exit.PROBLEMS if least is not None and least_percent(covers) < least else Exit.DONE


@flows.command("draw")
@click.argument("flow", metavar="FLOW|all")
@click.option("--mermaid", "as_mermaid", is_flag=True, help="A Mermaid flowchart instead of SVG.")
@author_options
def draw_flow(flow: str, as_mermaid: bool, **options: str | None) -> Exit:
    """Writes a flow as a picture, from the machine that serves it; `all` draws every flow.

    \b
    Examples:
      advisor flows draw buy_list > buy_list.svg
      advisor flows draw all --mermaid > flows.mmd
    """
    from advisor.dialogue.drawing.mermaid import mermaid
    from advisor.dialogue.drawing.pictures import picture_of
    from advisor.dialogue.drawing.svg import svg
    from advisor.dialogue.nearby import instead_of

    book = book_of(read_settings(demo=True, **options), drafting=True)
    if flow != "all" and flow not in book.flows:
        raise WrongUsage(f"no flow is called '{flow}': {instead_of(flow, {*book.flows, 'all'})}")
    pictures = [picture_of(book, name) for name in book.flows if flow in (name, "all")]
    click.echo((mermaid if as_mermaid else svg)(pictures), nl=False)
    return Exit.DONE


@flows.command("replay")
@click.argument("scripts", nargs=-1, type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option(
    "--before", metavar="FOLDER", help="Holds flows and locales as they were; without it the shipped ones."
)
@author_options
def replay_flows(scripts: tuple[Path, ...], before: str | None, **options: str | None) -> Exit:
    """Plays recorded conversations as the dialogues were and as they are, and says which go another way.

    Of each conversation it shows the first message after which screen, answer or effects are others, or where
    only words are. Without SCRIPTS it plays those that go with the program. Ends with 1 where any goes another
    way.

    \b
    Examples:
      advisor flows replay --flows my-flows --locales my-locales
      advisor flows replay recorded.txt --before ../as-it-was
    """
    from advisor.commands.covering import read_scripts
    from advisor.commands.replaying import WEIGHTY, as_it_was, courses, parting, turn_of

    read = read_scripts(scripts)
    was = courses(read, **{**options, **as_it_was(before)})
    now = courses(read, **options)
    others = 0
    for script, one, other in zip(read, was, now, strict=True):
        found = parting(one, other)
        if found is None:
            click.echo(f"alike    {script.name}")
            continue
        is_weighty = found.aspect in WEIGHTY
        others += is_weighty
        turn = turn_of(script, found.place)
        click.echo(f"{'another' if is_weighty else 'words':<8} {script.name}:{turn.line}: after '{turn.written}'")
        for label, said in (("was", found.was), ("now", found.now)):
            lines = said.split("\n") if said else ["nothing"]
            click.echo(f"  {found.aspect.value} {label}: {lines[0]}")
            click.echo("".join(f"      {line}\n" for line in lines[1:]), nl=False)
    click.echo(f"conversations: {len(read)}, going another way: {others}")
    return Exit.PROBLEMS if others else Exit.DONE


def _stretched(settings: Settings, book: Book) -> Exit:
    """What a longer language would break; the book itself is sound."""
    from advisor.dialogue.checks.report import report
    from advisor.dialogue.checks.stretching import stretched_faults

    faults = stretched_faults(material_of(settings))
    broken = {fault.screen for fault in faults}
    click.echo(
        f"{len(book.questions) - len(broken)} of {len(book.questions)} screens would take texts 40 % longer"
    )
    if faults:
        click.echo(f"\n{report(faults)}")
    return Exit.PROBLEMS if faults else Exit.DONE


def _spot(book: Book, name: str) -> Spot:
    """The screen of that name, which may leave out the flow where only one flow has such a screen."""
    from advisor.dialogue.nearby import instead_of

    shown = {f"{spot.flow}.{spot.screen}": spot for spot in book.questions}
    found = [spot for full, spot in shown.items() if name in (full, spot.screen)]
    if len(found) != 1:
        raise WrongUsage(f"no screen that says something is called '{name}': {instead_of(name, shown)}")
    return found[0]
