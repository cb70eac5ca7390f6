"""``questions``: what growers asked the agent, and the agent's answers."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

import click

from advisor.commands.backups import PERSONAL, used_store
from advisor.commands.beginning import book_of, read_settings
from advisor.commands.exits import Exit, WrongUsage

if TYPE_CHECKING:
    from advisor.dialogue.book import Book
    from advisor.service.identity import Ids
    from advisor.service.questions import OpenQuestion, Questions

#: So many SMS an answer may take: it is paid for by the programme, and read on a small screen.
MOST_SEGMENTS = 3


@click.group(invoke_without_command=True)
@click.option("--village", metavar="NAME", help="Only of this village, as the programme names it.")
@click.option("--json", "as_json", is_flag=True, help="As a list of objects, for a tool.")
@click.pass_context
def questions(context: click.Context, village: str | None, as_json: bool) -> Exit:
    """Lists what growers asked the agent and nobody answered yet: by village, the oldest first.

    \b
    Examples:
      advisor questions
      advisor questions answer 0f3a9c5500112233-1803974400 "Pull the sick plants and bury them."
    """
    if context.invoked_subcommand is not None:
        return Exit.DONE
    with _used() as (book, found, _):
        waiting = [one for one in found.waiting() if village is None or _named(book, one.village, village)]
        if village is not None and not any(_named(book, key, village) for key in _villages(book)):
            raise WrongUsage(f"--village is {village!r}: use one of {', '.join(_villages(book).values())}")
    if as_json:
        click.echo(json.dumps([_plain(one, book) for one in waiting], ensure_ascii=False, indent=2))
    else:
        click.echo("\n".join(_lines(waiting, book)) or "no question waits")
    if waiting:
        click.echo(f"warning: {PERSONAL}", err=True)
    return Exit.DONE


@questions.command()
@click.argument("question")
@click.argument("text")
def answer(question: str, text: str) -> Exit:
    """Sends TEXT by SMS to whoever asked QUESTION, and takes the question off the list.

    QUESTION is the id that `advisor questions` shows. advisor send hands the message over.

    \b
    Example:
      advisor questions answer 0f3a9c5500112233-1803974400 "Pull the sick plants and bury them."
    """
    from advisor.dialogue.book import FROM_AGENT
    from advisor.dialogue.screens import ENGINE
    from advisor.service.questions import WantsNoMessages
    from advisor.wording.gsm import gsm_safe
    from advisor.wording.segments import segments

    with _used() as (book, found, ids):
        one = found.find(question)
        voice = book.voices.get(one.language) or book.voices[book.default_language]
        said = f"{voice.out(voice.say(ENGINE, FROM_AGENT))}\n{gsm_safe(' '.join(text.split()))}"
        if not text.strip() or segments(said) > MOST_SEGMENTS:
            raise WrongUsage(f"the answer takes {segments(said)} SMS: give a text of 1 to {MOST_SEGMENTS}")
        try:
            found.answer(question, said, ids)
        except WantsNoMessages as error:
            raise WrongUsage(
                "this grower wants no more messages: call or visit, then `advisor questions close`"
            ) from error
    click.echo("the answer waits to be handed over")
    return Exit.DONE


@questions.command()
@click.argument("question")
def close(question: str) -> Exit:
    """Takes QUESTION off the list without a message: it was answered in another way.

    \b
    Example:
      advisor questions close 0f3a9c5500112233-1803974400
    """
    with _used() as (_, found, _ids):
        found.close(question)
    click.echo("closed")
    return Exit.DONE


@contextmanager
def _used() -> Iterator[tuple[Book, Questions, Ids]]:
    """Book, questions and ids of the settings, with their troubles in one line."""
    from advisor.service.clock import SystemClock
    from advisor.service.errors import Busy
    from advisor.service.identity import Ids
    from advisor.service.questions import NoQuestion, Questions

    settings = read_settings(demo=False)
    book = book_of(settings)
    with used_store(settings) as store:
        store.open()
        try:
            yield book, Questions(store, SystemClock()), Ids(settings.id_secret.encode())
        except NoQuestion as error:
            raise WrongUsage("no question waits under this id: see `advisor questions`") from error
        except Busy as error:
            raise WrongUsage("this grower is writing just now: do the same again in a moment") from error


def _villages(book: Book) -> dict[str, str]:
    return {village.key: village.label.default for village in book.programme.villages}


def _named(book: Book, key: str, wanted: str) -> bool:
    return wanted.casefold() in (key.casefold(), _villages(book).get(key, "").casefold())


def _lines(waiting: list[OpenQuestion], book: Book) -> Iterator[str]:
    village = None
    for one in waiting:
        if one.village != village:
            village = one.village
            yield _villages(book).get(village, village or "village not known")
        day = one.question.asked.astimezone(book.zone)
        yield f"  {one.id}  {day:%Y-%m-%d %H:%M}  {one.number}"
        yield f"    {one.question.text}"


def _plain(one: OpenQuestion, book: Book) -> dict[str, str]:
    return {
        "id": one.id,
        "village": _villages(book).get(one.village, one.village),
        "asked": one.question.asked.astimezone(book.zone).isoformat(),
        "number": one.number,
        "language": one.language,
        "text": one.question.text,
    }
