"""The English texts as translators get them: where each stands, what it is, and how wide its values can get."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Protocol

from advisor.dialogue.book import ALONE
from advisor.dialogue.checks.material import Material
from advisor.dialogue.checks.names import kinds_of
from advisor.dialogue.checks.texts import engine_texts, texts_of
from advisor.dialogue.flows import Flow, Screen
from advisor.dialogue.reading import read_flow
from advisor.dialogue.screens import BACK, BACK_ZERO_TAKEN, ENGINE, MORE
from advisor.dialogue.visit_texts import VISIT_TEXTS
from advisor.wording.errors import BadPlaceholder
from advisor.wording.kinds import Kind
from advisor.wording.merging import SourceText
from advisor.wording.po_files import Key
from advisor.wording.segments import ROOM, Alphabet, cost
from advisor.wording.templates import placeholders
from advisor.wording.voice import Voice

_COMMENT = re.compile(r"\s*#+ ?(.*)")
_PAGE = f"{ROOM[Alphabet.GSM7]} septets a page, or {ROOM[Alphabet.UCS2]} UTF-16 units"


class _File(Protocol):
    def read(self) -> bytes: ...


def source_texts(material: Material) -> tuple[SourceText, ...]:
    """Every text of the flows and of the engine, with notes for the translator.

    Args:
        material: the flows with the text of their files; where the programme is sound, the widest values are told.
    """
    found = list(_engine())
    for flow in material.flows.values():
        found += flow_texts(flow, material.texts.get(flow.file, ""))
    speaking = next((voice for voice in material.voices.values() if voice.catalog.is_source), None)
    if material.registry is None or speaking is None:
        return tuple(found)
    kinds = kinds_of(material.flows, material.registry)
    return tuple(replace(source, notes=(*source.notes, *_widths(source.key, kinds, speaking))) for source in found)


def flow_texts(flow: Flow, yaml_text: str) -> Iterator[SourceText]:
    """The texts of one flow, each with the author's comment above it and what it is."""
    lines = yaml_text.splitlines()
    for context, text, plural, line in texts_of(flow):
        screen = flow.screen(context.partition(".")[2])
        notes = (*_comment_above(lines, line), *(_role(screen, text) if screen else ()))
        yield SourceText(Key(context, text, plural), notes, flow.file, line)


def extract(
    file: _File, keywords: Collection[str], comment_tags: Collection[str], options: Mapping[str, object]
) -> Iterator[tuple[int, str, tuple[str, ...], list[str]]]:
    """The texts of one flow file, as Babel asks an extraction method for them.

    Args:
        file: a flow file, open for reading bytes.
        keywords: not used: a flow file has no function names.
        comment_tags: not used: every comment above a text is meant for the translator.
        options: not used.

    Returns:
        Line, ``pgettext`` or ``npgettext``, its arguments, and comments, of each text.

    Raises:
        Faulty: the file is no sound flow.
    """
    yaml_text = file.read().decode()
    flow = read_flow(yaml_text, str(getattr(file, "name", "")))
    for source in flow_texts(flow, yaml_text):
        key = source.key
        call = (
            ("npgettext", (key.context, key.msgid, key.plural))
            if key.plural
            else ("pgettext", (key.context, key.msgid))
        )
        yield source.line, *call, list(source.notes)


def _engine() -> Iterator[SourceText]:
    for text in engine_texts():
        if text in VISIT_TEXTS.values():
            note = "A sentence of the list that tells an agent whom to visit, put behind others; keep it short."
        elif text in ALONE:
            note = f"A message of its own; {_PAGE}."
        elif text in (BACK, BACK_ZERO_TAKEN, MORE):
            note = "The last line of a page; it begins with what is typed. Keep it to one short word."
        else:
            note = "A line above a screen; keep it short, or the screen takes one page more."
        yield SourceText(Key(ENGINE, text), (note,))


def _comment_above(lines: list[str], line: int) -> list[str]:
    """The comment lines right above a line, from 1, without their signs."""
    found: list[str] = []
    for text in reversed(lines[: line - 1]):
        comment = _COMMENT.fullmatch(text)
        if not comment:
            break
        found.insert(0, comment[1])
    return [text for text in found if text]


def _role(screen: Screen, text: str) -> Iterable[str]:
    """What a text of a screen is."""
    options = screen.ask.options if screen.ask else ()
    if screen.say and text == screen.say.text:
        below = f", above answers: {len(options)}" if options else ""
        return (f"What the screen says{below}; {_PAGE}, 3 pages at most.",)
    if text == screen.help:
        return ("What ? shows above the screen.",)
    if screen.ask and screen.ask.zero and text == screen.ask.zero.say:
        return ("What 0 means.",)
    if screen.ask and any(line.say == text for line in screen.ask.lines):
        return ("An entry of a list, behind its number.",)
    at = next((at for at, option in enumerate(options, 1) if option.say == text), 0)
    return (f"Answer {at} of {len(options)}.",) if at else ()


def _widths(key: Key, kinds: Mapping[tuple[str, str], Kind], voice: Voice) -> Iterator[str]:
    """Each value that a text names, with the widest that can come."""
    flow = key.context.partition(".")[0]
    try:
        names = placeholders(key.msgid) | placeholders(key.plural)
    except BadPlaceholder:
        return
    for name in sorted(names):
        kind = kinds.get((flow, name)) or kinds.get(("", name))
        if kind:
            widest = kind.widest(voice)
            yield f"%({name})s at its widest: {widest} ({cost(widest, voice.alphabet)})"
