"""Papers and labels by name, and where each label lies."""

from __future__ import annotations

from dataclasses import dataclass

from ingle.ground.errors import BadBrief, OutOfRange
from ingle.ground.tables import toml_table

OFFSET_MOST_MM = 5.0


@dataclass(frozen=True)
class Paper:
    """A sheet, upright [mm]."""

    name: str
    width: float
    height: float

    def as_list(self, *, wide: bool = False) -> list[float]:
        """``[width, height]``, turned where ``wide``."""
        return [self.height, self.width] if wide else [self.width, self.height]


@dataclass(frozen=True)
class Stock:
    """Labels of one size [mm]; ``height`` 0 is a roll, cut where the label ends."""

    key: str
    name: str
    paper: Paper | None
    across: int
    down: int
    width: float
    height: float
    left: float
    top: float
    pitch: tuple[float, float]
    edge: float  # not printed on, all round

    @property
    def a_sheet(self) -> int:
        """Labels a sheet."""
        return self.across * self.down

    def cells(self, start: int, count: int, offset: tuple[float, float] = (0.0, 0.0)) -> list[list[list[float]]]:
        """Left upper corners [mm] by sheet, from cell ``start`` (1 = top left, along the row) on.

        Raises
        ------
        OutOfRange
            A start that is no cell, or an offset larger than an edge may bear.
        """
        if not 1 <= start <= self.a_sheet:
            raise OutOfRange(
                f"start {start} is no label of a sheet of {self.a_sheet}.", field="start", value=start, limit=f"1 to {self.a_sheet}",
                remedy="Count along the rows from the top left.",
            )  # fmt: skip
        if count < 1:
            raise OutOfRange("no label was asked for.", field="count", value=count, limit="1 or more")
        if max(map(abs, offset)) > OFFSET_MOST_MM:
            raise OutOfRange(
                f"offset {offset[0]:g}, {offset[1]:g} mm is more than {OFFSET_MOST_MM:g} mm.", field="offset",
                value=f"{offset[0]:g},{offset[1]:g}", limit=f"{OFFSET_MOST_MM:g} mm", remedy="Check that the printer does not scale the page.",
            )  # fmt: skip
        sheets: list[list[list[float]]] = []
        for n in range(start - 1, start - 1 + count):
            if n % self.a_sheet == 0 or not sheets:
                sheets.append([])
            row, column = divmod(n % self.a_sheet, self.across)
            sheets[-1].append([self.left + column * self.pitch[0] + offset[0], self.top + row * self.pitch[1] + offset[1]])
        return sheets


def _table() -> dict[str, dict[str, dict[str, object]]]:
    return toml_table("paper", "stock.toml")


def paper(name: str) -> Paper:
    """A paper by its name: ``a4``, ``letter``, ``a3``, ``tabloid``."""
    sizes = _table()["paper"]
    key = name.strip().lower()
    if key not in sizes:
        raise BadBrief(f"paper {name!r} is not known.", field="paper", value=name, limit=", ".join(sizes), remedy="Take one of these.")
    return Paper(key, **sizes[key])  # type: ignore[arg-type]


def stock(name: str) -> Stock:
    """Labels by their name: ``a4-24``, ``letter-10``, ``roll-62``."""
    have = _table()["label"]
    key = name.strip().lower()
    if key not in have:
        raise BadBrief(f"label stock {name!r} is not known.", field="stock", value=name, limit=", ".join(have), remedy="Take one of these.")
    said = {k: v for k, v in have[key].items() if k not in ("sure", "doubt", "paper", "pitch")}
    own = have[key].get("paper")
    left, top = have[key]["pitch"]  # type: ignore[misc]
    return Stock(key, paper=paper(str(own)) if own else None, pitch=(left, top), **said)  # type: ignore[arg-type, has-type]


def stocks() -> dict[str, str]:
    """Name and words of every label stock."""
    return {key: str(said["name"]) for key, said in _table()["label"].items()}
