"""A server whose disk takes no more. A limit on the size of its files stands for the full disk: that needs no rights.

With a real small disk the server says the same with another number (53100); when the place of its own journal is full it
stops altogether, and what had been answered is there when it is started again with room (docs/notebook.md).
"""

import os

import pytest
from sqlalchemy import select
from tests.notebook.made_up import PNG
from tests.notebook.server import Server, binaries

from ingle.jobs import kitchen as k
from ingle.jobs import record as r
from ingle.notebook.backup import check
from ingle.notebook.models import Reading
from ingle.notebook.rows import new_uid
from ingle.notebook.store import open_notebook
from ingle.notebook.trouble import DiskFull

LARGEST = 17 << 20  # bytes; the server's journal comes in files of 16 MiB


@pytest.mark.usefixtures("server")  # which skips where no server is installed
def test_a_server_whose_disk_is_full_says_so_and_keeps_what_it_answered():
    limited = Server(binaries(), largest=LARGEST)
    try:
        with open_notebook(limited.database()) as book:
            k.begin(book, "Fernhollow", zone="Europe/London")
            batch = k.lay_in(book, "Collar", part="collar", craft="cure").code
            stored, refused = [], []
            while len(refused) < 3:
                assert len(stored) < 60, "the disk was never full: this test tried nothing"
                uid = new_uid()
                try:
                    r.reading(book, batch, uid=uid, photo=PNG + os.urandom(1_000_000))
                    stored.append(uid)
                except DiskFull as why:
                    refused.append(uid)
                    assert "is full or did not take the write. Nothing of this was stored" in why.message
                    assert why.__cause__ is not None
            assert len(stored) > 5
            limited.start()  # with room again
            r.reading(book, batch, uid=refused[-1], photo=PNG + os.urandom(1_000_000))
            with book.look() as session:
                have = set(session.scalars(select(Reading.uid)))
            assert have == {*stored, refused[-1]}
            assert check(book).wrong == ()
    finally:
        limited.stop()
