"""Starts the tools: all mutants anew, or those of some modules that nothing has seen so far."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path

from tests.mutants.results import ROOM, Ended, ended, module_files

MADE = Path("mutants")
_STATS = MADE / "mutmut-stats.json"
_NAMES_AT_ONCE = 150  # mutmut compares each name with each mutant


def run_all(children: int, minutes: float) -> None:
    """Forgets all results and tries every mutant, as far as the time goes.

    Args:
        children: processes at once.
        minutes: when to stop; what was not tried by then counts as not seen.
    """
    ends_s = time.monotonic() + minutes * 60
    shutil.rmtree(MADE, ignore_errors=True)
    _plant()
    try:
        _mutmut(children, within_s=ends_s - time.monotonic())
    except subprocess.TimeoutExpired:
        print(f"\nstopped after {minutes:g} minutes: what was not tried counts as not seen")


def run_modules(modules: Sequence[str], children: int) -> None:
    """Tries again those mutants of some modules that are not seen so far; what was seen once stays so."""
    _forget_old_stats()
    _plant()
    names = []
    for meta in module_files(MADE):
        if meta.name.removesuffix(".py.meta") in modules:
            ends = json.loads(meta.read_text("utf-8"))["exit_code_by_key"]
            names += [key for key, code in ends.items() if ended(code) not in (Ended.TYPES, Ended.TESTS)]
    for first in range(0, len(names), _NAMES_AT_ONCE):
        _mutmut(children, *names[first : first + _NAMES_AT_ONCE])


def _forget_old_stats() -> None:
    """mutmut remembers which test runs which function, and asks only tests whose names are new."""
    if not _STATS.exists():
        return
    age = _STATS.stat().st_mtime
    shared = [*ROOM.glob("*.py"), *Path("tests/agronomy").glob("conftest.py")]
    if any(file.stat().st_mtime > age for file in shared):
        _STATS.unlink()
        return
    changed = {str(file) for file in Path("tests/agronomy").glob("test_*.py") if file.stat().st_mtime > age}
    stats = json.loads(_STATS.read_text("utf-8"))

    def kept(test: str) -> bool:
        return test.partition("::")[0] not in changed

    stats["duration_by_test"] = {test: took for test, took in stats["duration_by_test"].items() if kept(test)}
    by_function = stats["tests_by_mangled_function_name"]
    stats["tests_by_mangled_function_name"] = {name: [*filter(kept, tests)] for name, tests in by_function.items()}
    _STATS.write_text(json.dumps(stats, indent=4), "utf-8")


def _plant() -> None:
    subprocess.run([sys.executable, "-m", "tests.mutants.planting"], check=True)


def _mutmut(children: int, *names: str, within_s: float | None = None) -> None:
    command = [str(Path(sys.executable).with_name("mutmut")), "run", "--max-children", str(children), *names]
    with subprocess.Popen(command, env=os.environ | {"LAWS": "mutants"}, start_new_session=True) as running:
        try:
            code = running.wait(within_s)
        finally:
            if running.poll() is None:  # its children are of its session, and end with it
                os.killpg(running.pid, signal.SIGTERM)
    if code:
        raise subprocess.CalledProcessError(code, command)
