"""What a grower of a season answers to what she reads, on paper or on a call. Pure, but for what she remembers."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import date

from tests.whole.faults.people import Person

#: What she reads, and what of it she is asked; screens of a call and messages of the round alike.
_ASKED = tuple(
    (re.compile(text), asked)
    for text, asked in (
        ("[Ww]hich seed\\? Answer 1 bought|Which seed do you test", "origin"),
        ("^Seed test tomorrow", "put_out"),
        ("have you sown it\\? Answer 1", "reminded"),
        ("^Today is the last good day", "last"),
        ("On which day did you sow the test", "day"),
        ("how many seeds did you sow\\? Answer", "how_many"),
        ("How many seeds did you sow\\?\\nLike", "sown"),
        ("first look: how many are up today", "early"),
        ("are up so far", "early_again"),
        ("How many of \\d+ have come up", "early_screen"),
        ("^Count your seed test today", "final"),
        ("^We wait for the count", "final_again"),
        ("How many of \\d+ grew", "final_screen"),
        ("at the first look, now only", "fewer"),
        ("\\d+ of \\d+: right", "right"),
        ("Where did you sow the test", "place"),
    )
)
#: Questions that are the same thing told.
_SAME = {"how_many": "sown", "early_again": "early", "early_screen": "early", "last": "day"}
_SAME |= {"final_again": "final", "final_screen": "final"}
#: What only those answer who let the first question go by.
_FIRST = frozenset({"early", "final"})


@dataclass(frozen=True)
class Said:
    """What she types.

    Args:
        typed: on the phone.
        means: what she knows to have told with it; nothing where it is a slip, or was told before.
    """

    typed: str
    means: dict[str, object] = field(default_factory=dict)


@dataclass
class Mind:
    """What one of them remembers.

    Args:
        person: who she is.
        done: what she has told.
        slipped: where she has mistyped.
        gone_by: questions that she has let go by.
    """

    person: Person
    done: set[str] = field(default_factory=set)
    slipped: set[str] = field(default_factory=set)
    gone_by: set[str] = field(default_factory=set)

    def is_for_tomorrow(self, text: str) -> bool:
        """Whether a text has her put out the test, which she tells once it is done."""
        return _asked_in(text) == "put_out" and self._cares("put_out") and "day" not in self.done

    def is_asked(self, text: str) -> bool:
        """Whether a text asks what she has not told."""
        asked = _asked_in(text)
        return asked is not None and _SAME.get(asked, asked) not in self.done

    def answers(self, text: str, today: date) -> list[Said]:
        """What she types upon a text, one message after the other.

        Args:
            text: what she reads.
            today: the day.
        """
        asked = _asked_in(text)
        if asked in (None, "put_out") or not self._cares(asked):
            return []
        told = _SAME.get(asked, asked)
        if told in self.done:
            return []
        right = self._right(told, today)
        if self.person.kind == "slips" and told in _SLIPS and told not in self.slipped:
            self.slipped.add(told)
            return [Said(_SLIPS[told])]
        self.done.add(told)
        # the same again as a message of its own says nothing new
        return [right, Said(right.typed)] if self.person.kind == "twice" and told in _TWICE else [right]

    def puts_out(self, today: date) -> list[Said]:
        """She has put out the test this morning, and says so."""
        if "day" in self.done:
            return []
        self.done.add("day")
        return [self._right("day", today)]

    def _cares(self, asked: str) -> bool:
        kind = self.person.kind
        if kind in ("", "silent"):
            return False
        if asked == "put_out":
            return kind not in ("bought", "later")
        if asked == "reminded":
            return kind == "later"
        if asked == "sown":
            return kind != "day_only"
        if kind == "uncounted" and _SAME.get(asked, asked) in ("early", "final"):
            return False
        if kind == "late" and asked in _FIRST and asked not in self.gone_by:
            self.gone_by.add(asked)
            return False
        return True

    def _right(self, told: str, today: date) -> Said:
        who = self.person
        match told:
            case "origin":
                return Said("1", {"origin": "bought"}) if who.kind == "bought" else Said("2", {"origin": "saved"})
            case "reminded":
                return Said("3", {"later": True})
            case "day":
                return Said("today", {"test_day": today.isoformat()})
            case "sown":
                return Said(str(who.plants), {"sown": who.plants})
            case "early":
                return Said(str(who.early), {"early": who.early})
            case "final":
                forms = (str(who.grown), f"{who.grown}/{who.plants}", f"{who.grown} of {who.plants}")
                return Said(forms[who.plants // 50 % 3], {"final": who.grown})
            case "fewer":
                return Said("2")
            case "right":
                return Said("1", {"right": True})
            case "place":
                return Said("1", {"place": True})
        raise ValueError(told)


def _asked_in(text: str) -> str | None:
    return next((asked for pattern, asked in _ASKED if pattern.search(text)), None)


#: What comes of a thumb that is too quick, where it is told apart from what was meant.
_SLIPS = {"sown": "many", "early": "most", "final": "999 of 50", "right": "yess"}
_TWICE = frozenset({"day", "sown", "early", "final"})
