"""Opens a phone in this terminal, on the whole screen or line by line."""

from __future__ import annotations

import os
import secrets
import sys
from collections.abc import Callable, Mapping
from contextlib import AbstractContextManager
from io import TextIOWrapper
from typing import Any, TextIO

import click

from simulator.errors import SimulatorError
from simulator.gateway import Gateway
from simulator.handset import Handset
from simulator.house import joined, leaving_on_signals
from simulator.phone import Phone
from simulator.signing import NO_KEYS, Keys
from simulator.terminal import run

FIRST_NUMBER = "+99900500001"


def phone_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Adds the options of a phone."""
    options = (
        click.option(
            "--number",
            default=FIRST_NUMBER,
            show_default=True,
            callback=_checked,
            help="The phone's number: +999 and 4 to 12 digits.",
        ),
        click.option(
            "--language",
            default="",
            metavar="CODE",
            help="Language the phone is set to; a service may ignore it.",
        ),
        click.option(
            "--plain",
            is_flag=True,
            help="Line by line: for pipes, screen readers and terminals without a movable cursor.",
        ),
    )
    for option in reversed(options):
        command = option(command)
    return command


def phone_opened(
    start: Callable[[str], AbstractContextManager[str]],
    *,
    listen: int = 0,
    number: str = FIRST_NUMBER,
    language: str = "",
    plain: bool = False,
    keys: Keys = NO_KEYS,
) -> int:
    """Lets a person use phones until they leave.

    Args:
        start: starts the service, posting its messages to the address given, and says where it is.
        listen: port on which the service's messages are taken; 0 for a free one.
        number: the first phone.
        language: the language it is set to; empty for none.
        plain: line by line, even where the terminal could do more.
        keys: what is signed with between gateway and service.

    Returns:
        exit code.

    Raises:
        SimulatorError: when there is no service or no port; and whatever ``start`` raises.
    """
    if plain or not is_movable(sys.stdin, sys.stdout, os.environ):
        return _plain(start, Gateway(listen, keys), number, language)
    from simulator.desk.app import DeskApp

    with Gateway(listen, keys) as gateway:
        app = DeskApp(gateway, start, number, language)
        try:
            left = app.run()
        finally:
            app.line.close()
    if isinstance(left, Exception):
        raise left
    return left or app.return_code or 0


def is_movable(keys_in: TextIO, screen_out: TextIO, environment: Mapping[str, str]) -> bool:
    """Whether this is a terminal whose cursor can be moved."""
    is_terminal = keys_in.isatty() and screen_out.isatty()
    return is_terminal and environment.get("TERM", "dumb") not in ("dumb", "unknown", "")


def _plain(
    start: Callable[[str], AbstractContextManager[str]], network: Gateway, number: str, language: str
) -> int:
    # A terminal that cannot show a script's letters shows question marks instead of failing.
    if isinstance(sys.stdout, TextIOWrapper):
        sys.stdout.reconfigure(errors="replace")
    click.echo(" Starting the service ...", err=True)
    with (
        leaving_on_signals(),
        network as gateway,
        start(gateway.address) as address,
        joined(address, gateway) as wire,
    ):
        return run(Handset(number, wire, gateway, secrets.token_hex(4), language), sys.stdin, sys.stdout)


def _checked(context: click.Context, option: click.Parameter, number: str) -> str:
    try:
        return Phone(number).number
    except SimulatorError as fault:
        raise click.BadParameter(str(fault)) from None
