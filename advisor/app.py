"""The one place that wires things together: settings in, a web application or a sender out."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from functools import partial

from flask import Flask

from advisor import loading
from advisor.dialogue.book import Book
from advisor.dialogue.step import step
from advisor.gateway.bodies import AHEAD_MOST
from advisor.gateway.demo import LastEffects, demo
from advisor.gateway.health import health
from advisor.gateway.metrics import Metrics
from advisor.gateway.problems import answer_with_problems
from advisor.gateway.webhooks import webhooks
from advisor.service.breaker import Breaker
from advisor.service.clock import Clock, ShiftedClock, SystemClock
from advisor.service.damage import Damage
from advisor.service.figures import Bands
from advisor.service.identity import Ids
from advisor.service.inbound import Inbound
from advisor.service.journal import log_event
from advisor.service.receipts import Receipts
from advisor.service.relaying import Relaying
from advisor.service.rounds import Rounds
from advisor.service.sending import Sender, http_post
from advisor.service.talking import Dialogues
from advisor.settings import Settings
from advisor.store.api import Store, StoreUnavailable
from advisor.store.keys import secret_mark
from advisor.store.opening import open_store
from advisor.store.plans import Keeps

EMBEDDED = "embedded:"
EXTENSION = "advisor"


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
    """

    store: Store
    clock: Clock
    ids: Ids
    metrics: Metrics
    damage: Damage
    rounds: Rounds


def store_at(settings: Settings) -> Store:
    """The store of the settings, not yet spoken to; the embedded one where no address is given."""
    secret = settings.id_secret.encode()
    # a message may be dated ahead by so much; its id must be remembered until it is too old by its own date
    memory = settings.message_memory + AHEAD_MOST
    keeps = Keeps(answers_ms=memory // timedelta(milliseconds=1))
    return open_store(settings.store or EMBEDDED, keeps, secret_mark(secret))


def parts_of(settings: Settings, bands: Bands, store: Store | None = None, clock: Clock | None = None) -> Parts:
    """What serving and sending have in common.

    Args:
        settings: how the installation is set.
        bands: edges for the village figures.
        store: another store than that of the settings.
        clock: another clock than that of the machine.
    """
    store = store if store is not None else store_at(settings)
    clock = clock or SystemClock()
    clock = ShiftedClock(clock) if settings.demo else clock
    metrics = Metrics(settings.figures_folder)
    damage = Damage(clock, metrics)
    sender = None
    if settings.gateway:
        post = http_post(settings.gateway)
        sender = Sender(store, clock, settings.gateway, settings.sender, post, damage, metrics)
    rounds = Rounds(store, clock, Relaying(store, clock, bands, damage), damage, sender)
    return Parts(store, clock, Ids(settings.id_secret.encode()), metrics, damage, rounds)


def create_app(
    settings: Settings,
    *,
    book: Book | None = None,
    store: Store | None = None,
    clock: Clock | None = None,
    dialogues: Dialogues | None = None,
) -> Flask:
    """The web application.

    Args:
        settings: how the installation is set.
        book: another book than that of the settings' programme.
        store: another store than that of the settings.
        clock: another clock than that of the machine.
        dialogues: other dialogues than those of the book.

    Raises:
        StoreMismatch: the store was made with other settings.
    """
    if dialogues is None:
        dialogues = dialogues_of(book if book is not None else book_at(settings))
    parts = parts_of(settings, dialogues.bands, store, clock)
    effects = LastEffects()
    open_first, breaker = _opening(parts.store), Breaker()
    inbound = Inbound(
        dialogues,
        parts.store,
        parts.clock,
        parts.ids,
        settings.message_memory,
        parts.damage,
        parts.metrics,
        nudge=parts.rounds.nudge,
        watch=effects.note if settings.demo else lambda _number, _effects: None,
        breaker=breaker,
        open_first=open_first,
    )
    receipts = Receipts(parts.store, parts.clock, parts.damage, breaker, open_first)
    app = Flask("advisor", static_folder=None)
    app.extensions[EXTENSION] = parts
    answer_with_problems(app, parts.damage)
    app.register_blueprint(webhooks(inbound, receipts, parts.clock))
    app.register_blueprint(health(parts.store, parts.metrics, parts.clock, parts.damage, demo=settings.demo))
    if isinstance(parts.clock, ShiftedClock):
        app.register_blueprint(demo(parts.store, parts.clock, parts.ids, effects, open_first))
    return app


def book_at(settings: Settings) -> Book:
    """The book of the settings' programme, flows and catalogs; see ``loading.load_book``."""
    return loading.load_book(settings.programme, settings.flows, settings.locales)


def dialogues_of(book: Book) -> Dialogues:
    """The dialogues of a book."""
    return Dialogues(
        step=partial(step, book),
        fingerprint=book.fingerprint,
        try_later=book.try_later,
        language=book.default_language,
        bands=bands_of(book),
    )


def bands_of(book: Book) -> Bands:
    """What counts as good and bad seed of the programme's main crop."""
    _, crops = loading.load_figures()
    main = next(crop for crop in crops if crop.key == book.programme.crops[0].crop)
    return Bands(main.good_over_percent, main.poor_under_percent)


def start_rounds(app: Flask) -> threading.Event:
    """Starts the rounds of an application in a thread of this process; setting the event ends them."""
    parts: Parts = app.extensions[EXTENSION]
    stopping = threading.Event()
    threading.Thread(target=parts.rounds.run, args=(stopping,), name="rounds", daemon=True).start()
    return stopping


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
