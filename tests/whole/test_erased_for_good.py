"""Erased through the running service: of the grower nothing is left in Redis, neither as text nor as a hash, but
the place on the do-not-contact list. Then through the command line, and a backup and a restore besides."""

from __future__ import annotations

import contextlib
import json
import os
import subprocess
import sys
import time
from datetime import UTC, datetime
from pathlib import Path

import httpx
import redis

from advisor.service.identity import Ids
from simulator.gateway import Gateway
from tests.servers import redis_server
from tests.whole.services import SECRET, Phone, agree, service

IDS = Ids(SECRET.encode())
ANN, BEN, COR = "+999001110001", "+999001110002", "+999001110003"
MY_DATA, FORGET, ERASE_ALL, YES = ("8", "6"), "1", "2", "1"


def everything_in(client: redis.Redis) -> dict[str, bytes]:
    """Every key with all that it holds, as one text each."""
    found = {}
    for key in client.scan_iter(count=1000):
        kind = client.type(key).decode()
        read = {
            "string": client.get,
            "zset": lambda key: repr(client.zrange(key, 0, -1)).encode(),
            "set": lambda key: repr(client.smembers(key)).encode(),
            "hash": lambda key: repr(client.hgetall(key)).encode(),
            "stream": lambda key: repr(client.xrange(key)).encode(),
            "none": lambda key: b"",  # it ended between being listed and being read
        }[kind]
        found[key.decode()] = read(key) or b""
    return found


def traces_of(number: str, client: redis.Redis) -> list[str]:
    """Keys whose name or content holds a number, the grower's id, or what was typed."""
    words = [number, number[1:], IDS.number(number), *(("7.25",) if number == ANN else ())]
    return sorted(
        key
        for key, held in everything_in(client).items()
        if any(word in key or word.encode() in held for word in words)
    )


def figures(client: redis.Redis) -> dict[str, int]:
    """Village figures that are not nought, over all buckets and villages."""
    sums: dict[str, int] = {}
    for key in client.scan_iter(match="*:v:*", count=1000):
        for counter, count in client.hgetall(key).items():
            sums[counter.decode()] = sums.get(counter.decode(), 0) + int(count)
    return {counter: count for counter, count in sums.items() if count}


def list_keys(number: str) -> list[str]:
    bucket = f"{{b{IDS.number(number)[:2]}}}"
    return [f"{bucket}:gone", f"{bucket}:stop"]


def live(phone: Phone, size: str = "3") -> None:
    """Agrees, lets the field be known, has the list sent, writes, and calls once more."""
    agree(phone)
    phone.type("1", size, "1", "1", "4")
    phone.sms("hello")
    phone.dial()


def another(phone: Phone) -> dict[str, str]:
    """A message under the first id that a phone gave, with another body."""
    at = datetime.now(UTC).isoformat()
    told = {"session": "other", "event": "begin", "input": "", "to": "2500"}
    return told | {"id": f"{phone.number}-1", "from": phone.number, "at": at}


def command(store: str, *words: str, typed: str = "") -> subprocess.CompletedProcess[str]:
    environment = {**os.environ, "SOWING_STORE": store, "SOWING_ID_SECRET": SECRET}
    return subprocess.run(
        [sys.executable, "-m", "advisor", *words],
        env=environment,
        input=typed,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )


def test_by_the_grower_on_a_call_and_by_sms() -> None:
    with contextlib.ExitStack() as stack:
        server, gateway = stack.enter_context(redis_server()), stack.enter_context(Gateway())
        client = stack.enter_context(server.client())
        with service(server.address, gateway=gateway.address) as found:
            ann, ben = Phone(ANN, (found.address,)), Phone(BEN, (found.address,))
            live(ann, "7.25")
            live(ben)
            assert len(traces_of(ANN, client)) >= 4
            assert figures(client)["growers"] == 2

            said = ann.type("00", *MY_DATA, ERASE_ALL, YES)
            assert (said["open"], "erased" in said["text"]) == (False, True)
            assert traces_of(ANN, client) == list_keys(ANN)
            assert figures(client)["growers"] == 1

            ben.sms("ERASE")
            ben.sms(YES)
            texts = gateway.wait(BEN, 4, patience_s=30)
            assert "All is erased" in texts[-1].text
            until = time.monotonic() + 10
            while traces_of(BEN, client) != list_keys(BEN) and time.monotonic() < until:
                time.sleep(0.05)
            assert traces_of(BEN, client) == list_keys(BEN)
            assert figures(client) == {}

            again = ann.dial()
            assert "language" in again["text"], "everything is asked anew"
            ann.type("1", "1", "2")
            assert not client.sismember(list_keys(ANN)[1], IDS.number(ANN)), "who agrees again is off the list"
            log = found.log.read_text()
            for phone in (ann, ben):
                phone.close()
    assert ANN[1:] not in log
    assert BEN[1:] not in log


def test_by_the_operator_and_not_brought_back_by_a_restore(tmp_path: Path) -> None:
    file, lists = str(tmp_path / "all.backup"), str(tmp_path / "lists.backup")
    with redis_server() as server, redis_server() as other, server.client() as client:
        with service(server.address) as found:
            phones = [Phone(number, (found.address,)) for number in (ANN, BEN, COR)]
            live(phones[0], "7.25")
            live(phones[1])
            live(phones[2])

            shown = command(server.address, "growers", "export", "0001110001")
            assert shown.returncode == 0, shown.stderr
            assert json.loads(shown.stdout)["number"] == ANN
            assert "personal data" in shown.stderr

            taken = command(server.address, "backup", file)
            assert taken.returncode == 0, taken.stderr
            assert "3 growers" in taken.stdout
            assert "personal data" in taken.stderr

            unsure = command(server.address, "growers", "erase", ANN, typed="n\n")
            assert unsure.returncode != 0
            assert len(traces_of(ANN, client)) >= 4
            erased = command(server.address, "growers", "erase", "0 001 110 001", "--yes")
            assert erased.returncode == 0, erased.stderr
            assert "facts" in erased.stdout
            assert ANN[1:] not in erased.stdout + erased.stderr
            assert traces_of(ANN, client) == list_keys(ANN)
            assert command(server.address, "backup", "--lists", lists).returncode == 0

            used = command(server.address, "restore", file)
            assert used.returncode == 2
            assert "not empty" in used.stderr

            back = command(other.address, "restore", file, "--lists", lists)
            assert back.returncode == 0, back.stderr
            assert "2 growers are back, 1 are left out" in back.stdout
            for phone in phones:
                phone.close()
        with other.client() as looking:
            assert traces_of(ANN, looking) == list_keys(ANN)
            assert figures(looking)["growers"] == 2
        with service(other.address) as copy:
            ben, ann = Phone(BEN, (copy.address,)), Phone(ANN, (copy.address,))
            refused = httpx.post(f"{copy.address}/gateway/ussd", json=another(ben), trust_env=False)
            assert refused.status_code == 409, "an id that Ben's phone used before the backup is remembered"
            for phone in (ben, ann):
                phone.use_ids_from(1000)
            assert "language" not in ben.dial()["text"], "Ben is known, and his conversation goes on"
            assert "language" in ann.dial()["text"]
            for phone in (ben, ann):
                phone.close()


def test_consent_taken_back_holds_against_an_old_list_and_an_old_backup(tmp_path: Path) -> None:
    file, lists, table = (str(tmp_path / name) for name in ("all.backup", "lists.backup", "list.csv"))
    Path(table).write_text(f"number,consent_how,consent_on\n{BEN},paper,{datetime.now(UTC):%Y-%m-01}\n")
    with redis_server() as server, redis_server() as other, server.client() as client:
        with service(server.address) as found:
            ben, cor = Phone(BEN, (found.address,)), Phone(COR, (found.address,))
            live(ben)
            live(cor)
            assert "2 growers" in command(server.address, "backup", file).stdout

            said = ben.type("00", *MY_DATA, FORGET, YES)
            assert "are gone" in said["text"]
            # the open conversation stays for an hour, and no record beside it
            left = client.get(f"{{b{IDS.number(BEN)[:2]}}}:g:{IDS.number(BEN)}")
            assert left[16:].startswith(b'{"v":1,"s":')
            assert set(list_keys(BEN)) <= set(traces_of(BEN, client))
            assert command(server.address, "backup", "--lists", lists).returncode == 0
            for phone in (ben, cor):
                phone.close()

        back = command(other.address, "restore", file, "--lists", lists)
        assert "1 growers are back, 1 are left out" in back.stdout, back.stderr
        for store in (server.address, other.address):
            brought = command(store, "growers", "import", table)
            assert "line 2, number: kept out: the number is on the do-not-contact list" in brought.stdout
            assert "0 new, 0 changed, 0 as they were, 1 kept out" in brought.stdout
            assert BEN[1:] not in brought.stdout + brought.stderr


def test_a_file_that_is_none_and_a_number_that_is_none_get_one_line(tmp_path: Path) -> None:
    broken = tmp_path / "broken"
    broken.write_bytes(b"no backup")
    with redis_server() as server:
        refused = command(server.address, "restore", str(broken))
        assert (refused.returncode, refused.stderr.count("\n")) == (1, 1)
        assert "not restored" in refused.stderr
        stranger = command(server.address, "growers", "erase", "12", "--yes")
        assert (stranger.returncode, stranger.stderr.count("\n")) == (2, 1)
        nobody = command(server.address, "growers", "erase", COR, "--yes")
        assert nobody.returncode == 0
        assert "nothing was kept" in nobody.stdout
    away = command("redis://127.0.0.1:1/0", "backup", str(tmp_path / "x"))
    assert away.returncode == 2
    assert "Traceback" not in away.stderr
    assert not (tmp_path / "x").exists()
