"""The calculator at the command line, as its tests ask it."""

from __future__ import annotations

import json
import shlex
from functools import cache

from click.testing import CliRunner, Result

from advisor.cli import commands
from advisor.commands.exits import Exit


@cache
def run(line: str) -> Result:
    """What a line shows; the same line shows the same again, so each runs once."""
    return CliRunner().invoke(commands, shlex.split(line))


def shown(line: str) -> str:
    result = run(line)
    assert result.exit_code == Exit.DONE, result.output
    return result.output


def data(line: str) -> dict:
    return json.loads(shown(f"{line} --json"))


def refused(line: str) -> str:
    """The one line that a mistake is told in."""
    result = run(line)
    assert result.exit_code == Exit.WRONG_USAGE, result.output
    said = [text for text in result.output.splitlines() if text.startswith("Error: ")]
    assert len(said) == 1
    assert result.output.rstrip().endswith(said[0])
    return said[0].removeprefix("Error: ")
