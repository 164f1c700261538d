"""One-time passes: a word in a QR code that signs one browser in, once, within minutes. Kept in memory alone, as hashes."""

from __future__ import annotations

import hashlib
import secrets
import socket
import threading
import time
from collections.abc import Callable

LASTS_S = 300.0
MOST = 20  # outstanding at a time; the oldest is let go


class Passes:
    """Passes that are out."""

    def __init__(self, clock: Callable[[], float] = time.monotonic):
        self._clock = clock
        self._out: dict[str, float] = {}
        self._lock = threading.Lock()

    def give(self) -> str:
        """A new one: 160 bits nobody can guess."""
        word = secrets.token_urlsafe(20)
        with self._lock:
            now = self._clock()
            self._out = {k: t for k, t in self._out.items() if t > now}
            while len(self._out) >= MOST:
                del self._out[next(iter(self._out))]
            self._out[_hash(word)] = now + LASTS_S
        return word

    def take(self, word: str) -> bool:
        """Whether it is good; it is good once."""
        with self._lock:
            until = self._out.pop(_hash(word), 0.0)
        return until > self._clock()


def _hash(word: str) -> str:
    return hashlib.sha256(word.encode("utf-8", "replace")).hexdigest()


def own_address() -> str:
    """This machine's address in its own network; nothing is sent to find it. "" where it has none."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # an address for documentation (RFC 5737): only the way out is asked
            found: str = probe.getsockname()[0]
        except OSError:
            return ""
    return "" if found.startswith(("127.", "0.")) else found
