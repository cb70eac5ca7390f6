"""The phone in a terminal of its own, watched byte by byte; as a program it measures start and keys.

python -m tests.simulator.ptys
"""

import contextlib
import fcntl
import os
import pty
import select
import struct
import subprocess
import sys
import termios
import time
from pathlib import Path
from statistics import median

HOME = Path(__file__).parents[2]


class Terminal:
    """A command in a terminal of so many columns and rows; ended with its ``with`` block."""

    def __init__(self, command, columns=80, rows=24, **environment):
        self._ours, theirs = pty.openpty()
        self.resize(columns, rows)
        kept = {name: value for name, value in os.environ.items() if name not in ("NO_COLOR", "COLUMNS", "LINES")}
        self.begun_s = time.monotonic()
        self.child = subprocess.Popen(
            command,
            stdin=theirs,
            stdout=theirs,
            stderr=theirs,
            cwd=HOME,
            env={**kept, "TERM": "xterm", **environment},
            start_new_session=True,
        )
        os.close(theirs)
        self.seen = b""

    def __enter__(self):
        return self

    def __exit__(self, *_):
        if self.child.poll() is None:
            self.child.terminate()
            with contextlib.suppress(subprocess.TimeoutExpired):
                self.child.wait(10)
        if self.child.poll() is None:
            self.child.kill()
            self.child.wait()
        os.close(self._ours)

    def resize(self, columns, rows):
        fcntl.ioctl(self._ours, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))

    def press(self, keys):
        os.write(self._ours, keys.encode())

    def read(self, quiet_s):
        """What is sent until it has been quiet for so long."""
        found = b""
        while select.select([self._ours], [], [], quiet_s)[0]:
            try:
                piece = os.read(self._ours, 65536)
            except OSError:  # the other end is closed
                break
            if not piece:
                break
            found += piece
        self.seen += found
        return found

    def wait_for(self, text, patience_s=30.0):
        """Reads on until a text was sent; the seconds since the start."""
        wanted, start, until_s = text.encode(), len(self.seen), time.monotonic() + patience_s
        while wanted not in self.seen[max(0, start - len(wanted)) :]:
            assert time.monotonic() < until_s, f"{text!r} never came; the last was {self.seen[-2000:]!r}"
            self.read(0.01)
        return time.monotonic() - self.begun_s

    def cpu_s(self):
        """Seconds that the command has computed; unlike the time that passed, not those that others took."""
        fields = Path(f"/proc/{self.child.pid}/stat").read_text(encoding="ascii").rsplit(")", 1)[1].split()
        return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")

    def left(self, patience_s=20.0):
        """Reads until the command has ended; its exit code."""
        until_s = time.monotonic() + patience_s
        while self.child.poll() is None and time.monotonic() < until_s:
            self.read(0.05)
        self.read(0.05)
        return self.child.poll()


PHONE = (sys.executable, "-m", "advisor", "phone")


def measured(rounds=5):
    """For each start the seconds to the first screen and those computed, and bytes for each key, typed slowly."""
    starts, costs = [], {}
    for _ in range(rounds):
        with Terminal(PHONE) as terminal:
            starts.append((terminal.wait_for("Choose language"), terminal.cpu_s()))
            whole = len(terminal.seen) + len(terminal.read(1.5))
            for name, keys in (("digit", "7"), ("letter", "k"), ("erase", "\x7f"), ("left", "\x1b[D")):
                terminal.press(keys)
                costs.setdefault(name, []).append(len(terminal.read(0.3)))
            terminal.press("\x15")
            terminal.read(0.3)
            terminal.press("1\r")
            costs.setdefault("answer and its screen", []).append(len(terminal.read(1.0)))
            costs.setdefault("opening", []).append(whole)
    return starts, costs


if __name__ == "__main__":
    times_s, bytes_sent = measured()
    for what, each_s in zip(("first screen after", "computing"), zip(*times_s, strict=True), strict=True):
        print(f"{what}, s: {' '.join(f'{at_s:.2f}' for at_s in each_s)}, median {median(each_s):.2f}")
    for what, sizes in bytes_sent.items():
        print(f"{what}: {max(sizes)} bytes at most")
