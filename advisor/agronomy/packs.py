"""Packs on sale, and the cheapest of them that cover a quantity: exact, never a guess."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from math import gcd

from advisor.agronomy.errors import CannotBe, MissingFigure
from advisor.agronomy.limits import LARGEST, SMALLEST, within
from advisor.agronomy.money import MOST_MONEY

#: Steps of a search for packs: some 260 t where all packs are whole kilograms, and still within a second.
MOST_UNITS = 2**18
#: Shares that a quantity is needed in: days of a plan, or neighbours.
_MOST_SHARES = 10_000
#: More than any dealer holds, where one size leaves nothing to search [g].
_MOST_OF_ONE_SIZE_G = 10**12


@dataclass(frozen=True, slots=True)
class Pack:
    """A pack on sale.

    Args:
        size: content in grams, a whole number above 0.
        price: price of one pack, above 0.

    Raises:
        CannotBe: a size or price that no dealer can have.

    >>> Pack(250, Decimal("350"))
    Pack(size=250, price=Decimal('350'))
    """

    size: int
    price: Decimal

    def __post_init__(self) -> None:
        if self.size < 1:
            raise CannotBe(
                "pack_size", f"a pack of {self.size} g holds nothing", "give its size in grams, 1 or more"
            )
        if self.size >= LARGEST:
            raise CannotBe("pack_size", f"a pack of {self.size} g cannot be", "give its size in grams, below 1e9")
        if not self.price.is_finite() or not SMALLEST < self.price <= MOST_MONEY:
            raise CannotBe(
                "pack_price",
                f"a pack cannot cost {self.price}",
                "give the dealer's price, above 1e-9 and at most 1e12",
            )


@dataclass(frozen=True, slots=True)
class Purchase:
    """Packs to buy.

    Args:
        lines: packs and how many of each, largest first, none with a count of 0.
        cost: what they cost together.
        surplus: grams bought beyond the need.
    """

    lines: tuple[tuple[Pack, int], ...]
    cost: Decimal
    surplus: int


def cheapest_purchase(packs: Sequence[Pack], quantity_g: int, shares: int = 1) -> Purchase:
    """The cheapest packs that cover a quantity; on a tie the fewest packs, then the least surplus.

    Args:
        packs: packs on sale, at least one; any number of each can be had.
        quantity_g: grams to cover, 0 or more.
        shares: equal shares that the quantity is needed in, 1 or more; no pack serves more than one share.

    Returns:
        What to buy.

    Raises:
        MissingFigure: no packs on sale.
        OutOfRange: a quantity below 0 or of more than ``MOST_UNITS`` steps of the packs, or shares that are
            not 1 to 10,000.

    Source:
        Own formulation, a covering problem solved by dynamic programming: an optimal purchase without one of
        its packs is optimal for what that pack did not cover.

    >>> bags = [Pack(2000, Decimal(240)), Pack(5000, Decimal(575)), Pack(25000, Decimal(2600))]
    >>> [(pack.size, count) for pack, count in cheapest_purchase(bags, 29_000).lines]
    [(25000, 1), (2000, 2)]
    """
    if not packs:
        raise MissingFigure("packs on sale", "add at least one pack with its price to the programme file")
    unit_g = gcd(*(pack.size for pack in packs))
    within("quantity", quantity_g, 0, MOST_UNITS * unit_g if len(packs) > 1 else _MOST_OF_ONE_SIZE_G, "g")
    within("shares", shares, 1, _MOST_SHARES, "1")
    if len(packs) == 1:
        # As much as is needed, and one for each share: with one size there is nothing to choose.
        bought: Sequence[tuple[Pack, int]] = ((packs[0], max(-(-quantity_g // packs[0].size), shares)),)
        lines = tuple(bought) if quantity_g else ()
    elif shares == 1:
        lines = _lines(tuple(packs), unit_g, -(-quantity_g // unit_g))
    else:
        lines = _in_order(_chosen(packs, quantity_g, shares))
    cost, size = Decimal(0), 0
    for pack, count in lines:
        cost += pack.price * count
        size += pack.size * count
    return Purchase(lines, cost, size - quantity_g)


@lru_cache(maxsize=4096)
def _lines(packs: tuple[Pack, ...], unit_g: int, units: int) -> tuple[tuple[Pack, int], ...]:
    """The packs of the cheapest cover of so many units; all quantities up to a unit buy alike."""
    return _in_order(_Covers(packs, units * unit_g).packs_for(units * unit_g))


def _in_order(chosen: Sequence[Pack]) -> tuple[tuple[Pack, int], ...]:
    counts = Counter(chosen)
    return tuple((pack, counts[pack]) for pack in sorted(counts, key=lambda pack: (-pack.size, pack.price)))


def _chosen(packs: Sequence[Pack], quantity_g: int, shares: int) -> list[Pack]:
    """The best of every split between packs that serve a whole share and packs that do not.

    All packs that serve a whole share serve alike, so only the cheapest of them is ever bought.
    """
    whole = sorted((pack for pack in packs if pack.size * shares >= quantity_g), key=lambda p: (p.price, p.size))
    parts = _Covers([pack for pack in packs if pack.size * shares < quantity_g], quantity_g)
    options = []
    for count in range(shares + 1 if whole else 1):
        rest_g, whole_packs = -(-(shares - count) * quantity_g // shares), whole[:1] * count
        if parts.can_cover(rest_g):
            options.append(whole_packs + parts.packs_for(rest_g))
    return min(options, key=_worth)


def most_packs(packs: Sequence[Pack], most_g: int) -> tuple[tuple[Pack, int], ...]:
    """How many of each pack the cheapest purchase of any quantity can hold.

    Args:
        packs: packs on sale, at least one.
        most_g: largest quantity [g], 0 or more.

    Returns:
        Each pack and the most of it in any purchase of 0 to ``most_g``.

    Raises:
        MissingFigure: no packs on sale.
        OutOfRange: a quantity below 0 or of more than ``MOST_UNITS`` steps of the packs.

    Source:
        As ``cheapest_purchase``, read off for every quantity.

    >>> bags = [Pack(2000, Decimal(240)), Pack(5000, Decimal(575))]
    >>> [(pack.size, count) for pack, count in most_packs(bags, 30_000)]
    [(2000, 4), (5000, 6)]
    """
    if not packs:
        raise MissingFigure("packs on sale", "add at least one pack with its price to the programme file")
    within("quantity", most_g, 0, MOST_UNITS * gcd(*(pack.size for pack in packs)), "g")
    return tuple(zip(packs, _Covers(packs, most_g).most_of_each(), strict=True))


def _worth(packs: Sequence[Pack]) -> tuple[Decimal, int, int]:
    return sum((pack.price for pack in packs), Decimal(0)), len(packs), sum(pack.size for pack in packs)


#: Lists of picks are made for at least so many units; a longer list is as long as the next power of two.
_FEWEST_PICKS = 256


class _Covers:
    """The cheapest cover of every quantity up to a limit, counted in the largest unit that all sizes share."""

    def __init__(self, packs: Sequence[Pack], most_g: int) -> None:
        self._packs = packs
        self._unit_g = gcd(*(pack.size for pack in packs)) or 1
        # the picks for a quantity are the same in every longer list, so one list serves all quantities up to it
        self._most = -(-most_g // self._unit_g)
        made_for = max(_FEWEST_PICKS, 1 << self._most.bit_length())
        self._picks = _best_picks(tuple(packs), self._unit_g, made_for) if packs else (0,)

    def can_cover(self, grams: int) -> bool:
        return grams == 0 or bool(self._packs)

    def packs_for(self, grams: int) -> list[Pack]:
        chosen = []
        left = -(-grams // self._unit_g)
        while left > 0:
            chosen.append(self._packs[self._picks[left]])
            left -= chosen[-1].size // self._unit_g
        return chosen

    def most_of_each(self) -> list[int]:
        """Of every pack, the most in a cover of any quantity up to the limit."""
        counts = [(0,) * len(self._packs)]
        for units, pick in enumerate(self._picks[1 : self._most + 1], 1):
            rest = counts[max(0, units - self._packs[pick].size // self._unit_g)]
            counts.append((*rest[:pick], rest[pick] + 1, *rest[pick + 1 :]))
        return [max(column) for column in zip(*counts, strict=True)]


@lru_cache(maxsize=64)
def _best_picks(packs: tuple[Pack, ...], unit_g: int, most: int) -> tuple[int, ...]:
    """For every quantity up to the most, in units, a pack of its cheapest cover."""
    offers = [
        (pack.size // unit_g, price, pick)
        for pick, (pack, price) in enumerate(zip(packs, _whole_prices(packs), strict=True))
    ]
    best, picks = [(0, 0, 0)], [0]
    for units in range(1, most + 1):
        cost, count, size, pick = min(
            (rest[0] + price, rest[1] + 1, rest[2] + covered, pick)
            for covered, price, pick in offers
            for rest in (best[max(0, units - covered)],)
        )
        best.append((cost, count, size))
        picks.append(pick)
    return tuple(picks)


def _whole_prices(packs: Sequence[Pack]) -> list[int]:
    """Prices as whole numbers of one small coin, so that sums are exact and quick."""
    places = max(0, *(-int(pack.price.as_tuple().exponent) for pack in packs))
    return [int(pack.price.scaleb(places)) for pack in packs]
