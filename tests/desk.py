"""An author's desk: copies of the shipped flows, catalogs and programme, to be changed and broken."""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from pathlib import Path

HOME = Path(__file__).parent.parent


@dataclass(frozen=True)
class Desk:
    """Folders ``flows`` and ``locales`` and the file ``place.toml``."""

    home: Path

    def change(self, file: str, old: str, new: str) -> None:
        """Replaces a text that stands in a file."""
        text = self.read(file)
        assert old in text
        self.write(file, text.replace(old, new))

    def read(self, file: str) -> str:
        return (self.home / file).read_text(encoding="utf-8")

    def write(self, file: str, text: str) -> None:
        (self.home / file).write_text(text, encoding="utf-8")

    @property
    def settings(self) -> dict[str, str]:
        """The settings that name its files."""
        return {
            "SOWING_PROGRAMME": str(self.home / "place.toml"),
            "SOWING_FLOWS": str(self.home / "flows"),
            "SOWING_LOCALES": str(self.home / "locales"),
        }


def desk_in(folder: Path) -> Desk:
    """A desk with fresh copies."""
    for name in ("flows", "locales"):
        shutil.copytree(HOME / name, folder / name)
    shutil.copy(HOME / "advisor" / "programmes" / "ulami.toml", folder / "place.toml")
    return Desk(folder)
