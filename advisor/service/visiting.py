"""An agent's lists: who needs a visit, results by village, the dealer's order. One walk over the growers each."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta, tzinfo

from advisor.agronomy.crop import Crop
from advisor.agronomy.errors import DataFault
from advisor.agronomy.programme import Agent, Programme
from advisor.campaign.bringing import Bringing
from advisor.campaign.deciding import Running
from advisor.campaign.ordering import Order, Ordering, growers_of
from advisor.campaign.quiet import Quiet
from advisor.campaign.reading import read_round
from advisor.campaign.village_results import Results
from advisor.campaign.visiting import Terms, Visit, in_order, visit_for
from advisor.service.caring import AGENT, cares_for
from advisor.service.surveying import Survey
from advisor.store.api import RoundState

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


def _silently(_buckets: int) -> None:
    """No bar."""


@dataclass(frozen=True, slots=True)
class Visiting:
    """Makes the lists.

    Args:
        survey: the walk over the growers.
        programme: rules, products and prices.
        crop: the programme's main crop.
        zone: time zone of the programme.
        quiet: when nothing of a round is sent.
        final_days: days from putting out a seed test to its final count, by village; the empty key for any other.
        spacings: places of the programme's spacings by their keys.
        slowed_by: pairs of village and factor by which its cool soil stretches a test, as rounds go by.
        late_days: days after the final count from which a count is too late.
    """

    survey: Survey
    programme: Programme
    crop: Crop
    zone: tzinfo
    quiet: Quiet
    final_days: Mapping[str, int]
    spacings: Mapping[str, int]
    slowed_by: tuple[tuple[str, float], ...] = ()
    late_days: int = 1

    def visits(
        self,
        village: str | None = None,
        progress: Callable[[int], None] = _silently,
        agent: Agent | None = None,
    ) -> tuple[Visit, ...]:
        """Who needs a visit, in the order of `in_order`.

        Args:
            village: key of the one village that is wanted, None for all.
            progress: told how many buckets are done.
            agent: whose growers are wanted, None for everybody's.
        """
        terms = self._terms()
        found = (
            visit_for(seen, terms)
            for seen in self.survey.growers(progress)
            if village is None or seen.village == village
            if agent is None or cares_for(agent, dict(seen.facts).get(AGENT), seen.village)
        )
        return in_order(visit for visit in found if visit is not None)

    def results(self, village: str | None = None, progress: Callable[[int], None] = _silently) -> Results:
        """Results of seed tests; arguments as of `visits`."""
        results = Results(self.crop)
        for seen in self.survey.growers(progress):
            if village is None or seen.village == village:
                results.add(seen)
        return results

    def order(self, village: str | None = None, progress: Callable[[int], None] = _silently) -> Order:
        """The dealer's order; arguments as of `visits`."""
        ordering = Ordering(self.programme, self.crop, self._terms().today, self.spacings)
        for seen in self.survey.growers(progress):
            if village is None or seen.village == village:
                ordering.add(seen)
        return ordering.order()

    def numbers(self, order: Order) -> dict[str, str]:
        """The numbers of the growers in an order, by their ids; one more look at each of them."""
        wanted = set(growers_of(order))
        return {seen.grower: seen.number for seen in self.survey.growers() if seen.grower in wanted}

    def _terms(self) -> Terms:
        brings = Bringing(self.programme, self.crop, self.spacings)
        now = self.survey.clock.now()
        return Terms(self.crop, self.zone, now, self.final_days, self._rounds(), self.late_days, brings)

    def _rounds(self) -> tuple[Running, ...]:
        """Rounds that were not stopped; one that cannot be read with the languages of now is left out."""
        found = []
        for row in self.survey.store.rounds():
            if row.state is RoundState.STOPPED:
                continue
            try:
                text = read_round(row.text.decode(), self.programme.languages)
            except DataFault:
                continue
            started = _EPOCH + timedelta(milliseconds=row.started_ms)
            found.append(Running(replace(text, key=row.key), started, self.quiet, self.slowed_by))
        return tuple(found)
