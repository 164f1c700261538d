"""What lying longer does to a cure, in words."""

from __future__ import annotations

from ingle.crafts.cure.late import Late
from ingle.crafts.cure.rescue import capital, soak_words
from ingle.faces.cli.lines import put
from ingle.ground import units
from ingle.ground.things import Band


def harden_line(hardening: float) -> None:
    """Said where the chance that the air shuts the face is more than even."""
    if hardening > 0.5:
        put("The air is much drier than the face: it can harden and shut the water in. Moister air, 5 to 10 points under the face.")


def late_lines(late: Late | None, excess: bool, wished_salt: float, left: float | None = None) -> None:
    """What a day too long costs an excess cure and what brings it back; that any other takes no harm by salt."""
    if not excess:
        end = "" if left is None else f": in the end it holds {left:.1f} g per 100 g everywhere, and no more"
        put(f"Longer does it no harm by salt{end}. How long it keeps is another matter.")
        return
    if late is None:
        return
    since = f"A day longer than {units.show_hours(late.pull_h)}"
    if late.per_day.high < 0.05:
        put(f"{since} adds next to nothing: nearly all its salt is in by then.")
    else:
        put(f"{since} adds {_band(late.per_day)} g per 100 g to the whole piece.")
    out = units.show_hours(late.out_h)
    put(f"Pulled at {out}: whole {_band(late.whole)} g per 100 g, core {_band(late.core)}.")
    if late.soaks.whole is not None and late.soaks.whole.likely <= 0:
        put(f"That is not above {units.show_fraction(wished_salt)} salt, more likely than not: no soak is needed.")
        return
    back = capital(soak_words(late.soaks))
    put(f"To come back to {units.show_fraction(wished_salt)}: rinse it. {back}; fry a slice to taste.")


def _band(band: Band) -> str:
    return f"{band.likely:.1f} ({band.low:.1f} to {band.high:.1f})"
