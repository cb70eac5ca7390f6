"""Who may still try a store that stands still."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from advisor.service.breaker import REST_S, Breaker


def test_as_long_as_nothing_fails_everybody_may_try() -> None:
    breaker = Breaker()

    assert all(breaker.lets(now_s) for now_s in (0.0, 0.0, 1.0))


def test_after_a_failure_nobody_may_for_a_rest_and_then_one_a_rest() -> None:
    breaker = Breaker()
    breaker.failed(begun_s=0.0, now_s=1.0)

    tries_s = [1.0 + tenth / 10 for tenth in range(14)]
    assert [now_s for now_s in tries_s if breaker.lets(now_s)] == [1.0 + REST_S, 1.0 + 2 * REST_S]


def test_one_answer_lets_everybody_in_again() -> None:
    breaker = Breaker()
    breaker.failed(begun_s=0.0, now_s=1.0)
    breaker.worked(now_s=1.1)

    assert breaker.lets(1.1)


@given(begun_s=st.floats(0, 5), worked_s=st.floats(0, 5), failed_s=st.floats(5, 10))
def test_a_store_that_answers_others_meanwhile_is_not_left_alone(
    begun_s: float, worked_s: float, failed_s: float
) -> None:
    """As where one server of a cluster is away, and the growers of the others are served."""
    breaker = Breaker()
    breaker.worked(worked_s)
    breaker.failed(begun_s, failed_s)

    assert breaker.lets(failed_s) == (worked_s >= begun_s)
