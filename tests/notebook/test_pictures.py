"""What a picture is: made and read by Pillow, a library of its own; cut, turned and dressed-up bytes are none."""

import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingle.ground.errors import BadBrief, OutOfRange
from ingle.notebook.pictures import picture_kind

Image = pytest.importorskip("PIL.Image")


def made(kind, size=(64, 48), **more):
    out = io.BytesIO()
    Image.new("RGB", size, (90, 30, 20)).save(out, kind, **more)
    return out.getvalue()


@pytest.mark.parametrize(("content", "kind"), [(made("JPEG"), "image/jpeg"), (made("JPEG", progressive=True), "image/jpeg"), (made("PNG"), "image/png"), (made("PNG", optimize=True), "image/png")])
def test_a_picture_is_known(content, kind):
    assert picture_kind(content) == kind


@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
@given(share=st.floats(0, 0.999))
def test_a_picture_that_is_cut_off_is_none(kind, share):
    content = made(kind)
    with pytest.raises(BadBrief):
        picture_kind(content[: int(len(content) * share)])


@given(st.binary(max_size=400))
def test_bytes_that_only_begin_like_one_are_none(tail):
    for head in (b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff", b"\xff\xd8", b"", b"GIF89a", b"<svg"):
        try:
            Image.open(io.BytesIO(head + tail)).verify()
        except Exception:
            with pytest.raises(BadBrief):
                picture_kind(head + tail)


def test_a_picture_made_to_burst_is_refused():
    content = bytearray(made("PNG"))
    import zlib

    content[16:24] = (100_000).to_bytes(4, "big") * 2
    content[29:33] = zlib.crc32(bytes(content[12:29])).to_bytes(4, "big")
    with pytest.raises(OutOfRange, match="pixels"):
        picture_kind(bytes(content))
