"""Recorded conversations played under two books, message by message."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from advisor.by_book import dialogues_of
from advisor.commands.covering import talking_to
from advisor.commands.exits import WrongUsage
from advisor.dialogue.cover.noting import noted_step
from advisor.dialogue.replaying import Aspect, Happened, Parting, first_parting, happened
from simulator.player import record
from simulator.scripts import Act, Script, Turn

if TYPE_CHECKING:
    from advisor.dialogue.book import Book
    from advisor.dialogue.talk import Event, Outcome, Session
    from advisor.records.grower import Grower
    from advisor.service.talking import Dialogues

#: What a grower would notice, or find in her data: all but the wording.
WEIGHTY = (Aspect.SCREEN, Aspect.ANSWER, Aspect.EFFECTS)


def as_it_was(folder: str | None) -> dict[str, str | None]:
    """The files of before: those of a folder that holds `flows` and `locales`, or those that go with the program.

    Raises:
        WrongUsage: the folder holds none.
    """
    if folder is None:
        # said in full, so that what the environment names is not taken for what was before
        return {"flows": "", "locales": ""}
    parts = {name: Path(folder, name) for name in ("flows", "locales")}
    for part in parts.values():
        if not part.is_dir():
            raise WrongUsage(f"there is no folder {part}: give one that holds flows and locales as they were")
    return {name: str(part) for name, part in parts.items()}


def courses(scripts: Sequence[Script], **options: str | None) -> list[list[Happened]]:
    """What each message of each conversation does under one book; options as of ``running_in_process``."""
    steps: list[Happened] = []
    found = []
    with talking_to(_noting(steps), **options) as (wire, gateway):
        for script in scripts:
            steps.clear()
            record(script, wire, gateway, settle_s=0.0)
            found.append(list(steps))
    return found


def parting(was: Sequence[Happened], now: Sequence[Happened]) -> Parting | None:
    """Where a conversation first goes another way; where it does not, where it first says something else."""
    return first_parting(was, now, WEIGHTY) or first_parting(was, now, Aspect)


def turn_of(script: Script, place: int) -> Turn:
    """The turn of a script that sent its message of that number, from 0."""
    return [turn for turn in script.turns if turn.act not in (Act.CLOCK, Act.PHONE, Act.ROUND)][place]


def _noting(steps: list[Happened]) -> Callable[[Book], Dialogues]:
    def dialogues(book: Book) -> Dialogues:
        def noted(session: Session | None, known: Grower, event: Event, now: datetime) -> Outcome:
            outcome, visited = noted_step(book, session, known, event, now)
            steps.append(happened(book, outcome, visited))
            return outcome

        return replace(dialogues_of(book), step=noted)

    return dialogues
