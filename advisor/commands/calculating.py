"""``calc`` and ``figures``: the calculator without a phone, and every figure that it rests on."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import click

from advisor.commands.exits import Exit, FoundProblems, WrongUsage

if TYPE_CHECKING:
    from advisor.commands.calculator.known import Known
    from advisor.commands.calculator.listed import Listed


class Calculations(click.Group):
    """The calculations, looked for only once somebody asks: other commands need not wait for them."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Names of all calculations."""
        from advisor.commands.calculator.listed import calculations

        return [listed.name for listed in calculations()]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of a calculation."""
        from advisor.commands.calculator.listed import calculations

        return next((_command(listed) for listed in calculations() if listed.name == cmd_name), None)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The calculations under what their part of the calculator is about."""
        from advisor.commands.calculator.listed import NOT_HERE, calculations, not_askable

        by_heading: dict[str, list[tuple[str, str]]] = {}
        for listed in calculations():
            by_heading.setdefault(listed.heading, []).append((listed.name, _first_line(listed.function)))
        for heading, rows in by_heading.items():
            with formatter.section(heading):
                formatter.write_dl(rows)
        if not_askable():
            with formatter.section("Not here, since what they take does not go on a line"):
                formatter.write_dl([(name.partition(".")[2], NOT_HERE.get(name, "")) for name in not_askable()])


@click.group(cls=Calculations)
def calc() -> None:
    """Works out any number of the calculator, with the figures it rests on, their sources and its cautions.

    A number may carry a unit: --area 2.5acre, --germination 85%. Without one it is in the unit that the help of
    the calculation names. What the programme knows need not be given. With --json everything is in SI units.

    \b
    Examples:
      advisor calc rectangle --long 54 --short 22
      advisor calc buy-list --area 2.5acre --origin bought
    """


def _command(listed: Listed) -> click.Command:
    from advisor.commands.calculator.asking import choices_of, click_option, needs_programme, options_of

    params: list[click.Parameter] = [click_option(option) for option in options_of(listed.asks)]
    if needs_programme(listed.asks):
        params += [
            click.Option(["--crop"], metavar="KEY", help="Crop; without it the first of the programme."),
            click.Option(["--zone"], metavar="KEY", help="Zone; without it the first of the programme."),
            click.Option(["--programme"], metavar="FILE", help="Programme file; without it the demonstration."),
        ]
    for choice in dict.fromkeys(choices_of(listed.asks)):
        told = f"Key of the {choice}; without it the first of the programme or crop."
        params.append(click.Option([f"--{choice}", f"chosen_{choice}"], metavar="KEY", help=told))
    params.append(click.Option(["--json", "as_json"], is_flag=True, help="Writes everything as JSON."))
    example = f"\n\n\b\nExample:\n  advisor calc {listed.name} {listed.example}" if listed.example else ""
    return click.Command(
        listed.name,
        params=params,
        help=f"{_first_line(listed.function)}{example}",
        callback=_callback(listed),
    )


def _callback(listed: Listed) -> Callable[..., Exit]:
    def run(as_json: bool, **typed: Any) -> Exit:
        from advisor.agronomy.errors import AgronomyError
        from advisor.commands.calculator.amounts import NotAnAmount
        from advisor.commands.calculator.answering import answered
        from advisor.commands.calculator.asking import needs_programme
        from advisor.commands.calculator.known import distinct
        from advisor.commands.calculator.showing import Answer, as_data, as_text

        about = {name: typed.pop(name, None) for name in ("crop", "zone", "programme")}
        known = load_known(**about) if needs_programme(listed.asks) else None
        try:
            given = answered(listed.asks, typed, known)
            result = listed.function(**given.arguments)
        except (AgronomyError, NotAnAmount) as error:
            raise WrongUsage(str(error)) from error
        answer = Answer(listed.function, given.inputs, result, distinct(given.used), known)
        click.echo(json.dumps(as_data(answer), ensure_ascii=False, indent=1) if as_json else as_text(answer))
        return Exit.DONE

    return run


@click.command()
@click.option("--programme", metavar="FILE", help="Programme file; without it the demonstration.")
@click.option("--json", "as_json", is_flag=True, help="Writes them as JSON.")
@click.option("--page", is_flag=True, help="Writes them as a page in Markdown, by subject.")
def figures(programme: str | None, as_json: bool, page: bool) -> Exit:
    """Lists every figure in use: value and unit, where it stands, how far it can be relied on, its source.

    \b
    Example:
      advisor figures --programme my-district.toml
    """
    from advisor.commands.calculator.handbook import figure_page
    from advisor.commands.calculator.showing import figure_data, figure_lines

    known = load_known(None, None, programme)
    used = known.all_used()
    if as_json:
        click.echo(json.dumps([figure_data(each) for each in used], ensure_ascii=False, indent=1))
    else:
        click.echo(figure_page(known) if page else "\n".join(figure_lines(used)))
    return Exit.DONE


def load_known(crop: str | None, zone: str | None, programme: str | None) -> Known:
    """The programme, a crop and a zone of it; its first ones where none are named.

    The crop may be one that the programme does not grow: its own figures are then there, the programme's are not.
    """
    from advisor.agronomy.errors import DataFault
    from advisor.commands.calculator.known import Known
    from advisor.loading import NotThere, load_calculator

    try:
        loaded = load_calculator(programme)
    except DataFault as fault:
        raise FoundProblems(str(fault)) from fault
    except NotThere as error:
        raise WrongUsage(str(error)) from error
    return Known(
        programme=loaded.programme,
        crop=_named("crop", crop or loaded.programme.crops[0].crop, list(loaded.crops)),
        zone=_named("zone", zone, list(loaded.programme.zones)),
        crops=loaded.crops,
        leaf_signs=loaded.leaf_signs,
        onset_rules=loaded.onset_rules,
        sources=loaded.sources,
    )


def _named(what: str, key: str | None, there: list[Any]) -> Any:
    found = next((each for each in there if key in (None, each.key)), None)
    if found is None:
        raise WrongUsage(f"no {what} '{key}': name one of {', '.join(each.key for each in there)}")
    return found


def _first_line(function: Callable[..., Any]) -> str:
    return (function.__doc__ or "").partition("\n")[0]
