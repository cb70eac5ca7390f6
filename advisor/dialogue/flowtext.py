"""Flow files as text: YAML without implicit types, anchors or duplicate keys, every part with its line.

YAML reads ``no`` as false, ``010`` as eight and ``12:30`` as 750. An author means words, so whatever YAML
would turn into something else is refused, and plain decimal numbers stay text until a question needs them.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

import yaml

from advisor.dialogue.faults import Fault, Faulty
from advisor.dialogue.yaml_slips import TAKEN_FOR, yaml_slip

_PLAIN_NUMBER = re.compile(r"-?(0|[1-9][0-9]*)(\.[0-9]+)?")
#: libyaml's reader where PyYAML was built with it: ten times as fast.
_QUICK = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_NUMBER_TAGS = ("tag:yaml.org,2002:int", "tag:yaml.org,2002:float")


@dataclass(frozen=True, slots=True)
class Text:
    """A word, number or sentence, as written.

    Args:
        text: the characters.
        line: line in the file, from 1.
    """

    text: str
    line: int


@dataclass(frozen=True, slots=True)
class Row:
    """A list.

    Args:
        items: its items in order.
        line: line in the file, from 1.
    """

    items: tuple[Node, ...]
    line: int


@dataclass(frozen=True, slots=True)
class Table:
    """Keys and values in the order written.

    Args:
        entries: pairs of key and value.
        line: line in the file, from 1.
        lines: line of each key.
    """

    entries: tuple[tuple[str, Node], ...]
    line: int
    lines: tuple[int, ...]

    def get(self, key: str) -> Node | None:
        """The value of a key, or None."""
        return dict(self.entries).get(key)

    def line_of(self, key: str) -> int:
        """The line of a key, or that of the table."""
        return next(
            (line for (name, _), line in zip(self.entries, self.lines, strict=True) if name == key), self.line
        )


Node = Text | Row | Table


def flow_tree(text: str, file: str) -> Table:
    """The tree of one flow file.

    Args:
        text: the file's text.
        file: its name, for faults.

    Returns:
        The top table, every scalar as text.

    Raises:
        Faulty: not YAML, a duplicate key, an anchor, or a word that YAML takes for another type.

    >>> flow_tree("flow: tea", "tea.yaml").get("flow")
    Text(text='tea', line=1)
    >>> flow_tree("sugar: no", "tea.yaml")
    Traceback (most recent call last):
    advisor.dialogue.faults.Faulty: tea.yaml:1: YAML reads 'no' as true or false, not as a word: put it in quotes
    """
    tree, faults = flow_tree_and_faults(text, file)
    if faults or tree is None:
        raise Faulty(faults)
    return tree


def flow_tree_and_faults(text: str, file: str) -> tuple[Table | None, list[Fault]]:
    """The tree of one flow file as far as it can be read, and what is wrong in it.

    Args:
        text: the file's text.
        file: its name, for faults.
    """
    try:
        anchored, root = _parsed(text, _QUICK)
    except yaml.YAMLError:
        # said in the words of the other reader, which are the same on every machine
        try:
            anchored, root = _parsed(text, yaml.SafeLoader)
        except yaml.YAMLError as error:
            return None, [Fault(file, *yaml_slip(error, text))]
    faults = [
        Fault(file, _line(event), "anchors and aliases are not read", "write the text out") for event in anchored
    ]
    tree = _node(root, file, faults) if root is not None else None
    if not isinstance(tree, Table):
        # A list or a word at the top: what stands inside it does not matter.
        return None, faults or [Fault(file, 1, "a flow file is a table of keys", "begin with 'flow: name'")]
    return tree, faults


def _parsed(text: str, loader: Any) -> tuple[list[yaml.Event], yaml.Node | None]:
    """Events with an anchor, and the tree."""
    anchored = [event for event in yaml.parse(text, Loader=loader) if getattr(event, "anchor", None)]
    return anchored, yaml.compose(text, Loader=loader)


def _line(event: yaml.Event) -> int:
    return event.start_mark.line + 1 if event.start_mark else 0


def _node(node: yaml.Node, file: str, faults: list[Fault]) -> Node:
    line = node.start_mark.line + 1
    if isinstance(node, yaml.MappingNode):
        return _table(node, file, faults)
    if isinstance(node, yaml.SequenceNode):
        return Row(tuple(_node(item, file, faults) for item in node.value), line)
    text = str(node.value)
    kind = str(node.tag).rsplit(":", 1)[-1]
    plain_number = node.tag in _NUMBER_TAGS and _PLAIN_NUMBER.fullmatch(text)
    if kind == "null" and not text:
        faults.append(Fault(file, line, "nothing stands behind the colon or dash", "write it, or take it out"))
    elif kind != "str" and not plain_number:
        taken_for = TAKEN_FOR.get(kind, kind)
        faults.append(Fault(file, line, f"YAML reads '{text}' as {taken_for}, not as a word", "put it in quotes"))
    return Text(text, line)


def _table(node: yaml.MappingNode, file: str, faults: list[Fault]) -> Table:
    entries: list[tuple[str, Node]] = []
    lines: list[int] = []
    seen: set[str] = set()
    for key_node, value_node in node.value:
        key = _node(key_node, file, faults)
        line = key_node.start_mark.line + 1
        if not isinstance(key, Text):
            faults.append(Fault(file, line, "a key must be one word", "write 'key: value'"))
            continue
        if key.text in seen:
            faults.append(Fault(file, line, f"the key '{key.text}' stands twice", "keep one of them"))
        seen.add(key.text)
        entries.append((key.text, _node(value_node, file, faults)))
        lines.append(line)
    return Table(tuple(entries), node.start_mark.line + 1, tuple(lines))
