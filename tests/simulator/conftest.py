import pytest

from simulator.gateway import Gateway
from simulator.handset import Handset
from simulator.wire import Wire
from tests.simulator.standin import StandIn

ANN = "+99900500001"


@pytest.fixture
def gateway():
    with Gateway() as running:
        yield running


@pytest.fixture
def standin(gateway):
    with StandIn(gateway.address) as running:
        yield running


@pytest.fixture
def wire(standin):
    with Wire(standin.address, pause=lambda _: None) as connected:
        yield connected


@pytest.fixture
def ann(wire, gateway):
    return Handset(ANN, wire, gateway, "run")
