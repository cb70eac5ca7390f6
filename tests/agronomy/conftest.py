"""The shipped crop and the demonstration programme, read once."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

import advisor
from advisor.agronomy.crop import read_crop
from advisor.agronomy.errors import DataFault
from advisor.agronomy.leaf_signs import read_leaf_signs
from advisor.agronomy.onset_rules import read_onset_rules
from advisor.agronomy.programme_file import read_programme
from advisor.agronomy.sources import read_sources

HOME = Path(advisor.__file__).parent


@pytest.fixture(scope="session")
def sources():
    return read_sources((HOME / "agronomy/data/sources.toml").read_text("utf-8"))


@pytest.fixture(scope="session")
def crop_text():
    return (HOME / "agronomy/data/crops/soybean.toml").read_text("utf-8")


@pytest.fixture(scope="session")
def crop(crop_text, sources):
    return read_crop(crop_text, sources)


@pytest.fixture(scope="session")
def days(crop):
    """Days of the shipped crop."""
    return crop.days


@pytest.fixture(scope="session")
def crops(sources):
    """Every crop that has a file."""
    return tuple(
        read_crop(file.read_text("utf-8"), sources)
        for file in sorted((HOME / "agronomy/data/crops").glob("*.toml"))
    )


@pytest.fixture(scope="session")
def leaf_signs_text():
    return (HOME / "agronomy/data/leaf_signs/soybean.toml").read_text("utf-8")


@pytest.fixture(scope="session")
def leaf_signs(leaf_signs_text, sources):
    return read_leaf_signs(leaf_signs_text, sources)


@pytest.fixture(scope="session")
def all_leaf_signs(sources):
    """Leaf signs of every crop that has them."""
    files = sorted((HOME / "agronomy/data/leaf_signs").glob("*.toml"))
    return tuple(read_leaf_signs(file.read_text("utf-8"), sources) for file in files)


@pytest.fixture(scope="session")
def programme_text():
    """A district with larger fields and more sizes of bags than the demonstration, to try laws harder."""
    return Path(__file__).with_name("district.toml").read_text("utf-8")


@pytest.fixture(scope="session")
def programme(programme_text, crop, sources):
    return read_programme(programme_text, (crop,), sources)


@pytest.fixture(scope="session")
def demonstration_text():
    return (HOME / "programmes/ulami.toml").read_text("utf-8")


@pytest.fixture(scope="session")
def demonstration(demonstration_text, crops, sources):
    """The programme that is shipped."""
    return read_programme(demonstration_text, crops, sources)


@pytest.fixture(scope="session")
def onset_rules(sources):
    return read_onset_rules((HOME / "agronomy/data/onset_rules.toml").read_text("utf-8"), sources)


@pytest.fixture(scope="session")
def faults_with_text(programme_text, crop, sources):
    """What is wrong with the district once each of some texts in it is another; the first place of it is taken."""

    def faults(*changes: tuple[str, str]) -> tuple[str, ...]:
        text = programme_text
        for old, new in changes:
            assert old in text, old
            text = text.replace(old, new, 1)
        try:
            read_programme(text, (crop,), sources)
        except DataFault as fault:
            return fault.faults
        return ()

    return faults


@pytest.fixture(scope="session")
def faults_with_figure(faults_with_text):
    """What is wrong with the district once the first figure of a key, value and unit has another value."""

    def faults(key: str, value: float, unit: str, given: float) -> tuple[str, ...]:
        ending = f'unit = "{unit}"'
        return faults_with_text(
            (f"\n{key} = {{ value = {value}, {ending}", f"\n{key} = {{ value = {given!r}, {ending}")
        )

    return faults


@pytest.fixture(scope="session", autouse=True)
def nothing_remembered() -> None:
    """What an earlier run of tests in this process worked out is forgotten, for the code may be another by now."""
    for name, module in list(sys.modules.items()):
        if name.startswith("advisor.agronomy."):
            for value in vars(module).values():
                if hasattr(value, "cache_clear"):
                    value.cache_clear()
