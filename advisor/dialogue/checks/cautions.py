"""The proof that nobody is shown figures that can hurt without the caution that belongs to them.

A calculation brings cautions, and a screen that says one of the results that bring them owes them. It pays by
saying them itself, or the conversation does: every way to the screen has said them before, or the very next screen
on every way on says them. Only a way back to a question whose answer is kept (``again``) owes nothing, since the
figures are made anew behind it. What is sent as SMS and what answers an SMS in one line stands alone. A call that
is cut off cannot be proven, so nothing stands between figures and caution.

That a text says what its screen declares is looked up, language by language, by the words of the glossary.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from advisor.agronomy.cautions import CAUTIONS
from advisor.dialogue.checks.graph import lost_ways
from advisor.dialogue.checks.material import Material
from advisor.dialogue.checks.one_line_faults import answering_screens
from advisor.dialogue.checks.texts import file_of
from advisor.dialogue.faults import Fault
from advisor.dialogue.flows import MENU, RETURN, AskKind, Choice, Edge, Flow, Screen
from advisor.dialogue.nearby import instead_of
from advisor.dialogue.registry import Registry
from advisor.dialogue.talk import Spot
from advisor.wording.catalogs import Entry
from advisor.wording.errors import BadPlaceholder
from advisor.wording.folding import folded
from advisor.wording.templates import placeholders
from advisor.wording.voice import Voice


@dataclass(frozen=True, slots=True)
class _Owed:
    """A caution that is still to be said.

    Args:
        caution: its key.
        work: the calculation that brings it.
        origin: the screen that shows the figures.
    """

    caution: str
    work: str
    origin: str


def caution_faults(material: Material, registry: Registry) -> tuple[list[Fault], list[str]]:
    """Every caution that is left out on some way, and every screen that declares one that there is not.

    Args:
        material: the flows; one that could not be read wholly, or that has lost ways, is passed over.
        registry: the calculations with the cautions that they bring.

    Returns:
        The faults, and what was not looked at with the reason.
    """
    faults: list[Fault] = []
    left: list[str] = []
    lost = set(lost_ways(material.flows))
    for flow in material.flows.values():
        sound = (screen for screen in flow.screens if Spot(flow.name, screen.name) not in material.unsound)
        faults += (fault for screen in sound for fault in _unknown(flow, screen))
        if flow.name in lost or not material.is_whole(flow.name):
            left.append(f"whether the flow '{flow.name}' says its cautions: its own faults come first")
            continue
        faults += _Ways(flow, registry).faults()
    return faults, left


def saying_faults(material: Material, voice: Voice) -> Iterator[Fault]:
    """Every text that does not say the caution that its screen declares, in one language.

    Args:
        material: the flows.
        voice: the language; a text that is not translated yet is passed over.
    """
    glossary = f"locales/{voice.language}.glossary.toml"
    words = dict(voice.glossary.cautions)
    entries: dict[tuple[str, str], list[Entry]] = {}
    for entry in voice.catalog.entries:
        entries.setdefault((entry.context, entry.msgid), []).append(entry)
    for flow in material.flows.values():
        for screen in flow.screens:
            for caution in screen.warns if screen.say else ():
                if caution not in CAUTIONS:
                    continue
                if caution not in words:
                    what = f"there are no words by which a text says the caution '{caution}'"
                    instead = f"add '{caution} = [\"…\"]' under [cautions]"
                    yield Fault(glossary, 1, what, instead, language=voice.language)
                    continue
                said = [folded(text) for text in _texts(flow, screen, voice, entries)]
                if not all(any(word in text for word in words[caution]) for text in said):
                    listed = ", ".join(f"'{word}'" for word in words[caution])
                    yield Fault(
                        *_place_of(flow, screen, voice),
                        f"the text does not say the caution '{caution}'",
                        f"say it with one of the glossary's words: {listed}",
                        f"{flow.name}.{screen.name}",
                        voice.language,
                    )


def _texts(
    flow: Flow, screen: Screen, voice: Voice, entries: Mapping[tuple[str, str], list[Entry]]
) -> Iterator[str]:
    """Every form of a screen's text that there is in a language."""
    assert screen.say is not None
    if voice.catalog.is_source:
        yield from filter(None, (screen.say.text, screen.say.other))
    else:
        found = entries.get((f"{flow.name}.{screen.name}", screen.say.text), ())
        yield from (text for entry in found for text in entry.texts if text)


def _place_of(flow: Flow, screen: Screen, voice: Voice) -> tuple[str, int]:
    """Where the text of a screen is mended: in the flow, or in a catalog under its line."""
    assert screen.say is not None
    context = f"{flow.name}.{screen.name}"
    for entry in voice.catalog.entries if not voice.catalog.is_source else ():
        if (entry.context, entry.msgid) == (context, screen.say.text):
            return file_of(voice.catalog), entry.line
    return flow.file, screen.say.line


def _unknown(flow: Flow, screen: Screen) -> Iterator[Fault]:
    for caution in screen.warns:
        if caution not in CAUTIONS:
            what = f"there is no caution '{caution}'"
            place = f"{flow.name}.{screen.name}"
            yield Fault(flow.file, screen.warns_line, what, instead_of(caution, CAUTIONS), place)


class _Ways:
    """Goes over all ways of a flow until nothing new is owed anywhere."""

    def __init__(self, flow: Flow, registry: Registry) -> None:
        self.flow, self.registry = flow, registry
        self.answers = answering_screens(flow)
        self.screens = {screen.name: screen for screen in flow.screens}
        sent = {choice.sends for screen in flow.screens for choice in _options(screen) if choice.sends}
        starts = {flow.start, *(one_line.to for one_line in flow.one_lines), *sent}
        self.starts = sorted(starts & self.screens.keys())
        self.said = self._said_before()
        self.told: dict[tuple[str, str], Fault] = {}

    def faults(self) -> Iterable[Fault]:
        """Every caution that is left out, at the screen that shows the figures."""
        owed: dict[str, frozenset[_Owed]] = {name: frozenset() for name in self.starts}
        waiting = list(self.starts)
        while waiting:
            screen = self.screens[waiting.pop()]
            leaving = self._leave(screen, owed[screen.name])
            for edge, again in _ways(screen):
                out = frozenset() if again and self._asks_and_keeps(edge.to) else leaving
                if edge.to in (RETURN, MENU):
                    self._tell(out, f"'{edge.to}'")
                elif edge.to not in owed or not out <= owed[edge.to]:
                    owed[edge.to] = owed.get(edge.to, frozenset()) | out
                    waiting.append(edge.to)
        return self.told.values()

    def _asks_and_keeps(self, name: str) -> bool:
        screen = self.screens.get(name)
        return screen is not None and screen.ask is not None and bool(screen.keep)

    def _leave(self, screen: Screen, arriving: frozenset[_Owed]) -> frozenset[_Owed]:
        """What is owed behind a screen."""
        if screen.say is None:
            if screen.call:
                self._tell(arriving, f"the flow '{screen.call}'")
                return frozenset()
            return arriving
        shown = self._brought(screen)
        # Figures of the same calculation that are shown anew owe the same caution from here on.
        late = (
            e
            for e in arriving
            if e.caution not in screen.warns and (e.work != screen.work or e.caution not in shown)
        )
        self._tell(late, f"'{screen.name}'")
        due = (caution for caution in shown if caution not in (*screen.warns, *self.said[screen.name]))
        leaving = frozenset(_Owed(caution, screen.work, screen.name) for caution in due)
        if screen.ends:
            self._tell(leaving, "the end")
        return leaving

    def _brought(self, screen: Screen) -> frozenset[str]:
        """Cautions of the results that a screen says."""
        calculation = self.registry.calculation(screen.work) if screen.work else None
        if calculation is None or screen.say is None:
            return frozenset()
        given = {name for name, _ in calculation.gives}
        shown = given & (_names(screen.say.text) | _names(screen.say.other))
        alone = screen.name in self.answers
        return frozenset(
            brings.caution
            for brings in calculation.brings
            if shown & set(brings.with_results or given) and (brings.in_one_line or not alone)
        )

    def _said_before(self) -> dict[str, frozenset[str]]:
        """Of each screen the cautions that every way to it has said."""
        said: dict[str, frozenset[str]] = {name: frozenset() for name in self.starts}
        waiting = list(self.starts)
        while waiting:
            screen = self.screens[waiting.pop()]
            leaving = said[screen.name] | (frozenset(screen.warns) if screen.say else frozenset())
            for edge, _ in _ways(screen):
                if edge.to in self.screens and (edge.to not in said or not said[edge.to] <= leaving):
                    said[edge.to] = said.get(edge.to, leaving) & leaving
                    waiting.append(edge.to)
        return said

    def _tell(self, owed: Iterable[_Owed], there: str) -> None:
        for each in sorted(owed, key=lambda one: (one.origin, one.caution)):
            screen = self.screens[each.origin]
            assert screen.say is not None
            what = f"'{each.work}' brings the caution '{each.caution}', which is not said on the way to {there}"
            instead = f"say it here or on the next screen, and name it there: 'warns: [{each.caution}]'"
            place = f"{self.flow.name}.{each.origin}"
            fault = Fault(self.flow.file, screen.say.line, what, instead, place)
            self.told.setdefault((each.origin, each.caution), fault)


def _ways(screen: Screen) -> Iterator[tuple[Edge, bool]]:
    """The ways out of a screen, each with whether it goes back to ask even what is known."""
    ask = screen.ask
    for choice in ask.leading if ask else ():
        yield from ((edge, choice.again) for edge in choice.to or screen.to)
    if ask is None or ask.kind is not AskKind.CHOICE:
        yield from ((edge, False) for edge in screen.to)


def _options(screen: Screen) -> tuple[Choice, ...]:
    return screen.ask.options if screen.ask else ()


def _names(text: str) -> frozenset[str]:
    try:
        return placeholders(text)
    except BadPlaceholder:
        return frozenset()
