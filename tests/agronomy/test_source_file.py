"""The file of sources: read in order, each fault in a line."""

from __future__ import annotations

import pytest

from advisor.agronomy.errors import DataFault
from advisor.agronomy.sources import Source, read_sources


class TestSources:
    ROW = '[[sources]]\nkey = "x"\ncitation = "X, Seeds"\n'

    def test_are_read_in_order_with_or_without_an_address(self):
        second = '[[sources]]\nkey = "y"\ncitation = "Y, Soils"\nurl = "https://example.org"\n'

        assert read_sources(self.ROW + second) == (
            Source("x", "X, Seeds", ""),
            Source("y", "Y, Soils", "https://example.org"),
        )

    @pytest.mark.parametrize(
        ("text", "fault"),
        [
            ("", "sources is missing: give one or more [[sources]] tables"),
            (ROW + ROW, "sources has x twice: give each a name of its own"),
            (ROW.replace('key = "x"', ""), "sources[1].key is missing: give a text in quotes"),
            (ROW.replace('citation = "X, Seeds"', ""), "sources[1].citation is missing: give a text in quotes"),
            (ROW + "url = 3", "sources[1].url is 3: give a text in quotes"),
            (
                ROW + "year = 3",
                "sources[1].year is not known here: take it out, or use one of: citation, key, url",
            ),
        ],
    )
    def test_that_cannot_be_are_refused_in_one_line(self, text, fault):
        with pytest.raises(DataFault) as refused:
            read_sources(text)

        assert (refused.value.file, refused.value.faults) == ("sources", (fault,))
