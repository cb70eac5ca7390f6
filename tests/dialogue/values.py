"""A random legal value of any kind, for laws that hold for all of them."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

from advisor.wording.kinds import CountOf, Day, Digits, Money, OneOf, Packs, Percent, Whole
from advisor.wording.kinds.scales import Area, Length, Mass, Number

#: One value in so many lies at an end of its span, where texts are longest.
_ENDS = 20


def any_value(kind, random):
    """A value of a kind, drawn so that small and large ones both come, and the ends more often than by chance.

    A kind that is new must be added here: a law that leaves it out would not be one.
    """
    at_an_end = not random.randrange(_ENDS)
    if isinstance(kind, Whole):
        return random.choice((kind.low, kind.high)) if at_an_end else random.randint(kind.low, kind.high)
    if isinstance(kind, Area | Mass | Length | Number):
        return _between(*_ends(kind), random)
    if isinstance(kind, Money):
        cents = random.randint(int(kind.low * 100), int(kind.high * 100))
        return random.choice((kind.low, kind.high)) if at_an_end else Decimal(cents) / 100
    if isinstance(kind, Percent):
        return random.choice((0, 1)) if at_an_end else random.random()
    if isinstance(kind, CountOf):
        sown = random.randint(1, kind.most)
        return random.randint(0, sown), sown
    if isinstance(kind, OneOf):
        return random.choice(kind.labels)[0]
    if isinstance(kind, Packs):
        on_sale = [(size, most) for size, most in kind.sizes if most]
        chosen = random.sample(on_sale, random.randint(0, min(len(on_sale), kind.most_lines)))
        return tuple((size, random.randint(1, most)) for size, most in chosen)
    if isinstance(kind, Digits):
        return "".join(random.choice("0123456789") for _ in range(kind.count))
    if isinstance(kind, Day):
        return date(2024, 1, 1) + timedelta(days=random.randrange(366))
    raise AssertionError(f"any_value does not know the kind {type(kind).__name__}: add it")


def _ends(kind):
    return {
        Area: lambda: (kind.low_m2, kind.high_m2),
        Mass: lambda: (kind.low_kg, kind.high_kg),
        Length: lambda: (kind.low_m, kind.high_m),
        Number: lambda: (kind.low, kind.high),
    }[type(kind)]()


def _between(low, high, random):
    low, high = float(low), float(high)
    if not random.randrange(_ENDS):
        return random.choice((low, high))
    drawn = random.uniform(low, high) * (1 if random.randrange(3) else random.random() ** 3)
    return min(max(drawn, low), high)
