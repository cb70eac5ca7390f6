"""How desks look, without a terminal."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from simulator.desk import author_views, message_views, notice_views, phone_views
from simulator.desk.cells import Mark, text_of, width
from simulator.desk.commands import Command
from simulator.desk.state import Asked, Pane
from simulator.desk.typed import Typed
from tests.simulator.desk.conftest import NOW, desk_with, held, sms
from tests.simulator.desk.test_cells import HINDI, TEXTS

BEN = "+99900500002"


def said(rows):
    return "\n".join(text_of(row).rstrip() for row in rows)


class TestScreen:
    def test_it_shows_what_the_service_said_and_how_much_room_that_takes(self):
        shown = said(phone_views.screen(desk_with(held("How many acres is your field?\n0 Back"))))

        assert "|How many acres is your f|\n|ield?                   |\n|0 Back                  |" in shown
        assert "36 of 159, GSM" in shown

    def test_a_long_screen_scrolls_and_says_where_it_is(self):
        long = held("\n".join(f"line {place}" for place in range(1, 13)))
        lower = replace(long, top=phone_views.scrolled(long, 99))

        assert "1-10 of 12 v" in said(phone_views.screen(desk_with(long)))
        assert "3-12 of 12 ^" in said(phone_views.screen(desk_with(lower)))
        assert "line 12" in said(phone_views.screen(desk_with(lower)))

    def test_a_text_that_is_too_long_for_a_page_stands_out(self):
        marks = {span.mark for span in phone_views.screen(desk_with(held("a" * 160)))[-1] if "160" in span.text}

        assert marks == {Mark.BAD}

    @given(TEXTS, st.integers(-3, 99))
    def test_the_frame_holds_whatever_is_shown(self, text, steps):
        phone = held(text)
        rows = phone_views.screen(desk_with(replace(phone, top=phone_views.scrolled(phone, steps))))

        assert len(rows) == phone_views.HIGH
        assert {width(row) for row in rows} == {phone_views.WIDE}
        assert all(text_of(row)[0] == text_of(row)[-1] == "|" for row in rows[1:-1])

    def test_hindi_is_counted_in_the_wider_alphabet(self):
        assert "of 70, UCS-2" in said(phone_views.screen(desk_with(held(HINDI))))


class TestTyped:
    def test_what_is_typed_is_counted(self):
        assert "3 of 159, GSM" in text_of(phone_views.asked(desk_with(typed=Typed("2.5", 3))))

    def test_an_sms_is_counted_in_segments(self):
        desk = desk_with(asked=Asked.SMS, typed=Typed("a" * 170, 170))

        assert text_of(phone_views.asked(desk)).split(maxsplit=1) == ["SMS", "170 of 306, GSM, 2 SMS"]

    @pytest.mark.parametrize(
        ("changes", "says"),
        [
            ({"is_connected": False}, "not connected"),
            ({"moves": True}, "waits for the service"),
            ({"phones": (held("Hi", waits=True),)}, "waits for the service"),
            ({"phones": (held("Bye", is_open=False),)}, "Enter dials *2500#"),
            ({}, "type your answer"),
            ({"asked": Asked.CLOCK}, "clock: +1h +1d +1w or time"),
        ],
    )
    def test_it_says_what_the_line_is_for(self, changes, says):
        assert text_of(phone_views.asked(replace(desk_with(), **changes))) == says

    @pytest.mark.parametrize("what", Asked)
    def test_what_the_line_is_for_fits_above_it(self, what):
        for text in ("", "a" * 999, "क" * 700):
            assert width(phone_views.asked(desk_with(asked=what, typed=Typed(text)))) <= phone_views.WIDE


class TestPhones:
    def test_each_has_its_place_and_its_unread_messages(self):
        desk = desk_with(held("Hi"), held("Hi", BEN).receiving(sms("x", BEN), NOW))

        assert text_of(phone_views.phones(desk, 80)) == " 1 +99900500001  2 +99900500002 (1 new) "

    def test_where_they_have_no_room_the_one_in_hand_is_whole(self):
        desk = desk_with(*(held("Hi", f"+9990050000{place}") for place in range(1, 8)), in_hand=6)

        assert text_of(phone_views.phones(desk, 80)).endswith(" 6 ..0006  7 +99900500007 ")
        assert width(phone_views.phones(desk, 80)) <= 80
        assert phone_views.phone_at(desk, 15, 80) == 1

    def test_a_click_finds_the_phone(self):
        desk = desk_with(held("Hi"), held("Hi", BEN))

        assert [phone_views.phone_at(desk, x, 80) for x in (0, 14, 17, 79)] == [0, 0, 1, None]

    def test_the_state_says_number_session_languages_and_clock(self):
        phone = held("Hi", language="hi", session={"session": {"language": "sw"}})

        assert text_of(phone_views.state(desk_with(phone))).split("  ") == [
            " +99900500001",
            "session open",
            "sw, set to hi",
            "Mon 01 Mar 2027 08:00 UTC+03:00",
        ]

    def test_what_is_to_be_said_of_the_service_is_seen_on_a_small_terminal(self):
        assert (
            "does not answer" in text_of(phone_views.state(desk_with(service="the service does not answer")))[:60]
        )


class TestKeypad:
    def test_every_key_can_be_clicked_where_it_shows(self):
        for y, row in enumerate(phone_views.keypad()):
            text = text_of(row)
            for x in range(len(text)):
                label = phone_views.key_at(x, y)
                assert (label is None) == (text[x] == " " and text[max(0, x - 1)] == "]"), (x, y)
                assert label is None or label in text

    def test_it_has_the_twelve_keys_and_the_four_words(self):
        found = {phone_views.key_at(x, y) for y in range(4) for x in range(28)} - {None}

        assert found == {*"1234567890*#", "call", "end", "erase", "send"}


class TestMessages:
    TWO = held("Hi").receiving(sms("Your seed test\nis due"), NOW).receiving(sms("Second", message_id="m2"), NOW)

    def test_the_newest_is_on_top_with_sender_time_and_first_line(self):
        shown = said(message_views.messages(desk_with(self.TWO), 50, 10)).splitlines()

        assert shown[0] == " Messages: 2, 2 new"
        assert shown[2:] == ["* 2500   01 Mar 08:00  Second", "* 2500   01 Mar 08:00  Your seed test"]

    def test_one_that_was_opened_is_shown_whole_and_is_read(self):
        desk = desk_with(self.TWO.choosing(1).opening())

        shown = said(message_views.messages(desk, 50, 10))

        assert "From 2500, Mon 01 Mar 2027 08:00" in shown
        assert "21 of 160, GSM, 1 SMS" in shown
        assert "Your seed test\nis due" in shown
        assert desk.held.unread == 1

    def test_the_chosen_one_is_in_view_however_many_there_are(self):
        phone = held("Hi")
        for place in range(30):
            phone = phone.receiving(sms(f"text {place:02}", message_id=f"m{place}"), NOW)
        desk = desk_with(phone.choosing(25), front=Pane.MESSAGES)

        assert "text 04" in said(message_views.messages(desk, 50, 8))
        assert message_views.letter_at(desk, 7, 8) == 25

    def test_a_message_that_comes_does_not_move_the_one_being_read(self):
        reading = self.TWO.choosing(1).opening().receiving(sms("Third", message_id="m3"), NOW)

        assert reading.letters[reading.chosen].sms.text.startswith("Your seed test")

    def test_no_messages_are_said(self):
        assert "No messages" in said(message_views.messages(desk_with(), 30, 5))


SESSION = {
    "session": {
        "spots": ["welcome.buy", "buy_list.acres"],
        "answers": {"acres": "2.5"},
        "language": "en",
        "page": 1,
        "trail": 3,
        "until": "2027-03-01T09:00:00Z",
    },
    "facts": {"lot.origin": {"value": "bought", "fresh": False, "until": "2027-04-30T05:00:00Z"}, "area": 2.5},
    "agreed": "2027-03-01T05:00:00Z",
    "stopped": None,
    "effects": [{"kind": "Keep", "name": "lot.origin", "value": "bought"}],
}
FAULT = {
    "file": "flows/buy.yaml",
    "line": 31,
    "screen": "buy.acres",
    "language": "hi",
    "what": "75 units, a page holds 70",
    "instead": "shorten it",
}


class TestAuthor:
    def test_it_says_where_the_conversation_stands_and_what_is_kept(self):
        shown = said(author_views.author(desk_with(held("Hi", session=SESSION)), 70, 30))

        for text in [
            "welcome.buy > buy_list.acres",
            "page 2, 3 screens back, kept until 01 Mar 2027 09:00",
            "acres 2.5",
            "lot.origin bought, until 30 Apr 2027 05:00, lapsed",
            "area 2.5",
            "agreed 01 Mar 2027 05:00",
            "Keep name lot.origin, value bought",
        ]:
            assert f"  {text}\n" in shown

    def test_faults_come_first_and_warnings_are_announced_there(self):
        book = {
            "fingerprint": "a1",
            "languages": ["en", "hi"],
            "faults": [FAULT],
            "warnings": [FAULT | {"line": 0}],
        }

        shown = said(author_views.author(desk_with(book=book), 90, 30)).splitlines()

        assert shown[1:5] == [
            "The files have 1 fault; the book read before them is still in use",
            "  flows/buy.yaml:31 (buy.acres, hi): 75 units, a page holds 70: shorten it",
            "The book in use has 1 warning, at the end below",
            "Where",
        ]
        assert shown[-1] == "  flows/buy.yaml (buy.acres, hi): 75 units, a page holds 70: shorten it"
        assert "  languages en, hi" in shown

    def test_a_service_that_says_nothing_to_authors_is_no_fault(self):
        shown = said(author_views.author(desk_with(), 40, 20))

        assert "no conversation" in shown
        assert "the service says nothing of it" in shown

    @given(
        st.recursive(
            st.none() | st.booleans() | st.integers() | TEXTS,
            lambda inner: st.lists(inner, max_size=3) | st.dictionaries(TEXTS, inner, max_size=3),
            max_leaves=8,
        ),
        st.sampled_from(["session", "facts", "effects", "agreed"]),
        st.sampled_from(["faults", "warnings", "fingerprint", "flows"]),
    )
    def test_whatever_the_service_says_fits_the_pane(self, value, name, part):
        desk = desk_with(held("Hi", session={name: value}), book={part: value})

        assert all(width(row) <= 30 for row in author_views.author_rows(desk, 30))

    def test_it_scrolls(self):
        desk = desk_with(held("Hi", session=SESSION), author_top=3)

        assert said(author_views.author(desk, 70, 6)).splitlines()[0].startswith(" For the author, 4-8 of ")


class TestNotices:
    def test_the_newest_stands_last(self):
        assert said(notice_views.notices(desk_with(notices=("one", "two", "three")), 40, 2)) == "two\nthree"

    def test_an_older_one_shows_whole_or_not_at_all(self):
        desk = desk_with(notices=("a fault in two rows", "mended"))

        assert said(notice_views.notices(desk, 12, 2)) == "mended"

    def test_of_one_that_is_too_long_the_beginning_shows(self):
        desk = desk_with(notices=("one", "a fault that goes on and on for ever"))

        assert said(notice_views.notices(desk, 12, 2)) == "a fault that\ngoes on and"


class TestLegend:
    def test_it_names_every_command_and_fits_a_small_terminal(self):
        rows = notice_views.legend(desk_with(), 60)
        shown = said(rows)

        assert len(rows) == 2
        assert [command for command in Command if f" {command} " not in f" {shown}".replace("\n", " ")] == []

    def test_it_stands_out_while_a_letter_is_awaited(self):
        marks = {span.mark for row in notice_views.legend(desk_with(is_armed=True), 60) for span in row}

        assert marks == {Mark.REVERSED}
