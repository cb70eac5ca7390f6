"""Ways to buy one fertiliser: whole bags, a share of a bag, loose; and the least that each amount of it costs.

Bags, shares and scoops are all packs of a size and a price, so the least cost of an amount is one exact search.
Kept of it are the levels: amounts for which more would cost more. Between two of them nobody buys.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from functools import lru_cache
from math import gcd

from advisor.agronomy.fertiliser_figures import FertiliserProduct
from advisor.agronomy.limits import within
from advisor.agronomy.money import paid
from advisor.agronomy.packs import MOST_UNITS, Pack

#: What a village scale shows.
_WEIGHED_G = 500
#: Levels are made for at least so many units; for more, for the next power of two.
_FEWEST_UNITS = 256


class Sale(StrEnum):
    """How a part of a product is bought."""

    BAG = "bag"
    SHARE = "share"
    LOOSE = "loose"


@dataclass(frozen=True, slots=True)
class Offer:
    """One way to buy a product.

    Args:
        sale: whole bag, share of a bag, or loose.
        pack: content and price.
    """

    sale: Sale
    pack: Pack


@dataclass(frozen=True, slots=True)
class Levels:
    """What amounts of one product cost at least; all lists run together and rise.

    Args:
        grams: amounts, the first is 0.
        costs: what each costs at least, in the smallest coin.
        unit_g: grams of a unit; every amount is a whole number of them.
        picks: for every number of units the index of an offer in its cheapest cover.
    """

    grams: tuple[int, ...]
    costs: tuple[int, ...]
    unit_g: int
    picks: tuple[int, ...]


def offers_of(product: FertiliserProduct, sharers: int, decimals: int) -> tuple[Offer, ...]:
    """All ways to buy a product.

    Args:
        product: the product.
        sharers: growers who split bags evenly among them, 1 for nobody else, at most 20.
        decimals: digits after the point in prices, 0 to 2.

    Returns:
        Whole bags, shares of a bag where there are sharers, and scoops where it is sold loose. A part of a coin is
        paid as a coin, and a share is weighed out to half a kilogram, downward.

    Raises:
        OutOfRange: sharers or decimals that cannot be.

    Source:
        Own choice.

    >>> from advisor.agronomy.grades import Grade
    >>> from advisor.agronomy.labels import Label
    >>> bag = Pack(50_000, Decimal(4601))
    >>> product = FertiliserProduct("f", Label("f"), Grade(0, 46, 0), 1.0, (bag,), None)
    >>> [(str(offer.sale), offer.pack.size, offer.pack.price) for offer in offers_of(product, 2, 0)]
    [('bag', 50000, Decimal('4601')), ('share', 25000, Decimal('2301'))]
    """
    within("sharers", sharers, 1, 20, "1")
    offers = [Offer(Sale.BAG, pack) for pack in product.packs]
    if sharers > 1:
        offers += [
            Offer(Sale.SHARE, Pack(share_g, paid(pack.price / sharers, decimals)))
            for pack in product.packs
            if (share_g := pack.size // sharers // _WEIGHED_G * _WEIGHED_G)
        ]
    if product.scoop is not None:
        offers.append(Offer(Sale.LOOSE, product.scoop))
    return tuple(offers)


def coins(price: Decimal, decimals: int) -> int:
    """A price in the smallest coin.

    Args:
        price: the price, a whole number of coins.
        decimals: digits after the point in prices, 0 to 2.

    Returns:
        Coins.

    Raises:
        OutOfRange: decimals that cannot be.

    Source:
        Arithmetic.

    >>> coins(Decimal("12.5"), 2)
    1250
    """
    return int(price.scaleb(int(within("decimals", decimals, 0, 2, "1"))))


def levels_up_to(offers: Sequence[Offer], most_g: int, decimals: int) -> Levels:
    """Amounts of a product that are worth buying, up to the first that is enough.

    Args:
        offers: ways to buy it, at least one.
        most_g: amount that is enough [g], 0 or more.
        decimals: digits after the point in prices, 0 to 2.

    Returns:
        The levels, at least up to ``most_g``; they are kept for the next time.

    Raises:
        OutOfRange: decimals that cannot be.

    Source:
        As ``cheapest_purchase``.

    >>> bags = Offer(Sale.BAG, Pack(25_000, Decimal(2500))), Offer(Sale.BAG, Pack(50_000, Decimal(4600)))
    >>> found = levels_up_to(bags, 100_000, 0)
    >>> found.grams[:5], found.costs[:5]
    ((0, 25000, 50000, 75000, 100000), (0, 2500, 4600, 7100, 9200))
    """
    return levels_of(tuple((offer.pack.size, coins(offer.pack.price, decimals)) for offer in offers), most_g)


def levels_of(packs: tuple[tuple[int, int], ...], most_g: int) -> Levels:
    """As ``levels_up_to``, from bare numbers.

    Args:
        packs: grams and coins of every way to buy a product, at least one.
        most_g: amount that is enough [g], 0 or more.

    Returns:
        The levels, at least up to ``most_g``.

    Raises:
        OutOfRange: an amount of more than ``MOST_UNITS`` steps of the packs.

    Source:
        As ``levels_up_to``.

    >>> levels_of(((25_000, 2500),), 60_000).grams[:4]
    (0, 25000, 50000, 75000)
    """
    unit_g = gcd(*(size for size, _ in packs))
    within("fertiliser", most_g, 0, MOST_UNITS * unit_g, "g")
    # One pack more than enough, so that the amount that is enough is surely below the last level.
    units = -(-most_g // unit_g) + max(size for size, _ in packs) // unit_g
    return _levels(packs, unit_g, max(_FEWEST_UNITS, 1 << units.bit_length()))


def bought(offers: Sequence[Offer], levels: Levels, grams: int) -> tuple[tuple[Offer, int], ...]:
    """The bags, shares and scoops of a level.

    Args:
        offers: the offers that the levels were made of.
        levels: the levels.
        grams: one of their amounts.

    Returns:
        Offers and how many of each, in the order of the offers; none with a count of 0.

    Raises:
        Nothing.

    Source:
        As ``cheapest_purchase``.

    >>> bags = Offer(Sale.BAG, Pack(25_000, Decimal(2500))), Offer(Sale.BAG, Pack(50_000, Decimal(4600)))
    >>> [(offer.pack.size, count) for offer, count in bought(bags, levels_up_to(bags, 75_000, 0), 75_000)]
    [(25000, 1), (50000, 1)]
    """
    counts = [0] * len(offers)
    left = grams // levels.unit_g
    while left > 0:
        pick = levels.picks[left]
        counts[pick] += 1
        left -= offers[pick].pack.size // levels.unit_g
    return tuple((offer, count) for offer, count in zip(offers, counts, strict=True) if count)


@lru_cache(maxsize=256)
def _levels(packs: tuple[tuple[int, int], ...], unit_g: int, most: int) -> Levels:
    """The cheapest cover of every number of units, and of it the amounts before the cost rises."""
    sized = [(size // unit_g, price, pick) for pick, (size, price) in enumerate(packs)]
    best, picks = [(0, 0)], [0]
    for units in range(1, most + 1):
        cost, count, pick = min(
            (rest[0] + price, rest[1] + 1, pick)
            for size, price, pick in sized
            for rest in (best[max(0, units - size)],)
        )
        best.append((cost, count))
        picks.append(pick)
    tops = [at for at in range(most) if best[at][0] < best[at + 1][0]]
    return Levels(tuple(at * unit_g for at in tops), tuple(best[at][0] for at in tops), unit_g, tuple(picks))
