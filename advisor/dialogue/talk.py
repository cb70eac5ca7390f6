"""What goes into a step of a dialogue and what comes out: events, sessions, replies and effects, all values."""

from __future__ import annotations

from datetime import datetime
from enum import StrEnum
from typing import NamedTuple

from msgspec import Struct

from advisor.records.grower import Value


class EventKind(StrEnum):
    """What happened on the phone."""

    BEGIN = "begin"
    ANSWER = "answer"
    CANCEL = "cancel"
    SMS = "sms"


class Seen(Struct, frozen=True):
    """What was found of an answer that the step does not see: a PIN, or the number of a grower.

    Args:
        notice: the notice that says why it is not taken, empty where it is.
        grower: id of the grower; empty for a PIN.
        last: last digits of that grower's number, by which an agent knows whom the screen means.
        bags: of each bag of seed of that grower its number, and the facts that the questions rest on.
    """

    notice: str = ""
    grower: str = ""
    last: str = ""
    bags: tuple[tuple[int, tuple[tuple[str, Value], ...]], ...] = ()


class Desk(StrEnum):
    """How an agent stands to the work behind the PIN."""

    NO_PIN = "no_pin"
    LOCKED = "locked"
    SHUT = "shut"
    OPEN = "open"


class Work(Struct, frozen=True):
    """What is known of a sender who is an agent.

    Args:
        desk: whether the PIN was typed, and may be.
        seen: what was found of the answer, None where none of that kind was asked for.
    """

    desk: Desk
    seen: Seen | None = None


class Event(Struct, frozen=True):
    """One message from a grower.

    Args:
        kind: what happened.
        text: what was typed on this screen only; on ``begin`` it may hold dialled digits.
        place: where it was typed, ``ussd:<gateway's session>`` or ``sms``.
        message_id: the gateway's id of the message, from which ids of outgoing messages derive.
        work: what is known of a sender who is an agent, None of everybody else.
    """

    kind: EventKind
    text: str
    place: str
    message_id: str
    work: Work | None = None


class Spot(NamedTuple):
    """A screen inside a flow. A named tuple, since the book is asked by spots many times a message.

    Args:
        flow: name of the flow.
        screen: name of the screen in that flow.
    """

    flow: str
    screen: str


class Session(Struct, frozen=True):
    """Where a conversation stands.

    Args:
        spots: the open flows, outermost first; the last is the one on screen. At most three.
        via: the step of the same flow that worked out which screen to show, empty where none did; going back goes
            through it again, so that a verdict that is no longer true is not shown again.
        asks: the question on screen, kind and answers, so that an answer is only taken for what was asked.
        page: which page of the screen is shown, from 0.
        notice: name of the line shown above the screen (a slip, a help text), empty for none.
        trail: the screens shown before, oldest first, at most twenty; for going back.
        answers: answers given in this session, by name.
        learnt: names of the answers that are facts to keep once the grower agrees.
        language: language of the conversation.
        place: where the screen was shown; an answer from elsewhere is not an answer to it.
        until: when the session lapses.
    """

    spots: tuple[Spot, ...]
    via: str
    asks: str
    page: int
    notice: str
    trail: tuple[tuple[Spot, ...], ...]
    answers: tuple[tuple[str, Value], ...]
    learnt: tuple[str, ...]
    language: str
    place: str
    until: datetime


class Reply(Struct, frozen=True):
    """What the phone shows.

    Args:
        text: one page, proven to fit.
        open: whether an answer is awaited.
    """

    text: str
    open: bool


class Keep(Struct, frozen=True):
    """Effect: this fact is now known of the grower."""

    name: str
    value: Value


class Forget(Struct, frozen=True):
    """Effect: these facts no longer hold (a new lot of seed, a new field)."""

    names: tuple[str, ...]


class TakeUp(Struct, frozen=True):
    """Effect: another plot or lot is in hand from here on; the facts of before are kept aside.

    Args:
        scope: ``plot`` or ``lot``.
        place: its place among all of its scope, from 0.
    """

    scope: str
    place: int


class Begin(Struct, frozen=True):
    """Effect: a new plot or lot is in hand, of which nothing is known yet; the one of before is kept aside."""

    scope: str


class Drop(Struct, frozen=True):
    """Effect: one plot or lot is forgotten; where it was in hand, the first of the others is taken up.

    Args:
        scope: ``plot`` or ``lot``.
        place: its place among all of its scope, from 0.
    """

    scope: str
    place: int


class Agree(Struct, frozen=True):
    """Effect: the grower agrees that facts be kept."""


class Start(Struct, frozen=True):
    """Effect: the grower, who had said stop, wants messages again."""


class Stop(Struct, frozen=True):
    """Effect: the grower wants no more messages."""


class Withdraw(Struct, frozen=True):
    """Effect: the grower no longer agrees; record and history go, the open conversation stays for its hour."""


class Erase(Struct, frozen=True):
    """Effect: all that is known of the grower goes, and no more messages are wanted."""


class AskAgent(Struct, frozen=True):
    """Effect: put this question to the agent.

    Args:
        text: in the grower's own words.
    """

    text: str


#: Stands in a text for the code, which the step does not know.
CODE_MARK = "######"


class GiveCode(Struct, frozen=True):
    """Effect: send the grower a code by SMS, with which the agent may move the record to another number.

    Args:
        text: finished text, with `CODE_MARK` where the code stands.
    """

    text: str


class Send(Struct, frozen=True):
    """Effect: send these pages to the grower as SMS, one message a page.

    Args:
        name: what it is, for deriving the outgoing id, for example ``buy_list.list``.
        pages: finished texts, each proven to fit one segment.
    """

    name: str
    pages: tuple[str, ...]


class PinTried(Struct, frozen=True):
    """Effect: an agent typed a PIN.

    Args:
        right: whether it was the PIN.
    """

    right: bool


class AskVisits(Struct, frozen=True):
    """Effect: send the agent the list whom to visit, and what to bring."""


class Tell(Struct, frozen=True):
    """Effect: an agent records facts of a grower in their care, and that grower is told.

    Args:
        grower: id of the grower; empty for rain, whose facts say of which village it is.
        facts: names and values.
        forgets: facts of the grower that no longer hold.
        screen: the screen whose text is sent to the grower, as ``flow.screen``; empty for none.
        values: what that text may name.
        bag: the number of the bag of seed that they are about; 0 for rain.
    """

    grower: str
    facts: tuple[tuple[str, Value], ...]
    forgets: tuple[str, ...]
    screen: str
    values: tuple[tuple[str, Value], ...]
    bag: int = 0


Effect = (
    Keep
    | Forget
    | TakeUp
    | Begin
    | Drop
    | Agree
    | Start
    | Stop
    | Withdraw
    | Erase
    | AskAgent
    | GiveCode
    | Send
    | PinTried
    | Tell
    | AskVisits
)


class Outcome(Struct, frozen=True):
    """What one step decides.

    Args:
        session: the session to keep, None when the conversation has ended.
        reply: what the phone shows.
        effects: what changes beside the session, in order.
    """

    session: Session | None
    reply: Reply
    effects: tuple[Effect, ...] = ()
