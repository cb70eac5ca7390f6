"""When seed is not inoculated, and why: the bacteria would be the wrong ones or dead, or somebody is poisoned.

Each refusal says what is wrong and what to do instead, and carries its cautions. Dressed seed is refused
because the poison kills the bacteria, and because whoever mixes inoculant by hand must not have poison on the
hands; it is never food or feed either. A pack is good on the day of its date and no longer.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from advisor.agronomy.cautions import (
    ASK_DEALER_OR_EXTENSION,
    DRESSED_SEED_IS_POISON,
    FOLLOW_THE_PACK,
    INOCULANT_APART_FROM_FERTILISER,
    INOCULANT_IN_SHADE,
    KEEP_FROM_CHILDREN_AND_FOOD,
    NO_BARE_HANDS_ON_DRESSED_SEED,
    WASH,
)
from advisor.agronomy.errors import CannotBe
from advisor.agronomy.limits import within

#: What is said with every inoculation that is not refused.
_CAUTIONS = (
    FOLLOW_THE_PACK,
    INOCULANT_IN_SHADE,
    INOCULANT_APART_FROM_FERTILISER,
    KEEP_FROM_CHILDREN_AND_FOOD,
    WASH,
    ASK_DEALER_OR_EXTENSION,
)


class CannotInoculate(CannotBe):
    """An inoculation that would do no good or harm.

    Args:
        name: short name of the refusal.
        what: one line that says what is wrong.
        instead: one line that says what to do.
        cautions: keys of what must be said with it.
    """

    def __init__(self, name: str, what: str, instead: str, cautions: tuple[str, ...]) -> None:
        super().__init__(name, what, instead)
        self.cautions = cautions


@dataclass(frozen=True, slots=True)
class Circumstances:
    """What is known before seed is treated.

    Args:
        crop: key of the crop that is sown.
        strain_of: key of the crop that the pack is for.
        used_on: the last day on which the pack will be used.
        expires: the date on the pack, None where there is none that can be read.
        dressed: whether the seed was dressed with a fungicide, an insecticide or anything coloured.
        touches_fertiliser: whether treated seed will lie against fertiliser.
        in_sun: whether pack or treated seed lies in the sun.
        warmest_c: how warm the pack has been [°C], None where nobody knows.
    """

    crop: str
    strain_of: str
    used_on: date
    expires: date | None
    dressed: bool = False
    touches_fertiliser: bool = False
    in_sun: bool = False
    warmest_c: float | None = None


def inoculation_refusals(circumstances: Circumstances, store_below_c: float) -> tuple[CannotInoculate, ...]:
    """Everything that speaks against treating this seed with this pack now; poison first.

    Args:
        circumstances: what is known.
        store_below_c: warmest that a pack may get [°C].

    Returns:
        The refusals, none where the seed may be treated.

    Raises:
        OutOfRange: a temperature that cannot be.

    Source:
        New South Wales Department of Primary Industries, Primefact 1537 (inoculated seed and superphosphate);
        otherwise common practice, no source.

    >>> bad = Circumstances("bean", "pea", date(2027, 3, 2), date(2027, 3, 1), dressed=True)
    >>> [refusal.name for refusal in inoculation_refusals(bad, 30)]
    ['dressed_seed', 'other_strain', 'expired_pack']
    """
    within("warmest allowed", store_below_c, -50, 90, "celsius")
    if circumstances.warmest_c is not None:
        within("warmest", circumstances.warmest_c, -50, 90, "celsius")
    return tuple(_refusals(circumstances, store_below_c))


def check_inoculation(circumstances: Circumstances, store_below_c: float) -> tuple[str, ...]:
    """The cautions of an inoculation that nothing speaks against.

    Args:
        circumstances: what is known.
        store_below_c: warmest that a pack may get [°C].

    Returns:
        Keys of what must be said with it.

    Raises:
        CannotInoculate: the first of ``inoculation_refusals``.
        OutOfRange: a temperature that cannot be.

    Source:
        As ``inoculation_refusals``.

    >>> good = Circumstances("bean", "bean", date(2027, 3, 1), date(2027, 3, 1))
    >>> check_inoculation(good, 30)[0]
    'follow_the_pack'
    """
    for refusal in inoculation_refusals(circumstances, store_below_c):
        raise refusal
    return _CAUTIONS


def _refusals(known: Circumstances, store_below_c: float) -> Iterator[CannotInoculate]:
    if known.dressed:
        yield CannotInoculate(
            "dressed_seed",
            "seed dressed with poison kills the bacteria, and is never food or feed",
            "sow it without inoculant, with gloves, or inoculate undressed seed",
            (
                DRESSED_SEED_IS_POISON,
                NO_BARE_HANDS_ON_DRESSED_SEED,
                KEEP_FROM_CHILDREN_AND_FOOD,
                WASH,
                ASK_DEALER_OR_EXTENSION,
            ),
        )
    if known.strain_of != known.crop:
        yield CannotInoculate(
            "other_strain",
            f"the strain of {known.strain_of} makes no nodules on {known.crop}",
            f"buy inoculant for {known.crop}",
            (FOLLOW_THE_PACK, ASK_DEALER_OR_EXTENSION),
        )
    if known.expires is None:
        yield CannotInoculate(
            "undated_pack",
            "a pack without a date that can be read may be dead",
            "ask the dealer for a pack with its date",
            (FOLLOW_THE_PACK, ASK_DEALER_OR_EXTENSION),
        )
    elif known.expires < known.used_on:
        yield CannotInoculate(
            "expired_pack",
            f"the pack is good until {known.expires} and would be used on {known.used_on}",
            "take it back to the dealer and buy one that lasts until the last day of sowing",
            (FOLLOW_THE_PACK, ASK_DEALER_OR_EXTENSION),
        )
    if known.touches_fertiliser:
        yield CannotInoculate(
            "fertiliser_contact",
            "fertiliser that touches treated seed kills the bacteria",
            "put soil between them, or fertiliser in a furrow of its own",
            (INOCULANT_APART_FROM_FERTILISER,),
        )
    if known.in_sun:
        yield CannotInoculate(
            "in_the_sun", "sun kills the bacteria", "work in the shade and cover the seed", (INOCULANT_IN_SHADE,)
        )
    if known.warmest_c is not None and known.warmest_c > store_below_c:
        yield CannotInoculate(
            "too_warm",
            f"the pack has been at {known.warmest_c:g} °C, and {store_below_c:g} °C is the most",
            "buy a pack that was kept cool, and carry it in a wet cloth",
            (INOCULANT_IN_SHADE, ASK_DEALER_OR_EXTENSION),
        )
