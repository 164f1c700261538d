"""Iowa Agricultural Experiment Station, Research Bulletin 27(337).

100 lb of fat churned to 122 lb of butter: overrun 22 %.
"""

import pytest

from ingle.crafts import butter


def test_overrun_of_the_example():
    assert butter.overrun(122.0, 100.0) == pytest.approx(0.22, abs=1e-12)
