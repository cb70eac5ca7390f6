"""Child services, started and ended for real; the stand-in plays the service."""

import signal
import subprocess
import sys

import pytest

from simulator.handset import Handset
from simulator.house import ServiceNotStarted, connected, running_service
from simulator.wire import Wire
from tests.simulator.conftest import ANN
from tests.simulator.standin import MENU

STANDIN = (sys.executable, "-m", "tests.simulator.standin")


def test_a_service_runs_as_long_as_its_block():
    with running_service("http://127.0.0.1:9", command=STANDIN) as address, Wire(address) as wire:
        assert wire.is_ready()
    with Wire(address) as wire:
        assert not wire.is_ready()


def test_a_service_ends_with_the_block_that_fails():
    with pytest.raises(ZeroDivisionError), running_service("http://127.0.0.1:9", command=STANDIN) as address:
        raise ZeroDivisionError
    with Wire(address) as wire:
        assert not wire.is_ready()


def test_a_service_that_ends_at_once_shows_what_it_logged():
    command = (sys.executable, "-c", "import sys; sys.exit('no such flow')")
    with (
        pytest.raises(ServiceNotStarted, match=r"it ended with code 1. Its log ends:\n    no such flow"),
        running_service("http://127.0.0.1:9", command=command),
    ):
        pass


def test_a_service_that_does_not_get_ready_is_ended():
    command = (sys.executable, "-c", "import time; print('thinking', flush=True); time.sleep(60)")
    with (
        pytest.raises(ServiceNotStarted, match=r"it was not ready after 1 s. Its log ends:\n    thinking"),
        running_service("http://127.0.0.1:9", command=command, patience_s=1.0),
    ):
        pass


def test_a_service_knows_no_setting_of_an_installation_but_the_files_of_an_author(monkeypatch):
    for name in ("SOWING_STORE", "SOWING_GATEWAY", "SOWING_PROGRAMME", "SOWING_FLOWS", "SOWING_LOCALES"):
        monkeypatch.setenv(name, f"of {name}")
    told = "print(sorted(name for name in os.environ if name.startswith('SOWING_')), flush=True)"
    command = (sys.executable, "-c", f"import os; {told}")

    with (
        pytest.raises(
            ServiceNotStarted,
            match=r"Its log ends:\n    \['SOWING_FLOWS', 'SOWING_LOCALES', 'SOWING_PROGRAMME'\]$",
        ),
        running_service("http://127.0.0.1:9", command=command),
    ):
        pass


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP], ids=["killed", "window-closed"])
def test_a_service_ends_with_the_program_that_started_it(number):
    program = (
        "import time; from simulator.house import leaving_on_signals, running_service\n"
        f"with leaving_on_signals(), running_service('http://127.0.0.1:9', command={STANDIN}) as address:\n"
        "    print(address, flush=True); time.sleep(60)"
    )
    with subprocess.Popen([sys.executable, "-c", program], stdout=subprocess.PIPE, text=True) as child:
        address = child.stdout.readline().strip()
        child.send_signal(number)
        assert child.wait(20) == 128 + number
    with Wire(address) as wire:
        assert not wire.is_ready()


def test_phones_service_and_gateway_are_joined():
    with connected(command=STANDIN) as (wire, gateway):
        ann = Handset(ANN, wire, gateway, "run")
        ann.dial()
        ann.send_sms("hello")

        assert ann.phone.screen == MENU
        assert [sms.text for sms in ann.receive(1, 10)] == ["You wrote: hello"]


def test_a_service_that_runs_already_is_used_and_gets_receipts(standin, gateway):
    with connected(standin.address) as (wire, gateway):
        standin.gateway = gateway.address
        Handset(ANN, wire, gateway, "run").send_sms("hello")
        gateway.wait(ANN, 1, 10)
        assert wait_for(standin, "/gateway/receipts")["status"] == "delivered"


def test_receipts_can_be_left_out(standin):
    with connected(standin.address, receipts=False) as (wire, gateway):
        standin.gateway = gateway.address
        Handset(ANN, wire, gateway, "run").send_sms("hello")
        assert len(gateway.wait(ANN, 1, 10)) == 1
    assert "/gateway/receipts" not in [path for path, _ in standin.requests]


def wait_for(standin, path):
    with standin.changed:
        assert standin.changed.wait_for(lambda: path in [path for path, _ in standin.requests], 10)
    return next(body for asked, body in standin.requests if asked == path)
