"""How many examples a law is tried on, where it needs others than most."""

from __future__ import annotations

from hypothesis import settings

#: What a profile tries where a law says nothing; see conftest.py.
_USUAL = 100


def examples(number: int) -> settings:
    """So many examples, and fewer in the same measure where the profile tries few."""
    return settings(max_examples=max(1, number * min(settings.default.max_examples, _USUAL) // _USUAL))
