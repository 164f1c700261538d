"""The bytes of a logger's file: read once, known by their hash, turned into UTF-8, refused when they are no table of text."""

from __future__ import annotations

import codecs
import hashlib
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from ingle.ground.refusal import refuse_log

MOST_BYTES = 2 << 30  # what fits twice into the memory of a small machine; a year of eight probes each second is a quarter of it
LONGEST_LINE = 1 << 16  # [bytes] no instrument writes a longer one
HEAD = 1 << 18  # looked at before the whole is parsed [bytes]

_KINDS = (  # first bytes, what it is, what to do
    (b"PK\x03\x04", "a spreadsheet or a packed folder", "Open it and save the sheet as CSV."),
    (b"\xd0\xcf\x11\xe0", "an old spreadsheet", "Open it and save the sheet as CSV."),
    (b"%PDF", "a PDF", "Export the readings as CSV from the logger's program."),
    (b"\x89PNG", "a picture", "Give the readings, not their picture."),
    (b"\xff\xd8\xff", "a picture", "Give the readings, not their picture."),
    (b"GIF8", "a picture", "Give the readings, not their picture."),
    (b"\x1f\x8b", "a packed file", "Unpack it first."),
    (b"BZh", "a packed file", "Unpack it first."),
    (b"\xfd7zXZ", "a packed file", "Unpack it first."),
    (b"PAR1", "a Parquet file", "Give the CSV it was made from."),
    (b"SQLite format 3", "a database", "Export the readings as CSV."),
    (b"\x7fELF", "a program", "Give a CSV file."),
    (b"MZ", "a program", "Give a CSV file."),
)
_BOMS = ((codecs.BOM_UTF8, "utf-8-sig"), (codecs.BOM_UTF16_LE, "utf-16"), (codecs.BOM_UTF16_BE, "utf-16"))
_ENCODINGS = ("utf-8", "utf-16", "utf-16-le", "utf-16-be", "latin-1", "cp1252")


@dataclass(frozen=True)
class Source:
    """A file as it came. ``text`` is UTF-8 without a mark, lines end in ``\\n`` or ``\\r\\n``."""

    name: str
    digest: Future[str]
    size: int  # [bytes]
    encoding: str  # "UTF-8", "Latin-1" ...
    text: bytes

    @property
    def sha256(self) -> str:
        """Of the bytes as they came; a long file is hashed while it is parsed."""
        return self.digest.result()

    @cached_property
    def quotes(self) -> int:
        """How many quotation marks the text has: looked through once, asked at every scan."""
        return self.text.count(b'"') if b'"' in self.text else 0  # whether there is one is told five times as fast as how many

    def head(self) -> list[str]:
        """The first lines, whole ones only."""
        some = self.text[:HEAD]
        if len(self.text) > HEAD:
            some = some[: some.rfind(b"\n") + 1]
        return [line.rstrip("\r") for line in some.decode("utf-8", "replace").split("\n")]


def read_source(source: Path | bytes, name: str = "", encoding: str | None = None) -> Source:
    """Read a file, or bytes that were sent.

    Parameters
    ----------
    source : Path or bytes
    name : str
        As the person knows the file; the path's name when left out.
    encoding : str, optional
        Said by the person; found out when left out.

    Raises
    ------
    BadBrief
        Empty, too large, a folder, a picture, a spreadsheet, bytes that are no text, a line without end.
    """
    if isinstance(source, Path):
        name, source = name or source.name, _bytes_of(source)
    said = _shown(name) or "log"
    if not source[:4096].strip() and not source.strip():
        refuse_log(said, "is empty.", "0 bytes", "a header and readings", "Export the log once more.")
    if len(source) > MOST_BYTES:
        refuse_log(said, f"has {len(source):,} bytes.", len(source), f"{MOST_BYTES:,} bytes", "Export it in parts.")
    for first, what, remedy in _KINDS:
        if source.startswith(first):
            refuse_log(said, f"is {what}, not a text with readings.", what, "CSV", remedy)
    found, text = _decoded(source, said, encoding)
    if found != "ASCII" and not text.isascii():
        text = text.replace("\u2212".encode(), b"-")  # a minus as printers set it
    if b"\n" not in text and b"\r" in text:
        text = text.replace(b"\r", b"\n")
    at = text.find(b"\0")
    if at >= 0:
        refuse_log(said, f"holds a zero byte at {at:,}: it is no text, or it was cut off while written.", "0x00", "text", "Export the log once more.")
    _require_lines(text, said)
    return Source(said, _hashed(source), len(source), found, text)


def _hashed(data: bytes) -> Future[str]:
    if len(data) < HEAD:
        done: Future[str] = Future()
        done.set_result(hashlib.sha256(data).hexdigest())
        return done
    beside = ThreadPoolExecutor(1)
    told = beside.submit(lambda: hashlib.sha256(data).hexdigest())
    beside.shutdown(wait=False)
    return told


def _bytes_of(path: Path) -> bytes:
    try:
        if not path.is_file():
            what = "is a folder." if path.is_dir() else "does not exist." if not path.exists() else "is no file."
            refuse_log(path.name or str(path), what, path, "a CSV file", "Check the path.")
        if path.stat().st_size > MOST_BYTES:
            refuse_log(path.name, f"has {path.stat().st_size:,} bytes.", path.stat().st_size, f"{MOST_BYTES:,} bytes", "Export it in parts.")
        return path.read_bytes()
    except (OSError, ValueError) as why:  # ValueError: a zero byte in the name
        refuse_log(_shown(path.name), f"cannot be read: {getattr(why, 'strerror', None) or why}.", _shown(str(path)), "a CSV file", "Check the path.")


def _decoded(data: bytes, name: str, asked: str | None) -> tuple[str, bytes]:
    if asked is not None:
        if asked.lower() not in _ENCODINGS:
            refuse_log(name, f"is said to be in {asked!r}.", asked, ", ".join(_ENCODINGS), "Name one of these.", field="encoding")
        return _said(asked.lower()), _through(data, asked.lower(), name)
    for mark, codec in _BOMS:
        if data.startswith(mark):
            text = data[len(mark) :] if codec == "utf-8-sig" else _through(data, codec, name)
            if codec == "utf-8-sig" and not text.isascii():
                _through(text, "utf-8", name)
            return _said(codec), text
    if data.isascii() and b"\0" not in data[:HEAD]:
        return "ASCII", data
    wide = _wide(data)
    if wide is not None:
        return _said(wide), _through(data, wide, name)
    try:
        data.decode("utf-8")
        return "UTF-8", data
    except UnicodeDecodeError:
        pass
    codec = "latin-1"  # cp1252 differs only from 0x80 to 0x9f, and not every byte there stands for a letter
    if any(b in data for b in (bytes([n]) for n in range(0x80, 0xA0))):
        codec = "cp1252"
    return _said(codec), _through(data, codec, name)


def _through(data: bytes, codec: str, name: str) -> bytes:
    try:
        return data.decode(codec).encode("utf-8")
    except (UnicodeError, ValueError):
        refuse_log(name, f"is no text in {_said(codec)}.", _said(codec), "UTF-8, UTF-16 or Latin-1", "Export it as UTF-8.", field="encoding")


def _wide(data: bytes) -> str | None:
    """UTF-16 without its mark: every second byte of its figures is zero."""
    some = data[:4096]
    if len(some) < 4 or len(data) % 2:
        return None
    odd, even = some[1::2].count(0) / (len(some) // 2), some[0::2].count(0) / (len(some) // 2)
    return "utf-16-le" if odd > 0.4 and even < 0.05 else "utf-16-be" if even > 0.4 and odd < 0.05 else None


def _require_lines(text: bytes, name: str) -> None:
    """Hop from line end to line end: no line longer than any instrument writes, no control signs at the head."""
    at, end = 0, len(text)
    while end - at > LONGEST_LINE:
        stop = text.rfind(b"\n", at, at + LONGEST_LINE)
        if stop < 0:
            line = text.count(b"\n", 0, at) + 1
            refuse_log(name, f"has a line of more than {LONGEST_LINE:,} bytes, line {line:,}.", f"line {line}", f"{LONGEST_LINE:,} bytes a line",
                       "Export the log once more; this is no table of readings.")  # fmt: skip
        at = stop + 1
    bad = next((b for b in text[:HEAD] if b < 32 and b not in (9, 10, 12, 13, 26)), None)
    if bad is not None:
        refuse_log(name, f"holds control signs (0x{bad:02x}): it is no text.", f"0x{bad:02x}", "text", "Export the log as CSV.")


def _said(codec: str) -> str:
    return {"utf-8-sig": "UTF-8 with a mark", "latin-1": "Latin-1", "cp1252": "Windows-1252"}.get(codec, codec.upper())


def _shown(name: str) -> str:
    """A file's name that can be shown and stored: no folders, no control signs, half letters or direction marks."""
    flat = name.replace("\\", "/").rsplit("/", 1)[-1]
    return "".join(c for c in flat if c.isprintable()).strip()[:120]
