"""The judge of a season: who should have got which step of the seed-test round, and what became of each answer.

It reads three files of JSON lines and nothing else, and imports nothing of the service. The timeline, and the
words by which an answer is known to have been taken, are written down here anew:

- what the gateway was handed, as in `tests.whole.faults.judge`;
- growers: first ``{"texts": {step: [template, …]}, "started", "ended"}``, then of each
  ``{"number", "sows", "has_field", "bought", "at_once", "told": [{"at", "by", "typed", "means", "page"}]}``,
  what she told, when it was acknowledged, what it means, and on a call the page that came of it;
- stops: ``{"number", "at"}``.

``python -m tests.whole.faults.season_judge sent.jsonl growers.jsonl stops.jsonl Etc/GMT-3 20:00:00 06:30:00`` says
what it found and ends with 1 where a promise is broken.
"""

from __future__ import annotations

import re
import sys
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from datetime import date, datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from tests.whole.faults.judge import AFTER_STOP_S, TAKEN, Night, rows, verdict_on

#: So many messages of the round to a grower who answers at once.
PAID_MOST = 7
#: What the moments of two processes may differ by.
_SLACK_S = 2.0


@dataclass(frozen=True)
class Step:
    """A line of the timeline.

    Args:
        key: its name.
        of: ``sows`` or ``test_day``, the day that it counts from.
        day: so many days after it.
        at: by the clock of the place.
        good_h: hours for which it is of use.
        unless: nothing of this may be known.
        only: all of this must be.
        again: days after which it comes once more, if ever.
    """

    key: str
    of: str
    day: int
    at: str = "08:00"
    good_h: int = 14
    unless: tuple[str, ...] = ()
    only: tuple[str, ...] = ()
    again: int = 0


_UNTESTED = ("test", "test_day", "bought")
TIMELINE = (
    Step("season", "sows", -21, good_h=72, unless=("test_day",)),
    Step("sort", "sows", -16, "17:00", 20, _UNTESTED),
    Step("remind", "sows", -14, good_h=24, unless=_UNTESTED, again=2),
    Step("last", "sows", -10, unless=_UNTESTED),
    Step("how_many", "test_day", 1, good_h=72, unless=("sown",)),
    Step("early", "test_day", 5, unless=("early",), only=("sown",)),
    Step("early_again", "test_day", 6, unless=("early",), only=("sown",)),
    Step("final", "test_day", 8, only=("sown",)),
    Step("final_again", "test_day", 9, only=("sown",), again=1),
    Step("list", "sows", -6, "16:00", 48, only=("has_field",)),
    Step("buy_by", "sows", -5, "16:00", 48, unless=("has_field",)),
    Step("pick_up", "sows", -3, "10:00", 36),
    Step("rain", "sows", -1, "15:00", 14, ("test",)),
    Step("stand", "sows", 8, good_h=72),
)
_PLACES = {step.key: place for place, step in enumerate(TIMELINE)}
#: What whoever has told this is not asked for any more.
ASKS = {
    "test_day": ("sort", "remind", "last"),
    "sown": ("how_many",),
    "early": ("early", "early_again"),
    "right": ("final", "final_again"),
}
#: A grower's own list says how much to buy or to keep back for her field.
_LIST = re.compile(r"(?s)\bacres?\b.*\bkg\b")
_VERDICT = re.compile(r"^(?:\d+|None) of \d+ grew|^None of \d+")


@dataclass(frozen=True)
class Judgement:
    """What a season comes to.

    Args:
        requests: all that the gateway was handed.
        sent: messages of the round that it took, each id once.
        expected: those that growers should have got who never stopped.
        lost: expected and never taken.
        repeated: requests beyond the first under an id, which is allowed.
        doubled: grower, step and day under more than one id.
        unasked: messages of the round that nobody should have got.
        mistimed: requests of the round before their time, or when they were of no use any more.
        at_night: requests of the round within quiet hours.
        after_stop: requests begun later than a second after a stop, its one confirmation excepted.
        answers: messages of growers that were acknowledged.
        effects_lost: those of which nothing came, or who was asked again for what she had told.
        replies_doubled: answers to growers beyond one for each of their messages.
        tests: counts that growers have confirmed.
        verdicts: results that growers read.
        verdicts_doubled: those beyond one for each test.
        paid_most: most messages of the round to a grower who answers at once.
        overpaid: such growers who got more than seven.
    """

    requests: int
    sent: int
    expected: int
    lost: int
    repeated: int
    doubled: int
    unasked: int
    mistimed: int
    at_night: int
    after_stop: int
    answers: int
    effects_lost: int
    replies_doubled: int
    tests: int
    verdicts: int
    verdicts_doubled: int
    paid_most: int
    overpaid: int

    #: What must be nothing.
    WRONG = (
        *("lost", "doubled", "unasked", "mistimed", "at_night", "after_stop", "effects_lost", "replies_doubled"),
        *("verdicts_doubled", "overpaid"),
    )

    @property
    def wrong(self) -> dict[str, int]:
        return {name: count for name in self.WRONG if (count := getattr(self, name))}

    @property
    def holds(self) -> bool:
        return not self.wrong

    @property
    def lines(self) -> tuple[str, ...]:
        return tuple(f"{name.replace('_', ' '):16}{count:8}" for name, count in asdict(self).items())


@dataclass(frozen=True)
class Due:
    """A message that is to come.

    Args:
        at_s, until_s: from when on, and for how long.
        step: which.
    """

    at_s: float
    until_s: float
    step: str


@dataclass(frozen=True)
class Got:
    """A message that the gateway was handed, its first request."""

    at_s: float
    text: str
    step: str | None
    is_taken: bool


def dues_of(grower: Mapping, zone: ZoneInfo, started_s: float, ended_s: float) -> list[Due]:
    """What a grower is to get, by what she is and had told in time, in order.

    Of several that fall due at one moment only the last comes.
    """
    found: dict[float, Due] = {}
    told = sorted(grower["told"], key=lambda one: one["at"])
    days = {"sows": {grower["sows"]}, "test_day": {one["means"].get("test_day") for one in told} - {None}}
    for step in TIMELINE:
        moments = [(day, nth) for day in sorted(days[step.of]) for nth in range(2 if step.again else 1)]
        for day, nth in moments:
            at_s = _moment_s(day, step.day + nth * step.again, step.at, zone)
            # "later" moves a reminder by two days, once
            if step.key == "remind" and "later" in _known(grower, told, at_s):
                at_s = _moment_s(day, step.day + nth * step.again + 2, step.at, zone)
            known = _known(grower, told, at_s)
            is_of_this = step.of == "sows" or known.get("test_day") == day
            is_for_her = known.keys() >= set(step.only) and not known.keys() & set(step.unless)
            if started_s <= at_s < ended_s and is_of_this and is_for_her:
                found[at_s] = Due(at_s, at_s + step.good_h * 3600, step.key)
    return [found[at_s] for at_s in sorted(found)]


def _moment_s(day: str, days: int, clock: str, zone: ZoneInfo) -> float:
    at = datetime.combine(date.fromisoformat(day) + timedelta(days), time.fromisoformat(clock), zone)
    return at.timestamp()


def _known(grower: Mapping, told: Iterable[Mapping], at_s: float) -> dict[str, object]:
    """What can be known of her at a moment."""
    known: dict[str, object] = {name: True for name in ("has_field", "bought") if grower[name]}
    for one in told:
        if one["at"] >= at_s:
            break
        means = dict(one["means"])
        if means.pop("origin", "") == "bought":
            known["bought"] = True
        if means.pop("right", None):
            for name in ("test_day", "sown", "early"):
                known.pop(name, None)
            known["test"] = True
        known |= means
    return known


def signs_of(told: Iterable[Mapping]) -> list[str]:
    """For each thing told that means something, what the answer to it must say."""
    signs, known = [], {}
    for one in told:
        means = one["means"]
        known |= means
        sown, final = known.get("sown"), known.get("final")
        if "origin" in means:
            is_bought = means["origin"] == "bought"
            signs.append("Seed with a label needs no test" if is_bought else "Where do you want to sow the test")
        if "test_day" in means:
            signs.append("How many seeds did you sow")
        if "sown" in means:
            signs.append(f"^Test of {sown} seeds")
        if "early" in means:
            signs.append(f"^{means['early']} of {sown} at the first look")
        if "final" in means:
            signs.append(f"^{final} of {sown}: right|at the first look, now only {final}\\.")
        if "right" in means:
            signs.append("Where did you sow the test")
        if "place" in means:
            signs.append(f"^{final} of {sown} grew" if final else f"^None of {sown} grew")
        if "later" in means:
            signs.append("^Good, later")
    return signs


def judge(
    handed: Iterable[Mapping], texts: Mapping, growers: Iterable[Mapping], stops: Mapping[str, float], night: Night
) -> Judgement:
    """Judges a season.

    Args:
        handed: the gateway's lines.
        texts: the first line of the growers' file.
        growers: the others.
        stops: when each number that stopped was answered, in Unix seconds.
        night: quiet hours.
    """
    patterns = [
        (re.compile(re.escape(text).replace(re.escape("%(day)s"), ".{1,30}") + r"\Z"), key)
        for key, templates in texts["texts"].items()
        for text in templates
    ]
    step_of: dict[str, str | None] = {}
    ids: Counter[str] = Counter()
    got: dict[str, dict[str, Got]] = defaultdict(dict)
    confirmed: dict[str, set[str]] = defaultdict(set)
    found: Counter[str] = Counter()
    requests: dict[str, list[tuple[float, str]]] = defaultdict(list)
    for one in handed:
        number, text, at_s, oid = one["to"], one["text"], one["at"], one["id"]
        if text not in step_of:
            known = next((key for pattern, key in patterns if pattern.match(text)), None)
            step_of[text] = known or ("list" if _LIST.search(text) else None)
        step = step_of[text]
        ids[oid] += 1
        before = got[number].get(oid)
        is_taken = one["fate"] in TAKEN or (before is not None and before.is_taken)
        got[number][oid] = Got(at_s if before is None else before.at_s, text, step, is_taken)
        is_stopped = number in stops and at_s > stops[number] + AFTER_STOP_S
        if step is None:
            if is_stopped:
                confirmed[number].add(oid)
            continue
        requests[number].append((at_s, step))
        found["at_night"] += night.holds(at_s)
        found["after_stop"] += is_stopped
    paid_most = 0
    for grower in growers:
        number = grower["number"]
        all_got = list(got[number].values())
        found["answers"] += len(grower["told"])
        found["tests"] += any("right" in one["means"] for one in grower["told"])
        steps = [one for one in all_got if one.step is not None]
        found["sent"] += sum(one.is_taken for one in steps)
        on_days = Counter((one.step, datetime.fromtimestamp(one.at_s, night.zone).date()) for one in steps)
        found["doubled"] += sum(count > 1 for count in on_days.values())
        if number not in stops:
            dues = dues_of(grower, night.zone, texts["started"], texts["ended"])
            found.update(_of_steps(dues, steps, requests[number]))
            found.update(_of_answers(grower, all_got))
            if grower["at_once"]:
                paid_most = max(paid_most, len(steps))
                found["overpaid"] += len(steps) > PAID_MOST
    found["after_stop"] += sum(len(each) - 1 for each in confirmed.values())
    names = [name for name in Judgement.__dataclass_fields__ if name not in ("requests", "repeated", "paid_most")]
    return Judgement(
        requests=ids.total(),
        repeated=ids.total() - len(ids),
        paid_most=paid_most,
        **{name: found[name] for name in names},
    )


def _of_steps(dues: list[Due], steps: list[Got], requests: list[tuple[float, str]]) -> Counter[str]:
    """What of the round came, against what was to come."""
    want, have = Counter(due.step for due in dues), Counter(one.step for one in steps if one.is_taken)
    handed = Counter(one.step for one in steps)
    times = defaultdict(list)
    for due in dues:
        times[due.step].append((due.at_s - _SLACK_S, due.until_s + _SLACK_S))
    # one that nobody should have got is told as such
    wrong_time = sum(
        not any(since_s <= at_s <= until_s for since_s, until_s in times[step])
        for at_s, step in requests
        if step in times
    )
    return Counter(
        expected=want.total(), lost=(want - have).total(), unasked=(handed - want).total(), mistimed=wrong_time
    )


def _of_answers(grower: Mapping, got: list[Got]) -> Counter[str]:
    """What came of what she told."""
    told = sorted(grower["told"], key=lambda one: one["at"])
    replies = [one.text for one in got if one.step is None and one.is_taken]
    pages = [one["page"] for one in told if one["by"] == "call"]
    by_sms = sum(one["by"] == "sms" for one in told)
    want = Counter(signs_of(told))
    lost = sum(
        max(0, count - sum(re.search(sign, text) is not None for text in (*replies, *pages)))
        for sign, count in want.items()
    )
    # each SMS has an answer, whatever it says
    lost = max(lost, by_sms - len(replies))
    for name, steps in ASKS.items():
        told_s = min((one["at"] for one in told if name in one["means"]), default=None)
        lost += told_s is not None and any(one.step in steps and one.at_s > told_s for one in got)
    verdicts = sum(_VERDICT.search(text) is not None for text in (*replies, *pages))
    tests = sum("place" in one["means"] for one in told)
    return Counter(
        effects_lost=lost,
        replies_doubled=max(0, len(replies) - by_sms),
        verdicts=verdicts,
        verdicts_doubled=max(0, verdicts - tests),
    )


def judge_files(handed: Path, growers: Path, stops: Path, night: Night) -> Judgement:
    """Judges what three files say."""
    texts, *people = rows(growers)
    return judge(rows(handed), texts, people, {one["number"]: one["at"] for one in rows(stops)}, night)


def main(*arguments: str) -> int:
    return verdict_on(judge_files, *arguments)


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
