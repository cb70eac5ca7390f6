"""The phone that an agent works from: no grower of its village, unless the list of growers has it as well."""

from __future__ import annotations

import io
from datetime import timedelta

import pytest

from advisor.by_book import bands_of, quiet_of, speech_of, visiting_of
from advisor.campaign.deciding import Running
from advisor.campaign.reading import read_round
from advisor.loading import load_round
from advisor.service.exporting import export
from advisor.service.figures import village_figures
from advisor.service.forecasting import forecast
from advisor.service.importing import Importing, check
from advisor.service.listing import Days, called, own_phones, terms_of
from advisor.service.stored import from_bytes
from tests.service.agents import ANN, VALLEY
from tests.service.seed_round import Season, at, book
from tests.service.stage import IDS, grower_id

FIELD = {"plot_area": 8094.0, "lot_origin": "bought"}


@pytest.fixture
def season() -> Season:
    """A grower and an agent who tries the dialogues, both with a field in Dovi and bought seed."""
    season = Season(at(-22))
    season.has(ANN, **FIELD)
    season.has(VALLEY, **FIELD)
    return season


def put_on_the_list(season: Season) -> None:
    """A list of growers that is brought in has the agent's number as well."""
    programme = book().programme
    day = season.clock.now().date().isoformat()
    table = f"number,consent_how,consent_on,village\n{VALLEY},spoken,{day},Dovi\n".encode()
    rows = check(io.BytesIO(table), terms_of(programme, season.clock.now())).rows
    retention = timedelta(days=programme.retention_days)
    importing = Importing(season.store, season.clock, IDS, bands_of(book()), Days(book().zone), retention)
    assert importing.bring_in(rows).changed == 1


def counted(season: Season) -> dict[str, int]:
    """How many growers each list, round and figure has."""
    visiting = visiting_of(book(), season.store, season.clock)
    text = load_round("buy_inputs")
    running = Running(read_round(text, book().programme.languages), season.clock.now(), quiet_of(book().programme))
    seen = forecast(season.store, running, speech_of(book()), season.clock.now(), "en")
    sheet = io.BytesIO()
    done = export(
        season.store, sheet, Days(book().zone), called(book().programme), (), own_phones(book().programme)
    )
    records = [from_bytes(season.store.value(grower_id(number))[1]).record for number in (ANN, VALLEY)]
    return {
        "results": visiting.results().of_all().growers,
        "order": max(line.growers for line in visiting.order().lines),
        "preview": seen.growers,
        "export": done.growers,
        "figures": sum(bool(village_figures(record, bands_of(book()))[1]) for record in records),
    }


class TestAnAgentsOwnPhone:
    def test_counts_nowhere_as_a_grower(self, season: Season) -> None:
        assert set(counted(season).values()) == {1}

    def test_counts_everywhere_once_it_is_on_the_list_of_growers(self, season: Season) -> None:
        put_on_the_list(season)

        assert set(counted(season).values()) == {2}

    @pytest.mark.parametrize("listed", [False, True])
    def test_is_visited_only_then(self, season: Season, listed: bool) -> None:
        season.has_learnt("lot.test", (40, 100), VALLEY)
        if listed:
            put_on_the_list(season)

        found = visiting_of(book(), season.store, season.clock).visits()

        assert [visit.number for visit in found] == ([VALLEY] if listed else [])

    @pytest.mark.parametrize("listed", [False, True])
    def test_gets_the_messages_of_a_round_only_then(self, season: Season, listed: bool) -> None:
        if listed:
            put_on_the_list(season)
        season.start()
        season.until(at(9))

        assert bool(season.days(VALLEY)) == listed
        assert season.days(ANN)

    def test_that_is_exported_and_brought_in_again_is_not_put_on_the_list_by_it(self, season: Season) -> None:
        sheet = io.BytesIO()
        export(season.store, sheet, Days(book().zone), called(book().programme), (), own_phones(book().programme))

        assert VALLEY.encode() not in sheet.getvalue()
        assert ANN.encode() in sheet.getvalue()
