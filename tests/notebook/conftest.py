"""Every test of the notebook runs on a file and on a real PostgreSQL server."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.notebook.server import Server, binaries

from ingle.notebook.store import Notebook, open_notebook


@pytest.fixture(scope="session")
def server() -> Iterator[Server]:
    """One server for the session."""
    found = binaries()
    if found is None:
        pytest.skip("no PostgreSQL server is installed (apt-get install postgresql)")
    running = Server(found)
    yield running
    running.stop()


@pytest.fixture(params=["sqlite", "postgresql"])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Where a notebook can be made: a path, or a database's address."""
    if request.param == "sqlite":
        return str(tmp_path / "kitchen.notebook")
    return request.getfixturevalue("server").database()  # type: ignore[no-any-return]


@pytest.fixture
def other(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Another place of the same kind as ``place``."""
    if request.node.callspec.params["place"] == "sqlite":
        return str(tmp_path / "other.notebook")
    return request.getfixturevalue("server").database()  # type: ignore[no-any-return]


@pytest.fixture
def book(place: str) -> Iterator[Notebook]:
    """An empty notebook."""
    with open_notebook(place) as made:
        yield made
