"""What the operator sees: readiness and figures."""

from __future__ import annotations

from flask.testing import FlaskClient
from prometheus_client.parser import text_string_to_metric_families

from advisor.store.api import Change, Conflict, StoreUnavailable, Verdict
from advisor.store.memory import DictStore
from tests.gateway.bodies import ANN, sms, ussd
from tests.gateway.conftest import Serve


def figures(client: FlaskClient) -> dict[tuple[str, ...], float]:
    """Values by name and labels, as a scraper reads them."""
    text = client.get("/metrics").get_data(as_text=True)
    return {
        (sample.name, *(value for _, value in sorted(sample.labels.items()))): sample.value
        for family in text_string_to_metric_families(text)
        for sample in family.samples
    }


class TestHealth:
    def test_is_live_and_ready_with_a_store(self, client: FlaskClient) -> None:
        response = client.get("/health")

        body = response.get_json()
        assert (response.status_code, body["live"], body["ready"], body["demo"]) == (200, True, True, False)
        assert "keeps nothing" in body["store"]

    def test_is_live_but_not_ready_without(self, serve: Serve) -> None:
        class Away(DictStore):
            def ready(self) -> tuple[bool, str]:
                raise StoreUnavailable("away")

        response = serve(store=Away()).get("/health")

        assert (response.status_code, response.get_json()["live"], response.get_json()["ready"]) == (
            503,
            True,
            False,
        )


class TestMetrics:
    def test_count_messages_by_channel_event_and_outcome(self, client: FlaskClient) -> None:
        for body in (ussd(), ussd(), ussd(id="u2"), ussd(input="3")):
            client.post("/gateway/ussd", json=body)
        client.post("/gateway/sms", json=sms())

        found = figures(client)

        assert found["sowing_messages_total", "ussd", "answer", "moved"] == 2
        assert found["sowing_messages_total", "ussd", "answer", "repeated"] == 1
        assert found["sowing_messages_total", "ussd", "answer", "otherbody"] == 1
        assert found["sowing_messages_total", "sms", "sms", "moved"] == 1
        assert found["sowing_message_seconds_count", "ussd"] == 4

    def test_count_conflicts(self, serve: Serve) -> None:
        class Contested(DictStore):
            def commit(self, change: Change) -> Verdict:
                return Conflict()

        client = serve(store=Contested())
        client.post("/gateway/ussd", json=ussd())

        assert figures(client)[("sowing_conflicts_total",)] == 5

    def test_name_nobody(self, client: FlaskClient) -> None:
        client.post("/gateway/ussd", json=ussd(input="Zawadi"))

        text = client.get("/metrics").get_data(as_text=True)

        assert ANN[1:] not in text
        assert "Zawadi" not in text
