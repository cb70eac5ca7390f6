from datetime import UTC, datetime

from hypothesis import given
from hypothesis import strategies as st

from simulator.phone import Phone, Sms
from simulator.screen import COLUMNS, columns, message_drawn, phone_drawn, wrapped

NOW = datetime(2027, 3, 1, 8, 5, tzinfo=UTC)
PRINTABLE = st.text(st.characters(exclude_categories=["Cc", "Cs", "Zl", "Zp"]))


@given(st.text(), st.integers(2, 60))
def test_no_line_is_wider_than_the_screen(text, most):
    assert all(columns(row) <= most for row in wrapped(text, most))


@given(PRINTABLE, st.integers(2, 60))
def test_wrapping_loses_and_adds_nothing_but_blanks(text, most):
    assert "".join(wrapped(text, most)).replace(" ", "") == text.replace(" ", "")


@given(st.text())
def test_no_control_character_reaches_the_terminal(text):
    assert not any(ord(char) < 32 or 127 <= ord(char) < 160 for row in wrapped(text) for char in row)


def test_line_ends_of_the_text_are_kept():
    assert wrapped("Welcome\n\n1 Seed") == ("Welcome", "", "1 Seed")


def test_the_phone_shows_its_screen_and_its_count():
    phone = Phone("+99900500001").dialling("run").showing("How many acres is your field?\n1 Help", True)

    assert phone_drawn(phone.typing("2.5"), NOW).splitlines() == [
        " .============================.",
        " |  +99900500001      08:05   |   Mon 01 Mar 2027",
        " |----------------------------|",
        " |                            |   36 of 160",
        " |  How many acres is your    |   screens     1",
        " |  field?                    |   key presses 4",
        " |  1 Help                    |   SMS         0",
        " |                            |",
        " |         [ answer ]         |",
        " '============================'",
    ]


def test_a_screen_in_another_script_is_counted_in_its_own_units_and_stays_in_its_frame():
    phone = Phone("+99900500001").showing("आपके खेत का आकार क्या है?", False)
    drawn = phone_drawn(phone, NOW)
    frame = [columns(line[: line.rindex("|")]) for line in drawn.splitlines() if line.endswith("|")]

    assert "25 of 70" in drawn
    assert "[ ended ]" in drawn
    assert set(frame) == {COLUMNS + 6}


def test_a_screen_that_is_too_long_for_a_page_says_so():
    assert "160 of 160   TOO LONG" in phone_drawn(Phone("+99900500001").showing("a" * 160, True), NOW)


def test_the_phone_fits_a_terminal_of_80_by_24():
    phone = Phone("+999123456789012").dialling("run").showing("क\n" * 35, True)
    full = phone_drawn(Phone("+999123456789012").dialling("run").showing("word " * 31, True), NOW)

    assert all(columns(line) <= 80 for line in phone_drawn(phone, NOW).splitlines())
    assert len(full.splitlines()) + 4 <= 24


def test_a_message_says_whom_it_is_from_and_how_long_it_is():
    sms = Sms("o1", "2500", "+99900500001", "Your field:\n2.5 acres", "gsm7", 1)

    assert message_drawn(sms).splitlines() == [
        " SMS from 2500 to +99900500001, 21 of 160",
        " :  Your field:",
        " :  2.5 acres",
    ]


def test_a_message_of_several_segments_says_how_many():
    sms = Sms("o1", "2500", "+99900500001", "क" * 90, "ucs2", 2)

    assert message_drawn(sms).startswith(" SMS from 2500 to +99900500001, 90 of 70 in 2 segments\n")
