"""Links held in memory while a notebook is open: always those that the database has, however they came there."""

import pytest
from sqlalchemy import insert
from sqlalchemy.orm import Session
from tests.notebook.made_up import AT, fill
from tests.notebook.test_round_trips import asked

from ingle.jobs import kitchen as k
from ingle.jobs import record as r
from ingle.jobs.trace import follow, glance
from ingle.notebook import kitchens
from ingle.notebook.models import Link
from ingle.notebook.rows import new_uid, only_kitchen
from ingle.notebook.store import open_notebook


def family(book, many):
    """A lot of salt that is in every batch, each batch in two kinds of packs, every other batch in the next one too."""
    k.begin(book, "Fernhollow", zone="Europe/London", prefix="FH")
    salt = k.receive(book, "salt", at=AT)

    def work(session):
        home = only_kitchen(session)
        lot, last = kitchens.traced(session, salt.code), None
        for n in range(many):
            batch = kitchens.lay_in(session, home, new_uid("batch", n), f"batch {n}", part="x", craft="cure", at=AT)
            kitchens.link(session, home, new_uid("salt", n), lot, batch, amount_g=30.0, at=AT)
            if last is not None and n % 2:
                kitchens.link(session, home, new_uid("next", n), last, batch, at=AT)
            for p in range(2):
                pack = kitchens.pack(session, home, new_uid("pack", n, p), "slices", [batch], count=5, net_weight_g=200.0, at=AT)
                kitchens.hand(session, pack, new_uid("hand", n, p), f"guest {n % 7}", count=3, at=AT)
            last = batch

    book.write(work)
    return salt.code


def test_a_page_counts_what_the_whole_lists(book):
    code = family(book, 12)
    whole = follow(book, code)
    seen = [glance(book, code, most=10, page=n) for n in (1, 2, 3, 4)]
    first = seen[0]
    assert (first.backs, first.forwards, first.kinds) == (0, 36, {"lot": 0, "piece": 0, "batch": 12, "pack": 24})
    assert (first.left, first.people, first.kinds_of_packs, first.loose) == (48, 7, 24, 0)
    assert first.left == sum(g.left for g in whole.packs)
    assert [s.page for s in seen] == [1, 2, 3, 4] and first.pages == 4
    assert tuple(n for s in seen for n in s.forward) == whole.forward.nodes
    assert tuple(g for s in seen for g in s.packs) == whole.packs
    assert glance(book, code, most=10, page=99) == seen[3]
    back = glance(book, whole.packs[-1].code)
    assert [n.kind for n in back.back] == ["batch", "lot", "batch"]  # by how many links away: its batch, then the salt and the batch before
    assert back.kinds_of_packs == 1 and back.left == 2 and back.people == 1


def test_a_page_asks_as_often_for_a_hundred_batches_as_for_two(book):
    code = family(book, 2)
    counts = []
    for many in (0, 40):
        for n in range(many):
            k.lay_in(book, f"more {n}", part="x", craft="cure", takes=[code])
        glance(book, code)
        with asked(book) as told:
            seen = glance(book, code, most=20)
        counts.append(len(told) - (seen.loose > 0))  # one more where something is not packed
    assert counts[0] == counts[1] <= 10


def test_a_chain_is_followed_to_its_end_however_long(book):
    k.begin(book, "Fernhollow", zone="Europe/London", prefix="FH")
    starter = k.receive(book, "rye starter", at=AT)
    last = starter
    for n in range(80):  # a starter that is fed from itself
        last = k.lay_in(book, f"loaf {n}", part="loaf", craft="bread", takes=[last.code], at=AT)
    told = follow(book, starter.code)
    assert told.forward.nodes[-1].code == last.code and told.forward.nodes[-1].steps == 80
    assert [n.code for n in follow(book, last.code).lots] == [starter.code]


def test_what_another_client_writes_is_seen_at_once(book):
    made = fill(book)
    assert (glance(book, made.lot.code).left, glance(book, made.lot.code).people) == (2, 1)
    where = str(book.path) if book.path else book.engine.url.render_as_string(hide_password=False)
    with open_notebook(where) as other:
        loaf = k.lay_in(other, "Second loaf", part="loaf", craft="bread", takes=[made.batch.code], at=AT)
        out = k.hand(other, made.pack.code, "Mr Rowntree", count=1, at=AT)
        told = glance(book, made.lot.code)
        assert loaf.code in [n.code for n in told.forward] and (told.left, told.people) == (1, 2)
        r.correct(other, "handed", str(out.id), void=True)
        told = glance(book, made.lot.code)
        assert (told.left, told.people) == (2, 1)
        fresh = k.receive(other, "pork belly", at=AT)
        assert glance(book, fresh.code).forwards == 0  # a thing that no link has named yet


def test_a_write_that_was_taken_back_leaves_nothing(book):
    made = fill(book)
    before = glance(book, made.lot.code)

    def work(session):
        home = only_kitchen(session)
        batch = kitchens.lay_in(session, home, new_uid("x"), "Never", part="x", craft="cure", at=AT)
        kitchens.link(session, home, new_uid("y"), kitchens.traced(session, made.lot.code), batch, at=AT)
        raise RuntimeError("no")

    with pytest.raises(RuntimeError):
        book.write(work)
    assert glance(book, made.lot.code) == before
    later = k.lay_in(book, "Kept", part="x", craft="cure", takes=[made.lot.code], at=AT)
    assert {n.code for n in glance(book, made.lot.code).forward} == {*(n.code for n in before.forward), later.code}


def test_on_a_server_a_link_that_comes_to_light_after_a_later_one_is_not_missed(ready):
    with open_notebook(ready("postgresql")) as book:
        code = family(book, 3)
        new = k.lay_in(book, "New", part="x", craft="cure", at=AT)
        other = k.lay_in(book, "Other", part="x", craft="cure", at=AT)
        with book.look() as session:
            salt = kitchens.traced(session, code)
        said = {"from_id": salt.id, "item": "", "amount_g": None, "void": False, "corrects_id": None, "at_utc": AT, "zone": "UTC", "who": "", "written_utc": AT}
        with Session(book.engine) as slow, Session(book.engine) as quick:
            slow.execute(insert(Link), {**said, "uid": new_uid("slow"), "to_id": new.id})  # has the lower number, not committed
            quick.execute(insert(Link), {**said, "uid": new_uid("quick"), "to_id": other.id})
            quick.commit()
            codes = {n.code for n in glance(book, code).forward}
            assert other.code in codes and new.code not in codes
            slow.commit()
            assert new.code in {n.code for n in glance(book, code).forward}
