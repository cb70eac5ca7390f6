"""From the text of a flow file to a Flow; every fault of the file is gathered before it is refused."""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass
from datetime import timedelta

from advisor.dialogue.faults import Fault, Faulty
from advisor.dialogue.flows import (
    MENU,
    RETURN,
    Ask,
    AskKind,
    FactRule,
    Flow,
    OneLine,
    Say,
    Screen,
)
from advisor.dialogue.flowtext import Node, Row, Table, Text, flow_tree_and_faults
from advisor.dialogue.nearby import instead_of
from advisor.dialogue.reading_questions import QuestionReader
from advisor.dialogue.screens import HEADS
from advisor.dialogue.treereading import NAME
from advisor.records.aside import MOST
from advisor.records.grower import SCOPES

_FRESH = re.compile(r"([1-9][0-9]*) days?")
_FLOW_KEYS = ("flow", "version", "start", "facts", "one_line", "screens")
_ONE_LINE_KEYS = ("answers", "assumes", "to")
_SCREEN_KEYS = (
    "say", "warns", "help", "ask", "choices", "or", "keep", "keeps", "forget", "work", "call", "to", "end", "menu",
    "names", "take",
)  # fmt: skip
_SAY_KEYS = ("count", "one", "other")


def read_flow(text: str, file: str) -> Flow:
    """Reads one flow file.

    Args:
        text: the file's text.
        file: its name; the flow's name is the name without the ending.

    Returns:
        The flow. Names of conditions, calculations, lists and other flows are not looked up here.

    Raises:
        Faulty: everything that is wrong in the file.

    >>> flow = read_flow('''
    ... flow: tea
    ... version: 1
    ... start: sugar
    ... screens:
    ...   sugar: {say: "How many spoons?", ask: {kind: number, low: 0, high: 9, example: 2}, keep: spoons, to: bye}
    ...   bye: {say: "Enjoy.", end: "yes"}
    ... ''', "tea.yaml")
    >>> flow.start, flow.screens[0].ask.zero_is_answer
    ('sugar', True)
    """
    reading = read_as_far_as_can_be(text, file)
    if reading.flow is None or reading.faults:
        raise Faulty(reading.faults)
    return reading.flow


@dataclass(frozen=True, slots=True)
class Reading:
    """What one flow file gave.

    Args:
        flow: the flow, None where the file is no table at all; what was faulty in it is empty.
        faults: everything that is wrong in the file.
        unsound: names of the screens that a fault lies in; an empty name for the head of the file.
    """

    flow: Flow | None
    faults: tuple[Fault, ...]
    unsound: frozenset[str]


def read_as_far_as_can_be(text: str, file: str) -> Reading:
    """Reads one flow file without refusing it, so that whoever checks can look at what is sound in it.

    Args:
        text: the file's text.
        file: its name; the flow's name is the name without the ending.
    """
    tree, faults = flow_tree_and_faults(text, file)
    if tree is None:
        return Reading(None, tuple(faults), frozenset())
    reader = _Reader(file)
    flow = reader.flow(tree)
    lines = {fault.line for fault in faults}
    # What is wrong with a word that YAML already took for something else is said once.
    further = [fault for fault in reader.faults if fault.line not in lines]
    return Reading(flow, (*faults, *further), frozenset({*reader.unsound, *_screens_at(flow, faults)}))


def _screens_at(flow: Flow, faults: list[Fault]) -> set[str]:
    """The screens that lines of a file lie in; the head of the file for lines before the first."""
    starts = sorted((screen.line, screen.name) for screen in flow.screens)
    return {next((name for line, name in reversed(starts) if line <= fault.line), "") for fault in faults}


class _Reader(QuestionReader):
    """Walks the tree of a flow file."""

    def flow(self, tree: Table) -> Flow:
        self.table(tree, _FLOW_KEYS, "the flow")
        name = self.name(tree, "flow", needed=True)
        stem = self.file.rsplit("/", 1)[-1].removesuffix(".yaml")
        if name != stem:
            self.fault(
                tree.line_of("flow"), f"the flow '{name}' is in the file '{stem}.yaml'", "give both one name"
            )
        screens = self.screens(name, tree.get("screens"))
        start = self.name(tree, "start", needed=True)
        names = {screen.name for screen in screens}
        if start and start not in names:
            self.fault(tree.line_of("start"), f"there is no screen '{start}'", instead_of(start, names))
        version = self.text(tree, "version", None)
        fingerprint = hashlib.sha256(repr(_bare(tree)).encode()).hexdigest()[:16]
        facts, one_lines = self.facts(tree.get("facts")), self.one_lines(tree.get("one_line"))
        return Flow(name, self.file, version, start, facts, screens, fingerprint, one_lines)

    def facts(self, node: Node | None) -> tuple[FactRule, ...]:
        if node is None:
            return ()
        if not isinstance(node, Table):
            self.fault(node.line, "'facts' is not a table", "write 'plot.area: 300 days'")
            return ()
        return tuple(self.fact(node, key) for key, _ in node.entries)

    def fact(self, table: Table, key: str) -> FactRule:
        line = table.line_of(key)
        if key.split(".", 1)[0] not in SCOPES or "." not in key:
            self.fault(line, f"the fact '{key}' has no scope", f"begin with {', '.join(SCOPES)} and a dot")
        word = self.text(table, key, None)
        days = _FRESH.fullmatch(word)
        if word != "for ever" and not days:
            self.fault(line, f"'{word}' does not say how long '{key}' holds", "write '300 days' or 'for ever'")
        return FactRule(key, timedelta(days=int(days[1])) if days else None, line)

    def one_lines(self, node: Node | None) -> tuple[OneLine, ...]:
        if node is None:
            return ()
        if not isinstance(node, Table):
            self.fault(node.line, "'one_line' is not a table", "write 'keyword: {answers: …, to: …}'")
            return ()
        return tuple(self.one_line(key, node.line_of(key), value) for key, value in node.entries)

    def one_line(self, keyword: str, line: int, node: Node) -> OneLine:
        table = self.table(node, _ONE_LINE_KEYS, f"'{keyword}'")
        if not NAME.fullmatch(keyword):
            self.fault(line, f"'{keyword}' is no name", "use small letters, digits and _")
        return OneLine(
            keyword=keyword,
            answers=self.name(table, "answers"),
            assumes=self.pairs(table.get("assumes"), "'assumes'", "lot.origin: bought"),
            to=self.name(table, "to", needed=True),
            line=line,
        )

    def screens(self, flow: str, node: Node | None) -> tuple[Screen, ...]:
        if not isinstance(node, Table) or not node.entries:
            self.fault(node.line if node else 1, "the flow has no screens", "write them under 'screens:'")
            return ()
        found = []
        for key, value in node.entries:
            self.screen_id = f"{flow}.{key}"
            if not NAME.fullmatch(key):
                self.fault(node.line_of(key), f"'{key}' is no name", "use small letters, digits and _")
            found.append(self.screen(key, node.line_of(key), value))
            if key == RETURN or (key == MENU and not found[-1].is_menu):
                self.fault(node.line_of(key), f"'{key}' leads out of the flow", "give the screen another name")
        self.screen_id = ""
        return tuple(found)

    def screen(self, name: str, line: int, node: Node) -> Screen:
        table = self.table(node, _SCREEN_KEYS, "the screen")
        keep = self.name(table, "keep")
        ask = self.ask(table)
        screen = Screen(
            name=name,
            line=line,
            say=self.say(table),
            help=self.text(table, "help"),
            ask=ask,
            keep=keep,
            keeps=self.pairs(table.get("keeps"), "'keeps'", "plot.area: area"),
            work=self.name(table, "work"),
            forgets=self.rows(table.get("forget"), "'forget'", self.word),
            call=self.name(table, "call"),
            to=self.edges(table.get("to")),
            ends=self.flag(table, "end"),
            is_menu=self.flag(table, "menu"),
            help_line=table.line_of("help") if table.get("help") else 0,
            warns=self.rows(table.get("warns"), "'warns'", self.word),
            warns_line=table.line_of("warns") if table.get("warns") else 0,
            names=self.name(table, "names"),
            takes=self.name(table, "take"),
        )
        if self.screen_id not in self.misread:
            # What a misspelt key stands for seems to be missing otherwise.
            self.check_shape(screen)
        return screen

    def check_shape(self, screen: Screen) -> None:
        """A screen is shown and asks, is shown and ends, calls, or branches: one of the four."""
        line = screen.line
        if screen.ask and not screen.say:
            self.fault(line, "a question without a text", "add 'say'")
        if screen.say and not (screen.ask or screen.ends or screen.call):
            self.fault(line, "a screen that leads nowhere", "add 'choices', 'ask' or 'end: \"yes\"'")
        if screen.warns and not screen.say:
            self.fault(screen.warns_line, "'warns' on a screen that says nothing", "put it beside the text")
        if screen.names and (screen.names not in HEADS or not screen.say):
            self.fault(
                line, f"'names: {screen.names}' names nothing here", f"beside 'say' name {', '.join(HEADS)}"
            )
        if screen.takes and (screen.takes not in MOST or screen.say or screen.call or not screen.work):
            instead = f"give {' or '.join(MOST)}, on a step with a calculation that gives 'place'"
            self.fault(line, f"'take: {screen.takes}' takes nothing here", instead)
        if screen.say and screen.keeps:
            self.fault(line, "'keeps' on a screen that is shown", "keep it on a step before or behind")
        if screen.ask and screen.ask.kind is AskKind.CHOICE:
            self.check_choices(screen, screen.ask)
        if screen.say and screen.call:
            self.fault(line, "a screen cannot both say and call", "make two screens of it")
        if not screen.say and not screen.to and not screen.ends:
            self.fault(line, "a step that leads nowhere", "add 'to'")
        if screen.ends and (screen.ask or screen.to or screen.call or not screen.say):
            self.fault(line, "an end only says something", "leave out 'ask', 'call' and 'to'")
        if screen.forgets and not screen.ask:
            self.fault(line, "'forget' without a question", "put it on the question or on a choice")
        if screen.keep and screen.ask and screen.ask.kind is AskKind.WHICH:
            self.fault(line, "'keep' on a question which of several", "take it out: the answer is taken in hand")
        if screen.keep and screen.ask and screen.ask.kind is AskKind.TEXT:
            self.fault(line, "'keep' on a question to the agent", "leave it out: its words go to the agent alone")
        if screen.keep and screen.ask and screen.ask.kind is AskKind.SECRET:
            self.fault(line, "'keep' on a secret", "leave it out: a secret is kept nowhere")
        if screen.keep and not screen.ask:
            self.fault(line, "'keep' without a question", "use 'keeps' for what was worked out")
        if screen.ask and not screen.to:
            leads = screen.ask.kind is AskKind.CHOICE and all(choice.to for choice in screen.ask.choices)
            if not leads:
                self.fault(line, "an answer leads nowhere", "add 'to' to the screen or to each choice")

    def check_choices(self, screen: Screen, ask: Ask) -> None:
        if not ask.choices:
            self.fault(screen.line, "a question without choices", "write them under 'choices'")
        for choice in ask.choices:
            if screen.keep and not choice.value:
                self.fault(choice.line, f"the choice '{choice.say}' has no value to keep", "add 'is'")

    def say(self, table: Table) -> Say | None:
        node = table.get("say")
        if node is None:
            return None
        line = table.line_of("say")
        if isinstance(node, Table):
            plural = self.table(node, _SAY_KEYS, "'say'")
            one, other = self.text(plural, "one", None), self.text(plural, "other", None)
            return Say(one, other, self.name(plural, "count", needed=True), line)
        return Say(self.text(table, "say"), "", "", line)


def _bare(node: Node) -> object:
    if isinstance(node, Text):
        return node.text
    if isinstance(node, Row):
        return [_bare(item) for item in node.items]
    return [(key, _bare(value)) for key, value in node.entries]
