"""``phone``: the terminal phone, which itself knows only the HTTP contract."""

from __future__ import annotations

import click


@click.command(context_settings={"ignore_unknown_options": True}, add_help_option=False)
@click.argument("arguments", nargs=-1, type=click.UNPROCESSED)
def phone(arguments: tuple[str, ...]) -> None:
    """Opens a phone in the terminal, on the demonstration programme unless told otherwise.

    \b
    Example:
      advisor phone --service http://127.0.0.1:8000
    """
    from simulator.cli import main as simulator

    simulator.main(["phone", *arguments], prog_name="advisor")
