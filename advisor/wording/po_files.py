"""PO files as values: read with everything that translators keep in them, and written so that nothing changes.

Reading is the library's. Writing is not: its writer joins and wraps comments, puts a date and its own name into
the header, and drops what stood before a changed text.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from babel.messages import catalog as babel_catalog
from babel.messages.pofile import PoFileError, PoFileParser, denormalize, normalize

from advisor.wording.errors import CatalogUnreadable

FUZZY = "fuzzy"

# The library takes a line without its closing quote and drops the last letter.
_LINE = re.compile(r'(?:#.*|(?:msgctxt|msgid|msgid_plural|msgstr|msgstr\[[0-9]\])?\s*"(?:[^"\\]|\\.)*")?')
_PREVIOUS = re.compile(r'\|\s*(msgctxt|msgid_plural|msgid)?\s*(".*")')


@dataclass(frozen=True, slots=True)
class Key:
    """What an entry translates.

    Args:
        context: ``flow.screen``.
        msgid: the English text, of a counted message the singular.
        plural: the English plural, empty for a message that counts nothing.
    """

    context: str
    msgid: str
    plural: str = ""


@dataclass(frozen=True, slots=True)
class PoEntry:
    """One entry with all that stands around it.

    Args:
        key: what it translates.
        texts: the translation, one text a plural form; empty texts where there is none.
        remarks: the translator's own comments.
        notes: comments for the translator that were extracted.
        places: file and line of each place that says it; line 0 for none.
        flags: marks such as ``fuzzy``.
        previous: what the translation was made of, where the English text has changed since.
    """

    key: Key
    texts: tuple[str, ...]
    remarks: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    places: tuple[tuple[str, int], ...] = ()
    flags: tuple[str, ...] = ()
    previous: Key | None = None

    @property
    def begun(self) -> bool:
        """Whether there is any translated text in it."""
        return any(self.texts)


@dataclass(frozen=True, slots=True)
class PoFile:
    """A whole file.

    Args:
        remarks: the comment lines at its top.
        header: text of the header's fields.
        entries: its entries in their order.
        obsolete: entries kept though nothing says them any more.
    """

    remarks: tuple[str, ...]
    header: str
    entries: tuple[PoEntry, ...]
    obsolete: tuple[PoEntry, ...] = ()


class _Obsolete(dict[Any, babel_catalog.Message]):
    """Keeps obsolete messages in the order read, repeats too."""

    def __init__(self) -> None:
        super().__init__()
        self.heard: list[babel_catalog.Message] = []

    def __setitem__(self, key: Any, message: babel_catalog.Message) -> None:
        self.heard.append(message)
        super().__setitem__(key, message)


class _Listening(babel_catalog.Catalog):
    """Keeps every message in the order read; the library's own store drops repeats and unknown header fields."""

    def __init__(self) -> None:
        # A date of our own, or the library would read the clock for one.
        super().__init__(creation_date="1970-01-01 00:00+0000")
        self.heard: list[babel_catalog.Message] = []
        self.at_rest = _Obsolete()
        self.obsolete = self.at_rest

    def __setitem__(self, id: Any, message: babel_catalog.Message) -> None:  # noqa: A002 - the library's name
        self.heard.append(message)
        super().__setitem__(id, message)


def heard(po_text: str) -> tuple[list[babel_catalog.Message], list[babel_catalog.Message]]:
    """The messages of a PO file in their order, the header among them, and the obsolete ones.

    Raises:
        CatalogUnreadable: the text is no PO file.
    """
    for number, line in enumerate(po_text.splitlines(), 1):
        if not _LINE.fullmatch(line.strip()):
            raise CatalogUnreadable(number, f"{line.strip()[:40]!r} is no line of a PO file")
    listening = _Listening()
    try:
        PoFileParser(listening, abort_invalid=True).parse(io.StringIO(po_text))
    except PoFileError as error:
        raise CatalogUnreadable(error.lineno + 1, str(error)) from error
    except (ValueError, LookupError, AttributeError) as error:
        raise CatalogUnreadable(0, f"the file breaks the format ({error})") from error
    return listening.heard, listening.at_rest.heard


def read_po(po_text: str) -> PoFile:
    """A PO file with all that stands in it.

    Raises:
        CatalogUnreadable: the text is no PO file.

    >>> read_po('msgctxt "seed.how"\\nmsgid "Yes"\\nmsgstr "Ndiyo"\\n').entries[0].texts
    ('Ndiyo',)
    """
    messages, obsolete = heard(po_text)
    head = next((message for message in messages if not message.id), None)
    return PoFile(
        remarks=tuple(head.user_comments) if head else (),
        header=str(head.string) if head else "",
        entries=tuple(_entry(message) for message in messages if message.id),
        obsolete=tuple(_entry(message) for message in obsolete),
    )


def _entry(message: babel_catalog.Message) -> PoEntry:
    context, texts = message.context or "", message.string
    ids = (message.id,) if isinstance(message.id, str) else message.id
    remarks = [line for line in message.user_comments if not _PREVIOUS.fullmatch(line)]
    return PoEntry(
        key=Key(context, *ids),
        texts=(texts,) if isinstance(texts, str) else tuple(texts or ()),
        remarks=tuple(remarks),
        notes=tuple(message.auto_comments),
        places=tuple((file, line or 0) for file, line in message.locations),
        flags=tuple(sorted(message.flags)),
        previous=_previous(message.user_comments),
    )


def _previous(comments: Sequence[str]) -> Key | None:
    """The text before a change, which the library hands on as comments."""
    parts = {"msgctxt": "", "msgid": "", "msgid_plural": ""}
    part = ""
    for found in map(_PREVIOUS.fullmatch, comments):
        if found:
            part = found[1] or part
            parts[part or "msgid"] += denormalize(found[2])
    return Key(parts["msgctxt"], parts["msgid"], parts["msgid_plural"]) if parts["msgid"] else None


def write_po(po: PoFile) -> str:
    """The text of a PO file. What was read is written as it was, but for the wrapping of lines.

    >>> print(write_po(PoFile((), "Language: sw\\n", (PoEntry(Key("seed.how", "Yes"), ("Ndiyo",)),))))
    msgid ""
    msgstr "Language: sw\\n"
    <BLANKLINE>
    msgctxt "seed.how"
    msgid "Yes"
    msgstr "Ndiyo"
    <BLANKLINE>
    """
    head = [*(f"# {line}".rstrip() for line in po.remarks), 'msgid ""', f"msgstr {normalize(po.header, width=0)}"]
    blocks = ["\n".join(head)]
    blocks += ["\n".join(_lines(entry)) for entry in po.entries]
    blocks += ["\n".join(_lines(entry, "#~ ")) for entry in po.obsolete]
    return "\n\n".join(blocks) + "\n"


def _lines(entry: PoEntry, prefix: str = "") -> Iterator[str]:
    yield from (f"# {line}".rstrip() for line in entry.remarks)
    yield from (f"#. {line}" for line in entry.notes)
    yield from (f"#: {_place(file, line)}" for file, line in entry.places)
    if entry.flags:
        yield f"#, {', '.join(entry.flags)}"
    if entry.previous:
        yield from (f"#| {line}" for line in _key_lines(entry.previous))
    for line in (*_key_lines(entry.key), *_text_lines(entry)):
        yield prefix + line


def _place(file: str, line: int) -> str:
    # Isolates around a name with a space in it, as gettext and the library do.
    name = f"\u2068{file}\u2069" if " " in file else file
    return f"{name}:{line}" if line else name


def _key_lines(key: Key) -> Iterator[str]:
    if key.context:
        yield from f"msgctxt {normalize(key.context, width=0)}".split("\n")
    yield from f"msgid {normalize(key.msgid, width=0)}".split("\n")
    if key.plural:
        yield from f"msgid_plural {normalize(key.plural, width=0)}".split("\n")


def _text_lines(entry: PoEntry) -> Iterable[str]:
    if not entry.key.plural:
        return f"msgstr {normalize(entry.texts[0], width=0)}".split("\n")
    forms = (f"msgstr[{form}] {normalize(text, width=0)}" for form, text in enumerate(entry.texts))
    return [line for form in forms for line in form.split("\n")]
