"""Which phone is opened; the phones themselves are tested where they live."""

import io

import pytest
from click.testing import CliRunner

from advisor.cli import commands
from simulator.opening import is_movable


class Device(io.StringIO):
    def isatty(self):
        return True


class TestWhichPhone:
    @pytest.mark.parametrize(
        ("keys_in", "term", "is_so"),
        [
            (Device(), "xterm", True),
            (Device(), "linux", True),
            (Device(), "dumb", False),
            (Device(), "", False),
            (io.StringIO(), "xterm", False),
        ],
    )
    def test_the_whole_screen_is_used_where_the_cursor_can_be_moved(self, keys_in, term, is_so):
        assert is_movable(keys_in, Device(), {"TERM": term}) is is_so

    def test_without_a_word_on_the_terminal_it_is_not(self):
        assert not is_movable(Device(), Device(), {})


class TestPhoneOfTheProgram:
    def test_it_serves_in_its_own_process_and_talks_line_by_line_through_a_pipe(self):
        result = CliRunner().invoke(commands, ["phone"], input="\n1\n")

        assert "Choose language" in result.output
        assert "May we keep your number" in result.output
        assert result.exit_code == 0

    def test_faults_of_an_author_are_said_with_their_place(self, tmp_path):
        (tmp_path / "broken.yaml").write_text("flow: broken\nscreens: no\n", encoding="utf-8")

        result = CliRunner().invoke(commands, ["phone", "--flows", str(tmp_path)], input="\n")

        assert "broken.yaml" in result.output
        assert result.exit_code == 1

    def test_a_service_that_runs_has_its_own_files(self):
        result = CliRunner().invoke(commands, ["phone", "--service", "http://127.0.0.1:9", "--flows", "mine"])

        assert result.exit_code == 2
        assert "leave out --service" in result.output

    def test_a_number_that_a_network_could_reach_is_refused(self):
        result = CliRunner().invoke(commands, ["phone", "--number", "+10000000000"])

        assert result.exit_code == 2
        assert "which no network can reach" in result.output

    def test_help_shows_how_it_is_called(self):
        assert "advisor phone --flows my-flows" in CliRunner().invoke(commands, ["phone", "--help"]).output
