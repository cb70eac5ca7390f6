import pytest

from simulator.reading import read
from simulator.scripts import Act, Limits, ScriptFaults

HEAD = """\
title: A first conversation
phone: +99900500001
language: en
clock: 2027-03-01T08:00+03:00
"""


def script(*lines, head=HEAD):
    return read(head + "".join(f"{line}\n" for line in lines), "hello.txt")


def faults(*lines, head=HEAD):
    with pytest.raises(ScriptFaults) as found:
        script(*lines, head=head)
    return list(found.value.faults)


class TestHeader:
    def test_it_says_what_is_played_on_which_phone_and_when(self):
        found = script("dial")

        assert (found.name, found.title, found.language) == ("hello.txt", "A first conversation", "en")
        assert found.phones == (("+99900500001", "+99900500001"),)
        assert found.clock.isoformat() == "2027-03-01T08:00:00+03:00"
        assert found.limits == Limits()

    def test_it_may_limit_the_effort(self):
        assert script("at most: 8 screens, 16 keys", "dial").limits == Limits(screens=8, keys=16)

    def test_it_may_name_several_phones(self):
        found = script("phone: agent +99900500002", "dial", "phone agent")

        assert found.phones[1] == ("agent", "+99900500002")
        assert found.turns[1].text == "agent"


class TestTurns:
    def test_each_act_is_read_with_its_text_and_its_line(self):
        found = script("dial", "> 2.5", ">", "redial 2*1", "hang up", "sms> Hi  there", "clock +3d")

        assert [(turn.act, turn.text, turn.line) for turn in found.turns] == [
            (Act.DIAL, "", 5),
            (Act.ANSWER, "2.5", 6),
            (Act.ANSWER, "", 7),
            (Act.REDIAL, "2*1", 8),
            (Act.HANG_UP, "", 9),
            (Act.SMS, "Hi  there", 10),
            (Act.CLOCK, "+3d", 11),
        ]

    def test_a_screen_is_read_line_by_line_as_it_stands(self):
        turn = script("dial", "| Welcome", "|", "|  1 Seed ", "# a remark", "", "closed").turns[0]

        assert [line.text for line in turn.screen] == ["Welcome", "", " 1 Seed "]
        assert [line.number for line in turn.screen] == [6, 7, 8]
        assert turn.closed

    def test_lines_of_a_message_stand_together_and_an_empty_line_parts_messages(self):
        turn = script("sms> list", "inbox| one", "inbox|", "inbox| more", "", "inbox| two").turns[0]

        assert [[line.text for line in message] for message in turn.messages] == [["one", "", "more"], ["two"]]


class TestFaults:
    def test_all_faults_come_at_once_each_with_its_place_and_what_to_write(self):
        found = faults("call", "clock soon", head="title: t\nphone: 0700\nlanguage: en\n")

        assert [fault.partition(": ")[0] for fault in found] == [
            "hello.txt:2",
            "hello.txt:4",
            "hello.txt:5",
            "hello.txt:1",
        ]
        assert any("the header says no clock: write a line 'clock: ...'" in fault for fault in found)

    @pytest.mark.parametrize(
        ("lines", "says"),
        [
            ((), "no turn is written: write 'dial'"),
            (("| Welcome", "dial"), "a screen before the first turn"),
            (("inbox| Welcome", "dial"), "a message before the first turn"),
            (("closed", "dial"), "closed stands below no screen"),
            (("dial", "| a", "closed", "| b"), "a screen line below the end of its screen"),
            (("dial", "inbox| a", "| b"), "a screen line below the end of its screen"),
            (("dial", ">2"), "'>2' begins no turn: known: 'dial'"),
            (("dial", "title: late"), "'title:' begins no turn"),
            (("hang up now",), "hang up takes nothing behind it"),
            (("dial", "clock soon"), "give a step such as +30m"),
            (("dial", "phone agent"), "no phone 'agent' in the header: known: +99900500001"),
            (("phone: two +99900500001", "dial"), "is there already"),
            (("mood: good", "dial"), "no header 'mood': known: title"),
            (("title: again", "dial"), "a second 'title'"),
            (("at most: few", "dial"), "write it like '8 screens, 16 keys, 2 sms'"),
            (("at most:", "dial"), "at most says nothing"),
        ],
        ids=lambda value: value if isinstance(value, str) else "/".join(value),
    )
    def test_each_fault_is_told(self, lines, says):
        assert any(says in fault for fault in faults(*lines))
