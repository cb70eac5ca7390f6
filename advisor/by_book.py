"""What use cases take from a book: how it speaks, when it is quiet, what counts as good seed."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from functools import partial
from zoneinfo import ZoneInfo

from advisor import loading
from advisor.advice.buying import spacing_key
from advisor.advice.counting_days import days_of_test, latest_days
from advisor.advice.visit_list import visit_messages
from advisor.agronomy.crop import Crop
from advisor.agronomy.programme import Agent, Programme
from advisor.campaign.quiet import Quiet
from advisor.dialogue.book import Book
from advisor.dialogue.step import step
from advisor.dialogue.telling import told_text
from advisor.dialogue.unasked import question, result, said_day
from advisor.dialogue.veiled import waits_for
from advisor.service.clock import Clock
from advisor.service.damage import Damage
from advisor.service.figures import Bands
from advisor.service.listing import own_phones
from advisor.service.numbers import Dialling
from advisor.service.onsets import Noting, noted_in
from advisor.service.speaking import Speech
from advisor.service.surveying import Survey
from advisor.service.talking import Dialogues
from advisor.service.terms import terms_at
from advisor.service.visiting import Visiting
from advisor.store.api import Store, Terms


def dialogues_of(book: Book) -> Dialogues:
    """The dialogues of a book."""
    return Dialogues(
        step=partial(step, book),
        fingerprint=book.fingerprint,
        try_later=book.try_later,
        language=book.default_language,
        bands=bands_of(book),
        retention=timedelta(days=book.programme.retention_days),
        terms=terms_of(book.programme),
        quiet=quiet_of(book.programme),
        languages=book.programme.languages,
        is_command=book.is_command,
        speech=speech_of(book),
        agents={agent.number: agent for agent in book.programme.agents},
        waits_for=partial(waits_for, book),
        told_text=partial(told_text, book),
        visit_list=partial(visits_said, book),
        dialling=dialling_of(book.programme),
        zone_of={village.key: village.zone for village in book.programme.villages},
        noting=noting_of(book),
    )


def noting_of(book: Book) -> Noting:
    """What is noted of the rains of a zone by a book's programme."""
    crop, rules = main_crop(book), loading.load_onset_rules()
    return lambda zone, read, now: noted_in(book.programme, crop, rules, zone, read, now.astimezone(book.zone))


def speech_of(book: Book) -> Speech:
    """How rounds speak by a book."""
    programme = book.programme
    main = programme.crops[0].crop
    zones = {season.zone: season.slowed_by for season in programme.seasons if season.crop == main}
    return Speech(
        asks=partial(question, book),
        says=partial(result, book),
        day=partial(said_day, book),
        fresh_for=book.facts,
        slowed_by=tuple((village.key, zones.get(village.zone, 1.0)) for village in programme.villages),
        bands=bands_of(book),
        own_phones=own_phones(programme),
    )


def dialling_of(programme: Programme) -> Dialling:
    """How numbers of a programme are typed."""
    return Dialling(programme.country_code, programme.trunk_prefix, programme.number_length)


def terms_of(programme: Programme) -> Callable[[datetime], Terms]:
    """On what terms rounds of a programme leave."""
    quiet = quiet_of(programme)
    return lambda now: terms_at(quiet, programme.messages_per_day, now.replace(microsecond=0))


def quiet_of(programme: Programme) -> Quiet:
    """When nothing is sent unasked."""
    return Quiet(ZoneInfo(programme.time_zone), programme.quiet_from, programme.quiet_to, programme.holidays)


def bands_of(book: Book) -> Bands:
    """What counts as good and bad seed of the programme's main crop."""
    main = main_crop(book)
    return Bands(main.good_over_percent, main.poor_under_percent, own_phones(book.programme))


def main_crop(book: Book) -> Crop:
    """The programme's main crop."""
    _, crops = loading.load_figures()
    return next(crop for crop in crops if crop.key == book.programme.crops[0].crop)


def visits_said(book: Book, store: Store, clock: Clock, agent: Agent, language: str) -> tuple[str, ...]:
    """The messages that tell an agent whom to visit."""
    visits = visiting_of(book, store, clock).visits(agent=agent)
    return visit_messages(visits, book.programme, book.voices[language])


def visiting_of(book: Book, store: Store, clock: Clock) -> Visiting:
    """An agent's lists of a book's programme and its main crop."""
    programme, crop = book.programme, main_crop(book)
    places = ("", *(village.key for village in programme.villages))
    days = {place: days_of_test(programme, crop, place) for place in places}
    spacings = programme.plan(crop.key).spacings
    return Visiting(
        Survey(store, clock, Damage(clock), book.facts, own_phones(programme)),
        programme,
        crop,
        book.zone,
        quiet_of(programme),
        final_days={place: both[1] for place, both in days.items() if both is not None},
        spacings={spacing_key(spacing): place for place, spacing in enumerate(spacings)},
        slowed_by=speech_of(book).slowed_by,
        late_days=latest_days(crop),
    )
