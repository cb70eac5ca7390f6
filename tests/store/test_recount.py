"""The recount finds what the figures and the growers disagree on, and nothing else."""

from __future__ import annotations

from collections.abc import Iterable

from advisor.store.api import Store
from advisor.store.keys import grower_id
from advisor.store.recount import Difference, recount
from tests.store.samples import ANN, NUMBERS, SECRET, change

VILLAGES = ("dovi", "kesu", "lawi")


def figures_of(value: bytes) -> Iterable[tuple[str, str, int]]:
    """In these tests a grower's value is a village and the kilograms bought."""
    village, seed_kg = value.decode().split()
    return [(village, "growers", 1), (village, "seed_kg", int(seed_kg))]


def settle_in(store: Store) -> None:
    for place, number in enumerate(NUMBERS[:60]):
        village = VILLAGES[place % 3]
        value = f"{village} {place}".encode()
        store.commit(change(grower_id(SECRET, number), value=value, counts=tuple(figures_of(value))))


def test_figures_written_with_their_growers_agree(store: Store) -> None:
    settle_in(store)

    assert store.counts("dovi")["growers"] == 20
    assert recount(store, figures_of, VILLAGES) == ()


def test_every_difference_is_named(store: Store) -> None:
    settle_in(store)
    version, value = store.value(ANN)
    store.commit(change(version=version, value=b"dovi 7", counts=()))

    assert value == b"dovi 0"
    assert recount(store, figures_of) == (
        Difference("dovi", "seed_kg", kept=sum(range(0, 60, 3)), counted=sum(range(0, 60, 3)) + 7),
    )


def test_figures_of_a_village_without_growers_are_found_when_it_is_named(store: Store) -> None:
    store.commit(change(value=None, counts=(("zolu", "growers", 2),)))

    assert recount(store, figures_of) == ()
    assert recount(store, figures_of, ["zolu"]) == (Difference("zolu", "growers", kept=2, counted=0),)


def test_a_figure_of_nought_is_no_difference(store: Store) -> None:
    version, _ = store.value(ANN)
    store.commit(change(version=version, value=None, counts=(("zolu", "growers", 0), ("zolu", "silent", 1))))
    store.commit(change(value=None, counts=(("zolu", "silent", -1),)))

    assert recount(store, figures_of, ["zolu"]) == ()
