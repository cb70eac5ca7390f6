"""``advisor round``: started, held, seen, and each mistake in one line."""

from __future__ import annotations

import os
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path

import pytest

from advisor.cli import main
from advisor.commands.exits import Exit
from advisor.dialogue.book import Book
from advisor.loading import load_book
from advisor.records.grower import Grower
from advisor.service.clock import unix_ms
from advisor.service.identity import Ids
from advisor.service.stored import Stored, from_bytes, to_bytes
from advisor.store import keys
from advisor.store.api import Change
from advisor.store.keys import secret_mark
from advisor.store.plans import Keeps
from advisor.store.redis_store import RedisStore
from tests.servers import RedisServer


@cache
def _book() -> Book:
    return load_book()


@pytest.fixture
def server(monkeypatch: pytest.MonkeyPatch, shared_redis: RedisServer) -> RedisServer:
    for name in [name for name in os.environ if name.startswith("SOWING_")]:
        monkeypatch.delenv(name)
    with shared_redis.client() as client:
        client.flushall()
    monkeypatch.setenv("SOWING_STORE", shared_redis.address)
    monkeypatch.setenv("SOWING_ID_SECRET", SECRET.decode())
    return shared_redis


#: As the settings of these tests give it.
SECRET = b"drawn for the tests, thirty-two and more"


def run(*arguments: str) -> int:
    with pytest.raises(SystemExit) as ended:
        main(("round", *arguments))
    assert isinstance(ended.value.code, int)
    return ended.value.code


def states(server: RedisServer) -> dict[str, str]:
    """The copy of the last bucket, by which messages are held."""
    with server.client() as client:
        return {key.decode(): state.decode() for key, state in client.hgetall(keys.of_pauses(255)).items()}


def test_a_round_is_started_held_let_go_on_and_stopped(
    server: RedisServer, capsys: pytest.CaptureFixture[str]
) -> None:
    seen = []
    for told in (("start", "demo"), ("pause", "demo"), ("go-on", "demo"), ("stop", "demo", "--yes")):
        assert run(*told) == Exit.DONE
        seen.append(states(server))
    assert seen == [{"demo": state} for state in ("running", "paused", "running", "stopped")]
    assert "demo is started, 2 steps: advisor send plans it" in capsys.readouterr().out


def test_a_round_of_a_file_is_started_under_another_name_each_season(server: RedisServer, tmp_path: Path) -> None:
    text = "\n".join(
        ['key = "mine"', "[[steps]]", 'key = "one"', "after_minutes = 5", "good_for_hours = 2", "[steps.text]"]
        + [f'{language} = "Sort your seed"' for language in ("en", "sw", "hi", "fr")]
    )
    file = tmp_path / "mine.toml"
    file.write_text(text, encoding="utf-8")

    for name in ("mine-2027", "mine-2028"):
        assert run("start", str(file), "--as", name) == Exit.DONE
        assert run("start", str(file), "--as", name) == Exit.DONE, "the same again does no harm"

    store = RedisStore(server.address)
    assert [(row.key, row.text.decode()) for row in store.rounds()] == [("mine-2027", text), ("mine-2028", text)]
    store.close()


def test_its_standing_is_one_line_a_round(server: RedisServer, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("status") == Exit.DONE
    assert "no rounds yet" in capsys.readouterr().out
    run("start", "demo", "--as", "one")
    run("start", "demo", "--as", "two")
    run("pause", "two")
    capsys.readouterr()

    assert run("status") == Exit.DONE
    both = capsys.readouterr().out.splitlines()
    assert run("status", "two") == Exit.DONE
    one = capsys.readouterr().out.splitlines()

    assert [line.partition(",")[0] for line in both] == ["one: running", "two: paused"]
    assert one == both[1:]
    assert both[0].endswith(
        "UTC, 0 of 256 parts of the growers looked at; "
        "messages: 0 made, 0 passed over as too late, 0 left out beside another; "
        "growers: 0 due soon, 0 times one put on the agent's list"
    )


@pytest.mark.usefixtures("server")
def test_a_round_that_hangs_on_rain_is_previewed_as_if_it_rained_today(capsys: pytest.CaptureFixture[str]) -> None:
    assert run("preview", "sow_now") == Exit.DONE

    said = capsys.readouterr().out
    assert said.startswith("as if the rains had begun today in every zone")
    assert "sow (on the day of the beginning of the rains): 0 messages (nobody)" in said
    assert "sow, to agents: about 0 growers" in said


class TestMistakes:
    @pytest.mark.parametrize(
        ("told", "said"),
        [
            (("start", "nowhere.toml"), "nowhere.toml is no round file that can be read: give one, or "),
            (("start", "demo", "--as", "a b"), "--as is 'a b': give 1 to 64 letters"),
            (("pause", "nobody"), "there is no round nobody: advisor round status names all"),
            (("go-on", "a b"), "there is no round a b"),
            (("stop", "nobody", "--yes"), "there is no round nobody"),
            (("status", "nobody"), "there is no round nobody"),
        ],
    )
    @pytest.mark.usefixtures("server")
    def test_are_told_in_one_line(
        self, told: tuple[str, ...], said: str, capsys: pytest.CaptureFixture[str]
    ) -> None:
        assert run(*told) == Exit.WRONG_USAGE

        assert said in capsys.readouterr().err

    @pytest.mark.usefixtures("server")
    def test_a_faulty_file_is_told_whole(self, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        file = tmp_path / "faulty.toml"
        file.write_text(
            'key = "Mine!"\n[[steps]]\nkey = "one"\nfrom = "start"\nday = 999\nat = 17:00:00\ngood_for_hours = 0\n'
            f'[steps.text]\nen = "{"long " * 40}"\nsw = "Panda"\nfr = "Semez"\nhello = 1\n',
            encoding="utf-8",
        )

        assert run("start", str(file)) == Exit.PROBLEMS

        said = capsys.readouterr().err
        for fault in (
            "key is 'Mine!': give 1 to 32 small letters",
            "steps[1].day is 999: give a whole number from -366 to 366",
            "steps[1].good_for_hours is 0",
            "steps[1].text.en costs 200 of a page's 159: say it in fewer words",
            "steps[1].text.hi is missing",
            "steps[1].text.hello is not known here",
        ):
            assert fault in said

    def test_another_text_under_the_name_of_a_round_is_refused(
        self, server: RedisServer, tmp_path: Path, capsys: pytest.CaptureFixture[str]
    ) -> None:
        run("start", "demo", "--as", "mine")
        file = tmp_path / "other.toml"
        file.write_text(Path("advisor/rounds/demo.toml").read_text("utf-8") + "# changed\n", encoding="utf-8")

        assert run("start", str(file), "--as", "mine") == Exit.WRONG_USAGE

        assert "it was started with another text: give another name" in capsys.readouterr().err
        assert states(server) == {"mine": "running"}

    def test_a_stopped_round_stays_stopped(self, server: RedisServer, capsys: pytest.CaptureFixture[str]) -> None:
        run("start", "demo")
        run("stop", "demo", "--yes")

        for told in (("start", "demo"), ("go-on", "demo"), ("pause", "demo")):
            assert run(*told) == Exit.WRONG_USAGE
            assert "stopped" in capsys.readouterr().err
        assert states(server) == {"demo": "stopped"}

    @pytest.mark.usefixtures("server")
    def test_a_stop_is_asked_about(self, monkeypatch: pytest.MonkeyPatch) -> None:
        run("start", "demo")
        monkeypatch.setattr("click.confirm", lambda *_, **__: (_ for _ in ()).throw(__import__("click").Abort()))

        assert run("stop", "demo") == Exit.UNEXPECTED


def test_the_demonstration_round_fits_one_page_in_every_language() -> None:
    from advisor.campaign.reading import read_round
    from advisor.loading import load_book, load_round

    languages = load_book().programme.languages
    found = read_round(load_round("demo"), languages)

    assert [step.key for step in found.steps] == ["sow", "ask"]
    assert all({language for language, _ in step.texts} == set(languages) for step in found.steps)


class TestAPreview:
    def test_says_texts_days_messages_and_cost_and_starts_nothing(
        self, server: RedisServer, capsys: pytest.CaptureFixture[str]
    ) -> None:
        assert run("preview", "seed_test", "--village", "v1", "--untested") == Exit.DONE

        said = capsys.readouterr().out
        assert "sort (16 days before sowing): 0 messages (nobody), as things stand" in said
        assert "  en: Today is the last good day to sow your seed test" in said
        assert "seed_test: 0 growers, 0 messages of 0 segments, if nobody answers" in said
        assert "a reply to each answer, which is paid as well" in said
        assert "cost: Ul 0.0 at 0.8" in said
        assert states(server) == {}

    @pytest.mark.parametrize(
        ("arguments", "said"),
        [
            (("--village", "Dove"), "--village is 'Dove': use one of Dovi, Kesu"),
            (("--sowing-from", "2026-12-20", "--sowing-to", "2026-12-10"), "give the earlier day first"),
            (("--language", "xx"), "xx is no language of the programme"),
            (("--sowing-from", "20/11"), "--sowing-from"),
        ],
    )
    def test_of_growers_who_cannot_be_is_refused(
        self, server: RedisServer, capsys: pytest.CaptureFixture[str], arguments: tuple[str, ...], said: str
    ) -> None:
        assert run("preview", "seed_test", *arguments) != Exit.DONE
        assert said in capsys.readouterr().err


def keep_growers(server: RedisServer, *days: int) -> None:
    """Growers of Dovi who sow in so many days."""
    store = RedisStore(server.address, Keeps(), secret_mark(SECRET))
    store.open()
    now = datetime.now(UTC)
    for place, ahead in enumerate(days):
        number = f"+99900100{place:04}"
        record = Grower(number, now).knows("grower.village", "v1", now)
        record = record.knows("plot.sowing", (_book().day_of(now) + timedelta(days=ahead)).isoformat(), now)
        store.commit(Change(Ids(SECRET).number(number), 0, to_bytes(Stored(record)), unix_ms(now)))
    store.close()


class TestWhatAPreviewSays:
    def test_is_in_the_language_that_was_chosen(
        self, server: RedisServer, capsys: pytest.CaptureFixture[str]
    ) -> None:
        assert run("preview", "seed_test", "--language", "hi") == Exit.DONE

        said = capsys.readouterr().out.splitlines()
        assert {line[:6] for line in said if line.startswith("  ")} == {"  hi: ", "  the "}

    def test_has_an_example_of_a_day_in_the_place_of_its_sign(
        self, server: RedisServer, capsys: pytest.CaptureFixture[str]
    ) -> None:
        keep_growers(server, 30)
        sows = _book().day_of(datetime.now(UTC)) + timedelta(days=30)

        assert run("preview", "seed_test") == Exit.DONE

        said = capsys.readouterr().out
        assert "%(" not in said
        assert f"  en: You sow soya on {sows.day} {sows:%b}?" in said
        assert "the days in these texts are examples" in said

    @pytest.mark.parametrize("round_", ["sow_now", "false_start", "demo"])
    def test_has_no_sign_in_any_text(
        self, server: RedisServer, round_: str, capsys: pytest.CaptureFixture[str]
    ) -> None:
        assert run("preview", round_) == Exit.DONE
        assert "%(" not in capsys.readouterr().out

    def test_counts_one_as_one(self, server: RedisServer, capsys: pytest.CaptureFixture[str]) -> None:
        keep_growers(server, 4)

        assert run("preview", "pick_up") == Exit.DONE

        said = capsys.readouterr().out
        assert ": 1 message (" in said
        assert "pick_up: 1 grower, 1 message of 1 segment, if nobody answers" in said
        assert "to one grower at most 1 message of 1 segment" in said


class TestASecondRoundOfOneFile:
    @pytest.fixture(autouse=True)
    def growers(self, server: RedisServer) -> None:
        keep_growers(server, 30, 30)
        run("start", "pick_up", "--as", "first")

    TWICE = "2 growers would get messages twice: first is a round of pick_up too; advisor round stop "

    def test_is_warned_of_by_start_and_preview(self, capsys: pytest.CaptureFixture[str]) -> None:
        assert "twice" not in capsys.readouterr().out
        run("preview", "pick_up", "--village", "Dovi")
        assert f"{self.TWICE}first" in capsys.readouterr().out
        run("start", "pick_up", "--as", "second")
        assert f"{self.TWICE}second" in capsys.readouterr().out

    def test_is_no_matter_for_other_growers_or_another_file(self, capsys: pytest.CaptureFixture[str]) -> None:
        run("start", "pick_up", "--as", "kesu", "--village", "Kesu")
        run("start", "follow_up")
        assert "twice" not in capsys.readouterr().out

    def test_is_no_matter_once_the_first_is_stopped(self, capsys: pytest.CaptureFixture[str]) -> None:
        run("pause", "first")
        run("preview", "pick_up")
        assert self.TWICE in capsys.readouterr().out, "a round that is held may go on"
        run("stop", "first", "--yes")
        run("preview", "pick_up")
        assert "twice" not in capsys.readouterr().out

    def test_that_has_nothing_more_to_say_is_no_matter(
        self, server: RedisServer, capsys: pytest.CaptureFixture[str]
    ) -> None:
        store = RedisStore(server.address, Keeps(), secret_mark(SECRET))
        store.open()
        for place in range(2):
            grower = Ids(SECRET).number(f"+99900100{place:04}")
            version, value = store.value(grower)
            record = from_bytes(value).record.passes("first", ("fetch",))
            store.commit(Change(grower, version, to_bytes(Stored(record)), unix_ms(datetime.now(UTC))))
        store.close()

        run("preview", "pick_up")
        assert "twice" not in capsys.readouterr().out


def test_whom_a_round_is_for_is_kept_with_it(server: RedisServer, capsys: pytest.CaptureFixture[str]) -> None:
    chosen = ("--village", "dovi", "--village", "v2", "--untested", "--sowing-to", "2027-12-05")

    assert run("start", "seed_test", "--as", "seed-2027", *chosen) == Exit.DONE
    assert run("start", "seed_test", "--as", "seed-2027", *chosen) == Exit.DONE
    assert run("start", "seed_test", "--as", "seed-2027", "--village", "v1") == Exit.WRONG_USAGE
    assert "it was started with another text" in capsys.readouterr().err


class TestALateStart:
    """Three growers sow in twelve days, two in four, one of whom has bought her seed, and one in a month."""

    LATE = (
        "late for 3 growers, 15 to 10 days before sowing, sooner in cool soil: "
        "little time is left for the seed test"
    )
    TOO_LATE = (
        "late for 1 grower, 9 to 0 days before sowing, sooner in cool soil: "
        "no result of a seed test comes before they sow"
    )

    @pytest.fixture(autouse=True)
    def growers(self, server: RedisServer, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr("advisor.commands.rounds.book_of", lambda _settings: _book())
        store = RedisStore(server.address, Keeps(), secret_mark(SECRET))
        store.open()
        now = datetime.now(UTC)
        today = _book().day_of(now)
        for place, days in enumerate((12, 12, 12, 4, 4, 30)):
            number = f"+99900100{place:04}"
            record = Grower(number, now).knows("grower.village", "v1", now)
            record = record.knows("plot.sowing", (today + timedelta(days=days)).isoformat(), now)
            record = record.knows("lot.origin", "bought" if place == 4 else "saved", now)
            store.commit(Change(Ids(SECRET).number(number), 0, to_bytes(Stored(record)), unix_ms(now)))
        store.close()

    def test_is_told_by_the_start_as_the_preview_tells_it(self, capsys: pytest.CaptureFixture[str]) -> None:
        assert run("preview", "seed_test") == Exit.DONE
        seen = capsys.readouterr().out.splitlines()
        assert run("start", "seed_test") == Exit.DONE
        said = capsys.readouterr().out.splitlines()

        assert said[1:] == [self.LATE, self.TOO_LATE]
        assert [line for line in seen if line.startswith("late for")] == said[1:]

    def test_is_not_told_again_of_a_round_that_runs(self, capsys: pytest.CaptureFixture[str]) -> None:
        run("start", "seed_test")
        capsys.readouterr()

        assert run("start", "seed_test") == Exit.DONE
        assert "late for" not in capsys.readouterr().out

    def test_is_told_of_those_alone_who_were_chosen(self, capsys: pytest.CaptureFixture[str]) -> None:
        assert (
            run("start", "seed_test", "--sowing-from", str(datetime.now(UTC).date() + timedelta(days=9)))
            == Exit.DONE
        )

        said = capsys.readouterr().out
        assert self.LATE in said
        assert self.TOO_LATE not in said

    @pytest.mark.parametrize("file", ["demo", "buy_inputs"])
    def test_of_a_round_without_such_steps_is_no_matter(
        self, file: str, capsys: pytest.CaptureFixture[str]
    ) -> None:
        assert run("start", file) == Exit.DONE
        assert len(capsys.readouterr().out.splitlines()) == 1
