"""What a dressing that somebody has in mind would do: too much nitrogen, too little phosphorus, and what instead.

Sixty kilograms of 18-46-0 an acre are a common dressing and bring 26.7 kg of nitrogen a hectare, more than a
legume should get at sowing. The check names each shortfall and excess, and offers the cheapest mixture within
the limit.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from enum import StrEnum

from advisor.agronomy.errors import CannotBe
from advisor.agronomy.fertiliser_choice import CAUTIONS, FertiliserChoice, choose_fertiliser
from advisor.agronomy.fertiliser_figures import FertiliserProduct
from advisor.agronomy.fertiliser_need import Need
from advisor.agronomy.grades import delivered
from advisor.agronomy.nutrients import K2O, P2O5, N, Nutrients

#: An amount that is over or short by less than so many parts of it is neither.
_NOISE = 1e-9


class Flag(StrEnum):
    """What is wrong with a dressing."""

    OVER_N = "over_n"
    SHORT_P2O5 = "short_p2o5"
    SHORT_K2O = "short_k2o"


@dataclass(frozen=True, slots=True)
class DressingCheck:
    """A dressing against the need.

    Args:
        delivered: what it brings to a hectare.
        over_n: nitrogen above the limit.
        short_p2o5: P₂O₅ that is missing.
        short_k2o: K₂O that is missing.
        flags: what is wrong, none where nothing is.
        instead: the cheapest purchase without fault; None where nothing is wrong, or the list has none.
        cautions: keys of what must be said with it.
    """

    delivered: Nutrients
    over_n: N
    short_p2o5: P2O5
    short_k2o: K2O
    flags: tuple[Flag, ...]
    instead: FertiliserChoice | None
    cautions: tuple[str, ...] = CAUTIONS


def check_dressing(
    product: FertiliserProduct,
    kg: float,
    area_m2: float,
    need: Need,
    products: Sequence[FertiliserProduct],
    decimals: int,
) -> DressingCheck:
    """What is wrong with applying so much of a product, and what to buy instead.

    Args:
        product: the product.
        kg: what is to be applied to the plot [kg], 0 or more; what is bought and kept does not count.
        area_m2: the plot [m²], above 0.
        need: need of a hectare.
        products: the dealer's list.
        decimals: digits after the point in prices, 0 to 2.

    Returns:
        The check; an amount that meets its edge is not flagged.

    Raises:
        OutOfRange: a value that cannot be.
        MissingFigure: something is wrong, and there are no products on the list.

    Source:
        Arithmetic, and ``choose_fertiliser``.

    >>> from decimal import Decimal
    >>> from advisor.agronomy.fertiliser_need import Basis
    >>> from advisor.agronomy.grades import Grade
    >>> from advisor.agronomy.labels import Label
    >>> from advisor.agronomy.packs import Pack
    >>> bag = (Pack(50_000, Decimal(5200)),)
    >>> dap = FertiliserProduct("f1", Label("18-46-0"), Grade(18, 46, 0), 0.92, bag, None)
    >>> need = Need(P2O5(46), K2O(0), N(20), Basis.ZONE, P2O5(0))
    >>> check = check_dressing(dap, 60, 4046.8564224, need, [dap], 0)
    >>> round(check.delivered.n.kg_per_ha, 1), [str(flag) for flag in check.flags], check.instead.lines[0].product
    (26.7, ['over_n'], 'f1')
    """
    given = delivered(product.grade, kg, area_m2)
    over_n = given.n.less(need.n_limit)
    short_p2o5, short_k2o = need.p2o5.less(given.p2o5), need.k2o.less(given.k2o)
    wrong = (
        (Flag.OVER_N, over_n.kg_per_ha, need.n_limit.kg_per_ha),
        (Flag.SHORT_P2O5, short_p2o5.kg_per_ha, need.p2o5.kg_per_ha),
        (Flag.SHORT_K2O, short_k2o.kg_per_ha, need.k2o.kg_per_ha),
    )
    flags = tuple(flag for flag, amount, of in wrong if amount > _NOISE * (1 + of))
    instead = None
    if flags:
        with suppress(CannotBe):
            instead = choose_fertiliser(products, need, area_m2, decimals)
    return DressingCheck(given, over_n, short_p2o5, short_k2o, flags, instead)
