import pytest

from simulator.player import Cost, play, record
from simulator.reading import read
from simulator.scripts import rewritten
from simulator.wire import ServiceUnreachable, Wire
from tests.simulator.standin import LONG
from tests.simulator.test_reading import HEAD

GOOD = """
dial
| Welcome
| 1 My field
| 2 A long screen
| 3 End
> 1
| How many acres?
> 2.5
| About 2.5 acres.
|
| Thank you.
closed
inbox| Your field: 2.5 acres
inbox| Keep this.
clock +3d
sms> thanks
inbox| You wrote: thanks
"""


@pytest.fixture
def played(wire, gateway):
    def playing(text, head=HEAD, **how):
        return play(read(head + text, "s.txt"), wire, gateway, **{"patience_s": 5.0, "settle_s": 0.1} | how)

    return playing


def told(played):
    return [(difference.line, difference.what) for difference in played.differences]


class TestAgreement:
    def test_a_conversation_that_goes_as_written_has_no_difference(self, played):
        found = played(GOOD)

        assert told(found) == []
        assert found.cost == Cost(screens=3, keys=2 + 4 + 7, sms=2)

    def test_it_can_be_played_again_under_new_ids(self, played, standin):
        assert told(played(GOOD)) == told(played(GOOD)) == []
        ids = [body["id"] for _, body in standin.requests if "text" in body or "event" in body]
        assert len(set(ids)) == len(ids)

    def test_the_clock_starts_and_moves_as_written(self, played, standin):
        played(GOOD)

        clocks = [body["at"] for path, body in standin.requests if path == "/demo/clock"]
        assert clocks == ["2027-03-01T08:00:00+03:00", "2027-03-04T08:00:00+03:00"]

    def test_a_round_is_for_all_phones_of_the_script_and_time_then_passes(self, played, standin):
        head = HEAD.replace("phone: ", "phone: ann ").replace("\nlanguage", "\nphone: ben +99900599999\nlanguage")
        played("round seed_test\nclock +3d\n", head)

        asked = [(path, body) for path, body in standin.requests if path.startswith("/demo/")]
        (_, first), (path, started), (_, then) = asked
        assert (path, started["round"]) == ("/demo/round", "seed_test")
        assert started["numbers"][1:] == ["+99900599999"]
        assert ("passing" in first, then["passing"]) == (False, True)

    def test_a_dropped_line_a_hang_up_and_dialled_digits_can_be_played(self, played, standin):
        found = played("dial\n" + MENU_LINES + "redial 2*1\n| You dialled 2*1\nhang up\ndial\n" + MENU_LINES)

        assert told(found) == []
        assert [body["event"] for _, body in standin.requests[1:]] == ["begin", "begin", "cancel", "begin"]

    def test_each_phone_has_its_own_session_and_inbox(self, played):
        found = played(
            "dial\n" + MENU_LINES + "phone agent\nsms> hi\ninbox| You wrote: hi\nphone +99900500001\n"
            "> 1\n| How many acres?\n",
            head=HEAD + "phone: agent +99900500002\n",
        )

        assert told(found) == []


MENU_LINES = "| Welcome\n| 1 My field\n| 2 A long screen\n| 3 End\n"


class TestDifferences:
    def test_another_screen_is_shown_line_by_line(self, played):
        found = played("dial\n| Welcome\n| 1 Your field\n| 2 A long screen\n| 3 End\n")

        assert told(found) == [(6, "the screen after 'dial' is another")]
        assert found.differences[0].rows == (
            "    6   | Welcome",
            "    7 - | 1 Your field",
            "      + | 1 My field",
            "    8   | 2 A long screen",
            "    9   | 3 End",
        )

    def test_a_blank_too_many_is_a_difference_that_can_be_seen(self, played):
        found = played("dial\n" + MENU_LINES.replace("3 End", "3 End "))

        assert "    9 - | 3 End␣" in found.differences[0].rows

    def test_a_changed_sentence_does_not_hide_the_next_one(self, played):
        found = played("dial\n| Hello\n> 1\n| Acres?\n")

        assert [line for line, _ in told(found)] == [6, 8]

    def test_a_screen_that_nobody_wrote_is_a_difference(self, played):
        assert told(played("dial\n")) == [(5, "the screen after 'dial' is not written (record writes it)")]

    @pytest.mark.parametrize(
        ("text", "says"),
        [
            ("dial\n" + MENU_LINES + "closed\n", "the session awaits an answer after 'dial'"),
            ("dial\n" + MENU_LINES + "> 3\n| Goodbye\n> 1\n| more\n", "the session has ended after '> 3'"),
        ],
    )
    def test_a_session_that_ends_or_stays_open_otherwise_stops_the_play(self, played, text, says):
        found = played(text)

        assert len(found.differences) == 1
        assert says in found.differences[0].what

    @pytest.mark.parametrize(
        ("text", "says"),
        [
            ("> 1\n| a\n", "'> 1' cannot be done: nothing is open"),
            ("hang up\n", "nothing is open"),
            ("dial\n" + MENU_LINES + "dial\n" + MENU_LINES, "write 'hang up' before, or 'redial'"),
        ],
    )
    def test_an_act_that_cannot_be_done_stops_the_play(self, played, text, says):
        assert says in told(played(text))[0][1]

    def test_a_refusal_by_the_service_is_told_with_its_line(self, played, standin):
        standin.answers = [204, 500]

        assert told(played("dial\n| Hello\n")) == [
            (5, "'dial' cannot be done: the service refused POST /gateway/ussd with 500: unavailable: ask again")
        ]

    def test_a_message_that_does_not_come_or_is_another_is_told(self, played):
        missing = played("dial\n" + MENU_LINES + "inbox| Hello\n", patience_s=0.1)
        another = played("sms> hi\ninbox| You said: hi\n")

        assert told(missing) == [(10, "no such message arrived after 'dial'")]
        assert told(another) == [(6, "the message after 'sms> hi' is another")]

    def test_a_message_that_nobody_expects_is_told(self, played):
        found = played("sms> hi\n", settle_s=5.0)

        assert told(found) == [(5, "a message arrived that no turn expects, for +99900500001")]
        assert found.differences[0].rows == ("      + | You wrote: hi",)

    def test_what_the_gateway_refuses_is_told(self, played):
        found = played("sms> मदद\ninbox| You wrote: मदद\n", patience_s=0.3)

        assert any("alphabet is gsm7, but the text holds" in what for _, what in told(found))

    def test_a_service_that_is_gone_ends_the_play(self, gateway):
        with Wire("http://127.0.0.1:9", attempts=1) as wire, pytest.raises(ServiceUnreachable):
            play(read(HEAD + GOOD, "s.txt"), wire, gateway)


class TestLimits:
    def test_effort_within_the_limit_is_no_difference(self, played):
        assert told(played(GOOD, head=HEAD + "at most: 3 screens, 13 keys, 2 sms\n")) == []

    def test_effort_over_the_limit_is_told(self, played):
        found = played(GOOD, head=HEAD + "at most: 2 screens, 12 keys, 1 sms\n")

        assert [what for _, what in told(found)] == [
            "it took 3 screens, and may take at most 2",
            "it took 13 keys, and may take at most 12",
            "it took 2 sms, and may take at most 1",
        ]

    def test_a_screen_that_fits_no_page_is_told_even_if_it_is_as_written(self, played):
        found = played("dial\n" + MENU_LINES + f"> 2\n| {LONG}\n")

        assert told(found) == [(10, "the screen after '> 2' is 160 units long, a page holds 159")]


class TestRecording:
    BARE = "dial\n# what the field is like\n> 1\n> 2.5\nsms> thanks\n"

    def test_what_is_recorded_plays_without_a_difference(self, wire, gateway, played):
        bare = read(HEAD + self.BARE, "s.txt")
        recorded = record(bare, wire, gateway, settle_s=0.3)
        text = rewritten(HEAD + self.BARE, bare.turns, recorded.seen).removeprefix(HEAD)

        assert told(recorded) == []
        assert "# what the field is like\n> 1\n| How many acres?\n> 2.5\n| About 2.5 acres.\n" in text
        assert told(played(text)) == []

    def test_a_screen_that_fits_no_page_is_told(self, wire, gateway):
        found = record(read(HEAD + "dial\n> 2\n", "s.txt"), wire, gateway, settle_s=0.01)

        assert [line for line, _ in told(found)] == [6]

    def test_recording_ends_where_an_act_cannot_be_done(self, wire, gateway):
        found = record(read(HEAD + "dial\n> 3\n> 1\n", "s.txt"), wire, gateway, settle_s=0.01)

        assert len(found.seen) == 2
        assert [line for line, _ in told(found)] == [7]
