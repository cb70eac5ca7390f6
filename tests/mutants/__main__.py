"""``python -m tests.mutants``: plants and runs all mutants, then the table; see ``--help`` for less of it."""

from __future__ import annotations

import argparse
import os
import sys
from pathlib import Path

from tests.mutants.equivalent import read_equivalents
from tests.mutants.report import faults, survivors, table
from tests.mutants.results import module_files, read_mutants
from tests.mutants.running import MADE, run_all, run_modules


def main() -> int:
    """0 where enough mutants are seen and the lists are right, else 1."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutants", description="Mutants of the calculator.")
    parser.add_argument("modules", nargs="*", help="only these, and of these only what is not seen so far")
    parser.add_argument("--report", action="store_true", help="run nothing, tell what is known")
    parser.add_argument("--survivors", action="store_true", help="say what survived, with the lines")
    parser.add_argument("--children", type=int, default=os.cpu_count(), help="processes at once")
    parser.add_argument("--minutes", type=float, default=57, help="when a run of all is stopped (%(default)s)")
    asked = parser.parse_args()
    if not asked.report and asked.modules:
        run_modules(asked.modules, asked.children)
    elif not asked.report:
        run_all(asked.children, asked.minutes)

    known = {meta.name.removesuffix(".py.meta"): meta for meta in module_files(MADE)}
    if unknown := sorted(set(asked.modules) - set(known)):
        parser.error(f"no results of {', '.join(unknown)}")
    mutants = [mutant for name in asked.modules or known for mutant in read_mutants(known[name])]
    entries = read_equivalents(sorted(Path(__file__).parent.glob("equivalent_*.toml")))
    if asked.survivors:
        print(*survivors(mutants, entries), sep="\n")
    print(*table(mutants, entries), sep="\n")
    wrong = list(faults(mutants, entries))
    print(*wrong, sep="\n", end="\n" if wrong else "")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
