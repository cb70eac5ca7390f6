"""What an author did where a file cannot be read as YAML, in words for authors."""

from __future__ import annotations

import yaml

#: What YAML takes a word for, in words.
TAKEN_FOR = {
    "bool": "true or false",
    "int": "a number",
    "float": "a number",
    "null": "nothing",
    "timestamp": "a day",
}

_SPACES = "indent like the lines around it, with spaces"


def yaml_slip(error: yaml.YAMLError, text: str) -> tuple[int, str, str]:
    """Line of a slip, what is wrong, and what to do.

    Args:
        error: why the text is no YAML.
        text: the whole file.

    >>> text = 'say: Rain: it is late'
    >>> try:
    ...     yaml.safe_load(text)
    ... except yaml.YAMLError as error:
    ...     yaml_slip(error, text)[2]
    'put a text with a colon in quotes, or indent the line right'
    """
    lines = text.splitlines()
    problem = getattr(error, "problem", None) or str(error).splitlines()[0]
    line = min(_line(error, "problem_mark") or 1, max(1, len(lines)))
    opened = _line(error, "context_mark")
    if "\\t" in problem or _is_indented_by_tab(lines, line):
        return line, "not YAML: a tab in front of the text", _SPACES
    if "mapping values" in problem:
        return line, f"not YAML: {problem}", "put a text with a colon in quotes, or indent the line right"
    if opened and ("expected ',' or" in problem or "end of stream" in problem):
        return line, f"not YAML: {problem}", f"close the quote or bracket that line {opened} opens"
    return line, f"not YAML: {problem}", f"mend the line, or {_SPACES}"


def _line(error: yaml.YAMLError, mark: str) -> int:
    """The line of one of its marks, from 1; 0 where it has none."""
    found = getattr(error, mark, None)
    return found.line + 1 if found else 0


def _is_indented_by_tab(lines: list[str], line: int) -> bool:
    shown = lines[line - 1] if lines else ""
    return "\t" in shown[: len(shown) - len(shown.lstrip())]
