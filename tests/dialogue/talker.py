"""A grower on the phone for tests of the step: keeps session and record as the service would, without a store."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from msgspec.structs import replace

from advisor.dialogue.session import session_from_json, session_to_json
from advisor.dialogue.step import step
from advisor.dialogue.talk import (
    Agree,
    AskAgent,
    Begin,
    Drop,
    Erase,
    Event,
    EventKind,
    Forget,
    Keep,
    Send,
    Start,
    Stop,
    TakeUp,
    Withdraw,
)
from advisor.records.grower import Grower
from advisor.records.several import begins, drops, takes_up

MORNING = datetime(2027, 3, 1, 8, 0, tzinfo=UTC)


class Talker:
    """Dials, types and hangs up; counts screens and key presses as the phone does; keeps the SMS it is sent."""

    def __init__(self, book, now=MORNING):
        self.book = book
        self.now = now
        self.grower = Grower()
        self.session = None
        self.calls = 0
        self.messages = 0
        self.screens = 0
        self.keys = 0
        self.effects = ()
        self.reply = None
        self.texts = []

    def dial(self, digits=""):
        """A new call; dialling is not counted as keys."""
        self.calls += 1
        return self._step(EventKind.BEGIN, digits, f"ussd:call-{self.calls}")

    def type(self, *answers):
        """Types answers one after the other; every character and every send is a key press."""
        for answer in answers:
            self.keys += len(answer) + 1
            shown = self._step(EventKind.ANSWER, answer, f"ussd:call-{self.calls}")
        return shown

    def sms(self, text):
        return self._step(EventKind.SMS, text, "sms")

    def hang_up(self):
        return self._step(EventKind.CANCEL, "", f"ussd:call-{self.calls}")

    def wait(self, **time):
        self.now += timedelta(**time)
        return self

    @property
    def spot(self):
        return f"{self.session.spots[-1].flow}.{self.session.spots[-1].screen}" if self.session else ""

    def act(self, kind, text, place):
        """Any event, for replays."""
        return self._step(kind, text, place)

    def _step(self, kind, text, place):
        self.messages += 1
        event = Event(kind, text, place, f"m{self.messages}")
        before = (self.session, self.grower)
        outcome = step(self.book, self.session, self.grower, event, self.now)
        assert step(self.book, *before, event, self.now) == outcome, "the same input must give the same outcome"
        if outcome.session is not None:
            assert session_from_json(session_to_json(outcome.session)) == outcome.session
        self.session, self.effects, self.reply = outcome.session, outcome.effects, outcome.reply
        self.texts += [outcome.reply.text] if kind is EventKind.SMS else []
        for effect in outcome.effects:
            self.texts += effect.pages if isinstance(effect, Send) else ()
            self._apply(effect)
        if kind is not EventKind.CANCEL:
            self.screens += 1
        return outcome.reply.text

    def _apply(self, effect):
        if isinstance(effect, Agree):
            self.grower = replace(self.grower, agreed=self.now)
        elif isinstance(effect, Keep):
            assert self.grower.agreed, "a fact is kept only after consent"
            self.grower = self.grower.knows(effect.name, effect.value, self.now)
        elif isinstance(effect, AskAgent):
            assert self.grower.agreed, "a question is kept only after consent"
            self.grower = self.grower.asks(effect.text, self.now)
        elif isinstance(effect, Forget):
            self.grower = self.grower.forgets(effect.names)
        elif isinstance(effect, TakeUp):
            self.grower = takes_up(self.grower, effect.scope, effect.place)
        elif isinstance(effect, Begin):
            self.grower = begins(self.grower, effect.scope)
        elif isinstance(effect, Drop):
            self.grower = drops(self.grower, effect.scope, effect.place)
        elif isinstance(effect, Start):
            self.grower = replace(self.grower, stopped=None)
        elif isinstance(effect, Erase):
            self.grower = Grower()
        elif isinstance(effect, Withdraw):
            self.grower = Grower(stopped=self.grower.stopped)
        elif isinstance(effect, Stop):
            self.grower = replace(self.grower, stopped=self.now)
