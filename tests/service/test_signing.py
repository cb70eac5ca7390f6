"""Signatures: as the scheme publishes them, as its own library makes and checks them, and nothing else holds.

Sources: Standard Webhooks 1.0.0; the vectors stand in that project's own tests (libraries/javascript, "sign
function works" and "multi sig payload is valid"). The library is that project's for Python: it plays the gateway.
"""

from __future__ import annotations

import base64
import time
import traceback
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from standardwebhooks import Webhook, WebhookVerificationError

from advisor.service.signing import TOLERANCE, BadKey, Given, Keys, Unsigned
from tests.gateway.signed import KEY, OTHER_KEY

ID = "msg_p5jXN8AQM9LWM0D4loKWxJek"
AT = datetime.fromtimestamp(1614265330, UTC)
BODY = b'{"test": 2432232314}'
SIGNATURE = "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE="
ANOTHER = "v1,Ceo5qEr07ixe2NLpvHk3FH9bwy/WavXrAFQ/9tdO6mc="

SECRETS = st.binary(min_size=24, max_size=64).map(lambda raw: "whsec_" + base64.b64encode(raw).decode())
#: What the scheme says of ids: anything without a full stop; and a header holds no control characters.
IDS = st.from_regex(r"[A-Za-z0-9_\-:/+=]{1,64}", fullmatch=True)


def given_by(headers: dict[str, str]) -> Given:
    return Given(headers["webhook-id"], headers["webhook-timestamp"], headers["webhook-signature"])


def holds(keys: Keys, given: Given, body: bytes, now: datetime) -> bool:
    try:
        keys.check(given, body, now)
    except Unsigned:
        return False
    return True


class TestThePublishedVector:
    def test_is_what_we_sign(self) -> None:
        assert Keys.read(KEY).headers(ID, AT, BODY) == {
            "webhook-id": ID,
            "webhook-timestamp": "1614265330",
            "webhook-signature": SIGNATURE,
        }

    def test_holds(self) -> None:
        Keys.read(KEY).check(Given(ID, "1614265330", SIGNATURE), BODY, AT)

    def test_of_several_signatures_of_which_one_is_of_another_version_holds(self) -> None:
        several = " ".join((ANOTHER, ANOTHER.replace("v1", "v2"), SIGNATURE, ANOTHER))

        Keys.read(KEY).check(Given(ID, "1614265330", several), BODY, AT)

    def test_does_not_hold_under_another_version(self) -> None:
        for version in ("v1a", "v2", "V1", "v11"):
            assert not holds(Keys.read(KEY), Given(ID, "1614265330", SIGNATURE.replace("v1", version)), BODY, AT)


class TestTheSchemesOwnLibrary:
    @given(secret=SECRETS, message_id=IDS, body=st.text().map(str.encode))
    def test_takes_what_we_sign(self, secret: str, message_id: str, body: bytes) -> None:
        headers = Keys.read(secret).headers(message_id, datetime.now(UTC), body)

        Webhook(secret).verify(body, headers, json_parse=False)

    @given(secret=SECRETS, message_id=IDS, body=st.text())
    def test_signs_what_we_take(self, secret: str, message_id: str, body: str) -> None:
        now = datetime.now(UTC)
        seconds = str(int(now.timestamp()))
        signature = Webhook(secret).sign(message_id, now, body)

        Keys.read(secret).check(Given(message_id, seconds, signature), body.encode(), now)

    @given(shift_s=st.integers(-400, 400).filter(lambda shift_s: abs(abs(shift_s) - 300) > 3))
    def test_has_the_same_window(self, shift_s: int) -> None:
        """Within three seconds of its edge the two clocks of this test might differ."""
        headers = Keys.read(KEY).headers(ID, datetime.now(UTC) + timedelta(seconds=shift_s), BODY)
        try:
            Webhook(KEY).verify(BODY, headers, json_parse=False)
            theirs = True
        except WebhookVerificationError:
            theirs = False

        assert holds(Keys.read(KEY), given_by(headers), BODY, datetime.now(UTC)) == theirs


class TestWhatDoesNotHold:
    @given(place=st.integers(0, len(BODY) - 1), bit=st.integers(0, 7))
    def test_is_a_body_with_one_bit_changed(self, place: int, bit: int) -> None:
        changed = bytearray(BODY)
        changed[place] ^= 1 << bit

        assert not holds(Keys.read(KEY), Given(ID, "1614265330", SIGNATURE), bytes(changed), AT)

    @given(place=st.integers(3, len(SIGNATURE) - 1), letter=st.sampled_from("ABCxyz019+/="))
    def test_is_a_signature_with_one_letter_changed(self, place: int, letter: str) -> None:
        changed = SIGNATURE[:place] + letter + SIGNATURE[place + 1 :]

        assert holds(Keys.read(KEY), Given(ID, "1614265330", changed), BODY, AT) == (changed == SIGNATURE)

    @pytest.mark.parametrize(
        "seconds", ["1614265331", "01614265330", "1614265330.0", "+1614265330", "١٦١٤٢٦٥٣٣٠", "1e9"]
    )
    def test_is_another_time_or_another_spelling_of_it(self, seconds: str) -> None:
        assert not holds(Keys.read(KEY), Given(ID, seconds, SIGNATURE), BODY, AT)

    def test_is_what_was_cut_elsewhere(self) -> None:
        """``id.time.body`` read with another border must not pass: no id holds a full stop."""
        inner = b"1614265330." + BODY
        headers = Keys.read(KEY).headers("msg", AT, inner)

        assert not holds(
            Keys.read(KEY), Given("msg.1614265330", "1614265330", headers["webhook-signature"]), BODY, AT
        )

    @pytest.mark.parametrize("ahead", [TOLERANCE, -TOLERANCE])
    def test_is_what_is_out_of_the_window(self, ahead: timedelta) -> None:
        second = timedelta(seconds=1) if ahead > timedelta(0) else -timedelta(seconds=1)
        keys, given_now = Keys.read(KEY), Given(ID, "1614265330", SIGNATURE)

        assert holds(keys, given_now, BODY, AT + ahead)
        with pytest.raises(Unsigned) as refused:
            keys.check(given_now, BODY, AT + ahead + second)
        assert refused.value.reason == ("stale" if ahead > timedelta(0) else "future")

    @pytest.mark.parametrize(
        "given_none", [Given(None, "1", "v1,x"), Given(ID, None, "v1,x"), Given(ID, "1", None)]
    )
    def test_is_what_lacks_a_header(self, given_none: Given) -> None:
        with pytest.raises(Unsigned) as refused:
            Keys.read(KEY).check(given_none, BODY, AT)
        assert refused.value.reason == "unsigned"

    def test_is_anything_without_keys(self) -> None:
        assert not holds(Keys(), Given(ID, "1614265330", SIGNATURE), BODY, AT)

    @given(
        message_id=st.text(),
        seconds=st.text() | st.just("1614265330"),
        signatures=st.text() | st.text().map("v1,{}".format),
    )
    def test_is_whatever_somebody_makes_up_and_it_is_never_a_fault(
        self, message_id: str, seconds: str, signatures: str
    ) -> None:
        assert not holds(Keys.read(KEY), Given(message_id, seconds, signatures), BODY, AT)


class TestAChangeOfKeys:
    """The old and the new one stand side by side for a while, first where signatures are checked."""

    def test_leaves_no_moment_at_which_nothing_holds(self) -> None:
        old, new, both = Keys.read(KEY), Keys.read(OTHER_KEY), Keys.read(f"{KEY}\n{OTHER_KEY}")

        for signs, checks in ((old, old), (old, both), (both, both), (both, new), (new, new)):
            signs_now = given_by(signs.headers(ID, AT, BODY))
            checks.check(signs_now, BODY, AT)

    def test_signs_once_with_each_key(self) -> None:
        given_both = given_by(Keys.read(f"{KEY} {OTHER_KEY}").headers(ID, AT, BODY))

        assert given_both.signatures is not None
        assert len(given_both.signatures.split(" ")) == 2
        for key in (KEY, OTHER_KEY):
            assert Webhook(key).sign(ID, AT, BODY.decode()) in given_both.signatures

    def test_takes_no_key_that_was_taken_away(self) -> None:
        given_old = given_by(Keys.read(KEY).headers(ID, AT, BODY))

        assert not holds(Keys.read(OTHER_KEY), given_old, BODY, AT)


class TestAKey:
    @pytest.mark.parametrize("length", [24, 32, 64])
    def test_may_have_24_to_64_bytes(self, length: int) -> None:
        assert len(Keys.read("whsec_" + base64.b64encode(bytes(length)).decode()).secrets[0]) == length

    @pytest.mark.parametrize(
        ("key", "said"),
        [
            ("secretsecretsecretsecretsecretse", "does not begin with whsec_"),
            ("whsec_", "has 0 bytes"),
            ("whsec_" + base64.b64encode(b"secret" * 3).decode(), "has 18 bytes"),
            ("whsec_" + base64.b64encode(b"secret" * 11).decode(), "has 66 bytes"),
            ("whsec_c2VjcmV0c2VjcmV0*c2VjcmV0c2VjcmV0", "is no Base64"),
            ("whsec_c2VjcmV0c2VjcmV0é", "is no Base64"),
            (f"{KEY} {KEY}", "is there twice"),
            (
                " ".join("whsec_" + base64.b64encode(bytes([n] * 24)).decode() for n in range(9)),
                "there are 9 keys",
            ),
        ],
        ids=range(8),
    )
    def test_that_is_none_is_refused_and_not_repeated(self, key: str, said: str) -> None:
        with pytest.raises(BadKey, match=said) as refused:
            Keys.read(key)

        told = "".join(traceback.format_exception(refused.value))
        assert "ecret" not in str(refused.value)
        assert "c2VjcmV0" not in str(refused.value)
        assert "binascii" not in told

    def test_is_never_shown(self) -> None:
        keys = Keys.read(f"{KEY} {OTHER_KEY}")

        shown = f"{keys!r} {keys} {(keys,)}"
        for key in (KEY, OTHER_KEY):
            assert key.removeprefix("whsec_")[:8] not in shown
            assert repr(base64.b64decode(key.removeprefix("whsec_")))[2:10] not in shown

    def test_signs_no_id_with_a_full_stop(self) -> None:
        with pytest.raises(ValueError, match="full stop"):
            Keys.read(KEY).headers("a.b", AT, BODY)


def test_without_keys_nothing_is_signed() -> None:
    assert Keys().headers(ID, AT, BODY) == {}


def test_the_time_is_that_of_the_attempt_whatever_the_zone() -> None:
    """A trap of some libraries: a moment of another zone is signed as if it were UTC."""
    moment = datetime.fromtimestamp(time.time(), UTC)
    elsewhere = moment.astimezone(datetime.fromisoformat("2027-03-01T00:00:00+05:30").tzinfo)

    assert Keys.read(KEY).headers(ID, elsewhere, BODY) == Keys.read(KEY).headers(ID, moment, BODY)
