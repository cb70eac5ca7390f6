"""A tiny service that speaks the HTTP contract, so that the simulator is tested without the real one.

Its one dialogue: a menu, a number of acres, an end that sends an SMS. As a program it runs on its own:
``python -m tests.simulator.standin --port 8000 --gateway http://127.0.0.1:8001``.
"""

from __future__ import annotations

import argparse
import json
import threading
import time
from contextlib import suppress
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from urllib.parse import parse_qs, urlsplit

import httpx

MENU = "Welcome\n1 My field\n2 A long screen\n3 End"
ACRES = "How many acres?"
SLIP = "Type a number, like 2.5\nHow many acres?"
LONG = "a" * 160

_LONGEST_S = 30.0


class StandIn:
    """The service; runs while its ``with`` block does.

    ``requests`` holds what came in, as (path, body), ``came`` the same as (headers, bytes). Faults to come:
    ``answers`` lists statuses, each answered
    once in place of the right one, although the message was taken; ``delays_s`` how long the next answers
    take; ``until`` holds, for a number, the event that its answers wait for; ``instead`` is a document in place
    of every right one. ``session`` and ``book`` are shown to authors; without a book there is no such page.
    """

    def __init__(self, gateway="", port=0):
        self.gateway = gateway
        self.requests = []
        self.languages = []
        self.came = []
        self.answers = []
        self.retry_after = ""
        self.delays_s = []
        self.instead = None
        self.until = {}
        self.clock = None
        self.session = {"facts": {"area": 2.5}}
        self.book = None
        self._posting = []
        self._stopped = False
        self._replies = {}
        self._asked = {}
        self.changed = threading.Condition()
        self._server = ThreadingHTTPServer(("127.0.0.1", port), _Handler)
        self._server.standin = self
        self._server.daemon_threads = True

    def __enter__(self):
        threading.Thread(target=self._server.serve_forever, args=(0.02,), daemon=True).start()
        return self

    def __exit__(self, *_):
        self.stop()

    def stop(self):
        """Ends it early, or when its block ends; a second time does nothing."""
        if self._stopped:
            return
        self._stopped = True
        for thread in self._posting:
            thread.join()
        self._server.shutdown()
        self._server.server_close()

    @property
    def address(self):
        return f"http://127.0.0.1:{self._server.server_port}"

    def serve(self):
        self._server.serve_forever()

    def handle(self, path, body, language):
        """The status and the document for a POST."""
        with self.changed:
            self.requests.append((path, body))
            self.changed.notify_all()
            self.languages.append(language)
            status, document, outgoing = self._taken(path, body)
            if self.answers:
                status, document = self.answers.pop(0), {"title": "unavailable", "detail": "ask again"}
            if self.instead is not None:
                document = self.instead
            delay_s = self.delays_s.pop(0) if self.delays_s else 0.0
        for message in outgoing:
            self._post(message)
        time.sleep(delay_s)
        if body.get("from") in self.until:
            self.until[body["from"]].wait(_LONGEST_S)
        return status, document

    def _taken(self, path, body):
        if path == "/demo/clock":
            self.clock = body["at"]
            return 204, None, []
        if path == "/demo/round":
            return 200, body, []
        if path == "/gateway/receipts":
            return 204, None, []
        if body["id"] in self._replies:
            first, status, document = self._replies[body["id"]]
            if first != body:
                return 409, {"title": "id used", "detail": "send another id with another message"}, []
            return status, document, []
        status, document, outgoing = self._answered(path, body)
        self._replies[body["id"]] = (body, status, document)
        return status, document, outgoing

    def _answered(self, path, body):
        if path == "/gateway/sms":
            return 202, {"id": body["id"]}, [self._out(body, f"You wrote: {body['text']}")]
        if body["event"] == "cancel":
            return 200, {"text": "", "open": False}, []
        text, is_open, outgoing = self._screen(body)
        return 200, {"text": text, "open": is_open}, outgoing

    def _screen(self, body):
        if body["event"] == "begin":
            self._asked[body["session"]] = "menu"
            return (f"You dialled {body['input']}" if body["input"] else MENU), True, []
        asked = self._asked.get(body["session"])
        if asked == "menu" and body["input"] == "1":
            self._asked[body["session"]] = "acres"
            return ACRES, True, []
        if asked == "menu" and body["input"] == "2":
            return LONG, True, []
        if asked == "menu":
            return "Goodbye", False, []
        if body["input"].replace(".", "", 1).isdigit():
            said = f"{body['input']} acres"
            return f"About {said}.\n\nThank you.", False, [self._out(body, f"Your field: {said}\nKeep this.")]
        return SLIP, True, []

    def _out(self, body, text):
        message = {"id": f"o-{body['id']}", "from": body["to"], "to": body["from"], "text": text}
        return message | {"alphabet": "gsm7", "segments": 1}

    def _post(self, message):
        if self.gateway:
            thread = threading.Thread(target=_post_to, args=(self.gateway, message), daemon=True)
            self._posting.append(thread)
            thread.start()


def _post_to(gateway, message):
    with suppress(httpx.TransportError):  # the gateway may have ended before
        httpx.post(gateway, json=message, trust_env=False)


class _Handler(BaseHTTPRequestHandler):
    def do_POST(self):
        came = self.rfile.read(int(self.headers["Content-Length"]))
        self.server.standin.came.append((dict(self.headers.items()), came))
        body = json.loads(came)
        status, document = self.server.standin.handle(self.path, body, self.headers.get("Accept-Language", ""))
        self._answer(status, document)

    def do_GET(self):
        asked = urlsplit(self.path)
        if asked.path == "/health":
            self._answer(200, {"live": True, "ready": True})
        elif asked.path == "/demo/session":
            self._answer(200, {"from": parse_qs(asked.query)["from"][0], **self.server.standin.session})
        elif self.server.standin.book is not None:
            self._answer(200, self.server.standin.book)
        else:
            self._answer(404, {"title": "not found"})

    def _answer(self, status, document):
        body = b"" if document is None else json.dumps(document).encode()
        self.send_response(status)
        self.send_header("Content-Type", "application/json")
        self.send_header("Content-Length", str(len(body)))
        if status == 503 and self.server.standin.retry_after:
            self.send_header("Retry-After", self.server.standin.retry_after)
        self.end_headers()
        with suppress(OSError):  # whoever asked may have given up
            self.wfile.write(body)

    def log_message(self, *_):
        pass


if __name__ == "__main__":
    parser = argparse.ArgumentParser()
    parser.add_argument("--port", type=int, required=True)
    parser.add_argument("--gateway", required=True)
    said = parser.parse_args()
    print("stand-in listens", flush=True)
    StandIn(said.gateway, said.port).serve()
