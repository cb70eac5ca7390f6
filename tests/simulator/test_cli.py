import re
from pathlib import Path
from shutil import copytree

import pytest
from click.testing import CliRunner

from simulator.cli import ExitCode, main
from simulator.house import free_port
from tests.simulator.standin import StandIn
from tests.simulator.test_player import GOOD, MENU_LINES
from tests.simulator.test_reading import HEAD

pytestmark = pytest.mark.alone


@pytest.fixture
def listening():
    """A stand-in that posts to the port on which the command is told to listen."""
    port = free_port()
    with StandIn(f"http://127.0.0.1:{port}") as standin:
        yield ["--service", standin.address, "--listen", str(port)]


@pytest.fixture
def command():
    def called(*arguments, keys=""):
        return CliRunner().invoke(main, [str(argument) for argument in arguments], input=keys)

    return called


@pytest.fixture
def file(tmp_path):
    file = tmp_path / "hello.txt"
    file.write_text(HEAD + GOOD, encoding="utf-8")
    return file


@pytest.mark.parametrize("name", ["phone", "play", "record"])
def test_every_command_explains_itself_with_an_example(command, name):
    result = command(name, "--help")

    assert result.exit_code == ExitCode.DONE
    assert re.search(rf"Examples?:\n +python -m simulator {name}", result.output)


class TestPlay:
    def test_conversations_that_agree_are_listed_with_their_cost(self, command, listening, file):
        result = command("play", file, *listening)

        assert result.exit_code == ExitCode.DONE
        assert re.search(
            r"ok +hello.txt +3 screens, 13 keys, 2 SMS\nconversations played: 1, as written: 1", result.output
        )

    def test_one_that_differs_is_shown_and_ends_with_one(self, command, listening, file):
        file.write_text(HEAD + GOOD.replace("How many acres?", "Acres?"), encoding="utf-8")

        result = command("play", file, *listening)

        assert result.exit_code == ExitCode.DIFFERENT
        assert "hello.txt:12: the screen after '> 1' is another" in result.output
        assert "   12 - | Acres?\n        + | How many acres?" in result.output

    def test_a_language_can_be_singled_out(self, command, listening, file):
        result = command("play", file, "--language", "sw", *listening)

        assert result.exit_code == ExitCode.USAGE
        assert "no conversation to play" in result.output

    def test_a_file_that_cannot_be_read_is_a_wrong_usage(self, command, listening, file):
        file.write_text("dial\n", encoding="utf-8")

        result = command("play", file, *listening)

        assert result.exit_code == ExitCode.USAGE
        assert "hello.txt:1: the header says no title" in result.output

    def test_it_plays_against_flows_of_ones_own(self, command, file, tmp_path):
        flows = tmp_path / "flows"
        copytree(Path(__file__).parents[2] / "flows", flows)
        first = flows / "welcome.yaml"
        first.write_text(first.read_text().replace('"Choose language"', '"Which language?"'))
        asked = "\ndial\n| Which language?\n| 1 English\n| 2 Kiswahili\n| 3 Hindi\n| 4 Francais\n"
        file.write_text(HEAD + asked, encoding="utf-8")

        assert command("play", file).exit_code == ExitCode.DIFFERENT
        assert command("play", file, "--flows", flows).exit_code == ExitCode.DONE

    def test_flows_are_for_a_service_that_is_started_here(self, command, file, tmp_path):
        result = command("play", file, "--flows", tmp_path, "--service", "http://127.0.0.1:1")

        assert result.exit_code == ExitCode.USAGE
        assert "--flows is for a service that is started here" in result.output

    def test_a_service_that_is_not_there_is_said(self, command, file):
        result = command("play", file, "--service", f"http://127.0.0.1:{free_port()}")

        assert result.exit_code == ExitCode.UNREACHABLE
        assert "see that the service runs at this address" in result.output


class TestRecord:
    def test_the_files_hold_what_was_shown(self, command, listening, file):
        file.write_text(HEAD + "dial\n# a remark\n> 3\n| old\n", encoding="utf-8")

        result = command("record", file, "--settle", "0.05", *listening)

        assert result.exit_code == ExitCode.DONE
        assert file.read_text(encoding="utf-8") == f"{HEAD}dial\n{MENU_LINES}# a remark\n> 3\n| Goodbye\nclosed\n"


class TestPhone:
    def test_a_phone_opens_on_the_service(self, command, listening):
        result = command("phone", *listening, "--number", "+99900500007", keys="\n1\n")

        assert result.exit_code == ExitCode.DONE
        assert "+99900500007" in result.output
        assert "How many acres?" in result.output

    def test_a_number_that_a_network_could_reach_is_refused(self, command):
        result = command("phone", "--number", "+10000000000")

        assert result.exit_code == ExitCode.USAGE
        assert "which no network can reach" in result.output
