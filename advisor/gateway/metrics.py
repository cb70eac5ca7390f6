"""Figures for the operator's monitoring, in the Prometheus text format; none of them names a person."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from prometheus_client import CONTENT_TYPE_LATEST, CollectorRegistry, Counter, Histogram, generate_latest
from prometheus_client.core import GaugeMetricFamily
from prometheus_client.multiprocess import MultiProcessCollector
from prometheus_client.registry import Collector

from advisor.store.api import Backlog

SECONDS = (0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0)


class Metrics:
    """Counts what happens in this process.

    Args:
        folder: where several workers put their figures, empty when there is only this one.
    """

    def __init__(self, folder: str = "") -> None:
        self._folder = folder
        self._registry = CollectorRegistry()
        self._messages = Counter(
            "sowing_messages",
            "Inbound messages answered.",
            ("channel", "event", "outcome"),
            registry=self._registry,
        )
        self._seconds = Histogram(
            "sowing_message_seconds",
            "Seconds from an inbound message to its answer.",
            ("channel",),
            buckets=SECONDS,
            registry=self._registry,
        )
        self._conflicts = Counter("sowing_conflicts", "Commits that met a newer version.", registry=self._registry)
        self._handed_over = Counter(
            "sowing_handed_over",
            "Outgoing messages by result.",
            ("result",),
            registry=self._registry,
        )
        self._refused = Counter(
            "sowing_refused", "Requests turned away at the door, by reason.", ("reason",), registry=self._registry
        )

        # looked up by their labels once, not for every message
        self._messages_of, self._seconds_of = cache(self._messages.labels), cache(self._seconds.labels)
        self._damaged = Counter(
            "sowing_store_damaged", "Meetings with damaged keys of the store.", registry=self._registry
        )

    def message(self, channel: str, event: str, outcome: str, seconds: float) -> None:
        """One inbound message was answered."""
        self._messages_of(channel, event, outcome).inc()
        self._seconds_of(channel).observe(seconds)

    def conflict(self) -> None:
        """A commit met a newer version and the message is read again."""
        self._conflicts.inc()

    def handed_over(self, result: str) -> None:
        """One outgoing message was offered to the gateway, or given up."""
        self._handed_over.labels(result).inc()

    def refused(self, reason: str) -> None:
        """A request was turned away before anybody looked at what it says."""
        self._refused.labels(reason).inc()

    def damaged(self) -> None:
        """A key of the store was met that holds what the store never wrote."""
        self._damaged.inc()

    def exposition(self, backlog: Backlog | None) -> tuple[bytes, str]:
        """The figures as text, of all workers together, and their media type.

        Args:
            backlog: what waits in the store, None when the store does not say.
        """
        registry = self._registry
        if self._folder:
            registry = CollectorRegistry()
            MultiProcessCollector(registry, path=self._folder)  # type: ignore[no-untyped-call]
        stored = CollectorRegistry()
        stored.register(_Stored(backlog))
        return generate_latest(registry) + generate_latest(stored), CONTENT_TYPE_LATEST


@dataclass(frozen=True, slots=True)
class _Stored(Collector):
    """What the store says, the same whichever worker asks it; so it is no figure of a process."""

    backlog: Backlog | None

    def collect(self) -> Iterator[GaugeMetricFamily]:
        yield GaugeMetricFamily("sowing_store_up", "Whether the store answers.", int(self.backlog is not None))
        if self.backlog is None:
            return
        yield GaugeMetricFamily(
            "sowing_outbox_due", "Outgoing messages that are due and not handed over.", self.backlog.outbox
        )
        yield GaugeMetricFamily("sowing_relays_waiting", "Changes on their way to others.", self.backlog.relays)
        yield GaugeMetricFamily("sowing_parked", "Messages on the operator's list.", self.backlog.parked)
        yield GaugeMetricFamily(
            "sowing_aside", "Outgoing messages given up, or that may have arrived.", self.backlog.aside
        )
