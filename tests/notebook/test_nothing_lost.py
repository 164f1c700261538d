"""No acknowledged row is lost or doubled: clients killed at random moments, disk full, locked, two starts, connection cut.

A killed process is what is tried here; what a failing power supply takes is left to the disk: the notebook asks it to
synchronise before it answers (``synchronous = FULL``).
"""

import os
import random
import time

import pytest
from sqlalchemy import func, select, text
from tests.notebook import clients

from ingle.jobs import kitchen as k
from ingle.jobs import record as r
from ingle.notebook.backup import check
from ingle.notebook.models import About, Dose, Link, Reading
from ingle.notebook.rows import new_uid
from ingle.notebook.store import open_notebook
from ingle.notebook.trouble import DiskFull, Locked

SOAK = bool(os.environ.get("INGLE_SOAK"))
ROUNDS = {"sqlite": 100, "postgresql": 100} if SOAK else {"sqlite": 20, "postgresql": 4}
CLIENTS = 4


def address(book):
    """Where other processes find it."""
    return str(book.path) if book.path else book.engine.url.render_as_string(hide_password=False)


@pytest.fixture
def kitchen(book):
    """A batch and a lot of salt to write to."""
    k.begin(book, "Fernhollow", zone="Europe/London", prefix="FH")
    return k.lay_in(book, "Collar", part="collar", craft="cure").code, k.receive(book, "salt").code


def rows_of(session, kind, uid):
    """How many rows each part of one write has: all ones, or all noughts."""
    many = lambda model, u: session.scalar(select(func.count()).select_from(model).where(model.uid == u))  # noqa: E731
    if kind == "reading":
        return (many(Reading, uid),)
    salt = new_uid("dose", uid, "salt")
    return many(Dose, salt), many(Dose, new_uid("dose", uid, "sugar")), many(Link, new_uid("link", salt))


def test_clients_killed_at_random_moments(book, kitchen):
    place, (batch, salt) = address(book), kitchen
    seed = int(os.environ.get("INGLE_SEED", "0")) or random.SystemRandom().randrange(1, 10**6)
    chance, stored, open_ended = random.Random(seed), 0, 0
    for round_ in range(ROUNDS[book.engine.dialect.name]):
        running = [clients.start(clients.write_on, place, batch, salt, f"C{i}") for i in range(CLIENTS)]
        assert all(pipe.poll(30) for _, pipe in running)
        time.sleep(chance.uniform(0.0, 0.3))
        for process, _ in running:
            process.kill()
        for process, _ in running:
            process.join(30)
        said = [words for _, pipe in running for words in clients.told(pipe)]
        answered = {w[2]: w for w in said if w[0] == "stored"}
        unanswered = [w for w in said if w[0] == "sends" and w[2] not in answered]
        assert len(unanswered) <= CLIENTS
        with book.look() as session:
            for _, kind, uid, name, n in answered.values():
                assert set(rows_of(session, kind, uid)) == {1}, f"seed {seed}, round {round_}: {kind} {uid} of {name} {n}"
            for _, kind, uid, name, n in unanswered:
                assert len(set(rows_of(session, kind, uid))) == 1, f"seed {seed}, round {round_}: half of {kind} {uid} of {name} {n}"
        for _, kind, uid, name, n in unanswered:  # the client comes back and sends again what it was not told of
            clients.send(book, batch, salt, kind, uid, name, n)
        with book.look() as session:
            assert all(set(rows_of(session, kind, uid)) == {1} for _, kind, uid, _, _ in [*answered.values(), *unanswered])
            stored += len(answered) + len(unanswered)
            open_ended += len(unanswered)
            whole = session.scalar(select(func.count()).select_from(Reading)) + session.scalar(select(func.count()).select_from(Dose)) // 2
            assert whole == stored, f"seed {seed}, round {round_}"
        with open_notebook(place, create=False) as again:
            assert check(again).wrong == ()
    assert stored > 2 * ROUNDS[book.engine.dialect.name] and open_ended > 0, "the kills fell where nothing was written: this test tried nothing"


def test_disk_full(ready):
    place = ready("sqlite")
    with open_notebook(place) as book:
        k.begin(book, "Fernhollow", zone="Europe/London")
        batch = k.lay_in(book, "Collar", part="collar", craft="cure").code
        process, pipe = clients.start(clients.fill_up, place, batch, 150_000)
        process.join(60)
        said = clients.told(pipe)
        full = [w for w in said if w[0] == "full"]
        assert len(full) == 3 and all("is full or did not take the write. Nothing of this was stored" in w[1] for w in full)
        stored = [w[2] for w in said if w[0] == "stored"]
        assert len(stored) > 5 and stored[-1] == full[-1][2]  # and taken once there was room again
        with book.look() as session:
            have = sorted(session.scalars(select(Reading.uid)))
        assert have == sorted(stored)
        assert check(book).wrong == ()


def test_a_copy_that_does_not_fit_is_not_kept(ready, tmp_path):
    import resource

    from ingle.notebook.backup import backup
    from ingle.notebook.export import export_json

    with open_notebook(ready("sqlite")) as book:
        k.begin(book, "Fernhollow", zone="Europe/London")
        for _ in range(30):
            r.reading(book, place="fridge", note="y" * 4000)
        soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
        resource.setrlimit(resource.RLIMIT_FSIZE, (60_000, hard))
        try:
            for make, to in ((backup, "copy"), (export_json, "out.json")):
                with pytest.raises(DiskFull):
                    make(book, tmp_path / to)
        finally:
            resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    assert list(tmp_path.iterdir()) == []


def test_locked_by_another(book, kitchen):
    batch, _ = kitchen
    with open_notebook(address(book), busy_s=0.2) as hasty, book.engine.execution_options(write=True).connect() as other:
        other.begin()
        other.execute(text("SELECT 1") if book.path else text("LOCK TABLE reading IN SHARE ROW EXCLUSIVE MODE"))
        uid = new_uid()
        with pytest.raises(Locked, match=r"being written by someone else. Nothing of this was stored"):
            r.reading(hasty, batch, uid=uid, weight_g=1.0)
        with hasty.look() as session:  # who only reads does not wait
            assert session.scalar(select(func.count()).select_from(Reading)) == 0
        other.rollback()
        assert r.reading(hasty, batch, uid=uid, weight_g=1.0).uid == uid


def test_several_starts_at_once_make_one_notebook(place):
    at = time.time() + 1.0
    running = [clients.start(clients.open_now, place, at) for _ in range(4)]
    for process, _ in running:
        process.join(60)
    assert [[w[0] for w in clients.told(pipe)] for _, pipe in running] == [["open"]] * 4
    with open_notebook(place, create=False) as book, book.look() as session:
        assert session.scalar(select(func.count()).select_from(About)) == 1
        assert check(book).wrong == ()


def test_two_open_the_same_notebook_and_see_each_other(book, kitchen):
    batch, _ = kitchen
    with open_notebook(address(book), create=False) as second:
        mine, theirs = r.reading(book, batch, weight_g=1.0), r.reading(second, batch, weight_g=2.0)
        with book.look() as session:
            assert [x.id for x in session.scalars(select(Reading).order_by(Reading.id))] == [mine.id, theirs.id]


@pytest.mark.parametrize("book", ["postgresql"], indirect=True)
def test_the_connection_is_cut_while_clients_write(book, kitchen, server):
    """The program sends each write again under its UUID, and a client told of a loss does so too: it is there once."""
    place, (batch, salt) = address(book), kitchen
    most = 60 if SOAK else 24
    running = [clients.start(clients.write_on, place, batch, salt, f"C{i}", most) for i in range(CLIENTS)]
    assert all(pipe.poll(30) for _, pipe in running)
    cut = 0
    for _ in range(40 if SOAK else 8):
        time.sleep(0.12)
        cut += server.cut(place)
    said: list[list] = [[] for _ in running]
    for i, (process, pipe) in enumerate(running):
        process.join(120)
        said[i] = clients.told(pipe)
    assert cut >= CLIENTS
    assert [words[-1][0] for words in said] == ["end"] * CLIENTS
    with book.look() as session:
        for words in said:
            stored = [w for w in words if w[0] == "stored"]
            assert len(stored) == most
            assert all(set(rows_of(session, w[1], w[2])) == {1} for w in stored)
        assert session.scalar(select(func.count()).select_from(Dose)) == 2 * CLIENTS * (most // 3)
