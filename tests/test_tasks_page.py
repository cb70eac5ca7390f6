"""The page of tasks is what playing them costs, and a later call never costs more than the first."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.loading import load_book
from tests.tasks import BEGIN, RENEW, TASKS, Task, by_keyword, cost, page

PAGE = (Path(__file__).parent.parent / "flows/TASKS.md").read_text("utf-8")


@pytest.fixture(scope="module")
def book():
    return load_book()


def test_the_page_in_the_tree_is_what_is_measured(book):
    assert page(book) == PAGE, f"what a task costs has changed; write the page anew with {RENEW}"


@pytest.mark.parametrize("task", TASKS, ids=lambda task: task.name)
def test_what_is_known_is_not_asked_again(book, task: Task):
    first, later = cost(book, BEGIN, (), task.first, task), cost(book, (), task.before, task.later, task)

    # Without language, consent and village: three screens, six keys.
    assert later.screens <= first.screens - 3
    assert later.keys <= first.keys - 6


@pytest.mark.parametrize("task", [task for task in TASKS if task.keyword], ids=lambda task: task.keyword)
def test_one_text_message_gets_one_answer_that_asks_for_nothing_more(book, task: Task):
    [answer] = by_keyword(book, task)

    assert "Write like" not in answer
    assert "first" not in answer.split("\n")[0], "it wants something that is not known"


def test_a_task_that_ends_elsewhere_is_told(book):
    with pytest.raises(AssertionError, match=r"What to buy ends at buy_list\.source"):
        cost(book, BEGIN, (), ("1", "2.5"), TASKS[0])
