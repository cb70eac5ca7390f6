"""What an agent brings to a visit, or sees to: grain to keep back for seed that is not tested, and other seed.

Both are those of the grower's own buy list, as it says them, added up over the fields that a lot of seed is for
and that are not sown yet.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from advisor.agronomy.buylist import BuyList, Lot, Origin, Settled
from advisor.agronomy.crop import Crop
from advisor.agronomy.errors import AgronomyError
from advisor.agronomy.germination import SeedTest
from advisor.agronomy.programme import Programme
from advisor.campaign.seen import SeenPlot
from advisor.wording.numbers import trimmed

#: Decimals that a buy list says kilograms of seed and grain with, at most.
MASS_DECIMALS = 1


@dataclass(frozen=True, slots=True)
class Bringing:
    """Reckons what is brought.

    Args:
        programme: rules and products.
        crop: the crop that is sown.
        spacings: places of the programme's spacings by their keys; any other key is the usual one.
    """

    programme: Programme
    crop: Crop
    spacings: Mapping[str, int] = field(default_factory=lambda: MappingProxyType({}))
    _settled: dict[tuple[Lot, int], Settled] = field(init=False, compare=False, repr=False, default_factory=dict)

    def grain_kg(self, plots: Iterable[SeenPlot]) -> float | None:
        """Raw grain to keep back for fields, of seed of one's own that nobody has tested [kg, to a tenth].

        Args:
            plots: the fields.

        Returns:
            None where the size of no field is known, or the programme takes no field of such a size.
        """
        return self._kg(Lot(Origin.SAVED), plots, lambda bought: bought.grain_kg or 0.0)

    def seed_kg(self, test: SeedTest, plots: Iterable[SeenPlot]) -> float | None:
        """Other seed for fields whose own has failed its test [kg, to a tenth].

        Args:
            test: the test that failed.
            plots: the fields.

        Returns:
            As `grain_kg`.
        """
        return self._kg(Lot(Origin.SAVED, test), plots, lambda bought: bought.seed_kg)

    def _kg(self, lot: Lot, plots: Iterable[SeenPlot], of: Callable[[BuyList], float]) -> float | None:
        known = [(plot.area_m2, self.spacings.get(plot.spacing, 0)) for plot in plots if plot.area_m2 is not None]
        try:
            lists = [self._settled_of(lot, spacing).buy_list(area_m2) for area_m2, spacing in known]
        except AgronomyError:
            return None  # the grower's own list refuses it as well
        # each rounded as the grower's list says it, so that the sum is that of the numbers that the grower heard
        return float(sum(trimmed(of(one), MASS_DECIMALS) for one in lists)) if lists else None

    def _settled_of(self, lot: Lot, spacing: int) -> Settled:
        found = self._settled.get((lot, spacing))
        if found is None:
            found = self._settled[lot, spacing] = Settled.of(self.programme, self.crop, lot, spacing)
        return found
