"""Books of a few screens, for what the shipped flows do not show."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from pathlib import Path

from advisor.agronomy.labels import Label
from advisor.dialogue.building import build_book
from advisor.dialogue.checks.material import Material
from advisor.dialogue.reading import read_flow
from advisor.dialogue.registry import Calculation, Condition, Registry
from advisor.wording.catalogs import read_catalog
from advisor.wording.kinds import Area, Day, Money, Whole

LOCALES = Path(__file__).parents[2] / "locales"

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

SOWING_WELCOME = WELCOME.replace("Tea", "Sowing").replace("tea", "sowing")

SOWING = """
flow: sowing
version: 1
start: when
facts:
  lot.sown: 200 days
screens:
  when:
    say: "When did you sow?"
    ask: {kind: date, from: -60 days, to: today, zero: {say: "Not yet", to: later}}
    keep: lot.sown
    to: said
  said:
    work: sowing_day
    say: "Sown on %(sown)s."
    choices: [{say: "Change it", to: when, again: "yes"}, {say: "Done", to: return}]
  later:
    say: "Come back then."
    choices: [{say: "Done", to: return}]
"""

#: The texts of the flow above in the other languages, drafts for tests.
SOWING_TEXTS = {
    "sw": ("Ulipanda lini?", "Bado", "Imepandwa %(sown)s.", "Badilisha", "Tayari", "Rudi baadaye."),
    "hi": ("बुवाई कब की?", "अभी नहीं", "बुवाई %(sown)s", "बदलें", "हो गया", "बाद में आएँ।"),
    "fr": (
        "Quand avez-vous semé ?",
        "Pas encore",
        "Semis le %(sown)s.",
        "Changer",
        "Fait",
        "Revenez.",
    ),
}


def registry(most=900):
    sweetness = Calculation(
        "sweetness",
        ("grower.spoons",),
        (),
        (("sweetness", Whole(0, most)),),
        lambda sight, _now: {"sweetness": int(str(sight["grower.spoons"])) * 100},
    )
    sowing_day = Calculation(
        "sowing_day", ("lot.sown",), (), (("sown", Day()),), lambda sight, _now: {"sown": sight["lot.sown"]}
    )
    return Registry(
        calculations=(sweetness, sowing_day),
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


def sowing_book(shipped, sowing=SOWING):
    """A book of one question for a date in every language of a shipped one."""
    flows = [read_flow(SOWING_WELCOME, "welcome.yaml"), read_flow(sowing, "sowing.yaml")]
    voices = [_with_sowing(voice) for voice in shipped.voices.values()]
    return build_book(flows, voices, registry(), shipped.programme, "small")


def _with_sowing(voice):
    if voice.language not in SOWING_TEXTS:
        return voice
    when, not_yet, said, change, done, later = SOWING_TEXTS[voice.language]
    texts = [
        ("welcome.menu", "What do you need?", change),
        ("welcome.menu", "Sowing", done),
        ("sowing.when", "When did you sow?", when),
        ("sowing.when", "Not yet", not_yet),
        ("sowing.said", "Sown on %(sown)s.", said),
        ("sowing.said", "Change it", change),
        ("sowing.said", "Done", done),
        ("sowing.later", "Come back then.", later),
        ("sowing.later", "Done", done),
    ]
    added = "".join(f'\nmsgctxt "{context}"\nmsgid "{text}"\nmsgstr "{said}"\n' for context, text, said in texts)
    shipped = (LOCALES / f"{voice.language}.po").read_text("utf-8").split("\n\n")
    kept = [entry for entry in shipped if 'msgctxt "engine"' in entry or 'msgid ""\nmsgstr ""\n"Lang' in entry]
    return replace(voice, catalog=read_catalog("\n\n".join([*kept, added]), voice.language))
