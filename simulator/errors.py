"""The one base of everything the simulator refuses, so that a terminal can show each as one line.

Its kinds are named for what is wrong, as the people at the phones would say it.
"""

from __future__ import annotations


class SimulatorError(Exception):
    """Something went wrong that a person at the terminal can mend; the text says what and how."""
