"""When a dose of nitrite can hurt: apart from any law."""

from __future__ import annotations

from ingle.ground.errors import Refused

# Signs have been suggested from 2 mg NaNO2 per kg body weight (J. Forensic Sci. 24(4):768, 1979, quoted from its abstract);
# 22 mg/kg can kill (Battelle 1972, quoted in a copy).
SIGNS_MG_PER_KG_BODY = 2.0
# The stop: 30 g for a child of 15 kg, or 140 g for an adult of 70 kg, then brings those 2 mg per kg body weight (derived).
STOP_MG_PER_KG = 1000.0
# From here a helping of 100 g brings a child of 15 kg to the 2 mg (derived): said, not stopped.
CHILD_MG_PER_KG = SIGNS_MG_PER_KG_BODY * 15 / 0.1
SOURCE = "jfs-1979-24-768"
CLAUSE = "J. Forensic Sci. 24(4):768 (1979): signs from 2 mg NaNO2 per kg body weight"


def require_not_toxic(nitrite_mg_per_kg: float, *, already_on: bool) -> None:
    """Stop a dose that can hurt, with the one act."""
    if nitrite_mg_per_kg < STOP_MG_PER_KG:
        return
    helping = round(SIGNS_MG_PER_KG_BODY * 70 / nitrite_mg_per_kg * 1000)
    child = round(SIGNS_MG_PER_KG_BODY * 15 / nitrite_mg_per_kg * 1000)
    act = (
        "Do not eat it: throw the meat and its liquid away, wrapped and out of reach. If some was eaten and lips or skin turn "
        "blue-grey or someone is short of breath, call the emergency number at once."
        if already_on
        else "Check the strength on the packet and the target: about 118 mg/kg is the usual dose."
    )
    raise Refused(
        f"{nitrite_mg_per_kg:.0f} mg sodium nitrite per kg of meat can harm: {helping} g of it would bring an adult of 70 kg, "
        f"{child} g a child of 15 kg, to 2 mg per kg body weight, where signs of poisoning have been seen.",
        field="nitrite",
        value=f"{nitrite_mg_per_kg:.0f} mg/kg",
        limit=f"{STOP_MG_PER_KG:.0f} mg/kg ({CLAUSE})",
        remedy=act,
    )
