"""Every test of the notebook runs on a file and on a real PostgreSQL server."""

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from tests.notebook.made_up import fill
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


@pytest.fixture(scope="session")
def ready(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], str]:
    """A place with an empty notebook in it, copied from one that was made once."""
    made: dict[str, str] = {}

    def give(kind: str) -> str:
        if kind == "sqlite":
            if kind not in made:
                made[kind] = str(tmp_path_factory.mktemp("ready") / "empty.notebook")
                open_notebook(made[kind]).close()
            place = tmp_path_factory.mktemp("book") / "kitchen.notebook"
            shutil.copyfile(made[kind], place)
            return str(place)
        server = request.getfixturevalue("server")
        if kind not in made:
            made[kind] = server.database()
            open_notebook(made[kind]).close()
        return server.database(made[kind])

    return give


@pytest.fixture(params=["sqlite", "postgresql"])
def book(request: pytest.FixtureRequest, ready: Callable[[str], str]) -> Iterator[Notebook]:
    """An empty notebook."""
    with open_notebook(ready(request.param)) as made:
        yield made


@pytest.fixture(scope="module", params=["sqlite", "postgresql"])
def filled(request: pytest.FixtureRequest, ready: Callable[[str], str]) -> Iterator[Notebook]:
    """A notebook with a row in most tables, for tests that only look or are refused."""
    with open_notebook(ready(request.param)) as made:
        fill(made)
        yield made
