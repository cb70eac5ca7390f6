"""``phone``: the terminal phone, which itself knows only the HTTP contract."""

from __future__ import annotations

import sys
from contextlib import nullcontext
from functools import partial
from typing import Any

import click

from advisor.commands.beginning import author_options
from advisor.commands.exits import WrongUsage
from simulator.errors import SimulatorError
from simulator.opening import phone_opened, phone_options
from simulator.signing import keys_for


@click.command()
@author_options
@click.option("--service", metavar="URL", help="A service that runs; without it, one is started in this process.")
@click.option(
    "--listen",
    metavar="PORT",
    type=click.IntRange(0, 65535),
    default=0,
    help="Port for the service's SMS; start a service of your own with --gateway http://127.0.0.1:PORT.",
)
@phone_options
def phone(
    programme: str | None,
    flows: str | None,
    locales: str | None,
    service: str | None,
    listen: int,
    **options: Any,
) -> None:
    """Opens a phone in the terminal, on the demonstration programme unless told otherwise.

    \b
    Example:
      advisor phone --flows my-flows --locales my-locales
    """
    own = {"programme": programme, "flows": flows, "locales": locales}
    if service and any(own.values()):
        raise WrongUsage("a service that runs has its own files: leave out --service, or --programme and folders")
    try:
        start = partial(_in_process, own) if service is None else lambda _: nullcontext(service)
        sys.exit(phone_opened(start, listen=listen, keys=keys_for(service), **options))
    except SimulatorError as fault:
        raise WrongUsage(str(fault)) from fault


def _in_process(own: dict[str, str | None], gateway: str) -> Any:
    # Loaded only now, while the phone is on the screen already.
    from advisor.commands.inprocess import running_in_process

    return running_in_process(gateway, **own)
