"""What growers of a place harvest, and what grain fetches there, for dialogues about harvest and seed."""

from __future__ import annotations

from advisor.agronomy.budget_figures import Budget
from advisor.agronomy.errors import MissingFigure
from advisor.agronomy.programme import Programme
from advisor.dialogue.registry import Sight


def budgets_for(programme: Programme, crop: str, sight: Sight) -> tuple[Budget, ...]:
    """The budgets that can be meant: of the zone of the grower's village, or of every zone while it is not known.

    Args:
        programme: its budgets and villages.
        crop: key of the crop.
        sight: ``grower.village`` where it is known.

    Raises:
        MissingFigure: the programme has none; the phone says that there are no figures for the place.
    """
    village = programme.village(str(sight.get("grower.village", "")))
    found = tuple(
        each for each in programme.budgets if each.crop == crop and (village is None or each.zone == village.zone)
    )
    if not found:
        raise no_figures("add a [[budgets]] table of the crop and zone to the programme file")
    return found


def no_figures(instead: str) -> MissingFigure:
    """Whatever lacks, the phone says one thing: that there are no figures for the place."""
    return MissingFigure("place", instead)
