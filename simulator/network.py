"""``python -m simulator gateway``: the stand-in gateway as a process of its own, as bad as it is told to be."""

from __future__ import annotations

import sys
import threading
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import fields
from pathlib import Path
from typing import Any

import click

from simulator.errors import SimulatorError
from simulator.gateway import Gateway
from simulator.house import leaving_on_signals
from simulator.ledger import Ledger
from simulator.mishaps import Mishaps, Rates
from simulator.signing import keys_in
from simulator.wire import Wire


def _rates(command: Callable[..., Any]) -> Callable[..., Any]:
    """Adds an option for each rate."""
    for each in reversed(fields(Rates)):
        name = f"--{each.name.replace('_', '-')}"
        option = click.option(name, type=float, default=0.0, metavar="RATE", help=each.metadata["meaning"])
        command = option(command)
    return command


@click.command()
@click.option("--listen", metavar="PORT", type=click.IntRange(0, 65535), default=0, help="Port to listen on.")
@click.option("--service", metavar="URL", help="A service that is told how its messages fared.")
@click.option("--ledger", type=click.Path(dir_okay=False, path_type=Path), help="File that requests are added to.")
@click.option("--seed", type=int, default=0, help="Another seed, other mishaps.")
@_rates
def gateway(listen: int, service: str | None, ledger: Path | None, seed: int, **rates: float) -> None:
    """Stands in for the network's gateway until it is ended, and drops, delays and refuses as often as it is told.

    Says its address in its first line. Each request that it understands is a line of the ledger before it is
    answered. Keys are those of the surroundings. Each RATE is a part, from 0 to 1.

    \b
    Example:
      python -m simulator gateway --ledger sent.jsonl --seed 7 --dropped 0.05 --unsaid 0.05
    """
    try:
        mishaps, keys = Mishaps(seed, Rates(**rates)), keys_in()
        with leaving_on_signals(), ExitStack() as stack:
            book = None if ledger is None else stack.enter_context(Ledger(ledger))
            running = stack.enter_context(Gateway(listen, keys, mishaps, book))
            if service is not None:
                wire = Wire(service, keys=keys)
                stack.callback(wire.close)
                running.send_receipts(lambda message_id: wire.receipt(message_id, "delivered"))
            click.echo(running.address)
            threading.Event().wait()
    except SimulatorError as fault:
        click.echo(f"Error: {fault}", err=True)
        sys.exit(2)
