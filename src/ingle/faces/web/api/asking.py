"""A command as a request: its options are the fields, its ``--json`` is the answer.

What a command reads from a file comes as text (``stages_file``, ``record_file``), never as a path: nothing of this machine
can be read by naming it. Options that only say how to print, or on which machines to reckon, are left out.
"""

from __future__ import annotations

import base64
import binascii
import tempfile
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Annotated, Any, Literal

import click
from pydantic import BaseModel, ConfigDict, Field, create_model

from ingle.faces.asked import asking
from ingle.ground import tables
from ingle.ground.errors import BadBrief, OutOfRange
from ingle.notebook.store import Notebook

LEFT_OUT = {"as_json", "plain", "no_color", "book", "kitchen", "chart", "cores", "cluster", "members", "folders", "yes", "out"}
WORD_MOST, LIST_MOST, FILE_MOST = 5000, 60, 4_000_000  # letters, entries, letters
_NAME = r"^[A-Za-z0-9][A-Za-z0-9 _-]{0,60}$"  # of a part: a name, never a path
_KIND = {"photo": "photo.jpg"}
_TOML = ("stages_file", "kit_file")


class Body(BaseModel):
    """A request: what is not known is refused."""

    model_config = ConfigDict(extra="forbid", str_max_length=FILE_MOST)


@dataclass(frozen=True)
class Asks:
    """One command as it is asked from outside."""

    name: str
    command: click.Command
    model: type[Body]
    by_field: Mapping[str, click.Parameter]
    files: frozenset[str] = field(default_factory=frozenset)


def asks(name: str, command: click.Command) -> Asks:
    """The request model of a command, made from its options."""
    fields: dict[str, Any] = {}
    by_field: dict[str, click.Parameter] = {}
    files = set()
    for p in command.params:
        if p.name in LEFT_OUT:
            continue
        key = _field(p)
        if isinstance(p.type, click.Path):
            key = key if key == "photo" else f"{key}_file"
            files.add(key)
        by_field[key] = p
        fields[key] = _of(p, key, name)
    words = (command.help or "").split("\x08")[0].strip()
    model = create_model(f"{name.title().replace('_', '')}Asked", __base__=Body, __doc__=words, **fields)
    return Asks(name, command, model, by_field, frozenset(files))


def _field(p: click.Parameter) -> str:
    """The option's longest name as it is written, dashes as underscores."""
    return max(p.opts, key=len).lstrip("-").replace("-", "_")


def _of(p: click.Parameter, key: str, command: str) -> tuple[Any, Any]:
    said = getattr(p, "help", None) or key.replace("_", " ")
    required = p.required and not p.multiple if isinstance(p, click.Option) else p.required
    kind: Any = Annotated[str, Field(max_length=WORD_MOST)]
    if isinstance(p.type, click.Path):
        said = f"{said} Its content{', base64' if key == 'photo' else ' as text'}."
        kind = Annotated[str, Field(max_length=FILE_MOST * (5 if key == "photo" else 1))]
    elif isinstance(p, click.Option) and p.is_flag:
        kind = bool
    elif isinstance(p.type, click.Choice):
        kind = Literal[tuple(str(c) for c in p.type.choices)]
    elif isinstance(p.type, click.types.IntParamType):
        kind = Annotated[int, Field(ge=-(2**31), lt=2**31)]
    elif isinstance(p.type, click.types.FloatParamType):
        kind = Annotated[float, Field(allow_inf_nan=False)]
    elif (command, key) == ("keep", "part"):
        kind = Annotated[str, Field(pattern=_NAME)]
    elif (command, key) == ("cure", "section"):
        kind = Literal[tuple(sorted(x.stem for x in tables.data_path("sections").glob("*.toml")))]
    if p.multiple or p.nargs == -1:
        least = 1 if p.required else 0
        many = Annotated[list[kind], Field(min_length=least, max_length=LIST_MOST, description=said)]
        return (many, ...) if p.required else (many, Field(default_factory=list))
    return (kind, Field(description=said)) if required else (kind | None, Field(None, description=said))


def ask(asks: Asks, given: BaseModel, *, book: Notebook | None = None, more: tuple[str, ...] = ()) -> dict[str, Any]:
    """Run the command with what was given; its answer is what ``--json`` would print.

    Raises
    ------
    IngleError
        As the command; words it does not know are a BadBrief.
    """
    said = given.model_dump(exclude_none=True)
    with tempfile.TemporaryDirectory(prefix="ingle") as folder, asking(book) as heard:
        options, arguments = ["--json", *more], []
        for key, value in said.items():
            p = asks.by_field.get(key)
            if p is None:
                continue
            told = [_file(key, value, Path(folder))] if key in asks.files else value if isinstance(value, list) else [value]
            if isinstance(p, click.Argument):
                arguments += [str(v) for v in told]
            elif isinstance(p, click.Option) and p.is_flag:
                options += _flag(p, value)
            else:
                options += [f"{max(p.opts, key=len)}={v}" for v in told]
        try:
            with asks.command.make_context(asks.name, [*options, "--", *arguments]) as context:
                asks.command.invoke(context)
        except click.UsageError as why:
            param = getattr(why, "param", None)
            raise BadBrief(f"{why.format_message()}", field=_field(param) if param is not None else asks.name, remedy="See /api/openapi.json.") from None
    return heard.answers[-1]


def _flag(p: click.Option, value: bool) -> list[str]:
    """``--fan`` or ``--still``; a plain flag that is off is not said."""
    if value:
        return [max(p.opts, key=len)]
    return [max(p.secondary_opts, key=len)] if p.secondary_opts else []


def _file(key: str, text: str, folder: Path) -> str:
    """What came as text, as a file of this request alone."""
    if key == "photo":
        try:
            content = base64.b64decode(text, validate=True)
        except (binascii.Error, ValueError):
            raise BadBrief("photo is not base64.", field="photo", remedy="Send the picture's bytes as base64.") from None
        path = folder / _KIND[key]
        path.write_bytes(content)
        return str(path)
    if len(text) > FILE_MOST:
        raise OutOfRange(f"{key} has {len(text):,} letters.", field=key, value=len(text), limit=FILE_MOST, remedy="Send less of it.")
    if key == "stages_file":
        _require_alone(text)
    path = folder / f"{key.removesuffix('_file')}.{'toml' if key in _TOML else 'csv'}"
    path.write_text(text, encoding="utf-8")
    return str(path)


def _require_alone(text: str) -> None:
    """A history names no other file: a record lies on the cook's machine, not beside this text."""
    try:
        told = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return  # the reader says where
    stages = told.get("stage", [])
    for i, stage in enumerate(stages if isinstance(stages, list) else []):
        if isinstance(stage, dict) and "record" in stage:
            raise BadBrief(
                f"stage[{i}].record names a file, and only this text came.", field=f"stage[{i}].record", value=str(stage["record"])[:80],
                limit="temperature", remedy="Give a temperature for this stage.",
            )  # fmt: skip
