"""What the calculator refuses, as values that a phone, a page and a terminal can each phrase.

An error carries what was wrong, the allowed range and the unit; it never carries a sentence for a grower,
because the sentence depends on the language and on the screen.
"""

from __future__ import annotations


class AgronomyError(Exception):
    """Base of everything the calculator refuses.

    Attributes:
        reason: short name of the fault, the key under which a catalog phrases it.
    """

    reason: str = "refused"


class OutOfRange(AgronomyError):  # noqa: N818 - the name says what is wrong, as the trade would
    """A value outside what the formula or the figures hold for.

    Args:
        name: what the value is, for example ``area``.
        value: what was given, in ``unit``.
        low: smallest allowed value.
        high: largest allowed value.
        unit: unit of the three numbers, ``1`` for a fraction or a count.

    >>> str(OutOfRange("germination", 1.2, 0.0, 1.0, "1"))
    'germination is 1.2, allowed is 0.0 to 1.0 (unit 1): give a value in that range'
    """

    reason = "out_of_range"

    def __init__(self, name: str, value: object, low: object, high: object, unit: str) -> None:
        super().__init__(
            f"{name} is {value}, allowed is {low} to {high} (unit {unit}): give a value in that range"
        )
        self.name = name
        self.value = value
        self.low = low
        self.high = high
        self.unit = unit


class CannotBe(AgronomyError):  # noqa: N818
    """Values that contradict each other: more seedlings than seeds, a triangle that does not close.

    Args:
        name: short name of the contradiction, for example ``more_grown_than_sown``.
        what: one line that says what is wrong.
        instead: one line that says what to do.
    """

    reason = "cannot_be"

    def __init__(self, name: str, what: str, instead: str) -> None:
        super().__init__(f"{what}: {instead}")
        self.name = name
        self.what = what
        self.instead = instead


class MissingFigure(AgronomyError):  # noqa: N818
    """A figure that the calculation needs is not in the programme's data.

    Args:
        name: the figure, for example ``soybean.rate_germination``.
        instead: one line that says where to put it.
    """

    reason = "missing_figure"

    def __init__(self, name: str, instead: str) -> None:
        super().__init__(f"no figure {name}: {instead}")
        self.name = name
        self.instead = instead


class DataFault(AgronomyError):  # noqa: N818
    """A data file that cannot be used, with everything that is wrong in it.

    Args:
        file: name of the file or of what it describes.
        faults: one line a fault: where, what is wrong, what to do.

    >>> print(DataFault("crop", ("emergence: is missing: add it",)))
    crop has 1 fault
      emergence: is missing: add it
    """

    reason = "data_fault"

    def __init__(self, file: str, faults: tuple[str, ...]) -> None:
        count = f"{len(faults)} fault" + ("" if len(faults) == 1 else "s")
        super().__init__("\n  ".join((f"{file} has {count}", *faults)))
        self.file = file
        self.faults = faults
