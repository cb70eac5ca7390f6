import queue
import time
from contextlib import nullcontext
from dataclasses import replace

import pytest

from simulator.clock import moment
from simulator.desk.errands import Errands
from simulator.desk.hands import Hands
from simulator.desk.line import Line
from simulator.desk.state import Desk, Held
from simulator.desk.table import Table
from simulator.phone import Phone, Sms
from tests.simulator.conftest import ANN

NOW = moment("2027-03-01T08:00+03:00")
PATIENCE_S = 20.0


def held(screen=None, number=ANN, is_open=True, **changes):
    return replace(Held(Phone(number, "s" if is_open else "", screen)), **changes)


def desk_with(*phones, **changes):
    return Desk(phones or (held("Hello"),), NOW, is_connected=True, **changes)


def sms(text, number=ANN, message_id="m1"):
    return Sms(message_id, "2500", number, text, "gsm7", 1)


class Person:
    """Somebody at a desk without a terminal: what threads find is done when ``until`` waits for it."""

    def __init__(self, gateway, start):
        self._told = queue.SimpleQueue()
        self.left = []
        self.shown = []
        self.table = Table(Desk((Held(Phone(ANN)),), NOW), self.shown.append)
        self.line = Line(gateway, start, self._told.put)
        self.errands = Errands(self.table, self.line, gateway, self.left.append)
        self.hands = Hands(self.table, self.errands, lambda: self.left.append(None))

    @property
    def desk(self):
        return self.table.desk

    @property
    def screen(self):
        return self.desk.held.phone.screen

    def types(self, text, *keys):
        for char in text:
            self.hands.key(char, char)
        for key in keys:
            self.hands.key(key, None)

    def commands(self, letter):
        self.hands.key("escape", "\x1b")
        self.hands.key(letter, letter)

    def until(self, is_so):
        until_s = time.monotonic() + PATIENCE_S
        while not is_so():
            assert time.monotonic() < until_s, f"it never came: {self.desk}"
            try:
                self._told.get(timeout=0.05)()
            except queue.Empty:
                continue

    def answers(self, text, screen):
        self.types(text, "enter")
        self.until(lambda: self.screen == screen and not self.desk.held.waits)


@pytest.fixture
def person(gateway, standin):
    person = Person(gateway, lambda _: nullcontext(standin.address))
    yield person
    person.line.close()


@pytest.fixture
def caller(person):
    """A person whose phone has dialled."""
    person.errands.begin()
    person.until(lambda: person.screen is not None and not person.desk.held.waits)
    return person
