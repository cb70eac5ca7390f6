"""Village figures: what one record counts as, and that differences always add up to a recount."""

from __future__ import annotations

from collections import Counter

from hypothesis import given
from hypothesis import strategies as st

from advisor.records.grower import Grower
from advisor.service.figures import COUNTERS, figure_changes, village_figures
from tests.service.stage import ANN, BANDS, NOW


@st.composite
def records(draw: st.DrawFn) -> Grower:
    """Growers in every state that matters to the figures."""
    record = Grower(ANN, agreed=draw(st.sampled_from([None, NOW])))
    village = draw(st.sampled_from(["", "v1", "v2"]))
    if village:
        record = record.knows("grower.village", village, NOW)
    if draw(st.booleans()):
        record = record.knows("lot.origin", "saved", NOW)
    if draw(st.booleans()):
        sown = draw(st.integers(1, 100))
        record = record.knows("lot.test", (draw(st.integers(0, sown)), sown), NOW)
    return record


def recount(record: Grower) -> Counter[tuple[str, str]]:
    village, counted = village_figures(record, BANDS)
    return Counter((village, counter) for counter in counted)


@given(st.lists(records(), min_size=1))
def test_differences_along_a_record_s_life_add_up_to_a_recount(life: list[Grower]) -> None:
    total: Counter[tuple[str, str]] = Counter()
    for old, new in zip([Grower(), *life], life, strict=False):
        for village, counter, difference in figure_changes(old, new, BANDS):
            total[village, counter] += difference

    assert {key: count for key, count in total.items() if count} == dict(recount(life[-1]))


@given(records(), records())
def test_a_change_and_its_way_back_cancel_out(old: Grower, new: Grower) -> None:
    there = {(village, counter): by for village, counter, by in figure_changes(old, new, BANDS)}
    back = {(village, counter): -by for village, counter, by in figure_changes(new, old, BANDS)}

    assert there == back


@given(records())
def test_who_is_tested_is_in_exactly_one_band(record: Grower) -> None:
    _, counted = village_figures(record, BANDS)

    assert counted <= set(COUNTERS)
    assert len(counted & {"good", "middle", "bad"}) == ("tested" in counted)


@given(records())
def test_without_consent_nobody_is_counted(record: Grower) -> None:
    _, counted = village_figures(record, BANDS)

    assert bool(counted) == (record.agreed is not None and record.fact("grower.village") is not None)
