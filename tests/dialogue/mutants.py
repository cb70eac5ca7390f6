"""Every way of breaking the shipped files that an operator knows, at every place where it applies.

Run as a program it tries all mutants of each operator, or at most so many, and prints how many are caught:

    .venv/bin/python -m tests.dialogue.mutants 60
"""

from __future__ import annotations

import re
import sys
from collections import Counter
from random import Random

from advisor.dialogue.checks.one_line_faults import answering_screens
from advisor.dialogue.reading import read_flow
from advisor.loading import load_book
from advisor.wording.templates import placeholders
from tests.dialogue.planting import PROGRAMME, Planted, check, languages, shipped_texts

WIDE = "x" * 160


def flows():
    return [file for file in shipped_texts() if file.startswith("flows/")]


def catalogs():
    return [f"locales/{language}.po" for language in languages() if language != "en"]


def glossaries():
    return [f"locales/{language}.glossary.toml" for language in languages()]


def _programme():
    return [PROGRAMME]


def spoken(file):
    """The languages that matter for a file, which keeps a check quick; of the programme all."""
    if file.startswith("locales/"):
        return ("en", file.removeprefix("locales/")[:2])
    return ("en",) if file.startswith("flows/") else None


def replaced(files, pattern, replacement, only=lambda file: True):
    """Mutants with one match of a pattern replaced."""
    return [
        (file, text[: found.start()] + found.expand(replacement) + text[found.end() :])
        for file in files()
        if only(file)
        for text in [shipped_texts()[file]]
        for found in re.finditer(pattern, text, re.MULTILINE)
    ]


def in_gsm(file):
    return not file.startswith("locales/hi")


def _one_caution_fewer():
    """Every caution that a screen names taken out of its list, the line with it where it is the only one."""
    found = []
    for file in flows():
        text = shipped_texts()[file]
        for line in re.finditer(r"^    warns: \[(.*)\]\n", text, re.MULTILINE):
            keys = line[1].split(", ")
            for lost in keys:
                kept = ", ".join(key for key in keys if key != lost)
                fewer = f"    warns: [{kept}]\n" if kept else ""
                found.append((file, text[: line.start()] + fewer + text[line.end() :]))
    return found


#: Name of the operator and all its mutants.
OPERATORS = {
    "a way is cut out of a choice": lambda: replaced(flows, r", to: \w+(?=[,}])", ""),
    "a way is cut out of a screen": lambda: replaced(flows, r"^    to: \w+\n", ""),
    "a way is cut out of a list": lambda: replaced(flows, r"^      - \{to: .*\}\n", ""),
    "a target is misspelt": lambda: replaced(flows, r"(?<=\bto: )(\w+)", r"\1x"),
    "a key is misspelt": lambda: replaced(flows, r"^( +[a-z_]+)(?=: )(?!: 3)", r"\1x"),
    "a key stands twice": lambda: replaced(flows, r"^(    (?!to)\w+: (?!\|)\S.*\n)", r"\1\1"),
    "a name is misspelt": lambda: replaced(
        flows, r"^([^#\n]*\b(?:work|when|call|from|send|kind|count|known): [\w.]+)", r"\1x"
    ),
    "an answer's name is misspelt": lambda: replaced(flows, r"(?<=    keep: )([\w.]+)", r"\1x"),
    "a value is misspelt": lambda: replaced(flows, r"(?<=\bis: )(\w+)", r"\1x"),
    "a placeholder is misspelt": lambda: replaced(flows, r"%\((\w+)\)s", r"%(\1x)s"),
    "a condition is dropped": lambda: replaced(flows, r", (when|known): [\w.]+(?=\})", ""),
    "quotes are dropped": lambda: replaced(flows, r'"(yes)"', r"\1"),
    "an answer is not kept": lambda: replaced(flows, r"^    keep: .*\n", ""),
    "a calculation is dropped": lambda: replaced(flows, r"^    work: .*\n", ""),
    "an end is dropped": lambda: replaced(flows, r"^    end: .*\n", ""),
    "an example is dropped": lambda: replaced(flows, r', example: "[^"]*"', ""),
    "an example is no answer": lambda: replaced(flows, r'(?<=, example: ")[^"]*', "much"),
    "a range is turned round": lambda: replaced(flows, r"low: (\d+), high: (\d+)", r"low: \2, high: \1"),
    "a caution is left out": lambda: _one_caution_fewer(),
    "a caution is misspelt": lambda: replaced(flows, r"(?<=warns: \[)(\w+)", r"\1x"),
    "a caution is not said": lambda: replaced(flows, r"[Pp]oison", "danger", lambda file: "buy_list" in file),
    "a translation does not say its caution": lambda: replaced(
        catalogs, r'(?<=")([^"\n]*)(?:sumu|जहर|poison)(?=[^\n]*"$)', r"\1x"
    ),
    "a text is too wide": lambda: replaced(flows, r'(?<=say: ")', WIDE),
    "a line of a text is too wide": lambda: replaced(flows, r"^      (?=[A-Z%][^:]*$)", "      " + WIDE),
    "a letter is outside the alphabet": lambda: replaced(flows, r'(?<=say: ")', "ɓ"),
    "a percent sign stands alone": lambda: replaced(flows, r'(?<=say: ")', "5 % of "),
    "a screen is renamed": lambda: replaced(flows, r"^  ([a-z_]+):$", r"  \1x:"),
    "a fact's rule is dropped": lambda: replaced(flows, r"^  \w+\.\w+: .*\n", ""),
    "an anchor is set": lambda: replaced(flows, r"(?<=work: )", "&a "),
    "a placeholder of a translation is dropped": lambda: replaced(
        catalogs, r'(?<=^msgstr ")([^"\n]*)%\(\w+\)s', r"\1"
    ),
    "a placeholder of a translation is misspelt": lambda: replaced(
        catalogs, r'(?<=^msgstr ")([^"\n]*)%\((\w+)\)s', r"\1%(\2x)s"
    ),
    "a translation has a letter outside the alphabet": lambda: replaced(
        catalogs, r'(?<=^msgstr ")(?=[^"])', "ɓ", in_gsm
    ),
    "a translation is empty": lambda: replaced(catalogs, r'^msgstr "[^"\n]+"$', 'msgstr ""'),
    "a translation is too wide": lambda: replaced(catalogs, r'(?<=^msgstr ")(?=[^"])', WIDE),
    "a translation loses its quote": lambda: replaced(catalogs, r'^(msgstr "[^"\n]+)"$', r"\1"),
    "an English text of a catalog is old": lambda: replaced(catalogs, r'(?<=^msgid ")(?=[^"])', "Old "),
    "a context of a catalog is misspelt": lambda: replaced(catalogs, r'(?<=^msgctxt ")(\w+)', r"\1x"),
    "an entry of a catalog is gone": lambda: replaced(
        catalogs, r'^msgctxt "[^"\n]+"\nmsgid "[^"\n]+"\nmsgstr "[^"\n]+"\n', ""
    ),
    "an entry of a catalog stands twice": lambda: replaced(
        catalogs, r'^(msgctxt "[^"\n]+"\nmsgid "[^"\n]+"\nmsgstr "[^"\n]+"\n)', r"\1\n\1"
    ),
    "an entry of a catalog is fuzzy": lambda: replaced(catalogs, r"^(?=msgctxt)", "#, fuzzy\n"),
    "a plural form is gone": lambda: replaced(catalogs, r'^msgstr\[1\] (?:".*"\n)+', ""),
    "a line of a plural form is gone": lambda: replaced(catalogs, r'(?<=^msgstr\[[01]\] ""\n)".*"\n', ""),
    "the rule of plurals is another": lambda: replaced(catalogs, r"nplurals=2", "nplurals=1"),
    "a key of the programme is gone": lambda: replaced(_programme, r"^\w+ = [^\[\n]*\n", ""),
    "a key of the programme is misspelt": lambda: replaced(_programme, r"^(\w+)(?= = )", r"\1x"),
    "a name of the programme is outside the alphabet": lambda: replaced(_programme, r'(?<=default = ")', "ɓ"),
    "a name of the programme is too long": lambda: replaced(_programme, r'(?<=default = ")', "a" * 17),
    "a key of a glossary is misspelt": lambda: replaced(glossaries, r"^(\w+)(?= = )", r"\1x"),
    "a unit of a glossary is too long": lambda: replaced(
        glossaries, r"(?<=^acre = \{)(.*?)\{0\}", r"\1{0}" + WIDE
    ),
}


def _way_fewer(planted):
    """One list of ways is shorter and still has its last resort, which takes what the lost way took."""
    before, after = (read_flow(text, planted.file) for text in (shipped_texts()[planted.file], planted.text))
    old, new = ([ways for screen in flow.screens for ways in _lists(screen)] for flow in (before, after))
    shorter = [(ways, fewer) for ways, fewer in zip(old, new, strict=True) if ways != fewer]
    return len(shorter) == 1 and all(
        fewer == [way for way in ways if way in fewer] and fewer[-1][1:] == ("", "") for ways, fewer in shorter
    )


def _lists(screen):
    options = screen.ask.options if screen.ask else ()
    lists = (screen.to, *(choice.to for choice in options))
    return [[(edge.to, edge.when, edge.known) for edge in ways] for ways in lists]


def _results_are_not_looked_at(planted):
    """The step says nothing and has one way on; its calculation only refused earlier what is refused later too."""
    before, after = (read_flow(text, planted.file) for text in (planted.before, planted.text))
    (lost,) = [screen for screen in after.screens if screen.work != before.screen(screen.name).work]
    ahead = after.screen(lost.to[0].to)
    return lost.say is None and not lost.keeps and len(lost.to) == 1 and ahead is not None


def _value_is_not_looked_at(planted):
    """Only that the answer is known matters, not what it is."""
    (value,) = set(re.findall(r"\bis: (\w+x)\b", planted.text)) - set(
        re.findall(r"\bis: (\w+x)\b", shipped_texts()[planted.file])
    )
    flow = read_flow(planted.text, planted.file)
    (kept,) = [s.keep for s in flow.screens if s.ask and value in [choice.value for choice in s.ask.choices]]
    registry = load_book().registry
    return kept not in {takes.name for work in registry.calculations for takes in work.takes}


def _rule_stands_elsewhere(planted):
    """Another flow says for how long the fact holds, and says the same."""
    rules = [
        {(rule.name, rule.fresh_for) for rule in read_flow(text, file).facts}
        for file, text in ((file, shipped_texts()[file]) for file in flows())
        if file != planted.file
    ]
    kept = {(rule.name, rule.fresh_for) for rule in read_flow(shipped_texts()[planted.file], planted.file).facts}
    lost = kept - {(rule.name, rule.fresh_for) for rule in read_flow(planted.text, planted.file).facts}
    return lost <= set().union(*rules)


def _never_shown(planted):
    """No screen of the shipped flows ever shows the text."""
    layouts = check({planted.file: planted.text}, planted.spoken).layouts
    return not any(WIDE in text for found in layouts.found.values() for text in found.widest)


#: Keys of a programme that have a default, or whose absence means that there is no such thing.
_OPTIONAL = {"trunk_prefix", "messages_per_day", "loose", "scoop", "demonstration"}


def _may_be_left_out(planted):
    """The key that is gone need not be there."""
    (gone,) = (Counter(planted.before.splitlines()) - Counter(planted.text.splitlines())).elements()
    return gone.partition(" = ")[0] in _OPTIONAL


def _nothing_brings_the_caution(planted):
    """No result that the screen says brings the caution; it says more than it must."""
    before, after = (read_flow(text, planted.file) for text in (planted.before, planted.text))
    ((screen, lost),) = [
        (old, *(set(old.warns) - set(new.warns)))
        for old, new in zip(before.screens, after.screens, strict=True)
        if old.warns != new.warns
    ]
    calculation = load_book().registry.calculation(screen.work)
    return calculation is None or not any(
        brings.caution == lost
        and (brings.in_one_line or screen.name not in answering_screens(before))
        and set(brings.with_results or dict(calculation.gives)) & placeholders(screen.say.text)
        for brings in calculation.brings
    )


#: Why a mutant may go uncaught, and the proof for the mutant at hand.
HARMLESS = {
    "a way is cut out of a list": _way_fewer,
    "a calculation is dropped": _results_are_not_looked_at,
    "a value is misspelt": _value_is_not_looked_at,
    "a caution is left out": _nothing_brings_the_caution,
    "a fact's rule is dropped": _rule_stands_elsewhere,
    "a translation is too wide": _never_shown,
    "a key of the programme is gone": _may_be_left_out,
}


def mutants(operator, most):
    """Mutants of an operator: all of them, or a sample that is the same each time."""
    found = OPERATORS[operator]()
    drawn = found if len(found) <= most else Random(operator).sample(found, most)
    return [Planted(file, text, spoken(file)) for file, text in drawn]


def uncaught(operator, most):
    """The mutants of an operator that nothing is told of and that are not proven harmless, and how many are."""
    survivors = [planted for planted in mutants(operator, most) if not planted.found]
    harmless = [planted for planted in survivors if operator in HARMLESS and HARMLESS[operator](planted)]
    return [planted for planted in survivors if planted not in harmless], len(harmless)


def main(most):
    tried = harmless = missed = 0
    for operator in OPERATORS:
        count = len(mutants(operator, most))
        left, proven = uncaught(operator, most)
        caught = count - proven - len(left)
        print(f"{operator}: {count} mutants, {caught} caught, {proven} harmless, {len(left)} missed", flush=True)
        for planted in left:
            print("    missed:", planted.changed)
        tried, harmless, missed = tried + count, harmless + proven, missed + len(left)
    print(f"all: {tried} mutants, {tried - harmless - missed} caught, {harmless} harmless, {missed} missed")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 10**6)
