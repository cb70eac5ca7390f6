"""The wiring: settings in, an application out, with nothing left over from another one."""

from __future__ import annotations

import threading
from datetime import UTC, datetime, timedelta

import httpx
import pytest

from advisor.app import EXTENSION, Parts, create_app, keeps_of, start_rounds, store_at
from advisor.by_book import dialogues_of
from advisor.loading import load_book
from advisor.service.clock import ShiftedClock, SystemClock
from advisor.settings import Settings
from advisor.store.api import StoreMismatch
from advisor.store.embedded import EmbeddedStore
from advisor.store.memory import DictStore
from advisor.store.names import bucket_of
from tests.gateway.bodies import ANN, sms, ussd
from tests.service.stage import StandingClock, dialogues, echo

DEMO = Settings.from_env({}, demo=True)
REAL = Settings.from_env({"SOWING_ID_SECRET": "a secret of the tests, long enough", "SOWING_OPEN": "yes"})


def test_two_applications_share_nothing() -> None:
    first, second = (create_app(DEMO, dialogues=dialogues(echo)) for _ in range(2))
    first.test_client().post("/gateway/ussd", json=ussd(at=datetime.now(UTC).isoformat()))

    seen = second.test_client().get("/demo/session", query_string={"from": ANN}).get_json()

    assert seen["session"] is None


def test_without_an_address_the_store_is_the_embedded_one() -> None:
    assert isinstance(store_at(REAL), EmbeddedStore)


@pytest.mark.parametrize(("settings", "clock"), [(DEMO, ShiftedClock), (REAL, SystemClock)])
def test_only_a_demonstration_has_a_clock_that_moves(settings: Settings, clock: type) -> None:
    parts: Parts = create_app(settings, dialogues=dialogues(echo)).extensions[EXTENSION]

    assert isinstance(parts.clock, clock)


def test_a_store_of_another_secret_is_refused_at_the_start() -> None:
    class Other(DictStore):
        def open(self) -> None:
            raise StoreMismatch("made with another secret")

    with pytest.raises(StoreMismatch):
        create_app(REAL, store=Other(), dialogues=dialogues(echo))


def test_without_a_gateway_rounds_hand_nothing_over() -> None:
    parts: Parts = create_app(REAL, dialogues=dialogues(echo)).extensions[EXTENSION]

    assert parts.rounds.sender is None


def test_a_made_up_number_never_leaves_for_a_gateway_that_is_not_on_this_machine(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    posted: list[object] = []
    monkeypatch.setattr(httpx.Client, "post", lambda *told, **_: posted.append(told))
    real = Settings.from_env(
        {
            "SOWING_ID_SECRET": "a secret of the tests, long enough",
            "SOWING_OPEN": "yes",
            "SOWING_GATEWAY": "https://gateway.example/sms",
            "SOWING_SENDER": "2500",
        }
    )
    app = create_app(real, store=DictStore(), dialogues=dialogues(echo))
    client = app.test_client()
    client.post("/gateway/sms", json=sms(at=datetime.now(UTC).isoformat()))
    parts: Parts = app.extensions[EXTENSION]

    assert parts.rounds.go_over() == 1
    assert posted == []
    assert 'sowing_handed_over_total{result="refused"} 1.0' in client.get("/metrics").get_data(as_text=True)


def test_rounds_run_beside_the_application_until_stopped() -> None:
    class Watched(DictStore):
        looked = threading.Event()

        def busy(self, now_ms: int):
            self.looked.set()
            return super().busy(now_ms)

    app = create_app(REAL, store=Watched(), clock=StandingClock(), dialogues=dialogues(echo))

    stopping = start_rounds(app)

    assert Watched.looked.wait(10)
    stopping.set()


def test_the_demonstration_answers_a_first_call() -> None:
    """Everything together: the shipped flows, catalogs and figures over the embedded store."""
    client = create_app(DEMO).test_client()
    now = datetime.now(UTC).isoformat()

    answer = client.post("/gateway/ussd", json=ussd(event="begin", input="", at=now)).get_json()

    assert answer["open"] is True
    assert "1 English" in answer["text"]


def test_a_book_brings_its_own_language_bands_and_last_word() -> None:
    book = load_book()

    found = dialogues_of(book)

    assert (found.language, found.fingerprint) == (book.default_language, book.fingerprint)
    assert 0 < found.bands.poor_under_percent <= found.bands.good_over_percent < 100
    assert found.try_later("xx") == found.try_later(found.language) != ""


def test_history_is_kept_for_the_retention_of_the_programme() -> None:
    book = load_book()

    dialogues = dialogues_of(book)

    assert dialogues.retention == timedelta(days=book.programme.retention_days)
    assert keeps_of(REAL, dialogues.retention).history_ms == book.programme.retention_days * 86_400_000


def test_ids_put_a_grower_into_one_of_the_buckets() -> None:
    parts: Parts = create_app(REAL, dialogues=dialogues(echo)).extensions[EXTENSION]

    assert 0 <= bucket_of(parts.ids.number(ANN)) < 256
