"""What a person typed, made sense of: an answer to the question on screen, or a slip with its reason."""

from __future__ import annotations

from advisor.dialogue.answers.results import Slip, Taken
from advisor.dialogue.answers.tidying import LONGEST, TOO_LONG, tidy
from advisor.dialogue.answers.understanding import understand

__all__ = ["LONGEST", "TOO_LONG", "Slip", "Taken", "tidy", "understand"]
