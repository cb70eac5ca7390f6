"""The list of visits as an agent's phone shows it: by SMS, whom to visit first, why, and what to bring or do.

Order and rule are those of `campaign.visiting`; nothing is judged here.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from advisor.agronomy.programme import Programme
from advisor.campaign.visiting import Reason, Visit
from advisor.dialogue.flows import LAST_DIGITS
from advisor.dialogue.screens import head_text
from advisor.dialogue.visit_texts import sentence
from advisor.wording.segments import ROOM, cost
from advisor.wording.voice import Voice

#: So many messages at most: an agent's day has no more, and each is paid for.
MOST_MESSAGES = 5


def visit_messages(visits: Sequence[Visit], programme: Programme, voice: Voice) -> tuple[str, ...]:
    """The list in messages of one SMS each; of a long one as much as `MOST_MESSAGES` hold, and how many more.

    Args:
        visits: whom to visit, in order.
        programme: for the names of villages.
        voice: the agent's language.
    """
    if not visits:
        return (sentence("nobody", voice),)
    told = [tuple(_sentences(visit, programme, voice)) for visit in visits]
    found = _packed(told[:1], voice)
    for most in range(1, len(told) + 1):
        left = len(told) - most
        rest = [(sentence("more", voice, count=left),)] if left else []
        packed = _packed([*told[:most], *rest], voice)
        if most > 1 and len(packed) > MOST_MESSAGES:
            break
        found = packed
    return found


def _sentences(visit: Visit, programme: Programme, voice: Voice) -> Iterator[str]:
    village = programme.village(visit.village)
    name = voice.out(village.label.in_language(voice.language)) if village else "-"
    who = visit.number[-LAST_DIGITS:]
    if visit.days_left is None:
        yield sentence("grower", voice, who=who, village=name)
    elif visit.days_left < 0:
        yield sentence("grower_late", voice, who=who, village=name, day=visit.sowing)
    else:
        yield sentence("grower_sows", voice, who=who, village=name, days=visit.days_left)
    for reason in visit.reasons:
        yield from _of_reason(reason, voice)


def _of_reason(reason: Reason, voice: Voice) -> Iterator[str]:
    if reason.bag is not None:
        yield f"{head_text('lot', reason.bag, voice)}:"
    counts = {} if reason.test is None else {"counts": reason.test}
    yield sentence(reason.why.value, voice, **counts)
    if reason.kg is not None:
        yield sentence(f"{reason.help.value}_kg", voice, kg=reason.kg)
    elif reason.by is not None:
        yield sentence(f"{reason.help.value}_by", voice, day=reason.by)
    else:
        yield sentence(reason.help.value, voice)


def _packed(told: Sequence[Sequence[str]], voice: Voice) -> tuple[str, ...]:
    """Growers in as few messages as hold them in order, each on a line of its own; a sentence is never parted."""
    messages: list[str] = []
    room = ROOM[voice.alphabet]
    for sentences in told:
        whole = " ".join(sentences)
        pieces = (whole,) if cost(whole, voice.alphabet) <= room else sentences
        for at, piece in enumerate(pieces):
            joined = f"{messages[-1]}{' ' if at else chr(10)}{piece}" if messages else piece
            if messages and cost(joined, voice.alphabet) <= room:
                messages[-1] = joined
            else:
                messages.append(piece)
    return tuple(messages)
