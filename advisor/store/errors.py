"""What a store says when it cannot do what it was asked."""

from __future__ import annotations


class StoreUnavailable(Exception):  # noqa: N818 - named for what the caller sees
    """The store did not answer in time or cannot write now; nothing is known to have changed.

    Args:
        what: one line that says what happened.
        retry_after_s: after how many seconds a caller should repeat the same message, with the same id.
    """

    def __init__(self, what: str, retry_after_s: int = 1) -> None:
        super().__init__(f"{what}: repeat the message with the same id after {retry_after_s} s")
        self.what = what
        self.retry_after_s = retry_after_s


class StoreRefused(StoreUnavailable):
    """The server answers, but not to us as we are set; waiting mends nothing.

    Args:
        said: what the server said.
    """

    def __init__(self, said: str) -> None:
        what = f"the store refuses us ({said}): give the right user, password and database in its address"
        super().__init__(what, retry_after_s=5)


class StoreDamaged(Exception):  # noqa: N818
    """A key holds another type than it must, or text that the store never wrote; nothing was changed.

    Args:
        key: the key, which never holds a phone number or a name.
    """

    def __init__(self, key: str) -> None:
        super().__init__(f"key {key} holds what the store never wrote: look at it before going on")
        self.key = key


class StoreMismatch(Exception):  # noqa: N818
    """The store was made with other settings (bucket count, schema) than this process has."""
