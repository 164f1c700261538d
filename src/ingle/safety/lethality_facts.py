"""What is known beside the temperatures of a cook, and what each rule leaves unchecked."""

from __future__ import annotations

from dataclasses import dataclass

from ingle.ground.errors import BadBrief, OutOfRange
from ingle.safety.lethality_rules import Rule, words
from ingle.safety.thermal_record import ThermalRecord


@dataclass(frozen=True)
class Facts:
    """What no thermometer shows. None = not told: it is listed as not checked.

    ``moist`` is a key of ``lethality_words.toml`` [moist]; ``surface_aw`` the water activity of the surface before
    the cook; ``heat_ends_s`` when the piece left the heat [s].
    """

    moist: str | None = None
    dried_before: bool | None = None
    surface_aw: float | None = None
    cured: bool = False
    intact: bool | None = None
    heat_ends_s: float | None = None

    def __post_init__(self) -> None:
        known = words("moist")
        if self.moist is not None and self.moist not in known:
            raise BadBrief(
                f"moist {self.moist!r} is not known. There are: {', '.join(known)}.", field="moist", value=self.moist,
                limit=", ".join(known), remedy="Say how the surface was kept moist, or leave it out.",
            )  # fmt: skip
        if self.surface_aw is not None and not 0 < self.surface_aw <= 1:
            raise OutOfRange(
                f"surface_aw is {self.surface_aw:g}; a water activity lies above 0 and is at most 1.", field="surface_aw",
                value=self.surface_aw, limit="0 to 1", remedy="Write it like 0.97.",
            )  # fmt: skip

    @property
    def dried(self) -> bool | None:
        """Surface dry enough to protect germs; None when it cannot be told."""
        if self.surface_aw is not None:
            return self.surface_aw < words("dried")["limit"]["min"]
        return self.dried_before


def covered(rule: Rule, facts: Facts, level: str, why: str) -> tuple[str, str]:
    """A surface dried before is covered only by a moist cook of the right kind."""
    if not (rule.moisture and facts.dried):
        return level, why
    if facts.moist is not None and words("moist", facts.moist)["dried"]:
        return level, why
    return "cannot_say", "the surface was dried before (aw under 0.96): this table gives no credit there unless the cook is moist"


def not_checked(rule: Rule, facts: Facts, error: float, record: ThermalRecord) -> list[str]:
    """What a verdict on heat did not look at, in words."""
    found = list(record.notes)
    found.append("whether the readings are of the slowest point")
    if not error:
        found.append("the error of the thermometer: none was given")
    if rule.moisture:
        moist = words("moist", facts.moist)["ask"] if facts.moist else "how the surface was kept moist: humidity decides for this table"
        found.append(moist)
        if facts.dried is None:
            found.append("whether the surface was dried before the cook (aw under 0.96)")
    if rule.rest and facts.intact is None:
        found.append("whether the piece is whole: not needled, rolled, pumped or minced")
    if rule.organism == "Salmonella":
        found.append("Listeria, which bears more heat in ham, beef and turkey")
    found.append("spores, and toxins formed before the cook")
    return found
