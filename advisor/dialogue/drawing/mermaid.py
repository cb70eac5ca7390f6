"""A flow as a Mermaid flowchart: text that many editors and code hosts show as a picture."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from advisor.dialogue.drawing.pictures import Box, Picture, is_outside

_LINE = 30


def mermaid(pictures: Iterable[Picture]) -> str:
    """One flowchart of all the pictures, each flow in a frame of its own.

    >>> print(mermaid([Picture("tea", (Box("cup", "A cup.", (), True, True, True),))]), end="")
    flowchart TD
      subgraph flow_tea["tea"]
        tea__cup(["<b>cup</b><br/>A cup."])
      end
    """
    rows = ["flowchart TD"]
    for picture in pictures:
        rows += [
            f'  subgraph flow_{picture.flow}["{picture.flow}"]',
            *(f"    {row}" for row in _rows(picture)),
            "  end",
        ]
    return "\n".join(rows) + "\n"


def _rows(picture: Picture) -> Iterator[str]:
    for box in picture.boxes:
        yield _node(picture.flow, box)
    outside = {exit_.to for box in picture.boxes for exit_ in box.exits if is_outside(exit_.to)}
    for name in sorted(outside):
        yield f"{_id(picture.flow, name)}[/{name}/]"
    for box in picture.boxes:
        yield from _arrows(picture.flow, box)


def _node(flow: str, box: Box) -> str:
    text = f"<b>{_escaped(box.name)}</b>"
    if box.words:
        text += "".join(f"<br/>{_escaped(line)}" for line in wrapped(box.words, _LINE))
    if box.ends:
        return f'{_id(flow, box.name)}(["{text}"])'
    return f'{_id(flow, box.name)}["{text}"]' if box.is_shown else f'{_id(flow, box.name)}{{{{"{text}"}}}}'


def _arrows(flow: str, box: Box) -> Iterator[str]:
    for target in dict.fromkeys((exit_.to, exit_.sends) for exit_ in box.exits):
        labels = [exit_.label for exit_ in box.exits if (exit_.to, exit_.sends) == target and exit_.label]
        arrow = "-.->" if target[1] else "-->"
        label = f'|"{"<br/>".join(map(_escaped, labels))}"|' if labels else ""
        yield f"{_id(flow, box.name)} {arrow}{label} {_id(flow, target[0])}"


def _id(flow: str, name: str) -> str:
    # the name of a flow in front keeps a screen called "end" from being taken for a word of the language
    return f"{flow}__{name.replace(' ', '_')}"


def _escaped(text: str) -> str:
    return text.replace("&", "&amp;").replace('"', "&quot;").replace("<", "&lt;").replace(">", "&gt;")


def wrapped(text: str, width: int) -> list[str]:
    """A text in lines of at most so many signs; a longer word stays whole.

    >>> wrapped("How many spoons of it?", 10)
    ['How many', 'spoons of', 'it?']
    """
    lines: list[str] = []
    for word in text.split():
        if lines and len(lines[-1]) + 1 + len(word) <= width:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines
