"""``ingle record deviation | act | instrument | check``."""

from __future__ import annotations

from typing import Any

import click

from ingle.faces.cli.book import answer, kitchen_option, opened, said_options, shown, time_of
from ingle.ground.errors import BadBrief
from ingle.jobs import kitchen as kitchens
from ingle.jobs import record


def _number(written: str | None, field: str, unit: str) -> float | None:
    """A number in the unit named beside it; the unit may be written after it."""
    if written is None:
        return None
    text = written.strip().removesuffix(unit).strip().replace(",", ".")
    try:
        return float(text)
    except ValueError:
        raise BadBrief(
            f"{field} {written!r} is not a number in {unit or 'its unit'}.", field=field, value=written, remedy=f"Write it like 5.2{unit}."
        ) from None


@click.command("deviation")
@click.argument("what")
@click.option("--about", metavar="CODE", help="The batch, piece or lot it concerns.")
@click.option("--level", type=click.Choice(["stop", "today", "note"]), default="today", show_default=True)
@click.option("--act", required=True, help="What is to be done.")
@click.option("--cause", default="", help="Why, when it is known.")
@click.option("--place", default="", help="Where: fridge, smoker.")
@click.option("--value", metavar="NUMBER", help="The worst that was read, in --unit.")
@click.option("--unit", default="", help="Unit of --value, like C.")
@click.option("--by", "deadline", metavar="TIME", help="To be done by, like 2026-12-04 20:00.")
@kitchen_option
@said_options
def deviation(**given: Any) -> int:
    """A line was crossed: what, how much, and what is to be done.

    \b
    Example:  ingle record deviation "fridge at 9 C overnight" \\
                --about FH-261204-A --value 9 --unit C \\
                --act "Move it to the cold fridge."
    """
    with opened(given) as book:
        zone = kitchens.kitchen(book, given["kitchen"]).zone
        row = record.deviate(
            book, given["what"], about=given["about"], kitchen=given["kitchen"], level=given["level"], act=given["act"], cause=given["cause"],
            place=given["place"], value=_number(given["value"], "value", given["unit"]), unit=given["unit"], uid=given["uid"],
            deadline=time_of(given["deadline"], zone, "by"), at=time_of(given["at"], zone), who=given["who"],
        )  # fmt: skip
    words = f"deviation {row.id}, {shown(row.at_utc, row.zone)}: {row.act}\nNext: ingle record act {row.id} 'WHAT WAS DONE' --product kept --closes"
    return answer(given, row, words)


@click.command("act")
@click.argument("deviation")
@click.argument("act")
@click.option("--cause", default="", help="The cause that was found and taken away.")
@click.option("--control", default="", help="How the step is under control again.")
@click.option("--prevention", default="", help="What keeps it from coming back.")
@click.option("--product", type=click.Choice(["kept", "held", "reworked", "discarded"]), help="What became of the food.")
@click.option("--closes", is_flag=True, help="With this the deviation is closed.")
@said_options
def act(**given: Any) -> int:
    """What was done about a deviation, by its number.

    \b
    Example:  ingle record act 3 \\
                "moved to the cold fridge, 3.8 C since 08:10" \\
                --product kept --closes --who A
    """
    with opened(given) as book:
        zone = kitchens.kitchen(book).zone
        row = record.act_on(
            book, given["deviation"], given["act"], cause=given["cause"], control=given["control"], prevention=given["prevention"],
            product=given["product"] or "", closes=given["closes"], uid=given["uid"], at=time_of(given["at"], zone), who=given["who"],
        )  # fmt: skip
    return answer(given, row, f"action {row.id} on deviation {row.deviation_id}" + (", closed" if row.closes else ", still open"))


@click.command("instrument")
@click.argument("name")
@click.option("--kind", required=True, metavar="WORD", help="scale, thermometer, logger, pH meter.")
@click.option("--unit", required=True, metavar="UNIT", help="What it shows: g, C, pH.")
@click.option("--serial", default="")
@click.option("--resolution", metavar="NUMBER", help="Its smallest step, in its unit.")
@click.option("--place", default="")
@kitchen_option
@said_options
def instrument(**given: Any) -> int:
    """A scale, a thermometer, a logger of this kitchen.

    \b
    Example:  ingle record instrument "fridge probe" --kind thermometer \\
                --unit C --resolution 0.1
    """
    with opened(given) as book:
        zone = kitchens.kitchen(book, given["kitchen"]).zone
        row = kitchens.instrument(
            book, given["name"], kitchen=given["kitchen"], uid=given["uid"], kind=given["kind"], unit=given["unit"], serial=given["serial"],
            resolution=_number(given["resolution"], "resolution", given["unit"]), place=given["place"], at=time_of(given["at"], zone), who=given["who"],
        )  # fmt: skip
    return answer(given, row, f"{row.name}: {row.kind}, shows {row.unit}\nNext: ingle record check '{row.name}' --reference 'ice water' ...")


@click.command("check")
@click.argument("name")
@click.option("--reference", required=True, metavar="WORDS", help="Against what: ice water, a weight of 1 kg.")
@click.option("--expected", required=True, metavar="NUMBER", help="What it should show, in the instrument's unit.")
@click.option("--found", required=True, metavar="NUMBER", help="What it shows.")
@click.option("--tolerance", required=True, metavar="NUMBER", help="How far off is still right.")
@click.option("--act", default="", help="What is done when it is off.")
@kitchen_option
@said_options
def check(**given: Any) -> int:
    """An instrument beside a reference.

    \b
    Example:  ingle record check "fridge probe" --reference "ice water" \\
                --expected 0 --found 0.2 --tolerance 0.5
    """
    with opened(given) as book:
        zone = kitchens.kitchen(book, given["kitchen"]).zone
        numbers = {k: _number(given[k], k, "") for k in ("expected", "found", "tolerance")}
        row = kitchens.check_instrument(
            book, given["name"], kitchen=given["kitchen"], uid=given["uid"], reference=given["reference"], act=given["act"],
            at=time_of(given["at"], zone), who=given["who"], **numbers,
        )  # fmt: skip
    answer(given, row, f"{given['name']}: {row.found:g} at {row.expected:g}, {'passed' if row.passed else 'OFF: ' + row.act}")
    return 0 if row.passed else 3
