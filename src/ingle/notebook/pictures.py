"""Whether bytes are a JPEG or PNG: their parts are walked from the first to the last, nothing of them is drawn.

PNG by ISO/IEC 15948 (signature, IHDR first with its checksum, chunks to IEND), JPEG by ISO/IEC 10918-1 annex B (SOI, segments
with their lengths, a frame header, a scan, EOI). A file that only begins like one is none.
"""

from __future__ import annotations

import zlib

from ingle.ground.errors import BadBrief, OutOfRange

PIXELS_MOST = 120_000_000  # a phone's largest; more is made to burst whoever opens it
_PNG, _SOI, _EOI = b"\x89PNG\r\n\x1a\n", b"\xff\xd8", b"\xff\xd9"
_FRAMES = {0xC0, 0xC1, 0xC2, 0xC3, 0xC5, 0xC6, 0xC7, 0xC9, 0xCA, 0xCB, 0xCD, 0xCE, 0xCF}
_BARE = {0x01, *range(0xD0, 0xD8)}  # markers without a length


def picture_kind(content: bytes) -> str:
    """``image/jpeg`` or ``image/png``.

    Raises
    ------
    BadBrief
        It is neither, or it is cut off.
    OutOfRange
        More pixels than any camera makes.
    """
    size = _png(content) if content.startswith(_PNG) else _jpeg(content) if content.startswith(_SOI) else None
    if size is None or not (size[0] and size[1]):
        raise BadBrief("This is not a JPEG or PNG picture, or a part of it is missing.", field="photo", limit="JPEG, PNG", remedy="Save it as JPEG.")
    if size[0] * size[1] > PIXELS_MOST:
        raise OutOfRange(
            f"The picture has {size[0]} by {size[1]} pixels; at most {PIXELS_MOST / 1e6:.0f} million are kept.", field="photo", value=size[0] * size[1],
            limit=PIXELS_MOST, remedy="Take it smaller.",
        )  # fmt: skip
    return "image/png" if content.startswith(_PNG) else "image/jpeg"


def _png(content: bytes) -> tuple[int, int] | None:
    at, size, data = len(_PNG), None, False
    while at + 12 <= len(content):
        length = int.from_bytes(content[at : at + 4], "big")
        kind, end = content[at + 4 : at + 8], at + 8 + length
        if end + 4 > len(content) or zlib.crc32(content[at + 4 : end]) != int.from_bytes(content[end : end + 4], "big"):
            return None
        if size is None:
            if kind != b"IHDR" or length != 13:
                return None
            size = int.from_bytes(content[at + 8 : at + 12], "big"), int.from_bytes(content[at + 12 : at + 16], "big")
        data = data or kind == b"IDAT"
        if kind == b"IEND":
            return size if data else None
        at = end + 4
    return None


def _jpeg(content: bytes) -> tuple[int, int] | None:
    at, size = 2, None
    while at + 4 <= len(content):
        if content[at] != 0xFF:
            return None
        marker = content[at + 1]
        if marker == 0xFF:  # fill
            at += 1
            continue
        if marker in _BARE:
            at += 2
            continue
        length = int.from_bytes(content[at + 2 : at + 4], "big")
        if length < 2 or at + 2 + length > len(content):
            return None
        if marker in _FRAMES:
            if length < 8:
                return None
            size = int.from_bytes(content[at + 7 : at + 9], "big"), int.from_bytes(content[at + 5 : at + 7], "big")
        if marker == 0xDA:  # the scan: what follows is coded, up to the end of the picture
            return size if content.rfind(_EOI) > at else None
        at += 2 + length
    return None
