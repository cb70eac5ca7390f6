"""Files that are there whole or not at all, for their owner alone to read."""

from __future__ import annotations

import contextlib
import os
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO


@contextlib.contextmanager
def replacing(file: Path) -> Iterator[BinaryIO]:
    """A file beside the one that is meant, readable by its owner alone; it takes its place when all is written.

    Raises:
        OSError: it cannot be written; what is there stays.
    """
    handle, name = tempfile.mkstemp(prefix=f".{file.name}.", dir=file.parent or Path())
    try:
        with os.fdopen(handle, "wb") as raw:
            yield raw
            raw.flush()
            os.fsync(raw.fileno())
        Path(name).replace(file)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
