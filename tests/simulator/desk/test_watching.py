from simulator.desk.watching import Seeing, Watched
from simulator.wire import Wire
from tests.simulator.conftest import ANN
from tests.simulator.standin import StandIn


def test_what_a_service_says_to_authors_is_seen(wire, standin):
    standin.book = {"fingerprint": "a1"}

    assert Seeing(wire).look(ANN) == Watched(
        ANN, session={"from": ANN, "facts": {"area": 2.5}}, book={"fingerprint": "a1"}
    )


def test_a_page_that_is_not_there_is_not_asked_for_every_time(wire, standin):
    seeing = Seeing(wire)
    assert seeing.look(ANN).book == {}
    standin.book = {"fingerprint": "a1"}

    looks = [seeing.look(ANN).book for _ in range(40)]

    assert looks.index({"fingerprint": "a1"}) == 30


def test_a_service_that_is_gone_leaves_what_was_seen_before():
    with StandIn() as standin, Wire(standin.address, timeout_s=1.0, attempts=1) as wire:
        standin.book = {"fingerprint": "a1"}
        seeing = Seeing(wire)
        seen = seeing.look(ANN)
        standin.stop()

        assert seeing.look(ANN) == Watched(ANN, False, seen.session, seen.book)
