"""What the operator sees: readiness and figures."""

from __future__ import annotations

import pytest
from flask.testing import FlaskClient
from prometheus_client.parser import text_string_to_metric_families

from advisor.dialogue.talk import Send
from advisor.store.api import (
    Backlog,
    Change,
    Conflict,
    Reading,
    StoreDamaged,
    StoreRefused,
    StoreUnavailable,
    Verdict,
)
from advisor.store.memory import DictStore
from tests.gateway.bodies import ANN, sms, ussd
from tests.gateway.conftest import Serve
from tests.service.stage import breaks, says


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

    @pytest.mark.parametrize(
        ("error", "said"),
        [
            (
                StoreUnavailable("the store does not answer (Error 111 connecting to 10.0.0.7:6379)"),
                "does not answer",
            ),
            (StoreRefused("NOAUTH Authentication required"), "give the right user, password"),
        ],
    )
    def test_says_what_is_wrong_but_not_where_the_store_is(
        self, serve: Serve, error: StoreUnavailable, said: str
    ) -> None:
        class Away(DictStore):
            def ready(self) -> tuple[bool, str]:
                raise error

        response = serve(store=Away()).get("/health")

        assert said in response.get_json()["store"]
        assert "10.0.0.7" not in response.get_data(as_text=True)
        assert response.headers["Retry-After"] == "1"

    def test_names_damaged_keys_and_stays_ready_while_messages_can_be_served(self, serve: Serve) -> None:
        client = serve(store=Damaged())
        client.post("/gateway/ussd", json=ussd())

        response = client.get("/health")

        assert (response.status_code, response.get_json()["damaged"]) == (200, ["{b07}:g:1"])

    def test_is_not_ready_where_the_store_s_own_description_is_damaged(
        self, serve: Serve, caplog: pytest.LogCaptureFixture
    ) -> None:
        class Spoilt(DictStore):
            def ready(self) -> tuple[bool, str]:
                raise StoreDamaged("advisor:store")

        response = serve(store=Spoilt()).get("/health")

        assert (response.status_code, response.get_json()["ready"]) == (503, False)
        assert "event=damaged key=advisor:store" in caplog.messages


class Damaged(DictStore):
    """A store in which every grower's value is damaged."""

    def read(self, number_hash: str, message: str) -> Reading:
        raise StoreDamaged("{b07}:g:1")


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

        assert figures(client)[("sowing_conflicts_total",)] > 5

    def test_count_damaged_keys(self, serve: Serve) -> None:
        client = serve(store=Damaged())
        for _ in range(2):
            client.post("/gateway/ussd", json=ussd())

        assert figures(client)[("sowing_store_damaged_total",)] == 2

    def test_show_what_waits_in_the_store(self, serve: Serve) -> None:
        store = DictStore()
        client = serve(breaks, store=store)
        for _ in range(3):
            client.post("/gateway/sms", json=sms())
        serve(says("Page 1", Send("list", ("page 2",))), store=store).post("/gateway/sms", json=sms(id="t2"))

        found = figures(client)

        # of pages that leave a millisecond apart, the first of each message is due
        assert found[("sowing_outbox_due",)] == 2
        assert found[("sowing_relays_waiting",)] == 0
        assert found[("sowing_parked",)] == 1
        assert found[("sowing_store_up",)] == 1

    def test_are_there_though_the_store_is_away(self, serve: Serve) -> None:
        class Away(DictStore):
            def backlog(self, now_ms: int) -> Backlog:
                raise StoreUnavailable("away")

        client = serve(store=Away())
        client.post("/gateway/ussd", json=ussd())

        found = figures(client)

        assert found[("sowing_store_up",)] == 0
        assert found["sowing_messages_total", "ussd", "answer", "moved"] == 1
        assert not [name for name, *_ in found if name.startswith(("sowing_outbox", "sowing_parked"))]

    def test_name_nobody(self, client: FlaskClient) -> None:
        client.post("/gateway/ussd", json=ussd(input="Zawadi"))

        text = client.get("/metrics").get_data(as_text=True)

        assert ANN[1:] not in text
        assert "Zawadi" not in text
