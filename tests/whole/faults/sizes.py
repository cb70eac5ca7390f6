"""How large the runs are: those of ``make faults``, and the small one of ``make test``."""

from __future__ import annotations

from tests.whole.faults.people import SOWING, SeasonSize
from tests.whole.faults.stage import Size

SEASON = SeasonSize(
    20_000, kills=60, kill_every_s=6.0, stops=400, per_second=100, senders=3, limit_s=900.0, answering=1_200
)
ROUNDS = Size(
    5_000, kills=15, kill_every_s=5.0, stops=150, newcomers=10, per_second=50, senders=3, quiet_after_s=40.0,
    quiet_for_s=20.0, limit_s=270.0, second_after=0.4,
)  # fmt: skip
#: Until all verdicts are told; the rest of the round is in the large one.
SMALL = SeasonSize(
    2_000, kills=8, kill_every_s=4.0, stops=40, limit_s=300.0, answering=44, sowing=SOWING[:1], last_day=-5
)
