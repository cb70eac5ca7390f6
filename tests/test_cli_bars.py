"""Bars of long work: no line of the log stands in the midst of one, and none is lost."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from io import StringIO

import pytest

from advisor.commands.bars import LogLines, progress
from advisor.service.journal import log_event


class Screen(StringIO):
    """What a terminal is sent, bar and log alike."""

    def isatty(self) -> bool:
        return True


@pytest.fixture
def screen() -> Iterator[Screen]:
    found = Screen()
    handler, logger = LogLines(found), logging.getLogger("advisor")
    level = logger.level
    logging.getLogger().addHandler(handler)
    logger.setLevel(logging.INFO)
    yield found
    logger.setLevel(level)
    logging.getLogger().removeHandler(handler)


def test_a_line_of_the_log_waits_until_the_bar_is_whole(screen: Screen) -> None:
    with progress(3, "growers", file=screen) as done:
        done(1)
        log_event("import", new=1)
        done(3)

    bar, line = screen.getvalue().split("event=import")
    assert "100%" in bar
    assert bar.endswith("\n")
    assert line == " new=1\n"


def test_lines_are_not_lost_where_the_work_fails(screen: Screen) -> None:
    def work() -> None:
        with progress(3, "growers", file=screen) as done:
            done(1)
            log_event("import", new=1)
            raise ValueError("broken")

    with pytest.raises(ValueError, match="broken"):
        work()

    assert screen.getvalue().endswith("\nevent=import new=1\n")


def test_without_a_bar_a_line_comes_at_once(screen: Screen) -> None:
    log_event("import", new=1)
    assert screen.getvalue() == "event=import new=1\n"


def test_a_bar_is_told_how_much_is_done_and_not_how_much_more(screen: Screen) -> None:
    with progress(10, "growers", shows_place=True, file=screen) as done:
        for place in (2, 5, 10):
            done(place)

    assert "10/10" in screen.getvalue()
