"""Names that a programme gives to things, held against the alphabet of each language it speaks."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import fields, is_dataclass

from advisor.agronomy.labels import Label
from advisor.agronomy.programme import Programme
from advisor.dialogue.checks.material import Material, line_with
from advisor.dialogue.checks.texts import named_letters
from advisor.dialogue.faults import Fault
from advisor.wording.gsm import gsm_safe, outside
from advisor.wording.segments import Alphabet
from advisor.wording.voice import Voice


def programme_labels(programme: Programme) -> tuple[Label, ...]:
    """Every name in a programme, wherever it stands: whatever gets a name may be said one day."""
    return tuple(dict.fromkeys(_labels_in(programme)))


def _labels_in(value: object) -> Iterable[Label]:
    if isinstance(value, Label):
        yield value
    elif isinstance(value, tuple):
        for part in value:
            yield from _labels_in(part)
    elif is_dataclass(value):
        for part in fields(value):
            yield from _labels_in(getattr(value, part.name))


def label_faults(material: Material, labels: Iterable[Label], voice: Voice) -> list[Fault]:
    """The names that a language cannot send.

    Args:
        material: for the line in the programme's file.
        labels: the names.
        voice: the language.
    """
    if voice.alphabet is not Alphabet.GSM7:
        return []
    names = dict.fromkeys(label.in_language(voice.language) for label in labels)
    return [alphabet_fault(material, name, voice) for name in names if outside(gsm_safe(name))]


def alphabet_fault(material: Material, text: str, voice: Voice) -> Fault:
    """A text of programme or glossary with letters that the alphabet lacks."""
    file, language = material.programme_file, voice.language
    programme = material.texts.get(file, "")
    line = line_with(programme, text)
    if text not in programme:
        # The locale data have it; what is said instead is the glossary's to settle.
        file = next((name for name in material.texts if name.endswith(f"{language}.glossary.toml")), file)
        line = line_with(material.texts.get(file, ""), "alphabet")
    what = f"'{text}' holds {named_letters(outside(gsm_safe(text)))}, which the GSM alphabet lacks"
    return Fault(file, line, what, "write it another way", language=language)
