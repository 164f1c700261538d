"""The demonstration's own past and dates: invented, labelled so, and written by the same jobs as any kitchen's."""

from __future__ import annotations

import re
import tomllib
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from ingle.ground.tables import toml_table
from ingle.ground.things import Piece
from ingle.jobs import kitchen as kitchens
from ingle.jobs import record
from ingle.jobs.house import settle
from ingle.notebook.rows import new_uid
from ingle.notebook.store import Notebook

AHEAD = timedelta(days=22)  # the shipped brief has as long from its plan's clock to its meal
NOTE = "Invented for the demonstration: nobody weighed this."


def brief_for(text: str, now: datetime) -> str:
    """The shipped brief with its meal on the first Saturday that leaves it the same room, planned from the last full hour.

    The file itself never reads the day; a page that is opened on any day must have its next step ahead.
    """
    said = tomllib.loads(text)["meal"]
    home = now.astimezone(ZoneInfo(said["zone"]))
    start = home.replace(minute=0, second=0, microsecond=0, tzinfo=None)
    day = (start + AHEAD).date()
    meal = datetime.combine(day + timedelta(days=(said["at"].weekday() - day.weekday()) % 7), said["at"].time())
    text = re.sub(r"(?m)^at = \S+", f"at = {meal.isoformat()}", text, count=1)
    return re.sub(r"(?m)^plan_from = \S+", f"plan_from = {start.isoformat()}", text, count=1)


def early_history(notebook: Notebook, now: datetime) -> None:
    """A kitchen with two collars of two months ago, so that there is something to compare and to do again."""
    kitchens.begin(notebook, "Fernhollow", zone="Europe/London", rules=("gb",), prefix="FH", uid=new_uid("demonstration"))
    settle(notebook, kit="home", scale="0.1g")
    past = toml_table("examples", "fernhollow", "past.toml")
    for n, row in enumerate(past["batch"]):
        grams, last, at = row["green_g"], row["last_g"], now - timedelta(days=row["days"])
        key = lambda *of, n=n: new_uid("demonstration", n, *of)  # noqa: E731
        lot = kitchens.receive(notebook, past["item"], uid=key("lot"), supplier=past["supplier"], received_on=at.date(), amount_g=grams, at=at, who="A", note=NOTE)
        piece = kitchens.cut(notebook, Piece(grams, past["thickness_mm"], name=past["name"]), lot=lot.code, uid=key("piece"), at=at, who="A", note=NOTE)
        batch = kitchens.lay_in(
            notebook, past["name"], part=past["part"], craft=past["craft"], takes=(piece.code,), uid=key("batch"), at=at, who="A", note=NOTE
        )
        dose = {"salt": row["salt_g"], past["curing_salt"]: row["curing_g"]}
        record.dose(notebook, piece.code, dose, uid=key("dose"), at=at + timedelta(minutes=20), who="A")
        for later, weight, warm in ((7, (grams + last) / 2, 3.8), (16, last, 4.1)):
            seen = at + timedelta(days=later)
            record.reading(notebook, piece.code, weight_g=weight, temperature_c=warm, uid=key("read", later), at=seen, who="B")
        record.reading(notebook, batch.code, taste=row["taste"], uid=key("taste"), at=at + timedelta(days=24), who="A")
        kitchens.pack(
            notebook, (batch.code,), count=past["packs"], net_weight_g=round(last * 0.9 / past["packs"]), name=past["packed"], uid=key("pack"),
            at=at + timedelta(days=23), who="B", note=NOTE, storage=past["storage"],
        )  # fmt: skip
        kitchens.end(notebook, batch.code, "done", uid=key("end"), at=at + timedelta(days=24), who="A")
