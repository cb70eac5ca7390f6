"""The file of leaf signs: a whole one as it is read, and the whole line of each fault."""

from __future__ import annotations

import pytest

from advisor.agronomy.errors import CannotBe, DataFault, MissingFigure
from advisor.agronomy.leaf_signs import Call, Cause, Kind, LeafSigns, Sign, leaf_causes, read_leaf_signs
from advisor.agronomy.sources import Source

SOURCES = (Source("talk", "Somebody, said so", ""), Source("guide", "A guide", "https://example.org/guide"))

SMALL = """
crop = "pea"
signs = [
    { key = "spots", text = "Brown spots" },
    { key = "pale", text = "Pale leaves" },
    { key = "low_first", text = "Lower leaves first" },
]

[[causes]]
key = "rust"
text = "Rust"
kind = "disease"
shows = ["spots", "low_first"]
never = ["pale"]
apart = "Dust on the finger"
then = "Show it to the agent"
call = "today"
source = "guide"
mark = "published"

[[causes]]
key = "nitrogen"
text = "Too little nitrogen"
kind = "hunger"
shows = ["pale"]
apart = "All of the leaf is pale"
then = "Look at the nodules"
call = "next_visit"
source = "talk"
mark = "judgement"
"""


def faults_of(*changes):
    text = SMALL
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    try:
        read_leaf_signs(text, SOURCES)
    except DataFault as fault:
        return fault.faults
    return ()


def test_every_value_of_the_file_is_read_to_its_place():
    assert read_leaf_signs(SMALL, SOURCES) == LeafSigns(
        crop="pea",
        signs=(
            Sign("spots", "Brown spots"),
            Sign("pale", "Pale leaves"),
            Sign("low_first", "Lower leaves first"),
        ),
        causes=(
            Cause(
                key="rust",
                text="Rust",
                kind=Kind.DISEASE,
                shows=("spots", "low_first"),
                never=("pale",),
                apart="Dust on the finger",
                then="Show it to the agent",
                call=Call.TODAY,
                source="guide",
                mark="published",
            ),
            Cause(
                key="nitrogen",
                text="Too little nitrogen",
                kind=Kind.HUNGER,
                shows=("pale",),
                never=(),
                apart="All of the leaf is pale",
                then="Look at the nodules",
                call=Call.NEXT_VISIT,
                source="talk",
                mark="judgement",
            ),
        ),
    )


@pytest.mark.parametrize(
    ("place", "old", "longest"),
    [
        ("crop", 'crop = "pea"', 16),
        ("signs[1].text", 'text = "Brown spots"', 200),
        ("causes[1].key", 'key = "rust"', 24),
        ("causes[1].text", 'text = "Rust"', 200),
        ("causes[1].apart", 'apart = "Dust on the finger"', 300),
        ("causes[1].then", 'then = "Show it to the agent"', 300),
    ],
)
def test_a_text_has_room_for_so_many_letters(place, old, longest):
    key = old.partition(" ")[0]

    assert faults_of((old, f'{key} = "{"x" * longest}"')) == ()
    assert faults_of((old, f'{key} = "{"x" * (longest + 1)}"')) == (
        f"{place} has {longest + 1} characters: give 1 to {longest}",
    )


def test_the_key_of_a_sign_has_room_for_24_letters():
    fits, long = "x" * 24, "x" * 25

    assert faults_of(('"pale"', f'"{fits}"'), ('"pale"', f'"{fits}"'), ('"pale"', f'"{fits}"')) == ()
    assert faults_of(('"pale"', f'"{long}"'), ('"pale"', f'"{long}"'), ('"pale"', f'"{long}"')) == (
        "signs[2].key has 25 characters: give 1 to 24",
    )


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ('key = "spots"', 'key = "pale"', "signs has pale twice: give each a name of its own"),
        ('key = "nitrogen"', 'key = "rust"', "causes has rust twice: give each a name of its own"),
        ('kind = "disease"', 'kind = "thirst"', "causes[1].kind is 'thirst': give one of hunger, disease"),
        ('call = "today"', 'call = "now"', "causes[1].call is 'now': give one of today, this_week, next_visit"),
        ('source = "guide"', 'source = "x"', "causes[1].source is 'x': give one of talk, guide"),
        (
            'mark = "judgement"',
            'mark = "printed"',
            "causes[2].mark is 'printed': give one of published, judgement, common practice",
        ),
        (
            'source = "talk"\nmark = "judgement"',
            'source = "talk"\nmark = "published"',
            "causes[2].mark is published but its source has no address: name the source it is from",
        ),
        (
            'never = ["pale"]',
            'never = ["pail"]',
            "causes[1].shows or never names 'pail', which is no sign: add it to [[signs]], or mend the name",
        ),
        (
            'shows = ["spots", "low_first"]',
            'shows = ["spots", "low_fist"]',
            "causes[1].shows or never names 'low_fist', which is no sign: add it to [[signs]], or mend the name",
        ),
        (
            'never = ["pale"]',
            'never = ["pale", "spots"]',
            "causes[1].never has 'spots', which the cause shows as well: keep it in one of the two",
        ),
        (
            '"spots", "low_first"',
            '"spots"',
            "signs has 'low_first', which no cause shows: take it out, or name it in a cause",
        ),
        ('shows = ["pale"]\n', "", "causes[2].shows is missing: give a list of texts"),
        ('apart = "All of the leaf is pale"\n', "", "causes[2].apart is missing: give a text in quotes"),
        ('crop = "pea"', "", "crop is missing: give a text in quotes"),
    ],
)
def test_a_fault_is_told_alone_in_one_line(old, new, fault):
    assert fault in faults_of((old, new))
    assert not [said for said in faults_of((old, new)) if said != fault and "twice" not in fault]


def test_the_file_is_named_in_its_faults():
    with pytest.raises(DataFault, match=r"^leaf signs has 1 fault\n"):
        read_leaf_signs(SMALL.replace('crop = "pea"', ""), SOURCES)


class TestAQuestionThatCannotBeAnswered:
    KNOWN = read_leaf_signs(SMALL, SOURCES)

    def test_names_no_sign(self):
        with pytest.raises(CannotBe) as refused:
            leaf_causes(self.KNOWN, [])

        assert refused.value.name == "no_sign"
        assert str(refused.value) == "no sign was named: name at least one of: spots, pale, low_first"

    def test_names_a_sign_that_the_file_does_not_know(self):
        with pytest.raises(MissingFigure) as refused:
            leaf_causes(self.KNOWN, ["spots", "ring"])

        assert str(refused.value) == "no figure pea.signs.ring: name one of: spots, pale, low_first"


class TestASmallDiagnosis:
    KNOWN = read_leaf_signs(SMALL, SOURCES)

    def test_tells_what_was_seen_what_to_look_for_and_what_is_not_explained(self):
        (rust,) = leaf_causes(self.KNOWN, ["spots"]).likely

        assert (rust.cause.key, rust.seen, rust.look_for, rust.not_explained) == (
            "rust",
            ("spots",),
            ("low_first",),
            (),
        )

    def test_keeps_the_signs_in_the_order_in_which_they_were_seen_and_leaves_out_who_never_shows_one(self):
        found = leaf_causes(self.KNOWN, ["low_first", "pale", "spots", "pale"])

        (nitrogen,) = found.likely
        assert (nitrogen.cause.key, nitrogen.seen, nitrogen.not_explained) == (
            "nitrogen",
            ("pale",),
            ("low_first", "spots"),
        )
        assert (found.tells_apart, found.call) == ((), Call.NEXT_VISIT)

    def test_of_two_that_explain_as_much_looks_for_what_only_one_of_them_shows(self):
        tolerant = read_leaf_signs(
            SMALL.replace('never = ["pale"]\n', "").replace('["pale"]', '["pale", "low_first"]'), SOURCES
        )

        found = leaf_causes(tolerant, ["low_first"])

        assert [each.cause.key for each in found.likely] == ["rust", "nitrogen"]
        assert found.tells_apart == ("spots", "pale")
        assert found.call is Call.TODAY
        # What explains more decides alone.
        assert leaf_causes(tolerant, ["low_first", "pale"]).call is Call.NEXT_VISIT
