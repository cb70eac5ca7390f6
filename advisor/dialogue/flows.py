"""A dialogue as values: flows, screens, questions, choices and the ways between them."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import timedelta
from decimal import Decimal
from enum import StrEnum

#: Targets that are no screens: back to the calling flow, to the main menu.
RETURN = "return"
MENU = "menu"


#: What a choice can do after which no fact is known any more.
FORGETTING = ("withdraw", "erase")


class AskKind(StrEnum):
    """The kinds of question that a screen can ask."""

    CHOICE = "choice"
    PICK = "pick"
    NUMBER = "number"
    AREA = "area"
    COUNT_OF = "count_of"
    MONEY = "money"
    DATE = "date"
    WHICH = "which"
    TEXT = "text"
    SECRET = "secret"
    GROWER = "grower"


#: Questions that are answered by the number of a line on the screen.
LISTS = (AskKind.CHOICE, AskKind.PICK, AskKind.WHICH)
#: Those whose lines are entries of a list, and no choices with ways of their own.
PICKED = (AskKind.PICK, AskKind.WHICH)
#: So many last digits of a grower's number are shown to the agent, and typed at least.
LAST_DIGITS = 4
#: Those of which only a verdict reaches the step.
VEILED = (AskKind.SECRET, AskKind.GROWER)


@dataclass(frozen=True, slots=True)
class Edge:
    """A way on.

    Args:
        to: a screen of the same flow, ``return`` or ``menu``.
        when: name of a condition that must hold, empty for always.
        known: name of a fact that must be known and fresh, empty for always.
        line: line in the file.
    """

    to: str
    when: str
    known: str
    line: int


@dataclass(frozen=True, slots=True)
class Choice:
    """One numbered answer.

    Args:
        say: what stands behind the number.
        value: the value kept when it is chosen.
        to: where it leads; empty for the screen's own way on.
        does: what else it does: ``agree`` gives consent, ``withdraw`` takes it back, ``erase`` takes everything
            back, ``stop`` ends messages, ``start`` takes a stop back, ``code`` sends a code for a move to
            another number, ``visits`` sends an agent the list of visits; empty for nothing.
        sends: a screen to send as SMS, empty for none.
        forgets: facts that no longer hold once it is chosen.
        again: the screen it leads to asks even what is known.
        line: line in the file.
        begins: ``plot`` or ``lot`` where a new one is taken in hand, empty for none.
        drops: ``plot`` or ``lot`` where the one in hand is forgotten, empty for none.
        tells: pairs of fact and answer that an agent records for the grower whose number was typed; then ``sends``
            is sent to that grower, and ``forgets`` are facts of that grower.
    """

    say: str
    value: str
    to: tuple[Edge, ...]
    does: str
    sends: str
    forgets: tuple[str, ...]
    again: bool
    line: int
    begins: str = ""
    drops: str = ""
    tells: tuple[tuple[str, str], ...] = ()

    @property
    def changes(self) -> bool:
        """Whether it changes what is known, beside what it keeps."""
        return bool(self.does or self.forgets or self.begins or self.drops)


@dataclass(frozen=True, slots=True)
class Other:
    """An answer that does not stand on the screen and is understood nevertheless, as in a reply to a message.

    Args:
        word: key of the glossary's word that it is, such as ``later``; empty where it answers another question.
        way: where it leads. Without a word what was typed answers the question of that screen.
    """

    word: str
    way: Choice


@dataclass(frozen=True, slots=True)
class Line:
    """One way of saying a plot or a lot in a list of the grower's own.

    Args:
        say: the English text, with ``%(number)s`` and facts of the scope without it, as in ``%(area)s``.
        when: name of a condition on its facts, empty for always.
        known: name of a fact of it that must be known and fresh, empty for always.
        line: line in the file.
    """

    say: str
    when: str
    known: str
    line: int


@dataclass(frozen=True, slots=True)
class Ask:
    """A question.

    Args:
        kind: what kind of answer it takes. A ``text`` is a question to the agent; it is kept nowhere else. A
            ``secret`` is an agent's PIN and a ``grower`` one in that agent's care: what was typed is judged before
            the step, which never sees it.
        choices: the numbered answers of a ``choice``.
        source: name of the list that a ``pick`` chooses from; of a ``which`` the scope, ``plot`` or ``lot``.
        low: smallest number taken, None where kind and programme set it; of a ``date`` the first day taken, in
            days from today.
        high: largest number taken; of a ``count_of`` the largest sample; of a ``date`` the last day taken.
        decimals: digits after the point that are taken.
        example: a right answer, shown when a wrong one came.
        zero: what typing 0 means where it is no number, None where it is back or a number.
        lines: of a ``which``, how each of the grower's own is said; the first that holds is taken.
        sown: of a ``count_of`` the fact that says how many were sown, so that one number is enough; else empty.
        unit: of a ``number`` the unit that may be typed with it, a key of ``wording.units``; empty for none.
        others: answers that do not stand on the screen.
    """

    kind: AskKind
    choices: tuple[Choice, ...] = ()
    source: str = ""
    low: Decimal | None = None
    high: Decimal | None = None
    decimals: int = 0
    example: str = ""
    zero: Choice | None = None
    lines: tuple[Line, ...] = ()
    sown: str = ""
    unit: str = ""
    others: tuple[Other, ...] = ()

    @property
    def options(self) -> tuple[Choice, ...]:
        """Every answer that stands on the screen: the numbered ones, and what 0 means."""
        return (*self.choices, *((self.zero,) if self.zero else ()))

    @property
    def leading(self) -> tuple[Choice, ...]:
        """Every answer with a way of its own, whether it stands on the screen or not."""
        return (*self.options, *(other.way for other in self.others))

    def is_kept(self, choice: Choice | None) -> bool:
        """Whether an answer is one to the question; what 0 means and what does not stand there lead elsewhere."""
        return choice is None or (
            choice is not self.zero and all(choice is not other.way for other in self.others)
        )

    @property
    def zero_is_answer(self) -> bool:
        """Whether 0 answers the question, so that going back takes one zero more."""
        if self.kind is AskKind.COUNT_OF or self.zero is not None:
            return True
        return self.kind is AskKind.NUMBER and self.low is not None and self.low <= 0


@dataclass(frozen=True, slots=True)
class Say:
    """What a screen says.

    Args:
        text: the English source text, several lines; the only form, or the form for one.
        other: the form for other counts, empty where nothing is counted.
        count: name of the whole number that chooses the form.
        line: line in the file.
    """

    text: str
    other: str
    count: str
    line: int


@dataclass(frozen=True, slots=True)
class Screen:
    """One step of a dialogue: it says, asks, works out, calls or branches.

    Args:
        name: its name in the flow.
        line: line in the file.
        say: what it says, None for a step that is not shown.
        help: what it says when help is asked for, empty for the general text.
        ask: what it asks, None when it asks nothing.
        keep: name under which the answer is kept; with a dot it is a fact.
        keeps: pairs of fact and value worked out on this screen.
        work: name of the calculation whose results it may say, empty for none.
        forgets: facts and answers that no longer hold once this question is answered.
        call: name of a flow that is gone through first, empty for none.
        to: ordered ways on; the first that holds is taken.
        ends: the conversation ends here.
        is_menu: this is the screen that the menu key leads to.
        help_line: line of its help text, 0 where it has none.
        warns: keys of the cautions that its text says.
        warns_line: line of them, 0 where there are none.
        names: the scope whose one in hand is named above the text where the grower has several; empty for none.
        takes: of a step the scope of which it takes another one up, the one whose place its calculation gives as
            ``place``; empty for none.
    """

    name: str
    line: int
    say: Say | None = None
    help: str = ""
    ask: Ask | None = None
    keep: str = ""
    keeps: tuple[tuple[str, str], ...] = ()
    work: str = ""
    forgets: tuple[str, ...] = ()
    call: str = ""
    to: tuple[Edge, ...] = ()
    ends: bool = False
    is_menu: bool = False
    help_line: int = 0
    warns: tuple[str, ...] = ()
    warns_line: int = 0
    names: str = ""
    takes: str = ""

    @property
    def has_conditions(self) -> bool:
        """Whether one of the ways on depends on what is known or worked out."""
        ways = (self.to, *(choice.to for choice in (self.ask.options if self.ask else ())))
        return any(edge.when or edge.known for edges in ways for edge in edges)

    @property
    def is_branch(self) -> bool:
        """Whether it only works out where to go: nothing shown, called, kept or taken up."""
        return self.say is None and bool(self.work) and not (self.call or self.keeps or self.takes)


@dataclass(frozen=True, slots=True)
class FactRule:
    """How long a kept fact holds.

    Args:
        name: ``scope.name``.
        fresh_for: how long it is not asked again, None for ever.
        line: line in the file.
    """

    name: str
    fresh_for: timedelta | None
    line: int


@dataclass(frozen=True, slots=True)
class OneLine:
    """What an SMS in one line gets, such as ``SOYA 2 ACRES``: one answer, and no conversation.

    Args:
        keyword: name of the keyword; the glossaries hold its words.
        answers: name of the screen whose question the words beside the keyword answer, empty where the keyword
            stands alone.
        assumes: pairs of fact and value, taken as so where the fact is not known.
        to: name of the step that chooses the text, or of the text itself.
        line: line in the file.
    """

    keyword: str
    answers: str
    assumes: tuple[tuple[str, str], ...]
    to: str
    line: int


@dataclass(frozen=True, slots=True)
class Flow:
    """A dialogue: one file.

    Args:
        name: its name, the file's name without the ending.
        file: the file's name, for faults.
        version: the author's own number.
        start: name of the first screen.
        facts: the facts it keeps or asks about.
        screens: its screens in the order of the file.
        fingerprint: hash of its parsed form, without lines and comments.
        one_lines: what an SMS in one line gets.
    """

    name: str
    file: str
    version: str
    start: str
    facts: tuple[FactRule, ...]
    screens: tuple[Screen, ...]
    fingerprint: str
    one_lines: tuple[OneLine, ...] = ()
    _screens: dict[str, Screen] = field(init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        # of two with one name the first is meant
        object.__setattr__(self, "_screens", {screen.name: screen for screen in reversed(self.screens)})

    def screen(self, name: str) -> Screen | None:
        """The screen of that name, or None."""
        return self._screens.get(name)

    def edges(self, screen: Screen) -> tuple[Edge, ...]:
        """Every way that leads out of a screen, its choices' ways first."""
        options = screen.ask.leading if screen.ask else ()
        return (*(edge for choice in options for edge in choice.to), *screen.to)
