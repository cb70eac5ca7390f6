"""The service as it is started, used and ended beside the screen."""

import threading
from contextlib import contextmanager

import pytest

from simulator.desk.line import LineLost
from tests.simulator.desk.conftest import Person


@pytest.fixture
def service(standin):
    """A service whose start waits for ``may_start``, and what happened to it."""

    class Service:
        def __init__(self):
            self.may_start = threading.Event()
            self.happened = []

        @contextmanager
        def start(self, gateway):
            self.may_start.wait(20)
            self.happened.append("started")
            yield standin.address
            self.happened.append("ended")

    return Service()


class TestEnding:
    def test_what_was_started_is_ended(self, gateway, service):
        service.may_start.set()
        person = Person(gateway, service.start)
        person.errands.begin()
        person.until(lambda: person.screen is not None)

        person.line.close()

        assert service.happened == ["started", "ended"]

    def test_a_service_that_is_still_starting_is_waited_for_and_ended(self, gateway, service):
        person = Person(gateway, service.start)
        person.errands.begin()
        threading.Timer(0.2, service.may_start.set).start()

        person.line.close()

        assert service.happened == ["started", "ended"]

    def test_a_phone_that_hears_nothing_holds_up_nobody_who_leaves(self, caller, standin):
        standin.until[caller.desk.held.phone.number] = threading.Event()
        caller.types("1", "enter")

        caller.line.close()

        assert caller.desk.held.waits
        standin.until[caller.desk.held.phone.number].set()


def test_a_fault_that_nobody_foresaw_is_told_instead_of_leaving_a_phone_waiting(caller):
    told = []

    def job():
        raise ZeroDivisionError("by nought")

    caller.line.do(job, told.append)
    caller.until(lambda: told)

    assert isinstance(told[0], LineLost)
    assert "by nought" in str(told[0])
