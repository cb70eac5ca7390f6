"""Answers that do not stand on the screen: a word such as "later", or what answers another question of the flow.

They are for replies to a message of a round, which asks more than one question has room for: "You sow on the 1st?
Another day: answer it. Which seed? 1 bought, 2 my own."
"""

from __future__ import annotations

from dataclasses import dataclass

from advisor.dialogue.answers import Slip, Taken, understand
from advisor.dialogue.talk import Spot
from advisor.dialogue.walk import Walk


@dataclass(frozen=True, slots=True)
class OtherAnswer:
    """What was typed instead of an answer to the question on screen.

    Args:
        number: its place among the screen's others, from 0.
        taken: the answer to the other question, None for a word.
    """

    number: int
    taken: Taken | None = None


def other_answer(walk: Walk, typed: str) -> OtherAnswer | None:
    """Which of a screen's other answers was typed, None for none of them.

    Args:
        walk: where the conversation stands.
        typed: what was typed, tidied.
    """
    ask, spot = walk.screen.ask, walk.spots[-1]
    for number, other in enumerate(ask.others if ask else ()):
        if other.word:
            if walk.voice.glossary.key_word(typed.rstrip("!.।")) == other.word:
                return OtherAnswer(number)
            continue
        asked = walk.book.screen(Spot(spot.flow, other.way.to[0].to)).ask
        if asked is None:
            continue
        answer = understand(typed, asked, walk.voice, walk.book.registry, walk.today)
        if not isinstance(answer, Slip):
            return OtherAnswer(number, answer)
    return None
