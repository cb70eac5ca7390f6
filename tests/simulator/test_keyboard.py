import io
import os
import threading

import pytest

from simulator.keyboard import Keyboard


@pytest.fixture
def pipe():
    read, write = os.pipe()
    with os.fdopen(read) as keys_in, os.fdopen(write, "wb", buffering=0) as typist:
        yield keys_in, typist


def test_lines_of_a_stream_come_one_by_one_without_their_ends():
    with Keyboard(io.StringIO("one\r\n\nthree")) as keyboard:
        assert [keyboard.line(), keyboard.line(), keyboard.line()] == ["one", "", "three"]
        with pytest.raises(EOFError):
            keyboard.line()


def test_lines_that_arrive_together_come_one_by_one(pipe):
    keys_in, typist = pipe
    typist.write("एक\nतीन\nrest".encode())
    typist.close()
    with Keyboard(keys_in) as keyboard:
        assert [keyboard.line(), keyboard.line(), keyboard.line()] == ["एक", "तीन", "rest"]
        with pytest.raises(EOFError):
            keyboard.line()


def test_the_bell_ends_the_wait_and_what_was_half_typed_is_kept(pipe):
    keys_in, typist = pipe
    with Keyboard(keys_in) as keyboard:
        typist.write(b"2.")
        threading.Timer(0.1, keyboard.ring).start()
        assert keyboard.line() is None
        typist.write(b"5\n")
        assert keyboard.line() == "2.5"


def test_a_bell_that_rings_often_is_heard_once_and_may_outlive_its_keyboard(pipe):
    keys_in, typist = pipe
    with Keyboard(keys_in) as keyboard:
        for _ in range(100):
            keyboard.ring()
        typist.write(b"x\n")
        assert keyboard.line() is None
        assert keyboard.line() == "x"
    keyboard.ring()
