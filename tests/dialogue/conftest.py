import pytest

from advisor.loading import load_book


@pytest.fixture(scope="session")
def book():
    """The shipped book: every flow, every language, the demonstration programme."""
    return load_book()


@pytest.fixture(scope="session")
def english_book(book):
    return book
