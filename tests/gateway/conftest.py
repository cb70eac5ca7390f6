"""The web application over a store in memory, with dialogues in one line."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache

import pytest
from flask.testing import FlaskClient

from advisor.app import create_app
from advisor.dialogue.book import Book
from advisor.loading import load_book
from advisor.service.talking import Step
from advisor.settings import Settings
from advisor.store.api import Store
from advisor.store.memory import DictStore
from tests.service.stage import StandingClock, dialogues, echo
from tests.whole.services import OPEN

Serve = Callable[..., FlaskClient]


@cache
def shipped_book() -> Book:
    """The shipped book, by which a demonstration says how long facts hold; it is read once for all tests."""
    return load_book()


@pytest.fixture
def serve() -> Serve:
    """Makes a client of an application: ``serve(step, store=…, demo=…, clock=…, speaking=…)``.

    Without settings of who may speak, whoever comes may.
    """

    def made(
        step: Step = echo,
        *,
        store: Store | None = None,
        demo: bool = False,
        clock: StandingClock | None = None,
        speaking: dict[str, str] | None = None,
    ) -> FlaskClient:
        book = shipped_book() if demo else None
        secret = {"SOWING_ID_SECRET": "a secret of the tests, long enough"}
        environment = {} if demo else secret | (OPEN if speaking is None else speaking)
        settings = Settings.from_env(environment, demo=demo)
        app = create_app(
            settings,
            book=book,
            store=store or DictStore(),
            clock=clock or StandingClock(),
            dialogues=replace(dialogues(step), is_command=lambda typed: shipped_book().is_command(typed)),
        )
        return app.test_client()

    return made


@pytest.fixture
def client(serve: Serve) -> FlaskClient:
    """A client of an application whose dialogue repeats what was typed."""
    return serve()
