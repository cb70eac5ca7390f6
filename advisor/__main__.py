"""``python -m advisor`` is ``advisor``."""

from __future__ import annotations

from advisor.cli import main

if __name__ == "__main__":
    main()
