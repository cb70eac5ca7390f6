"""What every kind of value can do: check a value, say it, and produce the value that takes most room."""

from __future__ import annotations

from abc import ABC, abstractmethod

from advisor.wording.segments import cost
from advisor.wording.voice import Voice


class Kind(ABC):
    """A kind of value with its bounds.

    The widest text of a kind is always the words of a value of that kind, never an estimate: an estimate that is
    too small would let a message run over, one that is too large would refuse a message that fits.
    """

    __slots__ = ()

    @abstractmethod
    def check(self, value: object) -> None:
        """Lets a value of the kind pass.

        Raises:
            BeyondScale: it lies outside the bounds.
            NotOfKind: it is another sort of value altogether.
        """

    @abstractmethod
    def witness(self, voice: Voice) -> object:
        """A value whose words take most room in a language. Raises NotInAlphabet where words cannot be sent."""

    @abstractmethod
    def _said(self, value: object, voice: Voice) -> str:
        """The words of a value that passed the check."""

    def words(self, value: object, voice: Voice) -> str:
        """A value in words, ready to stand in a message.

        Raises:
            BeyondScale, NotOfKind: as ``check``; a value outside is refused, never said at greater length.
        """
        self.check(value)
        return self._said(value, voice)

    def widest(self, voice: Voice) -> str:
        """The words that take most room in a language; looking for them takes long, so it is done once."""
        found = voice.widest.get(self)
        if found is None:
            found = voice.widest[self] = self.words(self.witness(voice), voice)
        return found

    def room(self, voice: Voice) -> int:
        """What the widest words cost, in septets or UTF-16 units."""
        return cost(self.widest(voice), voice.alphabet)
