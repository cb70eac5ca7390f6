"""Every small slip in the calculator (a mutant): do its checks see it?

mutmut plants the slips, each a copy of one function with one thing changed. mypy sees many of them at once, the
tests of ``tests/agronomy`` are run on the others, each in a process of its own. What neither sees has survived and
is either a gap in the tests or changes nothing; the latter are listed by hand, with the reason, in
``equivalent_*.toml``.

``results.py`` reads what mutmut wrote, ``equivalent.py`` the lists, ``report.py`` puts both together,
``planting.py`` and ``running.py`` start the tools.
"""
