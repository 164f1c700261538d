"""A printed job read back: its words, its marks in millimetres, its picture by another renderer, its QR codes by another reader."""

from __future__ import annotations

import io
from dataclasses import dataclass
from functools import cached_property

import pdfplumber
import zxingcpp
from PIL import Image

from ingle.faces.paper import press
from ingle.faces.paper.press import Job

MM = 25.4 / 72


@dataclass(frozen=True)
class Letters:
    """One run of a size: its text, size and place [mm]."""

    text: str
    size: float
    top: float
    left: float
    font: str


class Printed:
    """The PDF of a job, opened by pdfminer and drawn by pdfium."""

    def __init__(self, job: Job | bytes):
        self.pdf = job if isinstance(job, bytes) else press.pdf(job)
        self.file = pdfplumber.open(io.BytesIO(self.pdf))
        self.pages = self.file.pages

    @cached_property
    def text(self) -> str:
        """All words, a space for every gap."""
        return " ".join(" ".join((p.extract_text(x_tolerance=1.2) or "").split()) for p in self.pages)

    @cached_property
    def letters(self) -> str:
        """All letters in the order they were set, without any space: what was printed, whatever the line breaks."""
        return "".join(c["text"] for p in self.pages for c in p.chars if c["text"].strip())

    def size_mm(self, page: int = 0) -> tuple[float, float]:
        return round(self.pages[page].width * MM, 2), round(self.pages[page].height * MM, 2)

    def sizes(self, page: int = 0) -> set[float]:
        """Sizes of type [mm]."""
        return {round(c["size"] * MM, 2) for c in self.pages[page].chars if c["text"].strip()}

    def chars(self, page: int = 0, size: float | None = None) -> list[dict]:
        found = [c for c in self.pages[page].chars if c["text"].strip()]
        return [c for c in found if size is None or abs(c["size"] * MM - size) < 0.02]

    def rects(self, page: int = 0) -> list[tuple[float, float, float, float, float]]:
        """Boxes: width, height, line, left, top [mm]."""
        shapes = [*self.pages[page].rects, *self.pages[page].curves]
        return [(r["width"] * MM, r["height"] * MM, (r["linewidth"] or 0) * MM, r["x0"] * MM, r["top"] * MM) for r in shapes]

    def picture(self, page: int = 0, dpi: int = 300) -> Image.Image:
        return self.pages[page].to_image(resolution=dpi).original.convert("RGB")

    def codes(self, page: int = 0, dpi: int = 300) -> list[str]:
        """What the QR codes of a page hold."""
        return [b.text for b in zxingcpp.read_barcodes(self.picture(page, dpi)) if "QR" in str(b.format)]

    def ink(self, page: int = 0) -> float:
        """Share of the page that is not white, and proof that all of it is grey."""
        image = self.picture(page, 60)
        pixels = list(image.get_flattened_data() if hasattr(image, "get_flattened_data") else image.getdata())
        assert all(max(p) - min(p) <= 2 for p in pixels), "a colour is on the paper"
        return sum(p[0] < 200 for p in pixels) / len(pixels)

    def inside(self, left: float, top: float, right: float, bottom: float, page: int = 0) -> bool:
        """Whether every letter lies within these edges [mm from the page's own edges]."""
        w, h = self.size_mm(page)
        return all(
            c["x0"] * MM >= left - 0.1 and c["x1"] * MM <= w - right + 0.1 and c["top"] * MM >= top - 1.5 and c["bottom"] * MM <= h - bottom + 1.5
            for c in self.chars(page)
        )
