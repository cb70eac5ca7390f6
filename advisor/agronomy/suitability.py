"""Before anything is bought: reasons not to sow this crop on this field.

Seed, inoculant and work are lost on sour or drowned soil, grain without a buyer is no income, and the same legume
twice running feeds its own diseases. Each is asked once and said plainly; what was not answered is named and never
taken as good. A reason is no ban: the grower decides, and knows before the money is spent.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from advisor.agronomy.limits import within
from advisor.agronomy.tables import Table


class Reason(StrEnum):
    """Why not to sow the crop here, the plainest first."""

    WATERLOGGED = "waterlogged"
    ACID_SOIL = "acid_soil"
    ALKALINE_SOIL = "alkaline_soil"
    SAME_CROP_LAST_YEAR = "same_crop_last_year"
    NO_MARKET = "no_market"


#: Soil in which the crop fails, so that seed and work are lost; the others can be mended before sowing.
_FAILS = frozenset({Reason.WATERLOGGED, Reason.ACID_SOIL, Reason.ALKALINE_SOIL})


class Verdict(StrEnum):
    """What the reasons come to."""

    YES = "yes"
    WITH_CARE = "with_care"
    NO = "no"


class Question(StrEnum):
    """What was not answered."""

    WATER = "water"
    SOIL = "soil"
    LAST_CROP = "last_crop"
    MARKET = "market"


@dataclass(frozen=True, slots=True)
class Site:
    """What is known of a field; None where it was not asked or not known.

    Args:
        soil_ph: acidity of the soil in water.
        seems_acid: what the grower or agent says where nobody measured: soil known as sour.
        waterlogged: whether water stands on it for days.
        last_crop: key of the crop of the last season, empty when it lay fallow.
        has_buyer: whether somebody buys the grain, or the household eats it.
    """

    soil_ph: float | None = None
    seems_acid: bool | None = None
    waterlogged: bool | None = None
    last_crop: str | None = None
    has_buyer: bool | None = None


@dataclass(frozen=True, slots=True)
class SoilLimits:
    """Soil that a crop bears.

    Args:
        ph_low: acidity under which it fails.
        ph_high: acidity over which it fails.
    """

    ph_low: float
    ph_high: float


@dataclass(frozen=True, slots=True)
class Suitability:
    """What speaks against the crop here.

    Args:
        reasons: why not to sow it, the plainest first.
        open_questions: what was not answered.
    """

    reasons: tuple[Reason, ...]
    open_questions: tuple[Question, ...]

    @property
    def verdict(self) -> Verdict:
        """``no`` where the soil lets the crop fail; ``with_care`` for another reason or an open question."""
        if _FAILS & {*self.reasons}:
            return Verdict.NO
        return Verdict.WITH_CARE if self.reasons or self.open_questions else Verdict.YES


def suitability(crop: str, limits: SoilLimits, site: Site) -> Suitability:
    """Reasons not to sow a crop on a field.

    Args:
        crop: key of the crop.
        limits: soil that it bears.
        site: what is known of the field.

    Returns:
        Reasons, and questions that are still open. A measured acidity decides over what the soil seems.

    Raises:
        OutOfRange: an acidity that no soil has.

    Source:
        Michigan State University: inoculation fails below pH 5.5 and above 8.0 and under water; good-practice
        booklets of Nigeria and Ethiopia: not two seasons running. Guides differ: 4.5 to 8.5 in Nigeria.

    >>> suitability("pea", SoilLimits(5.5, 8.0), Site(soil_ph=5.4, waterlogged=False, last_crop="pea"))
    ... # doctest: +NORMALIZE_WHITESPACE
    Suitability(reasons=(<Reason.ACID_SOIL: 'acid_soil'>, <Reason.SAME_CROP_LAST_YEAR: 'same_crop_last_year'>),
        open_questions=(<Question.MARKET: 'market'>,))
    """
    ph = site.soil_ph
    if ph is not None:
        within("soil pH", ph, 2, 12, "pH")
    acid = site.seems_acid if ph is None else ph < limits.ph_low
    speaks = {
        Reason.WATERLOGGED: site.waterlogged,
        Reason.ACID_SOIL: acid,
        Reason.ALKALINE_SOIL: ph is not None and ph > limits.ph_high,
        Reason.SAME_CROP_LAST_YEAR: site.last_crop == crop,
        Reason.NO_MARKET: site.has_buyer is False,
    }
    unanswered = {
        Question.WATER: site.waterlogged is None,
        Question.SOIL: acid is None,
        Question.LAST_CROP: site.last_crop is None,
        Question.MARKET: site.has_buyer is None,
    }
    return Suitability(
        tuple(reason for reason, against in speaks.items() if against),
        tuple(question for question, is_open in unanswered.items() if is_open),
    )


def read_soil_limits(table: Table) -> SoilLimits | None:
    """The soil that a crop bears, from the section ``[soil]`` of its file, None where it has none.

    Args:
        table: the whole file.

    Returns:
        The limits.

    Raises:
        Nothing: faults are noted in the table.

    Source:
        The project's own file format.

    >>> from advisor.agronomy.tables import read_table
    >>> read_soil_limits(read_table('key = "pea"', "crop", {})) is None
    True
    """
    row = table.optional_row("soil")
    if row is None:
        return None
    limits = SoilLimits(row.quantity("ph_low", "pH", 2, 12), row.quantity("ph_high", "pH", 2, 12))
    row.rising(("ph_low", limits.ph_low), ("ph_high", limits.ph_high))
    return limits
