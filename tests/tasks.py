"""What the main tasks cost a grower: screens, key presses and text messages, measured by playing them.

Each task is played twice on the shipped dialogues: in the first call ever, which asks language, consent and
village first, and in a call of the next day, when all that an earlier call asked is known. Screens and keys are
counted as the phone counts them: every page shown, every character and every send; dialling is not counted. By
text message the same answers are typed one a message, after a first one; each is paid for by whoever sends it.

    .venv/bin/python -m tests.tasks > flows/TASKS.md
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from advisor.dialogue.book import Book
from advisor.loading import load_book
from tests.dialogue.talker import Talker

RENEW = ".venv/bin/python -m tests.tasks > flows/TASKS.md"

#: Language, consent, village: what a first call asks before anything else.
BEGIN = ("1", "1", "1")


@dataclass(frozen=True, slots=True)
class Task:
    """A main task.

    Args:
        name: what the grower wants.
        ends: the screen that answers it, and that of the later call where it is another.
        first: what is typed at the menu in the first call.
        before: what an earlier call typed there.
        later: what a later call types.
        day: the day of the first call.
        why: why it cannot be shorter.
        keyword: the whole task as one text message, empty where there is none.
        days: how long after the earlier call the later one comes.
    """

    name: str
    ends: tuple[str, ...]
    first: tuple[str, ...]
    before: tuple[str, ...]
    later: tuple[str, ...]
    day: datetime
    why: str
    keyword: str = ""
    days: int = 1


@dataclass(frozen=True, slots=True)
class Cost:
    """What a task costs.

    Args:
        screens: pages shown.
        keys: characters typed, and sends.
        sent: text messages that the grower sends where it is done by text message.
        received: text messages that come back.
    """

    screens: int
    keys: int
    sent: int
    received: int


def _day(month: int, day: int, year: int = 2026) -> datetime:
    return datetime(year, month, day, 6, tzinfo=UTC)


_BUY = ("1", "2.5", "1")
#: Plain seed of one's own, in soil, and how it is sown is known.
_TEST = ("1", "2", "1", "2")
_EARLY = _day(10, 20)

TASKS = (
    Task(
        "What to buy",
        ("buy_list.list_bought",),
        _BUY,
        _BUY,
        ("1",),
        _EARLY,
        "Seed follows from the field, and from whether it is bought: two questions. Both are known later.",
        "SOYA 2.5 ACRES",
    ),
    Task(
        "Begin the seed test",
        ("seed_test.waiting",),
        ("3", "1", *_TEST, "today", "100"),
        _BUY,
        ("3", "1", "1", "1", "1", "2", "today", "100"),
        _day(11, 5),
        "Dressed seed is not tested like plain seed; soil and cloth are counted on different days. The count is "
        "held against the day and the number sown. Nothing of it can be known before. The keyword tells how.",
        "GERMINATE",
    ),
    Task(
        "Count the seed test",
        ("seed_test.good",),
        ("3", "1", *_TEST, "5/11", "50", "45", "1"),
        ("3", "1", *_TEST, "today", "50"),
        ("3", "1", "45", "1"),
        _day(11, 13),
        "First, the test itself is asked for. Later only the count, read back once, since seed is bought by it.",
        "TEST 45 OF 50",
        8,
    ),
    Task(
        "Inoculate the seed",
        ("inoculate.mix_level", "inoculate.mix_part"),
        ("3", "3", "1", "20", "5", "1", "1", "1"),
        _BUY,
        ("3", "3", "1", "5", "1", "1", "1"),
        _day(11, 20),
        "Dressed or not is asked each time: dressed seed must not be treated. Then how much seed, and how many "
        "people. Shade, batch and mixture are a screen each, for busy hands. The list says it later.",
        "INOCULATE 50",
    ),
    Task(
        "When to sow",
        ("when_to_sow.today_early", "my_season.choose"),
        ("2",),
        ("2", "1", "20/11"),
        ("2",),
        _EARLY,
        "Nothing is asked: My season says the window of the village, and later the day meant and what is next.",
        "WHEN",
    ),
    Task(
        "Which seed",
        ("choose_seed.buy",),
        ("3", "2", "2.5", "0"),
        _BUY,
        ("3", "2", "0"),
        _EARLY,
        "The field, and for how many seasons own seed was kept; 0 says that there is none.",
        "CHOOSE 2.5 ACRES",
    ),
    Task(
        "How to sow",
        ("how_to_sow.mixed",),
        ("4", "2", "1", "1"),
        _BUY,
        ("4", "2", "1"),
        _day(11, 20),
        "Only the origin of the seed is asked. Rows and depth are one screen, seeds in a hole the next.",
        "SPACING",
    ),
    Task(
        "Fertiliser",
        ("fertiliser.buy_one",),
        ("4", "3", "2.5", "1", "1"),
        ("4", "3", "2.5", "1", "1"),
        ("4", "3"),
        _EARLY,
        "Field, soil test and last season each change the amount. Nothing is asked later.",
        "FERTILISER 2.5 ACRES",
    ),
    Task(
        "Gaps in the rows",
        ("check_stand.thin",),
        ("5", "1", "20/11", "1", "180"),
        ("4", "1", "1", "20/11"),
        ("5", "1", "1", "180"),
        _day(11, 28),
        "The day of sowing, where to lay the rope, and the count. The day is known later, the count never.",
        "GAPS 180",
    ),
    Task(
        "Weeds",
        ("weeds.dates_next",),
        ("5", "2", "20/11"),
        ("4", "1", "1", "20/11"),
        ("5", "2"),
        _day(12, 5),
        "The dates follow from the day of sowing, which is asked once.",
        "WEED",
    ),
    Task(
        "Look at the roots",
        ("look_at_roots.good",),
        ("5", "3", "20/11", "1", "65", "8"),
        ("4", "1", "1", "20/11"),
        ("5", "3", "1", "65", "8"),
        _day(12, 28),
        "The day of sowing says whether it is time. Nodules and red ones are two counts of one hand.",
        "ROOTS",
    ),
    Task(
        "Sick leaves",
        ("sick_leaves.nitrogen",),
        ("5", "4", "1", "1", "1"),
        _BUY,
        ("5", "4", "1", "1", "1"),
        _day(12, 20),
        "Three questions on what is seen part the causes; nothing of it is known from before.",
        "LEAVES",
    ),
    Task(
        "Cut and thresh",
        ("cut_and_thresh.cut",),
        ("6", "1", "2", "1"),
        _BUY,
        ("6", "1", "2", "1"),
        _day(3, 12, 2027),
        "How the pods look is seen anew each time; whether to cut is one screen, how to cut the next.",
        "HARVEST 2.5 ACRES",
    ),
    Task(
        "Keep seed",
        ("keep_seed.amount",),
        ("6", "3", "2.5"),
        ("6", "3", "2.5"),
        ("6", "3", "2.5"),
        _day(3, 12, 2027),
        "Next season's field is the only question, and it is another field than this season's.",
        "KEEP 2.5 ACRES",
    ),
    Task(
        "Is it worth it",
        ("worth_it.even_assumed",),
        ("7", "1", "2.5"),
        _BUY,
        ("7", "1"),
        _EARLY,
        "Only the field is asked; the price is a guess that the screen names. Nothing is asked later.",
        "WORTH 2.5 ACRES",
    ),
    Task(
        "Does it fit my land",
        ("fits_my_land.fits",),
        ("7", "2", "1", "1", "1", "1"),
        ("7", "2", "1", "1", "1", "1"),
        ("7", "2"),
        _EARLY,
        "Water, soil, last crop and buyer are four reasons; the first that fails ends it. Nothing later.",
        "SUITABLE",
    ),
)


def cost(book: Book, begin: tuple[str, ...], before: tuple[str, ...], typed: tuple[str, ...], task: Task) -> Cost:
    """What a call costs after the calls before it.

    Raises:
        AssertionError: it ends on a screen that does not answer the task.
    """
    phone = _after(book, before, task)
    phone.dial()
    phone.screens, phone.keys = 1, 0
    phone.type(*begin, *typed)
    assert phone.spot in task.ends, f"{task.name} ends at {phone.spot}"
    texting = _after(book, before, task)
    texting.texts = []
    for text in ("hello", *begin, *typed):
        texting.sms(text)
    assert texting.spot in task.ends, f"{task.name} by text message ends at {texting.spot}"
    return Cost(phone.screens, phone.keys, 1 + len(begin) + len(typed), len(texting.texts))


def by_keyword(book: Book, task: Task) -> tuple[str, ...]:
    """What comes back for the task's one text message, once an earlier call has told what it rests on."""
    phone = _after(book, task.before, task)
    phone.texts = []
    phone.sms(task.keyword)
    return tuple(phone.texts)


def _after(book: Book, before: tuple[str, ...], task: Task) -> Talker:
    phone = Talker(book, task.day - timedelta(task.days) if before else task.day)
    if before:
        phone.dial()
        phone.type(*BEGIN, *before, "00")
        phone.hang_up()
        phone.wait(days=task.days)
    return phone


def page(book: Book) -> str:
    """The page of tasks."""
    rows = []
    for task in TASKS:
        first, later = cost(book, BEGIN, (), task.first, task), cost(book, (), task.before, task.later, task)
        figures = " | ".join(_figures(each) for each in (first, later))
        one = f"`{task.keyword}`: 1 + {len(by_keyword(book, task))}" if task.keyword else "none"
        rows.append(f"| {task.name} | {figures} | {one} | {task.why} |")
    return "\n".join([*_HEAD, *rows, ""])


def _figures(found: Cost) -> str:
    return f"{found.screens} | {found.keys} | {found.sent} + {found.received}"


_HEAD = (
    "# What the main tasks cost a grower",
    "",
    "Measured in English, on a field of 2.5 acres in Dovi with bought seed, by playing each task; renewed with",
    f"`{RENEW}`.",
    "A screen is a page; a key is a character or a send. *Texts* is what the same task takes by text message,",
    "sent by the grower + received. *First* is the first call ever, with language, consent and village (three",
    "screens, six keys, before the menu); *later* is a call of the next day, with earlier answers known.",
    "A call itself sends no text message unless one is asked for. *By keyword* is the task as one text message.",
    "",
    "| task | first: screens | keys | texts | later: screens | keys | texts | by keyword | why not shorter |",
    "| --- | --- | --- | --- | --- | --- | --- | --- | --- |",
)


if __name__ == "__main__":
    print(page(load_book()), end="")
