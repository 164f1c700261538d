"""Widths of set text, held against the fonts' own tables (OpenType 1.9: head, hhea, hmtx, cmap format 4)."""

from __future__ import annotations

import struct

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytest import approx

from ingle.faces.setting import lines, width
from ingle.faces.tokens import FONT_DIR

FILES = {"text": "PublicSans-Regular.ttf", "bold": "PublicSans-Bold.ttf", "figure": "BarlowCondensed-SemiBold.ttf"}


def _advances(name: str) -> dict[str, float]:
    """Advance widths in ems of the printable ASCII letters, read straight from the file."""
    data = (FONT_DIR / name).read_bytes()
    count = struct.unpack_from(">H", data, 4)[0]
    at = {
        data[12 + 16 * i : 16 + 16 * i].decode(): struct.unpack_from(">I", data, 20 + 16 * i)[0] for i in range(count)
    }
    em = struct.unpack_from(">H", data, at["head"] + 18)[0]
    metrics = struct.unpack_from(">H", data, at["hhea"] + 34)[0]
    tables = struct.unpack_from(">H", data, at["cmap"] + 2)[0]
    starts = [at["cmap"] + struct.unpack_from(">I", data, at["cmap"] + 8 + 8 * i)[0] for i in range(tables)]
    cmap = next(s for s in starts if struct.unpack_from(">H", data, s)[0] == 4)
    double = struct.unpack_from(">H", data, cmap + 6)[0]
    found = {}
    for code in range(32, 127):
        for k in range(0, double, 2):
            end, first = (struct.unpack_from(">H", data, cmap + p + k)[0] for p in (14, 16 + double))
            if code <= end:
                delta, offset = (
                    struct.unpack_from(">H", data, cmap + p + k)[0] for p in (16 + 2 * double, 16 + 3 * double)
                )
                here = cmap + 16 + 3 * double + k
                glyph = struct.unpack_from(">H", data, here + offset + 2 * (code - first))[0] if offset else code
                glyph = (glyph + delta) & 0xFFFF
                found[chr(code)] = struct.unpack_from(">H", data, at["hmtx"] + 4 * min(glyph, metrics - 1))[0] / em
                break
    return found


@pytest.mark.parametrize("face", FILES)
def test_widths_are_those_of_the_font(face):
    for letter, ems in _advances(FILES[face]).items():
        if not letter.isdigit():  # digits are set tabular, which is another glyph
            assert width(letter, 1.0, face) == approx(ems, abs=0.0051), letter
    assert len({width(d, 1.0, face) for d in "0123456789"}) == 1


@given(st.text(alphabet="abc mW1,", min_size=1, max_size=120), st.floats(5, 60))
def test_no_line_is_wider_than_its_room(text, room):
    count = lines(text, room, 4.2)
    assert count * room >= width(text.replace(" ", ""), 4.2) - 1e-6
    assert lines(text, 1e6, 4.2) == 1


def test_words_break_at_spaces():
    assert lines("aaaa aaaa aaaa", width("aaaa aaaa", 4) + 0.01, 4) == 2
    assert lines("", 10, 4) == 0
