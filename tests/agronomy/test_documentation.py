"""Every formula says its units, its errors and its source, and has an example."""

from __future__ import annotations

import ast
import importlib
import inspect
import io
import re
import tokenize

import pytest

from tests.agronomy.conftest import HOME

FORMULA_ROOMS = (
    "field",
    "shapes",
    "rows",
    "strips",
    "replicates",
    "chance",
    "poor_seed",
    "saved_seed",
    "stand_check",
    "placing",
    "land_plans",
    "row_plans",
    "units",
    "germination",
    "seed",
    "holes",
    "masses",
    "inoculant",
    "nutrients",
    "batches",
    "opened_packs",
    "powder_measures",
    "inoculation",
    "inoculation_figures",
    "inoculation_rules",
    "grades",
    "fertiliser_figures",
    "fertiliser_need",
    "offers",
    "frontier",
    "mixing",
    "cut_mix",
    "fertiliser_search",
    "fertiliser_choice",
    "fertiliser_check",
    "placement",
    "packs",
    "buylist",
    "bounds",
    "money",
    "loose",
    "sharing",
    "budget_figures",
    "season_days",
    "season_calendar",
    "sowing_window",
    "onset_rules",
    "rain",
    "sow_now",
    "season_money",
    "loan",
    "purse",
    "field_purse",
    "season_plan",
    "suitability",
    "village_needs",
    "visits",
    "nodules",
    "leaf_signs",
    "ripening",
    "drying",
    "nitrogen_left",
)


def public_functions(module):
    return [
        function
        for name, function in inspect.getmembers(module, inspect.isfunction)
        if function.__module__ == module.__name__ and not name.startswith("_")
    ]


@pytest.mark.parametrize("name", FORMULA_ROOMS)
def test_every_formula_states_units_errors_source_and_an_example(name):
    functions = public_functions(importlib.import_module(f"advisor.agronomy.{name}"))

    assert functions
    for function in functions:
        for part in ("Args:", "Returns:", "Raises:", "Source:", ">>> "):
            assert part in (function.__doc__ or ""), f"{function.__name__} has no {part}"


def code_without_docstrings(text):
    """Every token of a module but its docstrings, one a line."""
    docstrings = {
        node.body[0].value.lineno
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef)
        and node.body
        and isinstance(node.body[0], ast.Expr)
        and isinstance(node.body[0].value, ast.Constant)
    }
    tokens = tokenize.generate_tokens(io.StringIO(text).readline)
    return "\n".join(
        token.string for token in tokens if token.start[0] not in docstrings or token.type != tokenize.STRING
    )


def names_of_crops(crops, programme):
    """Every name that a crop has in its file's name, its key and the languages of the demonstration."""
    keys = {crop.key for crop in crops}
    labels = [each.label for each in (*programme.crops, *programme.land.partners)]
    spoken = {label.in_language(language) for label in labels for language in ("", *programme.languages)}
    return {name.casefold() for name in (*keys, *(key.replace("_", " ") for key in keys), *spoken)}


def test_no_crop_is_named_in_code(crops, demonstration):
    names = names_of_crops(crops, demonstration)
    named = re.compile(rf"(?<![^\W_])(?:{'|'.join(sorted(names))})(?![^\W_])")

    assert len(names) > 12
    for file in sorted(HOME.rglob("*.py")):
        code = code_without_docstrings(file.read_text("utf-8")).casefold()
        assert not named.findall(code), file


def test_a_crop_named_in_code_or_comment_would_be_found_and_one_in_a_docstring_not():
    assert "soybean" in code_without_docstrings('CROP = "soybean"\n')
    assert "soybean" in code_without_docstrings("x = 1  # soybean\n")
    assert "soybean" not in code_without_docstrings('def f():\n    """soybean\n\n    soybean"""\n')
