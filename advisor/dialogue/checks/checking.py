"""Every check of flows, catalogs and programme, one after the other; a fault of one never hides those of another.

What is not sound is left out, screen by screen: a check that would need it says what it did not look at and why.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from advisor.dialogue.checks.cautions import caution_faults, saying_faults
from advisor.dialogue.checks.circles import circle_faults
from advisor.dialogue.checks.examples import example_faults
from advisor.dialogue.checks.graph import graph_faults
from advisor.dialogue.checks.labels import label_faults, programme_labels
from advisor.dialogue.checks.laying import Layouts
from advisor.dialogue.checks.material import Material
from advisor.dialogue.checks.names import kinds_of, name_faults
from advisor.dialogue.checks.one_line_proof import one_line_proof_faults
from advisor.dialogue.checks.paths import path_faults
from advisor.dialogue.checks.taking import taking_faults
from advisor.dialogue.checks.texts import drafts_of, engine_faults, faults_in, mute_faults_of, text_faults
from advisor.dialogue.checks.unused import unused_faults
from advisor.dialogue.faults import Fault, in_order
from advisor.dialogue.one_line.keywords import keyword_faults
from advisor.dialogue.screens import ENGINE
from advisor.dialogue.talk import Spot

#: The flow in which every conversation begins.
ROOT = "welcome"


@dataclass(frozen=True, slots=True)
class Findings:
    """What the checks found.

    Args:
        faults: everything that is wrong, in no order.
        left: what could not be looked at yet, one line each with the reason.
        layouts: the proven pages; None where there is no programme to prove them for.
        warnings: where a catalog is behind, while drafting.
    """

    faults: tuple[Fault, ...]
    left: tuple[str, ...]
    layouts: Layouts | None
    warnings: tuple[Fault, ...] = ()


def findings(material: Material, *, drafting: bool = False) -> Findings:
    """Checks everything that can be checked.

    Args:
        material: flows, languages and programme, with what was found wrong while they were read.
        drafting: a catalog that is behind the English texts is a warning; such a screen is said in English, all of
            it, and laid out by the English widths.
    """
    english = material.english if drafting else None
    flows, registry, voices = material.flows, material.registry, material.voices.values()
    faults = [*material.faults, *graph_faults(material, ROOT), *circle_faults(material, ROOT)]
    left = list(_unread(material))
    layouts = None
    if registry is not None:
        faults += [*name_faults(material, registry), *taking_faults(material, registry)]
        faults += unused_faults(material, registry)
        warnings_left_out, unheard = caution_faults(material, registry)
        faults += warnings_left_out
        found, unseen = path_faults(material, registry, ROOT)
        examples = example_faults(material, registry)
        faults += [*found, *examples, *keyword_faults(flows, voices, material.texts)]
        left += (*unseen, *unheard)
    is_sound = not faults
    of_mute = (fault for catalog in material.mute for fault in mute_faults_of(material, catalog))
    faults += (fault for fault in of_mute if not (drafting and fault.untranslated))
    unfit: set[tuple[str, str, str]] = set()
    drafts: set[tuple[str, str]] = set()
    warnings: list[Fault] = []
    for voice in voices:
        of_texts = text_faults(material, voice)
        if english is not None:
            drafts |= {(voice.language, context) for context in drafts_of(material, voice)}
            warnings += (fault for fault in faults_in(of_texts) if fault.untranslated)
            of_texts = [found for found in of_texts if found.fault is None or not found.fault.untranslated]
        faults += saying_faults(material, voice)
        unfit |= {(voice.language, found.context, found.msgid) for found in of_texts if found.context}
        faults += faults_in(of_texts)
        if (voice.language, ENGINE) not in drafts:
            faults += engine_faults(material, voice)
        if material.programme is not None:
            faults += label_faults(material, programme_labels(material.programme), voice)
    if registry is not None:
        layouts = Layouts(material, registry, kinds_of(flows, registry))
        layouts.add_all(unfit, frozenset(_spots(examples)), drafts)
        faults += layouts.faults
        left += layouts.left
        faltering = {language for language, _, _ in unfit}
        faltering |= {language for language, context in drafts if context == ENGINE}
        whole = [voice for voice in voices if is_sound and voice.language not in faltering]
        faults += one_line_proof_faults(flows, whole, registry)
        if len(whole) < len(voices) and any(flow.one_lines for flow in flows.values()):
            left.append("what is said to an SMS in one line beside its answer: it rests on sound flows and texts")
    return Findings(tuple(faults), tuple(left), layouts, in_order(warnings))


def all_faults(material: Material, *, drafting: bool = False) -> tuple[Fault, ...]:
    """Everything that is wrong, by file and line; nothing where a book can be made of it."""
    return in_order(findings(material, drafting=drafting).faults)


def _spots(faults: Iterable[Fault]) -> Iterable[Spot]:
    """The screens that faults lie in."""
    return (Spot(*fault.screen.split(".", 1)) for fault in faults if "." in fault.screen)


def _unread(material: Material) -> Iterable[str]:
    for name in sorted(material.unread):
        yield f"all of the flow '{name}', and what rests on it: its file cannot be read"
    for spot in sorted(material.unsound, key=str):
        if spot.screen:
            yield f"the screen {spot.flow}.{spot.screen} and what rests on it: a part of it cannot be read"
    if material.registry is None:
        yield "names, paths, examples and widths of all flows: they rest on the programme, which is faulty"
    for catalog in material.mute:
        yield f"widths in {catalog.language}: its glossary or the programme is faulty"
