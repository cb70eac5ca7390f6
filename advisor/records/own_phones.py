"""Whether the phone of an agent counts as that of a grower.

An agent agrees, chooses a village and tries the dialogues on the phone that the work is done from, and is no
grower of that village by it. Who is a grower as well is put on the list of growers, as any other is; that is kept.
"""

from __future__ import annotations

from collections.abc import Container, Iterable

#: Known of an agent whose own number stood on a list of growers.
LISTED = "grower.listed"


def is_growers(number: str, known: Iterable[str], own_phones: Container[str]) -> bool:
    """Whether a phone counts as a grower's.

    Args:
        number: E.164 number of the phone.
        known: names of what is known of whoever has it.
        own_phones: numbers of the phones that agents work from.

    >>> own_phones = {"+99900700001"}
    >>> [is_growers("+99900700001", known, own_phones) for known in ([], [LISTED])]
    [False, True]
    >>> is_growers("+99900112233", [], own_phones)
    True
    """
    return number not in own_phones or any(name == LISTED for name in known)
