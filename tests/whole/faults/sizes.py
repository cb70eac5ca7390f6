"""How large the runs are: those of ``make faults``, and the small one of ``make test``."""

from __future__ import annotations

from tests.whole.faults.people import SOWING, SeasonSize
from tests.whole.faults.stage import Size

#: The time of all runs together.
ALL_S = 1170.0
SEASON = SeasonSize(20_000, kills=60, stops=400, per_second=100, senders=3, limit_s=900.0, answering=400)
ROUNDS = Size(
    2_500, kills=12, kill_every_s=5.0, stops=80, newcomers=10, per_second=50, senders=3, quiet_after_s=20.0,
    quiet_for_s=20.0, limit_s=500.0, second_after=0.4,
)  # fmt: skip
#: Until all verdicts are told; the rest of the round is in the large one.
SMALL = SeasonSize(2_000, kills=8, stops=40, limit_s=500.0, answering=44, sowing=SOWING[:1], last_day=-5)
