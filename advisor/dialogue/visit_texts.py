"""What the list of visits says on an agent's phone.

They are sentences that stand by themselves, so that they can be put behind each other in any language. Which of
them are said: `advice.visit_list`.
"""

from __future__ import annotations

from advisor.dialogue.flows import LAST_DIGITS
from advisor.dialogue.screens import ENGINE
from advisor.wording.kinds import CountOf, Day, Digits, Mass, Whole
from advisor.wording.voice import Voice

#: Source texts by name: of reasons and of what helps by the words that lists have for them.
VISIT_TEXTS = {
    "grower": "%(who)s %(village)s.",
    "grower_sows": "%(who)s %(village)s, days left: %(days)s.",
    "grower_late": "%(who)s %(village)s, was to sow on %(day)s.",
    "bad_seed": "Bad seed: %(counts)s.",
    "untested": "Seed not tested.",
    "broken_off": "Test not finished.",
    "no_final": "No last count, at least %(counts)s.",
    "silent": "Does not answer us.",
    "asked": "Has a question.",
    "other_seed": "Bring other seed.",
    "other_seed_kg": "Bring %(kg)s of other seed.",
    "keep_back": "Keep back more grain.",
    "keep_back_kg": "Keep back %(kg)s of grain.",
    "count": "Count the test.",
    "count_by": "Count the test by %(day)s.",
    "test": "Begin a test.",
    "test_by": "Begin a test by %(day)s.",
    "ask": "Ask about the seed.",
    "answer": "Answer it.",
    "more": "%(count)s more: ask your office.",
    "nobody": "None of your growers needs a visit.",
}

#: The kind of each value that they name; a village has 16 letters at most.
KINDS = {
    "who": Digits(LAST_DIGITS),
    "days": Whole(0, 400),
    "counts": CountOf(400),
    "kg": Mass(0, 99_999, "kg", 1),  # as a buy list says it
    "day": Day(),
    "count": Whole(1, 999_999),
}
_WIDEST_NAME = "M" * 16


def sentence(name: str, voice: Voice, **values: object) -> str:
    """A sentence with its values.

    Args:
        name: a key of `VISIT_TEXTS`.
        voice: the language.
        values: what it names, of the kinds of `KINDS`; a village is its name.
    """
    words = {key: KINDS[key].words(value, voice) if key in KINDS else str(value) for key, value in values.items()}
    return voice.say(ENGINE, VISIT_TEXTS[name], **words)


def widest_sentence(name: str, voice: Voice) -> str:
    """The widest that a sentence can be, for the proof that it fits a message."""
    text = VISIT_TEXTS[name]
    named = {key: kind.witness(voice) for key, kind in KINDS.items() if f"%({key})s" in text}
    named |= {"village": _WIDEST_NAME} if "%(village)s" in text else {}
    return sentence(name, voice, **named)
