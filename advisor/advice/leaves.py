"""Signs on leaves for a dialogue: from what a grower sees to the likely cause.

Each answer of the dialogue is one sign of the crop's file, so the cause is the calculator's and no flow's own. It
is told only where it explains more of what was seen than any other; where two explain as much nobody is told one
of them. How many of its signs were seen says how sure it is. No product is named: for those the pack and a
licensed dealer have the word.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from advisor.agronomy.cautions import ASK_DEALER_OR_EXTENSION
from advisor.agronomy.crop import Crop
from advisor.agronomy.errors import MissingFigure
from advisor.agronomy.leaf_signs import LeafSigns, leaf_causes
from advisor.dialogue.registry import Brings, Calculation, Condition, Sight, Takes
from advisor.wording.kinds import CountOf

#: The questions of the dialogue: what is seen, where it began, how it looks, what else, under the leaf, the spots.
_ASKED = ("leaf_kind", "leaf_first", "leaf_look", "leaf_more", "leaf_under", "leaf_spot")
#: Answers that name no sign: they only say which question comes next, or that nothing on the screen fits.
_NO_SIGN = ("pale", "spots", "flat", "none")


def leaves(signs: Sequence[LeafSigns], crop: Crop) -> tuple[Calculation, ...]:
    """The calculation of leaf signs.

    Args:
        signs: what is known of each crop's leaves.
        crop: the crop whose leaves are looked at.
    """
    runs = _Leaves(next((each for each in signs if each.crop == crop.key), None))
    known = dict.fromkeys(sign.key for each in signs for sign in each.signs)
    most = max((len(cause.shows) for each in signs for cause in each.causes), default=1)
    return (
        Calculation(
            "leaf_cause",
            ("leaf_kind",),
            _ASKED[1:],
            (("fits", CountOf(most)),),
            runs.cause,
            also=("cause",),
            sometimes=("fits",),
            takes=tuple(Takes(name, values=(*known, *_NO_SIGN)) for name in _ASKED),
            brings=(Brings(ASK_DEALER_OR_EXTENSION),),
        ),
    )


def conditions(signs: Sequence[LeafSigns]) -> tuple[Condition, ...]:
    """The conditions on leaves that flows may name: one for each cause that any crop's file has.

    Args:
        signs: what is known of each crop's leaves.
    """
    causes = dict.fromkeys(cause.key for each in signs for cause in each.causes)
    return tuple(_is(key) for key in causes)


def _is(key: str) -> Condition:
    return Condition(f"leaf_has_{key}", ("cause",), lambda sight: sight["cause"] == key, ("fits",))


@dataclass(frozen=True, slots=True)
class _Leaves:
    """The calculation itself, bound to the signs of a crop."""

    signs: LeafSigns | None

    def cause(self, sight: Sight, _now: datetime) -> Mapping[str, object]:
        """The key of the cause and how many of its signs were seen; an empty key where it is not clear."""
        if self.signs is None:
            raise MissingFigure("leaf_signs", "add a file of leaf signs for the crop")
        seen = [str(sight[name]) for name in _ASKED if name in sight and sight[name] not in _NO_SIGN]
        likely = leaf_causes(self.signs, seen).likely if seen else ()
        if not likely or any(len(each.seen) == len(likely[0].seen) for each in likely[1:]):
            return {"cause": ""}
        first = likely[0]
        return {"cause": first.cause.key, "fits": (len(first.seen), len(first.cause.shows))}
