"""Where figures come from, as values that a page can show beside the advice."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.agronomy.tables import read_table


@dataclass(frozen=True, slots=True)
class Source:
    """One source.

    Args:
        key: short key that figures name it by.
        citation: institution or author, title, year.
        url: address where there is one, else empty: judgement and common practice have none.
    """

    key: str
    citation: str
    url: str


def read_sources(text: str) -> tuple[Source, ...]:
    """Sources from a data file.

    Args:
        text: TOML with one ``[[sources]]`` table a source: ``key``, ``citation`` and, where there is one, ``url``.

    Returns:
        The sources, in the order of the file.

    Raises:
        DataFault: everything that is wrong with the file, at once.

    Source:
        The project's own file format.

    >>> read_sources('[[sources]]\\nkey = "x-2020"\\ncitation = "X University, Seeds, 2020"')
    (Source(key='x-2020', citation='X University, Seeds, 2020', url=''),)
    """
    table = read_table(text, "sources", known_sources={})
    rows = table.rows("sources")
    found = tuple(Source(row.text("key"), row.text("citation"), row.text("url", default="")) for row in rows)
    table.unique("sources", [source.key for source in found])
    table.finish()
    return found
