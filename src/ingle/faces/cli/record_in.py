"""``ingle record kitchen | plan | lot | piece | batch | into``."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from ingle.faces.cli.book import answer, date_of, kitchen_option, opened, said_options, time_of
from ingle.faces.cli.lines import put, put_json
from ingle.faces.cli.options import pieces_of
from ingle.ground import units
from ingle.ground.errors import BadBrief
from ingle.ground.things import FATS, SHAPES, SKINS
from ingle.jobs import kitchen as jobs
from ingle.jobs.take_plan import take_plan
from ingle.planning.brief import RULES


@click.command("kitchen")
@click.argument("name")
@click.option("--zone", required=True, metavar="ZONE", help="Time zone, like Europe/London.")
@click.option("--rules", default="", metavar="COUNTRIES", help="us, eu, gb, ca, anz, codex. Left out: the strictest.")
@click.option("--prefix", metavar="LETTERS", help="First letters of every code, like FH. Left out: from the name.")
@click.option("--use", type=click.Choice(["table", "sale"]), default="table", show_default=True, help="Own table, or sold.")
@said_options
def kitchen(**given: Any) -> int:
    """Begin a kitchen in this notebook; the file is made where there is none.

    \b
    Example:  ingle record kitchen Fernhollow --zone Europe/London \\
                --rules gb --prefix FH
    """
    named = tuple(r.strip().lower() for r in given["rules"].split(",") if r.strip())
    if unknown := [r for r in named if r not in RULES]:
        raise BadBrief(f"rules {', '.join(unknown)}: not known.", field="rules", value=unknown[0], limit=", ".join(RULES))
    with opened(given, create=True) as book:
        row = jobs.begin(book, given["name"], zone=given["zone"], rules=named, prefix=given["prefix"], use=given["use"], uid=given["uid"])
    rules = ", ".join(named) if named else "no country named: the strictest rule"
    return answer(given, row, f"{row.name}: codes begin with {row.prefix}, times are those of {row.zone}, {rules}")


@click.command("plan")
@click.argument("folder", type=click.Path(path_type=Path))
@kitchen_option
@said_options
def plan(**given: Any) -> int:
    """Take a plan in: its batches, pieces, steps and verdicts.

    A newer number of the same plan moves the steps that are not begun; what
    was begun or done stays as it was.

    \b
    Example:  ingle record plan fernhollow.plan
    """
    with opened(given, create=True) as book:
        taken = take_plan(book, given["folder"], kitchen=given["kitchen"], who=given["who"])
    if given["as_json"]:
        put_json(
            {
                "plan": taken.plan.name, "number": taken.plan.number, "batches": [{"code": b.code, "name": b.name} for b in taken.batches],
                "new": list(taken.new), "moved": list(taken.moved), "dropped": list(taken.dropped), "kept": list(taken.kept),
            }
        )  # fmt: skip
        return 0
    if given["plain"]:
        return answer(given, list(taken.batches), "")
    put(f"{taken.plan.name}, plan {taken.plan.number}:")
    for b in taken.batches:
        put(f"{b.code}  {b.name}", 1, 15)
    for words, keys in (("new", taken.new), ("moved", taken.moved), ("dropped", taken.dropped), ("kept, begun or done", taken.kept)):
        if keys:
            put(f"{len(keys)} steps {words}", 1, 3)
    put("Next: ingle today")
    return 0


@click.command("lot")
@click.argument("item")
@click.option("--supplier", default="", help="Who it came from.")
@click.option("--supplier-code", default="", help="The supplier's own lot code.")
@click.option("--amount", metavar="MASS", help="How much came, like 5kg.")
@click.option("--received", metavar="DATE", help="Left out: today.")
@click.option("--use-by", metavar="DATE", help="Use-by date on the pack.")
@click.option("--best-before", metavar="DATE", help="Best-before date on the pack.")
@click.option("--allergens", default="", metavar="LIST", help="Comma between, like milk,gluten.")
@click.option("--note", default="")
@kitchen_option
@said_options
def lot(**given: Any) -> int:
    """Something comes in.

    \b
    Example:  ingle record lot "pork collar" --supplier "Hill farm" \\
                --amount 5kg --use-by 2026-12-10
    """
    with opened(given) as book:
        zone = jobs.kitchen(book, given["kitchen"]).zone
        row = jobs.receive(
            book, given["item"], kitchen=given["kitchen"], uid=given["uid"], supplier=given["supplier"], supplier_code=given["supplier_code"],
            amount_g=None if given["amount"] is None else units.mass_g(given["amount"], "amount", high=1e8),
            received_on=date_of(given["received"], "received"), use_by=date_of(given["use_by"], "use-by"),
            best_before=date_of(given["best_before"], "best-before"), at=time_of(given["at"], zone), who=given["who"], note=given["note"],
            allergens=[a.strip() for a in given["allergens"].split(",") if a.strip()],
        )  # fmt: skip
    return answer(given, row, f"{row.code}  {row.name}, in on {row.received_on}")


@click.command("piece")
@click.option("--lot", metavar="CODE", help="The lot it was cut from.")
@click.option("--name", default="", help="What you call it, like Collar A.")
@click.option("--weight", required=True, metavar="MASS", help="Green weight, like 1.38kg.")
@click.option("--thickness", metavar="LENGTH", help="Thickest place, like 52mm.")
@click.option("--width", metavar="LENGTH")
@click.option("--length", metavar="LENGTH")
@click.option("--shape", type=click.Choice(SHAPES), default="slab", show_default=True)
@click.option("--skin", type=click.Choice(SKINS), default="none", show_default=True)
@click.option("--skin-weight", metavar="MASS")
@click.option("--fat", type=click.Choice(FATS), default="none", show_default=True)
@click.option("--note", default="")
@kitchen_option
@said_options
def piece(**given: Any) -> int:
    """A piece is weighed green.

    \b
    Example:  ingle record piece --lot FH-IN-261204-A --name "Collar A" \\
                --weight 1.38kg --thickness 52mm
    """
    thick = (given["thickness"],) if given["thickness"] else ()
    made = pieces_of(given | {"weight": (given["weight"],), "thickness": thick})[0]
    made = type(made)(**(vars(made) | {"name": given["name"]}))
    with opened(given) as book:
        zone = jobs.kitchen(book, given["kitchen"]).zone
        row = jobs.cut(
            book, made, lot=given["lot"], kitchen=given["kitchen"], uid=given["uid"], at=time_of(given["at"], zone), who=given["who"], note=given["note"]
        )
    return answer(given, row, f"{row.code}  {row.name}, {units.show_mass(row.green_weight_g)} green weight")


@click.command("batch")
@click.argument("name")
@click.option("--part", help="Key of the part, like collar. Left out: the name.")
@click.option("--craft", default="cure", show_default=True, help="cure, smoke, heat, butter, bread, sauce ...")
@click.option("--takes", multiple=True, metavar="CODE", help="A lot, piece or batch that goes in. Repeat for more.")
@click.option("--planned", is_flag=True, help="It is not begun yet.")
@click.option("--fridge", metavar="TEMP", help="Of a cure: how cold it lies. Left out: 4C.")
@click.option("--use-by", metavar="DATE")
@click.option("--note", default="")
@kitchen_option
@said_options
def batch(**given: Any) -> int:
    """A batch is laid in, under a code of its own.

    Of a cure each piece is timed when all of them have their salt: what was
    weighed in for the batch is shared by weight, for a piece it is its own.

    \b
    Example:  ingle record batch Collar --takes FH-IN-261204-A-1 \\
                --takes FH-IN-261204-A-2 --fridge 3C
    """
    with opened(given) as book:
        zone = jobs.kitchen(book, given["kitchen"]).zone
        row = jobs.lay_in(
            book, given["name"], part=given["part"] or given["name"].lower(), craft=given["craft"], takes=given["takes"],
            kitchen=given["kitchen"], uid=given["uid"], state="planned" if given["planned"] else "going", use_by=date_of(given["use_by"], "use-by"),
            at=time_of(given["at"], zone), who=given["who"], note=given["note"],
            forecast=None if given["fridge"] is None else {"temperature_c": units.temperature_c(given["fridge"], "fridge", low=-5.0, high=30.0)},
        )  # fmt: skip
    return answer(given, row, f"{row.code}  {row.name}\nNext: ingle record dose {row.code} --add salt=34g")


@click.command("into")
@click.argument("source")
@click.argument("into")
@click.option("--amount", metavar="MASS", help="How much of it.")
@said_options
def into(**given: Any) -> int:
    """One thing goes into another: a lot or batch into a batch.

    \b
    Example:  ingle record into FH-261211-A FH-261213-A --amount 300g
    """
    with opened(given) as book:
        zone = jobs.kitchen(book).zone
        jobs.put_into(
            book, given["source"], given["into"], uid=given["uid"], at=time_of(given["at"], zone), who=given["who"],
            amount_g=None if given["amount"] is None else units.mass_g(given["amount"], "amount", high=1e8),
        )  # fmt: skip
    if given["as_json"]:
        put_json({"from": given["source"], "into": given["into"]})
    else:
        click.echo(f"{given['source']} went into {given['into']}")
    return 0
