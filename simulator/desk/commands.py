"""What can be done apart from typing, each by Esc and one letter.

No control key, since terminals, multiplexers and flow control take many of them; no function key, since window
managers do. Esc and a letter pressed close together arrive as one key on some lines, which means the same.
"""

from __future__ import annotations

from enum import StrEnum


class Command(StrEnum):
    """Commands; the value is the letter."""

    DIAL = "d"
    HANG_UP = "h"
    SMS = "m"
    MESSAGES = "i"
    CLOCK = "c"
    ROUND = "s"
    NUMBER = "n"
    LANGUAGE = "l"
    AUTHOR = "a"
    RECORD = "r"
    QUIT = "q"


LEGEND = (
    "Esc then: d dial  h hang up  m SMS  i inbox  c clock  q quit",
    "n phone  1-9 switch  s round  l language  a author  r record",
)
ASKING = ("Enter sends or does it, Esc leaves it.",)


def command_of(key: str) -> Command | None:
    """The command of a letter, large or small; None for any other key.

    >>> command_of("D"), command_of("x")
    (<Command.DIAL: 'd'>, None)
    """
    return Command(key.lower()) if key.lower() in {str(command) for command in Command} else None
