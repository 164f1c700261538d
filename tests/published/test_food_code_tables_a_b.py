"""FDA Food Code 1-201.10(B), tables A and B: classes by pH and water activity, with the printed bounds themselves."""

import pytest
from tests.published.growth_rows import ROWS

from ingle.safety.hurdles import ASSESS, NO_CONTROL, UNKNOWN, food_code

A, B = True, False
CASES = [
    ("FC-01", A, 4.6, 0.99, NO_CONTROL), ("FC-02", A, 7.0, 0.92, NO_CONTROL), ("FC-06", B, 7.0, 0.879, NO_CONTROL),
    ("FC-08", B, 5.1, 0.88, ASSESS), ("FC-08", B, 5.1, 0.90, ASSESS), ("FC-09", B, 4.6, 0.91, NO_CONTROL), ("FC-10", B, 4.7, 0.92, ASSESS),
    ("FC-11", B, 4.19, 0.99, NO_CONTROL), ("FC-12", B, 4.2, 0.93, ASSESS),
    ("A, above 0.92 to 0.95", A, 5.6, 0.95, NO_CONTROL), ("A, above 0.92 to 0.95, pH above 5.6", A, 5.7, 0.93, ASSESS),
    ("A, above 0.95, pH above 4.6", A, 4.7, 0.96, ASSESS), ("B, 0.88 to 0.90, pH 5.0", B, 5.0, 0.88, NO_CONTROL),
]  # fmt: skip


@pytest.mark.parametrize(("key", "table", "ph", "aw", "answer"), CASES)
def test_class(key, table, ph, aw, answer):
    assert key in ROWS or key[1] == ","
    assert food_code(ph, aw, heated_and_packed=table).answer == answer


def test_the_printed_mismatch_of_equality():
    """Table A counts 0.92 itself, table B leaves 0.88 itself to the next row."""
    assert food_code(7.0, 0.92, heated_and_packed=True).answer == NO_CONTROL
    assert food_code(5.5, 0.88).answer == ASSESS


def test_one_value_alone_decides_or_cannot_say():
    assert food_code(4.0, None).answer == NO_CONTROL
    assert food_code(None, 0.85).answer == NO_CONTROL
    assert food_code(4.5, None).answer == UNKNOWN
    assert food_code(None, 0.95).answer == UNKNOWN
