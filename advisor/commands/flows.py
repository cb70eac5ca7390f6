"""``flows``: the dialogues looked at from the command line."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from advisor.commands.beginning import author_options, book_of, read_settings
from advisor.commands.exits import Exit
from advisor.wording.segments import ROOM

if TYPE_CHECKING:
    from advisor.dialogue.book import Book
    from advisor.wording.voice import Voice


@click.group()
def flows() -> None:
    """Looks at the dialogues.

    \b
    Example:
      advisor flows check
    """


@flows.command("check")
@author_options
def check_flows(**options: str | None) -> Exit:
    """Proves the dialogues without running one, or names everything that is wrong, with file and line.

    \b
    Example:
      advisor flows check --programme my-district.toml
    """
    book = book_of(read_settings(demo=True, **options))
    click.echo(f"{len(book.flows)} flows, {len(book.questions)} screens: proven to fit in every language")
    for voice in book.voices.values():
        click.echo(widths_line(book, voice))
    return Exit.DONE


def widths_line(book: Book, voice: Voice) -> str:
    """How wide the pages of one language get, and how many screens need more than one."""
    layouts = [
        found for (_, spoken, notice), found in book.layouts.items() if spoken == voice.language and not notice
    ]
    widest = max(cost for found in layouts for cost in found.costs)
    several = sum(len(found.pages) > 1 for found in layouts)
    room = ROOM[voice.alphabet]
    return f"  {voice.language}: the widest page holds {widest} of {room}; {several} screens of several pages"
