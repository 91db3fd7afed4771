"""The devices of the workshop's network that were paired: kept beside the store, each by the hash of its token.

A token has 256 random bits, so its plain hash tells nothing of it; whoever reads the file cannot pass for a device.
"""

import hashlib
import json
import os
import secrets
import tempfile
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from pathlib import Path

from loombench.base.outcome import Outcome
from loombench.base.problems import Problem, error, warning
from loombench.record.disk import make_folder

NAME = "devices.json"
FORMAT = 1
LONGEST_NAME = 40
MOST = 50
"""More devices than this are not paired at once."""


@dataclass(frozen=True)
class Device:
    """A paired device: what it is called here, when it was paired (ISO 8601), and the hash of its token."""

    id: str
    name: str
    since: str
    digest: str


class Devices:
    """The paired devices of a folder, made where it is missing. `problems` are those of reading them: none is paired
    then."""

    def __init__(self, folder: Path) -> None:
        self._file = folder / NAME
        read = _read(self._file)
        self.problems = read.problems
        self._known: dict[str, Device] = {one.digest: one for one in read.value}

    def all(self) -> tuple[Device, ...]:
        """In the order in which they were paired."""
        return tuple(self._known.values())

    def of(self, token: str) -> Device | None:
        """The device that has this token."""
        return self._known.get(_digest(token))

    def has(self, device: Device) -> bool:
        """Whether it is paired still."""
        return device.digest in self._known

    def add(self, name: str, since: str) -> Outcome[str | None]:
        """Pair one more; its token, once it is kept."""
        if len(self._known) >= MOST:
            return Outcome(None, (error("devices-many", most=MOST),))
        token = secrets.token_urlsafe(32)
        device = Device(secrets.token_hex(6), _plain(name), since, _digest(token))
        wrong = self._keep({**self._known, device.digest: device})
        return Outcome(None, (wrong,)) if wrong else Outcome(token)

    def revoke(self, id_: str) -> Problem | None:
        """Pair it no more, from this moment on; why that will not last, where it could not be kept."""
        left = {digest: one for digest, one in self._known.items() if one.id != id_}
        wrong = self._keep(left)
        self._known = left
        return wrong

    def _keep(self, known: Mapping[str, Device]) -> Problem | None:
        text = json.dumps({"format": FORMAT, "devices": [asdict(one) for one in known.values()]}, indent=1)
        name = ""
        try:
            make_folder(self._file.parent)
            handle, name = tempfile.mkstemp(prefix=".devices.", dir=self._file.parent)
            with os.fdopen(handle, "w", encoding="utf-8") as file:
                file.write(text)
                file.flush()
                os.fsync(file.fileno())
            Path(name).replace(self._file)
        except OSError as wrong:
            if name:
                Path(name).unlink(missing_ok=True)
            return error("devices-unkept", file=self._file, reason=wrong.strerror or type(wrong).__name__)
        self._known = dict(known)
        return None


def _read(file: Path) -> Outcome[tuple[Device, ...]]:
    try:
        if not file.exists():
            return Outcome(())
        read = json.loads(file.read_bytes())
        if read["format"] != FORMAT:
            raise ValueError
        return Outcome(tuple(Device(**{key: str(value) for key, value in one.items()}) for one in read["devices"]))
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError) as wrong:
        reason = getattr(wrong, "strerror", None) or type(wrong).__name__
        return Outcome((), (warning("devices-unread", file=file, reason=reason),))


def _digest(token: str) -> str:
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()


def _plain(name: str) -> str:
    return " ".join("".join(letter if letter.isprintable() else " " for letter in name).split())[:LONGEST_NAME] or "?"
