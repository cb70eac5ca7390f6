"""What the gateway's answer is taken for, however odd its headers are."""

from __future__ import annotations

import pytest

from advisor.service.posting import asked_s

NOW = "Fri, 31 Dec 1999 23:59:49 GMT"


class TestARetryAfter:
    @pytest.mark.parametrize(
        "odd",
        [
            "1 Jan 2020 0:0:0 +9999999999999",
            "31 Feb 2020 0:0:0 GMT",
            "30, 30",
            "-1",
            "1e3",
            "²",
            "",
        ],
    )
    def test_that_is_nonsense_asks_for_nothing(self, odd: str) -> None:
        assert asked_s({"retry-after": odd, "date": NOW}) == 0
        assert asked_s({"retry-after": NOW, "date": odd}) == 0

    def test_in_the_past_asks_for_nothing(self) -> None:
        assert asked_s({"retry-after": "Fri, 31 Dec 1999 23:59:39 GMT", "date": NOW}) == 0
