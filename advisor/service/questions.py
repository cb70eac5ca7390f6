"""Questions that growers put to the agent: who waits, an answer by SMS, and questions that nobody answered."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

import msgspec

from advisor.records.grower import Grower, Question
from advisor.service.changing import asked_since_ms
from advisor.service.clock import Clock, unix_ms
from advisor.service.erasing import TRIES
from advisor.service.errors import Busy
from advisor.service.identity import Ids
from advisor.service.journal import log_event
from advisor.service.outgoing import Parcel
from advisor.service.stored import Stored, from_bytes, to_bytes
from advisor.store.api import ROUNDS, Change, Committed, Out, Store

#: After a season nobody waits for the answer any more; the question goes, the grower stays.
WAITS_FOR = timedelta(days=90)
#: For so long an answer of the agent may be on its way, over quiet hours and holidays.
GOOD_FOR = timedelta(days=7)
#: How often the service looks for such questions.
LOOKS_EVERY_S = 3600.0

_ID = re.compile(r"([0-9a-f]{16})-([0-9]{1,11})")


class NoQuestion(Exception):  # noqa: N818 - named for what is missing
    """No question waits under an id: it was answered, its grower was erased, or it never was one."""


class WantsNoMessages(Exception):  # noqa: N818
    """Whoever asked has said stop since; an answer must find another way."""


@dataclass(frozen=True, slots=True)
class OpenQuestion:
    """A question as the agent sees it.

    Args:
        id: what it is answered under.
        village: village of the grower, empty where it is not known.
        number: E.164 number of the grower.
        language: language code of the grower, empty where it is not known.
        question: when it was asked, and its words.
    """

    id: str
    village: str
    number: str
    language: str
    question: Question


@dataclass(frozen=True, slots=True)
class Questions:
    """Reads and answers what waits.

    Args:
        store: where the growers are.
        clock: what the time is.
    """

    store: Store
    clock: Clock

    def waiting(self) -> tuple[OpenQuestion, ...]:
        """All that waits, by village and then the oldest first."""
        found = [
            _open(grower, question, record)
            for grower, _ in self.store.asked()
            for record in (from_bytes(self.store.value(grower)[1]).record,)
            for question in record.questions
        ]
        return tuple(sorted(found, key=lambda one: (one.village, one.question.asked, one.id)))

    def find(self, question_id: str) -> OpenQuestion:
        """One that waits. Raises NoQuestion."""
        grower, asked = _parts(question_id)
        record = from_bytes(self.store.value(grower)[1]).record
        return _open(grower, _asked_at(record, asked), record)

    def answer(self, question_id: str, text: str, ids: Ids) -> None:
        """Sends an answer by SMS and takes the question off the list, both or neither.

        Args:
            question_id: as `waiting` gives it.
            text: the finished message.
            ids: derives the outgoing id: a question is answered once, however often this is done.

        Raises:
            NoQuestion: it does not wait.
            WantsNoMessages: the grower has said stop since.
            Busy: the grower kept writing; nothing is changed.
        """

        def outs(grower: str, record: Grower, question: Question) -> tuple[Out, ...]:
            if record.stopped is not None and record.stopped > question.asked:
                raise WantsNoMessages
            return (_out(grower, record, question_id, text, unix_ms(self.clock.now()), ids),)

        self._close(question_id, outs)
        log_event("question", outcome="answered")

    def close(self, question_id: str) -> None:
        """Takes a question off the list that was answered in another way. Raises NoQuestion, Busy."""
        self._close(question_id, lambda _grower, _record, _question: ())
        log_event("question", outcome="closed")

    def let_go_of_old(self) -> int:
        """Lets go of questions that nobody answered in `WAITS_FOR`; returns how many."""
        end = self.clock.now() - WAITS_FOR
        gone = 0
        for grower, since_ms in self.store.asked():
            if since_ms >= unix_ms(end):
                break
            version, value = self.store.value(grower)
            stored = from_bytes(value)
            old = [question for question in stored.record.questions if question.asked < end]
            record = stored.record
            for question in old:
                record = record.without_question(question.asked)
            if isinstance(self.store.commit(self._change(grower, version, stored, record)), Committed):
                gone += len(old)
        if gone:
            log_event("question", outcome="expired", many=gone)
        return gone

    def _close(self, question_id: str, outs: Callable[[str, Grower, Question], tuple[Out, ...]]) -> None:
        grower, asked = _parts(question_id)
        for _ in range(TRIES):
            version, value = self.store.value(grower)
            stored = from_bytes(value)
            question = _asked_at(stored.record, asked)
            record = stored.record.without_question(asked)
            change = self._change(grower, version, stored, record, outs(grower, stored.record, question))
            if isinstance(self.store.commit(change), Committed):
                return
        raise Busy(1)

    def _change(
        self, grower: str, version: int, stored: Stored, record: Grower, outs: tuple[Out, ...] = ()
    ) -> Change:
        return Change(
            grower=grower,
            version=version,
            value=to_bytes(Stored(record, stored.session)),
            at_ms=unix_ms(self.clock.now()),
            outs=outs,
            asked_ms=asked_since_ms(stored.record, record),
            heard=False,
        )


@dataclass(slots=True)
class OldQuestions:
    """Lets go of old questions now and then, beside other work.

    Args:
        questions: what is looked through.
        next_s: when to look again, by the clock that only goes forward.
    """

    questions: Questions
    next_s: float = field(default=0.0)

    def look(self) -> int:
        """Looks, where it is time."""
        now_s = self.questions.clock.monotonic_s()
        if now_s < self.next_s:
            return 0
        self.next_s = now_s + LOOKS_EVERY_S
        return self.questions.let_go_of_old()


def _open(grower: str, question: Question, record: Grower) -> OpenQuestion:
    village, language = record.fact("grower.village"), record.fact("grower.language")
    return OpenQuestion(
        id=f"{grower}-{int(question.asked.timestamp())}",
        village="" if village is None else str(village.value),
        number=record.number,
        language="" if language is None else str(language.value),
        question=question,
    )


def _parts(question_id: str) -> tuple[str, datetime]:
    found = _ID.fullmatch(question_id)
    if found is None:
        raise NoQuestion
    return found[1], datetime.fromtimestamp(int(found[2]), UTC)


def _asked_at(record: Grower, asked: datetime) -> Question:
    for question in record.questions:
        if question.asked == asked:
            return question
    raise NoQuestion


def _out(grower: str, record: Grower, question_id: str, text: str, at_ms: int, ids: Ids) -> Out:
    return Out(
        oid=ids.outgoing(grower, ("answer", question_id), 0),
        # the agent works late, and whoever asked some days ago is asleep: it keeps to the hours of rounds
        lane=ROUNDS,
        not_before_ms=at_ms,
        expires_ms=at_ms + GOOD_FOR // timedelta(milliseconds=1),
        body=msgspec.json.encode(Parcel(record.number, text)),
        # what was asked after a stop is answered in spite of it
        to="" if record.stopped is not None else ids.number(record.number),
    )
