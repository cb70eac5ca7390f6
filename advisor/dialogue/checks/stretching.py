"""Which screens a language that is longer than English would break, before anybody translates."""

from __future__ import annotations

from dataclasses import replace

from advisor.dialogue.checks.checking import findings
from advisor.dialogue.checks.material import Material
from advisor.dialogue.faults import Fault, in_order
from advisor.wording.stretching import stretched_catalog


def stretched_faults(material: Material) -> tuple[Fault, ...]:
    """Every text that would not fit if all English texts were 40 % longer, by file and line.

    Values (numbers, units, names of the programme) are as wide as they are in English. Nothing but width is looked
    at, and nothing is found while English itself has no sound glossary or the programme is faulty.

    Args:
        material: flows, languages and programme.
    """
    english = material.english
    if english is None:
        return ()
    voice = replace(english, catalog=stretched_catalog(english.language))
    longer = replace(material, voices={voice.language: voice}, english=None, mute=())
    return in_order(fault for fault in findings(longer).faults if fault.wide is not None)
