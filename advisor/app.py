"""The one place that wires things together: settings in, a web application or a sender out."""

from __future__ import annotations

import logging
import os
import threading
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import timedelta

from flask import Flask

from advisor import loading
from advisor.by_book import dialogues_of
from advisor.campaign.quiet import Quiet
from advisor.dialogue.book import Book
from advisor.gateway.bodies import AHEAD_MOST
from advisor.gateway.demo import LastSteps, demo
from advisor.gateway.door import Door, Rules
from advisor.gateway.health import health
from advisor.gateway.metrics import Metrics
from advisor.gateway.problems import answer_with_problems
from advisor.gateway.rates import Limit, Tally
from advisor.gateway.webhooks import webhooks
from advisor.reloading import Editions, Stamps, stamps_at
from advisor.service.agent_notes import AgentNotes
from advisor.service.breaker import Breaker
from advisor.service.campaigns import Campaigns
from advisor.service.caring import DEMO_PIN, Caring
from advisor.service.clock import Clock, ShiftedClock, SystemClock
from advisor.service.damage import Damage
from advisor.service.endings import Completing, Endings
from advisor.service.gauging import Gauges
from advisor.service.identity import Ids
from advisor.service.inbound import Inbound
from advisor.service.journal import log_event
from advisor.service.onsets import Onsets
from advisor.service.pacing import Pace
from advisor.service.planning import Planner
from advisor.service.posting import http_post
from advisor.service.questions import OldQuestions, Questions
from advisor.service.receipts import Receipts
from advisor.service.relaying import Relaying
from advisor.service.rounds import Rounds
from advisor.service.sending import Sender
from advisor.service.talking import Dialogues, Edition
from advisor.service.ticking import Ticker
from advisor.service.trying_rounds import RoundTrial
from advisor.settings import Settings
from advisor.store.api import Store, StoreUnavailable
from advisor.store.keys import secret_mark
from advisor.store.names import BUCKETS
from advisor.store.opening import open_store
from advisor.store.plans import Keeps

EMBEDDED = "embedded:"
EXTENSION = "advisor"
EDITIONS = "advisor-editions"


@dataclass(frozen=True, slots=True)
class Parts:
    """What one process is made of.

    Args:
        store: what remembers.
        clock: what the time is.
        ids: derives ids.
        metrics: what is counted.
        damage: damaged keys that were met.
        rounds: hands over, relays and lets lapse.
        campaigns: plans rounds of messages and makes their messages, None where nobody hands them over.
    """

    store: Store
    clock: Clock
    ids: Ids
    metrics: Metrics
    damage: Damage
    rounds: Rounds
    campaigns: Campaigns | None = None


def store_at(settings: Settings, retention: timedelta | None = None) -> Store:
    """The store of the settings, not yet spoken to; the embedded one where no address is given.

    Args:
        settings: how the installation is set.
        retention: for how long a line of history is kept, where lines are written.
    """
    secret = settings.id_secret.encode()
    return open_store(settings.store or EMBEDDED, keeps_of(settings, retention), secret_mark(secret))


def keeps_of(settings: Settings, retention: timedelta | None = None) -> Keeps:
    """How long the store keeps things; see `store_at`."""
    # a message may be dated ahead by so much; its id must be remembered until it is too old by its own date
    memory = settings.message_memory + AHEAD_MOST
    keeps = Keeps(answers_ms=memory // timedelta(milliseconds=1))
    if retention is not None:
        keeps = replace(keeps, history_ms=retention // timedelta(milliseconds=1))
    return keeps


def parts_of(
    settings: Settings, dialogues: Dialogues, store: Store | None = None, clock: Clock | None = None
) -> Parts:
    """What serving and sending have in common.

    Args:
        settings: how the installation is set.
        dialogues: for the edges of the village figures, and how long records are kept.
        store: another store than that of the settings.
        clock: another clock than that of the machine.
    """
    bands, retention, ids = dialogues.bands, dialogues.retention, Ids(settings.id_secret.encode())
    store = store if store is not None else store_at(settings, retention)
    clock = clock or SystemClock()
    clock = ShiftedClock(clock) if settings.demo else clock
    metrics = Metrics(settings.figures_folder)
    damage = Damage(clock, metrics)
    sender = None
    if settings.gateway:
        post = http_post(settings.gateway, settings.outbound_keys, clock)
        # each process begins with a bucket of its own, so that senders seldom ask for the same messages
        pace = Pace(turn=os.getpid() * 97 % BUCKETS)
        sender = Sender(
            store,
            clock,
            settings.gateway,
            settings.sender,
            post,
            damage,
            metrics,
            dialogues.terms,
            settings.per_second,
            settings.gateway_memory,
            pace,
        )
    rounds = Rounds(
        store,
        clock,
        Relaying(store, clock, bands, damage, retention, lambda: dialogues, ids, makes_lists=sender is not None),
        damage,
        sender,
        old_questions=OldQuestions(Questions(store, clock)),
        endings=Completing(Endings(store, ids)),
    )
    campaigns = None
    if sender is not None and dialogues.quiet is not None:
        campaigns = campaigns_of(dialogues, dialogues.quiet, store, clock, ids, damage)
    return Parts(store, clock, ids, metrics, damage, rounds, campaigns)


def campaigns_of(
    dialogues: Dialogues, quiet: Quiet, store: Store, clock: Clock, ids: Ids, damage: Damage
) -> Campaigns:
    """What plans rounds and makes their messages."""
    speech, onsets = dialogues.speech, None
    if dialogues.noting is not None:
        onsets = Onsets(Gauges(store, clock, ids), clock, dialogues.noting, dialogues.zone_of, damage)
    return Campaigns(
        store,
        clock,
        Planner(store, clock, damage, speech),
        Ticker(store, clock, ids, damage, dialogues.language, speech),
        damage,
        quiet,
        dialogues.languages,
        os.getpid() * 97 % BUCKETS,
        onsets=onsets,
        notes=AgentNotes(store, clock, ids, damage, tuple(dialogues.agents.values()), dialogues.language, speech),
    )


def create_app(
    settings: Settings,
    *,
    book: Book | None = None,
    as_read: Stamps | None = None,
    store: Store | None = None,
    clock: Clock | None = None,
    dialogues: Dialogues | None = None,
    tally: Tally | None = None,
) -> Flask:
    """The web application.

    Args:
        settings: how the installation is set.
        book: the settings' book where it is read already.
        as_read: for a demonstration, its files as they were before that (`stamps_at`).
        store: another store than that of the settings.
        clock: another clock than that of the machine.
        dialogues: other dialogues than those of the book.
        tally: how often somebody asked, where several workers count together.

    Raises:
        StoreMismatch: the store was made with other settings.
    """
    editions = editions_of(settings, book, as_read, dialogues, clock or SystemClock()) if settings.demo else None
    if editions is None:
        dialogues = dialogues or dialogues_of(book or book_at(settings))
    else:
        dialogues = editions.now().dialogues
    parts = parts_of(settings, dialogues, store, clock)
    steps = LastSteps()
    open_first, breaker = _opening(parts.store), Breaker()
    current = _current(dialogues, editions)
    inbound = Inbound(
        current,
        parts.store,
        parts.clock,
        parts.ids,
        settings.message_memory,
        parts.damage,
        parts.metrics,
        nudge=parts.rounds.nudge,
        watch=steps.note if settings.demo else lambda _number, _effects, _book: None,
        breaker=breaker,
        open_first=open_first,
        caring=Caring(parts.store, parts.clock, parts.ids, demo_pin=DEMO_PIN if settings.demo else ""),
    )
    receipts = Receipts(parts.store, parts.clock, parts.damage, breaker, open_first)
    door = Door(rules_of(settings), parts.clock, parts.metrics, tally or Tally())
    app = Flask("advisor", static_folder=None)
    app.extensions[EXTENSION] = parts
    answer_with_problems(app, parts.damage)
    door.stand_before(app)
    app.register_blueprint(webhooks(inbound, receipts, parts.clock, door, _commands(current)))
    app.register_blueprint(health(parts.store, parts.metrics, parts.clock, parts.damage, door, demo=settings.demo))
    if editions is not None and isinstance(parts.clock, ShiftedClock):
        app.extensions[EDITIONS] = editions
        app.register_blueprint(
            demo(
                parts.store,
                parts.clock,
                parts.ids,
                steps,
                open_first,
                editions.now,
                _trial(parts),
                _round_text,
            )
        )
    return app


def rules_of(settings: Settings) -> Rules:
    """Who may speak; without keys nobody, unless the service is open. A demonstration lets everybody speak."""
    if settings.demo:
        return Rules()
    return Rules(
        keys=None if settings.open else settings.inbound_keys,
        speakers=settings.speakers,
        watchers=settings.watchers,
        proxies=settings.proxies,
        address=Limit(settings.address_rate, burst=settings.address_rate),
        number=Limit(settings.grower_rate / 60, burst=settings.grower_rate),
    )


def book_at(settings: Settings) -> Book:
    """The book of the settings' programme, flows and catalogs; see ``loading.load_book``."""
    return loading.load_book(settings.programme, settings.flows, settings.locales, drafting=settings.demo)


def editions_of(
    settings: Settings, book: Book | None, as_read: Stamps | None, dialogues: Dialogues | None, clock: Clock
) -> Editions:
    """The book of a demonstration, which follows its files once it is watched.

    Args:
        settings: which files.
        book: the book where it is read already.
        as_read: the files as they were before that.
        dialogues: other dialogues than those of that book.
        clock: that of the machine, which says when a book was read.
    """

    def read() -> Edition:
        book = book_at(settings)
        return Edition(book, dialogues_of(book), clock.now())

    as_read = stamps_at(settings) if book is None else as_read
    first = read() if book is None else Edition(book, dialogues_of(book), clock.now())
    if dialogues is not None:
        first = replace(first, dialogues=dialogues)
    return Editions(
        first, read, lambda: loading.files_of(settings.programme, settings.flows, settings.locales), as_read
    )


def start_rounds(app: Flask) -> threading.Event:
    """Starts the rounds of an application in a thread of this process; setting the event ends them.

    A demonstration's watch over its files is started and ended with them; the round that it tries has no
    thread, since it goes by the clock (`RoundTrial`).
    """
    parts: Parts = app.extensions[EXTENSION]
    editions: Editions | None = app.extensions.get(EDITIONS)
    stopping = threading.Event()
    threading.Thread(target=parts.rounds.run, args=(stopping,), name="rounds", daemon=True).start()
    if parts.campaigns is not None and editions is None:
        threading.Thread(target=parts.campaigns.run, args=(stopping,), name="campaigns", daemon=True).start()
    if editions is not None:
        threading.Thread(target=editions.run, args=(stopping,), name="files", daemon=True).start()
    return stopping


def _trial(parts: Parts) -> RoundTrial | None:
    """What tries rounds at a demonstration, None where nobody hands their messages over."""
    if parts.campaigns is None or not isinstance(parts.clock, ShiftedClock):
        return None
    return RoundTrial(parts.campaigns, parts.rounds, parts.clock, parts.ids)


def _round_text(name: str) -> str | None:
    """The text of a round by its name, None where there is none."""
    try:
        return loading.load_round(name)
    except loading.NoRound:
        return None


def _current(dialogues: Dialogues, editions: Editions | None) -> Callable[[], Dialogues]:
    """What says which dialogues decide now: of an installation always the same."""
    if editions is None:
        return lambda: dialogues
    return lambda: editions.now().dialogues


def _commands(current: Callable[[], Dialogues]) -> Callable[[str], bool]:
    """Whether an SMS is a word for stop or for erasing in the dialogues of now."""
    return lambda typed: current().is_command(typed)


def _opening(store: Store) -> Callable[[], None]:
    """Opens the store now; where it is not there yet, what is returned opens it before its first use."""
    opened = threading.Event()

    def ensure() -> None:
        if not opened.is_set():
            store.open()
            opened.set()

    try:
        ensure()
    except StoreUnavailable:
        log_event("start", level=logging.WARNING, outcome="store_unavailable")
    return ensure
