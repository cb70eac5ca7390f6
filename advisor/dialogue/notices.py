"""The lines that can stand above a screen: why an answer was not taken, help, what has changed."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from advisor.agronomy.units import area_m2
from advisor.dialogue.answers.days import bounds
from advisor.dialogue.flows import Ask, AskKind, Screen
from advisor.dialogue.registry import Registry
from advisor.dialogue.screens import ENGINE
from advisor.wording.kinds import Area, BeyondScale, CountOf, Day, Number, Whole
from advisor.wording.templates import placeholders
from advisor.wording.voice import Voice

#: The notice of a changed question, which the phone has not shown yet; left unsaid where it has no room.
CHANGED = "changed"

#: What is said above a screen where a question was not put to the agent; left unsaid where it has no room.
NOT_PASSED_ON = "not_passed_on"

#: Notices that a screen may be too full for.
WHERE_THERE_IS_ROOM = (CHANGED, NOT_PASSED_ON)

#: Source texts, by name. Those that name values get them from the question on screen.
TEXTS: dict[str, str] = {
    "not_a_choice": "Type one of the numbers you see.",
    "not_a_number": "Type a number, like %(example)s.",
    "too_small": "Too little. At least %(low)s.",
    "too_big": "Too much. At most %(high)s.",
    "too_long": "Too long. Type a short answer.",
    "no_words": "Type your question in words.",
    "asked_already": "Your agent has that question already.",
    "asked_enough": "Your agent has enough questions of yours. Wait for an answer.",
    "not_passed_on": "We keep nothing of you yet, so your agent does not get this.",
    "unknown_unit": "We do not know that unit. Type like %(example)s.",
    "not_a_count": "Type both numbers, like %(example)s.",
    "more_grown": "More grew than were sown? Type like %(example)s.",
    "sown_too_many": "At most %(high)s seeds. Type like %(example)s.",
    "not_a_date": "Type day and month, like %(example)s.",
    "no_such_day": "There is no such day. Type like %(example)s.",
    "two_days": "That could be two days. Type like %(example)s.",
    "which_year": "Which year? Type like %(date)s.",
    "too_early": "Too early. Not before %(first)s.",
    "too_late": "Too late. Not after %(last)s.",
    "too_few_seeds": "Too few seeds to judge. Test at least %(seeds)s.",
    "more_cut": "You cut fewer than that. Count them again.",
    "strange_step": "That is not like a walk. Count your steps again.",
    "help": "Type one number and send. 00 is the menu.",
    "help_first": "Type one number and send.",
    "help_where_zero_answers": "Type the number and send. 000 is the menu.",
    "changed": "The questions are new. We start here again.",
    "refused": "We cannot work that out. Check the numbers.",
    "beyond_scale": "That size is outside what we work out. Ask your agent.",
    "no_dates": "We have no dates for your place. Ask your agent.",
    "no_figures": "We have no figures for your place. Ask your agent.",
    "too_narrow": "Too narrow for strips. Count the steps again.",
    "no_mix": "The dealer has no mix that fits. Ask your agent.",
    "wrong_pin": "That is not the PIN. Try again.",
    "pin_locked": "Too many tries: locked for a day. Ask your office.",
    "few_digits": "Type the last 4 digits or more.",
    "no_such_grower": "You care for no grower with that number.",
    "several_growers": "Several numbers end so. Type more digits.",
    "field_too_small": "Too small for us. At least %(least_field)s.",
    "field_too_big": "Too big for us. At most %(most_field)s.",
}

#: Why a calculation refuses (its reason and what it is about), and the notice that says so.
_REASONS: dict[str, str] = {
    "beyond_scale": "beyond_scale",
    "cannot_be.more_cut_than_found": "more_cut",
    "missing_figure": "no_figures",
    "missing_figure.season": "no_dates",
    "cannot_be.no_whole_repeat": "too_narrow",
    "cannot_be.no_mixture": "no_mix",
    "out_of_range.area": "beyond_scale",
    "out_of_range.sown": "too_few_seeds",
    "out_of_range.step": "strange_step",
}

_SLIPS: dict[AskKind, tuple[str, ...]] = {
    AskKind.CHOICE: ("not_a_choice",),
    AskKind.PICK: ("not_a_choice",),
    AskKind.WHICH: ("not_a_choice",),
    AskKind.NUMBER: ("not_a_number", "too_small", "too_big"),
    AskKind.AREA: ("not_a_number", "too_small", "too_big", "unknown_unit"),
    AskKind.COUNT_OF: ("not_a_count", "more_grown", "sown_too_many"),
    AskKind.MONEY: ("not_a_number", "too_small", "too_big"),
    AskKind.TEXT: ("no_words", "asked_already", "asked_enough"),
    AskKind.SECRET: ("wrong_pin", "pin_locked"),
    AskKind.GROWER: ("few_digits", "no_such_grower", "several_growers"),
    AskKind.DATE: ("not_a_date", "no_such_day", "two_days", "which_year", "too_early", "too_late"),
}

#: Every notice that a refusal of a calculation can be.
REFUSALS = (*dict.fromkeys(("refused", *_REASONS.values())), "field_too_small", "field_too_big")

#: What can be said above any question. A refusal that is not among these repeats the question without a reason.
_ALWAYS = ("help", "help_first", CHANGED, NOT_PASSED_ON, "too_long", *REFUSALS)


def notice_of(refusal: Exception) -> str:
    """The notice for a calculation's refusal, by its reason and by what it is about."""
    if isinstance(refusal, BeyondScale) and refusal.kind == Area.name:
        return "field_too_small" if _is_below(refusal.value, refusal.low) else "field_too_big"
    reason, about = getattr(refusal, "reason", ""), getattr(refusal, "name", "")
    return _REASONS.get(f"{reason}.{about}") or _REASONS.get(reason, "refused")


def _is_below(value: object, low: object) -> bool:
    return isinstance(value, int | float) and isinstance(low, int | float) and value < low


def notices_of(screen: Screen) -> tuple[str, ...]:
    """Every notice that can stand above a screen, the empty one first."""
    if screen.ends:
        return "", CHANGED  # nothing can be typed there, so nothing can be said of it
    slips = _SLIPS[screen.ask.kind] if screen.ask else ()
    return ("", *_ALWAYS, *slips)


def notice_source(notice: str, screen: Screen) -> str:
    """The English text of a notice above a screen, empty for none."""
    if notice == "help" and screen.help:
        return screen.help
    if notice == "help" and screen.ask and screen.ask.zero_is_answer:
        notice = "help_where_zero_answers"
    return TEXTS[notice] if notice else ""


def notice_text(
    notice: str, context: str, screen: Screen, voice: Voice, registry: Registry, today: date | None = None
) -> str:
    """The finished line of a notice, empty for none.

    Args:
        notice: its name.
        context: ``flow.screen``, for the screen's own help text.
        screen: the screen it stands above.
        voice: the language.
        registry: bounds of areas and sums, and the smallest test.
        today: the day in the programme's time zone; None for the widest text that any day can bring.
    """
    source = notice_source(notice, screen)
    if not source:
        return ""
    if notice == "help" and screen.help:
        return voice.say(context, source)
    values = {name: _value(name, screen, voice, registry, today) for name in placeholders(source)}
    if notice == "unknown_unit" and screen.ask:
        # An example without its unit would not help somebody whose unit was not understood.
        values["example"] = whole_example(screen.ask, voice, registry)
    return voice.say(ENGINE, source, **values)


def whole_example(ask: Ask, voice: Voice, registry: Registry) -> str:
    """The example of a question that takes typed answers, an area with its unit."""
    if ask.kind is AskKind.AREA:
        return registry.area.words(area_m2(float(ask.example), voice.area_unit), voice)
    return _example(ask.example, ask.kind, voice)


def _value(name: str, screen: Screen, voice: Voice, registry: Registry, today: date | None) -> str:
    ask = screen.ask
    if name.endswith("_field"):
        return registry.area.words(registry.area.low_m2 if name == "least_field" else registry.area.high_m2, voice)
    if name == "seeds":
        return Whole(0, registry.fewest_seeds).words(registry.fewest_seeds, voice)
    if ask is None:
        return ""
    if ask.kind is AskKind.DATE:
        return _day(name, ask, voice, today)
    if name == "example":
        return _example(ask.example, ask.kind, voice)
    bound = ask.low if name == "low" else ask.high
    if ask.kind is AskKind.AREA:
        bounds = (registry.area.low_m2, registry.area.high_m2)
        return registry.area.words(bounds[0 if name == "low" else 1], voice)
    if ask.kind is AskKind.MONEY:
        bounds = (registry.money.low, registry.money.high)
        return registry.money.words(bounds[0 if name == "low" else 1], voice)
    return "" if bound is None else _number(bound, voice)


def _day(name: str, ask: Ask, voice: Voice, today: date | None) -> str:
    """A bound of a question for a date, or a day that it takes as the example."""
    if today is None:
        widest = "31/12/2027"
        return widest if name == "date" else Day().widest(voice)
    first, last = bounds(ask, today)
    shown = {"first": first, "last": last}.get(name, min(max(today, first), last))
    if name == "date":
        return f"{shown.day}/{shown.month}/{shown.year}"
    return Day().words(shown, voice)


def _example(example: str, kind: AskKind, voice: Voice) -> str:
    if kind is AskKind.COUNT_OF and " of " in example:
        grown, sown = (int(word) for word in example.split(" of "))
        return CountOf(sown).words((grown, sown), voice)
    if example.replace(".", "", 1).isdecimal():
        return _number(Decimal(example), voice)
    return example


def _number(number: Decimal, voice: Voice) -> str:
    digits = max(0, -int(number.as_tuple().exponent))
    return Number(number, number, digits).words(number, voice)
