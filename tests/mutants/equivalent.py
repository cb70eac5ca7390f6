"""Mutants that change nothing, listed by hand, each with its reason.

    [[equivalent]]
    function = "packs.Pack.__post_init__"
    removed = "if self.price < 0:"
    added = "if self.price <= -0:"
    reason = "both are the same number"

An entry stands for every mutant of that function with those lines. It must meet one that survives, or it is stale.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from tests.mutants.results import Ended, Mutant

_KEYS = {"function", "removed", "added", "reason"}


@dataclass(frozen=True, slots=True)
class Equivalent:
    """One entry: the function, its lines before and after, why nothing changes, the file that says so."""

    function: str
    removed: str
    added: str
    reason: str
    file: str = ""

    def meets(self, mutant: Mutant) -> bool:
        """Whether the mutant is one of those meant."""
        return (self.function, self.removed, self.added) == (mutant.function, mutant.removed, mutant.added)


def read_equivalents(files: Iterable[Path]) -> tuple[Equivalent, ...]:
    """The entries of all lists.

    Raises:
        ValueError: where an entry has a key too few or too many, an empty reason, or stands twice.
    """
    entries: list[Equivalent] = []
    for file in files:
        for row in tomllib.loads(file.read_text("utf-8")).get("equivalent", ()):
            if set(row) != _KEYS or not row["reason"].strip():
                raise ValueError(f"{file.name}: give function, removed, added and a reason, not {sorted(row)}")
            lines = {key: "\n".join(line.strip() for line in row[key].strip().splitlines()) for key in _KEYS}
            entry = Equivalent(file=file.name, **lines)
            if any(
                (e.function, e.removed, e.added) == (entry.function, entry.removed, entry.added) for e in entries
            ):
                raise ValueError(f"{file.name}: {entry.function} has this entry twice: {entry.added}")
            entries.append(entry)
    return tuple(entries)


def amiss(entry: Equivalent, mutants: Sequence[Mutant]) -> str:
    """What is wrong with an entry, nothing where it meets a mutant that survived or was not run."""
    ends = {mutant.ended for mutant in mutants if entry.meets(mutant)}
    if not ends:
        return "there is no such mutant"
    if ends <= {Ended.TYPES, Ended.TESTS}:
        return f"it is seen by the {' and the '.join(sorted(end.value for end in ends))}"
    return ""
