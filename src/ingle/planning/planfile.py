"""A plan as JSON and back: ``plan.json`` in the plan's folder.

Encoding, decoding and the schema are msgspec's. Times are ISO 8601 with offset. Attended stretches and tending visits
are written as objects, so that a reader need not count places.
"""

from __future__ import annotations

import json
import math
import os
import tempfile
from dataclasses import replace
from pathlib import Path
from typing import Any

import msgspec

from ingle.ground.errors import BadBrief
from ingle.planning.plan import Plan

FORMAT = 1
FILE = "plan.json"
_STRETCH = ("from", "to", "cook")
_TEND = ("from", "to", "cook", "name")


def as_dict(plan: Plan) -> dict[str, Any]:
    """Plain keys and values, ready for JSON."""
    told = msgspec.to_builtins(plan)
    for step in told["steps"]:
        step["attended"] = [dict(zip(_STRETCH, a, strict=True)) for a in step["attended"]]
        step["tends"] = [dict(zip(_TEND, t, strict=True)) for t in step["tends"]]
    return {"format": FORMAT, **_finite(told)}


def _finite(value: Any) -> Any:
    """JSON knows no infinity: what never comes is null."""
    if isinstance(value, float) and not math.isfinite(value):
        return None
    if isinstance(value, dict):
        return {k: _finite(v) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [_finite(v) for v in value]
    return value


def from_dict(told: dict[str, Any]) -> Plan:
    """A plan from its plain form."""
    if told.get("format") != FORMAT:
        raise BadBrief(
            f"the plan's format is {told.get('format')!r}.",
            field="format",
            value=told.get("format"),
            limit=FORMAT,
            remedy="Make the plan again with this version: ingle plan BRIEF.toml.",
        )
    plain = {k: v for k, v in told.items() if k != "format"}
    plain["steps"] = [
        step
        | {
            "attended": [[a[k] for k in _STRETCH] for a in step["attended"]],
            "tends": [[t[k] for k in _TEND] for t in step["tends"]],
        }
        for step in plain["steps"]
    ]
    return msgspec.convert(plain, Plan)


def schema() -> dict[str, Any]:
    """JSON schema of the file, from the plan's things themselves."""
    told = msgspec.json.schema(Plan)
    plan, step = told["$defs"]["Plan"], told["$defs"]["PlanStep"]
    time = {"type": "string", "format": "date-time"}
    for key, names in (("attended", _STRETCH), ("tends", _TEND)):
        fields = {name: time if name in ("from", "to") else {"type": "string"} for name in names}
        step["properties"][key] = {
            "type": "array",
            "items": {"type": "object", "properties": fields, "required": list(names)},
        }
    plan["properties"]["format"] = {"const": FORMAT}
    plan["required"] = ["format", *plan.get("required", [])]
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **told}


def read(folder: Path) -> Plan:
    """The plan in a folder NAME.plan, or in a plan.json."""
    path = folder / FILE if folder.is_dir() else folder
    if not path.is_file():
        raise BadBrief(
            f"{folder} holds no plan.",
            field="plan",
            value=folder,
            limit="a folder NAME.plan",
            remedy="Make one: ingle plan BRIEF.toml.",
        )
    try:
        return from_dict(json.loads(path.read_text(encoding="utf-8")))
    except (
        json.JSONDecodeError,
        UnicodeDecodeError,
        msgspec.ValidationError,
        KeyError,
        TypeError,
        AttributeError,
    ) as why:
        raise BadBrief(
            f"{path} is not a plan of ingle: {why}.",
            field="plan",
            value=path.name,
            limit="a plan.json written by ingle plan",
            remedy="Make the plan again: ingle plan BRIEF.toml.",
        ) from None


def follows(plan: Plan, folder: Path) -> Plan:
    """The plan with its number one above the one that lies in the folder, and the steps that fell away named."""
    if not (folder / FILE).is_file():
        return plan
    before = read(folder)
    now = {s.id for s in plan.steps}
    gone = tuple(dict.fromkeys((*before.dropped, *(s.id for s in before.steps))))
    return replace(plan, number=before.number + 1, dropped=tuple(i for i in gone if i not in now))


def write_file(path: Path, content: bytes) -> None:
    """Write whole or not at all: to a neighbour, synced, then renamed."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        try:
            with os.fdopen(handle, "wb") as out:
                out.write(content)
                out.flush()
                os.fsync(out.fileno())
            Path(name).chmod(0o644)
            Path(name).replace(path)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
    except OSError as why:
        raise BadBrief(
            f"{path} cannot be written: {why.strerror}. Nothing was changed.",
            field="out",
            value=path,
            remedy="Name another folder: --out FOLDER.",
        ) from None


def write(plan: Plan, folder: Path) -> Path:
    """Write plan.json into its folder."""
    path = folder / FILE
    write_file(path, (json.dumps(as_dict(plan), indent=1, ensure_ascii=False) + "\n").encode())
    return path
