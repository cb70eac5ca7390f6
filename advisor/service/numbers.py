"""Phone numbers as an operator types them: the programme says how; the library only doubts, its metadata ages."""

from __future__ import annotations

import re
from dataclasses import dataclass

import phonenumbers

from advisor.service.routing import DEMO_PREFIX

_FILLING = re.compile(r"[\s().\-/]")
_E164 = re.compile(r"\+[1-9][0-9]{6,14}")
#: What a spreadsheet makes of a long number.
_RECKONED = re.compile(r"[0-9](?:[.,][0-9]+)?[eE]\+?[0-9]+")


class NoNumber(ValueError):  # noqa: N818 - named for what was typed
    """What was typed is no phone number. The text never holds what was typed."""


@dataclass(frozen=True, slots=True)
class Dialling:
    """How local numbers look in a programme.

    Args:
        country_code: country calling code, digits only.
        trunk_prefix: what people dial in front of a local number, may be empty.
        number_length: digits of a local number after the trunk prefix.
    """

    country_code: str
    trunk_prefix: str
    number_length: int

    def e164(self, typed: str) -> str:
        """The number in international form.

        Args:
            typed: with ``+`` or ``00`` and country code, or in the local form, with or without the trunk prefix.
                Spreadsheets drop the ``+``: a country code is taken without it where a local number follows.

        Raises:
            NoNumber: it is neither.

        >>> dialling = Dialling("999", "0", 9)
        >>> [dialling.e164(typed) for typed in ("+999 001 000 001", "00999001000001", "0001 000 001", "001000001")]
        ['+999001000001', '+999001000001', '+999001000001', '+999001000001']
        """
        bare = _FILLING.sub("", typed)
        if bare.startswith("+"):
            return _checked(bare)
        if self._is_local(bare):
            return f"+{self.country_code}{bare[-self.number_length :]}"
        if bare.startswith("00"):
            return _checked(f"+{bare[2:]}")
        if self._has_lost_its_sign(bare):
            return _checked(f"+{bare}")
        if _RECKONED.fullmatch(typed.strip()):
            raise NoNumber("a spreadsheet has rounded this number: write its column as text and fill it in anew")
        raise NoNumber(
            f"not a phone number: give it with + and country code, or {self.number_length} digits"
            + (f" behind {self.trunk_prefix}" if self.trunk_prefix else "")
        )

    def _is_local(self, bare: str) -> bool:
        if not (bare.isascii() and bare.isdigit()):
            return False
        has_prefix = (
            bare.startswith(self.trunk_prefix) and len(bare) == len(self.trunk_prefix) + self.number_length
        )
        return has_prefix or len(bare) == self.number_length

    def _has_lost_its_sign(self, bare: str) -> bool:
        long = len(self.country_code) + self.number_length
        return bare.isascii() and bare.isdigit() and len(bare) == long and bare.startswith(self.country_code)


def doubt(number: str) -> str:
    """Why a number may be none, empty for no doubt; nothing is ever refused for it.

    Args:
        number: E.164 number.

    >>> doubt("+442079460000"), doubt("+999001000001")
    ('', '')
    >>> doubt("+4420794")
    'no network is known to give out such a number'
    """
    if number.startswith(DEMO_PREFIX):
        return ""
    try:
        possible = phonenumbers.is_valid_number(phonenumbers.parse(number))
    except phonenumbers.NumberParseException:
        possible = False
    return "" if possible else "no network is known to give out such a number"


def _checked(number: str) -> str:
    if _E164.fullmatch(number) is None:
        raise NoNumber("not a phone number: behind + come 7 to 15 digits, the first of them not 0")
    return number
