"""The command line. Each command reads its settings, does one thing and ends with a code that scripts can use."""

from __future__ import annotations

import sys
from collections.abc import Sequence

import click

from advisor.commands.agents import agents
from advisor.commands.backups import backup, restore
from advisor.commands.calculating import calc, figures
from advisor.commands.catalogs import catalog
from advisor.commands.exits import Exit
from advisor.commands.flows import flows
from advisor.commands.growers import growers
from advisor.commands.letters import letters
from advisor.commands.order import order
from advisor.commands.phones import phone
from advisor.commands.questions import questions
from advisor.commands.rain import rain
from advisor.commands.results import results
from advisor.commands.rounds import rounds
from advisor.commands.serving import send, serve
from advisor.commands.visits import visits
from advisor.service.journal import place_of


@click.group()
@click.version_option(package_name="sowing-advisor")
def commands() -> None:
    """Sowing advisor: by SMS and USSD, how much seed and inoculant to buy.

    \b
    Example:
      advisor serve --demo --port 8000
    """


_BY_THEMSELVES = (serve, send, flows, catalog, letters, backup, restore, phone, calc, figures)
for command in (*_BY_THEMSELVES, agents, growers, questions, rain, rounds, visits, results, order):
    commands.add_command(command)


def main(arguments: Sequence[str] | None = None) -> None:
    """Runs a command and ends the process with its code."""
    try:
        code = commands.main(arguments, prog_name="advisor", standalone_mode=False)
    except click.ClickException as error:
        error.show()
        code = error.exit_code
    except click.Abort:
        code = Exit.UNEXPECTED
    except Exception as error:
        # the text of an unexpected error may hold what a person typed, so only its kind and place are shown
        click.echo(f"advisor: unexpected {type(error).__name__} at {place_of(error)}", err=True)
        code = Exit.UNEXPECTED
    sys.exit(code if isinstance(code, int) else Exit.DONE)
