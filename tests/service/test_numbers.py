"""Numbers as operators type them."""

from __future__ import annotations

import pytest

from advisor.service.numbers import Dialling, NoNumber, doubt

DIALLING = Dialling("999", "0", 9)


@pytest.mark.parametrize(
    "typed",
    ["+999001112233", "00999001112233", "0001112233", "001112233", "+999 (001) 112-233", " 0001.112.233 "],
)
def test_every_usual_spelling_is_the_same_number(typed: str) -> None:
    assert DIALLING.e164(typed) == "+999001112233"


def test_a_plus_that_a_spreadsheet_dropped_is_put_back_before_a_local_number_alone() -> None:
    assert DIALLING.e164("999001112233") == "+999001112233"
    for other in ("99900111223", "9990011122334", "998001112233"):
        with pytest.raises(NoNumber):
            DIALLING.e164(other)


def test_a_local_number_that_begins_like_the_country_code_stays_local() -> None:
    assert Dialling("99", "", 9).e164("990011122") == "+99990011122"


@pytest.mark.parametrize("typed", ["9.99001E+11", "9,99001E+11", "1e9"])
def test_of_a_number_that_a_spreadsheet_rounded_the_cause_is_said(typed: str) -> None:
    with pytest.raises(NoNumber, match="spreadsheet has rounded"):
        DIALLING.e164(typed)


@pytest.mark.parametrize("typed", ["", "12", "Ann", "+", "+0999001112233", "+99900111223344556", "٠٠١١١٢٢", "00"])
def test_what_is_no_number_is_refused_without_being_repeated(typed: str) -> None:
    with pytest.raises(NoNumber) as refused:
        DIALLING.e164(typed)

    assert not typed.strip("+0") or typed not in str(refused.value)


def test_a_place_without_a_trunk_prefix_has_none() -> None:
    assert Dialling("999", "", 8).e164("11223344") == "+99911223344"


@pytest.mark.parametrize(
    ("number", "is_doubted"),
    [
        # ITU-T E.164: country code 44; Ofcom keeps 020 7946 0000 to 0999 for drama use, a valid form.
        ("+442079460123", False),
        ("+44207", True),
        # ITU-T E.164 list of country codes: 210 is a spare code.
        ("+21012345678", True),
        ("+999001112233", False),
    ],
)
def test_the_library_only_doubts(number: str, is_doubted: bool) -> None:
    assert bool(doubt(number)) is is_doubted
