"""Skin: from freed rind to crackling.

`balance` counts weights and heat and gives floors; `forecast` marches heat and moisture of an ensemble through fridge and oven.
"""

from ingle.crafts.skin.balance import crackle, dry, oven_programme, rind_salt
from ingle.crafts.skin.things import (
    FAT_NOT_MODELLED,
    HOURS_NOT_MODELLED,
    MOST_G,
    SALT_NOT_MODELLED,
    Crackling,
    DriedSkin,
    RindSalt,
    Skin,
    Stage,
)

__all__ = [
    "FAT_NOT_MODELLED", "HOURS_NOT_MODELLED", "MOST_G", "SALT_NOT_MODELLED", "Crackling", "DriedSkin", "RindSalt", "Skin",
    "Stage", "crackle", "dry", "oven_programme", "rind_salt",
]  # fmt: skip
