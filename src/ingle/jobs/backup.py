"""Copies, exports, what comes back from them, and whether a notebook is whole."""

from __future__ import annotations

from pathlib import Path

from ingle.notebook import backup as copies
from ingle.notebook import export
from ingle.notebook.backup import Checked
from ingle.notebook.store import Notebook


def copy(notebook: Notebook, to: Path | None = None) -> Path:
    """A copy of the notebook as it is now, writers going on; ``to`` is a new file, or a folder."""
    return copies.backup(notebook, to)


def check(notebook: Notebook) -> Checked:
    """Look through all of it."""
    return copies.check(notebook)


def restore(source: Path, to: str | Path) -> Checked:
    """Bring a copy or an export back into a new place, and look through it."""
    with copies.restore(source, to) as notebook:
        return copies.check(notebook)


def write_out(notebook: Notebook, to: Path) -> Path:
    """Everything as one JSON file (``NAME.json``), else as a folder of CSV files."""
    return export.export_json(notebook, to) if to.suffix.lower() == ".json" else export.export_csv(notebook, to)
