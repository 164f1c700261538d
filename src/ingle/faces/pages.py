"""Templates of the faces."""

from __future__ import annotations

from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined, Template
from markupsafe import Markup, escape

from ingle.faces.words import QUANTITY

_TEMPLATES = Path(__file__).parent / "templates"


def template(name: str) -> Template:
    """A template of the faces; everything put into it is escaped, and a missing name is an error."""
    env = Environment(
        loader=FileSystemLoader(_TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    env.filters["amounts"] = numbers_bold
    return env.get_template(name)


def numbers_bold(text: str) -> Markup:
    """Numbers with their units set bold, the rest escaped."""
    out, at = Markup(""), 0
    for match in QUANTITY.finditer(text):
        out += escape(text[at : match.start()]) + Markup('<b class="amt">%s</b>') % match[0]
        at = match.end()
    return out + escape(text[at:])
