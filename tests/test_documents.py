"""What the documents say of the program is so."""

import re
from pathlib import Path

from advisor.loading import load_book
from advisor.settings import SETTINGS

HOME = Path(__file__).parent.parent
README = (HOME / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (HOME / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_the_readme_names_every_setting_with_default_and_meaning():
    rows = re.findall(r"^\| `(SOWING_\w+)` \| (.*?) \| (.*?) \|$", README, re.MULTILINE)

    assert rows == [
        (known.name, f"`{known.default}`" if known.default else "", known.meaning) for known in SETTINGS
    ]


def test_the_map_names_every_room():
    rooms = {path.name for path in (HOME / "advisor").iterdir() if (path / "__init__.py").exists()}

    assert {room for room in rooms if f"`advisor/{room}/`" not in DEVELOPERS} == set()


def test_the_authors_page_names_what_flows_may_name():
    page = (HOME / "flows" / "README.md").read_text(encoding="utf-8")
    registry = load_book().registry
    rows = dict(re.findall(r"^\| `(\w+)` \| .* \| (.*) \|$", page, re.MULTILINE))

    for calculation in registry.calculations:
        assert rows[calculation.name] == ", ".join(f"`{name}`" for name, _ in calculation.gives)
    for name in (*(condition.name for condition in registry.conditions), *dict(registry.lists)):
        assert f"`{name}`" in page


def test_every_make_target_that_is_named_exists():
    makefile = (HOME / "Makefile").read_text(encoding="utf-8")
    targets = set(re.findall(r"^([a-z]+):", makefile, re.MULTILINE))

    named = set(re.findall(r"(?:^    |`)make ([a-z]+)", README + DEVELOPERS, re.MULTILINE))
    assert named
    assert named <= targets


def test_the_lock_file_names_packages_by_hash_and_no_place_to_get_them_from():
    lock = (HOME / "requirements.lock").read_text(encoding="utf-8")

    assert "://" not in lock
    assert "--hash=sha256:" in lock
