"""How commands end, and what they say of a mistake."""

from __future__ import annotations

from enum import IntEnum

import click


class Exit(IntEnum):
    """How a command ended."""

    DONE = 0
    PROBLEMS = 1
    WRONG_USAGE = 2
    UNEXPECTED = 3


class WrongUsage(click.ClickException):
    """A mistake of whoever called; one line says what to do."""

    exit_code = Exit.WRONG_USAGE


class FoundProblems(click.ClickException):
    """What was looked at is faulty; the text says where."""

    exit_code = Exit.PROBLEMS
