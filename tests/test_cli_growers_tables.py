"""``advisor growers import``, ``schema`` and the table of ``export``, as an agent would use them."""

from __future__ import annotations

import csv
import json
from datetime import UTC, datetime
from pathlib import Path

import pytest

from advisor.cli import main
from advisor.commands.exits import Exit
from advisor.records.grower import Grower
from advisor.records.rows_schema import COLUMNS
from advisor.service.clock import unix_ms
from advisor.service.identity import Ids
from advisor.service.stored import Stored, to_bytes
from advisor.store.api import Change
from advisor.store.redis_store import RedisStore
from tests.test_cli_questions import SECRET, store  # noqa: F401 - a fixture

IDS = Ids(SECRET.encode())
TABLE = """number;village;field_area;field_unit;seed_origin;consent_how;consent_on
0001000001;Dovi;2,5;acre;saved;paper;{day}
0001000002;Kesu;1;kanto;bought;spoken;{day}
=1+1;Dovi;1;acre;saved;paper;{day}
0001000003;Dovi;1;acre;saved;;
0001000001;Dovi;3;acre;saved;paper;{day}
"""


def run(*arguments: str) -> int:
    with pytest.raises(SystemExit) as ended:
        main(("growers", *arguments))
    assert isinstance(ended.value.code, int)
    return ended.value.code


@pytest.fixture
def table(tmp_path: Path) -> Path:
    file = tmp_path / "growers.csv"
    file.write_text(TABLE.format(day=f"{datetime.now(UTC):%Y-%m-%d}".replace("-31", "-28")), encoding="utf-8-sig")
    return file


def rows(file: Path) -> list[dict[str, str]]:
    with file.open(encoding="utf-8-sig", newline="") as text:
        return list(csv.DictReader(text))


def test_a_dry_run_says_what_would_happen_and_writes_nothing(
    store: RedisStore,  # noqa: F811
    table: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert run("import", str(table), "--dry-run") == Exit.PROBLEMS

    told = capsys.readouterr()
    assert "dry run, nothing is written: it would be 2 new" in told.out
    assert "line 4, number: refused: not a phone number" in told.out
    assert "line 5, consent_how: refused" in told.out
    assert "2 of 5 lines are refused" in told.err
    assert list(store.growers()) == []


def test_sound_lines_come_in_and_the_report_names_the_others(
    store: RedisStore,  # noqa: F811
    table: Path,
    tmp_path: Path,
) -> None:
    report = tmp_path / "report.csv"

    assert run("import", str(table), "--report", str(report)) == Exit.PROBLEMS

    assert len(set(store.growers())) == 2
    assert store.counts("v1") == {"growers": 1, "started": 1}
    assert [(row["line"], row["column"], row["outcome"]) for row in rows(report)] == [
        ("4", "number", "refused"),
        ("5", "consent_how", "refused"),
        ("5", "consent_on", "refused"),
        ("6", "number", "merged"),
        ("6", "field_area", "doubted"),
    ]
    assert report.stat().st_mode & 0o077 == 0


def test_a_broken_file_changes_nothing(
    store: RedisStore,  # noqa: F811
    table: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    table.write_text(table.read_text(encoding="utf-8-sig") + '"0001000009;Dovi\n')

    assert run("import", str(table)) == Exit.PROBLEMS

    assert "line 7: a quote is opened and never closed" in capsys.readouterr().err
    assert list(store.growers()) == []


def test_what_is_exported_is_safe_and_comes_back_as_it_was(
    store: RedisStore,  # noqa: F811
    table: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    run("import", str(table))
    out = tmp_path / "out.csv"

    assert run("export", str(out)) == Exit.DONE

    assert "personal data" in capsys.readouterr().err
    assert list(rows(out)[0]) == list(COLUMNS)
    assert [(row["number"], row["village"], row["field_unit"]) for row in rows(out)] == [
        ("tel:+999001000001", "Dovi", "m2"),
        ("tel:+999001000002", "Kesu", "m2"),
    ]
    assert not any(cell.startswith(("=", "+", "-", "@", "\t")) for row in rows(out) for cell in row.values())
    assert out.stat().st_mode & 0o077 == 0

    assert run("import", str(out)) == Exit.DONE
    assert "0 new, 0 changed, 2 as they were" in capsys.readouterr().out
    with store.link._client() as client:
        client.flushall()
    store.open()
    assert run("import", str(out)) == Exit.DONE
    assert run("export", str(tmp_path / "again.csv")) == Exit.DONE
    assert rows(tmp_path / "again.csv") == rows(out)


def test_an_export_of_a_village_leaves_out_others_and_who_wants_no_messages(
    store: RedisStore,  # noqa: F811
    table: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    run("import", str(table))
    now = datetime.now(UTC)
    stopped = Grower("+999001000004", now, now).knows("grower.village", "v1", now)
    store.commit(Change(IDS.number(stopped.number), 0, to_bytes(Stored(stopped)), unix_ms(now)))
    out = tmp_path / "out.csv"

    assert run("export", str(out), "--village", "DOVI") == Exit.DONE

    assert [row["number"] for row in rows(out)] == ["tel:+999001000001"]
    assert "1 growers; 1 who want no messages are left out" in capsys.readouterr().out
    assert run("export", str(out), "--village", "Dove") == Exit.WRONG_USAGE
    assert "use one of Dovi, Kesu" in capsys.readouterr().err


def test_a_report_never_takes_the_place_of_the_list(
    store: RedisStore,  # noqa: F811
    table: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert run("import", str(table), "--report", str(table)) == Exit.WRONG_USAGE
    assert "would be overwritten" in capsys.readouterr().err


def test_the_schema_lists_columns_villages_and_units_of_the_programme(
    store: RedisStore,  # noqa: F811
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert run("schema") == Exit.DONE

    fields = {field["name"]: field for field in json.loads(capsys.readouterr().out)["fields"]}
    assert list(fields) == list(COLUMNS)
    assert {"Dovi", "v1", "डोवी"} <= set(fields["village"]["constraints"]["enum"])
    assert {"acre", "hectare", "ha", "kanto"} <= set(fields["field_unit"]["constraints"]["enum"])
