"""What the page is started with."""

from __future__ import annotations

import os
import secrets
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

from ingle.ground.errors import Refused

LOOPBACK = ("127.0.0.1", "::1", "localhost")
PORT = 8023
UPLOAD_MOST = 16_000_000  # bytes; a month of a logger at one row a second is 12 MB of CSV


def utc_now() -> datetime:
    """The clock of the machine."""
    return datetime.now(UTC)


@dataclass(frozen=True)
class Config:
    """What the page is started with.

    ``keep`` is the folder of what the page itself keeps beside the notebook: its secret, briefs and plans, the
    demonstration's notebook. ``pass_phrase`` is an argon2 hash; empty only where nobody but this machine is heard.
    """

    notebook: str
    keep: Path
    host: str = "127.0.0.1"
    port: int = PORT
    pass_phrase: str = ""
    secure: bool = False  # https in front: cookies are marked so
    upload_most: int = UPLOAD_MOST
    secret: bytes = field(default_factory=lambda: secrets.token_bytes(32), repr=False)
    clock: Callable[[], datetime] = utc_now

    def __post_init__(self) -> None:
        if not self.is_loopback and not self.pass_phrase:
            raise Refused(
                f"{self.host} is heard by other machines, and no pass phrase is set.", field="host", value=self.host, limit="127.0.0.1, or a pass phrase",
                remedy="Set one: ingle serve --host 0.0.0.0 --pass-phrase; it is asked for and kept as a hash.",
            )  # fmt: skip

    @property
    def is_loopback(self) -> bool:
        """Whether only this machine is heard."""
        return self.host in LOOPBACK

    @property
    def plans(self) -> Path:
        """Folder of briefs and plans made in the page."""
        return self.keep / "meals"

    @property
    def demonstration(self) -> Path:
        """The invented kitchen's own notebook: nothing of it ever reaches the cook's."""
        return self.keep / "demonstration.notebook"


def keep_folder(notebook: str) -> Path:
    """Where the page keeps its own things: beside the notebook's file; for a notebook on a server, in the working folder."""
    if "://" in notebook and not notebook.startswith("sqlite"):
        return Path("ingle.page")
    path = Path(notebook.removeprefix("sqlite:///"))
    return path.with_name(f"{path.name}.page")


def kept_secret(folder: Path) -> bytes:
    """The secret that signs cookies, made once and readable by its owner alone: a restart signs nobody out."""
    path = folder / "secret"
    folder.mkdir(parents=True, exist_ok=True)
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return bytes.fromhex(path.read_text(encoding="ascii").strip())
    made = secrets.token_bytes(32)
    with os.fdopen(handle, "w") as out:
        out.write(made.hex())
        out.flush()
        os.fsync(out.fileno())
    return made
