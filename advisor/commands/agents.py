"""``agents``: who works by phone, and their PINs."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

import click

from advisor.commands.backups import used_store
from advisor.commands.beginning import book_of, read_settings
from advisor.commands.exits import Exit, WrongUsage

if TYPE_CHECKING:
    from advisor.agronomy.programme import Agent, Programme
    from advisor.service.pins import Pins


@click.group(invoke_without_command=True)
@click.pass_context
def agents(context: click.Context) -> Exit:
    """Lists the agents of the programme, and whether their PIN is set, locked or open.

    \b
    Examples:
      advisor agents
      advisor agents pin a1 < pin.txt
      advisor agents unlock a1
    """
    if context.invoked_subcommand is not None:
        return Exit.DONE
    with _used() as (programme, pins):
        from advisor.service.clock import SystemClock

        now = SystemClock().now()
        for agent in programme.agents:
            pin = pins.record(agent).pin
            state = "no PIN" if pin is None else "locked" if pin.is_locked(now) else "PIN set"
            villages = ", ".join(
                village.label.default for village in programme.villages if village.key in agent.villages
            )
            click.echo(f"{agent.key}  {agent.label.default}  {agent.number}  {state}  {villages}")
        if not programme.agents:
            click.echo("the programme has no agents: add [[agents]] to its file")
    return Exit.DONE


@agents.command()
@click.argument("key")
def pin(key: str) -> Exit:
    """Sets the PIN of the agent KEY, read from standard input: 6 to 8 digits.

    It is kept as a slow keyed hash and shown nowhere again. The agent must have called once and agreed.

    \b
    Example:
      advisor agents pin a1
    """
    with _used() as (programme, pins):
        agent = agent_called(programme, key)
        if sys.stdin.isatty():
            typed = click.prompt("PIN", hide_input=True, confirmation_prompt=True, err=True)
        else:
            typed = sys.stdin.readline()
        pins.set(agent, typed.strip())
    click.echo(f"the PIN of {agent.key} is set")
    return Exit.DONE


@agents.command()
@click.argument("key")
def unlock(key: str) -> Exit:
    """Gives the agent KEY five new tries, with the same PIN.

    \b
    Example:
      advisor agents unlock a1
    """
    with _used() as (programme, pins):
        agent = agent_called(programme, key)
        pins.unlock(agent)
    click.echo(f"{agent.key} can try again")
    return Exit.DONE


@contextmanager
def _used() -> Iterator[tuple[Programme, Pins]]:
    """Programme and PINs of the settings, with their troubles in one line."""
    from advisor.service.caring import UnfitPin
    from advisor.service.clock import SystemClock
    from advisor.service.errors import Busy
    from advisor.service.identity import Ids
    from advisor.service.pins import NoRecord, Pins

    settings = read_settings(demo=False)
    programme = book_of(settings).programme
    with used_store(settings) as store:
        store.open()
        try:
            yield programme, Pins(store, SystemClock(), Ids(settings.id_secret.encode()))
        except (UnfitPin, NoRecord) as error:
            raise WrongUsage(str(error)) from error
        except Busy as error:
            raise WrongUsage("this agent is writing just now: do the same again in a moment") from error


def agent_called(programme: Programme, key: str, given_as: str = "KEY") -> Agent:
    """The agent of that key. Raises WrongUsage, which names what the key was given as."""
    found = programme.agent(key)
    if found is None:
        known = ", ".join(agent.key for agent in programme.agents)
        instead = f"use one of {known}" if known else "the programme has none, add [[agents]] to its file"
        raise WrongUsage(f"{given_as} is {key!r}: {instead}")
    return found
