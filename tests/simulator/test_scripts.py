from hypothesis import given
from hypothesis import strategies as st

from simulator.reading import read
from simulator.scripts import Seen, rewritten, written
from tests.simulator.test_reading import HEAD

LINES = st.text(st.characters(exclude_categories=["Cc", "Cs", "Zl", "Zp"]), max_size=12)
TEXTS = st.lists(LINES, min_size=1, max_size=4).map("\n".join)
SEEN = st.builds(Seen, st.none() | TEXTS, st.booleans(), st.lists(TEXTS, max_size=3).map(tuple))

SOURCE = (
    HEAD
    + """
# A remark above the first turn.
dial
| old
# A remark inside.
| lines

# A remark above an answer.
> 1
> 2.5
| old
closed
inbox| old
inbox| message

inbox| older

# The end.
"""
)


def read_back(turn):
    """What a turn expects, as what would have to be seen."""
    screen = "\n".join(line.text for line in turn.screen) if turn.screen else None
    messages = tuple("\n".join(line.text for line in message) for message in turn.messages)
    return screen, turn.closed, messages


@given(st.lists(SEEN, min_size=3, max_size=3))
def test_what_is_recorded_is_what_will_be_expected(seen):
    turns = read(SOURCE, "s.txt").turns
    again = read(rewritten(SOURCE, turns, seen), "s.txt").turns

    assert [turn.written for turn in again] == [turn.written for turn in turns]
    for turn, what in zip(again, seen, strict=True):
        assert read_back(turn) == (what.screen, what.screen is not None and not what.open, what.messages)


@given(st.lists(SEEN, max_size=3))
def test_recording_twice_changes_nothing_more(seen):
    once = rewritten(SOURCE, read(SOURCE, "s.txt").turns, seen)

    assert rewritten(once, read(once, "s.txt").turns, seen) == once


def test_recording_keeps_header_acts_remarks_and_empty_lines():
    seen = [Seen("Welcome\n\n1 Seed", True), Seen("Acres?", True), Seen("Bye", False, ("one\nmore", "two"))]

    assert rewritten(SOURCE, read(SOURCE, "s.txt").turns, seen) == HEAD + (
        """
# A remark above the first turn.
dial
# A remark inside.
| Welcome
|
| 1 Seed

# A remark above an answer.
> 1
| Acres?
> 2.5
| Bye
closed
inbox| one
inbox| more

inbox| two

# The end.
"""
    )


def test_turns_that_were_not_reached_stay_as_they_are():
    turns = read(SOURCE, "s.txt").turns

    assert rewritten(SOURCE, turns, []) == SOURCE
    assert rewritten(SOURCE, turns, [Seen("new", True)]).endswith(SOURCE[SOURCE.index("> 1") :])


def test_a_new_script_can_be_read_again():
    header = [("title", "t"), ("phone", "+99900500001"), ("language", "en"), ("clock", "2027-03-01T08:00+03:00")]
    source = written(header, [("dial", Seen("Hello", True)), ("> 1", Seen("Bye", False, ("sms",)))])

    assert [read_back(turn) for turn in read(source, "s.txt").turns] == [
        ("Hello", False, ()),
        ("Bye", True, ("sms",)),
    ]
