"""The brief: what to serve, to how many, when, with which kit.

`read_brief` reads the cook's TOML file; `brief_from` takes the same tables from a form. Times in the file
are the clock on the kitchen's wall; in the brief they are aware.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from ingle.ground.errors import OutOfRange
from ingle.planning import fields, values
from ingle.planning.brief_piece import PIECE_KEYS, piece_of, volume_cm3
from ingle.planning.brief_things import LIQUIDS, RULES, USES, Begun, Brief, Served, ServedPiece
from ingle.planning.fields import Fields
from ingle.planning.problem_check import WISHES

_LONGEST_PLAN_D = 366


def read_brief(path: Path, now: datetime | None = None) -> Brief:
    """Read a brief; relative paths in it start at its own folder.

    Parameters
    ----------
    now : datetime, optional
        Stands in for ``plan_from`` where the file has none.

    Raises
    ------
    BadBrief, OutOfRange
        With the place in the file, the value, the limit and a remedy.
    """
    given = values.read_file(path, "brief")
    with values.in_file(path.name):
        return brief_from(given, path.resolve().parent, file=path.name, now=now)


def brief_from(
    given: Mapping[str, Any], folder: Path, *, file: str = "", now: datetime | None = None
) -> Brief:
    """A brief from the tables of its file or form."""
    top = fields.fields(given, "", ("meal", "serve", "use", "wish", "night"))
    meal = top.table(
        "meal",
        ("name", "at", "zone", "plates", "plan_from", "rules", "use", "ready_chance"),
        example="[meal]",
    )
    zone = values.zone(meal.raw("zone", fields.NEEDED, '"Europe/London"'), meal.at("zone"))
    at = meal.when("at", zone)
    plan_from = meal.when("plan_from", zone, fields.NEEDED if now is None else now)
    _in_order(meal, plan_from, at)
    use = top.table("use", ("kit", "parts"), fields.Fields("use", {}))
    return Brief(
        name=meal.text("name", longest=120),
        at=at,
        zone=zone,
        plates=meal.whole("plates", low=1, high=100_000, unit="plates"),
        plan_from=plan_from.astimezone(zone),
        serve=_serve(top, zone, plan_from),
        rules=tuple(
            dict.fromkeys(meal.words("rules", known=RULES, what="a country whose rules are known here"))
        ),
        use=meal.choice("use", USES, "table"),
        ready_chance=meal.number("ready_chance", 0.95, low=0.5, high=0.999),
        kit_path=_path(use, "kit", folder),
        parts_dirs=_folders(use, folder),
        wishes=_wishes(top),
        night=_night(top),
        file=file,
    )


def _in_order(meal: Fields, plan_from: datetime, at: datetime) -> None:
    if plan_from >= at:
        values.refuse(
            meal.at("plan_from"),
            f"{plan_from:%d %b %Y %H:%M} is not before the meal at {at:%d %b %Y %H:%M}.",
            value=plan_from.isoformat(),
            limit=at.isoformat(),
            remedy="Plan from an earlier hour, or set a later meal.",
            kind=OutOfRange,
        )
    if at - plan_from > timedelta(days=_LONGEST_PLAN_D):
        values.refuse(
            meal.at("plan_from"),
            f"lies {(at - plan_from).days} d before the meal.",
            value=plan_from.isoformat(),
            limit=f"{_LONGEST_PLAN_D} d",
            remedy="Plan from a day nearer to the meal.",
            kind=OutOfRange,
        )


def _serve(top: Fields, zone: ZoneInfo, plan_from: datetime) -> tuple[Served, ...]:
    given = top.tables(
        "serve",
        ("part", "grams_per_plate", "pieces"),
        least=1,
        example="[[serve]] with part and grams_per_plate",
    )
    served = tuple(
        Served(
            f.key("part"),
            f.mass_g("grams_per_plate", high=5000.0),
            tuple(piece_of(p, zone, plan_from) for p in f.tables("pieces", PIECE_KEYS)),
        )
        for f in given
    )
    for part, count in Counter(s.part for s in served).items():
        if count > 1:
            values.refuse(
                "serve",
                f"the part {part!r} is served {count} times.",
                value=part,
                limit="once",
                remedy="Put its pieces and grams into one [[serve]].",
            )
    return served


def _path(use: Fields, key: str, folder: Path) -> Path | None:
    said = use.text(key, None, example='"kitchen.toml"')
    return None if said is None else folder / said


def _folders(use: Fields, folder: Path) -> tuple[Path, ...]:
    found = []
    for i, said in enumerate(use.words("parts")):
        path = folder / said
        if not path.is_dir():
            values.refuse(
                f"{use.at('parts')}[{i}]",
                f"{said!r} is not a folder beside the brief.",
                value=said,
                limit="a folder of part files",
                remedy="Make the folder, or take it out of parts.",
            )
        found.append(path)
    return tuple(found)


def _wishes(top: Fields) -> tuple[str, ...]:
    """Ranked wishes at their rank, the others around them in their usual order."""
    given = top.tables("wish", ("kind", "rank"))
    ranks: dict[int, str] = {}
    for f in given:
        kind, rank = f.choice("kind", WISHES), f.whole("rank", low=1, high=len(WISHES))
        if rank in ranks or kind in ranks.values():
            values.refuse(
                f.path,
                f"the wish {kind!r} or the rank {rank} is given twice.",
                value=f"{kind} {rank}",
                limit="once each",
                remedy="Give every wish one rank of its own.",
            )
        ranks[rank] = kind
    rest = iter(k for k in WISHES if k not in ranks.values())
    return tuple(ranks.get(r) or next(rest) for r in range(1, len(WISHES) + 1))


def _night(top: Fields) -> tuple[int, int]:
    night = top.table("night", ("from", "to"), None)
    if night is None:
        return 22 * 60, 6 * 60
    begin, end = night.clock("from"), night.clock("to")
    length = (end - begin) % (24 * 60)
    if not 60 <= length <= 16 * 60:
        values.refuse(
            "night",
            f"from {night.given['from']} to {night.given['to']} is a night of {length / 60:g} h.",
            value=f"{night.given['from']} to {night.given['to']}",
            limit="1 h to 16 h",
            remedy='Write when the kitchen goes to bed and gets up: from = "22:00", to = "06:00".',
            kind=OutOfRange,
        )
    return begin, end


__all__ = [
    "LIQUIDS", "RULES", "USES", "Begun", "Brief", "Served", "ServedPiece", "brief_from", "read_brief", "volume_cm3",
]  # fmt: skip
