"""The kind of a few digits that are no number: the end of a phone number."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.wording.errors import NotOfKind
from advisor.wording.kinds.kind import Kind
from advisor.wording.voice import Voice


@dataclass(frozen=True, slots=True)
class Digits(Kind):
    """So many digits, said as they are.

    Args:
        count: how many.

    >>> Digits(4).check("0042")
    """

    count: int

    def check(self, value: object) -> None:
        if not (isinstance(value, str) and len(value) == self.count and value.isascii() and value.isdecimal()):
            raise NotOfKind("digits", "…", f"{self.count} digits")

    def witness(self, voice: Voice) -> object:
        return "0" * self.count

    def _said(self, value: object, voice: Voice) -> str:
        return str(value)
