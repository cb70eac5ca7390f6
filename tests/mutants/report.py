"""The table by module, what survived, and whether that is good enough."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from tests.mutants.equivalent import Equivalent, amiss
from tests.mutants.results import Ended, Mutant

#: Of all mutants that change something, percent.
LEAST_PERCENT = 90

_HEAD = ("module", "mutants", "types", "tests", "equivalent", "survived", "no tests", "not run", "seen")


@dataclass(frozen=True, slots=True)
class Row:
    """The counts of a module, or of all."""

    name: str
    mutants: int
    types: int
    tests: int
    equivalent: int
    survived: int
    no_tests: int
    not_run: int

    @property
    def percent(self) -> float:
        """How many are seen of those that change something; 100 where there are none."""
        changing = self.mutants - self.equivalent
        return 100 * (self.types + self.tests) / changing if changing else 100.0

    @property
    def percent_by_tests(self) -> float:
        """The same of those that the types let pass."""
        changing = self.mutants - self.equivalent - self.types
        return 100 * self.tests / changing if changing else 100.0


def row(name: str, mutants: Sequence[Mutant], entries: Sequence[Equivalent]) -> Row:
    """The counts of some mutants; only one that survived can be equivalent."""
    ends = Counter(mutant.ended for mutant in mutants)
    excused = sum(is_excused(mutant, entries) for mutant in mutants)
    return Row(
        name,
        len(mutants),
        ends[Ended.TYPES],
        ends[Ended.TESTS],
        excused,
        ends[Ended.SURVIVED] - excused,
        ends[Ended.NO_TESTS],
        ends[Ended.NOT_RUN],
    )


def is_excused(mutant: Mutant, entries: Sequence[Equivalent]) -> bool:
    """Whether it survived and is listed."""
    return mutant.ended is Ended.SURVIVED and any(entry.meets(mutant) for entry in entries)


def table(mutants: Sequence[Mutant], entries: Sequence[Equivalent]) -> Iterator[str]:
    """A row a module, then one for all; the last column is of those that change something."""
    modules: dict[str, list[Mutant]] = {}
    for mutant in mutants:
        modules.setdefault(mutant.module, []).append(mutant)
    everything = row("all", mutants, entries)
    cells = [_HEAD, *(_cells(row(name, of_it, entries)) for name, of_it in modules.items()), _cells(everything)]
    wide = [max(len(line[column]) for line in cells) for column in range(len(_HEAD))]
    for name, *counts in cells:
        yield "  ".join([name.ljust(wide[0]), *(c.rjust(w) for c, w in zip(counts, wide[1:], strict=True))])
    yield f"Of those that the types let pass, the tests see {everything.percent_by_tests:.1f} %."


def _cells(row: Row) -> tuple[str, ...]:
    counts = (row.mutants, row.types, row.tests, row.equivalent, row.survived, row.no_tests, row.not_run)
    return (row.name, *(f"{count}" for count in counts), f"{row.percent:.1f} %")


def survivors(mutants: Sequence[Mutant], entries: Sequence[Equivalent]) -> Iterator[str]:
    """What was not seen and is not listed: its name, the lines before and after."""
    for mutant in mutants:
        if mutant.ended in (Ended.SURVIVED, Ended.NO_TESTS) and not is_excused(mutant, entries):
            number = mutant.key.rpartition("__mutmut_")[2]
            untested = "" if mutant.ended is Ended.SURVIVED else ": no test comes here"
            yield f"{mutant.function} {number}{untested}"
            yield from (f"  - {line}" for line in mutant.removed.splitlines())
            yield from (f"  + {line}" for line in mutant.added.splitlines())


def faults(mutants: Sequence[Mutant], entries: Sequence[Equivalent]) -> Iterator[str]:
    """What makes the run fail: too few seen, an entry of the lists that is no longer so.

    Entries about modules that are not among these mutants are left alone.
    """
    modules = {mutant.module for mutant in mutants}
    for entry in entries:
        if entry.function.partition(".")[0] in modules and (said := amiss(entry, mutants)):
            yield f"{entry.file}: {entry.function}: {entry.added!r}: {said}"
    if (percent := row("", mutants, entries).percent) < LEAST_PERCENT:
        yield f"{percent:.1f} % are seen, {LEAST_PERCENT} % are asked for"
