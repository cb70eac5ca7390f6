"""A phone on the line: the value, and the wire and the gateway that connect it with the service."""

from __future__ import annotations

from simulator.errors import SimulatorError
from simulator.gateway import Gateway
from simulator.phone import Phone, Sms
from simulator.wire import Wire


class NothingOpen(SimulatorError):  # noqa: N818
    """Something was typed, but no session is open on this phone."""

    def __init__(self) -> None:
        super().__init__("nothing is open on this phone: dial first")


class Handset:
    """A phone that talks to the service. Messages that came before it was made are not its own.

    Args:
        number: the phone's number.
        wire: how it reaches the service.
        gateway: where its text messages arrive.
        run: a token that differs from run to run; the ids of messages derive from it.
        language: the language the phone is set to; networks may pass it on. Empty for none.
    """

    def __init__(self, number: str, wire: Wire, gateway: Gateway, run: str, language: str = "") -> None:
        self.phone = Phone(number)
        self.wire = wire
        self.gateway = gateway
        self.run = run
        self.language = language
        self._older = len(gateway.inbox(number))

    def another(self, number: str) -> Handset:
        """A second phone on the same line, with the messages that came while it lay in a pocket."""
        other = Handset(number, self.wire, self.gateway, self.run, self.language)
        other._older = 0
        return other

    def dial(self, digits: str = "") -> None:
        """Opens a session; one that is open drops, and the network need not tell the service."""
        message_id = self._next_id()
        dialling = self.phone.dialling(self.run)
        shown = self.wire.begin(message_id, dialling.session, dialling.number, digits, self.language)
        self.phone = dialling.showing(shown.text, shown.open)

    def answer(self, text: str) -> None:
        """Types a text on the open screen and sends it. Raises NothingOpen."""
        if not self.phone.open:
            raise NothingOpen
        message_id = self._next_id()
        self.phone = self.phone.typing(text)
        phone = self.phone
        shown = self.wire.answer(message_id, phone.session, phone.number, text, self.language)
        self.phone = phone.showing(shown.text, shown.open)

    def hang_up(self) -> None:
        """Ends the open session. Raises NothingOpen."""
        if not self.phone.open:
            raise NothingOpen
        message_id = self._next_id()
        session, self.phone = self.phone.session, self.phone.hung_up()
        self.wire.cancel(message_id, session, self.phone.number)

    def send_sms(self, text: str) -> None:
        """Types a text message and sends it."""
        message_id = self._next_id()
        self.phone = self.phone.typing(text)
        self.wire.sms(message_id, self.phone.number, text, self.language)

    def receive(self, count: int = 0, patience_s: float = 0.0, most: int | None = None) -> tuple[Sms, ...]:
        """Takes new messages into the inbox.

        Args:
            count: wait until that many new ones are there.
            patience_s: how long to wait for them.
            most: take at most so many, None for all.

        Returns:
            the messages taken, oldest first.
        """
        known = self._older + len(self.phone.inbox)
        arrived = self.gateway.wait(self.phone.number, known + count, patience_s)[known:]
        taken = arrived if most is None else arrived[:most]
        self.phone = self.phone.receiving(taken)
        return taken

    def _next_id(self) -> str:
        # Counted up even if the message then fails: another text under the same id would be refused.
        self.phone = self.phone.numbered()
        return self.phone.message_id(self.run)
