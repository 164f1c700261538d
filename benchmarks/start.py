"""Cold starts of the commands beside a bare interpreter and one that loads NumPy."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

from benchmarks.run import Row, cold

INGLE = str(Path(sys.executable).with_name("ingle"))


def rows() -> Iterator[Row]:
    """Help, weigh, judge, cure."""
    bare = cold(sys.executable, "-c", "pass")
    numpy = cold(sys.executable, "-c", "import numpy")
    yield Row("ingle --help, cold", cold(INGLE, "--help"), 0.10, "python -c pass", bare)
    weigh = (INGLE, "weigh", "--weight", "1.38kg", "--curing-salt", "6.25%", "--rules", "gb", "--json")
    yield Row("ingle weigh, cold", cold(*weigh), 0.25, "python -c pass", bare)
    judge = (INGLE, "judge", "--weight", "1kg", "--add", "salt=25g", "--thickness", "50mm", "--rules", "gb", "--json")
    yield Row("ingle judge with forecast, cold", cold(*judge), 0.40, "import numpy", numpy)
    cure = (INGLE, "cure", "--weight", "1kg", "--thickness", "40mm", "--add", "salt=25g", "--json")
    yield Row("ingle cure, cold", cold(*cure), 0.40, "import numpy", numpy)
    keep = (INGLE, "keep", "--part", "home-cured", "--fridge", "2C", "--salt-in-water", "3.5%", "--ph", "5.8", "--json")
    yield Row("ingle keep, cold", cold(*keep), 0.40, "import numpy", numpy)
