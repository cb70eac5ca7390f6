"""What the wording room refuses. Each error carries its values, so that a checker or a page can phrase it."""

from __future__ import annotations


class WordingError(Exception):
    """Base of everything the wording room refuses.

    Attributes:
        reason: short name of the fault, the key under which a catalog may phrase it.
    """

    reason: str = "refused"


class NotInAlphabet(WordingError):  # noqa: N818 - the name says what is wrong
    """A text holds characters that the GSM alphabet lacks; one of them makes a message of 160 one of 70.

    Args:
        text: the text.
        characters: the characters outside, each once, in the order met.

    >>> str(NotInAlphabet("façade", "ç"))
    "'façade' holds ç (U+00E7), which the GSM alphabet lacks: write it another way, or declare ucs2"
    """

    reason = "not_in_alphabet"

    def __init__(self, text: str, characters: str) -> None:
        named = ", ".join(f"{character} (U+{ord(character):04X})" for character in characters)
        super().__init__(
            f"{text!r} holds {named}, which the GSM alphabet lacks: write it another way, or declare ucs2"
        )
        self.text = text
        self.characters = characters


class TooWide(WordingError):  # noqa: N818
    """A line does not fit on a page of its own.

    Args:
        line: which line, from 0.
        cost: its septets or UTF-16 units.
        room: what is left for a line on a page beside its footer.
    """

    reason = "too_wide"

    def __init__(self, line: int, cost: int, room: int) -> None:
        super().__init__(f"line {line} costs {cost}, allowed is {room}: shorten it or break it into two lines")
        self.line = line
        self.cost = cost
        self.room = room


class TooManyPages(WordingError):  # noqa: N818
    """The lines need more pages than a reader turns.

    Args:
        pages: pages needed.
        most: pages allowed.
    """

    reason = "too_many_pages"

    def __init__(self, pages: int, most: int) -> None:
        super().__init__(f"{pages} pages are needed, allowed are {most}: say less or make two screens of it")
        self.pages = pages
        self.most = most


class UnknownLanguage(WordingError):  # noqa: N818
    """A language code that the locale data do not hold."""

    reason = "unknown_language"

    def __init__(self, language: str) -> None:
        super().__init__(f"no language {language!r}: give a code such as 'sw' or 'pt_MZ'")
        self.language = language


class GlossaryFaults(WordingError):  # noqa: N818
    """Everything that is wrong in one glossary.

    Args:
        faults: one line a fault.
    """

    reason = "glossary_faults"

    def __init__(self, faults: tuple[str, ...]) -> None:
        super().__init__("\n".join(faults))
        self.faults = faults


class CatalogUnreadable(WordingError):  # noqa: N818
    """A file that is no PO catalog.

    Args:
        line: the line, from 1; 0 where it is not known.
        what: what is wrong there.
    """

    reason = "catalog_unreadable"

    def __init__(self, line: int, what: str) -> None:
        super().__init__(f"line {line}: {what}: mend the entry there, msgfmt -c names more")
        self.line = line
        self.what = what


class MissingTranslation(WordingError):  # noqa: N818
    """A message that a catalog does not translate."""

    reason = "missing_translation"

    def __init__(self, language: str, context: str, msgid: str) -> None:
        super().__init__(f"{language}: {context}: {msgid!r} is not translated: add it to the catalog")
        self.language = language
        self.context = context
        self.msgid = msgid


class BadPlaceholder(WordingError):  # noqa: N818
    """A percent sign that begins no ``%(name)s``.

    Args:
        text: the message.
        at: where the sign stands, from 0.
    """

    reason = "bad_placeholder"

    def __init__(self, text: str, at: int) -> None:
        super().__init__(
            f"{text[at : at + 12]!r} at {at} of {text!r} is no placeholder: "
            "write %(name)s, or %% for the sign itself"
        )
        self.text = text
        self.at = at


class WrongValues(WordingError):  # noqa: N818
    """The values for a message are not exactly those it names.

    Args:
        text: the message.
        missing: names without a value.
        extra: values that the message does not name.
    """

    reason = "wrong_values"

    def __init__(self, text: str, missing: tuple[str, ...], extra: tuple[str, ...]) -> None:
        super().__init__(
            f"{text!r}: missing {', '.join(missing) or 'none'}, not named {', '.join(extra) or 'none'}: "
            "give one finished text for each placeholder"
        )
        self.text = text
        self.missing = missing
        self.extra = extra


class Mismatch(WordingError):  # noqa: N818
    """Parts that do not belong together: a catalog and a glossary of two languages, an area unit that is none."""

    reason = "mismatch"


class UnfitKind(WordingError):  # noqa: N818
    """A kind declared with bounds that make no sense."""

    reason = "unfit_kind"


class NotOfKind(WordingError):  # noqa: N818
    """A value of another type than its kind, or one that its list does not hold.

    Args:
        kind: name of the kind.
        value: what came.
        wanted: what it should be.
    """

    reason = "not_of_kind"

    def __init__(self, kind: str, value: object, wanted: str) -> None:
        super().__init__(f"{value!r} is no {kind}: give {wanted}")
        self.kind = kind
        self.value = value
        self.wanted = wanted


class BeyondScale(WordingError):  # noqa: N818
    """A result outside the bounds its kind declares; it is refused, never shown as a longer text.

    Args:
        kind: name of the kind.
        value: what came.
        low: smallest value of the kind.
        high: largest value of the kind.

    >>> str(BeyondScale("area", 9e9, 0, 405000))
    'area is 9000000000.0, allowed is 0 to 405000: check the values it was worked out from'
    """

    reason = "beyond_scale"

    def __init__(self, kind: str, value: object, low: object, high: object) -> None:
        super().__init__(f"{kind} is {value}, allowed is {low} to {high}: check the values it was worked out from")
        self.kind = kind
        self.value = value
        self.low = low
        self.high = high
