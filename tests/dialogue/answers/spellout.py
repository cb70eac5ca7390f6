"""Numbers spelled out by the rules of Unicode CLDR (common/rbnf, "spellout-cardinal"), written down for tests."""

from __future__ import annotations

_ENGLISH = [
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
]
_ENGLISH_TENS = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
_SWAHILI = ["sifuri", "moja", "mbili", "tatu", "nne", "tano", "sita", "saba", "nane", "tisa"]
_SWAHILI_TENS = [
    "kumi",
    "ishirini",
    "thelathini",
    "arobaini",
    "hamsini",
    "sitini",
    "sabini",
    "themanini",
    "tisini",
]
_FRENCH = [
    "zéro",
    "un",
    "deux",
    "trois",
    "quatre",
    "cinq",
    "six",
    "sept",
    "huit",
    "neuf",
    "dix",
    "onze",
    "douze",
    "treize",
    "quatorze",
    "quinze",
    "seize",
    "dix-sept",
    "dix-huit",
    "dix-neuf",
]
_FRENCH_TENS = ["vingt", "trente", "quarante", "cinquante", "soixante", "soixante", "quatre-vingt", "quatre-vingt"]
#: hi.xml has a word for each number below a hundred.
_HINDI = [
    "शून्य",
    "एक",
    "दो",
    "तीन",
    "चार",
    "पाँच",
    "छह",
    "सात",
    "आठ",
    "नौ",
    "दस",
    "ग्यारह",
    "बारह",
    "तेरह",
    "चौदह",
    "पन्द्रह",
    "सोलह",
    "सत्रह",
    "अठारह",
    "उन्नीस",
    "बीस",
    "इक्कीस",
    "बाईस",
    "तेईस",
    "चौबीस",
    "पच्चीस",
    "छब्बीस",
    "सत्ताईस",
    "अट्ठाईस",
    "उनतीस",
    "तीस",
    "इकतीस",
    "बत्तीस",
    "तैंतीस",
    "चौंतीस",
    "पैंतीस",
    "छत्तीस",
    "सैंतीस",
    "अड़तीस",
    "उनतालीस",
    "चालीस",
    "इकतालीस",
    "बयालीस",
    "तैंतालीस",
    "चौवालीस",
    "पैंतालीस",
    "छियालीस",
    "सैंतालीस",
    "अड़तालीस",
    "उनचास",
    "पचास",
    "इक्यावन",
    "बावन",
    "तिरेपन",
    "चौवन",
    "पचपन",
    "छप्पन",
    "सत्तावन",
    "अट्ठावन",
    "उनसठ",
    "साठ",
    "इकसठ",
    "बासठ",
    "तिरेसठ",
    "चौंसठ",
    "पैंसठ",
    "छियासठ",
    "सड़सठ",
    "अड़सठ",
    "उनहत्तर",
    "सत्तर",
    "इकहत्तर",
    "बहत्तर",
    "तिहत्तर",
    "चौहत्तर",
    "पचहत्तर",
    "छिहत्तर",
    "सतहत्तर",
    "अठहत्तर",
    "उनासी",
    "अस्सी",
    "इक्यासी",
    "बयासी",
    "तिरासी",
    "चौरासी",
    "पचासी",
    "छियासी",
    "सत्तासी",
    "अट्ठासी",
    "नवासी",
    "नब्बे",
    "इक्यानबे",
    "बानबे",
    "तिरानबे",
    "चौरानबे",
    "पंचानबे",
    "छियानबे",
    "सत्तानबे",
    "अट्ठानबे",
    "निन्यानबे",
]


def spelled(number: int, language: str) -> str:
    """A whole number from 0 to 99,999 in words."""
    return {"en": _english, "sw": _swahili, "hi": _hindi, "fr": _french}[language](number)


def _english(number: int) -> str:
    for size, name in ((1000, "thousand"), (100, "hundred")):
        if number >= size:
            rest = f" {_english(number % size)}" if number % size else ""
            return f"{_english(number // size)} {name}{rest}"
    if number < 20:
        return _ENGLISH[number]
    return _ENGLISH_TENS[number // 10 - 2] + (f"-{_ENGLISH[number % 10]}" if number % 10 else "")


def _swahili(number: int) -> str:
    if number >= 1000:
        return f"elfu {_swahili(number // 1000)}" + (f", {_swahili(number % 1000)}" if number % 1000 else "")
    if number >= 100:
        return f"mia {_swahili(number // 100)}" + (f" na {_swahili(number % 100)}" if number % 100 else "")
    if number < 10:
        return _SWAHILI[number]
    return _SWAHILI_TENS[number // 10 - 1] + (f" na {_SWAHILI[number % 10]}" if number % 10 else "")


def _hindi(number: int) -> str:
    for size, name in ((1000, "हजार"), (100, "सौ")):
        if number >= size:
            rest = f" {_hindi(number % size)}" if number % size else ""
            return f"{_hindi(number // size)} {name}{rest}"
    return _HINDI[number]


def _french(number: int) -> str:
    if number >= 1000:
        count = "" if number < 2000 else f"{_french(number // 1000)}-"
        return f"{count}mille" + (f"-{_french(number % 1000)}" if number % 1000 else "")
    if number >= 100:
        count = "" if number < 200 else f"{_french(number // 100)}-"
        many = "s" if number % 100 == 0 and number >= 200 else ""
        return f"{count}cent{many}" + (f"-{_french(number % 100)}" if number % 100 else "")
    if number < 20:
        return _FRENCH[number]
    ten = number // 10
    rest = number % 20 if ten in (6, 7, 8, 9) else number % 10
    between = "-et-" if rest in (1, 11) and ten < 8 else "-"
    name = _FRENCH_TENS[ten - 2]
    return name + (f"{between}{_FRENCH[rest]}" if rest else "s" if ten == 8 else "")
