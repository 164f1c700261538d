"""Exports that earlier versions of this program wrote, kept as they wrote them, still come in.

``exports/0001*`` was written by the program as it stood at migration 0001, ``exports/0002.json`` at 0002; both of the
kitchen that `made_up.fill` makes.
"""

import json
import shutil
from pathlib import Path

import pytest

from ingle.ground.errors import NotebookError
from ingle.jobs import kitchen as k
from ingle.jobs.trace import follow
from ingle.notebook import migrate
from ingle.notebook.backup import check, restore
from ingle.notebook.export import export_json, import_into
from ingle.notebook.store import open_notebook

EXPORTS = Path(__file__).parent / "exports"


def told(path):
    return json.loads(path.read_text(encoding="utf-8"))


@pytest.mark.parametrize("name", ["0001.json", "0001", "0002.json"])
def test_an_export_of_an_earlier_version_comes_in_whole(book, tmp_path, name):
    source = EXPORTS / name
    import_into(book, source)
    then = told(EXPORTS / f"{name[:4]}.json")
    now = told(export_json(book, tmp_path / "now.json"))
    assert (then["schema"], now["schema"]) == (name[:4], migrate.HEAD)
    assert set(then["tables"]) <= set(now["tables"])
    for table, rows in then["tables"].items():
        assert len(rows) == len(now["tables"][table])
        for before, after in zip(rows, now["tables"][table], strict=True):
            assert before.items() <= after.items(), table  # what it said is said still; what came later has its beginning
    assert [row["shows"] for row in now["tables"]["kitchen"]] == [{}]
    assert sum(map(len, now["tables"].values())) == sum(map(len, then["tables"].values()))
    pack = now["tables"]["traced"][-1]["code"]
    assert {n.name for n in follow(book, pack).lots} == {"pork collar", "salt"}
    k.lay_in(book, "new", part="x", craft="cure")  # numbering goes on after what came in
    assert check(book).wrong == ()


def test_an_earlier_export_is_restored_into_a_new_file(tmp_path):
    with restore(EXPORTS / "0001.json", tmp_path / "kitchen.notebook") as book:
        assert {p.name for p in tmp_path.iterdir()} <= {"kitchen.notebook", "kitchen.notebook-wal", "kitchen.notebook-shm", "kitchen.notebook.logs"}
        assert follow(book, "FH-IN-261104-A").packs


@pytest.mark.parametrize(
    "change",
    [
        lambda d: d.update(schema="0002"),  # its kitchens lack a column of that schema
        lambda d: d.update(schema="1999"),
        lambda d: d["tables"].pop("dose"),
        lambda d: d["tables"]["kitchen"][0].update(shows={}),  # a column that came later
        lambda d: d["tables"]["reading"][0].update(weight_g=-5.0),
        lambda d: d["tables"]["reading"][0].update(batch_id=999),
        lambda d: d["tables"]["reading"].append(d["tables"]["reading"][0]),
    ],
)
def test_an_earlier_export_that_was_changed_stores_nothing(book, tmp_path, change):
    before = export_json(book, tmp_path / "before.json").read_bytes()
    spoilt = told(EXPORTS / "0001.json")
    change(spoilt)
    path = tmp_path / "spoilt.json"
    path.write_text(json.dumps(spoilt), encoding="utf-8")
    with pytest.raises(NotebookError):
        import_into(book, path)
    assert export_json(book, tmp_path / "after.json").read_bytes() == before


def test_columns_of_a_sheet_may_stand_in_any_order_but_none_may_lack(ready, tmp_path):
    shutil.copytree(EXPORTS / "0001", tmp_path / "sheets")
    sheet = tmp_path / "sheets" / "lot.csv"
    head, *rest = sheet.read_text(encoding="utf-8").splitlines()
    sheet.write_text("\r\n".join(line.partition(",")[2] for line in (head, *rest)) + "\r\n", encoding="utf-8", newline="")
    with open_notebook(ready("sqlite")) as book, pytest.raises(NotebookError, match=r"lot\.csv does not have the columns of lot"):
        import_into(book, tmp_path / "sheets")
