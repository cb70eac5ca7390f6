"""Pure rooms compute and nothing else: no clock, chance, file, environment, network, log or thread in them.

An import linter sees which module is imported and not what is called, so this reads the syntax tree.
"""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

import advisor

HOME = Path(advisor.__file__).parent
PURE_ROOMS = ("agronomy", "wording", "records", "dialogue", "campaign", "advice")
FILES = sorted(file for room in PURE_ROOMS for file in (HOME / room).rglob("*.py"))

FORBIDDEN_MODULES = frozenset(
    {
        "asyncio", "builtins", "concurrent", "fakeredis", "flask", "glob", "http", "httpx", "logging",
        "multiprocessing", "os", "pathlib", "random", "redis", "requests", "sched", "secrets", "select", "shutil",
        "signal", "socket", "sqlite3", "ssl", "subprocess", "sys", "tempfile", "threading", "time",
        "urllib", "warnings",
    }
)  # fmt: skip
FORBIDDEN_CALLS = frozenset(
    {"open", "print", "input", "exec", "eval", "compile", "__import__", "breakpoint", "getenv"}
)
FORBIDDEN_METHODS = frozenset(
    {
        "now", "today", "utcnow", "getenv", "uuid1", "uuid4", "urandom", "read_text", "read_bytes", "write_text",
        "write_bytes", "perf_counter", "monotonic", "import_module",
    }
)  # fmt: skip
FORBIDDEN_ATTRIBUTES = frozenset({"environ"})
CLOCKS = frozenset({"datetime", "date"})


def impurities(text: str) -> list[str]:
    """What a pure module must not hold, each with its line."""
    found = []
    for node in ast.walk(ast.parse(text)):
        found += [f"line {getattr(node, 'lineno', 0)}: {what}" for what in _impure(node)]
    return found


def _impure(node: ast.AST) -> list[str]:
    match node:
        case ast.Import(names):
            return [f"import {name.name}" for name in names if name.name.split(".")[0] in FORBIDDEN_MODULES]
        case ast.ImportFrom(module=str(module), names=names, level=0):
            whole = [f"import {module}"] if module.split(".")[0] in FORBIDDEN_MODULES else []
            return whole + [f"import {name.name}" for name in names if name.name in FORBIDDEN_METHODS]
        case ast.Call(func=ast.Name(name)) if name in FORBIDDEN_CALLS:
            return [f"{name}()"]
        case ast.Call(func=ast.Attribute(attr=name)) if name in FORBIDDEN_METHODS or name == "open":
            return [f".{name}()"]
        case ast.Attribute(value=ast.Name(clock), attr=name) if clock in CLOCKS and name in FORBIDDEN_METHODS:
            return [f"{clock}.{name}"]
        case ast.Attribute(value=ast.Attribute(attr=clock), attr=name) if (
            clock in CLOCKS and name in FORBIDDEN_METHODS
        ):
            return [f"{clock}.{name}"]
        case ast.Attribute(attr=name) if name in FORBIDDEN_ATTRIBUTES:
            return [f".{name}"]
    return []


def test_there_are_pure_modules_to_look_at():
    assert {file.relative_to(HOME).parts[0] for file in FILES} >= {
        "agronomy",
        "wording",
        "records",
        "dialogue",
        "advice",
    }
    assert len(FILES) > 20


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.relative_to(HOME).as_posix())
def test_a_pure_room_only_computes(file):
    assert impurities(file.read_text("utf-8")) == []


@pytest.mark.parametrize(
    "planted",
    [
        "open('x')",
        "print('x')",
        "input()",
        "from datetime import datetime\ndatetime.now()",
        "from datetime import datetime\nclock = datetime.now",
        "import datetime\nclock = datetime.datetime.utcnow",
        "from datetime import date\ndate.today()",
        "from datetime import datetime as dt\ndt.utcnow()",
        "import time\ntime.time()",
        "from time import time\ntime()",
        "import time as t",
        "import random",
        "from random import choice",
        "import secrets",
        "from uuid import uuid4",
        "import uuid\nuuid.uuid4()",
        "import os",
        "import os.path",
        "from os import environ",
        "settings.environ['X']",
        "import socket",
        "import logging",
        "from logging import getLogger",
        "from pathlib import Path",
        "file.read_text()",
        "file.write_bytes(b'')",
        "file.open()",
        "import subprocess",
        "import threading",
        "import requests",
        "import httpx",
        "from redis.client import Redis",
        "import fakeredis",
        "def f():\n    import socket",
        "__import__('os')",
        "eval('1')",
    ],
)
def test_a_planted_impurity_is_found(planted):
    assert impurities(planted)


@pytest.mark.parametrize(
    "innocent",
    [
        "from datetime import datetime, time\nquiet = time(20)",
        "def step(now: datetime) -> None:\n    return now",
        "def due(event) -> bool:\n    return event.now > event.today",
        "class Reply:\n    open: bool",
        "Reply(text='x', open=True)",
        "reply.open",
        "import tomllib\ntomllib.loads('')",
        "import hashlib",
        "'datetime.now() in a text'",
        "from .time import later",
    ],
)
def test_what_only_looks_like_one_is_left_alone(innocent):
    assert impurities(innocent) == []
