"""Books of a few screens, for what the shipped flows do not show."""

from __future__ import annotations

from decimal import Decimal

from advisor.agronomy.labels import Label
from advisor.dialogue.building import build_book
from advisor.dialogue.material import Material
from advisor.dialogue.reading import read_flow
from advisor.dialogue.registry import Calculation, Condition, Registry
from advisor.wording.kinds import Area, Money, Whole

WELCOME = """
flow: welcome
version: 1
start: menu
screens:
  menu:
    menu: "yes"
    say: "What do you need?"
    choices: [{say: "Tea", to: tea}]
  tea: {call: tea, to: menu}
"""

TEA = """
flow: tea
version: 1
start: sugar
facts:
  grower.spoons: 10 days
screens:
  sugar:
    say: "How many spoons?"
    ask: {kind: number, low: 0, high: 9, example: "2"}
    keep: grower.spoons
    to: cup
  cup:
    work: sweetness
    say: "Sweetness %(sweetness)s."
    choices: [{say: "Again", to: sugar, again: "yes"}, {say: "Done", to: return}]
"""


def registry(most=900):
    sweetness = Calculation(
        "sweetness",
        ("grower.spoons",),
        (),
        (("sweetness", Whole(0, most)),),
        lambda sight, _now: {"sweetness": int(str(sight["grower.spoons"])) * 100},
    )
    return Registry(
        calculations=(sweetness,),
        conditions=(
            Condition("is_sweet", ("grower.spoons",), lambda sight: sight["grower.spoons"] != 0),
            Condition("is_strong", ("sweetness",), lambda sight: sight["sweetness"] != 0),
        ),
        lists=(("milks", (("cow", Label("cow")), ("goat", Label("goat")))),),
        area=Area(1, 10_000),
        money=Money(Decimal(1), Decimal(100)),
        fewest_seeds=20,
    )


def flows_alone(flows, given=None):
    """Material of flows without languages, for checks that look at nothing else."""
    return Material(flows=flows, voices={}, registry=given, programme=None, salt="")


def small_book(shipped, tea=TEA, welcome=WELCOME, given=None):
    """A book in English, with the programme and the small words of a shipped one."""
    flows = [read_flow(welcome, "welcome.yaml"), read_flow(tea, "tea.yaml")]
    return build_book(flows, [shipped.voices["en"]], given or registry(), shipped.programme, "small")
