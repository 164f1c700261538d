"""Salt in a drawn cross-section: what must hold of any, and the slab it becomes when it is drawn as one."""

import json

import numpy as np
import pytest

from ingle.crafts.cure import section_file, section_map
from ingle.faces.cli.main import main
from ingle.ground.errors import IngleError
from ingle.jobs.section import cure_section, drawing
from ingle.physics import series

LEAN_SLAB = {
    "section": {
        "name": "lean slab", "shape": "layers", "width": "40mm", "goes_on": ["left", "right"],
        "layers": [{"tissue": "lean", "thick": "40mm"}],
    }
}  # fmt: skip


def test_a_lean_slab_drawn_as_a_section_meets_the_exact_series():
    """Layers that go on left and right are a slab: core and mean within 1 % of the series (40 mm, 4 % brine, excess)."""
    dose, d = 0.025, 3e-10
    told = cure_section(section_file.section_of(LEAN_SLAB), dose, days=(3.0, 8.0), diffusivity=d, across=48, tol=1e-4)
    water = section_map.tissues()["lean"].water
    for i, days in enumerate(told.days):
        fourier = d * days * 86400 / 0.020**2
        alpha = 0.04 / water
        reach = dose / water / 0.358 - alpha
        mean, core, _ = series.excess("slab", fourier, alpha, reach)
        held = lambda c: 100 * c * 0.358 * water / (1 + c * 0.358 * water)  # noqa: E731
        assert told.core[i] == pytest.approx(held(float(core)), rel=0.03)
        assert told.lean[i] == pytest.approx(held(float(mean)), rel=0.03)


@pytest.mark.parametrize("name", section_file.shipped_sections())
def test_shipped_drawings_keep_their_salt_and_order(name):
    told = cure_section(drawing(name), 0.025, days=(1.0, 7.0, 28.0), across=48)
    assert told.gap < 1e-9
    assert list(told.core) == sorted(told.core)
    assert told.core[-1] < told.lean[-1]
    if np.isfinite(told.fat[-1]):
        assert told.fat[-1] < 0.5 * told.lean[-1]  # McBryde 1911: fat beside lean holds less than half its salt
    for field in told.salt:
        inside = field[np.isfinite(field)]
        assert inside.min() >= -1e-9
        assert inside.max() < 100 * 0.358 / 1.358 + 1


def test_warmer_is_never_slower_and_rind_shuts():
    belly = drawing("belly")
    cold, warm = (cure_section(belly, 0.025, temperature_c=t, days=(7.0,), across=48).core[0] for t in (2.0, 8.0))
    assert warm > cold
    bare = json.loads(json.dumps({"section": {"name": "b", "shape": "layers", "width": "60mm", "layers": [
        {"tissue": "lean", "thick": "30mm"}]}}))  # fmt: skip
    rind = json.loads(json.dumps({"section": {"name": "b", "shape": "layers", "width": "60mm", "layers": [
        {"tissue": "lean", "thick": "30mm"}, {"tissue": "rind", "thick": "3mm"}]}}))  # fmt: skip
    open_, shut = (cure_section(section_file.section_of(s), 0.025, days=(7.0,), across=48).core[0] for s in (bare, rind))
    assert shut < open_


@pytest.mark.parametrize(
    "call",
    [
        lambda: drawing("nose"),
        lambda: cure_section(drawing("loin"), 0.025, days=()),
        lambda: cure_section(drawing("loin"), 0.025, days=(3.0, 1.0)),
        lambda: cure_section(drawing("loin"), 0.9),
        lambda: cure_section(drawing("loin"), 0.025, temperature_c=-8),
    ],
)
def test_refusals(call):
    with pytest.raises(IngleError) as caught:
        call()
    assert caught.value.field
    assert caught.value.remedy


def test_the_command_draws_and_tells(tmp_path, capsys):
    words = ["cure", "--section", "collar", "--weight", "2kg", "--add", "salt=50g", "--days", "7"]
    assert main([*words, "--chart", str(tmp_path / "c.svg")]) == 0
    out = capsys.readouterr().out
    assert "Least salt in the lean" in out
    assert all(len(line) <= 80 for line in out.splitlines() if not line.startswith("drawn:"))
    assert (tmp_path / "c.svg").read_text().startswith("<svg")
    assert main([*words, "--json"]) == 0
    assert len(json.loads(capsys.readouterr().out)["frames"]) == 4
