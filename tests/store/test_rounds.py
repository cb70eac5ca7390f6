"""What every store promises of rounds: nobody is due twice at once, and nothing moves in a round that is held."""

from __future__ import annotations

from dataclasses import replace

import pytest

from advisor.store.api import (
    BUCKETS,
    Committed,
    Conflict,
    Dues,
    Place,
    RoundRow,
    RoundState,
    Standing,
    Store,
    Valued,
)
from advisor.store.rounds import END, WAITING
from tests.store.samples import ANN, BEN, HOUR_MS, MINUTE_MS, NOON_MS, change, forgetting, neighbour_of, out

BUCKET = int(ANN[:2], 16)
NEAR = neighbour_of(ANN)
DEMO = RoundRow("demo", RoundState.RUNNING, NOON_MS, b"key = 'demo'")
FRESH = Place(0, END)
BEGUN = Place(NOON_MS, "")
THROUGH = Place(NOON_MS, END)


def settle(store: Store, *growers: str) -> int:
    """Growers with a value; returns the version of the last."""
    for grower in growers:
        verdict = store.commit(change(grower, value=b"known"))
        assert isinstance(verdict, Committed)
    return verdict.version


def planned(store: Store, *dues: tuple[str, int], key: str = "demo") -> bool:
    return store.plan(BUCKET, key, store.place(BUCKET, key), THROUGH, dues)


def taken(store: Store, now_ms: int = NOON_MS, most: int = 100, room: int = 200) -> list[str]:
    return [valued.grower for valued in store.claim_due(BUCKET, "demo", now_ms, MINUTE_MS, most, room).taken]


@pytest.fixture
def running(store: Store) -> Store:
    """Ann and her neighbour, and a round in which both are due at noon."""
    store.start_round(DEMO)
    settle(store, ANN, NEAR)
    assert planned(store, (ANN, NOON_MS), (NEAR, NOON_MS))
    return store


class TestStarting:
    def test_a_round_is_there_with_all_that_it_was_started_with(self, store: Store) -> None:
        assert store.rounds() == ()

        assert store.start_round(DEMO) is None

        assert store.rounds() == (DEMO,)

    def test_the_same_again_changes_nothing_and_another_under_its_name_is_refused(self, store: Store) -> None:
        store.start_round(DEMO)

        assert store.start_round(replace(DEMO, started_ms=NOON_MS + 1)) is None
        assert store.start_round(replace(DEMO, text=b"other")) == DEMO
        assert store.rounds() == (DEMO,)

    def test_a_round_that_was_stopped_is_not_started_again(self, store: Store) -> None:
        store.start_round(DEMO)
        store.set_round("demo", RoundState.STOPPED)

        assert store.start_round(DEMO) == replace(DEMO, state=RoundState.STOPPED)
        assert store.set_round("demo", RoundState.RUNNING) is RoundState.STOPPED

    def test_a_round_that_nobody_started_has_no_state(self, store: Store) -> None:
        assert store.set_round("demo", RoundState.PAUSED) is None
        assert store.rounds() == ()


class TestPlanning:
    def test_goes_on_from_where_it_was(self, store: Store) -> None:
        store.start_round(DEMO)
        settle(store, ANN, NEAR)

        assert store.place(BUCKET, "demo") == FRESH
        assert store.plan(BUCKET, "demo", FRESH, BEGUN, ())
        assert store.plan(BUCKET, "demo", BEGUN, Place(NOON_MS, NEAR), [(NEAR, NOON_MS)])

        assert store.place(BUCKET, "demo") == Place(NOON_MS, NEAR)
        assert store.place(BUCKET + 1, "demo") == FRESH

    def test_of_two_planners_one_goes_on(self, store: Store) -> None:
        store.start_round(DEMO)
        settle(store, ANN)
        assert store.plan(BUCKET, "demo", FRESH, BEGUN, ())

        assert not store.plan(BUCKET, "demo", FRESH, Place(NOON_MS + 1, ""), [(ANN, NOON_MS)])

        assert store.place(BUCKET, "demo") == BEGUN
        assert store.standing("demo").waiting == 0

    @pytest.mark.parametrize("state", [RoundState.PAUSED, RoundState.STOPPED])
    def test_stands_still_while_the_round_is_held(self, store: Store, state: RoundState) -> None:
        store.start_round(DEMO)
        settle(store, ANN)
        store.set_round("demo", state)

        assert not store.plan(BUCKET, "demo", FRESH, BEGUN, [(ANN, NOON_MS)])
        assert store.place(BUCKET, "demo") == FRESH

    def test_leaves_out_whoever_was_erased_since_they_were_read(self, store: Store) -> None:
        store.start_round(DEMO)
        version = settle(store, NEAR, ANN)
        store.commit(forgetting(version=version))

        assert planned(store, (ANN, NOON_MS), (NEAR, NOON_MS))

        assert taken(store) == [NEAR]

    def test_sees_growers_in_order_and_no_open_sessions(self, store: Store) -> None:
        settle(store, ANN, NEAR, BEN)
        store.commit(change(ANN[:2] + "f" * 14, lapses_ms=NOON_MS + HOUR_MS))

        assert store.settled(BUCKET) == tuple(sorted((ANN, NEAR)))

    def test_reads_values_with_their_versions(self, store: Store) -> None:
        version = settle(store, ANN)

        assert store.values((ANN, NEAR)) == Dues((Valued(ANN, version, b"known"),), (NEAR,))
        assert store.values(()) == Dues()

    def test_a_thousand_growers_go_in_at_once(self, store: Store) -> None:
        store.start_round(DEMO)
        growers = [f"{ANN[:2]}{place:014x}" for place in range(1000)]
        settle(store, *growers[:3])

        assert planned(store, *((grower, NOON_MS) for grower in growers))

        assert store.standing("demo").waiting == 3


class TestTakingWhoIsDue:
    def test_the_earliest_come_first_and_no_more_than_asked(self, running: Store) -> None:
        planned(running, (ANN, NOON_MS), (NEAR, NOON_MS - 1))

        assert taken(running, most=1) == [NEAR]

    def test_whoever_is_taken_is_taken_by_nobody_else_until_the_lease_ends(self, running: Store) -> None:
        assert taken(running) == sorted((ANN, NEAR))
        assert taken(running, NOON_MS + MINUTE_MS - 1) == []
        assert taken(running, NOON_MS + MINUTE_MS) == sorted((ANN, NEAR))

    def test_nobody_is_taken_before_the_time(self, running: Store) -> None:
        assert taken(running, NOON_MS - 1) == []
        assert running.due_in(["demo"], NOON_MS - 1) == ((), ())
        assert running.due_in(["demo", "other"], NOON_MS) == ((("demo", BUCKET),), ())
        assert running.due_in([], NOON_MS) == ((), ())

    @pytest.mark.parametrize("state", [RoundState.PAUSED, RoundState.STOPPED])
    def test_nobody_is_taken_of_a_round_that_is_held(self, running: Store, state: RoundState) -> None:
        running.set_round("demo", state)

        assert taken(running) == []
        assert running.standing("demo").waiting == (2 if state is RoundState.PAUSED else 0)

    def test_a_round_that_goes_on_takes_them_again(self, running: Store) -> None:
        running.set_round("demo", RoundState.PAUSED)
        running.set_round("demo", RoundState.RUNNING)

        assert len(taken(running)) == 2

    def test_nobody_is_taken_while_enough_waits_to_be_handed_over(self, running: Store) -> None:
        version, _ = running.value(ANN)
        running.commit(change(version=version, outs=tuple(out(name=f"r{place}", lane=2) for place in range(3))))

        assert taken(running, room=3) == []
        assert len(taken(running, room=4)) == 1

    def test_what_waits_for_a_later_moment_takes_little_room(self, running: Store) -> None:
        """Held by the pause of another round, or till tomorrow: it must not stand in the way of this one."""
        version, _ = running.value(ANN)
        later = tuple(out(name=f"r{place}", lane=2, not_before_ms=NOON_MS + 1) for place in range(5))
        running.commit(change(version=version, outs=later))

        assert len(taken(running, room=3)) == 2

    def test_but_some_for_all_that(self, running: Store) -> None:
        """Or a million texts would wait in memory for a gateway that is away."""
        version, _ = running.value(ANN)
        later = tuple(out(name=f"r{place}", lane=2, not_before_ms=NOON_MS + 1) for place in range(3 * WAITING))
        running.commit(change(version=version, outs=later))

        assert taken(running, room=3) == []

    def test_whoever_has_no_value_is_named_as_gone(self, running: Store) -> None:
        version, _ = running.value(ANN)
        running.commit(change(version=version, value=None))

        claimed = running.claim_due(BUCKET, "demo", NOON_MS, MINUTE_MS, 10, 10)

        assert (claimed.gone, [valued.grower for valued in claimed.taken]) == ((ANN,), [NEAR])


class TestCommittingWhatWasDecided:
    def test_the_next_look_takes_the_place_of_the_lease(self, running: Store) -> None:
        (ann,) = (
            valued
            for valued in running.claim_due(BUCKET, "demo", NOON_MS, MINUTE_MS, 9, 9).taken
            if valued.grower == ANN
        )
        later = NOON_MS + HOUR_MS

        verdicts = running.commit_all(
            [change(version=ann.version, dues=(("demo", later),), tallies=(("demo", "sent", 1),), heard=False)]
        )

        assert verdicts == (Committed(ann.version + 1),)
        assert taken(running, later - 1) == [NEAR]
        assert ANN in taken(running, later)
        assert running.standing("demo") == Standing(2, 1, {"sent": 1})

    def test_no_further_look_takes_a_grower_off_the_list(self, running: Store) -> None:
        version, _ = running.value(ANN)
        running.commit_all([change(version=version, dues=(("demo", None),), heard=False)])

        assert running.standing("demo").waiting == 1

    def test_one_that_lost_the_race_changes_nothing_and_holds_no_other_back(self, running: Store) -> None:
        versions = [running.value(grower)[0] for grower in (ANN, NEAR)]
        given = {"dues": (("demo", None),), "tallies": (("demo", "sent", 1),), "heard": False}

        verdicts = running.commit_all([change(ANN, versions[0] + 7, **given), change(NEAR, versions[1], **given)])

        assert verdicts == (Conflict(), Committed(versions[1] + 1))
        assert running.standing("demo") == Standing(1, 1, {"sent": 1})
        assert running.commit_all([]) == ()

    def test_nobody_was_heard_so_their_time_stays(self, running: Store) -> None:
        version, _ = running.value(ANN)
        running.commit(change(version=version, idle_ms=NOON_MS + HOUR_MS))
        version, _ = running.value(ANN)

        running.commit_all([change(version=version, value=b"told", heard=False)])

        (idle,) = (idle for idle in running.idle(BUCKET, NOON_MS + HOUR_MS, 9) if idle.grower == ANN)
        assert idle.value == b"told"

    def test_what_stops_or_forgets_is_refused(self, running: Store) -> None:
        with pytest.raises(ValueError, match="commit it by itself"):
            running.commit_all([change(stop=(ANN, True))])


class TestWhoSaysStopOrIsErased:
    @pytest.mark.parametrize("ends", ["stop", "erase"])
    def test_is_due_in_no_round_from_that_commit_on(self, running: Store, ends: str) -> None:
        running.start_round(replace(DEMO, key="other"))
        planned(running, (ANN, NOON_MS), key="other")
        version, _ = running.value(ANN)

        ending = change(version=version, stop=(ANN, True)) if ends == "stop" else forgetting(version=version)
        assert isinstance(running.commit(ending), Committed)

        assert taken(running) == [NEAR]
        assert running.standing("other").waiting == 0

    def test_stays_due_after_any_other_message(self, running: Store) -> None:
        version, _ = running.value(ANN)
        running.commit(change(version=version, stop=(ANN, False)))

        assert taken(running) == sorted((ANN, NEAR))

    def test_keeps_no_next_look_that_came_with_the_same_commit(self, running: Store) -> None:
        version, _ = running.value(ANN)
        running.commit(change(version=version, stop=(ANN, True), dues=(("demo", NOON_MS),)))

        assert taken(running) == [NEAR]


def test_a_standing_counts_over_all_buckets(store: Store) -> None:
    store.start_round(DEMO)
    for bucket in range(BUCKETS):
        grower = f"{bucket:02x}0123456789abcd"
        settle(store, grower)
        assert store.plan(bucket, "demo", FRESH, BEGUN if bucket < 6 else THROUGH, [(grower, NOON_MS)])
        store.commit(change(grower, store.value(grower)[0], tallies=(("demo", "late", 2),)))

    assert store.standing("demo") == Standing(BUCKETS, BUCKETS - 6, {"late": 2 * BUCKETS})
    assert store.standing("other") == Standing(0, 0, {})
