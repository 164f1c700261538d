"""Will this rind crackle, when, and what stops it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from ingle.crafts import skin as balance
from ingle.crafts.skin.answer import Answer, Rind, answer
from ingle.crafts.skin.members import SALT_KEPT, Programme
from ingle.crafts.skin.things import RindSalt
from ingle.ground import units
from ingle.ground.things import Band

CAUTIONS = (
    "Hot fat burns at once: deep tray, dry hands, never water on burning fat, smother it with a lid.",
    "Steam and spitting fat come out of a hot oven first: stand aside when you open it.",
    "Scrape and score with the knife away from the holding hand, on a board that does not slide.",
    "Raw rind is raw pork: fridge at 4 C or below, its own board, hands washed after.",
)
NOT_CHECKED = ("whether the rind kept cold before it was dried", "germs: a crackling at 180 C is not the question here, a warm fridge is")


@dataclass(frozen=True)
class CrackleAnswer:
    """The answer to `crackle`."""

    rind: Rind
    programme: Programme
    answer: Answer
    floor_min: float | None  # soonest minute by heat alone, where the dried skin was weighed
    drying: tuple[str, str]  # level and act of the hours by practice
    salt_per_crackling: float
    assumed: tuple[str, ...]
    to_rub: RindSalt  # what is usual for such a rind
    cautions: tuple[str, ...] = CAUTIONS

    @property
    def level(self) -> str:
        """within | near | over | cannot_say"""
        return self.answer.level

    def as_dict(self) -> dict[str, Any]:
        """Keys and values for ``--json`` (schema: docs/schema/crackle.md)."""
        a, t = self.answer, self.answer.told
        return {
            "level": a.level, "chance": t.chance, "minutes": _band(t.puff_min), "why": a.why, "act": a.act,
            "chance_after_act": a.tried, "stopped_by": t.causes, "warnings": list(a.warnings),
            "weight_g": {"raw": t.raw_g, "after_fridge": _band(t.after_fridge_g), "weighed": t.weighed_g},
            "fridge": [{"h": h, "low_g": lo, "likely_g": mid, "high_g": hi} for h, lo, mid, hi in t.fridge_curve],
            "drying_by_practice": {"level": self.drying[0], "act": self.drying[1]},
            "water_into_oven_pct": _band(t.into_oven_pct), "water_end_pct": _band(t.water_end_pct),
            "curve": [
                {
                    "min": m, "water_pct": w[1], "water_pct_low": w[0], "water_pct_high": w[2],
                    "celsius": c[1], "celsius_low": c[0], "celsius_high": c[2], "puffed": p,
                }
                for m, w, c, p in zip(t.curve.minutes, t.curve.water_pct, t.curve.celsius, t.curve.puffed, strict=True)
            ],
            "crackling_g": _band(t.crackling_g), "fat_run_off": {"share": t.rendered, "sure": "gap"},
            "salt_to_rub": {"g": self.to_rub.salt_g, "soak_min": self.to_rub.soak_min, "act": self.to_rub.act, "sure": self.to_rub.sure},
            "salt_per_crackling": self.salt_per_crackling, "no_sooner_than_min": self.floor_min,
            "recrisp": None if t.recrisp_chance is None else {"minutes": _band(t.recrisp_min), "chance": t.recrisp_chance},
            "oven": [{"celsius": s.oven_c, "minutes": s.minutes} for s in self.programme.oven],
            "assumed": list(self.assumed), "not_modelled": list(a.not_modelled), "not_checked": list(NOT_CHECKED),
            "sure": a.sure, "doubt": a.doubt, "cautions": list(self.cautions),
        }  # fmt: skip


def crackle(rind: Rind, programme: Programme | None = None, **asked: Any) -> CrackleAnswer:
    """Forecast a rind through fridge and oven.

    Parameters
    ----------
    rind : Rind
        The skin, its layer of fat, the salt rubbed on, and what it weighed after drying.
    programme : Programme, optional
        Left out: made of ``asked`` (fields of `Programme`), with the usual two stages where ``oven`` is missing.
    """
    if programme is None:
        oven = tuple(asked.pop("oven", ()) or balance.oven_programme(rind.skin, asked.get("fan", False)))
        programme = Programme(oven=oven, **asked)
    found = answer(rind, programme)
    dried = balance.dry(
        rind.skin, dried_g=_skin_only(rind), hours=programme.fridge_h if not programme.covered else 0.0,
        salt_rubbed_g=rind.salt_rubbed_g, salt_kept=SALT_KEPT,
    )  # fmt: skip
    floor = None
    if dried.weighed and rind.fat_mm == 0.0:
        floor = balance.crackle(dried, programme.oven, 2 if programme.rack else 1).minutes_before_puff
    likely = found.told.crackling_g.likely
    return CrackleAnswer(
        rind, programme, found, floor, (dried.level, dried.act), dried.salt_g / likely, _assumed(rind, programme), balance.rind_salt(rind.skin)
    )


def _skin_only(rind: Rind) -> float | None:
    """The weighing, where the balance without a fat layer can use it."""
    if rind.dried_g is None or rind.fat_mm > 0.0:
        return None
    s = rind.skin
    dry = s.raw_g * (1.0 - s.water_per_skin) + SALT_KEPT * rind.salt_rubbed_g
    return min(max(rind.dried_g, dry), dry + s.raw_g * s.water_per_skin)


def _assumed(rind: Rind, programme: Programme) -> tuple[str, ...]:
    told = []
    if not rind.water_known:
        told.append("water of the raw skin 45 to 65 %")
    if not rind.thickness_known:
        told.append("thickness 2 to 4 mm")
    if rind.salt_rubbed_g:
        told.append(f"{units.show_fraction(SALT_KEPT, 0)} of the salt stays after brushing")
    if programme.fridge_h and programme.humidity is None and not programme.covered:
        told.append("fridge air 40 to 85 % humid")
    if not programme.fridge_h and rind.dried_g is None:
        told.append("not dried at all")
    if programme.offset_sd_c is None:
        told.append("oven within 15 K of its dial in two of three, warmed up before")
    return tuple(told)


def _band(b: Band | None) -> dict[str, float] | None:
    return None if b is None else {"low": b.low, "likely": b.likely, "high": b.high}
