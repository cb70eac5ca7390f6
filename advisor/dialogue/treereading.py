"""Walks the tree of a file written by an author, key by key, and gathers what is wrong."""

from __future__ import annotations

import re
from collections.abc import Callable
from decimal import Decimal
from typing import TypeVar

from advisor.dialogue.faults import Fault
from advisor.dialogue.flowtext import Node, Row, Table, Text
from advisor.dialogue.nearby import instead_of

_T = TypeVar("_T")

NAME = re.compile(r"[a-z][a-z0-9_]*")
_NUMBER = re.compile(r"-?[0-9]+(\.[0-9]+)?")


class TreeReader:
    """Where something is wrong it notes a fault and goes on with an empty value.

    Args:
        file: the file's name, for faults.
    """

    def __init__(self, file: str) -> None:
        self.file = file
        self.faults: list[Fault] = []
        self.unsound: set[str] = set()
        self.misread: set[str] = set()
        self.screen_id = ""

    def fault(self, line: int, what: str, instead: str) -> None:
        self.unsound.add(self.screen_id.partition(".")[2])
        self.faults.append(Fault(self.file, line, what, instead, self.screen_id))

    def table(self, node: Node | None, keys: tuple[str, ...], what: str) -> Table:
        if not isinstance(node, Table):
            line = node.line if node else 1
            self.misread.add(self.screen_id)
            self.fault(line, f"{what} is not a table of keys", f"use the keys {', '.join(keys)}")
            return Table((), line, ())
        for key, _ in node.entries:
            if key not in keys:
                self.misread.add(self.screen_id)
                self.fault(node.line_of(key), f"unknown key '{key}' in {what}", instead_of(key, keys))
        return node

    def text(self, table: Table, key: str, default: str | None = "") -> str:
        node = table.get(key)
        if isinstance(node, Text) and node.text.strip():
            return node.text.strip()
        if node is not None or default is None:
            self.fault(table.line_of(key), f"'{key}' must be a word or a sentence", f"write '{key}: …'")
        return default or ""

    def name(self, table: Table, key: str, *, needed: bool = False) -> str:
        word = self.text(table, key, None if needed else "")
        if word and not all(NAME.fullmatch(part) for part in word.split(".", 1)):
            self.fault(table.line_of(key), f"'{word}' is no name", "use small letters, digits and _")
        return word

    def flag(self, table: Table, key: str) -> bool:
        word = self.text(table, key)
        if word not in ("", "yes"):
            self.fault(table.line_of(key), f"'{key}' can only be \"yes\"", "leave the key out otherwise")
        return word == "yes"

    def rows(self, node: Node | None, what: str, read: Callable[[Node], _T]) -> tuple[_T, ...]:
        if node is None:
            return ()
        if not isinstance(node, Row):
            self.fault(node.line, f"{what} is not a list", "write each item behind a dash")
            return ()
        return tuple(read(item) for item in node.items)

    def number(self, table: Table, key: str) -> Decimal | None:
        word = self.text(table, key)
        if word and not _NUMBER.fullmatch(word):
            self.fault(table.line_of(key), f"'{word}' is no number", f"write '{key}: 10'")
            return None
        return Decimal(word) if word else None

    def word(self, node: Node) -> str:
        if isinstance(node, Text):
            return node.text
        self.fault(node.line, "not a word", "write one name behind each dash")
        return ""
