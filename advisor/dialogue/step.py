"""The one pure function that makes every decision of a dialogue.

No clock, no random number, no I/O: the same book, session, record, event and moment always give the same
outcome, so a conversation can be replayed and a season simulated.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from advisor.dialogue import asking
from advisor.dialogue.answers import LONGEST, TOO_LONG, Slip, Taken, tidy, understand
from advisor.dialogue.answers.picking import chosen, in_its_words
from advisor.dialogue.book import Book
from advisor.dialogue.erasing import go_by, way_to_erasing
from advisor.dialogue.flows import LISTS, VEILED, Ask, AskKind, Choice, Other, Screen
from advisor.dialogue.held import LANGUAGE
from advisor.dialogue.keys import MORE_KEY, Key, key_of
from advisor.dialogue.machine import GO, ZERO, choice_key, other_key
from advisor.dialogue.notices import NOT_PASSED_ON, notice_of
from advisor.dialogue.one_line.answering import one_line_answer
from advisor.dialogue.others import OtherAnswer, other_answer
from advisor.dialogue.showing import has_next_page, is_brief, outcome, pages_ahead, texts_to_send, turn_page
from advisor.dialogue.talk import Event, EventKind, Outcome, Reply, Session, Stop
from advisor.dialogue.veiled import lies_before_the_pin, way_to_work
from advisor.dialogue.walk import Walk
from advisor.dialogue.walk_errors import REFUSED, Missing
from advisor.records.grower import Grower

#: How long a question waits: a call that broke off is taken up within an hour, an SMS within two days.
CALL_WAITS = timedelta(hours=1)
SMS_WAITS = timedelta(hours=48)


def step(book: Book, session: Session | None, known: Grower, event: Event, now: datetime) -> Outcome:
    """Decides what one message does.

    Args:
        book: flows, catalogs, calculations and programme.
        session: where the conversation stands, None when there is none.
        known: what is known of the grower.
        event: what came from the phone.
        now: the moment, with a time zone.

    Returns:
        The session to keep, the page to show and the effects. Any text gets a reply.
    """
    if event.kind is EventKind.CANCEL:
        return Outcome(session, Reply("", open=False))
    alive = session if session is not None and session.until > now else None
    walk = Walk(book, known, event.place, now, alive, event.work)
    text = event.text.strip()  # some gateways fill an SMS with blanks, and STOP stays STOP
    typed = tidy(text) if len(text) <= LONGEST else TOO_LONG
    by_sms = event.kind is EventKind.SMS
    # a stop is obeyed however it comes and whatever is asked; what is dialled behind the code is no word
    command = "" if event.kind is EventKind.BEGIN else book.command(typed)
    says_stop = command == "stop"
    if command and (says_stop or by_sms) and LANGUAGE not in walk.held.known():
        walk.held.language = book.language_of_command(typed)
    if says_stop:
        return Outcome(None, Reply(book.stopped(walk.held.language), open=False), (Stop(),))
    if by_sms and walk.held.stopped and book.is_start_word(typed):
        walk.held.do("start")
        return Outcome(alive, Reply(book.started(walk.held.language), open=alive is not None), walk.held.effects)
    if by_sms and command == "erase" and (way := way_to_erasing(book)):
        go_by(walk, way)
        return outcome(walk, _until(walk, event, now))
    if by_sms and walk.held.desk and book.is_work_word(typed) and (way := way_to_work(book)):
        go_by(walk, way)
        return outcome(walk, _until(walk, event, now))
    answer = one_line_answer(walk, typed) if by_sms else None
    if answer is not None:
        return Outcome(alive, Reply(answer, open=alive is not None))
    is_tale = by_sms and asking.is_tale(walk, text)
    if is_tale and walk.held.agreed:
        told = asking.put_to_agent(walk, text)
        return Outcome(alive, Reply(told, open=alive is not None), walk.held.effects)
    _go_on(walk, event, typed)
    if walk.is_shut() and not lies_before_the_pin(walk.book, walk.spots[-1]):
        walk.start_flow_again()
    if is_tale and walk.book.has_room(walk.spots[-1], walk.held.language, NOT_PASSED_ON):
        walk.notice = NOT_PASSED_ON
    return outcome(walk, _until(walk, event, now))


def _go_on(walk: Walk, event: Event, typed: str) -> None:
    """What is typed goes to the conversation."""
    alive = walk.session
    if alive is None or not walk.can_be_found():
        _begin(walk, typed if event.kind is EventKind.BEGIN else "")
    elif not walk.still_asks_the_kind() or (walk.is_shut() and not lies_before_the_pin(walk.book, walk.spots[-1])):
        walk.start_flow_again()
    elif not walk.still_asks_the_same():
        walk.show_again("changed")
    elif event.kind is EventKind.BEGIN or event.place != alive.place:
        walk.show_again()
    else:
        _answer(walk, typed)


def _until(walk: Walk, event: Event, now: datetime) -> datetime:
    waits = SMS_WAITS if event.kind is EventKind.SMS and walk.held.agreed else CALL_WAITS
    return now + waits


def _begin(walk: Walk, dialled: str) -> None:
    """Starts at the root; digits dialled behind the service's code answer the menu when it comes first."""
    walk.start()
    ask = walk.screen.ask
    if dialled and ask and walk.screen.is_menu:
        answer = understand(dialled, ask, walk.voice, walk.book.registry, walk.today)
        if isinstance(answer, Taken):
            _take_answer(walk, answer)


def _answer(walk: Walk, typed: str) -> None:
    screen, voice = walk.screen, walk.voice
    key = key_of(typed, screen.ask, voice)
    if key is Key.MORE and has_next_page(walk):
        turn_page(walk)
    elif key is Key.MORE and _is_no_number(typed, screen):
        walk.show_again()
    elif key is Key.BACK and walk.page > 0:
        turn_page(walk, -1)
    elif key is Key.BACK and is_brief(walk):
        walk.show_again()  # a list that one wrong key has hidden is what she goes back to
    elif key is Key.BACK:
        walk.back()
    elif key is Key.MENU:
        walk.go_to_menu()
    elif key is Key.HELP:
        walk.show_again("help_first" if walk.is_before_the_menu() else "help")
    elif key is Key.ZERO and screen.ask and screen.ask.zero:
        _take(walk, ZERO, screen.ask.zero, None)
    elif screen.ask is None:
        walk.show_again()
    elif screen.ask.kind in VEILED:
        _take_seen(walk, screen.ask.kind)
    else:
        ask = screen.ask
        own = walk.entries(walk.spots[-1], screen) if ask.kind is AskKind.WHICH else ()
        today = walk.today if ask.kind is AskKind.DATE else None
        other = other_answer(walk, typed) if ask.others else None
        answer = understand(typed, ask, voice, walk.book.registry, today, own, walk.sown(ask))
        if other is not None and (ask.others[other.number].word or isinstance(answer, Slip)):
            _take_other(walk, ask.others[other.number], other)
        elif (number := _in_its_words(walk, typed, ask)) is not None:
            _take_answer(walk, chosen(ask, number))
        elif isinstance(answer, Slip):
            walk.show_again(answer.notice)
        else:
            _take_answer(walk, answer)


def _in_its_words(walk: Walk, typed: str, ask: Ask) -> int | None:
    """The choice that was typed with words of its line: a message asks "Answer 1 bought", and that is answered."""
    if ask.kind is not AskKind.CHOICE or " " not in typed:
        return None
    context = ".".join(walk.spots[-1])
    return in_its_words(typed, [walk.voice.say(context, choice.say) for choice in ask.choices])


def _take_other(walk: Walk, other: Other, said: OtherAnswer) -> None:
    """Goes the way of an answer that does not stand on the screen; one to another question answers that."""
    _take(walk, other_key(said.number), other.way, None)
    if said.taken is not None and walk.spots[-1].screen == other.way.to[0].to:
        _take_answer(walk, said.taken)


def _take_seen(walk: Walk, kind: AskKind) -> None:
    """What was found of a PIN or of a number; nobody looked where the sender is no agent."""
    seen = walk.seen
    if seen is None:
        walk.show_again()
        return
    if kind is AskKind.SECRET:
        walk.held.try_pin(right=not seen.notice)
    if seen.notice:
        walk.show_again(seen.notice)
        return
    if kind is AskKind.GROWER:
        walk.held.take_charge(seen)
    _take(walk, GO, None, Taken(seen.last))


def _is_no_number(typed: str, screen: Screen) -> bool:
    """Whether the next key cannot be meant as a number: it is a word, or the screen has a list of choices."""
    return typed != MORE_KEY or screen.ask is None or screen.ask.kind in LISTS


def _take_answer(walk: Walk, answer: Taken) -> None:
    number = answer.number
    if walk.screen.ask and walk.screen.ask.kind is AskKind.TEXT:
        question = str(answer.value)
        notice = asking.why_not(walk, question)
        if notice:
            walk.show_again(notice)
            return
        walk.held.ask_agent(question)
    ahead = pages_ahead(walk, number) if number is not None and answer.choice and answer.choice.does else 0
    if ahead:
        turn_page(walk, ahead)  # nobody agrees to what the phone has not shown yet, or erases by it
        return
    _take(walk, GO if number is None else choice_key(number), answer.choice, answer)


def _take(walk: Walk, key: str, choice: Choice | None, answer: Taken | None) -> None:
    """Goes on with an understood answer; what the calculator refuses is said above the question."""
    before = walk.mark()
    try:
        if choice and choice.tells:
            walk.held.tell(
                choice.tells, choice.forgets, f"{walk.spots[-1].flow}.{choice.sends}" if choice.sends else ""
            )
        sent = texts_to_send(walk, choice.sends) if choice and choice.sends and not choice.tells else None
        walk.leave(key, choice, answer)
        walk.held.effects += (sent,) if sent else ()
    except REFUSED as error:
        walk.return_to(before)
        walk.show_again(notice_of(error))
    except Missing as missing:
        walk.ask_for(missing.name)
