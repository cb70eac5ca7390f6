"""Every text that a catalog must hold, and what is wrong with a catalog."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from advisor.dialogue.book import ALONE
from advisor.dialogue.faults import Fault
from advisor.dialogue.flows import Flow
from advisor.dialogue.notices import TEXTS
from advisor.dialogue.screens import BACK, BACK_ZERO_TAKEN, ENGINE, MORE
from advisor.wording.catalog_check import catalog_faults, missing_translations
from advisor.wording.errors import WordingError
from advisor.wording.segments import ROOM, cost
from advisor.wording.voice import Voice


def texts_of(flow: Flow) -> Iterable[tuple[str, str, str, int]]:
    """Every text of a flow for the catalogs: context, source text, plural source text or empty, line."""
    for screen in flow.screens:
        context = f"{flow.name}.{screen.name}"
        if screen.say:
            yield context, screen.say.text, screen.say.other, screen.say.line
        if screen.help:
            yield context, screen.help, "", screen.line
        for choice in screen.ask.options if screen.ask else ():
            yield context, choice.say, "", choice.line


def engine_texts() -> tuple[str, ...]:
    """Every text of the engine itself for the catalogs, under the context ``engine``."""
    return (BACK, BACK_ZERO_TAKEN, MORE, *ALONE, *TEXTS.values())


def catalog_faults_of(flows: Mapping[str, Flow], voice: Voice) -> Iterable[Fault]:
    """What is wrong in a catalog by itself, and what it does not translate."""
    wanted = [(ENGINE, text, "") for text in engine_texts()]
    wanted += [(context, text, other) for flow in flows.values() for context, text, other, _ in texts_of(flow)]
    catalog = voice.catalog
    for found in (*catalog_faults(catalog, voice.alphabet), *missing_translations(catalog, wanted)):
        what, _, instead = found.what.rpartition(": ")
        said = f"'{found.msgid.splitlines()[0]}' {what}" if found.msgid else what
        yield Fault(_file(voice), found.line, said, instead, found.context, voice.language)


def engine_faults(voice: Voice) -> Iterable[Fault]:
    """The engine's own messages that stand alone and do not fit a page."""
    for text in ALONE:
        try:
            said = voice.out(voice.say(ENGINE, text))
            spent, room = cost(said, voice.alphabet), ROOM[voice.alphabet]
            what = f"'{said}' costs {spent}, a page holds {room}" if spent > room else ""
        except WordingError as error:
            what = str(error)
        if what:
            yield Fault(_file(voice), 0, what, "shorten it", ENGINE, voice.language)


def _file(voice: Voice) -> str:
    return voice.catalog.file or f"locales/{voice.language}.po"
