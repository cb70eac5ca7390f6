"""Pictures of the flows: everything that the machine has is on them, and no box hides another."""

from itertools import combinations
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.dialogue.drawing.layers import laid_out
from advisor.dialogue.drawing.mermaid import mermaid
from advisor.dialogue.drawing.pictures import Box, Exit, Picture, picture_of
from advisor.dialogue.drawing.svg import svg
from advisor.dialogue.flows import AskKind
from advisor.dialogue.machine import GO
from tests.dialogue.shipped import FLOWS

SPACE = "{http://www.w3.org/2000/svg}"


@pytest.fixture(params=FLOWS)
def flow(request):
    return request.param


class TestPictures:
    def test_every_screen_is_a_box_and_every_way_of_the_machine_leads_out_of_one(self, book, flow):
        boxes = {box.name: box for box in picture_of(book, flow).boxes}

        assert {screen.name for screen in book.flows[flow].screens} <= set(boxes)
        for way in book.routers[flow].ways():
            assert way.to in {exit_.to for exit_ in boxes[way.screen].exits}, way

    def test_every_choice_stands_at_its_own_way_with_what_it_asks(self, book, flow):
        boxes = {box.name: box for box in picture_of(book, flow).boxes}

        for screen in book.flows[flow].screens:
            for number, choice in enumerate(screen.ask.choices if screen.ask else (), 1):
                targets = {edge.to for edge in choice.to or screen.to}
                labelled = [
                    exit_ for exit_ in boxes[screen.name].exits if exit_.label.startswith(f"{number} {choice.say}")
                ]
                assert {exit_.to for exit_ in labelled} == targets
            for edge in screen.to:
                if edge.when and (screen.ask is None or screen.ask.kind is not AskKind.CHOICE):
                    assert any(
                        edge.when in exit_.label for exit_ in boxes[screen.name].exits if exit_.to == edge.to
                    )

    def test_what_is_sent_and_what_an_sms_in_one_line_gets_is_on_it(self, book):
        boxes = {box.name: box for box in picture_of(book, "buy_list").boxes}

        assert Exit("1 sends", "sms_list", sends=True) in boxes["more"].exits
        assert boxes["SMS soya"].exits == (Exit("", "message"),)


class TestTheMachineItself:
    def test_its_ways_are_those_that_it_takes(self, book, flow):
        router = book.routers[flow]
        for way in router.ways():
            if not (way.edge.when or way.edge.known) and router.certain(way.screen, way.key):
                assert router.way(way.screen, way.key, {}) == way.to

    def test_each_screen_that_leads_on_has_a_way(self, book, flow):
        leading = {screen.name for screen in book.flows[flow].screens if screen.to}
        assert {way.screen for way in book.routers[flow].ways() if way.key == GO} == leading


class TestSvg:
    def test_it_is_xml_that_names_every_screen_and_every_target(self, book, flow):
        root = ElementTree.fromstring(svg([picture_of(book, flow)]))

        rows = [text.text for text in root.iter(f"{SPACE}text")]
        for box in picture_of(book, flow).boxes:
            assert box.name in rows
            for exit_ in box.exits:
                assert any(
                    row.endswith((f"> {exit_.to}", f"> ({exit_.to})", f"  {exit_.to}", f"  ({exit_.to})"))
                    for row in rows
                ), exit_

    def test_no_two_boxes_touch_and_all_are_inside(self, book, flow):
        root = ElementTree.fromstring(svg([picture_of(book, flow)]))
        _, _, width, height = map(float, root.get("viewBox").split())
        boxes = [
            tuple(float(rect.get(key)) for key in ("x", "y", "width", "height"))
            for rect in root.iter(f"{SPACE}rect")
            if rect.get("class")
        ]

        assert len(boxes) == len(picture_of(book, flow).boxes)
        for (x, y, w, h), (other_x, other_y, other_w, other_h) in combinations(boxes, 2):
            assert x + w < other_x or other_x + other_w < x or y + h < other_y or other_y + other_h < y
        assert all(x >= 0 and y >= 0 and x + w < width and y + h < height for x, y, w, h in boxes)

    def test_no_row_is_wider_than_its_box(self, book, flow):
        root = ElementTree.fromstring(svg([picture_of(book, flow)]))
        rows = [text.text for text in root.iter(f"{SPACE}text") if text.get("class") != "flow"]

        assert max(map(len, rows)) <= 46

    def test_signs_that_mean_something_in_xml_are_text(self):
        odd = Picture("tea", (Box("cup", "a < b & c", (Exit('1 "x" <y>', "cup"),), True, True, False),))

        root = ElementTree.fromstring(svg([odd]))
        assert "a < b & c" in [text.text for text in root.iter(f"{SPACE}text")]


class TestMermaid:
    def test_it_has_a_node_for_every_screen_and_an_arrow_for_every_pair_that_a_way_joins(self, book, flow):
        rows = [row.strip() for row in mermaid([picture_of(book, flow)]).splitlines()]

        for way in book.routers[flow].ways():
            start, end = f"{flow}__{way.screen}", f"{flow}__{way.to}"
            assert any(row.startswith((f"{start}[", f"{start}{{", f"{start}(")) for row in rows)
            assert any(row.startswith(f"{start} --") and row.endswith(f" {end}") for row in rows)

    def test_no_sign_of_a_text_ends_a_label(self):
        odd = Picture("end", (Box("end", 'a "b" <c>', (Exit('1 "x"', "end"),), True, True, False),))

        assert mermaid([odd]).splitlines()[2:4] == [
            '    end__end["<b>end</b><br/>a &quot;b&quot; &lt;c&gt;"]',
            '    end__end -->|"1 &quot;x&quot;"| end__end',
        ]


NAMES = st.lists(st.text("abcdefgh", min_size=1, max_size=2), min_size=1, max_size=9, unique=True)


@given(names=NAMES, data=st.data())
def test_a_layout_keeps_boxes_apart_and_arrows_out_of_them(names, data):
    heights = {name: data.draw(st.floats(10, 200)) for name in names}
    arrows = data.draw(st.lists(st.tuples(st.sampled_from(names), st.sampled_from(names)), max_size=20))
    found = laid_out(heights, arrows, names[:1])

    for one, other in combinations(names, 2):
        if found.column[one] == found.column[other]:
            above, below = sorted((one, other), key=lambda name: found.top[name])
            assert found.top[above] + heights[above] < found.top[below]
    for (start, end), through in found.through.items():
        assert found.column[start] + len(through) + 1 == found.column[end]
        for column, height in enumerate(through, found.column[start] + 1):
            for name in names:
                if found.column[name] == column:
                    assert not found.top[name] <= height <= found.top[name] + heights[name]
    assert all(found.top[name] >= 0 and found.top[name] + heights[name] <= found.height + 1e-6 for name in names)
