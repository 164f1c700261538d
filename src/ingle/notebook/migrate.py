"""Bring a notebook's tables to this version: under one lock, in one transaction, after a copy of what was there."""

from __future__ import annotations

import sqlite3
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy import inspect
from sqlalchemy.engine import Connection, Engine

from ingle.notebook.trouble import NewerNotebook, NotANotebook

HEAD = "0004"  # the newest change; a test holds it beside the migrations
SCRIPTS = Path(__file__).parent / "migrations"
APPLICATION_ID = 0x494E474C  # "INGL", in the head of an SQLite file
_LOCK = 0x494E474C  # PostgreSQL's advisory lock while tables change


def revision(connection: Connection) -> str | None:
    """The newest change this notebook has; None for an empty one."""
    names = set(inspect(connection).get_table_names())
    if "alembic_version" not in names:
        if names:
            raise NotANotebook(
                f"{_where(connection)} holds other tables ({', '.join(sorted(names)[:3])}): it is not a notebook of ingle.",
                field="notebook",
                value=_where(connection),
                limit="an empty database, or one made by ingle",
                remedy="Name another file or database with --notebook.",
            )
        return None
    if "reading" not in names or "about" not in names:
        raise NotANotebook(
            f"{_where(connection)} belongs to another program.", field="notebook", value=_where(connection),
            limit="made by ingle", remedy="Name another file or database with --notebook.",
        )  # fmt: skip
    found = connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar()
    return None if found is None else str(found)


def _where(connection: Connection) -> str:
    return connection.engine.url.render_as_string(hide_password=True).removeprefix("sqlite:///")


def upgrade(engine: Engine, *, head: str = HEAD, scripts: Path = SCRIPTS) -> Path | str | None:
    """Run what is missing. Returns where the copy of the old state is, or None when nothing old was there."""
    with engine.execution_options(write=True).begin() as connection:
        if engine.dialect.name == "postgresql":
            connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({_LOCK})")
        have = revision(connection)
        if have == head:
            return None
        from alembic.script import ScriptDirectory  # alembic is slow to load and wanted once in a notebook's life

        config = _config(scripts, connection)
        known = {s.revision for s in ScriptDirectory.from_config(config).walk_revisions()}
        if have is not None and have not in known:
            raise NewerNotebook(
                f"{_where(connection)} was written by a newer ingle (its tables are {have}, this ingle knows {head}). Nothing was changed.",
                field="notebook", value=have, limit=head, remedy="Use the newer ingle.",
            )  # fmt: skip
        copy = None if have is None else _copy(engine, connection, head)
        from alembic import command

        command.upgrade(config, head)
        if engine.dialect.name == "sqlite":
            connection.exec_driver_sql(f"PRAGMA application_id = {APPLICATION_ID}")
        return copy


def known(scripts: Path = SCRIPTS) -> frozenset[str]:
    """Every state of the tables that this ingle can bring up to date."""
    from alembic.config import Config
    from alembic.script import ScriptDirectory

    config = Config()
    config.set_main_option("script_location", str(scripts).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    return frozenset(s.revision for s in ScriptDirectory.from_config(config).walk_revisions())


def _config(scripts: Path, connection: Connection):  # type: ignore[no-untyped-def]
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(scripts).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    return config


def _copy(engine: Engine, connection: Connection, head: str) -> Path | str:
    """The old state, kept: a file beside the file, or a schema beside the tables."""
    stamp = datetime.now(UTC).strftime("%Y%m%dT%H%M%SZ")
    if engine.dialect.name == "sqlite":
        path = Path(str(engine.url.database))
        target = path.with_name(f"{path.name}.before-{head}-{stamp}")
        # a second connection reads the state before this transaction
        source, into = sqlite3.connect(path), sqlite3.connect(target)
        try:
            source.backup(into)
        finally:
            source.close()
            into.close()
        return target
    schema = f"before_{head}_{stamp.lower()}"
    tables = inspect(connection).get_table_names()
    connection.exec_driver_sql(f'CREATE SCHEMA "{schema}"')
    for table in tables:
        connection.exec_driver_sql(f'CREATE TABLE "{schema}"."{table}" AS TABLE "{table}"')
    return schema
