"""For authors: the clock that can be moved and the look into a session, under ``--demo`` only."""

from __future__ import annotations

from datetime import timedelta
from urllib.parse import quote

import pytest
from flask.testing import FlaskClient

from advisor.dialogue.talk import Agree, Keep, Send, Spot
from advisor.loading import load_book
from tests.gateway.bodies import ANN, AT, ussd
from tests.gateway.conftest import Serve
from tests.service.stage import NOW, says, session


def look(client: FlaskClient, number: str = ANN) -> dict[str, object]:
    return client.get(f"/demo/session?from={quote(number)}").get_json()


@pytest.mark.parametrize("path", ["/demo/clock", "/demo/round", "/demo/session", "/demo/book"])
@pytest.mark.parametrize("method", ["get", "post"])
def test_without_demo_there_is_nothing(client: FlaskClient, path: str, method: str) -> None:
    assert client.open(path, method=method, json={"at": AT}).status_code == 404


def test_the_clock_is_moved_and_the_session_lapses(serve: Serve) -> None:
    seen = []
    client = serve(lambda held, *rest: seen.append(held) or says("Area?", to=session())(held, *rest), demo=True)
    client.post("/gateway/ussd", json=ussd())

    moved = client.post("/demo/clock", json={"at": "2027-03-01T12:00:00+03:00"})
    client.post("/gateway/ussd", json=ussd(id="u2", at="2027-03-01T11:59:00+03:00"))

    assert (moved.status_code, moved.get_json()) == (200, {"at": "2027-03-01T09:00:00Z"})
    assert seen == [None, None]


@pytest.mark.parametrize("at", [None, "soon", "2027-03-01T12:00:00", "1999-12-31T00:00:00Z", "2200-01-01T00:00Z"])
def test_the_clock_is_not_moved_to_nowhere(serve: Serve, at: str | None) -> None:
    response = serve(demo=True).post("/demo/clock", json={"at": at})

    assert (response.status_code, response.get_json()["field"]) == (422, "at")


@pytest.mark.parametrize(
    ("body", "field"),
    [
        ({"round": "seed_test", "numbers": []}, "numbers"),
        ({"round": "seed_test", "numbers": ["12"]}, "numbers"),
        ({"round": "seed_test", "numbers": [ANN] * 21}, "numbers"),
        ({"round": "../seed_test", "numbers": [ANN]}, "round"),
        ({"round": "nothing_like_it", "numbers": [ANN]}, "round"),
        ({"round": "seed_test"}, "numbers"),
    ],
)
def test_a_round_is_tried_by_its_name_for_some_numbers(serve: Serve, body: dict[str, object], field: str) -> None:
    response = serve(demo=True).post("/demo/round", json=body)

    assert (response.status_code, response.get_json()["field"]) == (422, field)


def test_a_round_is_not_tried_where_nobody_hands_over(serve: Serve) -> None:
    response = serve(demo=True).post("/demo/round", json={"round": "seed_test", "numbers": [ANN]})

    assert response.status_code == 422
    assert "start the demonstration with --gateway" in response.get_json()["detail"]


def test_an_author_sees_session_facts_and_effects(serve: Serve) -> None:
    step = says(
        "Area?",
        Agree(),
        Keep("plot.area", 4000.0),
        Send("buy_list.list", ("Buy 18 kg",)),
        to=session(
            "area", answers=(("purse", 900),), notice="help", trail=((Spot("welcome", "menu"),), (Spot("a", "b"),))
        ),
    )
    client = serve(step, demo=True)
    client.post("/gateway/ussd", json=ussd())

    seen = look(client)

    assert seen["session"] == {
        "spots": ["buy_list.area"],
        "screen": "buy_list.area",
        "answers": {"purse": 900},
        "language": "en",
        "place": "ussd:s1",
        "until": (NOW + timedelta(hours=1)).isoformat().replace("+00:00", "Z"),
        "page": 0,
        "notice": "help",
        "trail": 2,
    }
    assert (seen["agreed"], seen["stopped"]) == (AT, None)
    assert seen["effects"] == [
        {"kind": "Agree"},
        {"kind": "Keep", "name": "plot.area", "value": 4000.0},
        {"kind": "Send", "name": "buy_list.list", "pages": ["Buy 18 kg"]},
    ]
    assert (seen["book"], seen["now"]) == ("book-1", AT)


class TestAFact:
    """The shipped flows say how long a fact holds: a field's size for 300 days, a village for ever."""

    def seen(self, serve: Serve, name: str, value: object, at: str = AT) -> dict[str, object]:
        client = serve(says("", Agree(), Keep(name, value), to=session()), demo=True)
        client.post("/gateway/ussd", json=ussd())
        client.post("/demo/clock", json={"at": at})
        return look(client)["facts"][name]

    def test_that_holds_is_fresh_and_says_until_when(self, serve: Serve) -> None:
        assert self.seen(serve, "plot.area", 4000.0) == {
            "value": 4000.0,
            "learnt": AT,
            "fresh": True,
            "until": "2027-12-26T07:30:00Z",
        }

    def test_that_lapsed_is_stale(self, serve: Serve) -> None:
        assert self.seen(serve, "plot.area", 4000.0, "2027-12-26T07:30:01Z")["fresh"] is False

    def test_that_holds_for_ever_has_no_end(self, serve: Serve) -> None:
        found = self.seen(serve, "grower.village", "v1", "2099-01-01T00:00:00Z")

        assert (found["fresh"], found["until"]) == (True, None)

    def test_that_the_programme_no_longer_allows_is_stale(self, serve: Serve) -> None:
        assert self.seen(serve, "grower.village", "v99")["fresh"] is False

    def test_that_no_flow_keeps_any_more_is_stale(self, serve: Serve) -> None:
        found = self.seen(serve, "plot.slope", 3, "2027-03-01T07:30:01Z")

        assert (found["fresh"], found["until"]) == (False, None)


def test_the_book_in_use_is_told(serve: Serve) -> None:
    book = load_book()

    assert serve(demo=True).get("/demo/book").get_json() == {
        "fingerprint": book.fingerprint,
        "loaded_at": AT,
        "programme": "ulami",
        "languages": list(book.programme.languages),
        "flows": sorted(book.flows),
        "warnings": [],
        "faults": [],
    }


def test_of_a_stranger_there_is_nothing_to_see(serve: Serve) -> None:
    assert look(serve(demo=True)) == {
        "now": AT,
        "session": None,
        "facts": {},
        "agreed": None,
        "stopped": None,
        "effects": [],
        "book": None,
    }


def test_a_plus_sign_that_nobody_escaped_is_understood(serve: Serve) -> None:
    client = serve(says("Area?", to=session()), demo=True)
    client.post("/gateway/ussd", json=ussd())

    assert client.get(f"/demo/session?from={ANN}").get_json()["session"] is not None


@pytest.mark.parametrize("query", ["", "?from=", "?from=Zawadi", "?from=%2B999001112233%0A"])
def test_whose_session_must_be_said(serve: Serve, query: str) -> None:
    response = serve(demo=True).get(f"/demo/session{query}")

    assert (response.status_code, response.get_json()["field"]) == (422, "from")
