"""Every screen of every language under every notice laid out on pages, or named because it cannot be."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from advisor.agronomy.labels import Label
from advisor.dialogue.checks.labels import label_faults
from advisor.dialogue.checks.material import Material
from advisor.dialogue.checks.one_line_faults import answering_screens
from advisor.dialogue.checks.proof import DoesNotFit, Sheet, Uneven, widest_forms
from advisor.dialogue.checks.widths import Measured, line_sources, uneven_fault, unsayable_fault, width_fault
from advisor.dialogue.faults import Fault
from advisor.dialogue.flows import AskKind, Flow, Screen
from advisor.dialogue.notices import CHANGED, WHERE_THERE_IS_ROOM, notice_source, notice_text, notices_of
from advisor.dialogue.registry import Registry
from advisor.dialogue.screens import ENGINE, Layout, head_text
from advisor.dialogue.several import NUMBER, fact_named, most_of_own, names_of, widest_entries
from advisor.dialogue.talk import Spot
from advisor.records.aside import MOST_BAG
from advisor.wording.errors import BadPlaceholder, WordingError
from advisor.wording.kinds import Kind, Whole
from advisor.wording.segments import answer_segments, segments
from advisor.wording.templates import placeholders
from advisor.wording.voice import Voice

#: A page is a USSD screen and an SMS, and must fit as both.
CHANNELS = 2


class Layouts:
    """Lays screens out and keeps the pages and the faults; lives only while a book is built.

    Args:
        material: flows, languages and programme.
        registry: lists and bounds.
        kinds: kind of each named value, by (flow, name); facts under an empty flow.
    """

    def __init__(self, material: Material, registry: Registry, kinds: Mapping[tuple[str, str], Kind]) -> None:
        self.material = material
        self.registry = registry
        self.kinds = kinds
        self.found: dict[tuple[Spot, str, str], Layout] = {}
        self.fewer: dict[tuple[Spot, str, str, int], Layout] = {}
        self.headed: dict[tuple[Spot, str, str], Layout] = {}
        self.answers: dict[tuple[Spot, str], Layout] = {}
        self.in_english: set[tuple[Spot, str]] = set()
        self.left: list[str] = []
        self._paid = material.programme.answer_segments if material.programme else 1
        self._faults: dict[tuple[str, int, str], Fault] = {}
        self._sheets: dict[tuple[Spot, str, int, bool, bool], Sheet] = {}
        self._answering = {flow.name: answering_screens(flow) for flow in material.flows.values()}
        self._counted: dict[tuple[Kind, str], tuple[tuple[int, str], ...]] = {}

    @property
    def faults(self) -> list[Fault]:
        """What does not fit or cannot be said, the widest text of each place."""
        return list(self._faults.values())

    def add_all(
        self,
        unfit: Collection[tuple[str, str, str]],
        without_example: Collection[Spot],
        drafts: Collection[tuple[str, str]] = (),
    ) -> None:
        """Lays out every screen whose parts are sound.

        Args:
            unfit: language, context and English text of the texts that are faulty or not translated.
            without_example: screens whose example is no answer, so that no notice can show it.
            drafts: language and context where texts are not translated and are said in English meanwhile.
        """
        for voice in self.material.voices.values():
            for flow in self.material.flows.values():
                for screen in flow.screens:
                    spot = Spot(flow.name, screen.name)
                    if screen.say is None or spot in self.material.unsound:
                        continue
                    notices = spot not in without_example
                    if any((voice.language, where) in drafts for where in (f"{flow.name}.{screen.name}", ENGINE)):
                        self._add_in_english(flow, screen, voice.language, unfit, notices=notices)
                    else:
                        self._add(flow, screen, voice, unfit, notices=notices)

    def _add_in_english(
        self, flow: Flow, screen: Screen, language: str, unfit: Collection[tuple[str, str, str]], *, notices: bool
    ) -> None:
        """A draft has the pages of its English text; whoever changes a sentence wants to see that one first."""
        spot, english = Spot(flow.name, screen.name), self.material.english
        assert english is not None
        self.in_english.add((spot, language))
        if (spot, english.language, "") not in self.found and (spot, english.language) not in self.answers:
            self._add(flow, screen, english, unfit, notices=notices)
        if (spot, english.language) in self.answers:
            self.answers[spot, language] = self.answers[spot, english.language]
        for notice in notices_of(screen):
            if (spot, english.language, notice) in self.found:
                self.found[spot, language, notice] = self.found[spot, english.language, notice]
            if (spot, english.language, notice) in self.headed:
                self.headed[spot, language, notice] = self.headed[spot, english.language, notice]
            for own in range(1, most_of_own(screen)):
                if (spot, english.language, notice, own) in self.fewer:
                    self.fewer[spot, language, notice, own] = self.fewer[spot, english.language, notice, own]

    def _add(
        self,
        flow: Flow,
        screen: Screen,
        voice: Voice,
        unfit: Collection[tuple[str, str, str]],
        *,
        notices: bool,
    ) -> None:
        spot, language = Spot(flow.name, screen.name), voice.language
        context, answers = f"{spot.flow}.{spot.screen}", screen.name in self._answering[flow.name]
        options = screen.ask.options if screen.ask else ()
        said = [screen.say.text if screen.say else "", *(choice.say for choice in options)]
        said += [line.say for line in screen.ask.lines] if screen.ask else []
        if any((language, context, text) in unfit for text in said) or not self._can_be_said(flow, screen):
            self.left.append(f"the width of {context} in {language}: a text of it is faulty or not there")
            return
        if not self._entries_can_be_sent(screen, voice):
            return
        # What answers an SMS in one line is no page of a conversation, and no line stands above it.
        for notice in notices_of(screen) if notices and not answers else ("",):
            source = notice_source(notice, screen)
            if (language, context, source) in unfit or (language, ENGINE, source) in unfit:
                continue  # the notice's own fault is told; of the page under it nothing can be said yet
            headed = False
            try:
                above = notice_text(notice, context, screen, voice, self.registry)
                laid = self._layout(spot, screen, voice, notice, above, answers)
                if answers:
                    self.answers[spot, language] = laid
                else:
                    self.found[spot, language, notice] = laid
                # above an answer to an SMS it is said where there is room, see `showing.whole_text`
                headed = bool(screen.names) and not answers
                if headed:
                    self.headed[spot, language, notice] = self._layout(
                        spot, screen, voice, notice, above, answers, headed=True
                    )
                for own in range(1, most_of_own(screen)):
                    shorter = self._layout(spot, screen, voice, notice, above, answers, own)
                    self.fewer[spot, language, notice, own] = shorter
            except (DoesNotFit, Uneven, WordingError) as error:
                if notice in WHERE_THERE_IS_ROOM and isinstance(error, DoesNotFit):
                    continue  # said only where there is room: the whole screen is new to the phone and comes first
                self._note(flow, screen, voice, notice, error, headed=headed)
                if not notice:
                    return  # the same fault under every notice would tell nothing new

    def _note(
        self, flow: Flow, screen: Screen, voice: Voice, notice: str, error: Exception, *, headed: bool
    ) -> None:
        """Keeps a fault; of several at one place only the widest, since one change mends them all."""
        measured = Measured(self.material, flow, screen, voice, notice)
        if isinstance(error, DoesNotFit):
            brief = (
                notice not in ("", CHANGED) and screen.ask is not None and self._is_brief(error, screen, headed)
            )
            entries = len(self._entries(screen)) or most_of_own(screen)
            sources = line_sources(screen, notice, len(error.lines), entries, brief=brief, headed=headed)
            fault = width_fault(measured, error, sources, lambda name: self._words_or_none(flow.name, name, voice))
        elif isinstance(error, Uneven):
            fault = uneven_fault(measured)
        else:
            fault = unsayable_fault(measured, error)
        key = (fault.file, fault.line, fault.language)
        known = self._faults.get(key)
        if known is None or (fault.wide and known.wide and fault.wide.cost > known.wide.cost):
            self._faults[key] = fault

    def _is_brief(self, error: DoesNotFit, screen: Screen, headed: bool) -> bool:
        options = len(screen.ask.options) if screen.ask else 0
        return len(error.lines) == 1 + headed + options + (len(self._entries(screen)) or most_of_own(screen))

    def _can_be_said(self, flow: Flow, screen: Screen) -> bool:
        """Whether everything that the text names has a kind; what has none is a fault already."""
        assert screen.say is not None
        say = screen.say
        try:
            names = placeholders(say.text) | placeholders(say.other) | ({say.count} if say.count else set())
        except BadPlaceholder:
            return False
        if not all((flow.name, name) in self.kinds or ("", name) in self.kinds for name in names):
            return False
        ask = screen.ask
        for line in ask.lines if ask else ():
            facts = {fact_named(ask, name) for name in names_of(line) - {NUMBER}} if ask else set()
            if not all(("", fact) in self.kinds for fact in facts):
                return False
        return not say.other or isinstance(self._kind(flow.name, say.count), Whole)

    def _entries_can_be_sent(self, screen: Screen, voice: Voice) -> bool:
        faults = label_faults(self.material, [label for _, label in self._entries(screen)], voice)
        for fault in faults:
            self._faults[fault.file, fault.line, fault.language] = fault
        return not faults

    def _layout(
        self,
        spot: Spot,
        screen: Screen,
        voice: Voice,
        notice: str,
        above: str,
        answers: bool,
        own: int = 0,
        *,
        headed: bool = False,
    ) -> Layout:
        place = (spot, voice.language, "")
        plain = self.fewer.get((*place, own)) if own else (self.headed if headed else self.found).get(place)
        sheet = self._sheet(spot, screen, voice, answers, own, brief=False, headed=headed)
        if plain is None or notice == CHANGED or screen.ask is None:
            pages = sheet.pages(above)
        else:
            # The text is on the phone already; a reason that pushes the answers off the page helps nobody.
            try:
                pages = sheet.pages(above)
                is_brief = len(pages) > len(plain.pages)
            except DoesNotFit:
                is_brief = True
            if is_brief:
                sheet = self._sheet(spot, screen, voice, answers, own, brief=True, headed=headed)
                pages = sheet.pages(above)
        found = sheet.layout(above, pages)
        # Below the room of a page nothing takes two SMS; were that ever not so, it must not pass.
        most = answer_segments(voice.alphabet, self._paid) if answers else 1
        assert all(segments(text) <= most for text in found.widest)
        return found

    def _sheet(
        self, spot: Spot, screen: Screen, voice: Voice, answers: bool, own: int, *, brief: bool, headed: bool
    ) -> Sheet:
        """The widest lines of a screen, which are the same under every notice."""
        key = (spot, voice.language, own, brief, headed)
        sheet = self._sheets.get(key)
        if sheet is None:
            context = f"{spot.flow}.{spot.screen}"
            head = head_text(screen.names, MOST_BAG, voice) if headed else ""
            counts = self._counts(spot.flow, screen, voice)
            entries = self._entries(screen) or self._own_entries(context, screen, voice, own)

            def words(name: str) -> str:
                return self._kind(spot.flow, name).widest(voice)

            forms = widest_forms(context, screen, voice, entries, words, counts, brief=brief, head=head)
            paid = self._paid if answers else 0
            sheet = self._sheets[key] = Sheet(forms, screen, voice, brief=brief, answers=paid, headed=headed)
        return sheet

    def _entries(self, screen: Screen) -> tuple[tuple[str, Label], ...]:
        if screen.ask is None or screen.ask.kind is not AskKind.PICK:
            return ()
        return self.registry.entries(screen.ask.source)

    def _own_entries(self, context: str, screen: Screen, voice: Voice, own: int) -> tuple[tuple[str, Label], ...]:
        """The widest entries of a list of the grower's own, of as many as there can be or of fewer."""
        most = most_of_own(screen)
        if screen.ask is None or not most:
            return ()
        return widest_entries(
            context, screen.ask, voice, own or most, lambda fact: self.kinds["", fact].widest(voice)
        )

    def _kind(self, flow: str, name: str) -> Kind:
        return self.kinds.get((flow, name)) or self.kinds["", name]

    def _words_or_none(self, flow: str, name: str, voice: Voice) -> str | None:
        kind = self.kinds.get((flow, name)) or self.kinds.get(("", name))
        return kind.widest(voice) if kind else None

    def _counts(self, flow: str, screen: Screen, voice: Voice) -> tuple[tuple[int, str], ...]:
        """For each plural form of a counted text, a count that takes it and the widest text of such a count."""
        assert screen.say is not None
        if not screen.say.other:
            return ()
        kind = self._kind(flow, screen.say.count)
        assert isinstance(kind, Whole)
        key = (kind, voice.language)
        if key not in self._counted:
            self._counted[key] = tuple((count, kind.words(count, voice)) for _, count in kind.witnesses(voice))
        return self._counted[key]
