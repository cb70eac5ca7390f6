"""Every conversation that ships with the simulator, played against the real demo service."""

from collections import Counter

import pytest

from simulator.cli import report
from simulator.house import connected, conversations
from simulator.player import play
from simulator.reading import read


def script(file):
    return read(file.read_text(encoding="utf-8"), file.name)


@pytest.fixture(scope="session")
def demo():
    with connected() as joined:
        yield joined


@pytest.mark.parametrize("file", conversations(), ids=lambda file: file.name)
def test_the_phone_shows_what_the_conversation_says(file, demo):
    wire, gateway = demo

    played = play(script(file), wire, gateway)

    assert not played.differences, report(played)


def test_there_are_conversations_to_play():
    assert conversations()


def test_every_conversation_has_phones_of_its_own():
    """So that it does not matter in which order they are played."""
    numbers = Counter(number for file in conversations() for _, number in script(file).phones)

    assert [number for number, count in numbers.items() if count > 1] == []
