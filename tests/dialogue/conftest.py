import pytest

from advisor.loading import load_book
from tests.dialogue.talker import Talker


@pytest.fixture(scope="session")
def book():
    """The shipped book: every flow, every language, the demonstration programme."""
    return load_book()


@pytest.fixture
def talker(book):
    return Talker(book)


@pytest.fixture
def known(talker):
    """A grower who called before: language, consent and village are known."""
    talker.dial()
    talker.type("1", "1", "2")
    return talker
