"""Properties of the wording room are checked without a stopwatch: a loaded machine is not a fault."""

from hypothesis import settings

settings.register_profile("unhurried", deadline=None)
settings.load_profile("unhurried")
