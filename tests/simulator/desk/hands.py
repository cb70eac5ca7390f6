"""What tests of keys and clicks look at."""

from simulator.reading import read
from tests.simulator.conftest import ANN

BEN = "+99900500002"


def inputs(standin):
    return [body["input"] for path, body in standin.requests if path == "/gateway/ussd"]


def notice(person):
    return person.desk.notices[-1] if person.desk.notices else ""


def script_of(person, tmp_path):
    person.commands("r")
    person.types("", "ctrl+u")
    person.types(str(tmp_path / "new.txt"), "enter")
    return read((tmp_path / "new.txt").read_text(encoding="utf-8"), "new.txt")


def message(text, message_id="o1"):
    return {"id": message_id, "from": "2500", "to": ANN, "text": text, "alphabet": "gsm7", "segments": 1}
