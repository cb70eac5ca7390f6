"""Settings from the environment: one table, all problems at once, no default for a secret."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import timedelta
from pathlib import Path
from typing import NamedTuple
from urllib.parse import urlsplit

from advisor.gateway.addresses import LOOPBACK, NO_NETWORK, BadNetwork, Networks
from advisor.service.routing import is_loopback_host
from advisor.service.signing import BadKey, Keys

PREFIX = "SOWING_"
#: Everybody knows it, so it protects nothing: demonstrations only.
DEMO_SECRET = "demonstration secret, protects nobody"
DEMO_SENDER = "2500"
#: What would join a demonstration with an installation; from the environment it is not heeded there.
NOT_IN_DEMO = (
    *("SOWING_STORE", "SOWING_ID_SECRET", "SOWING_GATEWAY", "SOWING_SENDER"),
    *("SOWING_INBOUND_KEYS", "SOWING_OUTBOUND_KEYS", "SOWING_OPEN"),
    *("SOWING_SPEAKERS", "SOWING_WATCHERS", "SOWING_PROXIES", "SOWING_ADDRESS_RATE", "SOWING_GROWER_RATE"),
)
#: What an author sets to try dialogues of their own; a demonstration service for a phone heeds nothing else.
AUTHORS = ("SOWING_PROGRAMME", "SOWING_FLOWS", "SOWING_LOCALES")
SHORTEST_SECRET = 32


_DRAW = 'draw one with `python -c "import secrets; print(secrets.token_urlsafe(48))"` and keep it for life'
_DRAW_KEY = (
    'draw one with `python -c "import base64, secrets; '
    "print('whsec_' + base64.b64encode(secrets.token_bytes(32)).decode())\"` and share it with the gateway alone"
)


class SettingsProblem(Exception):  # noqa: N818 - named for what it tells
    """The environment cannot be used as it is.

    Args:
        problems: one line each: the name, what is wrong, what to do.
    """

    def __init__(self, problems: tuple[str, ...]) -> None:
        super().__init__("settings: " + "; ".join(problems))
        self.problems = problems


class Known(NamedTuple):
    """One setting.

    Args:
        name: environment variable.
        default: what holds without it; empty for none.
        meaning: one sentence for the README and for ``--help``.
        secret: whether it may come from the file that ``NAME_FILE`` names.
    """

    name: str
    default: str
    meaning: str
    secret: bool = False


SETTINGS = (
    Known("SOWING_STORE", "", "Address of the store, redis://…; without one a private store is started.", True),
    Known("SOWING_ID_SECRET", "", "Secret that ids derive from, 32 characters or more; never change it.", True),
    Known("SOWING_GATEWAY", "", "Address that outgoing messages are posted to; without one they wait.", True),
    Known("SOWING_SENDER", "", "Number or short code that outgoing messages come from; goes with SOWING_GATEWAY."),
    Known("SOWING_INBOUND_KEYS", "", "Keys that the gateway signs its messages with, parted by blanks.", True),
    Known("SOWING_OUTBOUND_KEYS", "", "Keys that outgoing messages are signed with, parted by blanks.", True),
    Known("SOWING_OPEN", "no", "yes does without signatures, where nobody but the gateway reaches the service."),
    Known(
        "SOWING_SPEAKERS", "", "Networks that messages come from, like 192.0.2.0/24; without one from anywhere."
    ),
    Known("SOWING_WATCHERS", "127.0.0.0/8 ::1", "Networks that may read /health and /metrics."),
    Known("SOWING_PROXIES", "", "Networks of your own proxies, whose X-Forwarded-For is believed."),
    Known("SOWING_ADDRESS_RATE", "1000", "Requests a second that one address may make, in the long run."),
    Known("SOWING_GROWER_RATE", "60", "Messages a minute that one number may send, in the long run."),
    Known("SOWING_PROGRAMME", "", "Programme file; without one the demonstration programme."),
    Known("SOWING_FLOWS", "", "Folder of flow files; without one the shipped flows."),
    Known("SOWING_LOCALES", "", "Folder of catalogs and glossaries; without one the shipped ones."),
    Known("SOWING_DATA", "data", "Folder of the private store."),
    Known("SOWING_HOST", "127.0.0.1", "Address to listen on."),
    Known("SOWING_PORT", "8000", "Port to listen on."),
    Known("SOWING_WORKERS", "1", "Processes that answer; the embedded store allows only one."),
    Known("SOWING_PER_SECOND", "50", "Messages a second that the gateway takes, from all senders together."),
    Known("SOWING_GATEWAY_HOURS", "24", "Hours for which the gateway knows the id of a message again."),
    Known("SOWING_MESSAGE_HOURS", "72", "Hours for which the id of a message is remembered."),
)


@dataclass(frozen=True, slots=True)
class Settings:
    """How one installation is set.

    Args:
        id_secret: what ids derive from.
        store: address of the store, empty for a private one.
        gateway: address for outgoing messages, empty for none.
        sender: what outgoing messages come from.
        inbound_keys: keys that the gateway signs with.
        outbound_keys: keys that outgoing messages are signed with.
        open: whether messages come and go without signatures.
        speakers: networks that messages come from, empty for any.
        watchers: networks that may read health and figures.
        proxies: networks of proxies whose word on addresses is believed.
        address_rate: requests a second from one address, 1 to 1,000,000.
        grower_rate: messages a minute from one number, 1 to 1,000,000.
        programme: programme file, empty for the demonstration programme.
        flows: folder of flow files, empty for the shipped flows.
        locales: folder of catalogs and glossaries, empty for the shipped ones.
        data: folder of the private store.
        host: address to listen on.
        port: port to listen on, 1 to 65535.
        workers: processes that answer, 1 to 64.
        message_memory: for how long message ids are remembered.
        per_second: messages a second that the gateway takes, from all senders together, 1 to 10,000.
        gateway_memory: for how long the gateway knows the id of a message again.
        demo: whether this is a demonstration.
        figures_folder: where several workers put their figures, empty for one worker.
        ignored: names of settings that are there and that a demonstration does not heed.
    """

    id_secret: str = field(repr=False)
    store: str = field(default="", repr=False)
    gateway: str = field(default="", repr=False)
    sender: str = ""
    inbound_keys: Keys = field(default=Keys(), repr=False)
    outbound_keys: Keys = field(default=Keys(), repr=False)
    open: bool = False
    speakers: Networks = NO_NETWORK
    watchers: Networks = LOOPBACK
    proxies: Networks = NO_NETWORK
    address_rate: int = 1000
    grower_rate: int = 60
    programme: str = ""
    flows: str = ""
    locales: str = ""
    data: Path = Path("data")
    host: str = "127.0.0.1"
    port: int = 8000
    workers: int = 1
    message_memory: timedelta = timedelta(hours=72)
    per_second: int = 50
    gateway_memory: timedelta = timedelta(hours=24)
    demo: bool = False
    figures_folder: str = ""
    ignored: tuple[str, ...] = ()

    @classmethod
    def from_env(
        cls,
        environment: Mapping[str, str] | None = None,
        *,
        demo: bool = False,
        given: Mapping[str, str] | None = None,
    ) -> Settings:
        """Reads the settings.

        Args:
            environment: names and values, by default those of the process.
            demo: a demonstration: its secret and sender are fixed, it stays on this machine and keeps nothing;
                a store, and a gateway that is not given on the command line, are not heeded.
            given: values that were given on the command line, by setting name without prefix, in lower case.

        Raises:
            SettingsProblem: with everything that is wrong, in one message.

        >>> Settings.from_env({}, demo=True).port
        8000
        >>> Settings.from_env({"SOWING_PORT": "x"}, demo=True)
        Traceback (most recent call last):
        ...
        advisor.settings.SettingsProblem: settings: SOWING_PORT is 'x': give a whole number from 1 to 65535
        """
        found = dict(os.environ if environment is None else environment)
        ignored = _ignored(found) if demo else ()
        found = {name: value for name, value in found.items() if name not in ignored}
        found |= {PREFIX + name.upper(): value for name, value in (given or {}).items()}
        if demo:
            found |= {"SOWING_ID_SECRET": DEMO_SECRET, "SOWING_SENDER": DEMO_SENDER}
        return replace(_Reader(found).settings(demo), ignored=ignored)


class _Reader:
    """Gathers values and problems."""

    def __init__(self, found: Mapping[str, str]) -> None:
        self._found = found
        self._problems: list[str] = []

    def settings(self, demo: bool) -> Settings:
        self._refuse_unknown()
        settings = Settings(
            id_secret=self._text("SOWING_ID_SECRET"),
            store=self._text("SOWING_STORE"),
            gateway=self._text("SOWING_GATEWAY"),
            sender=self._text("SOWING_SENDER"),
            inbound_keys=self._keys("SOWING_INBOUND_KEYS"),
            outbound_keys=self._keys("SOWING_OUTBOUND_KEYS"),
            open=self._yes("SOWING_OPEN"),
            speakers=self._networks("SOWING_SPEAKERS"),
            watchers=self._networks("SOWING_WATCHERS"),
            proxies=self._networks("SOWING_PROXIES"),
            address_rate=self._number("SOWING_ADDRESS_RATE", 1, 1_000_000),
            grower_rate=self._number("SOWING_GROWER_RATE", 1, 1_000_000),
            programme=self._text("SOWING_PROGRAMME"),
            flows=self._text("SOWING_FLOWS"),
            locales=self._text("SOWING_LOCALES"),
            data=Path(self._text("SOWING_DATA")),
            host=self._text("SOWING_HOST"),
            port=self._number("SOWING_PORT", 1, 65535),
            workers=self._number("SOWING_WORKERS", 1, 64),
            message_memory=timedelta(hours=self._number("SOWING_MESSAGE_HOURS", 1, 720)),
            per_second=self._number("SOWING_PER_SECOND", 1, 10_000),
            gateway_memory=timedelta(hours=self._number("SOWING_GATEWAY_HOURS", 1, 720)),
            demo=demo,
        )
        self._problems += _problems_of(settings)
        if self._problems:
            raise SettingsProblem(tuple(self._problems))
        return settings

    def _refuse_unknown(self) -> None:
        known = {setting.name for setting in SETTINGS}
        known |= {f"{setting.name}_FILE" for setting in SETTINGS if setting.secret}
        unknown = sorted(name for name in self._found if name.startswith(PREFIX) and name not in known)
        self._problems += [f"{name} is not a setting: see advisor serve --help" for name in unknown]

    def _text(self, name: str) -> str:
        """A value; where the variable itself is absent, of the file that NAME_FILE names, its end trimmed."""
        known = next(setting for setting in SETTINGS if setting.name == name)
        file = self._found.get(f"{name}_FILE", "") if known.secret else ""
        if name in self._found or not file:
            return self._found.get(name, known.default)
        try:
            return Path(file).read_text(encoding="utf-8").rstrip("\r\n")
        except (OSError, UnicodeDecodeError):
            self._problems.append(f"{name}_FILE names a file that cannot be read: give a readable UTF-8 file")
            return known.default

    def _keys(self, name: str) -> Keys:
        try:
            return Keys.read(self._text(name))
        except BadKey as bad:
            self._problems.append(f"{name} cannot be used: {bad}: {_DRAW_KEY}")
            return Keys()

    def _networks(self, name: str) -> Networks:
        try:
            return Networks.read(self._text(name))
        except BadNetwork as bad:
            self._problems.append(
                f"{name} cannot be used: {bad}: give networks like 192.0.2.0/24, parted by blanks"
            )
            return Networks()

    def _yes(self, name: str) -> bool:
        text = self._text(name)
        if text not in ("yes", "no"):
            self._problems.append(f"{name} is {text!r}: give yes or no")
        return text == "yes"

    def _number(self, name: str, low: int, high: int) -> int:
        text = self._text(name)
        if re.fullmatch("[0-9]{1,9}", text) and low <= int(text) <= high:
            return int(text)
        self._problems.append(f"{name} is {text!r}: give a whole number from {low} to {high}")
        return low


def without_keys(settings: Settings, *, serving: bool) -> tuple[str, ...]:
    """What is missing before the gateway can be spoken with, one line each; nothing where that is meant.

    Args:
        settings: how the installation is set.
        serving: whether the gateway's messages are taken; handed to it they are where there is an address for it.
    """
    if settings.demo or settings.open:
        return ()
    wanted = (
        ("SOWING_INBOUND_KEYS", settings.inbound_keys, serving),
        ("SOWING_OUTBOUND_KEYS", settings.outbound_keys, bool(settings.gateway)),
    )
    found = tuple(f"{name} is not set: {_DRAW_KEY}" for name, keys, is_needed in wanted if is_needed and not keys)
    return (*found, "or set SOWING_OPEN=yes where nobody but the gateway reaches the service") if found else ()


def _problems_of(settings: Settings) -> list[str]:
    rules: tuple[tuple[Callable[[Settings], bool], str], ...] = (
        (lambda s: not s.id_secret, f"SOWING_ID_SECRET is not set: {_DRAW}"),
        (
            lambda s: 0 < len(s.id_secret) < SHORTEST_SECRET,
            f"SOWING_ID_SECRET has fewer than {SHORTEST_SECRET} characters: {_DRAW}",
        ),
        (
            lambda s: not s.demo and s.id_secret == DEMO_SECRET,
            "SOWING_ID_SECRET is the secret of the demonstration: draw one of your own",
        ),
        (
            lambda s: s.gateway != "" and not _is_http(s.gateway),
            "SOWING_GATEWAY is no http address: give http://… or https://…",
        ),
        (
            lambda s: s.gateway != "" and not re.fullmatch(r"\+?[0-9A-Za-z ]{1,16}", s.sender),
            "SOWING_SENDER is missing or no number or short code: give 1 to 16 letters or digits",
        ),
        (
            lambda s: s.open and bool(s.inbound_keys or s.outbound_keys),
            "SOWING_OPEN is yes, although there are keys: leave it out, or the keys",
        ),
        (
            lambda s: bool(set(s.inbound_keys.secrets) & set(s.outbound_keys.secrets)),
            f"SOWING_OUTBOUND_KEYS has a key of SOWING_INBOUND_KEYS, so what goes out could come in: {_DRAW_KEY}",
        ),
        (
            lambda s: s.demo and not is_loopback_host(s.host),
            "SOWING_HOST: a demonstration listens on a loopback address only: give 127.0.0.1",
        ),
    )
    return [text for broken, text in rules if broken(settings)] + _store_problems(settings.store)


def _store_problems(address: str) -> list[str]:
    # the store's library is loaded for those who name a store only
    from advisor.store.address import address_fault

    fault = address_fault(address) if address else ""
    return [f"SOWING_STORE is no address of a store ({fault}): give redis://host:port/0"] if fault else []


def _ignored(found: Mapping[str, str]) -> tuple[str, ...]:
    names = [name for known in NOT_IN_DEMO for name in (known, f"{known}_FILE")]
    return tuple(name for name in names if found.get(name))


def _is_http(address: str) -> bool:
    try:
        parts = urlsplit(address)
        return parts.scheme in ("http", "https") and bool(parts.hostname) and (parts.port or 1) > 0
    except ValueError:
        return False


def share_figures(folder: str) -> None:
    """Tells the figures library, before it is first imported, where several workers put theirs."""
    os.environ["PROMETHEUS_MULTIPROC_DIR"] = folder
