"""Tracing beside a plain walk over the links, written apart."""

import random
from collections import deque

import pytest
from sqlalchemy import select
from tests.notebook.made_up import fill

from ingle.jobs import kitchen as k
from ingle.jobs import record as r
from ingle.jobs.trace import follow
from ingle.notebook.models import Link


def walk(links, start, forward):
    """Everything reached, by breadth, with the least number of links."""
    seen, queue = {start: 0}, deque([start])
    while queue:
        here = queue.popleft()
        for a, b in links:
            there = b if forward and a == here else a if not forward and b == here else None
            if there is not None and there not in seen:
                seen[there] = seen[here] + 1
                queue.append(there)
    del seen[start]
    return seen


def test_a_lot_is_followed_to_every_pack_and_back(book):
    made = fill(book)
    told = follow(book, made.lot.code)
    assert [n.code for n in told.forward.nodes] == [made.piece.code, made.batch.code, made.loaf.code, made.pack.code]
    assert [(g.code, g.made, g.left, [h[:3] for h in g.handed]) for g in told.packs] == [
        (made.pack.code, 6, 2, [("Mrs Appleyard", "allotment 7", 4)])
    ]
    assert [n.code for n in told.unpacked] == [made.loaf.code]  # made, and not packed: still in the kitchen
    back = follow(book, made.pack.code)
    assert {n.code for n in back.lots} == {made.lot.code, made.salt.code}  # the salt that was weighed in as well
    assert back.as_dict()["people"] == ["Mrs Appleyard"]


def test_a_link_that_was_a_mistake_is_not_followed(book):
    made = fill(book)
    with book.look() as session:
        wrong = session.scalar(select(Link.id).where(Link.from_id == made.batch.id, Link.to_id == made.loaf.id))
    r.correct(book, "link", str(wrong), void=True)
    assert made.loaf.code not in {n.code for n in follow(book, made.lot.code).forward.nodes}
    assert follow(book, made.loaf.code).back.nodes == ()


@pytest.mark.parametrize("seed", [1, 2])
def test_any_web_of_links_is_followed_as_a_plain_walk_does(book, seed):
    chance = random.Random(seed)
    k.begin(book, "Fernhollow", zone="Europe/London", prefix="FH")
    things = [k.receive(book, f"item {i}") for i in range(3)]
    for i in range(14):
        takes = [t.code for t in chance.sample(things, k=min(len(things), chance.randrange(1, 4)))]
        things.append(k.lay_in(book, f"batch {i}", part="x", craft="cure", takes=takes))
    with book.look() as session:
        links = [tuple(x) for x in session.execute(select(Link.from_id, Link.to_id))]
    for thing in things:
        told = follow(book, thing.code)
        assert {n.id: n.steps for n in told.forward.nodes} == walk(links, thing.id, True)
        assert {n.id: n.steps for n in told.back.nodes} == walk(links, thing.id, False)
        assert sorted({(w.from_id, w.to_id) for w in told.forward.ways}) == sorted(
            {(a, b) for a, b in links if a == thing.id or a in walk(links, thing.id, True)}
        )
