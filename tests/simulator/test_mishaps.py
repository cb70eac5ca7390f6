import json
import os
import subprocess
import sys
import threading
import time
from collections import Counter
from dataclasses import fields

import httpx
import pytest

from simulator.gateway import Gateway
from simulator.ledger import Ledger
from simulator.mishaps import Fate, Mishaps, Rates, RatesTooHigh
from simulator.receipts import Receipts
from tests.simulator.conftest import ANN

MESSAGE = {"id": "o1", "from": "2500", "to": ANN, "text": "Hello", "alphabet": "gsm7", "segments": 1}
MANY = [f"b07-{place:04}" for place in range(4000)]
SPOILT = Rates(dropped=0.1, late=0.02, unsaid=0.2, too_many=0.05, fault=0.1, away=0.03)


def bad(**rates):
    return Mishaps(7, Rates(**rates), longest_s=0.3)


def post(gateway, **changes):
    return httpx.post(gateway.address, json=MESSAGE | changes, trust_env=False, timeout=10)


def lines(file):
    return [json.loads(line) for line in file.read_text(encoding="utf-8").splitlines()]


class TestFates:
    def test_each_fate_is_as_frequent_as_its_rate(self):
        met = Counter(Mishaps(1, SPOILT).fate(message_id, 1) for message_id in MANY)
        for fate, rate in SPOILT.of_requests:
            # four standard deviations of a count (binomial)
            assert abs(met[fate] - rate * len(MANY)) < 4 * (rate * (1 - rate) * len(MANY)) ** 0.5, fate
        assert met[Fate.TAKEN] == len(MANY) - sum(met[fate] for fate, _ in SPOILT.of_requests)

    def test_a_seed_says_it_all(self):
        first, again, other = (
            [Mishaps(seed, SPOILT).fate(message_id, 2) for message_id in MANY] for seed in (1, 1, 2)
        )
        assert first == again
        assert first != other

    def test_another_attempt_has_another_fate(self):
        mishaps = Mishaps(1, Rates(fault=0.5))
        assert {mishaps.fate("b07-aa", attempt) for attempt in range(20)} == {Fate.TAKEN, Fate.FAULT}

    @pytest.mark.parametrize("rates", [{"late": 1.1}, {"late": -0.1}, {"late": 0.6, "fault": 0.6}])
    def test_rates_that_are_no_parts_are_refused(self, rates):
        with pytest.raises(RatesTooHigh, match="0 to 1"):
            Rates(**rates)

    def test_all_requests_may_go_wrong_but_not_more(self):
        assert Rates(dropped=0.4, unsaid=0.6).dropped == 0.4


class TestRequests:
    @pytest.mark.parametrize(
        ("name", "status", "arrives"),
        [("unsaid", 500, True), ("too_many", 429, False), ("fault", 500, False), ("away", 503, False)],
    )
    def test_a_request_is_answered_by_its_fate(self, name, status, arrives):
        with Gateway(mishaps=bad(**{name: 1})) as gateway:
            answer = post(gateway)
            assert answer.status_code == status
            assert answer.headers.get("Retry-After") == ("1" if status == 429 else None)
            assert len(gateway.inbox(ANN)) == int(arrives)
            assert gateway.troubles == ()

    def test_a_dropped_request_has_no_answer_and_arrives_nowhere(self):
        with Gateway(mishaps=bad(dropped=1)) as gateway:
            with pytest.raises(httpx.RemoteProtocolError):
                post(gateway)
            assert gateway.inbox(ANN) == ()

    def test_a_late_answer_comes_behind_the_message(self):
        mishaps = bad(late=1)
        with Gateway(mishaps=mishaps) as gateway:
            begun_s = time.monotonic()
            assert post(gateway).status_code == 202
            assert time.monotonic() - begun_s >= mishaps.delay_s("o1", 1) > 0

    def test_what_was_taken_and_not_said_is_the_same_message_when_it_comes_again(self):
        # of this seed the first attempt at o6 is taken and not said, the second is taken
        with Gateway(mishaps=bad(unsaid=0.5)) as gateway:
            assert [post(gateway, id="o6").status_code for _ in range(2)] == [500, 202]
            assert len(gateway.inbox(ANN)) == 1

    def test_a_message_that_breaks_the_contract_meets_no_mishap(self):
        with Gateway(mishaps=bad(fault=1)) as gateway:
            assert post(gateway, segments=9).status_code == 422


class TestLedger:
    def test_each_request_is_a_line_with_its_fate(self, tmp_path):
        file = tmp_path / "sent.jsonl"
        before_s = time.time()
        with Ledger(file) as ledger, Gateway(mishaps=bad(fault=1), ledger=ledger) as gateway:
            post(gateway)
            post(gateway)
        first, second = lines(file)
        assert first.items() >= {"id": "o1", "to": ANN, "text": "Hello", "fate": "fault"}.items()
        assert before_s - 0.001 <= first["at"] <= second["at"] <= time.time()

    def test_it_is_written_before_the_answer(self, tmp_path):
        file = tmp_path / "sent.jsonl"
        with Ledger(file) as ledger, Gateway(mishaps=bad(late=1), ledger=ledger) as gateway:
            gateway.listen(lambda: seen.append(len(lines(file))))
            seen = []
            post(gateway)
        assert seen == [1]

    def test_another_run_adds_to_the_file(self, tmp_path):
        file = tmp_path / "sent.jsonl"
        for _ in range(2):
            with Ledger(file) as ledger, Gateway(ledger=ledger) as gateway:
                post(gateway)
        assert len(lines(file)) == 2


class TestReceipts:
    def sent(self, **rates):
        sent, troubles = [], []
        receipts = Receipts(bad(**rates), troubles.append)
        done = threading.Event()
        for message_id in MANY[:200]:
            receipts.submit(sent.append, message_id)
        # the queue has one thread, so what is submitted last is done last
        receipts._sending.submit(done.set)
        assert done.wait(10)
        receipts.close()
        assert troubles == []
        return sent

    def test_without_mishaps_each_is_sent_once_in_order(self):
        assert self.sent() == MANY[:200]

    def test_doubled_ones_are_sent_twice(self):
        assert self.sent(receipts_doubled=1) == [each for each in MANY[:200] for _ in range(2)]

    def test_some_let_up_to_five_later_ones_pass(self):
        sent = self.sent(receipts_shuffled=0.3)
        assert len(set(sent)) == len(sent) > 190
        assert sent != sorted(sent)
        # each stands behind no more later ones than it may let pass
        passed = [sum(other > each for other in sent[: sent.index(each)]) for each in sent]
        assert 1 <= max(passed) <= 5


class TestAsAProcess:
    def test_it_says_where_it_is_and_does_as_it_is_told(self, tmp_path):
        file = tmp_path / "sent.jsonl"
        command = [sys.executable, "-m", "simulator", "gateway", "--ledger", str(file), "--away", "1"]
        surroundings = {name: value for name, value in os.environ.items() if not name.startswith("SOWING_")}
        with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=surroundings) as running:
            try:
                address = running.stdout.readline().strip()
                assert httpx.post(address, json=MESSAGE, trust_env=False).status_code == 503
            finally:
                running.terminate()
        assert [line["fate"] for line in lines(file)] == ["away"]

    def test_there_is_an_option_for_each_rate(self):
        said = subprocess.run(
            [sys.executable, "-m", "simulator", "gateway", "--help"], capture_output=True, text=True, check=True
        )
        for each in fields(Rates):
            assert f"--{each.name.replace('_', '-')} RATE" in said.stdout

    def test_rates_that_are_no_parts_are_told_in_one_line(self):
        command = [sys.executable, "-m", "simulator", "gateway", "--away", "2"]
        said = subprocess.run(command, capture_output=True, text=True, check=False)
        assert (said.returncode, said.stderr.count("\n")) == (2, 1)
        assert "away is 2" in said.stderr
