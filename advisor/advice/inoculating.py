"""Inoculating for a dialogue: how much for the seed in hand, and one batch after the other in the hours of sowing.

Which seed it is comes first: of dressed seed nothing is worked out here, whatever a flow leaves out. Seed whose
mass is typed is taken to cover as much field as seed of the usual rate does; the mass of the buy list covers its
own plot. Batches need the hours of sowing and measures of the programme and the clocks of the pack; a programme
without them still has the dose, and the condition ``batches_are_known`` tells a flow which of both it has.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from math import floor

from advisor.advice.buying import buying, list_for
from advisor.agronomy import cautions
from advisor.agronomy.batches import PartOfDay, time_to_sow_s, uses_a_day_g
from advisor.agronomy.bounds import buy_list_bounds
from advisor.agronomy.crop import Crop
from advisor.agronomy.errors import MissingFigure
from advisor.agronomy.inoculant import inoculant_g, water_ml
from advisor.agronomy.inoculation import InoculationPlan, inoculation_plan
from advisor.agronomy.inoculation_figures import Handling, Inoculation, SowingWindow
from advisor.agronomy.inoculation_rules import Circumstances, check_inoculation
from advisor.agronomy.labels import Label
from advisor.agronomy.limits import whole_up
from advisor.agronomy.powder_measures import Dose, PackPart
from advisor.agronomy.programme import Programme
from advisor.dialogue.registry import Brings, Calculation, Condition, Sight, Takes
from advisor.wording.kinds import Kind, Mass, Number, OneOf, Packs, Whole

#: The most seed that may be typed [kg]; flows ask within it.
MOST_SEED_KG = 999
#: Packs in front of a part of a pack that are still said in parts: nobody divides the tenth by eye.
_MOST_WHOLE = 9
_FRACTIONS = ("1/8", "1/6", "1/4", "1/3", "3/8", "1/2", "5/8", "2/3", "3/4", "5/6", "7/8")
_ANY_DAY = date(2027, 1, 1)
_M2_PER_HA = 10_000
_MINUTE_S = 60
_DAY_S = 86_400
_G_PER_KG = 1000
_POISON = Brings(cautions.DRESSED_SEED_IS_POISON)
#: What whoever is told an amount must hear; how it is handled is said with the batches.
_OF_AMOUNT = (_POISON, Brings(cautions.FOLLOW_THE_PACK), Brings(cautions.ASK_DEALER_OR_EXTENSION))
_OF_BATCHES = (
    *_OF_AMOUNT,
    Brings(cautions.TREAT_ONLY_THE_BATCH, ("batch",)),
    Brings(cautions.INOCULANT_IN_SHADE, ("batch",)),
    Brings(cautions.INOCULANT_APART_FROM_FERTILISER, ("batch",)),
    Brings(cautions.WASH, ("batch",)),
    Brings(cautions.KEEP_FROM_CHILDREN_AND_FOOD, ("drying", "left")),
    Brings(cautions.OPENED_PACK_DOES_NOT_KEEP, ("packs", "pack_ends")),
    Brings(cautions.PART_OF_PACK_IS_SAFEST, ("level", "other_level")),
    Brings(cautions.WEIGH_ONE_CAP, ("level", "other_level")),
)


def inoculating(programme: Programme, crop: Crop) -> tuple[Calculation, ...]:
    """The calculations of inoculating.

    Args:
        programme: its inoculants, hours of sowing and measures.
        crop: the crop that is sown.
    """
    runs = _Inoculating(programme, crop)
    of_list = next(each for each in buying(programme, crop) if each.name == "buy_list")
    # Mass of seed, or all that makes a buy list, whichever is known.
    seed = ("seed_kg", *of_list.needs, *(takes.name for takes in of_list.takes if takes.name not in of_list.needs))
    takes = (Takes("dressed", values=("no", "yes")), Takes("seed_kg", (Whole, Number)), *of_list.takes)
    # "other_people" and "other_seed" stand for no window: the question is asked again before the plan is made.
    takes_all = (
        *takes,
        Takes("people", (Whole,)),
        Takes("window", values=(*PartOfDay, "last", "other_people", "other_seed")),
        Takes("last_window", values=tuple(PartOfDay)),
    )
    amount, batches = _amount_kinds(programme, crop), _batch_kinds(programme, crop)
    return (
        Calculation(
            "inoculant",
            ("dressed",),
            seed,
            tuple(amount.items()),
            runs.amount,
            takes=takes,
            brings=_OF_AMOUNT,
        ),
        Calculation(
            "inoculation",
            ("dressed", "people"),
            (*seed, "window", "last_window"),
            tuple({**amount, **batches}.items()),
            runs.batches,
            also=("windows", "last_windows"),
            sometimes=("part",),
            takes=takes_all,
            brings=_OF_BATCHES,
        ),
    )


def conditions(programme: Programme, crop: Crop) -> tuple[Condition, ...]:
    """The conditions on inoculating that flows may name."""
    handling = programme.inoculant(crop.key).handling
    known = programme.inoculation is not None and handling is not None and bool(programme.measures)
    return (
        Condition("batches_are_known", (), lambda _: known),
        Condition("one_window_is_enough", ("windows",), lambda sight: sight["windows"] == 1),
        Condition("last_day_differs", ("last_windows",), lambda sight: sight["last_windows"] != 0),
        Condition(
            "last_day_has_evening", ("last_windows",), lambda sight: sight["last_windows"] == len(PartOfDay)
        ),
        Condition("batches_are_several", ("batches",), lambda sight: sight["batches"] != 1),
        Condition("pack_is_parted", ("batch",), lambda sight: "part" in sight, ("part",)),
    )


def plan_for(programme: Programme, crop: Crop, sight: Sight) -> InoculationPlan:
    """The plan for what is known.

    Args:
        programme: its inoculants, hours of sowing and measures.
        crop: the crop that is sown.
        sight: ``dressed`` and ``people``; ``seed_kg``, or ``plot.area`` and ``lot.origin``.

    Raises:
        CannotInoculate: the seed is dressed.
        MissingFigure: neither mass nor plot and lot are known, or the programme has no hours of sowing.
        OutOfRange: an amount that cannot be.
    """
    area_m2, seed_kg = _undressed(programme, crop, sight)
    product, people = programme.inoculant(crop.key), int(str(sight["people"]))
    return inoculation_plan(product, programme.inoculation, programme.measures, area_m2, seed_kg, people)


@dataclass(frozen=True, slots=True)
class _Inoculating:
    """The calculations themselves, bound to a programme and its crop."""

    programme: Programme
    crop: Crop

    def amount(self, sight: Sight, _now: datetime) -> Mapping[str, object]:
        product = self.programme.inoculant(self.crop.key)
        _, seed_kg = _undressed(self.programme, self.crop, sight)
        return {
            "seed": seed_kg,
            "powder": inoculant_g(seed_kg, product.dose_g_per_kg) / _G_PER_KG,
            "water": water_ml(seed_kg, product.water_ml_per_kg),
        }

    def batches(self, sight: Sight, now: datetime) -> Mapping[str, object]:
        if not self.programme.measures:
            raise MissingFigure("measures", "add at least one of the tables [[measures]] to the programme file")
        plan = plan_for(self.programme, self.crop, sight)
        handling = _handling(self.programme, self.crop)
        sessions = [each for each in plan.batches.sessions if each.first_day == 1]
        last = [each for each in plan.batches.sessions if each.first_day > 1]
        is_last = sight.get("window") == "last" and bool(last)
        offered, window = (last, sight.get("last_window")) if is_last else (sessions, sight.get("window"))
        # A window that the plan does not need gives way to the one that it does.
        wanted = [each for each in offered if each.part_of_day == window]
        session = (wanted or offered)[0]
        doses = plan.doses[plan.batches.sessions.index(session)]
        mixed_s, from_s, _ = session.times_s()[0]
        return {
            **self.amount(sight, now),
            "days": plan.batches.days,
            "packs": tuple((pack.size / _G_PER_KG, count) for pack, count in plan.opening.bought),
            "pack_ends": plan.opening.packs[0].use_by_day,
            "batches": session.batches,
            "batch": session.batch.seed_kg,
            "dose": session.batch.inoculant_g / _G_PER_KG,
            "wet": session.batch.water_ml,
            "mix": _clock(mixed_s),
            "apart": floor(session.batch.lasts_s / _MINUTE_S),
            "from": _clock(from_s),
            "to": _clock(_window(self.programme, session.part_of_day).to_s),
            "drying": whole_up(handling.drying_s / _MINUTE_S),
            "left": floor(time_to_sow_s(handling) / _MINUTE_S),
            "life": self.programme.inoculant(self.crop.key).opened_life_days,
            "windows": len(sessions),
            "last_windows": len(last),
            **_measured(doses),
        }


def _undressed(programme: Programme, crop: Crop, sight: Sight) -> tuple[float, float]:
    """Area [m²] and mass [kg] of seed that may be treated."""
    # Date, sun and heat are seen by whoever holds the pack, and the flow says so. What is not "no" is dressed.
    product, dressed = programme.inoculant(crop.key), sight["dressed"] != "no"
    warmest_c = product.handling.store_below_c if product.handling else 0
    check_inoculation(Circumstances(crop.key, product.crop, _ANY_DAY, _ANY_DAY, dressed), warmest_c)
    return _area_and_seed(programme, crop, sight)


def _area_and_seed(programme: Programme, crop: Crop, sight: Sight) -> tuple[float, float]:
    typed = sight.get("seed_kg")
    if typed is not None:
        seed_kg = float(str(typed))
        return seed_kg / (programme.plan(crop.key).rate_kg_per_ha / _M2_PER_HA), seed_kg
    if "plot.area" not in sight or "lot.origin" not in sight:
        raise MissingFigure("mass of seed", "ask how much seed there is")
    found = list_for(programme, crop, sight)
    return found.area_m2, found.seed_kg


def _handling(programme: Programme, crop: Crop) -> Handling:
    product = programme.inoculant(crop.key)
    if product.handling is None:
        raise MissingFigure(f"handling of {product.key}", f"add the table handling to the inoculant {product.key}")
    return product.handling


def _measured(doses: tuple[Dose, ...]) -> dict[str, object]:
    """How a batch is measured: a part of the pack, and the two measures that come nearest to the mass."""
    found: dict[str, object] = {}
    # Where packs of two sizes are open a part of "the pack" could be of either.
    if len(doses) == 1 and doses[0].part is not None and doses[0].part.whole <= _MOST_WHOLE:
        found["part"] = _part_key(doses[0].part)
    # Of one measure alone the other is the same.
    first, *more = sorted(doses[0].level, key=lambda level: level.grams)
    other = more[0] if more else first
    return found | {
        "level": first.count,
        "measure": first.measure.key,
        "other_level": other.count,
        "other_measure": other.measure.key,
    }


def _part_key(part: PackPart) -> str:
    """Packs and a part of one more, as it is written.

    >>> _part_key(PackPart(1, 3, 8, 343.75, 0.0)), _part_key(PackPart(2, 0, 1, 500, 0.0))
    ('1 3/8', '2')
    """
    fraction = f"{part.parts}/{part.of}" if part.parts else ""
    return " ".join(word for word in (str(part.whole or ""), fraction) if word)


def _clock(day_s: float) -> str:
    """A time of day; before midnight is the evening before.

    >>> _clock(6.5 * 3600), _clock(-1800)
    ('06:30', '23:30')
    """
    minutes = round(day_s % _DAY_S / _MINUTE_S) % (24 * 60)
    return f"{minutes // 60:02d}:{minutes % 60:02d}"


def _window(programme: Programme, part: PartOfDay) -> SowingWindow:
    inoculation = _hours(programme)
    return inoculation.morning if part is PartOfDay.MORNING else inoculation.evening


def _hours(programme: Programme) -> Inoculation:
    if programme.inoculation is None:
        raise MissingFigure("inoculation", "add the table [inoculation] to the programme file")
    return programme.inoculation


def _amount_kinds(programme: Programme, crop: Crop) -> dict[str, Kind]:
    product, most_kg = programme.inoculant(crop.key), _most_kg(programme, crop)
    return {
        "seed": Mass(0, most_kg, "kg", 1),
        "powder": Mass(0, inoculant_g(most_kg, product.dose_g_per_kg) / _G_PER_KG, "g", 0),
        "water": Number(0, water_ml(most_kg, product.water_ml_per_kg), 0),
    }


def _most_kg(programme: Programme, crop: Crop) -> float:
    return max(MOST_SEED_KG, buy_list_bounds(programme, crop).seed_kg)


def _batch_kinds(programme: Programme, crop: Crop) -> dict[str, Kind]:
    """Kinds of what the batches give; of a programme without the figures nothing is given, and nothing is wide."""
    product, most_kg = programme.inoculant(crop.key), _most_kg(programme, crop)
    most_g = inoculant_g(most_kg, product.dose_g_per_kg)
    days, batches, minutes = _longest(programme, crop, most_kg)
    sizes = [pack.size for pack in product.packs]
    # By mass and by time together: a pack that is not used up has outlived its days.
    packs = tuple((size / _G_PER_KG, whole_up(most_g / size) + days) for size in sizes)
    handling, measures = product.handling, programme.measures
    halves_g = [measure.volume_ml * handling.bulk_g_per_ml / 2 for measure in measures] if handling else []
    levels = Number(0, (whole_up(most_g / min(halves_g)) + 1) / 2 if halves_g else 1, 1)
    named = OneOf(tuple((each.key, each.label) for each in measures) or (("", Label("")),))
    parts = [f"{whole or ''} {part}".strip() for whole in range(_MOST_WHOLE + 1) for part in ("", *_FRACTIONS)]
    parts = [part for part in (*parts, str(_MOST_WHOLE + 1)) if part]
    clocks = OneOf(tuple((time, Label(time)) for time in _clocks(programme, handling)))
    return {
        "days": Whole(1, days),
        "packs": Packs("g", packs, len(packs)),
        "pack_ends": Whole(1, product.opened_life_days),
        "batches": Whole(1, batches),
        "batch": Mass(0, most_kg, "kg", 1),
        "dose": Mass(0, most_g / _G_PER_KG, "g", 1),
        "wet": Number(0, water_ml(most_kg, product.water_ml_per_kg), 1),
        "part": OneOf(tuple((part, Label(part)) for part in parts)),
        "level": levels,
        "measure": named,
        "other_level": levels,
        "other_measure": named,
        "mix": clocks,
        "apart": Whole(0, minutes),
        "from": clocks,
        "to": clocks,
        "drying": Whole(0, minutes),
        "left": Whole(0, minutes),
        "life": Whole(product.opened_life_days, product.opened_life_days),
    }


def _longest(programme: Programme, crop: Crop, most_kg: float) -> tuple[int, int, int]:
    """Days, batches in a window and minutes of drying or sowing that are never passed."""
    inoculation, handling = programme.inoculation, programme.inoculant(crop.key).handling
    if inoculation is None or handling is None:
        return 1, 1, 1
    rate_kg_per_m2 = programme.plan(crop.key).rate_kg_per_ha / _M2_PER_HA
    area_m2 = max(programme.plot_high_m2, most_kg / rate_kg_per_m2)
    days = len(uses_a_day_g(area_m2, most_kg, 1, inoculation, 1))
    left_s = time_to_sow_s(handling)
    longest_s = max(inoculation.morning.length_s, inoculation.evening.length_s)
    return days, max(1, whole_up(longest_s / left_s)), whole_up(max(left_s, handling.drying_s) / _MINUTE_S)


def _clocks(programme: Programme, handling: Handling | None) -> list[str]:
    if programme.inoculation is None or handling is None:
        return ["00:00"]
    windows = programme.inoculation.morning, programme.inoculation.evening
    times = [at for each in windows for at in (each.from_s - handling.drying_s, each.from_s, each.to_s)]
    return list(dict.fromkeys(map(_clock, times)))
