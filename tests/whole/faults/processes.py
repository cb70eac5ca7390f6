"""The processes of a fault run that nobody kills: the gateway, the command line, the judge."""

from __future__ import annotations

import base64
import contextlib
import os
import random
import re
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path

from tests.whole.faults import judge
from tests.whole.faults.stage import ZONE, Size
from tests.whole.services import SECRET


def settings_of(size: Size, store: str) -> dict[str, str]:
    """Settings with keys for both directions, drawn by the seed."""
    chance = random.Random(size.seed)
    inbound, outbound = (f"whsec_{base64.b64encode(chance.randbytes(32)).decode()}" for _ in range(2))
    return {
        "SOWING_STORE": store,
        "SOWING_ID_SECRET": SECRET,
        "SOWING_SENDER": "2500",
        "SOWING_INBOUND_KEYS": inbound,
        "SOWING_OUTBOUND_KEYS": outbound,
        "SOWING_ADDRESS_RATE": "1000000",
        "SOWING_GROWER_RATE": "1000000",
        "SOWING_PER_SECOND": str(size.per_second),
    }


@contextlib.contextmanager
def gateway(
    size: Size, folder: Path, service: str, settings: dict[str, str], module: tuple[str, ...] = ("simulator",)
) -> Iterator[str]:
    """The stand-in, which writes into ``sent.jsonl`` and sends its receipts to the service; its address."""
    ledger, log = folder / "sent.jsonl", folder / "gateway.log"
    command = [sys.executable, "-m", *module, "gateway", "--service", service]
    command += ["--ledger", str(ledger), "--seed", str(size.seed)]
    for rate, value in asdict(size.rates).items():
        command += [f"--{rate.replace('_', '-')}", str(value)]
    with log.open("wb") as out:
        process = subprocess.Popen(command, env=os.environ | settings, stdout=subprocess.PIPE, stderr=out)
    assert process.stdout is not None
    try:
        address = process.stdout.readline().decode().strip()
        if not address:
            raise RuntimeError(log.read_text())
        yield address
        if process.poll() is not None:
            raise RuntimeError(log.read_text())
    finally:
        process.kill()
        process.wait()
        process.stdout.close()


def advisor(settings: dict[str, str], *arguments: str, module: tuple[str, ...] = ("advisor",)) -> str:
    """What one command says."""
    command = [sys.executable, "-m", *module, *arguments]
    done = subprocess.run(
        command, env=os.environ | settings, check=False, timeout=120, capture_output=True, text=True
    )
    if done.returncode:
        raise RuntimeError(done.stderr)
    return done.stdout


def status_in(line: str) -> dict[str, int]:
    """The counts of a line of ``advisor round status``, by the names that the store has for them.

    >>> status_in("messages: 7 made, 2 passed over as too late, 1 left out beside another; growers: 0 due soon")
    {'made': 7, 'late': 2, 'merged': 1, 'waiting': 0}
    """
    said = {"made": "made", "late": "passed over", "merged": "left out", "waiting": "due soon"}
    found = {name: re.search(rf"(\d+) {words}", line) for name, words in said.items()}
    return {name: int(match[1]) for name, match in found.items() if match}


def judged(folder: Path, since: str, until: str) -> judge.Judgement:
    """What the judge finds in the run's files, as the script that it is."""
    files = [str(folder / f"{name}.jsonl") for name in ("sent", "growers", "stops")]
    # isolated: it finds neither the service nor anything else of ours
    command = [sys.executable, "-I", judge.__file__, *files, ZONE, since, until]
    said = subprocess.run(command, check=False, timeout=120, capture_output=True, text=True)
    counts = {name.replace(" ", "_"): int(count) for name, count in re.findall(r"(?m)^(.+?) +(\d+)$", said.stdout)}
    found = judge.Judgement(**counts)
    if said.returncode != (not found.holds):
        raise RuntimeError(f"the judge ended with {said.returncode}: {said.stdout}{said.stderr}")
    return found
