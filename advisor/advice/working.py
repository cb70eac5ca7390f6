"""An agent's work by phone: who may do it, and counts that cannot be."""

from __future__ import annotations

from advisor.dialogue import charge
from advisor.dialogue.registry import Condition, Sight

#: Where the dialogue keeps how an agent stands to the work behind the PIN.
_DESK = "grower.desk"


def conditions() -> tuple[Condition, ...]:
    """The conditions on an agent's work that flows may name."""

    def at(name: str, *desks: str) -> Condition:
        return Condition(name, (), lambda sight: sight.get(_DESK) in desks)

    return (
        Condition("is_agent", (), lambda sight: _DESK in sight),
        at("is_at_work", "open"),
        at("has_no_pin", "no_pin"),
        at("pin_is_locked", "locked"),
        Condition("more_up_than_sown", (), _more_up_than_sown),
        Condition("last_below_first", (), _last_below_first),
        Condition("charge_has_bags", (), lambda sight: len(charge.bags(sight)) > 1),
        Condition("charge_lacks_bag", (), lambda sight: charge.bag_meant(sight) not in charge.bags(sight)),
    )


def _more_up_than_sown(sight: Sight) -> bool:
    """Whether more are up than were sown, as far as it is known how many were."""
    sown, up = charge.known(sight, "lot.test_sown"), sight.get("first_up")
    return isinstance(sown, int) and isinstance(up, int) and up > sown


def _last_below_first(sight: Sight) -> bool:
    """Whether the last count is below the first: seedlings that were up do not go back, so one is a slip."""
    early, last = charge.known(sight, "lot.early"), sight.get("last_up")
    return isinstance(early, int) and isinstance(last, tuple) and last[0] < early
