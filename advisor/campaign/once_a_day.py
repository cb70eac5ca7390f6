"""Nobody is asked the same twice on one day.

A holiday puts a question off to the morning of its own reminder, and a round that is started late warns on a day
that has a reminder as well. Who has just been asked, and has not answered yet, is not asked again before the next
day; a message that asks nothing, or something else, comes nevertheless.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, tzinfo
from itertools import takewhile
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from advisor.campaign.deciding import Window


def asked_again(
    sent: Window, at: datetime, coming: Iterable[tuple[datetime, Window]], zone: tzinfo
) -> tuple[Window, ...]:
    """Questions that are left out since one about the same was sent earlier on their day.

    Two questions are about the same where they lead to one dialogue, and about a bag of seed that both are of.

    Args:
        sent: what is sent.
        at: when.
        coming: pairs of moment and window of what would be sent later, in order of time.
        zone: the zone of the programme, whose days count.
    """
    if not sent.step.asks:
        return ()
    day = at.astimezone(zone).date()
    on_this_day = takewhile(lambda later: later[0].astimezone(zone).date() == day, coming)
    return tuple(window for _, window in on_this_day if _same(sent, window))


def to_the_silent(windows: Iterable[Window], now: datetime, zone: tzinfo) -> list[tuple[datetime, Window]]:
    """What is sent from a moment on to a grower who answers nothing, each with its moment.

    Args:
        windows: all that is to come, in order of time.
        now: the moment.
        zone: the zone of the programme.
    """
    # of what is due at one moment only the last is sent
    left = {max(window.since, now): window for window in windows if window.until >= now and not window.step.closes}
    found: list[tuple[datetime, Window]] = []
    while left:
        at = min(left)
        sent = left.pop(at)
        found.append((at, sent))
        again = asked_again(sent, at, left.items(), zone)
        left = {moment: window for moment, window in left.items() if window not in again}
    return found


def _same(one: Window, other: Window) -> bool:
    if not one.step.asks or not other.step.asks:
        return False
    dialogues = (one.step.asks.partition(".")[0], other.step.asks.partition(".")[0])
    return dialogues[0] == dialogues[1] and (one.bags == other.bags or not set(one.bags).isdisjoint(other.bags))
