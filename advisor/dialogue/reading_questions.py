"""The questions, choices and ways on of a flow file."""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal

from advisor.dialogue.flows import FORGETTING, VEILED, Ask, AskKind, Choice, Edge, Line, Other
from advisor.dialogue.flowtext import Node, Table, Text
from advisor.dialogue.treereading import TreeReader
from advisor.records.aside import MOST
from advisor.wording.glossary import COMMANDS
from advisor.wording.units import UNITS

_DAYS_FROM_TODAY = re.compile(r"([+-]?[0-9]{1,3}) days?")
#: A date without its year must have only one that is meant.
_MOST_DAYS = 366

_CHOICE_KEYS = ("say", "is", "to", "do", "send", "forget", "again", "begin", "drop", "tell")
_DOINGS = ("agree", "stop", "start", "code", "visits", *FORGETTING)
_OTHER_KEYS = ("word", "answers", "to")
_EDGE_KEYS = ("to", "when", "known")
_LINE_KEYS = ("say", "when", "known")
_ASK_KEYS: dict[AskKind, tuple[str, ...]] = {
    AskKind.PICK: ("kind", "from"),
    AskKind.NUMBER: ("kind", "low", "high", "decimals", "unit", "example", "zero"),
    AskKind.AREA: ("kind", "example", "zero"),
    AskKind.COUNT_OF: ("kind", "most", "sown", "example"),
    AskKind.MONEY: ("kind", "example", "zero"),
    AskKind.DATE: ("kind", "from", "to", "zero"),
    AskKind.WHICH: ("kind", "of", "lines", "zero"),
    AskKind.TEXT: ("kind",),
    AskKind.SECRET: ("kind",),
    AskKind.GROWER: ("kind",),
}


class QuestionReader(TreeReader):
    """What a screen asks, and where each answer leads."""

    def edges(self, node: Node | None) -> tuple[Edge, ...]:
        if node is None:
            return ()
        if isinstance(node, Text):
            return (Edge(node.text, "", "", node.line),)
        return self.rows(node, "'to'", self.edge)

    def edge(self, node: Node) -> Edge:
        table = self.table(node, _EDGE_KEYS, "a way on")
        return Edge(
            self.name(table, "to", needed=True), self.name(table, "when"), self.name(table, "known"), table.line
        )

    def ask(self, table: Table) -> Ask | None:
        found, others = self._ask(table), table.get("or")
        if others is None:
            return found
        if found is None:
            self.fault(table.line_of("or"), "'or' beside no question", "give the screen 'ask' or 'choices'")
            return None
        return replace(found, others=self.rows(others, "'or'", self.other))

    def other(self, node: Node) -> Other:
        table = self.table(node, _OTHER_KEYS, "another answer")
        word, answers = self.name(table, "word"), self.name(table, "answers")
        if word and word not in COMMANDS:
            self.fault(table.line_of("word"), f"there is no word '{word}'", f"use one of: {', '.join(COMMANDS)}")
        if bool(word) == bool(answers):
            self.fault(
                table.line, "it is to be a word or the answer of a screen", "give one of 'word' and 'answers'"
            )
        to = answers or self.name(table, "to", needed=True)
        way = Choice("", "", (Edge(to, "", "", table.line),), "", "", (), again=True, line=table.line)
        return Other(word, way)

    def _ask(self, table: Table) -> Ask | None:
        node, choices = table.get("ask"), table.get("choices")
        if choices is not None:
            if node is not None:
                self.fault(table.line_of("ask"), "both 'ask' and 'choices'", "keep one of them")
            return Ask(AskKind.CHOICE, choices=self.rows(choices, "'choices'", self.choice))
        if node is None:
            return None
        kinds = {kind.value: kind for kind in _ASK_KEYS}
        word = self.text(node, "kind", None) if isinstance(node, Table) else ""
        if word not in kinds:
            self.misread.add(self.screen_id)
            self.fault(table.line_of("ask"), f"no question of the kind '{word}'", f"use: {', '.join(kinds)}")
            return None
        kind = kinds[word]
        asked = self.table(node, _ASK_KEYS[kind], "'ask'")
        zero = asked.get("zero")
        if kind in (AskKind.TEXT, *VEILED):
            return Ask(kind)
        if kind is AskKind.DATE:
            return self.date(asked, self.choice(zero) if zero is not None else None)
        if kind is AskKind.WHICH:
            lines = self.rows(asked.get("lines"), "'lines'", self.line)
            if not lines:
                self.fault(asked.line, "nothing says how each of them is said", "add 'lines'")
            zero_said = self.choice(zero) if zero is not None else None
            return Ask(
                AskKind.WHICH, source=self.of_several(asked, "of", needed=True), zero=zero_said, lines=lines
            )
        return Ask(
            kind,
            source=self.name(asked, "from", needed=kind is AskKind.PICK),
            low=self.number(asked, "low"),
            high=self.number(asked, "most" if kind is AskKind.COUNT_OF else "high"),
            decimals=self.decimals(asked),
            example="" if kind is AskKind.PICK else self.text(asked, "example", None),
            zero=self.choice(zero) if zero is not None else None,
            sown=self.name(asked, "sown"),
            unit=self.unit(asked),
        )

    def line(self, node: Node) -> Line:
        table = self.table(node, _LINE_KEYS, "a line")
        return Line(self.text(table, "say", None), self.name(table, "when"), self.name(table, "known"), table.line)

    def of_several(self, table: Table, key: str, *, needed: bool = False) -> str:
        """A scope of which a grower can have several."""
        word = self.text(table, key, None if needed else "")
        if word and word not in MOST:
            self.fault(table.line_of(key), f"there are not several of '{word}'", f"use one of: {', '.join(MOST)}")
            return ""
        return word

    def date(self, table: Table, zero: Choice | None) -> Ask:
        low, high = self.days(table, "from"), self.days(table, "to")
        if low > high:
            self.fault(table.line_of("to"), "no day lies between 'from' and 'to'", "give the earlier one first")
        return Ask(AskKind.DATE, low=Decimal(low), high=Decimal(high), zero=zero)

    def days(self, table: Table, key: str) -> int:
        """Days from today: ``-60 days``, ``today``, ``+120 days``."""
        word = self.text(table, key, None)
        found = _DAYS_FROM_TODAY.fullmatch(word)
        days = int(found[1]) if found else 0
        if word and ((not found and word != "today") or abs(days) > _MOST_DAYS):
            what = f"'{word}' is no number of days from today"
            self.fault(table.line_of(key), what, f"write '-60 days', 'today' or '+120 days', at most {_MOST_DAYS}")
        return days

    def unit(self, table: Table) -> str:
        unit = self.name(table, "unit")
        if unit and unit not in UNITS:
            self.fault(table.line_of("unit"), f"there is no unit '{unit}'", f"use one of: {', '.join(UNITS)}")
            return ""
        return unit

    def decimals(self, table: Table) -> int:
        number = self.number(table, "decimals") or Decimal(0)
        if number not in range(4):
            self.fault(table.line_of("decimals"), f"{number} decimals", "write 0, 1, 2 or 3")
            return 0
        return int(number)

    def choice(self, node: Node) -> Choice:
        table = self.table(node, _CHOICE_KEYS, "a choice")
        return Choice(
            say=self.text(table, "say", None),
            value=self.name(table, "is"),
            to=self.edges(table.get("to")),
            does=self.doing(table),
            sends=self.name(table, "send"),
            forgets=self.rows(table.get("forget"), "'forget'", self.word),
            again=self.flag(table, "again"),
            line=table.line,
            begins=self.of_several(table, "begin"),
            drops=self.of_several(table, "drop"),
            tells=self.pairs(table.get("tell"), "'tell'", "tell: {lot.test: grown}"),
        )

    def doing(self, table: Table) -> str:
        word = self.text(table, "do")
        if word and word not in _DOINGS:
            self.fault(table.line_of("do"), f"a choice cannot do '{word}'", f"use one of: {', '.join(_DOINGS)}")
        return word

    def pairs(self, node: Node | None, what: str, like: str) -> tuple[tuple[str, str], ...]:
        if node is None:
            return ()
        if not isinstance(node, Table):
            self.fault(node.line, f"{what} is not a table", f"write '{like}'")
            return ()
        return tuple((key, self.text(node, key, None)) for key, _ in node.entries)
