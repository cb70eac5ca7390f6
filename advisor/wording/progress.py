"""How far a catalog is."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from advisor.wording.po_files import FUZZY, Key, PoEntry, PoFile

_REVIEWER = re.compile("(?im)^x-reviewed-by:[ \t]*(.*)$")


@dataclass(frozen=True, slots=True)
class Progress:
    """Counts of a catalog's entries.

    Args:
        wanted: texts that are said.
        done: those of them with a translation that is used.
        fuzzy: translations that wait for somebody to look at them.
        empty: entries that lack a text.
        obsolete: entries that are kept though nothing says them.
        reviewed_by: who reviewed the catalog, empty for a draft.
    """

    wanted: int
    done: int
    fuzzy: int
    empty: int
    obsolete: int
    reviewed_by: str

    @property
    def percent(self) -> int:
        """The whole percentage that is done; 100 only where nothing lacks.

        >>> Progress(wanted=300, done=299, fuzzy=0, empty=1, obsolete=0, reviewed_by="").percent
        99
        """
        return 100 * self.done // self.wanted if self.wanted else 100


def progress(po: PoFile, wanted: Iterable[Key]) -> Progress:
    """How far a catalog is.

    Args:
        po: the catalog.
        wanted: every text that is said.
    """
    keys = set(wanted)
    reviewer = _REVIEWER.search(po.header)
    return Progress(
        wanted=len(keys),
        done=len(keys & {entry.key for entry in po.entries if _is_used(entry)}),
        fuzzy=sum(FUZZY in entry.flags for entry in po.entries),
        empty=sum(not all(entry.texts) for entry in po.entries),
        obsolete=len(po.obsolete),
        reviewed_by=reviewer[1].strip() if reviewer else "",
    )


def _is_used(entry: PoEntry) -> bool:
    return all(entry.texts) and FUZZY not in entry.flags
