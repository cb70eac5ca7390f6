"""What calculations and answers declare of their values, so that every text can be proven to fit."""

from __future__ import annotations

from advisor.wording.errors import BeyondScale, NotOfKind, UnfitKind
from advisor.wording.kinds.digits import Digits
from advisor.wording.kinds.kind import Kind
from advisor.wording.kinds.lists import CountOf, Day, OneOf, Packs
from advisor.wording.kinds.scales import Area, Length, Mass, Money, Number, Percent, Whole

__all__ = [
    "Area",
    "BeyondScale",
    "CountOf",
    "Day",
    "Digits",
    "Kind",
    "Length",
    "Mass",
    "Money",
    "NotOfKind",
    "Number",
    "OneOf",
    "Packs",
    "Percent",
    "UnfitKind",
    "Whole",
]
