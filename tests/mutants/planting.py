"""Plants the mutants and asks mypy about all of them at once, which is far cheaper than a run of tests for each.

Run as a program, since mutmut's parts work on the directory and the import path of their process.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterable
from pathlib import Path

from tests.mutants.results import SEEN_BY_TYPES, Ended, ended, module_files, spans_of

# What follows from the copies themselves: attributes are declared in each copy of a constructor.
_OF_THE_COPIES = {"no-redef", "has-type"}


def plant(children: int) -> None:
    """Copies the sources and writes the mutants of every function that is new or changed."""
    import mutmut.__main__ as mutmut

    Path("mutants").mkdir(exist_ok=True)
    mutmut.copy_src_dir()
    mutmut.copy_also_copy_files()
    mutmut.setup_source_paths()
    mutmut.create_mutants(children)


def seen_by_types(made: Path) -> dict[str, str]:
    """Each mutant that mypy objects to, and why; what it says of the untouched copy too does not count."""
    command = [sys.executable, "-m", "mypy", "-p", "advisor.agronomy", "--output=json", "--no-warn-unused-ignores"]
    said = subprocess.run(command, cwd=made, capture_output=True, text=True, check=False)
    if said.returncode not in (0, 1):
        raise SystemExit(f"mypy failed: {said.stdout[-2000:]}{said.stderr[-2000:]}")
    errors = [json.loads(line) for line in said.stdout.splitlines() if line.startswith("{")]
    return _by_mutant(made, (error for error in errors if error["severity"] == "error"))


def _by_mutant(made: Path, errors: Iterable[dict[str, object]]) -> dict[str, str]:
    at: dict[str, dict[int, str]] = {}
    for meta in module_files(made):
        planted = meta.with_suffix("").relative_to(made)
        at[str(planted)] = {
            line: f"{'.'.join(planted.with_suffix('').parts)}.{name}"
            for name, (first, last) in spans_of(meta).items()
            for line in range(first, last + 1)
        }
    seen: dict[str, dict[str, str]] = {}
    for error in errors:
        key = at.get(str(error["file"]), {}).get(int(str(error["line"])))
        if key is not None and error["code"] not in _OF_THE_COPIES:
            seen.setdefault(key, {})[str(error["code"])] = str(error["message"])
    found = {}
    for key, by_code in seen.items():
        of_the_untouched = seen.get(f"{key.partition('__mutmut_')[0]}__mutmut_orig", {})
        if own := [message for code, message in by_code.items() if code not in of_the_untouched]:
            found[key] = own[0]
    return found


def note(made: Path, seen: dict[str, str]) -> None:
    """Writes into mutmut's results what mypy sees, so that no tests are run on it."""
    for meta in module_files(made):
        kept = json.loads(meta.read_text("utf-8"))
        ends = kept["exit_code_by_key"]
        for key, exit_code in ends.items():
            if key in seen and ended(exit_code) is not Ended.TESTS:
                ends[key] = SEEN_BY_TYPES
                kept["type_check_error_by_key"][key] = seen[key]
            elif key not in seen and exit_code == SEEN_BY_TYPES:
                ends[key] = None
        meta.write_text(json.dumps(kept, indent=4), "utf-8")


if __name__ == "__main__":
    plant(os.cpu_count() or 1)
    note(Path("mutants"), seen_by_types(Path("mutants")))
