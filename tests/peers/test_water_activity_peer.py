"""The water activity of salt against PHREEQC with its Pitzer database (phreeqpython).

Another code and another fit (Appelo, Applied Geochemistry 55, 2015). 0.001 on aw is a third of what a good
instrument tells and a tenth of the spread the house gives; the two fits differ most, by 0.0008, near saturation
at 0 C where there are few measurements.
"""

from __future__ import annotations

import numpy as np
from phreeqpython import PhreeqPython
from pytest import approx

from ingle.crafts.cure import laws
from ingle.physics import water_activity as aw

CELSIUS = (0.0, 5.0, 12.0, 20.0, 25.0, 40.0)
MOLALITY = (0.1, 0.5, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0)


def asked(solutions, extra=""):
    """Rows of temperature [C], sodium [mol/kg], water activity, osmotic coefficient."""
    text = "SELECTED_OUTPUT\n-reset false\nUSER_PUNCH\n-headings t m aw phi\n"
    text += '10 PUNCH TC, TOT("Na"), ACT("H2O"), OSMOTIC\n'
    for number, (celsius, molality) in enumerate(solutions, start=1):
        text += f"SOLUTION {number}\n units mol/kgw\n temp {celsius}\n pH 7\n Na {molality}\n Cl {molality} charge\n"
        text += extra.format(number=number)
    engine = PhreeqPython(database="pitzer.dat").ip
    engine.run_string(text + "END\n")
    return np.array(engine.get_selected_output_array()[1:], dtype=float)


def test_solutions_from_0_to_40_c():
    grid = [(t, m) for t in CELSIUS for m in MOLALITY]
    rows = asked(grid)
    assert len(rows) == len(grid)
    law = laws.salt_activity()
    T, m = rows[:, 0] + 273.15, rows[:, 1]
    assert aw.of_salt(m * law.molar_mass, T, law) == approx(rows[:, 2], abs=0.001)
    assert aw.osmotic_coefficient(m, T, law) == approx(rows[:, 3], abs=0.005)


def test_saturation():
    """0.2 g per 100 g water is 0.035 mol/kg, the spread of the solubility tables; 0.0025 on aw goes with it."""
    rows = asked([(t, 4.0) for t in CELSIUS], "EQUILIBRIUM_PHASES {number}\n Halite 0 10\nEND\n")
    rows = rows[rows[:, 1] > 4.5]  # the engine tells each solution before and after its crystals
    assert len(rows) == len(CELSIUS)
    law = laws.salt_activity()
    T = rows[:, 0] + 273.15
    full = aw.saturated(T, law)
    assert full / law.molar_mass == approx(rows[:, 1], abs=0.035)
    assert aw.of_salt(full, T, law) == approx(rows[:, 2], abs=0.0025)
