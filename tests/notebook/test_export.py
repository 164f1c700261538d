"""A notebook goes out and comes back the same to the last byte; a copy is made while others write."""

import json
import os
import shutil
import threading

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from tests.notebook.made_up import AT, PNG, fill

from ingle.ground.errors import BadBrief, NotebookError
from ingle.jobs import kitchen as k
from ingle.jobs import record as r
from ingle.notebook.backup import backup, check, restore
from ingle.notebook.export import export_csv, export_json, import_into
from ingle.notebook.models import LogFile, Reading
from ingle.notebook.rows import new_uid
from ingle.notebook.store import open_notebook
from ingle.notebook.trouble import AlreadyThere, NotANotebook, NotFound

WORDS = st.text(
    st.characters(blacklist_categories=("Cs",), blacklist_characters=[chr(i) for i in range(32) if chr(i) not in "\n\t\r"]), max_size=40
)
LOOK = st.fixed_dictionaries(
    {"note": WORDS},
    optional={
        "weight_g": st.floats(1e-3, 2e6), "temperature_c": st.floats(-90, 400), "ph": st.floats(0, 14), "water_activity": st.floats(0, 1),
        "place": WORDS, "who": WORDS, "taste": WORDS, "photo": st.binary(max_size=60).map(lambda b: PNG + b),
    },
)  # fmt: skip


@settings(max_examples=60 if os.environ.get("INGLE_SOAK") else 4, phases=[Phase.explicit, Phase.generate], suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(looks=st.lists(LOOK, min_size=1, max_size=5), name=WORDS, wrong=st.booleans())
def test_out_and_in_is_the_same(ready, tmp_path_factory, monkeypatch, looks, name, wrong):
    """Any words, any numbers: JSON and CSV, from a file into a file and into a server, byte for byte."""
    monkeypatch.setattr("ingle.notebook.export._sync", lambda _: None)  # what is asked here is the content, not the disk
    folder = tmp_path_factory.mktemp("out")
    with open_notebook(ready("sqlite")) as book:
        made = fill(book)
        for look in looks:
            empty = "weight_g" not in look and not any((look.get(x) or "").strip() for x in ("note", "taste")) and "photo" not in look
            row = r.reading(book, made.batch.code, **(look | {"weight_g": 1.0} if empty else look))
        if wrong:
            r.correct(book, "reading", row.uid, void=True)
        if name.strip():
            k.lay_in(book, name, part="x", craft="cure")
        out = export_json(book, folder / "a.json")
        sheets = export_csv(book, folder / "a")
    for kind, source in (("sqlite", out), ("sqlite", sheets), ("postgresql", out if wrong else sheets)):
        with open_notebook(ready(kind)) as again:
            import_into(again, source)
            back = export_json(again, folder / "b.json")
            assert back.read_bytes() == out.read_bytes()
            back.unlink()
            assert k.lay_in(again, "new", part="x", craft="cure").id == max(t["id"] for t in json.loads(out.read_bytes())["tables"]["traced"]) + 1
    for sheet in sheets.glob("*.csv"):
        for line in sheet.read_text(encoding="utf-8").splitlines():
            assert not line.startswith(("=", "+", "@")), "a spreadsheet would take it for a formula"


def test_a_formula_in_a_note_is_text_in_the_sheet(ready, tmp_path):
    with open_notebook(ready("sqlite")) as book:
        k.begin(book, "Fernhollow", zone="Europe/London")
        for note in ("=HYPERLINK(1)", "+1", "-1", "@x", "'quoted", "\tx"):
            r.reading(book, place=note.strip(), note=note)
        sheets = export_csv(book, tmp_path / "out")
        said = (sheets / "reading.csv").read_text(encoding="utf-8")
        for cell in ("'=HYPERLINK(1)", "'+1", "'-1", "'@x", "''quoted"):
            assert cell in said
        with open_notebook(ready("sqlite")) as again:
            import_into(again, sheets)
            assert export_json(again, tmp_path / "b.json").read_bytes() == export_json(book, tmp_path / "a.json").read_bytes()


def test_an_import_is_whole_or_not_at_all(book, ready, tmp_path):
    with open_notebook(ready("sqlite")) as source:
        fill(source)
        out = export_json(source, tmp_path / "a.json")
        whole = json.loads(out.read_bytes())
    empty = export_json(book, tmp_path / "empty.json").read_bytes()

    def spoil(change):
        told = json.loads(json.dumps(whole))
        change(told)
        path = tmp_path / "spoilt.json"
        path.write_text(json.dumps(told), encoding="utf-8")
        with pytest.raises(NotebookError):
            import_into(book, path)
        (tmp_path / "now.json").unlink(missing_ok=True)
        assert export_json(book, tmp_path / "now.json").read_bytes() == empty

    t = "tables"
    for change in (
        lambda d: d.pop("tables"),
        lambda d: d.update(format=2),
        lambda d: d.update(schema="9999"),
        lambda d: d[t].pop("dose"),
        lambda d: d[t].update(recipe=[]),
        lambda d: d[t]["reading"][0].pop("note", None) or d[t]["reading"][0].pop("text"),
        lambda d: d[t]["reading"][0].update(weight_g="heavy"),
        lambda d: d[t]["reading"][0].update(weight_g=-5.0),
        lambda d: d[t]["reading"][0].update(batch_id=999),
        lambda d: d[t]["reading"][0].update(at_utc="yesterday"),
        lambda d: d[t]["reading"].append(d[t]["reading"][0]),
        lambda d: d[t]["photo"][0].update(content="%%%"),
        lambda d: d[t]["kitchen"][0].update(name=None),
        lambda d: d[t]["batch"][0].update(state="eaten"),
    ):
        spoil(change)
    for content in (b"", b"[]", b"{", b'{"ingle": "notebook"}', b"\xff\xfe", b"[" * 100_000):
        (tmp_path / "no.json").write_bytes(content)
        with pytest.raises(NotebookError):
            import_into(book, tmp_path / "no.json")
    import_into(book, out)
    with pytest.raises(AlreadyThere, match="is not empty"):
        import_into(book, out)


def test_a_copy_is_made_while_others_write_and_comes_back(book, tmp_path):
    k.begin(book, "Fernhollow", zone="Europe/London", prefix="FH")
    batch = k.lay_in(book, "Collar", part="collar", craft="cure").code
    stop, wrote = threading.Event(), []

    def write():
        while not stop.is_set():
            wrote.append(r.reading(book, batch, weight_g=1000.0 + len(wrote)).uid)

    writer = threading.Thread(target=write)
    writer.start()
    try:
        while len(wrote) < 3:
            stop.wait(0.01)
        before = list(wrote)
        copy = backup(book, tmp_path / "copy")
    finally:
        stop.set()
        writer.join()
    with restore(copy, tmp_path / "back.notebook") as again:
        assert check(again).wrong == ()
        with again.look() as session:
            have = {x.uid for x in session.query(Reading)}
        assert set(before) <= have <= set(wrote)
        assert r.reading(again, batch, weight_g=1.0).id
    with pytest.raises(AlreadyThere, match=r"exists. Nothing was written"):
        restore(copy, tmp_path / "back.notebook")
    with pytest.raises(AlreadyThere, match=r"exists. Nothing was written"):
        backup(book, copy)


def test_what_is_no_copy_is_not_brought_back(tmp_path):
    (tmp_path / "x").write_bytes(b"hello")
    with open_notebook(tmp_path / "a.notebook") as book:
        k.begin(book, "Fernhollow", zone="Europe/London")
        for _ in range(40):
            r.reading(book, place="fridge", note="z" * 500)
        copy = backup(book, tmp_path / "copy")
    damaged = bytearray(copy.read_bytes())
    damaged[8192:16384] = bytes(8192)
    (tmp_path / "damaged").write_bytes(damaged)
    for source, error in (("x", NotebookError), ("none", NotFound), ("damaged", NotANotebook)):
        with pytest.raises(error):
            restore(tmp_path / source, tmp_path / "new.notebook")
        assert not (tmp_path / "new.notebook").exists()
    assert [p.name for p in tmp_path.iterdir() if p.name.startswith(".")] == []  # no half-made file is left


def test_the_files_of_loggers_go_with_it_and_a_changed_one_is_found(ready, tmp_path):
    from ingle.notebook.export import sha256
    from ingle.notebook.logbook import register_log
    from ingle.notebook.rows import only_kitchen

    with open_notebook(ready("sqlite")) as book:
        k.begin(book, "Fernhollow", zone="Europe/London")
        path = book.logs / "2026" / "fridge.parquet"
        path.parent.mkdir(parents=True)
        path.write_bytes(b"PAR1 rows PAR1")
        said = {"source_sha256": "a" * 64, "parquet": "2026/fridge.parquet", "parquet_sha256": sha256(path), "rows": 3}
        add = lambda s: register_log(s, only_kitchen(s), new_uid(), "fridge.csv", first=AT, last=AT, understood={}, **said)  # noqa: E731
        assert book.write(add)[1] and not book.write(add)[1]  # the second import adds nothing
        with book.look() as session:
            assert session.query(LogFile).count() == 1
        copy, out = backup(book, tmp_path / "copy"), export_json(book, tmp_path / "out.json")
        for source in (copy, out):
            with restore(source, tmp_path / f"{source.name}.notebook") as again:
                assert check(again).wrong == ()
                assert (again.logs / "2026" / "fridge.parquet").read_bytes() == b"PAR1 rows PAR1"
        path.write_bytes(b"PAR1 other PAR1")
        assert "is not the file that was written" in check(book).wrong[0]
        shutil.rmtree(book.logs)
        assert "is missing" in check(book).wrong[0]
        with pytest.raises(BadBrief, match="leads out"):
            book.write(
                lambda s: register_log(
                    s, only_kitchen(s), new_uid(), "x", first=None, last=None, understood={}, **{**said, "source_sha256": "b" * 64, "parquet": "../x"}
                )
            )
