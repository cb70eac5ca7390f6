"""The buckets that give no trouble: what is wrong in one holds no other back."""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

from advisor.service.damage import Damage
from advisor.service.journal import log_event, place_of
from advisor.store.api import StoreDamaged, StoreUnavailable

#: So many buckets in a row that do not answer mean that the store is away, not a part of it.
AWAY_MOST = 3


@dataclass(slots=True)
class Sound:
    """The buckets that gave no trouble in this round.

    Args:
        damage: told of damaged keys.
        away: the last bucket's not answering, None where all did.
    """

    damage: Damage
    away: StoreUnavailable | None = None
    _left_out: set[int] = field(default_factory=set)
    _away_in_a_row: int = 0

    def among(self, buckets: Iterable[int]) -> tuple[int, ...]:
        """Those that may be worked on."""
        return tuple(bucket for bucket in buckets if bucket not in self._left_out)

    def counted(self, work: str, action: Callable[[int], int], bucket: int) -> int:
        """Does one bucket's work; one that gives trouble is left out of what remains of the round."""
        try:
            done = action(bucket)
        except StoreUnavailable as error:
            self.away = error
            self._away_in_a_row += 1
            if self._away_in_a_row >= AWAY_MOST:
                raise
        except StoreDamaged as error:
            self.damage.met(error.key)
        except Exception as error:
            fault, place = type(error).__name__, place_of(error)
            log_event(
                "round", level=logging.ERROR, outcome="fault", work=work, bucket=bucket, fault=fault, place=place
            )
        else:
            self._away_in_a_row = 0
            return done
        self._left_out.add(bucket)
        return 0
