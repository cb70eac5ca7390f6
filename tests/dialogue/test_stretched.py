"""What a longer language would break is found before anybody translates: width, and nothing but width."""

from dataclasses import replace

from advisor.dialogue.checks.stretching import stretched_faults
from advisor.loading import load_material
from tests.dialogue.small import TEA, WELCOME, read_flow, registry


def material(tea):
    shipped = load_material()
    flows = {flow.name: flow for flow in (read_flow(WELCOME, "welcome.yaml"), read_flow(tea, "tea.yaml"))}
    return replace(shipped, flows=flows, registry=registry(), faults=(), unread=frozenset(), unsound=frozenset())


def of_width(letters):
    """A flow whose question is one line of so many letters."""
    return TEA.replace("How many spoons?", "a" * letters)


def test_a_line_that_fits_now_and_would_not_when_longer_is_named_with_its_text():
    (fault,) = stretched_faults(material(of_width(120)))

    assert (fault.file, fault.screen, fault.language) == ("tea.yaml", "tea.sugar", "en")
    assert fault.wide.cost == 168  # 120 and two fifths of it
    assert fault.wide.text.startswith("<aa")


def test_a_line_that_would_still_fit_is_not():
    assert stretched_faults(material(of_width(100))) == ()


def test_a_fault_of_another_kind_is_left_to_the_other_checks():
    lost = TEA.replace("to: return", "to: retrun")

    assert stretched_faults(material(lost)) == ()


def test_the_cautions_which_the_longer_texts_no_longer_spell_are_no_fault():
    assert all(fault.wide is not None for fault in stretched_faults(load_material()))
