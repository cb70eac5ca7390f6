"""The keys that work on every screen: back, menu, help, next page.

On a screen where 0 is an answer (a count can be nothing), each of these takes one zero more: 00 goes back and
000 goes to the menu. So a count of nothing never goes back by mistake.
"""

from __future__ import annotations

from enum import Enum

from advisor.dialogue.flows import Ask
from advisor.wording.voice import Voice

MORE_KEY = "9"


class Key(Enum):
    """A key with a meaning of its own."""

    BACK = "back"
    MENU = "menu"
    HELP = "help"
    MORE = "more"
    ZERO = "zero"


def key_of(typed: str, ask: Ask | None, voice: Voice) -> Key | None:
    """What key was typed, None when it is an answer.

    Args:
        typed: tidied text, digits as 0-9.
        ask: the question on screen.
        voice: the language, whose words for the keys count as well.
    """
    if typed and not typed.strip("0") and len(typed) <= 3:
        taken = ask is not None and ask.zero_is_answer
        zeros = len(typed) - (1 if taken else 0)
        return {0: Key.ZERO, 1: Key.BACK, 2: Key.MENU}.get(zeros, Key.MENU)
    if typed in ("?", MORE_KEY):
        return Key.HELP if typed == "?" else Key.MORE
    word = voice.glossary.key_word(typed)
    if word == "start":
        return Key.MENU  # of somebody whose messages are not stopped
    return Key(word) if word in ("back", "menu", "help", "more") else None
