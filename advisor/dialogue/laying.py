"""Every screen of every language under every notice laid out on pages, or named because it cannot be."""

from __future__ import annotations

from collections.abc import Mapping

from advisor.agronomy.labels import Label
from advisor.dialogue.faults import Fault
from advisor.dialogue.flows import AskKind, Flow, Screen
from advisor.dialogue.notices import CHANGED, notice_text, notices_of
from advisor.dialogue.proof import Uneven, layout
from advisor.dialogue.registry import Registry
from advisor.dialogue.screens import Layout
from advisor.dialogue.talk import Spot
from advisor.wording.errors import WordingError
from advisor.wording.kinds import Kind, NotOfKind, Whole
from advisor.wording.voice import Voice


class Layouts:
    """Lays screens out and keeps the pages and the faults; lives only while a book is built.

    Args:
        registry: lists and bounds.
        kinds: kind of each named value, by (flow, name); facts under an empty flow.
    """

    def __init__(self, registry: Registry, kinds: Mapping[tuple[str, str], Kind]) -> None:
        self.registry = registry
        self.kinds = kinds
        self.found: dict[tuple[Spot, str, str], Layout] = {}
        self.faults: list[Fault] = []
        self._widest: dict[tuple[Kind, str], str] = {}

    def add(self, flow: Flow, screen: Screen, voice: Voice) -> None:
        """Lays one screen out in one language, under each of its notices."""
        if screen.say is None:
            return
        spot = Spot(flow.name, screen.name)
        for notice in notices_of(screen):
            try:
                self.found[spot, voice.language, notice] = self._layout(spot, screen, voice, notice)
            except (WordingError, Uneven) as error:
                what = str(error) or "the plural forms have different numbers of lines"
                under = f" (under the notice '{notice}')" if notice else ""
                place = (f"{spot.flow}.{spot.screen}", voice.language)
                self.faults.append(Fault(flow.file, screen.line, what + under, "shorten it", *place))
                if not notice:
                    return  # the same fault under every notice would tell nothing new

    def _layout(self, spot: Spot, screen: Screen, voice: Voice, notice: str) -> Layout:
        context = f"{spot.flow}.{spot.screen}"
        above = notice_text(notice, context, screen, voice, self.registry)
        counts = self._counts(spot.flow, screen, voice)

        def words(name: str) -> str:
            return self._widest_words(self._kind(spot.flow, name), voice)

        def laid_out(*, brief: bool) -> Layout:
            return layout(context, screen, voice, self._entries(screen), words, counts, above, brief=brief)

        whole = laid_out(brief=False)
        if notice in ("", CHANGED) or screen.ask is None:
            return whole
        # The text is on the phone already; a reason that pushes the answers off the page helps nobody.
        plain = self.found[spot, voice.language, ""]
        return laid_out(brief=True) if len(whole.pages) > len(plain.pages) else whole

    def _entries(self, screen: Screen) -> tuple[tuple[str, Label], ...]:
        if screen.ask is None or screen.ask.kind is not AskKind.PICK:
            return ()
        return self.registry.entries(screen.ask.source)

    def _kind(self, flow: str, name: str) -> Kind:
        return self.kinds.get((flow, name)) or self.kinds["", name]

    def _widest_words(self, kind: Kind, voice: Voice) -> str:
        """The widest text of a kind; looking for it takes long, so it is done once for each language."""
        key = (kind, voice.language)
        if key not in self._widest:
            self._widest[key] = kind.widest(voice)
        return self._widest[key]

    def _counts(self, flow: str, screen: Screen, voice: Voice) -> tuple[tuple[int, str], ...]:
        """For each plural form of a counted text, a count that takes it and the widest text of such a count."""
        assert screen.say is not None
        if not screen.say.other:
            return ()
        kind = self._kind(flow, screen.say.count)
        if not isinstance(kind, Whole):
            raise NotOfKind("count", screen.say.count, "a whole number with a range")
        return tuple((count, kind.words(count, voice)) for _, count in kind.witnesses(voice))
