"""Who may speak: unsigned, forged, stale, from elsewhere, too often, malformed: each is told so and no more."""

from __future__ import annotations

import json
from datetime import timedelta
from typing import Any

import pytest
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from werkzeug.test import TestResponse

from advisor.dialogue.talk import Agree, Erase, Keep
from advisor.service.changing import UNCONSENTED_LIFE
from advisor.service.signing import TOLERANCE
from advisor.store.memory import DictStore
from tests.gateway.asking import ADDRESSES, problem_in
from tests.gateway.bodies import ANN, ussd
from tests.gateway.conftest import Serve
from tests.gateway.signed import KEY, OTHER_KEY, headers
from tests.gateway.test_health import figures
from tests.service.stage import NOW, StandingClock, says
from tests.whole.services import OPEN

SIGNED = {"SOWING_INBOUND_KEYS": KEY}
#: Limits that no test here meets by accident.
OFTEN = {"SOWING_ADDRESS_RATE": "1000000", "SOWING_GROWER_RATE": "1000000"}
AT_S = NOW.timestamp()
JSON = "application/json"
SAME_APPLICATION = settings(
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow], deadline=None
)


def encoded(body: dict[str, Any]) -> bytes:
    return json.dumps(body).encode()


def send(
    client: FlaskClient, path: str, body: bytes, said: dict[str, str], content_type: str = JSON, **options: Any
) -> TestResponse:
    return client.post(path, data=body, headers=said, content_type=content_type, **options)


@pytest.fixture
def signed(serve: Serve) -> FlaskClient:
    """A service that takes what the key signs."""
    return serve(speaking=SIGNED | OFTEN)


@pytest.fixture
def clock() -> StandingClock:
    return StandingClock()


class TestASignedMessage:
    @pytest.mark.parametrize("path", ADDRESSES)
    def test_is_taken_on_every_address(self, signed: FlaskClient, path: str) -> None:
        body = encoded(ADDRESSES[path]())

        assert send(signed, path, body, headers(body, AT_S)).status_code in (200, 202, 204)

    def test_is_taken_with_names_in_any_case_and_other_headers(self, signed: FlaskClient) -> None:
        body = encoded(ussd())
        said = {name.upper(): value for name, value in headers(body, AT_S).items()} | {"X-Trace": "1"}

        assert send(signed, "/gateway/ussd", body, said).status_code == 200

    def test_may_be_signed_by_any_of_several_keys_and_carry_more_signatures(self, serve: Serve) -> None:
        client = serve(speaking={"SOWING_INBOUND_KEYS": f"{OTHER_KEY} {KEY}"} | OFTEN)
        body = encoded(ussd())

        for keys in ((KEY,), (OTHER_KEY,), (OTHER_KEY, KEY)):
            assert send(client, "/gateway/ussd", body, headers(body, AT_S, *keys)).status_code == 200


class TestAMessageThatIsNotSignedAsAgreed:
    BODY = encoded(ussd())

    @pytest.mark.parametrize("path", ADDRESSES)
    def test_gets_401_with_a_challenge_on_every_address(self, signed: FlaskClient, path: str) -> None:
        answer = send(signed, path, encoded(ADDRESSES[path]()), {})

        assert (answer.status_code, problem_in(answer)["reason"]) == (401, "unsigned")
        assert answer.headers["WWW-Authenticate"] == "StandardWebhooks"

    @pytest.mark.parametrize(
        ("changes", "reason"),
        [
            ({"webhook-id": None}, "unsigned"),
            ({"webhook-timestamp": None}, "unsigned"),
            ({"webhook-signature": None}, "unsigned"),
            ({"webhook-signature": ""}, "unsigned"),
            ({"webhook-id": "msg_2"}, "bad_signature"),
            ({"webhook-id": "msg.1"}, "bad_signature"),
            ({"webhook-id": "é"}, "bad_signature"),
            ({"webhook-timestamp": str(int(AT_S) + 1)}, "bad_signature"),
            ({"webhook-timestamp": f"{int(AT_S)}.0"}, "bad_signature"),
            ({"webhook-timestamp": "soon"}, "bad_signature"),
            ({"webhook-timestamp": "9" * 5000}, "bad_signature"),
            ({"webhook-signature": "garbage"}, "bad_signature"),
            ({"webhook-signature": "v1,not base64!"}, "bad_signature"),
            ({"webhook-signature": "v1,"}, "bad_signature"),
            ({"webhook-signature": "v1"}, "bad_signature"),
            ({"webhook-signature": "v1,é"}, "bad_signature"),
            ({"webhook-signature": "v1,AAAA " * 900}, "bad_signature"),
        ],
        ids=str,
    )
    def test_is_told_which_header_is_at_fault(
        self, signed: FlaskClient, changes: dict[str, str | None], reason: str
    ) -> None:
        said = headers(self.BODY, AT_S) | changes
        answer = send(
            signed, "/gateway/ussd", self.BODY, {name: value for name, value in said.items() if value is not None}
        )

        document = problem_in(answer)
        assert (answer.status_code, document["reason"]) == (401, reason)
        assert document["field"] in said

    def test_is_one_that_another_key_signed(self, signed: FlaskClient) -> None:
        answer = send(signed, "/gateway/ussd", self.BODY, headers(self.BODY, AT_S, OTHER_KEY))

        assert problem_in(answer)["reason"] == "bad_signature"

    @pytest.mark.parametrize("changed", [b" " + BODY, BODY + b"\n", BODY.replace(b"2", b"3", 1), b""])
    def test_is_one_whose_body_was_changed(self, signed: FlaskClient, changed: bytes) -> None:
        answer = send(signed, "/gateway/ussd", changed, headers(self.BODY, AT_S))

        assert (answer.status_code, problem_in(answer)["reason"]) == (401, "bad_signature")

    @pytest.mark.parametrize("name", ["webhook-id", "webhook-timestamp", "webhook-signature"])
    def test_is_one_with_a_header_twice(self, signed: FlaskClient, name: str) -> None:
        """Servers join such headers with a comma, in the order in which they came."""
        said = headers(self.BODY, AT_S)
        for twice in (
            f"{said[name]},{said[name]}",
            f"{said[name]}, {said[name]}",
            f"{said[name]},x",
            f"x,{said[name]}",
        ):
            answer = send(signed, "/gateway/ussd", self.BODY, said | {name: twice})
            assert (answer.status_code, problem_in(answer)["field"]) == (401, name)

    def test_is_refused_before_anything_in_it_is_read(self, signed: FlaskClient) -> None:
        """Whatever the body is: with a signature each of these has an answer of its own."""
        bodies = (b"{", b"\xff\xfe", b"[]", encoded(ussd(at="soon")), encoded(ussd(at="2090-01-01T00:00:00Z")))
        for body in bodies:
            assert send(signed, "/gateway/ussd", body, {}).status_code == 401
            assert send(signed, "/gateway/ussd", body, headers(body, AT_S)).status_code in (400, 422)
        assert send(signed, "/gateway/ussd", self.BODY, {}, "text/plain").status_code == 401
        said = headers(self.BODY, AT_S)
        assert send(signed, "/gateway/ussd", self.BODY, said, "text/plain").status_code == 415
        assert send(signed, "/gateway/ussd", self.BODY, said | {"Content-Encoding": "gzip"}).status_code == 415

    def test_is_too_long_before_it_is_unsigned(self, signed: FlaskClient) -> None:
        assert problem_in(send(signed, "/gateway/ussd", b" " * 300_000, {}))["status"] == 413

    def test_is_counted_by_reason(self, signed: FlaskClient) -> None:
        send(signed, "/gateway/ussd", self.BODY, {})
        send(signed, "/gateway/ussd", self.BODY, headers(self.BODY, AT_S - 301))

        found = figures(signed)
        assert (found["sowing_refused_total", "unsigned"], found["sowing_refused_total", "stale"]) == (1, 1)

    def test_is_every_message_where_there_are_no_keys_and_nobody_said_open(self, serve: Serve) -> None:
        client = serve(speaking={})

        for said in ({}, headers(self.BODY, AT_S)):
            assert send(client, "/gateway/ussd", self.BODY, said).status_code == 401


class TestAMessageSentAgain:
    """What makes a repeat harmless is the id inside the body; see the decisions in DEVELOPERS.md."""

    def test_within_the_window_gets_its_first_answer_and_changes_nothing(
        self, serve: Serve, clock: StandingClock
    ) -> None:
        store = DictStore()
        client = serve(
            says("Noted.", Agree(), Keep("grower.village", "v1")),
            store=store,
            clock=clock,
            speaking=SIGNED | OFTEN,
        )
        body = encoded(ussd())
        said = headers(body, AT_S)
        first = send(client, "/gateway/ussd", body, said)
        growers = [(grower, store.value(grower), store.history(grower)) for grower in store.growers()]
        clock.wait(299)

        again = send(client, "/gateway/ussd", body, said)
        honest = send(client, "/gateway/ussd", body, headers(body, AT_S + 299))

        assert first.data == again.data == honest.data
        assert growers == [(grower, store.value(grower), store.history(grower)) for grower in store.growers()]

    @pytest.mark.parametrize(("after_s", "reason"), [(301, "stale"), (86_400, "stale"), (-301, "future")])
    def test_outside_the_window_is_refused(
        self, serve: Serve, clock: StandingClock, after_s: int, reason: str
    ) -> None:
        client = serve(clock=clock, speaking=SIGNED | OFTEN)
        body = encoded(ussd())
        said = headers(body, AT_S)
        clock.at = NOW + timedelta(seconds=after_s)

        answer = send(client, "/gateway/ussd", body, said)

        assert (answer.status_code, problem_in(answer)["reason"]) == (401, reason)

    @pytest.mark.parametrize("path", ADDRESSES)
    def test_to_another_address_is_no_message_there(self, signed: FlaskClient, path: str) -> None:
        """The scheme does not sign the address, so the shapes of the bodies must not fit each other."""
        body = encoded(ADDRESSES[path]())
        for other in ADDRESSES.keys() - {path}:
            assert send(signed, other, body, headers(body, AT_S)).status_code == 422

    def test_after_an_erase_tells_nothing_of_what_was(self, serve: Serve, clock: StandingClock) -> None:
        store = DictStore()
        speaking = SIGNED | OFTEN
        first, erase = encoded(ussd(id="u1")), encoded(ussd(id="u2"))
        talking = serve(says("Your village is Dovi.", Agree()), store=store, clock=clock, speaking=speaking)
        said = headers(first, AT_S)
        assert b"Dovi" in send(talking, "/gateway/ussd", first, said).data
        erasing = serve(says("Erased.", Erase()), store=store, clock=clock, speaking=speaking)
        send(erasing, "/gateway/ussd", erase, headers(erase, AT_S))

        again = send(talking, "/gateway/ussd", first, said)

        assert (again.status_code, again.get_json()) == (200, {"text": "", "open": False})

    def test_within_the_window_is_always_known_still(self) -> None:
        """Or a replay could begin anew: what is forgotten soonest, before consent, is kept for longer."""
        assert 2 * TOLERANCE < UNCONSENTED_LIFE


class TestWhoIsTurnedAway:
    def test_is_told_the_same_whether_the_number_is_known_erased_or_new(self, serve: Serve) -> None:
        store = DictStore()
        serve(says("Hello.", Agree()), store=store).post("/gateway/ussd", json=ussd())
        serve(says("Erased.", Erase()), store=store).post(
            "/gateway/ussd", json=ussd(id="u2", from_="+999001112244")
        )
        client = serve(store=store, speaking=SIGNED | OFTEN)

        answers = {
            send(client, "/gateway/ussd", encoded(ussd(from_=number, id=name)), {}).data
            for number in (ANN, "+999001112244", "+999009999999")
            for name in ("u1", "new")
        }

        assert len(answers) == 1

    def test_is_never_looked_up(self, serve: Serve) -> None:
        class Untouched(DictStore):
            def read(self, *_: object) -> Any:
                raise AssertionError("the store was asked")

            commit = settle = read

        client = serve(store=Untouched(), speaking=SIGNED | OFTEN)
        for path, body in ADDRESSES.items():
            assert send(client, path, encoded(body()), {}).status_code == 401

    def test_learns_no_key_and_no_signature(self, signed: FlaskClient) -> None:
        body = encoded(ussd())
        right = headers(body, AT_S)["webhook-signature"].removeprefix("v1,")

        answer = send(signed, "/gateway/ussd", body, headers(body, AT_S, OTHER_KEY))

        told = answer.get_data(as_text=True) + str(answer.headers)
        assert right not in told
        assert KEY.removeprefix("whsec_") not in told


class TestAddresses:
    def asked(self, client: FlaskClient, remote: str, path: str = "/gateway/ussd", **more: str) -> TestResponse:
        options: dict[str, Any] = {"environ_base": {"REMOTE_ADDR": remote}, "headers": more}
        return client.post(path, json=ussd(), **options) if "gateway" in path else client.get(path, **options)

    @pytest.mark.parametrize(
        ("remote", "status"),
        [
            ("192.0.2.9", 200),
            ("192.0.3.9", 403),
            ("2001:db8::1", 200),
            ("2001:db9::1", 403),
            ("::ffff:192.0.2.9", 200),
            ("", 403),
        ],
    )
    def test_of_speakers_are_those_on_the_list(self, serve: Serve, remote: str, status: int) -> None:
        client = serve(speaking=OPEN | {"SOWING_SPEAKERS": "192.0.2.0/24 2001:db8::/32"})

        assert self.asked(client, remote).status_code == status

    def test_that_are_not_on_the_list_need_no_signature_to_be_told_so(self, serve: Serve) -> None:
        client = serve(speaking=SIGNED | OFTEN | {"SOWING_SPEAKERS": "192.0.2.0/24"})

        assert problem_in(self.asked(client, "192.0.3.9"))["status"] == 403

    def test_claimed_in_a_header_are_believed_from_told_proxies_alone(self, serve: Serve) -> None:
        rules = OPEN | {"SOWING_SPEAKERS": "192.0.2.0/24", "SOWING_PROXIES": "10.0.0.0/8"}
        client = serve(speaking=rules)

        told = {"X-Forwarded-For": "192.0.2.9"}
        assert self.asked(client, "10.0.0.1", **told).status_code == 200
        assert self.asked(client, "203.0.113.9", **told).status_code == 403
        assert self.asked(client, "10.0.0.1", **{"X-Forwarded-For": "192.0.2.9, 203.0.113.9"}).status_code == 403
        assert self.asked(client, "10.0.0.1", **{"X-Forwarded-For": "203.0.113.9, 192.0.2.9"}).status_code == 200
        answer = self.asked(client, "10.0.0.1", **{"X-Forwarded-For": "unknown"})
        assert (answer.status_code, problem_in(answer)["field"]) == (400, "x-forwarded-for")

    @pytest.mark.parametrize("path", ["/health", "/metrics"])
    def test_of_watchers_are_this_machine_unless_told_otherwise(self, serve: Serve, path: str) -> None:
        usual, told = serve(speaking=OPEN), serve(speaking=OPEN | {"SOWING_WATCHERS": "198.51.100.0/24"})

        remotes = ("127.0.0.1", "127.8.8.8", "::1", "198.51.100.7", "192.0.2.1")
        assert [self.asked(usual, remote, path).status_code for remote in remotes] == [200, 200, 200, 403, 403]
        assert [self.asked(told, remote, path).status_code for remote in remotes] == [403, 403, 403, 200, 403]

    @pytest.mark.parametrize("header", ["X-Forwarded-For", "Forwarded", "Via", "X-Real-IP"])
    def test_of_watchers_are_nobody_s_behind_a_proxy_that_was_not_told_of(self, serve: Serve, header: str) -> None:
        """All the world would have its address, which is most likely this machine's."""
        client = serve(speaking=OPEN)

        assert self.asked(client, "127.0.0.1", "/health", **{header: "127.0.0.1"}).status_code == 403

    def test_may_all_read_the_description(self, serve: Serve) -> None:
        client = serve(speaking=SIGNED | {"SOWING_SPEAKERS": "192.0.2.0/24"})

        assert self.asked(client, "203.0.113.9", "/openapi.json").status_code == 200


#: What a header can hold once a server has read it: letters of latin-1, no line ends.
VALUES = st.text(st.characters(codec="latin-1", exclude_categories=["Cc"]), max_size=60)
NAMES = st.sampled_from(
    [
        *("Webhook-Id", "Webhook-Timestamp", "Webhook-Signature", "Content-Type", "Content-Encoding"),
        *("X-Forwarded-For", "Forwarded", "Accept", "Accept-Language", "Authorization", "Expect", "Range", "Host"),
        *("If-None-Match", "If-Modified-Since", "Cookie", "Date", "Upgrade", "Connection", "Transfer-Encoding"),
    ]
)


class TestWhateverHeadersCome:
    @SAME_APPLICATION
    @given(
        path=st.sampled_from([*ADDRESSES, "/health", "/metrics", "/nowhere"]),
        said=st.dictionaries(NAMES, VALUES),
        is_signed=st.booleans(),
        body=st.binary(max_size=40) | st.just(encoded(ussd())),
    )
    def test_the_answer_is_never_a_fault_and_nothing_unsigned_is_taken(
        self, signed: FlaskClient, path: str, said: dict[str, str], is_signed: bool, body: bytes
    ) -> None:
        usual = headers(body, AT_S) if is_signed else {}

        answer = signed.post(path, data=body, headers={"Content-Type": JSON} | usual | said)

        assert answer.status_code < 500
        if answer.status_code >= 400:
            problem_in(answer)
        if path in ADDRESSES and not is_signed:
            assert answer.status_code >= 400

    @SAME_APPLICATION
    @given(said=VALUES, behind=st.booleans())
    def test_a_forwarded_address_is_never_a_fault(self, serve: Serve, said: str, behind: bool) -> None:
        client = serve(speaking=OPEN | ({"SOWING_PROXIES": "127.0.0.1"} if behind else {}))

        answer = client.get("/openapi.json", headers={"X-Forwarded-For": said})

        assert answer.status_code == 200 or (behind and problem_in(answer)["reason"] == "forwarding")
