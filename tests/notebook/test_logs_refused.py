"""What is no log is refused in words, whatever it is; what is half a log is read or refused, never misread in silence."""

import os
import random
from pathlib import Path

import numpy as np
import pytest
from tests.notebook.test_logs_shapes import SHAPES

from ingle.ground.errors import BadBrief, IngleError
from ingle.notebook.logs import Answers, sight
from ingle.notebook.logs_bytes import LONGEST_LINE, read_source

GOOD = b"time,temp (C)\n2026-02-01T10:00:00Z,4\n2026-02-01T10:05:00Z,5\n"
NO_LOG = {
    "empty": (b"", "is empty"),
    "blank": (b" \r\n\t\n", "is empty"),
    "picture": (b"\x89PNG\r\n\x1a\n" + bytes(100), "is a picture"),
    "a picture by its name only": (b"GIF89a" + bytes(100), "is a picture"),
    "spreadsheet": (b"PK\x03\x04" + bytes(100), "spreadsheet"),
    "pdf": (b"%PDF-1.7\n" + bytes(10), "is a PDF"),
    "packed": (b"\x1f\x8b\x08" + bytes(100), "packed"),
    "program": (b"\x7fELF" + bytes(100), "program"),
    "zero bytes in the middle": (GOOD + b"\x00\x00\x00" + GOOD, "zero byte"),
    "control signs": (GOOD.replace(b"temp", b"te\x07mp"), "control signs"),
    "a huge line": (b"x" * (LONGEST_LINE + 100), "line of more than"),
    "a huge line far down": (GOOD * 2000 + b"y" * (LONGEST_LINE + 100) + b"\n", "line of more than"),
    "prose": (b"Dear cook,\n\nthe fridge was warm on Tuesday.\nKind words\n", "no reading that was understood"),
    "numbers without times": (b"a,b\n1,2\n3,4\n", "no column of times"),
    "dates without clocks": (b"date,temp (C)\n2026-02-01,4\n2026-02-02,5\n", "no times of day"),
    "a quote left open": (b'time,temp (C)\n2026-02-01T10:00:00Z,4\n2026-02-01T10:05:00Z,"5\n', "does not close"),
    "commas that part and commas in numbers": (b"Date,Temp C\n2026-02-01 10:00,4,2\n2026-02-01 10:05,4,3\n", "the comma parts columns"),
    "both decimal signs": (b"time;a (C)\n2026-02-01T10:00:00Z;4,5\n2026-02-01T10:05:00Z;4.5\n", "which sign"),
    "only marks of lost probes": (b"time,temp (C)\n2026-02-01T10:00:00Z,--\n2026-02-01T10:05:00Z,--\n", ""),
    "mixed units in one column": (b"time;value;unit\n2026-02-01T10:00:00Z;4;C\n2026-02-01T10:01:00Z;39;F\n", "several units"),
    "most lines are something else": (GOOD + b"2026-02-01T10:10:00Z,4\n" * 60 + b"log was here again\n" * 59, "without a time"),
    "torn UTF-16": ("time;temp (C)\n2026-02-01T10:00:00Z;4\n".encode("utf-16") + b"\x00", "no text in UTF-16"),
    "torn UTF-8 behind its mark": (b"\xef\xbb\xbftime,temp (C)\n2026-02-01T10:00:00Z,4\xc3\n", "no text in UTF-8"),
}  # fmt: skip


@pytest.mark.parametrize("name", NO_LOG)
def test_what_is_no_log_is_refused_with_its_remedy(name: str) -> None:
    data, words = NO_LOG[name]
    with pytest.raises(BadBrief) as told:
        sight(data, Answers(), name="f.csv")
    assert words in told.value.message
    assert told.value.remedy and told.value.field and "f.csv" in told.value.message


def test_paths_that_are_no_file_are_refused(tmp_path: Path) -> None:
    for path in (tmp_path, tmp_path / "none.csv", Path("/dev/null"), Path("a\0b.csv"), tmp_path / ("x" * 400 + ".csv")):
        with pytest.raises(BadBrief):
            sight(path)


@pytest.mark.parametrize("name", ["../../etc/passwd", "..\\..\\x.csv", "/tmp/x.csv", "a\nb.csv", "\u202ecsv.exe", "=cmd|'/c x'!A1.csv", "x" * 5000, "", "\x00"])
def test_a_sent_name_never_leads_anywhere(name: str) -> None:
    shown = read_source(GOOD, name).name
    assert "/" not in shown and "\\" not in shown and shown.isprintable() and 0 < len(shown) <= 120


def spoilt(rng: random.Random, data: bytes) -> bytes:
    """One to six accidents: bytes turned, taken out, doubled; lines swapped or cut; junk of other kinds put in."""
    junk = (b"\x00", b'"', b"\xff\xfe", b",,,,,,", b";;;", b"1e400", b"-inf", b"NaN", b"\xf0\x9f\x98\x80", b"'=1+1", b"\r", b"\n\n", b"9" * 400,
            b"0000-00-00 99:99:99", b"31/02/2026 24:60", b"\xe2\x80\xae", b"<script>", b"%s%n", b"a" * 3000, b"2026-02-30T00:00:00Z", b"1.2.3")  # fmt: skip
    some = bytearray(data)
    for _ in range(rng.randint(1, 6)):
        at = rng.randrange(len(some) + 1)
        kind = rng.randrange(7)
        if kind == 0 and some:
            some[at % len(some)] = rng.randrange(256)
        elif kind == 1:
            del some[at : at + rng.randint(1, 40)]
        elif kind == 2:
            some[at:at] = some[at : at + rng.randint(1, 60)]
        elif kind == 3:
            some[at:at] = rng.choice(junk)
        elif kind == 4:
            lines = bytes(some).split(b"\n")
            rng.shuffle(lines)
            some = bytearray(b"\n".join(lines))
        elif kind == 5:
            some[:] = bytes(some).replace(rng.choice((b",", b";", b".", b":", b"-", b"\n")), rng.choice((b",", b";", b".", b"\t", b" ")), rng.randint(1, 9))
        else:
            some = bytearray(some[:at])
    return bytes(some) if rng.random() > 0.02 else rng.randbytes(rng.randrange(400))


def test_spoilt_files_are_read_or_refused_and_never_break() -> None:
    """2,000 files; 50,000 with INGLE_SOAK. Whatever is taken has rising times and numbers that a probe can read."""
    rng = random.Random(20261125)
    read = 0
    for i in range(50_000 if os.environ.get("INGLE_SOAK") else 2_000):
        _, data, said, _ = SHAPES[i % len(SHAPES)]
        data = spoilt(rng, data)
        place = rng.choice(("any", "fridge", "smoker", "cooling"))
        if rng.random() < 0.3:
            said = Answers(zone="Europe/London", unit="C", dates="day-first", order="sort", doubles="warmer")
        try:
            seen = sight(data, said, name="f.csv", expect=place)
        except IngleError as why:
            assert why.message and why.field, data
            continue
        except Exception as why:
            raise AssertionError(f"file {i}: {type(why).__name__}: {why}\n{data!r}") from why
        assert bool(seen.questions) != bool(seen.tracks), data
        for q in seen.questions:
            assert q.text and q.choices
        for track in seen.tracks:
            assert (np.diff(track.ms) > 0).all() and np.isfinite(track.values).all() and track.ms.size == track.values.size > 0, data
            low, high = (0, 105) if track.wet else (-90, 400)
            assert low <= track.values.min() and track.values.max() <= high, data
        read += bool(seen.tracks)
    assert read > 200  # the accidents leave enough that is still a log
