"""What mutmut keeps of each mutant beside the files it makes: how it ended, and its lines."""

from __future__ import annotations

import difflib
import json
from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from pathlib import Path

from mutmut.stats import status_by_exit_code
from mutmut.utils.format_utils import orig_function_and_class_names_from_key

ROOM = Path("advisor/agronomy")
SEEN_BY_TYPES = 37  # mutmut's own code for it


class Ended(Enum):
    """How a mutant ended; one whose tests took far too long was noticed as surely as one whose tests failed."""

    TYPES = "types"
    TESTS = "tests"
    SURVIVED = "survived"
    NO_TESTS = "no tests"
    NOT_RUN = "not run"


_ENDED = {
    "caught by type check": Ended.TYPES,
    "killed": Ended.TESTS,
    "timeout": Ended.TESTS,
    "segfault": Ended.TESTS,
    "survived": Ended.SURVIVED,
    "no tests": Ended.NO_TESTS,
}


def ended(exit_code: int | None) -> Ended:
    """How a mutant ended whose process ended so; neither failure nor success means: not run to the end."""
    return _ENDED.get(status_by_exit_code[exit_code], Ended.NOT_RUN)


@dataclass(frozen=True, slots=True)
class Mutant:
    """One slip.

    Args:
        key: mutmut's name of it.
        module: the file's name without its ending.
        function: module and function, or module, class and method: ``packs.Pack.__post_init__``.
        ended: how it ended.
        removed: the lines of the function that it changes, without indent; joined by line ends where several.
        added: what stands there instead.
    """

    key: str
    module: str
    function: str
    ended: Ended
    removed: str = ""
    added: str = ""


def module_files(made: Path) -> list[Path]:
    """The files of results below the directory that mutmut fills, one a module that has mutants or none."""
    return sorted((made / ROOM).glob("*.py.meta"))


def spans_of(meta: Path) -> dict[str, tuple[int, int]]:
    """First and last line of each planted function in the file beside, the untouched ones named ``…_orig``."""
    spans = json.loads(meta.with_suffix(".spans").read_text("utf-8"))["spans"]
    return {name: (first, last) for name, (first, last) in spans.items()}


def read_mutants(meta: Path) -> Iterator[Mutant]:
    """The mutants of one module, with their lines."""
    ends = json.loads(meta.read_text("utf-8"))["exit_code_by_key"]
    if not ends:
        return
    planted = meta.with_suffix("")
    lines = planted.read_text("utf-8").splitlines()
    spans = spans_of(meta)
    for key, exit_code in ends.items():
        module = planted.stem
        name, of_class = orig_function_and_class_names_from_key(key)
        copy = key.rpartition(".")[2]
        untouched = f"{copy.partition('__mutmut_')[0]}__mutmut_orig"
        removed, added = _changed(*(_body(lines, spans[which], which) for which in (untouched, copy)))
        yield Mutant(
            key, module, ".".join(filter(None, (module, of_class, name))), ended(exit_code), removed, added
        )


def _body(lines: list[str], span: tuple[int, int], name: str) -> list[str]:
    return [line.replace(name, "…").strip() for line in lines[span[0] - 1 : span[1]]]


def _changed(before: list[str], after: list[str]) -> tuple[str, str]:
    """Lines that only one of both has, in order."""
    changes = list(difflib.ndiff(before, after))
    removed, added = ("\n".join(line[2:] for line in changes if line.startswith(sign)) for sign in ("- ", "+ "))
    return removed, added
