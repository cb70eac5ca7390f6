"""The GSM alphabet, against two independent transcriptions of 3GPP TS 23.038, and the text made fit for it."""

import subprocess
import unicodedata
from collections import Counter

import gsmcodecs
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from advisor.wording.errors import NotInAlphabet
from advisor.wording.gsm import DEFAULT, EXTENSION, TYPOGRAPHY, gsm_safe, is_gsm, outside, septets

BMP = [chr(code) for code in range(0x10000) if not 0xD800 <= code <= 0xDFFF]

# Letters of the project's languages and neighbours that the alphabet lacks (STANDARDS: measured list).
FOREIGN_LETTERS = "çêëÈÊËáÁÀâÂãÃõóúíîïôûœŒÿɓɗƙƴẹọṣịụŵ"


def septets_by_codec(character):
    try:
        return len(character.encode("gsm23.038"))
    except UnicodeEncodeError:
        return None


def septets_here(character):
    return septets(character) if is_gsm(character) else None


class TestTheAlphabetIsTheStandards:
    def test_it_has_127_characters_beside_the_escape_and_ten_in_the_extension(self):
        assert len(set(DEFAULT)) == len(DEFAULT) == 127
        assert len(set(EXTENSION)) == 10

    def test_every_character_of_the_plane_costs_what_gsmcodecs_says(self):
        assert gsmcodecs.__name__
        differing = [f"{ord(c):04X}" for c in BMP if septets_here(c) != septets_by_codec(c)]

        assert differing == []

    def test_every_character_of_the_plane_costs_what_perl_says(self):
        script = r"""
            use Encode; use Encode::GSM0338;
            for my $code (0 .. 0xFFFF) {
                next if $code >= 0xD800 && $code <= 0xDFFF;
                next if $code == 0x1B;
                my $bytes = eval { Encode::encode("gsm0338", chr($code), Encode::FB_CROAK) };
                print "$code ", length($bytes), "\n" if defined $bytes && length($bytes);
            }
        """
        lines = subprocess.run(["perl", "-e", script], capture_output=True, text=True, check=True).stdout.split(
            "\n"
        )
        by_perl = {chr(int(code)): int(count) for code, count in (line.split() for line in lines if line)}

        assert by_perl == {c: septets_here(c) for c in BMP if is_gsm(c)}

    def test_the_small_c_cedilla_is_out_and_the_capital_is_in(self):
        assert is_gsm("Ç")
        assert not is_gsm("ç")

    def test_an_extension_character_costs_two(self):
        assert septets("€[]{}|~^\\\f") == 20


class TestACharacterOutsideIsNamed:
    def test_the_error_names_each_character_once_in_the_order_met(self):
        with pytest.raises(NotInAlphabet) as caught:
            septets("ça coûte ça")

        assert caught.value.characters == "çû"
        assert "U+00E7" in str(caught.value)
        assert "declare ucs2" in str(caught.value)

    @given(st.text())
    def test_a_text_is_gsm_exactly_when_nothing_of_it_is_outside(self, text):
        assert is_gsm(text) == (outside(text) == "")


class TestSignsBecomeSendable:
    @pytest.mark.parametrize(
        ("given_text", "sent"),
        [
            ("12\u202f500\u00a0F", "12 500 F"),
            ("2:05\u202fPM", "2:05 PM"),
            ("3\u2009–\u20096 Apr", "3 - 6 Apr"),
            ("l’eau “pure”…", 'l\'eau "pure"...'),
            ("Jummaʼa", "Jumma'a"),
            ("₦500 ₹20", "N500 Rs.20"),
            ("5\u200bkg\u00ad\u200e", "5kg"),
            ("2 × 25 m²", "2 x 25 m2"),
            ("a\tb\r\nc\rd\u2028e", "a b\nc\nd\ne"),
            ("bell\x07 and escape\x1b", "bell and escape"),
            ("e\u0301", "é"),
            ("\uff21\uff22", "AB"),
            ("Ω \u2126 \u212b", "Ω Ω Å"),
        ],
    )
    def test_each_sign_has_its_plain_form(self, given_text, sent):
        assert gsm_safe(given_text) == sent
        assert is_gsm(sent)

    @pytest.mark.parametrize("letter", FOREIGN_LETTERS)
    def test_a_letter_outside_stays_so_that_the_check_finds_it(self, letter):
        assert gsm_safe(f"x{letter}x") == f"x{letter}x"
        assert gsm_safe(unicodedata.normalize("NFD", f"x{letter}x")) == f"x{letter}x"

    def test_no_letter_is_in_the_map_of_signs(self):
        signs = {chr(code) for code in TYPOGRAPHY}

        assert {c for c in signs if unicodedata.category(c) in ("Lu", "Ll", "Lo")} == set()


class TestANumberNeverBecomesAnother:
    @pytest.mark.parametrize("text", ["10²", "²5", "1①", "x²3"])
    def test_a_raised_digit_beside_a_digit_stays_for_the_check_to_find(self, text):
        assert gsm_safe(text) == text
        assert not is_gsm(text)

    def test_a_fraction_behind_a_number_gets_a_space(self):
        assert gsm_safe("2½") == "2 1/2"
        assert gsm_safe("½ kg") == "1/2 kg"

    @given(st.text(alphabet=st.sampled_from("0123456789²³¹①½¼. \u00a0\u200bm"), max_size=8))
    def test_the_plain_digits_that_were_typed_stand_in_the_same_runs(self, text):
        def runs(shown):
            return Counter("".join(c if c in "0123456789" else " " for c in shown).split())

        assert runs(text.replace("\u200b", "")) <= runs(gsm_safe(text))


class TestTheOneFunctionIsSafeToApplyAnywhere:
    @given(st.text())
    @example("Ａ\u0300")
    @example("²²")
    @example("e\u200d\u0301")
    def test_applied_twice_it_changes_nothing_more(self, text):
        once = gsm_safe(text)

        assert gsm_safe(once) == once

    @given(st.text(alphabet=st.sampled_from([c for c in DEFAULT + EXTENSION if c not in "\r\f"])))
    def test_a_sendable_text_is_left_alone(self, text):
        assert gsm_safe(text) == text

    @given(st.text())
    def test_no_control_character_but_the_line_end_leaves(self, text):
        assert {c for c in gsm_safe(text) if unicodedata.category(c) == "Cc"} <= {"\n"}
