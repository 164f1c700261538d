"""An invented plan for an invented table: the Fernhollow allotment society's midwinter table, 18 plates.

Nothing here was computed by the planner and no number is advice. It is shaped like a real plan (the cure starts
three weeks ahead, the cold smoke ends six days before the table, the rind is frozen until it is dried and puffed,
the rye loaf sets overnight), so that faces meet what they will have to show: seven parts, two pieces in cure side by
side, visits at the same minute, forecasts with a long tail, all four levels of verdict, by-products and leftovers.
Clauses are real ones, put beside invented values.
"""

from __future__ import annotations

import math
from datetime import date, datetime, time, timedelta
from statistics import NormalDist
from zoneinfo import ZoneInfo

from ingle.ground.things import Forecast
from ingle.planning.plan import Flow, Plan, PlanPart, PlanStep, ShoppingLine, Sign, Weighing, WishGrade
from ingle.safety.verdict import Verdict

MEAL = datetime(2026, 12, 19, 18, 30)
ZONE = "Europe/London"


class _Days:
    """Times counted in days before the table, by the wall clock of the kitchen."""

    def __init__(self, meal: datetime, zone: str):
        self.day, self.zone = meal.date(), ZoneInfo(zone)

    def at(self, days: int, clock: str) -> datetime:
        hour, minute = map(int, clock.split(":"))
        return datetime.combine(self.day + timedelta(days=days), time(hour, minute), self.zone)

    def later(self, at: datetime, hours: float) -> datetime:
        """Real hours later, also over a change of the clocks."""
        return datetime.fromtimestamp(round(at.timestamp() + hours * 3600), self.zone)


def tailed_forecast(what: str, median_h: float, ratio_95: float, not_in_it: tuple[str, ...] = ()) -> Forecast:
    """A forecast with a long right tail: log-normal, its 95 % mark ``ratio_95`` times the median."""
    sigma = math.log(ratio_95) / NormalDist().inv_cdf(0.95)

    def mark(p: float) -> float:
        return median_h * math.exp(sigma * NormalDist().inv_cdf(p))

    return Forecast(
        what=what, earliest_h=mark(0.05), likely_h=median_h, latest_h=mark(0.95),
        quantiles_h=tuple(mark((i + 0.5) / 20) for i in range(20)), at_chance={"0.95": mark(0.95)},
        basis="invented, log-normal", not_in_it=not_in_it,
    )  # fmt: skip


def sample_steps(meal: datetime = MEAL, zone: str = ZONE) -> tuple[PlanStep, ...]:
    """The steps, by start."""
    d = _Days(meal, zone)
    steps: list[PlanStep] = []

    def add(id_, name, start, end=None, hands=(), tends=(), cook="A", minutes=None, kind="hands", **more):
        """``hands`` = (from, minutes) pairs; ``minutes`` alone = one stretch from the start, and the end."""
        begin = d.at(*start)
        if minutes is not None:
            hands = (((start[0], start[1]), minutes),)
        spans = tuple((d.at(*at), d.later(d.at(*at), m / 60), cook) for at, m in hands)
        visits = tuple((d.at(*at), d.later(d.at(*at), m / 60), who, what) for at, m, who, what in tends)
        stop = d.at(*end) if end else max(e for _, e, _ in spans)
        steps.append(
            PlanStep(
                id=id_,
                part=id_.split(".")[0],
                name=name,
                start=begin,
                end=stop,
                attended=spans,
                tends=visits,
                kind=kind,
                **more,
            )
        )

    def cured(start: datetime, forecast: Forecast):
        return tuple(d.later(start, h) for h in (forecast.earliest_h, forecast.likely_h, forecast.latest_h))

    # collar: weighed three weeks ahead, out of the cure a week before, cold smoke ends six days before
    cure_a = tailed_forecast("core of collar A holds its salt", 108, 2.85, ("how warm the fridge runs",))
    cure_b = tailed_forecast("core of collar B holds its salt", 146, 2.85, ("how warm the fridge runs",))
    laid = d.at(-21, "10:10")
    turns = (-19, -17, -15, -13, -11, -9)
    add(
        "collar.weigh",
        "Weigh the cure into two bags",
        (-22, "19:30"),
        minutes=20,
        amounts=(
            "A: salt 29.4 g, curing salt 6.25 % 2.6 g, sugar 13.8 g",
            "B: salt 34.2 g, curing salt 6.25 % 3.1 g, sugar 16.1 g",
        ),
        say=("Use the scale that shows 0.1 g.",),
        caution=("Curing salt is weighed, never measured by the spoon.",),
    )
    add(
        "collar.skin",
        "Cut the rind off both collars",
        (-21, "09:00"),
        minutes=30,
        say=("Leave the fat on the meat.",),
        look_for="rind in one sheet, 2 to 5 mm of fat on it",
    )
    add("collar.a.rub", "Rub collar A", (-21, "09:40"), minutes=12, amounts=("bag A, all of it",))
    add("collar.b.rub", "Rub collar B", (-21, "09:52"), minutes=12, amounts=("bag B, all of it",))
    for key, forecast in (("a", cure_a), ("b", cure_b)):
        add(f"collar.{key}.cure", f"Lay collar {key.upper()} in the cure", (-21, "10:10"), (-7, "08:00"),
            hands=(((-21, "10:10"), 3),), kind="waits", kit_kind="fridge", kit=("fridge 3 l",),
            tends=tuple(((t, "18:30"), 3, "A", f"Turn collar {key.upper()}, rub the liquid back in") for t in turns),
            look_for="at most 5 °C on the thermometer beside it",
            if_not=(Sign("fridge over 5 °C", "keep it shut, read again in 30 min"),),
            forecast=forecast, ready=cured(laid, forecast), source="invented", sure="derived")  # fmt: skip
    add(
        "collar.rinse",
        "Rinse and dry both collars, weigh them",
        (-7, "08:00"),
        minutes=30,
        cook="A",
        amounts=("A about 1.30 to 1.35 kg", "B about 1.51 to 1.57 kg"),
        say=("Cold water, ten seconds a side.",),
    )
    add(
        "collar.pellicle",
        "Hang both collars open in the fridge",
        (-7, "08:30"),
        (-6, "07:00"),
        hands=(((-7, "08:30"), 5),),
        kind="waits",
        kit_kind="fridge",
        look_for="dry and tacky, not wet",
        if_not=(Sign("still wet", "point a fan at them", 60),),
    )
    add(
        "collar.smoke",
        "Cold-smoke both collars",
        (-6, "07:00"),
        (-6, "17:00"),
        kind="smoke",
        kit_kind="smoker",
        hands=(((-6, "07:00"), 30), ((-6, "16:45"), 15)),
        kit=("smoker 2 rails",),
        cook="B",
        tends=tuple(((-6, f"{h:02d}:00"), 5, "B", "Look at the fire and the chamber") for h in (9, 11, 13, 15)),
        amounts=("dust 140 g, one tray",),
        look_for="thin blue smoke, chamber at most 22 °C",
        if_not=(
            Sign("chamber over 22 °C", "open the lid, set ice on the tray"),
            Sign("white, thick smoke", "open the vent", 15),
        ),
        caution=("The smoker stays outdoors: it makes carbon monoxide.",),
    )
    add(
        "collar.wrap",
        "Weigh and wrap both collars",
        (-6, "17:00"),
        minutes=15,
        cook="B",
        amounts=("A about 1.26 kg", "B about 1.47 kg"),
    )
    add("collar.rest", "Rest both collars", (-6, "17:15"), (0, "15:00"), kind="waits", kit_kind="fridge")
    add(
        "collar.firm",
        "Firm both collars in the freezer",
        (0, "15:00"),
        (0, "16:30"),
        hands=(((0, "15:00"), 5),),
        kind="waits",
        kit_kind="freezer",
        look_for="stiff at the edge, not hard",
    )
    add(
        "collar.slice",
        "Slice both collars, 4 mm",
        (0, "16:30"),
        minutes=35,
        cook="B",
        caution=("Knife and frozen meat: flat hand, slow.",),
    )
    add(
        "collar.bake",
        "Bake the slices",
        (0, "17:35"),
        (0, "18:05"),
        hands=(((0, "17:35"), 10), ((0, "18:00"), 5)),
        kit_kind="oven",
        kit=("oven 200 °C",),
        cook="B",
        look_for="core at least 70 °C",
        if_not=(Sign("pale", "five more minutes", 5),),
    )
    # crackling
    add(
        "crackling.scrape",
        "Scrape the rind, cut it in strips",
        (-21, "10:30"),
        minutes=20,
        amounts=("rind about 310 g",),
    )
    add(
        "crackling.freeze",
        "Freeze the rind flat",
        (-21, "10:50"),
        (-3, "18:40"),
        hands=(((-21, "10:50"), 5),),
        kind="keeps",
        kit_kind="freezer",
    )
    add(
        "crackling.thaw",
        "Move the rind to the fridge",
        (-3, "18:40"),
        (-2, "18:30"),
        hands=(((-3, "18:40"), 3),),
        kind="waits",
        kit_kind="fridge",
    )
    add(
        "crackling.dry",
        "Salt the rind, lay it open in the fridge",
        (-2, "18:30"),
        (0, "13:50"),
        hands=(((-2, "18:30"), 10),),
        amounts=("coarse salt 4.7 g",),
        kind="waits",
        kit_kind="fridge",
        look_for="hard and glassy",
    )
    add(
        "crackling.puff",
        "Puff the rind",
        (0, "14:00"),
        (0, "14:55"),
        hands=(((0, "14:00"), 8), ((0, "14:50"), 5)),
        tends=(((0, "14:25"), 4, "A", "Pour off the fat, oven to 180 °C"),),
        kit_kind="oven",
        kit=("oven 220 °C",),
        look_for="blistered all over",
        if_not=(Sign("flat patches", "back in at 220 °C", 5),),
        caution=("Hot fat: no water near it.",),
    )
    add(
        "crackling.crisp",
        "Crisp the crackling again",
        (0, "18:08"),
        (0, "18:14"),
        hands=(((0, "18:08"), 6),),
        kit_kind="oven",
        kit=("oven 200 °C",),
    )
    # butter, and half of it smoked
    add(
        "butter.culture",
        "Stir the culture into the cream",
        (-9, "19:00"),
        (-8, "18:30"),
        hands=(((-9, "19:00"), 10),),
        amounts=("cream 1.80 kg", "cultured buttermilk 36 g"),
        kind="waits",
        look_for="thick, sour, about pH 4.7",
        if_not=(Sign("still thin", "two more hours at 20 °C", 120),),
    )
    add(
        "butter.chill",
        "Move the cream to the fridge",
        (-8, "18:30"),
        (-7, "13:00"),
        hands=(((-8, "18:30"), 5),),
        kind="waits",
        kit_kind="fridge",
    )
    add(
        "butter.temper",
        "Let the cream come to 12 °C",
        (-7, "13:00"),
        (-7, "13:45"),
        hands=(((-7, "13:00"), 3),),
        kind="waits",
        look_for="12 °C in the middle",
    )
    add(
        "butter.churn",
        "Churn, drain and wash the butter",
        (-7, "13:45"),
        minutes=45,
        amounts=("ice water 1.5 l",),
        look_for="grains like rice, clear last water",
        if_not=(Sign("not broken after 20 min", "cool or warm it to 12 °C", 20),),
    )
    add("butter.salt", "Work the salt in, halve the butter", (-7, "14:30"), minutes=20, amounts=("salt 11.6 g",))
    add("butter.keep", "Butter keeps", (-7, "14:50"), (0, "17:15"), kind="keeps", kit_kind="fridge")
    add("butter.out", "Butter out to soften", (0, "17:15"), minutes=5)
    add(
        "smoked.smoke",
        "Cold-smoke half of the butter",
        (-6, "17:20"),
        (-6, "19:35"),
        kind="smoke",
        kit_kind="smoker",
        cook="B",
        hands=(((-6, "17:20"), 10), ((-6, "19:25"), 10)),
        tends=(((-6, "18:25"), 5, "B", "Turn the butter, read the chamber"),),
        amounts=("butter 385 g, slices 20 mm",),
        look_for="chamber at most 18 °C",
        if_not=(Sign("butter shines", "set the dish over ice"),),
    )
    add("smoked.rest", "Smoked butter mellows", (-6, "19:35"), (0, "17:20"), kind="keeps", kit_kind="fridge")
    add("smoked.out", "Smoked butter out to soften", (0, "17:20"), minutes=5)
    # loaf: long cold proof, takes the buttermilk, baked the evening before
    add(
        "loaf.feed",
        "Feed the rye leaven",
        (-3, "21:30"),
        (-2, "18:45"),
        hands=(((-3, "21:30"), 8),),
        amounts=("starter 40 g, rye flour 200 g, water 200 g",),
        kind="waits",
        look_for="domed, smells of apple",
    )
    add(
        "loaf.mix",
        "Mix the dough",
        (-2, "18:45"),
        minutes=25,
        cook="B",
        amounts=("flour 1500 g", "leaven 440 g", "salt 32 g", "buttermilk 410 g", "water 590 g at 31 °C"),
        look_for="dough at 26 °C",
    )
    add(
        "loaf.bulk",
        "Dough rises",
        (-2, "19:10"),
        (-2, "21:30"),
        kind="waits",
        tends=(((-2, "19:50"), 4, "B", "Fold the dough"), ((-2, "20:40"), 4, "B", "Fold the dough")),
    )
    add("loaf.shape", "Shape two loaves", (-2, "21:30"), minutes=18, cook="B", say=("Baskets, covered.",))
    add("loaf.proof", "Dough proofs cold", (-2, "21:48"), (-1, "19:30"), kind="waits", kit_kind="fridge")
    add(
        "loaf.preheat",
        "Heat the oven with the stone in it",
        (-1, "18:35"),
        (-1, "19:30"),
        hands=(((-1, "18:35"), 5),),
        kind="waits",
        kit_kind="oven",
        kit=("oven 240 °C",),
    )
    add(
        "loaf.bake",
        "Bake two loaves",
        (-1, "19:30"),
        (-1, "20:20"),
        hands=(((-1, "19:30"), 10), ((-1, "20:15"), 5)),
        kit_kind="oven",
        kit=("oven 240 °C",),
        tends=(((-1, "19:52"), 3, "A", "Let the steam out, oven to 220 °C"),),
        look_for="core at least 96 °C",
        if_not=(Sign("pale", "ten more minutes", 10),),
    )
    add("loaf.set", "Loaves set", (-1, "20:20"), (0, "17:30"), kind="keeps")
    add("loaf.cut", "Cut the loaf", (0, "17:30"), minutes=15)
    # relish and onion
    add(
        "relish.soak",
        "Soak the mustard seed",
        (-14, "10:00"),
        (-13, "10:00"),
        hands=(((-14, "10:00"), 5),),
        amounts=("mustard seed 90 g, cold water 180 g",),
        kind="waits",
    )
    add(
        "relish.cook",
        "Cook the apple and mustard relish",
        (-13, "10:00"),
        (-13, "11:40"),
        hands=(((-13, "10:00"), 35), ((-13, "11:20"), 20)),
        tends=(((-13, "10:50"), 3, "A", "Stir the relish"), ((-13, "11:05"), 3, "A", "Stir the relish")),
        amounts=("apple 1.40 kg", "cider vinegar 5 % 320 g", "sugar 180 g"),
        look_for="a spoon leaves a path",
    )
    add(
        "relish.test",
        "Test the relish, fill the jars",
        (-13, "12:30"),
        minutes=20,
        say=("Strip in the spoon, not in the jar.",),
        look_for="at most pH 4.6",
        if_not=(Sign("over pH 4.6", "into the fridge, not the shelf"),),
    )
    add("relish.keep", "Relish mellows", (-13, "12:50"), (0, "18:15"), kind="keeps", kit_kind="fridge")
    add(
        "onion.pickle",
        "Slice and pickle the onion",
        (-1, "20:30"),
        minutes=25,
        cook="B",
        amounts=("onion 520 g", "vinegar 5 % 260 g", "salt 9 g"),
    )
    add("onion.keep", "Onion keeps", (-1, "20:55"), (0, "18:15"), kind="keeps", kit_kind="fridge")
    add("onion.plate", "Plate 18, relish and onion last", (0, "18:15"), minutes=15, cook="B")
    return tuple(sorted(steps, key=lambda s: (s.start.timestamp(), s.id)))


def sample_verdicts() -> tuple[Verdict, ...]:
    """Four levels."""
    return (
        Verdict("ingoing-nitrite", "nitrite put into collar A", "within", 118.0, 150.0, "mg/kg",
                "assimilated (EC) 1333/2008, Annex II Part E, 08.3.1", "gb-1333", "quoted", country="GB", low=114, high=122,
                basis="ingoing, of green weight", more={"part": "collar"}),
        Verdict("ready-a", "collar A ready by its pull, Sat 12 08:00", "within", 0.95, 0.95, "", "ready_chance of the brief", "brief",
                "derived", kind="plan", more={"part": "collar"}),
        Verdict("ready-b", "collar B ready by its pull, Sat 12 08:00", "near", 0.9, 0.95, "", "ready_chance of the brief", "brief",
                "derived", kind="plan", act="Start collar B a day sooner, or cut it 42 mm thick.", more={"part": "collar"}),
        Verdict("fridge", "fridge", "near", 4.6, 5.0, "°C", "FDA Food Code 3-501.16(A)(2)", "us-food-code", "memory", kind="harm",
                country="US", low=3.6, high=5.6, act="Keep it shut, read again in 30 min.", more={"step": "collar.a.cure"}),
        Verdict("relish-ph", "relish", "within", 3.8, 4.6, "pH", "21 CFR 114.3(b)", "us-cfr-114", "memory", kind="harm", country="US",
                low=3.6, high=4.0, act="Into the fridge, not the shelf.", more={"step": "relish.test"}),
        Verdict("smoker", "smoker with butter in it", "over", 19.0, 18.0, "°C", "house value, not a legal limit", "house", "common practice",
                kind="practice", act="Set the butter over ice before it goes in.", more={"step": "smoked.smoke"}),
        Verdict("residual-nitrite", "nitrite left in the sliced collar", "cannot_say", None, 175.0, "mg/kg",
                "SI 2007/1778 Sched. 1", "gb-si-2007-1778", "quoted", country="GB", doubt="no measured loss for this process",
                not_checked=("what smoke adds",), more={"part": "collar"}),
    )  # fmt: skip


def sample_plan(
    meal: datetime = MEAL, zone: str = ZONE, number: int = 1, name: str = "Fernhollow midwinter table", **more
) -> Plan:
    """The whole invented plan; ``meal`` and ``zone`` move it as it stands, by the wall clock."""
    d = _Days(meal, zone)
    shopping = (
        ShoppingLine("collar", "pork collar, two pieces, rind on, 40 and 46 mm thick", 2990, "g", 2960, 2870, ("1.38 kg + 1.61 kg",),
                     0, d.at(-22, "19:00"), d.at(-24, "00:00"), ("collar", "crackling")),
        ShoppingLine("curing-salt", "curing salt, 6.25 % sodium nitrite", 100, "g", 5.7, 5.7, ("1 x 100 g",), 94.3, d.at(-22, "19:00"),
                     None, ("collar",)),
        ShoppingLine("cream", "whipping cream, 36 % fat, not UHT", 1800, "ml", 1790, 1720, ("3 x 600 ml",), 80, d.at(-9, "18:00"), d.at(-12, "00:00"),
                     ("butter", "smoked"), ("milk",)),
        ShoppingLine("rye", "rye flour", 1000, "g", 720, 700, ("1 x 1 kg",), 300, d.at(-3, "18:00"), None, ("loaf",), ("gluten",)),
        ShoppingLine("apple", "cooking apples", 1500, "g", 1480, 1400, ("1.5 kg loose",), 100, d.at(-14, "09:00"), d.at(-21, "09:00"), ("relish",)),
        ShoppingLine("mustard", "mustard seed, yellow", 100, "g", 90, 90, ("1 x 100 g",), 10, d.at(-15, "18:00"), None, ("relish",), ("mustard",)),
        ShoppingLine("onion", "red onions", 6, "pieces", 6, 5.5, (), 0, d.at(-1, "18:00"), d.at(-8, "09:00"), ("onion",)),
    )  # fmt: skip
    weighings = tuple(
        Weighing("collar", f"collar {key}", weight, {"salt": salt, "curing_salt": cs, "sugar": sugar}, 0.1, 0.0232, 118.0,
                 "curing salt, 6.25 % sodium nitrite", (f"salt {salt} g", f"curing salt 6.25 % {cs} g", f"sugar {sugar} g"))
        for key, weight, salt, cs, sugar in (("A", 1380, 29.4, 2.6, 13.8), ("B", 1610, 34.2, 3.1, 16.1))
    )  # fmt: skip
    flows = (
        Flow("rind", "rind", "collar", "crackling", 310, 300, d.at(-21, "09:30"), d.at(-21, "10:30"), "3 months frozen", "frozen"),
        Flow("butter", "butter", "butter", "smoked", 385, 385, d.at(-7, "14:50"), d.at(-6, "17:20"), "7 d in the fridge"),
        Flow("buttermilk", "buttermilk", "butter", "loaf", 980, 410, d.at(-7, "14:30"), d.at(-2, "18:45"), "7 d in the fridge"),
        Flow("buttermilk", "buttermilk", "butter", None, 570, 0, d.at(-7, "14:30"), None, "7 d in the fridge"),
        Flow("crust", "ends of the loaf", "loaf", None, 160, 0, d.at(0, "17:45"), None, "3 d"),
    )  # fmt: skip
    parts = (
        PlanPart("collar", "Cold-smoked pork collar", "Collar", 1080, (), "60 g a plate"),
        PlanPart("crackling", "Crackling", "Crackling", 126, (), "7 g a plate"),
        PlanPart("loaf", "Rye-wheat loaf", "Loaf", 1440, ("gluten", "milk"), "80 g a plate"),
        PlanPart("butter", "Cultured butter", "Butter", 270, ("milk",), "15 g a plate"),
        PlanPart("smoked", "Smoked butter", "Smoked b.", 180, ("milk",), "10 g a plate"),
        PlanPart("relish", "Apple and mustard relish", "Relish", 540, ("mustard",), "30 g a plate"),
        PlanPart("onion", "Pickled red onion", "Onion", 360, (), "20 g a plate"),
    )
    values: dict = dict(  # noqa: C408
        name=name, at=d.at(0, meal.strftime("%H:%M")), plates=18, zone=zone, plan_from=d.at(-22, "07:00"), use="table", rules=("gb",),
        number=number, status="feasible", objective=1240.0, bound=1190.0,
        wishes=(
            WishGrade("sleep", 0, 0, "min", True, "nothing between 22:00 and 06:00"),
            WishGrade("fresh", 26.5, 24.0, "h", False, "loaf 26 h 30 min old at its hour; none under 24 h is possible"),
            WishGrade("visits", 31, 29, "visits", False, "31 visits to the kitchen; at least 29"),
        ),
        parts=parts, steps=sample_steps(meal, zone), shopping=shopping, weighings=weighings, flows=flows, verdicts=sample_verdicts(),
        not_checked=("humidity of the fridge", "age of the cream"),
        cautions=("The smoker stays outdoors: it makes carbon monoxide.", "Curing salt is weighed, never measured by the spoon."),
        allergens={"gluten": ("loaf",), "milk": ("loaf", "butter", "smoked"), "mustard": ("relish",)},
        kit={"oven": 1, "smoker": 1, "fridge": "60 l"},
        nights=tuple((d.at(n, "22:00"), d.at(n + 1, "06:00")) for n in range(-22, 0)),
        cooks=("A", "B"), dropped=(), brief_file="fernhollow.toml",
    )  # fmt: skip
    return Plan(**{**values, **more})


def day_of(plan: Plan, days_before: int) -> date:
    """The date so many days before the table."""
    return plan.at.date() - timedelta(days=days_before)
