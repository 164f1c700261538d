"""The numerical engines: a box by finite volumes, a drawn section, an ensemble through a history of stages."""

from __future__ import annotations

import time
from collections.abc import Iterator

import numpy as np

from benchmarks import problems_section as sections
from benchmarks import problems_transport as problems
from benchmarks.run import Row, best
from ingle.crafts.cure.history import Stage, run
from ingle.crafts.cure.mix import mix
from ingle.ground.things import Piece
from ingle.jobs.section import cure_section, drawing

STAGES = (
    Stage("rub", 7 * 24.0, add=mix({"salt": "24g", "curing-salt@6.25%": "1.9g"})), Stage("rinse", 5 / 60, 8.0), Stage("rest", 48.0),
    Stage("dry", 240.0, 12.0, humidity=0.8),
)  # fmt: skip


def rows() -> Iterator[Row]:
    """Goals are told, not demanded, where no release has met them yet."""
    reached = "mean {:.1e}, core {:.1e}, bath {:.1e}".format(*problems.cure_errors(problems.cure_run(steps=200)))
    explicit, steps, share = problems.cure_explicit()
    yield Row(
        "P1 box by finite volumes, 36^3, 200 steps", best(lambda: problems.cure_run(steps=200), 5), 0.050,
        "NumPy explicit, same cells", explicit, 100, f"error {reached}; peer: {steps:,} steps, timed on {share:.0%} of them",
    )  # fmt: skip
    for name, method, limit, goal in (
        ("the same by the split march", "split", 0.100, False), ("the same, all axes at once", "march", 2.0, True),
    ):  # fmt: skip
        went = problems.cure_run(steps=200, method=method)
        yield Row(
            name, best(lambda method=method: problems.cure_run(steps=200, method=method), 5 if method == "split" else 2), limit,
            "NumPy explicit, same cells", explicit, 50 if method == "split" else 4,
            "error mean {:.1e}, core {:.1e}, bath {:.1e}".format(*problems.cure_errors(went)), goal=goal,
        )  # fmt: skip
    yield Row(
        "the same split, every cell another tissue", best(lambda: problems.cure_run(steps=200, method="split", varied=True), 5),
        0.100, "none on these cells", note="conductance by cell, D times 0.5 to 1.5",
    )  # fmt: skip
    belly = drawing("belly")
    cure_section(belly, 0.025)
    yield Row("drawn belly 96 wide, salt, 14 d", best(lambda: cure_section(belly, 0.025)), 0.5, "none expresses it")
    yield from drawn_history()
    piece = Piece(1000.0, 50.0)
    yield Row("history of four stages, 512 members", best(lambda: run(piece, STAGES, members=512)), 2.0, "none expresses it")


def drawn_history() -> Iterator[Row]:
    """Six stages in the drawn belly; one solute of them beside FiPy, which cannot say the whole."""
    told = sections.belly_history()
    yield Row(
        "drawn belly 96 x 48, six stages, 5 substances", best(sections.belly_history, 3), 0.5, "none expresses it",
        note=f"accounts close to {max(told.closes, told.water_closes):.0e}", goal=True,
    )  # fmt: skip
    body = sections.belly()
    true, ours = sections.salt_alone(body, 1e-5), sections.salt_alone(body)
    took = best(lambda: sections.salt_alone(body), 3)
    missed = lambda found: f"{np.abs(found - true).max() / true.max():.1e} at the worst place"  # noqa: E731
    name = "its salt alone, 14 d beside 6 % brine"
    try:
        begin = time.perf_counter()
        found = sections.salt_by_fipy(body)
        slow = time.perf_counter() - begin
        mean = float(np.dot(found, body.water) / np.dot(true, body.water) - 1)
        note = f"error {missed(ours)}; peer in 100 steps: {missed(found)}, {mean:+.1e} in the mean, halved with the steps"
        yield Row(name, took, 0.05, "FiPy, same cells", slow, 20, note)
    except ImportError:
        yield Row(name, took, 0.05, note="no peer run: FiPy is not installed; .venv/bin/python -m pip install -r requirements/bench.lock")
