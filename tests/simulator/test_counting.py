"""The simulator's own count, held against two independent libraries."""

import gsmcodecs  # noqa: F401 - registers the codec
import pytest
import smsutil
from hypothesis import given
from hypothesis import strategies as st

from simulator.counting import ONE_SEPTET, TWO_SEPTETS, alphabet_of, size

GSM_TEXT = st.text(st.sampled_from(sorted(ONE_SEPTET | TWO_SEPTETS)), max_size=700)
ANY_TEXT = st.text(max_size=300)


def test_the_alphabet_has_127_characters_and_ten_extensions():
    assert (len(ONE_SEPTET), len(TWO_SEPTETS)) == (127, 10)
    assert not ONE_SEPTET & TWO_SEPTETS


@given(GSM_TEXT)
def test_septets_are_those_of_the_codec(text):
    assert size(text).units == len(text.encode("gsm23.038"))


@given(st.characters())
def test_a_character_is_in_the_alphabet_when_the_codec_can_write_it(char):
    try:
        char.encode("gsm23.038")
        can_write = True
    except UnicodeError:
        can_write = False

    assert (alphabet_of(char) == "gsm7") == can_write


@given(ANY_TEXT.filter(lambda text: alphabet_of(text) == "ucs2"))
def test_other_text_counts_in_utf_16_units(text):
    assert size(text).units == len(text.encode("utf-16-be")) // 2


@given(GSM_TEXT)
def test_segments_of_gsm_text_are_those_of_the_splitter(text):
    assert size(text).segments == max(1, len(smsutil.split(text).parts))


@given(ANY_TEXT.filter(lambda text: alphabet_of(text) == "ucs2"))
def test_segments_of_other_text_are_those_of_the_splitter(text):
    assert size(text).segments == max(1, len(smsutil.split(text).parts))


@pytest.mark.parametrize(
    ("text", "segments"),
    [
        ("a" * 160, 1),
        ("a" * 161, 2),
        ("a" * 306, 2),
        ("a" * 152 + "€" + "a" * 152, 3),
        ("क" * 70, 1),
        ("क" * 71, 2),
    ],
    ids=["full", "one-over", "two-full-parts", "a-pair-is-not-cut", "full-ucs2", "one-over-ucs2"],
)
def test_segments_at_the_edges(text, segments):
    """160 septets, or 153 in each part; 70 units, or 67: 140 octets less a six-octet header (3GPP TS 23.038)."""
    assert size(text).segments == segments


def test_a_page_keeps_one_septet_free_but_no_unit():
    assert size("a" * 159).fits_page
    assert not size("a" * 160).fits_page
    assert size("क" * 70).fits_page
    assert not size("क" * 71).fits_page


def test_the_count_reads_as_used_of_room():
    assert str(size("a" * 141)) == "141 of 160"
    assert str(size("क" * 52)) == "52 of 70"
