"""Logger files of many shapes, all invented here; times and temperatures expected are worked by hand beside each."""

import csv
from datetime import UTC, datetime

import numpy as np
import polars as pl
import pytest

from ingle.notebook.logs import Answers, Sighting, at_ms, sight
from ingle.notebook.logs_columns import _dealt, _turn_times

LONDON = Answers(zone="Europe/London")


def t(*when: int) -> datetime:
    return datetime(*when, tzinfo=UTC)  # type: ignore[misc, arg-type]


# name, bytes, answers, {probe: (unit in the file, first time in UTC, readings in C or %)}
SHAPES = [
    ("own form", b"time,temperature_c\n2026-01-05T10:00:00+01:00,4.2\n2026-01-05T10:05:00+01:00,4.3\n", Answers(),
     {"temperature": ("C", t(2026, 1, 5, 9), [4.2, 4.3])}),
    ("Z at the end", b"time,temperature_c\n2026-07-05T10:00:00Z,4.2\n2026-07-05T10:05:00Z,4.3\n", Answers(),
     {"temperature": ("C", t(2026, 7, 5, 10), [4.2, 4.3])}),
    ("semicolon, decimal comma, Latin-1, two columns of time", "Gerät;Kühlraum 2\nSeriennummer;0042\nEinheit;°C\n\nDatum;Uhrzeit;Kanal 1;Kanal 2\n"
     "28.01.2026;23:50:00;4,2;5,0\n28.01.2026;23:55:00;-0,3;--\n29.01.2026;00:00:00;4,1;5,1\n".encode("latin-1"), Answers(zone="Europe/Berlin"),
     {"Kanal 1": ("C", t(2026, 1, 28, 22, 50), [4.2, -0.3, 4.1]), "Kanal 2": ("C", t(2026, 1, 28, 22, 50), [5.0, 5.1])}),
    ("UTF-16 with tabs and humidity", "Date\tTime\tT1 [°C]\tRH [%]\n2026/02/01\t10:00\t4.2\t80\n2026/02/01\t10:05\t4.4\t81\n".encode("utf-16"), LONDON,
     {"T1": ("C", t(2026, 2, 1, 10), [4.2, 4.4]), "RH": ("%", t(2026, 2, 1, 10), [80, 81])}),
    ("UTF-16 without its mark", "Zeit;Temp °C\n2026-02-01 10:00;4,2\n2026-02-01 10:05;4,4\n".encode("utf-16-le"), Answers(zone="UTC"),
     {"Temp": ("C", t(2026, 2, 1, 10), [4.2, 4.4])}),
    ("UTF-8 with a mark, lines of old machines", "\ufeffTime,Probe A (°C)\r2026-02-01 10:00,4.2\r2026-02-01 10:05,4.4\r".encode(), LONDON,
     {"Probe A": ("C", t(2026, 2, 1, 10), [4.2, 4.4])}),
    ("month first, two-digit years, running number, marks of events", b'"#","Date Time, GMT-05:00","Temp (\xc2\xb0F)","Button"\n'
     b'1,04-20-07 10:27:00,39.2,\n2,04-20-07 10:28:00,41.0,\n3,04-20-07 10:29:00,,pressed\n4,04-20-07 10:30:00,32.0,\n', Answers(),
     {"Temp": ("F", t(2007, 4, 20, 15, 27), [4.0, 5.0, 0.0])}),
    ("twelve-hour clock in its own column, a row of units, a footer", b"Date,Time,A,B\n,,(C),(%)\n13/12/25,10:00 PM,4.2,80\n13/12/25,12:05 AM,4.4,80\nEnd of data\n",
     Answers(zone="Europe/London", order="sort", dates="day-first"), {"A": ("C", t(2025, 12, 13, 0, 5), [4.4, 4.2]), "B": ("%", t(2025, 12, 13, 0, 5), [80, 80])}),
    ("p.m. in small letters", b"Date;Temp (C)\n2026-02-01 9:05:00 a.m.;4.2\n2026-02-01 9:05:00 p.m.;4.4\n", LONDON, {"Temp": ("C", t(2026, 2, 1, 9, 5), [4.2, 4.4])}),
    ("names of months", b"Time|Core [C]\n1 Feb 2026 10:00|4.2\n1 Feb 2026 10:05|4.4\n", LONDON, {"Core": ("C", t(2026, 2, 1, 10), [4.2, 4.4])}),
    ("long rows, several probes", b"timestamp,probe,celsius\n2026-02-01T10:00:00Z,p0,4\n2026-02-01T10:00:00Z,p1,5\n2026-02-01T10:01:00Z,p0,6\n2026-02-01T10:01:00Z,p1,7\n",
     Answers(), {"p0": ("C", t(2026, 2, 1, 10), [4, 6]), "p1": ("C", t(2026, 2, 1, 10), [5, 7])}),
    ("a unit in a column", b"time;sensor;value;unit\n2026-02-01T10:00:00Z;shelf;39.2;F\n2026-02-01T10:01:00Z;shelf;41;F\n", Answers(),
     {"shelf": ("F", t(2026, 2, 1, 10), [4.0, 5.0])}),
    ("a unit behind every number, a lost probe", b"Time;Value\n2026-02-01 10:00;4.2 \xb0C\n2026-02-01 10:05;OL\n2026-02-01 10:10;4.4 \xb0C\n", LONDON,
     {"Value": ("C", t(2026, 2, 1, 10), [4.2, 4.4])}),
    ("no head at all", b"2026-02-01 10:00:00\t4.2\n2026-02-01 10:05:00\t4.4\n", Answers(zone="UTC", unit="C"), {"column 2": ("C", t(2026, 2, 1, 10), [4.2, 4.4])}),
    ("decimal comma in quotes", b'Date,"Temp (C)"\n"2026-02-01 10:00","4,2"\n"2026-02-01 10:05","4,4"\n', LONDON, {"Temp": ("C", t(2026, 2, 1, 10), [4.2, 4.4])}),
    ("seconds since 1970", b"unix,temp_f\n1767225600,39.2\n1767225660,41\n", Answers(), {"temp": ("F", t(2026, 1, 1), [4.0, 5.0])}),
    ("milliseconds since 1970", b"epoch,temp (K)\n1767225600000,277.15\n1767225660000,278.15\n", Answers(), {"temp": ("K", t(2026, 1, 1), [4.0, 5.0])}),
    ("seconds from the start", b"s,temperature_c\n0,72\n60,70.5\n120,69\n", Answers(start=datetime(2026, 7, 1, 12, 0), zone="Europe/London"),
     {"temperature": ("C", t(2026, 7, 1, 11), [72, 70.5, 69])}),
    ("newest first", b"time,temp (c)\n2026-02-01T10:10:00Z,4.4\n2026-02-01T10:05:00Z,4.3\n2026-02-01T10:00:00Z,4.2\n", Answers(),
     {"temp": ("C", t(2026, 2, 1, 10), [4.2, 4.3, 4.4])}),
    ("volts beside it, an empty column, spaces in cells", b"Time , Air ( C ) , Battery (V),\n 2026-02-01 10:00 , 4.2 , 3.1 ,\n 2026-02-01 10:05 , 4.4 , 3.1 ,\n", LONDON,
     {"Air": ("C", t(2026, 2, 1, 10), [4.2, 4.4])}),
    ("tenths of seconds with a comma", b"Zeit;Temp (C)\n2026-02-01 10:00:00,5;4\n2026-02-01 10:00:01,5;5\n", LONDON,
     {"Temp": ("C", datetime(2026, 2, 1, 10, 0, 0, 500_000, UTC), [4, 5])}),
    ("packed dates", b"t;temp_c\n20260201T100000;4\n20260201T100500;5\n", Answers(zone="UTC"), {"temp": ("C", t(2026, 2, 1, 10), [4, 5])}),
    ("a printed minus", "time;Temp (C)\n2026-02-01T10:00:00Z;\u221218,5\n2026-02-01T10:05:00Z;\u221219,0\n".encode(), Answers(), {"Temp": ("C", t(2026, 2, 1, 10), [-18.5, -19])}),
    ("a column that names the instrument", b"logger id,time,Temp (C)\n12345,2026-02-01T10:00:00Z,4\n12345,2026-02-01T10:05:00Z,5\n", Answers(),
     {"Temp": ("C", t(2026, 2, 1, 10), [4, 5])}),
    ("words of a state are no probes", b"time,Temp (C),status\n2026-02-01T10:00:00Z,4,ok\n2026-02-01T10:05:00Z,5,alarm\n", Answers(),
     {"Temp": ("C", t(2026, 2, 1, 10), [4, 5])}),
    ("offsets that change", b"time,Temp (C)\n2026-10-25T01:30:00+01:00,4\n2026-10-25T01:00:00+00:00,5\n2026-10-25T01:30:00+00:00,6\n", Answers(),
     {"Temp": ("C", t(2026, 10, 25, 0, 30), [4, 5, 6])}),
    ("two units side by side", b"time,A (C),B (F)\n2026-02-01T10:00:00Z,4,39.2\n2026-02-01T10:05:00Z,5,41\n", Answers(),
     {"A": ("C", t(2026, 2, 1, 10), [4, 5]), "B": ("F", t(2026, 2, 1, 10), [4, 5])}),
    ("names in other scripts", "時刻,温度 (℃)\n2026-02-01 10:00,4.2\n2026-02-01 10:05,4.4\n".encode(), LONDON, {"温度": ("C", t(2026, 2, 1, 10), [4.2, 4.4])}),
]  # fmt: skip


@pytest.mark.parametrize(("name", "data", "said", "expected"), SHAPES, ids=[s[0] for s in SHAPES])
def test_a_shape_is_understood(name: str, data: bytes, said: Answers, expected: dict) -> None:
    seen = sight(data, said, name=f"{name}.csv")
    assert not seen.questions, [q.text for q in seen.questions]
    assert {tr.name for tr in seen.tracks} == set(expected)
    for track in seen.tracks:
        unit, first, values = expected[track.name]
        assert track.unit == unit
        assert at_ms(int(track.ms[0])) == first
        assert track.values == pytest.approx(values, abs=1e-9)
        assert (track.ms[1:] > track.ms[:-1]).all()
    assert len(seen.first_rows) >= 2


def test_the_head_gives_the_instrument_and_the_zone_it_names() -> None:
    seen = sight(SHAPES[2][1], Answers(zone="Europe/Berlin"), name="k.csv")
    assert seen.instrument == "0042"
    assert seen.understood["encoding"] == "Latin-1"
    assert seen.understood["decimal"] == ","
    assert seen.understood["dates_because"] == "a figure above 12 stands where the day is" or seen.understood["dates"] == "day-first"
    assert sight(SHAPES[6][1]).zone == "-05:00"


def asked(data: bytes, said: Answers | None = None, **more: str) -> dict[str, str]:
    return {q.field: q.proposal for q in sight(data, said, **more).questions}  # type: ignore[arg-type]


def test_an_absent_zone_is_asked_and_the_kitchens_is_proposed() -> None:
    data = b"time,temp (C)\n2026-02-01 10:00,4\n2026-02-01 10:05,4\n"
    assert asked(data) == {"zone": ""}
    assert asked(data, kitchen_zone="Europe/Paris") == {"zone": "Europe/Paris"}


def test_an_absent_unit_is_asked_and_never_guessed_from_the_numbers() -> None:
    for number in (b"4.2", b"39.2", b"277.3"):
        assert asked(b"time,Probe C\n2026-02-01T10:00:00Z," + number + b"\n2026-02-01T10:05:00Z," + number + b"\n") == {"unit": ""}


@pytest.mark.parametrize(
    ("head", "number", "place", "asks"),
    [
        ("C", 39.0, "fridge", True), ("C", 27.9, "fridge", False), ("C", 39.0, "any", False), ("C", 277.0, "any", True), ("F", 4.0, "fridge", True),
        ("F", 39.0, "fridge", False), ("C", 4.0, "fridge", False),
    ],
)  # fmt: skip
def test_numbers_that_cannot_be_in_the_unit_told_are_asked(head: str, number: float, place: str, asks: bool) -> None:
    data = f"time,temp ({head})\n2026-02-01T10:00:00Z,{number}\n2026-02-01T10:05:00Z,{number}\n".encode()
    assert ("unit" in asked(data, expect=place)) is asks
    assert not asked(data, Answers(unit=head), expect=place)  # said again by the person: taken


@pytest.mark.parametrize("days", [("01/02/2026", "01/02/2026"), ("07-04-20", "07-04-20")])
def test_a_date_that_can_be_two_is_asked(days: tuple[str, str]) -> None:
    data = f"time,temp (C)\n{days[0]} 10:00,4\n{days[1]} 10:05,4\n".encode()
    assert "dates" in asked(data, Answers(zone="UTC"))


@pytest.mark.parametrize(("first", "second", "order", "day"), [
    ("01/02/2026 23:55", "02/02/2026 00:00", "day-first", t(2026, 2, 1, 23, 55)),   # else it leaps from 2 January to 2 February
    ("02/01/2026 23:55", "02/02/2026 00:00", "month-first", t(2026, 2, 1, 23, 55)),
    ("13/02/2026 10:00", "13/02/2026 10:05", "day-first", t(2026, 2, 13, 10)),
    ("02/13/2026 10:00", "02/13/2026 10:05", "month-first", t(2026, 2, 13, 10)),
    ("02/02/2026 10:00", "02/02/2026 10:05", "day-first", t(2026, 2, 2, 10)),       # both are the same day
    ("26.02.13 10:00", "26.02.13 10:05", "year-first", t(2026, 2, 13, 10)),
])  # fmt: skip
def test_the_order_of_day_and_month_is_found_where_the_file_tells_it(first: str, second: str, order: str, day: datetime) -> None:
    said = Answers(zone="UTC", dates=order if first.startswith("26.") else None)
    seen = sight(f"time,temp (C)\n{first},4\n{second},4\n".encode(), said)
    assert not seen.questions
    assert seen.first == day


def test_the_order_can_show_late_in_a_long_file() -> None:
    rows = [f"{1 + i // 1440:02d}/02/2026 {i // 60 % 24:02d}:{i % 60:02d},4" for i in range(0, 12 * 1440, 7)]
    late = sight(("time,temp (C)\n" + "\n".join(rows) + "\n13/02/2026 10:00,4\n").encode(), Answers(zone="UTC"))
    assert not late.questions and late.last == t(2026, 2, 13, 10)


def test_an_answer_the_file_speaks_against_is_refused() -> None:
    from ingle.ground.errors import BadBrief

    data = b"time,temp (C)\n13/02/2026 10:00,4\n13/02/2026 10:05,4\n"
    with pytest.raises(BadBrief, match="cannot be month-first"):
        sight(data, Answers(zone="UTC", dates="month-first"))
    for wrong in (Answers(zone="Mars/Base"), Answers(unit="R"), Answers(kinds={"temp": "soup"}), Answers(zone="UTC", kinds={"nobody": "core"})):
        with pytest.raises(BadBrief):
            sight(data, wrong)


def test_kinds_come_from_the_person_the_name_or_the_place() -> None:
    data = b"time,Kern (C),CH2 (C),rH (%)\n2026-02-01T10:00:00Z,4,5,80\n2026-02-01T10:05:00Z,4,5,80\n"
    kinds = lambda seen: {x.name: x.kind for x in seen.tracks}  # noqa: E731
    assert kinds(sight(data, expect="fridge")) == {"Kern": "core", "CH2": "air", "rH": "humidity"}
    assert kinds(sight(data, Answers(kinds={"CH2": "surface"}), expect="smoker"))["CH2"] == "surface"


def seen_of(rows: list[str], said: Answers | None = None) -> Sighting:
    return sight(("time,temp (C)\n" + "\n".join(rows) + "\n").encode(), said or Answers(zone="Europe/London"))


# Summer time in the Union and in Britain ends on the last Sunday of October at 01:00 UTC and begins on the last Sunday of
# March at 01:00 UTC (Directive 2000/84/EC; Summer Time Order 2002): 25 October and 29 March in 2026.


def test_the_hour_that_comes_twice_is_told_apart_by_the_order_of_rows() -> None:
    wall = ["00:30", "01:00", "01:30", "01:00", "01:30", "02:00"]
    seen = seen_of([f"2026-10-25 {w},{i}" for i, w in enumerate(wall)])
    assert not seen.questions
    assert [f"{at_ms(int(m)):%H:%M}" for m in seen.tracks[0].ms] == ["23:30", "00:00", "00:30", "01:00", "01:30", "02:00"]
    assert list(seen.tracks[0].values) == [0, 1, 2, 3, 4, 5]


def test_the_hour_that_is_left_out_makes_no_gap() -> None:
    seen = seen_of([f"2026-03-29 {w},4" for w in ("00:00", "00:30", "02:00", "02:30")])
    assert not seen.questions
    assert [int(d) for d in (seen.tracks[0].ms[1:] - seen.tracks[0].ms[:-1]) / 60_000] == [30, 30, 30]


@pytest.mark.parametrize(("day", "offset"), [("2026-10-25", "+01:00"), ("2026-03-29", "+00:00")])
def test_a_clock_that_does_not_follow_summer_time_is_asked(day: str, offset: str) -> None:
    rows = [f"{day} {h:02d}:{m:02d},4" for h in range(4) for m in (0, 15, 30, 45)]
    seen = seen_of(rows)
    assert [(q.field, q.proposal) for q in seen.questions] == [("zone", offset)]
    assert not seen_of(rows, Answers(zone=offset)).questions


def test_doubled_readings_are_left_out_and_said_and_differing_ones_asked() -> None:
    same = seen_of(["2026-02-01 10:00,4", "2026-02-01 10:05,5", "2026-02-01 10:05,5", "2026-02-01 10:10,4"])
    assert same.tracks[0].ms.size == 3 and any("doubled readings were left out" in n for n in same.notes)
    rows = ["2026-02-01 10:00,4", "2026-02-01 10:05,5", "2026-02-01 10:05,7", "2026-02-01 10:10,4"]
    assert [q.field for q in seen_of(rows).questions] == ["doubles"]
    for keep, value in (("warmer", 7), ("colder", 5)):
        assert seen_of(rows, Answers(zone="Europe/London", doubles=keep)).tracks[0].values[1] == value


def test_times_that_run_back_are_asked_and_joined_records_can_be_sorted() -> None:
    rows = ["2026-02-02 10:00,4", "2026-02-02 10:05,5", "2026-02-01 10:00,6", "2026-02-01 10:05,7"]
    seen = seen_of(rows)
    assert [(q.field, q.proposal) for q in seen.questions] == [("order", "sort")]
    assert "runs back" in seen.questions[0].text
    done = seen_of(rows, Answers(zone="Europe/London", order="sort"))
    assert list(done.tracks[0].values) == [6, 7, 4, 5]
    overlap = seen_of([*rows, "2026-02-01 10:00,9"])
    assert overlap.questions[0].proposal == ""  # two records that differ: nothing can be proposed


@pytest.mark.parametrize("mark", [-999.9, -127, 3276.7, 9999])
def test_a_mark_for_a_lost_probe_is_left_out_and_said(mark: float) -> None:
    seen = seen_of(["2026-02-01 10:00,4", f"2026-02-01 10:05,{mark}", "2026-02-01 10:10,5"])
    assert list(seen.tracks[0].values) == [4, 5]
    assert any(f"{mark:g}" in n and "lost probe" in n for n in seen.notes)


def test_a_number_out_of_all_sense_is_asked_until_it_is_named() -> None:
    rows = ["2026-02-01 10:00,4", "2026-02-01 10:05,617", "2026-02-01 10:10,5"]
    assert [q.field for q in seen_of(rows).questions] == ["lost"]
    assert list(seen_of(rows, Answers(zone="UTC", lost=(617.0,))).tracks[0].values) == [4, 5]


def test_pauses_jumps_and_times_to_come_are_said() -> None:
    rows = [f"2026-02-01 10:{m:02d}:00,4" for m in range(0, 30, 5)] + ["2026-02-01 14:00:00,4", "2026-02-01 14:00:20,24", "2026-02-01 14:00:40,4"]
    notes = " ".join(seen_of(rows).notes)
    assert "a pause of 3 h 35 min" in notes and "a jump from 4.0 to 24.0 C" in notes
    ahead = sight(b"time,temp (C)\n2026-02-01T10:00:00Z,4\n2026-02-01T10:05:00Z,4\n", now=t(2026, 1, 1))
    assert any("time to come" in n for n in ahead.notes)


def test_footers_and_rows_of_events_are_said_with_their_words() -> None:
    data = b"time,temp (C),mark\n2026-02-01T10:00:00Z,4,\n2026-02-01T10:05:00Z,,door\n2026-02-01T10:10:00Z,5,\nStop\n\nMean,4.5,\n"
    seen = sight(data)
    assert list(seen.tracks[0].values) == [4, 5]
    notes = " ".join(seen.notes)
    assert "door" in notes and "Stop" in notes and "Mean" in notes and "line 5" in notes


def test_probes_that_are_read_in_turn_keep_the_times_they_have() -> None:
    def table(apart: int) -> bytes:
        rows = [f"2026-02-01T10:{n:02}:{p * apart:02}Z,p{p},{4 + p}" for n in range(50) for p in range(2)]
        return ("timestamp,probe,celsius\n" + "\n".join(rows) + "\n").encode()

    for apart in (0, 7):
        one, two = sight(table(apart), Answers(zone="UTC", unit="C")).tracks
        assert (two.ms - one.ms == apart * 1000).all() and (np.diff(one.ms) == 60_000).all()
        assert (one.values == 4).all() and (two.values == 5).all()


@pytest.mark.parametrize("hands", [1, 2, 3, 7])
def test_a_column_is_dealt_out_as_if_it_lay_in_one_piece(hands: int) -> None:
    """Whatever the lengths of the pieces the reader left it in; against numpy's own reshaping."""
    rng = np.random.default_rng(hands)
    whole = rng.integers(0, 1 << 40, hands * 200)
    cuts = np.sort(rng.choice(whole.size, 60, replace=False))
    for cells in (whole, whole * 0.5):
        column = pl.concat([pl.Series("c", part) for part in np.split(cells, cuts)], rechunk=False)
        assert column.n_chunks() > 50 and (_dealt(column, hands) == cells.reshape(-1, hands).T).all()
    moments = np.repeat(np.arange(200), hands)
    column = pl.concat([pl.Series("ms", part) for part in np.split(moments, cuts)], rechunk=False)
    times = _turn_times(column, hands)
    assert len(times) == hands and all(t is times[0] for t in times) and (times[0] == np.arange(200)).all()
    moments[hands + hands // 2 :] += 1
    apart = _turn_times(pl.Series("ms", moments), hands)
    assert all((apart[k] == moments[k::hands]).all() for k in range(hands))


@pytest.mark.parametrize("turned", [None, 0, 1234, 4999])
@pytest.mark.parametrize("lost", ["", "inf", "---"])
def test_probes_in_turn_or_not_are_what_another_reader_finds(turned: int | None, lost: str) -> None:
    """Two lines change places, or none do; a cell is lost, and a whole round: by csv and Python's own sorting."""
    lines = [f"2026-02-01T{n // 60:02}:{n % 60:02}:00Z,probe {p},{n / 100 + p:.2f}" for n in range(1000) for p in range(5)]
    lines[777] = lines[777].rpartition(",")[0] + "," + lost
    for k in range(4000, 4005):
        lines[k] = lines[k].rpartition(",")[0] + "," + lost
    if turned is not None:
        lines[turned - turned % 5], lines[turned] = lines[turned], lines[turned - turned % 5]
    seen = sight(("time,probe,celsius\n" + "\n".join(lines) + "\n").encode(), Answers(zone="UTC", unit="C"))
    assert len(seen.tracks) == 5
    for track in seen.tracks:
        mine = sorted((r[0], float(r[2])) for r in csv.reader(lines) if r[1] == track.name and r[2] != lost)
        assert [f"{at_ms(int(ms)):%Y-%m-%dT%H:%M:%SZ}" for ms in track.ms] == [at for at, _ in mine]
        assert track.values.tolist() == [v for _, v in mine]
    assert "6 rows hold a time and no number" in " ".join(seen.notes)
