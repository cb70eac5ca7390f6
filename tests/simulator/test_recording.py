import pytest
from hypothesis import given
from hypothesis import strategies as st

from simulator.clock import moment
from simulator.reading import read
from simulator.recording import FileThere, Recording, keep
from simulator.scripts import Seen
from tests.simulator.conftest import ANN

BEN = "+99900500002"
BEGUN = moment("2027-03-01T08:00+03:00")


def turns(recording):
    script = read(recording.script(), "new.txt")
    return [
        (turn.written, [[line.text for line in message] for message in turn.messages]) for turn in script.turns
    ]


class TestActs:
    def test_what_was_done_reads_as_a_script(self):
        script = read(Recording(BEGUN, ANN, "sw").acting(ANN, "dial", Seen("Hello", True)).script(), "new.txt")

        assert script.phones == ((ANN, ANN),)
        assert script.language == "sw"
        assert script.clock == BEGUN
        assert [line.text for line in script.turns[0].screen] == ["Hello"]

    def test_another_phone_is_taken_up_and_the_first_again(self):
        recording = Recording(BEGUN, ANN).acting(ANN, "dial").acting(BEN, "dial").acting(ANN, "hang up")

        assert [act for act, _ in turns(recording)] == ["dial", f"phone {BEN}", "dial", f"phone {ANN}", "hang up"]

    def test_the_phone_used_first_is_the_first_of_the_script(self):
        recording = Recording(BEGUN, ANN).acting(BEN, "dial")

        assert [act for act, _ in turns(recording)] == ["dial"]
        assert read(recording.script(), "new.txt").phones[0] == (BEN, BEN)


class TestMessages:
    def test_one_for_the_phone_in_hand_stands_below_the_last_act(self):
        assert turns(Recording(BEGUN, ANN).acting(ANN, "sms> hi").receiving(ANN, "you\n\nwrote")) == [
            ("sms> hi", [["you", "", "wrote"]])
        ]

    def test_one_for_another_phone_waits_until_that_is_taken_up(self):
        recording = Recording(BEGUN, ANN).acting(ANN, "dial").acting(BEN, "dial").receiving(ANN, "late")

        assert turns(recording.acting(ANN, "hang up"))[3:] == [(f"phone {ANN}", [["late"]]), ("hang up", [])]

    def test_one_whose_phone_is_never_taken_up_again_is_written_at_the_end(self):
        recording = Recording(BEGUN, ANN).acting(ANN, "dial").receiving(BEN, "late")

        assert turns(recording)[1:] == [(f"phone {BEN}", [["late"]])]

    def test_one_before_the_first_act_is_not_lost(self):
        assert turns(Recording(BEGUN, ANN).receiving(ANN, "early").acting(ANN, "dial")) == [("dial", [["early"]])]

    @given(st.lists(st.tuples(st.booleans(), st.sampled_from([ANN, BEN, "+99900500003"])), max_size=12))
    def test_every_message_is_written_once_below_an_act_of_its_phone(self, events):
        recording, sent = Recording(BEGUN, ANN).acting(ANN, "dial"), []
        for place, (is_message, number) in enumerate(events):
            if is_message:
                sent.append((number, f"m{place}"))
                recording = recording.receiving(number, f"m{place}")
            else:
                recording = recording.acting(number, "sms> hi")

        in_hand, seen = ANN, []
        for act, messages in turns(recording):
            in_hand = act.removeprefix("phone ") if act.startswith("phone ") else in_hand
            seen += [(in_hand, message[0]) for message in messages]

        assert sorted(seen) == sorted(sent)
        for number in (ANN, BEN):
            assert [m for n, m in seen if n == number] == [m for n, m in sent if n == number]


class TestKeeping:
    def test_a_new_file_is_written(self, tmp_path):
        keep("dial\n", str(tmp_path / "new.txt"))

        assert (tmp_path / "new.txt").read_text(encoding="utf-8") == "dial\n"

    @pytest.mark.parametrize("name", ["", "no/such/folder/new.txt", "a\0b"])
    def test_a_name_that_cannot_be_written_is_said(self, name):
        with pytest.raises(FileThere, match="give the name of a new file"):
            keep("dial\n", name)
