import pytest

from advisor.loading import load_book, load_figures


@pytest.fixture(scope="session")
def book():
    """The shipped book: every flow, every language, the demonstration programme."""
    return load_book()


@pytest.fixture(scope="session")
def programme(book):
    return book.programme


@pytest.fixture(scope="session")
def crop(programme):
    """The crop of the programme."""
    return next(crop for crop in load_figures()[1] if crop.key == programme.crops[0].crop)
