"""Phones on a whole screen of the terminal, with keypad, messages, clock and, for authors, what the service says.

What is shown follows from one value by pure functions. ``app.py``, ``pane.py`` and ``driver.py`` alone know the
terminal, ``line.py`` and ``watching.py`` the service.
"""
