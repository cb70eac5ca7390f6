"""A gateway's own file: each request that it understood, one JSON line, written before it is answered."""

from __future__ import annotations

import json
import threading
from pathlib import Path
from types import TracebackType

from simulator.mishaps import Fate
from simulator.phone import Sms


class Ledger:
    """Appends to a file while its ``with`` block runs.

    Args:
        file: where; what is in it stays.
    """

    def __init__(self, file: Path) -> None:
        self._lock = threading.Lock()
        self._lines = file.open("a", encoding="utf-8")

    def __enter__(self) -> Ledger:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        with self._lock:
            self._lines.close()

    def note(self, arrived_s: float, message: Sms, fate: Fate) -> None:
        """Writes one request.

        Args:
            arrived_s: when its connection came, in Unix seconds.
            message: what it holds.
            fate: what becomes of it.
        """
        row = {"at": round(arrived_s, 3), "id": message.message_id, "to": message.number}
        line = json.dumps(row | {"text": message.text, "fate": fate}, ensure_ascii=False)
        with self._lock:
            # a request that is still under way when the gateway ends is answered to nobody
            if not self._lines.closed:
                self._lines.write(line + "\n")
                self._lines.flush()
