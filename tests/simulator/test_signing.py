"""The simulator signs and checks as the scheme's own library does; the service is not asked."""

import base64
import time
from contextlib import nullcontext
from datetime import UTC, datetime
from types import MappingProxyType

import httpx
import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st
from standardwebhooks import Webhook

from advisor.cli import commands
from simulator.cli import main
from simulator.gateway import Gateway
from simulator.house import free_port
from simulator.signing import NO_KEYS, Keys, NoKey, NotSigned, keys_for, keys_in
from simulator.wire import Wire
from tests.simulator.conftest import ANN
from tests.simulator.desk.conftest import Person
from tests.simulator.standin import StandIn
from tests.simulator.test_gateway import MESSAGE
from tests.simulator.test_player import GOOD
from tests.simulator.test_reading import HEAD

KEY = "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw"
OTHER = "whsec_" + base64.b64encode(bytes(range(32))).decode()
BOTH = {"SOWING_INBOUND_KEYS": KEY, "SOWING_OUTBOUND_KEYS": f"{OTHER} {KEY}"}


def taken(keys, headers, body, now_s):
    try:
        keys.check({name.lower(): [value] for name, value in headers.items()}, body, now_s)
    except NotSigned:
        return False
    return True


class TestWhatIsSent:
    @given(st.text().map(str.encode))
    def test_holds_for_the_library(self, body):
        headers = keys_in(BOTH).headers("POST", "/gateway/sms", body)

        Webhook(KEY).verify(body, headers, json_parse=False)

    def test_has_the_same_id_at_each_attempt_and_another_time(self):
        first, second = (keys_in(BOTH).headers("POST", "/gateway/sms", b"{}", now_s) for now_s in (1000.0, 1005.9))

        assert first["Webhook-Id"] == second["Webhook-Id"]
        assert (first["Webhook-Timestamp"], second["Webhook-Timestamp"]) == ("1000", "1005")

    def test_is_signed_on_the_wire_as_it_leaves(self):
        """The stand-in reads what came; the wire must have signed exactly these bytes."""
        heard = []
        with StandIn() as standin, Wire(standin.address, keys=keys_in(BOTH)) as wire:
            wire._client.event_hooks["request"].append(lambda request: heard.append(request))
            wire.begin("m1", "s1", ANN)
            wire.sms("m2", ANN, "soya ékari मक्का")
            wire.is_ready()

        for request in heard[:2]:
            Webhook(KEY).verify(request.content, dict(request.headers), json_parse=False)
        assert "webhook-id" not in heard[2].headers

    def test_is_not_signed_without_keys(self):
        assert NO_KEYS.headers("POST", "/", b"{}") == {}


class TestWhatComes:
    @given(st.text(), st.sampled_from([KEY, OTHER]))
    def test_is_taken_where_the_library_signed_it(self, body, key):
        now = time.time()
        moment = datetime.fromtimestamp(int(now), UTC)
        headers = {
            "webhook-id": "m",
            "webhook-timestamp": str(int(now)),
            "webhook-signature": Webhook(key).sign("m", moment, body),
        }

        assert taken(keys_in(BOTH), headers, body.encode(), now)
        assert not taken(keys_in(BOTH), headers, body.encode() + b" ", now)
        assert not taken(keys_in(BOTH), headers, body.encode(), now + 302)
        assert not taken(keys_in(BOTH), headers, body.encode(), now - 302)

    @pytest.mark.parametrize(
        "said", [{}, {"webhook-id": "a", "webhook-timestamp": "1", "webhook-signature": "v1,é"}]
    )
    def test_unsigned_is_refused_by_the_gateway_and_noted(self, said):
        with Gateway(keys=keys_in(BOTH)) as gateway:
            said = {name: value.encode() for name, value in said.items()}
            answer = httpx.post(gateway.address, json=MESSAGE, headers=said, trust_env=False)

            assert answer.status_code == 401
            assert gateway.inbox(ANN) == ()
            assert "refused a message with 401" in gateway.troubles[0]

    def test_signed_twice_in_one_header_each_is_refused(self):
        now_s = time.time()
        headers = keys_in({"SOWING_INBOUND_KEYS": OTHER}).headers("POST", "/", b"{}", now_s)
        twice = {name.lower(): [value, value] for name, value in headers.items()}

        with pytest.raises(NotSigned, match="each once"):
            keys_in(BOTH).check(twice, b"{}", now_s)


def assert_all_signed(standin):
    assert standin.came
    for headers, body in standin.came:
        Webhook(KEY).verify(body, headers, json_parse=False)


class TestWhoeverSpeaks:
    """With a key in the surroundings; the stand-in takes what comes, and signs nothing."""

    ONE_WAY = MappingProxyType({"SOWING_INBOUND_KEYS": KEY})

    @pytest.mark.parametrize("program", [main, commands], ids=["simulator", "advisor"])
    def test_the_phone_signs(self, standin, program):
        words = ["phone", "--service", standin.address]
        said = CliRunner().invoke(program, words, input="\n1\n", env=self.ONE_WAY)

        assert "How many acres?" in said.output
        assert {path for path, _ in standin.requests} == {"/gateway/ussd"}
        assert_all_signed(standin)

    def test_the_player_signs_and_so_do_its_receipts(self, tmp_path):
        port = free_port()
        file = tmp_path / "hello.txt"
        file.write_text(HEAD + GOOD, encoding="utf-8")
        with StandIn(f"http://127.0.0.1:{port}") as standin:
            words = ["play", str(file), "--service", standin.address, "--listen", str(port)]
            said = CliRunner().invoke(main, words, env=self.ONE_WAY)

        assert "as written: 1" in said.output
        assert "/gateway/receipts" in {path for path, _ in standin.requests}
        assert_all_signed(standin)

    def test_the_phone_on_the_whole_screen_signs(self, standin):
        with Gateway(keys=keys_in(self.ONE_WAY)) as gateway:
            person = Person(gateway, lambda _: nullcontext(standin.address))
            person.errands.begin()
            person.until(lambda: person.screen is not None)
            person.line.close()

        assert_all_signed(standin)


class TestKeys:
    def test_come_from_files_too(self, tmp_path):
        (tmp_path / "keys").write_text(f"{KEY}\n{OTHER}\n")

        assert keys_in({"SOWING_INBOUND_KEYS_FILE": str(tmp_path / "keys")}).sending == (
            *keys_in({"SOWING_INBOUND_KEYS": KEY}).sending,
            bytes(range(32)),
        )

    @pytest.mark.parametrize(
        "wrong",
        [
            {"SOWING_INBOUND_KEYS": "hush"},
            {"SOWING_OUTBOUND_KEYS": "whsec_hush!"},
            {"SOWING_OUTBOUND_KEYS_FILE": "missing"},
        ],
        ids=str,
    )
    def test_that_cannot_be_used_are_named_and_not_repeated(self, wrong):
        with pytest.raises(NoKey) as refused:
            keys_in(wrong)

        assert next(iter(wrong)) in str(refused.value)
        assert "hush" not in str(refused.value)

    def test_are_never_shown(self):
        assert repr(keys_in(BOTH)) == "Keys()"

    def test_are_left_alone_for_a_demonstration_that_is_started_here(self, monkeypatch):
        for name, value in BOTH.items():
            monkeypatch.setenv(name, value)

        assert keys_for(None) == NO_KEYS
        assert keys_for("http://127.0.0.1:8000") == keys_in(BOTH) != Keys()
