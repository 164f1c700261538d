"""Triggers that refuse to change or take away what was written, in both engines.

Used by migrations; what they make for a given word must stay as it is. SQLite's ``REPLACE`` takes rows away without
asking a trigger unless recursive triggers are on, so an insert over a row that is there is refused as well.
"""

from __future__ import annotations

from sqlalchemy.engine import Connection

_WORDS = {
    "UPDATE": "rows of {table} are only added; write a correction",
    "DELETE": "rows of {table} are never taken away; write a correction",
}


def append_only(connection: Connection, *tables: str) -> None:
    """Refuse UPDATE, DELETE and replacing."""
    for table in tables:
        _refuse(connection, table, "UPDATE")
    never_delete(connection, *tables)


def never_delete(connection: Connection, *tables: str) -> None:
    """Refuse DELETE and replacing."""
    for table in tables:
        _refuse(connection, table, "DELETE")
        if connection.dialect.name == "sqlite":
            has_uid = any(row[1] == "uid" for row in connection.exec_driver_sql(f"PRAGMA table_info({table})"))
            same = "id = NEW.id" + (" OR uid = NEW.uid" if has_uid else "")
            connection.exec_driver_sql(
                f"CREATE TRIGGER {table}_no_replace BEFORE INSERT ON {table} WHEN EXISTS (SELECT 1 FROM {table} WHERE {same}) "
                f"BEGIN SELECT RAISE(ABORT, '{_WORDS['DELETE'].format(table=table)}'); END"
            )
        else:
            connection.exec_driver_sql(
                f"CREATE TRIGGER {table}_no_truncate BEFORE TRUNCATE ON {table} FOR EACH STATEMENT EXECUTE FUNCTION ingle_only_added()"
            )


def _refuse(connection: Connection, table: str, verb: str) -> None:
    name = f"{table}_no_{verb.lower()}"
    if connection.dialect.name == "sqlite":
        connection.exec_driver_sql(
            f"CREATE TRIGGER {name} BEFORE {verb} ON {table} BEGIN SELECT RAISE(ABORT, '{_WORDS[verb].format(table=table)}'); END"
        )
        return
    connection.exec_driver_sql(
        "CREATE OR REPLACE FUNCTION ingle_only_added() RETURNS trigger LANGUAGE plpgsql AS "
        "$$ BEGIN RAISE EXCEPTION 'rows of %% are only added; write a correction', TG_TABLE_NAME USING ERRCODE = '23001'; END $$"
    )
    connection.exec_driver_sql(
        f"CREATE TRIGGER {name} BEFORE {verb} ON {table} FOR EACH ROW EXECUTE FUNCTION ingle_only_added()"
    )
