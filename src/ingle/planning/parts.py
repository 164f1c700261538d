"""Parts of a dish as data: what they take, what they give, and their steps.

A part is a TOML file; the shipped ones stand in ``data/parts``, a cook's own override them by key. What a
part file may say is listed in `part_file.KNOWN` and `step_file`, with the words of the file.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from ingle.ground.things import Band

ALLERGENS = (
    "gluten", "crustaceans", "eggs", "fish", "peanuts", "soybeans", "milk",
    "nuts", "celery", "mustard", "sesame", "sulphites", "lupin", "molluscs",
)  # fmt: skip
"""The groups of Regulation (EU) 1169/2011, Annex II."""
FORECASTS = ("cure", "cook", "dough")


@dataclass(frozen=True)
class Bought:
    """How an item is sold."""

    item: str
    name: str
    packs_g: tuple[float, ...] = ()  # () = by weight, any amount
    pack_names: tuple[str, ...] = ()  # as written, beside packs_g: "600ml"
    unit: str = "g"  # g | ml | pieces
    g_per_unit: float = 1.0  # 1 g, the density [g/ml], or the mass of one piece
    buy_within_min: int | None = None  # longest from buying to its step
    allergens: tuple[str, ...] = ()
    note: str = ""


@dataclass(frozen=True)
class Take:
    """One item a part takes."""

    item: str
    name: str
    per_kg_out_g: float  # grams per kg of the part's main product, at the likely yield
    at: str  # key of the step that takes it
    from_part: str | None = None  # made by this part
    bought: Bought | None = (
        None  # how it is bought, from the shop or ``instead`` of its part; None = cannot be bought
    )
    pieces: bool = False  # the brief gives it as pieces
    skinned: bool = False  # pieces lose their skin before the cure
    tap: bool = False  # water: weighed, never bought
    allergens: tuple[str, ...] = ()
    bare: str = ""  # its name where every piece comes without skin


@dataclass(frozen=True)
class Keeps:
    """How long something keeps."""

    fridge_min: int | None = None
    frozen_min: int | None = None
    thaw_min: int | None = None
    litres_per_kg: float = 2.0


@dataclass(frozen=True)
class Give:
    """One item a part gives: its main product, a by-product or a named leftover."""

    item: str
    name: str
    share: Band  # of the mass of ``of``
    of: str  # an item taken, or "all"
    at: str  # key of the step that makes it
    main: bool = False
    skin: bool = False  # it is the skin of the pieces: none from a skinless piece
    keeps: Keeps = field(default_factory=Keeps)
    sure: str = "common practice"
    source: str = ""


@dataclass(frozen=True)
class After:
    """This step starts ``least_min`` to ``most_min`` after ``step`` ends."""

    step: str  # own step, or "part.step"
    least_min: int = 0
    most_min: int | None = None


@dataclass(frozen=True)
class KitUse:
    """A share of the kitchen held during a step."""

    use: str  # oven | fridge | freezer | smoker | key of a piece of kit
    amount: int | None = None  # shelves, litres, rails or pieces, whatever the batch weighs
    per_kg: float | None = None  # litres or rails per kg of ``of``
    of: str | None = None  # item whose mass counts; None = all that the part takes
    mode_c: int | None = None


@dataclass(frozen=True)
class TendSpec:
    """A short visit that repeats during a step."""

    name: str
    every_min: int
    lasts_min: int
    slack_min: int


@dataclass(frozen=True)
class Fresh:
    """Distances between a step's end and the table."""

    rest_min: int = 0
    best_min: int | None = None
    last_min: int | None = None


@dataclass(frozen=True)
class SignSpec:
    """What to do when a step does not look as it should."""

    sign: str
    act: str
    adds_min: int = 0


@dataclass(frozen=True)
class Bare:
    """A step of a piece that has no skin: its name and how."""

    name: str
    say: tuple[str, ...] = ()


@dataclass(frozen=True)
class Roast:
    """What a forecast of the core asks beside the heat of the place."""

    cut: str  # key of `laws/thermal.toml`: what it is made of
    thickness_mm: float | None = None  # of slices; None = whole pieces, as the brief measures them


@dataclass(frozen=True)
class StepSpec:
    """One step as the part file has it."""

    key: str
    name: str  # verb first
    lasts: Band | None  # minutes; None = only a forecast can say
    most_min: int | None = None  # it may run on until then; None = ends when it is done
    forecast: str | None = None  # cure | cook | dough
    say: tuple[str, ...] = ()
    after: tuple[After, ...] = ()
    hands_start_min: int = 0
    hands_end_min: int = 0
    hands_per_piece_min: int = 0  # more at the start for each piece beyond the first
    hands_per_plate_min: float = 0.0  # more at the start for each plate
    tend: TendSpec | None = None
    kit: tuple[KitUse, ...] = ()
    waits_in: tuple[KitUse, ...] = ()  # held from this step's end to the next step of the part
    fresh: Fresh = field(default_factory=Fresh)
    core_c: float | None = None  # what the core shall reach
    look_for: str = ""
    if_not: tuple[SignSpec, ...] = ()
    caution: tuple[str, ...] = ()  # keys of data/cautions.toml
    sure: str = "common practice"
    source: str = ""
    bare: Bare | None = None  # what of it is left where every piece comes without skin
    roast: Roast | None = None  # of a step whose length is the forecast of its core


@dataclass(frozen=True)
class CureSpec:
    """What the cure of a part aims at. Fractions are of the skinless green weight."""

    method: str  # equilibrium | excess
    salt_per_green_weight: float
    nitrite_mg_per_kg: float
    curing_salt_nitrite: float  # fraction of sodium nitrite in the packet
    sugar_per_green_weight: float = 0.0
    cooked: bool = True  # eaten cooked
    product: str = "whole_muscle_dry"


@dataclass(frozen=True)
class Part:
    """One component of the dish."""

    key: str
    name: str
    short: str  # at most 10 letters
    takes: tuple[Take, ...]
    gives: tuple[Give, ...]
    steps: tuple[StepSpec, ...]
    allergens: tuple[str, ...] = ()  # declared and those of what it takes
    cure: CureSpec | None = None
    file: str = ""


def main_give(part: Part) -> Give:
    """The product of a part."""
    return next(g for g in part.gives if g.main)


def step_of(part: Part, key: str) -> StepSpec:
    """One step of a part by its key."""
    return next(s for s in part.steps if s.key == key)


def without_skin(part: Part) -> Part:
    """The part as it reads where every piece comes without its skin: other names, no word of skinning; times stay.

    Trimming, weighing and measuring are done all the same, so the step stays in the plan.
    """
    takes = tuple(
        replace(t, name=t.bare, bought=replace(t.bought, name=t.bare) if t.bought else None) if t.bare else t for t in part.takes
    )
    steps = tuple(replace(s, name=s.bare.name, say=s.bare.say or s.say) if s.bare else s for s in part.steps)
    return replace(part, takes=takes, steps=steps)
