"""Work that takes long (a plan), and where every number comes from."""

from __future__ import annotations

import tempfile
import tomllib
from dataclasses import asdict, replace
from pathlib import Path
from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from pydantic import Field
from starlette.responses import JSONResponse

from ingle.faces.web.api.answers import answered
from ingle.faces.web.api.asking import Body
from ingle.faces.web.page import state
from ingle.faces.web.pages.house import kit_path
from ingle.faces.web.runs import Run
from ingle.ground import units
from ingle.ground.errors import BadBrief
from ingle.jobs.sources import records
from ingle.notebook.trouble import NotFound
from ingle.planning import planfile
from ingle.planning.brief import Brief, read_brief
from ingle.planning.kit import Kit, read_kit
from ingle.planning.part_file import load_parts

router = APIRouter(tags=["plan and sources"])
OWNER = "api"  # runs are known by a name nobody can guess, not by a cookie
_KIT = "kitchen.toml"


class PlanAsked(Body):
    """A brief as it stands in its file, and where it names a kit of its own that file too."""

    brief: Annotated[str, Field(max_length=200_000, description="TOML, see docs/files.md.")]
    kit: Annotated[str, Field(max_length=200_000)] | None = Field(None, description="TOML of kitchen.toml. Left out: the kit of the house.")
    longest: Annotated[str, Field(max_length=40)] = Field("15s", description="Longest time for the schedule, at most 10min.")


@router.post("/plan", status_code=202, responses=answered("run", 202), operation_id="plan")
def begin_plan(request: Request, asked: PlanAsked) -> JSONResponse:
    """Begin a plan. Look in under its address; it can be stopped and then keeps the best so far."""
    _, shelf, session = state(request)
    limit_s = units.seconds(units.duration_h(asked.longest, "longest", high=1 / 6))
    brief, kit = _brief(asked, kit_path(request, shelf.house(session)))
    if limit_s < 0.5:
        raise BadBrief(f"longest {asked.longest!r} is too short to look for a plan.", field="longest", value=asked.longest, limit="0.5s or more", remedy="Write 15s.")
    parts = load_parts()

    def work(run: Run) -> Any:
        from ingle.jobs.plan import plan_of  # the solver takes a second to load: not when the page starts

        return planfile.as_dict(plan_of(brief, parts, kit, limit_s=limit_s, progress=run.tell, stop=run.stop.is_set))

    run = shelf.runs.start(f"plan {brief.name}", OWNER, work)
    return JSONResponse(_told(run), 202, headers={"location": f"/api/plan/{run.id}"})


def _brief(asked: PlanAsked, house_kit: str) -> tuple[Brief, Kit]:
    """The brief and kit of these texts alone: they name no file of this machine."""
    try:
        use = tomllib.loads(asked.brief).get("use", {})
    except tomllib.TOMLDecodeError:
        use = {}  # the reader says where
    named = use.get("kit") if isinstance(use, dict) else None
    if isinstance(use, dict) and "parts" in use:
        raise BadBrief("use.parts names folders of another machine.", field="use.parts", value=str(use["parts"])[:80], limit="left out", remedy="Leave it out.")
    if named is not None and (named != _KIT or asked.kit is None):
        raise BadBrief(
            f"use.kit is {str(named)[:80]!r}: only the kit that came along can be named.", field="use.kit", value=str(named)[:80], limit=_KIT,
            remedy="Send it as kit, or leave use.kit out.",
        )  # fmt: skip
    with tempfile.TemporaryDirectory(prefix="ingle") as folder:
        path = Path(folder) / "brief.toml"
        path.write_text(asked.brief, encoding="utf-8")
        if asked.kit is not None:
            (path.parent / _KIT).write_text(asked.kit, encoding="utf-8")
        brief = replace(read_brief(path), kit_path=None)
        return brief, read_kit(Path(house_kit) if asked.kit is None else path.parent / _KIT)


def _told(run: Run) -> dict[str, Any]:
    state_of = "going" if not run.over else "done" if run.error is None else "failed"
    return {
        "id": run.id, "state": state_of, "line": run.line, "done": run.done, "total": run.total, "seconds": round(run.seconds, 2),
        "plan": run.answer if run.over else None, "error": None if run.error is None else run.error.as_dict(),
    }  # fmt: skip


def _run(request: Request, key: str) -> Run:
    _, shelf, _ = state(request)
    run = shelf.runs.get(key, OWNER)
    if run is None:
        raise NotFound("There is no such work here, or its answer was let go.", field="id", value=key[:80], remedy="Begin it again: POST /api/plan.")
    return run


@router.get("/plan/{id}", responses=answered("run"), operation_id="plan_state")
def plan_state(request: Request, id: str) -> JSONResponse:
    """How far it is; the plan when it is done."""
    return JSONResponse(_told(_run(request, id)))


@router.delete("/plan/{id}", responses=answered("run"), operation_id="plan_stop")
def plan_stop(request: Request, id: str) -> JSONResponse:
    """Ask it to stop."""
    run = _run(request, id)
    run.stop.set()
    return JSONResponse(_told(run))


@router.get("/sources", responses=answered("sources"), operation_id="sources")
def sources(find: Annotated[str, Query(max_length=200, description="Words that narrow the list.")] = "") -> JSONResponse:
    """Where every limit and coefficient comes from, and how sure it is."""
    return JSONResponse({"records": [asdict(r) for r in records(find)]})
