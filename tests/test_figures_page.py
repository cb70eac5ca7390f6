"""The page of figures: every figure under its subject, and the page in the tree as the program writes it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from advisor.commands.calculating import load_known
from advisor.commands.calculator.handbook import RENEW, figure_page
from advisor.commands.calculator.subjects import SUBJECTS

HOME = Path(__file__).parent.parent
PAGE = (HOME / "advisor/agronomy/FIGURES.md").read_text("utf-8")
ROWS = [
    line.strip("| ").split(" | ") for line in PAGE.splitlines() if re.match(r"\| (?!figure |cause |---)", line)
]
NAMES = [name for subject in SUBJECTS for name in subject.names]


@pytest.fixture(scope="module")
def known():
    return load_known(None, None, None)


def test_the_page_in_the_tree_is_what_the_figures_are(known):
    assert figure_page(known) + "\n" == PAGE, f"the figures have changed; write the page anew with {RENEW}"


def test_the_page_says_how_it_is_renewed_and_so_do_the_documents():
    assert RENEW in PAGE
    for document in ("README.md", "DEVELOPERS.md"):
        assert "advisor/agronomy/FIGURES.md" in (HOME / document).read_text("utf-8"), document


def test_every_figure_has_a_name_under_one_subject(known):
    places = {re.sub(r"\[\d+\]", "", used.place) for used in known.all_used()}
    kinds = {re.sub(r"^(crop|programme) \w+", r"\1", place) for place in places}
    in_the_row = {"crop: harvest.grain.storage.moisture", "crop: harvest.grain.storage.temperature"}

    assert kinds - in_the_row == set(NAMES)
    assert len(NAMES) == len(set(NAMES))
    assert "## Other figures" not in PAGE


def test_a_figure_without_a_name_comes_last_under_its_place(known, monkeypatch):
    monkeypatch.setattr("advisor.commands.calculator.handbook.SUBJECTS", SUBJECTS[1:])

    page = figure_page(known)

    assert "programme ulami: field.plot_low" in page.partition("## Other figures")[2]


def test_every_row_has_a_value_a_mark_and_a_source_that_is_listed():
    listed = set(re.findall(r'<a id="([\w-]+)">', PAGE))

    assert len(ROWS) > 200
    for row in ROWS:
        assert len(row) == 6, row
        source = re.match(r"\[([\w-]+)\]\((#\1|https?://[^ )]+)\)$", row[5].strip())
        assert source, row
        assert source[1] in listed, row
        assert row[4] in ("published", "common practice", "judgement"), row
        assert row[4] != "published" or not source[2].startswith("#"), row


@pytest.mark.parametrize(
    "row",
    [
        "| moisture that the trade pays for | soybean | 13 % |  | published | [nebraska-2009](https://cropwatch",
        "| sowing from | soybean | 15 November | valley | judgement | ",
        "| phosphorus that the crop needs | soybean | 26 kg P/ha | hills | judgement | ",
        "| nitrogen in a product | 18-46-0 | 18 % N |  | common practice | ",
        "| grain keeps for | maize at 16 %, 10 °C; soybean at 14 %, 10 °C | 336 days |  | published | ",
        "| nodules that are enough | soybean, scheme seven | 7 nodules/plant |  | published | ",
    ],
)
def test_a_row_reads_as_a_sentence_would(row):
    assert row in PAGE


def test_straw_and_nitrogen_of_a_zone_stand_under_the_zone():
    assert [row[3].strip() for row in ROWS if row[0] == "straw returned, most"] == ["", "", "hills"]
