"""A screen's lines are measured once for all lines above it: each gets what it would get alone."""

from hypothesis import given
from hypothesis import strategies as st

from advisor.dialogue.checks.proof import MOST_PAGES, DoesNotFit, Sheet
from advisor.dialogue.flows import Screen
from advisor.dialogue.screens import BACK, MORE, page_text
from advisor.wording.errors import TooManyPages, TooWide
from advisor.wording.pages import page_breaks_of_forms
from advisor.wording.segments import ROOM, Alphabet, cost
from tests.wording.voices import voice

GSM = Alphabet.GSM7
WIDTHS = st.one_of(st.integers(0, 45), st.integers(0, 159))


def forms(lines):
    """Texts of one or two plural forms with equally many lines."""
    return st.lists(st.lists(WIDTHS, min_size=lines, max_size=lines), min_size=1, max_size=2).map(
        lambda widths: tuple(tuple("x" * width for width in form) for form in widths)
    )


def pages_alone(shown, below):
    costs = [[cost(line, GSM) for line in form] for form in shown]
    try:
        return page_breaks_of_forms(costs, ROOM[GSM], cost(MORE, GSM), cost(below, GSM), MOST_PAGES)
    except (TooWide, TooManyPages) as why:
        return str(why)


def pages_of(sheet, above):
    try:
        return sheet.pages(above)
    except DoesNotFit as error:
        return str(error.why)


@given(st.integers(0, 9).flatmap(forms), st.permutations(range(0, 160, 5)), st.booleans())
def test_each_line_above_gets_the_pages_and_the_widest_texts_that_it_would_get_alone(shown, aboves, ends):
    speaking, below = voice("en"), "" if ends else BACK
    sheet = Sheet(shown, Screen("tea", 1, ends=ends), speaking)

    for above in ("n" * width for width in aboves):
        alone = [[*([above] if above else []), *form] for form in shown]
        pages = pages_of(sheet, above)
        assert pages == pages_alone(alone, below)
        if isinstance(pages, tuple):
            found = sheet.layout(above, pages)
            for page, (text, spent) in enumerate(zip(found.widest, found.costs, strict=True)):
                made = [page_text(form, found, page, below, speaking) for form in alone]
                assert text in made
                assert spent == cost(text, GSM) == max(cost(one, GSM) for one in made)
