"""Arrays that come and go take no page from the system each time."""

import subprocess
import sys

import pytest

CODE = """
import resource, sys
from ingle.crafts.cure.history import Stage, run
from ingle.crafts.cure.mix import mix
from ingle.ground.memory import keep_freed
from ingle.ground.things import Piece

if sys.argv[1] == "keep":
    assert keep_freed()
go = lambda: run(Piece(1000.0, 50.0), (Stage("rub", 48.0, add=mix({"salt": "24g"})),), members=300)
go()
before = resource.getrusage(resource.RUSAGE_SELF).ru_minflt
told = go()
print(resource.getrusage(resource.RUSAGE_SELF).ru_minflt - before, repr(float(told.mean_of.sum())))
"""


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="only glibc is told; elsewhere nothing is done")
def test_a_history_uses_its_memory_again_and_tells_the_same():
    plain, keep = (
        subprocess.run([sys.executable, "-c", CODE, word], capture_output=True, text=True, check=True).stdout.split()
        for word in ("plain", "keep")
    )
    assert int(keep[0]) < int(plain[0]) / 10  # measured: 19 against 44,748
    assert keep[1] == plain[1]


def test_no_rubbish_is_looked_for_while_a_large_program_loads_and_what_it_loaded_is_left_alone():
    code = """
import gc
from ingle.ground.memory import collector_waits
searches = []
gc.callbacks.append(lambda phase, info: searches.append(phase))
before = gc.get_freeze_count()
try:
    with collector_waits():
        kept = [[n] for n in range(200_000)]
        assert not searches and not gc.isenabled()
        raise KeyError
except KeyError:
    pass
assert gc.isenabled() and gc.get_freeze_count() > before + 200_000
more = [[n] for n in range(200_000)]
assert searches
"""
    subprocess.run([sys.executable, "-c", code], check=True)
