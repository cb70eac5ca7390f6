"""Why a walk through the screens cannot go on."""

from __future__ import annotations

from advisor.agronomy.errors import AgronomyError
from advisor.dialogue.talk import Spot
from advisor.wording.errors import BeyondScale

#: What a calculation, or the bounds it declares, may refuse.
REFUSED = (AgronomyError, BeyondScale)


class Missing(Exception):  # noqa: N818 - it is caught by the step, which asks for the value
    """A value that a calculation or a text needs is not known.

    Args:
        name: the value.
    """

    def __init__(self, name: str) -> None:
        super().__init__(f"'{name}' is not known: ask for it on an earlier screen")
        self.name = name


class Stuck(Exception):  # noqa: N818
    """No way leads on; a checked book never gets here.

    Args:
        spot: where the walk stands.
    """

    def __init__(self, spot: Spot) -> None:
        super().__init__(f"no way leads on from {spot.flow}.{spot.screen}: give it a last way without a condition")
        self.spot = spot
