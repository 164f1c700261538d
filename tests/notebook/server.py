"""A real PostgreSQL server of our own, in a folder that goes away: only a socket in that folder, no port."""

from __future__ import annotations

import os
import pwd
import resource
import shutil
import subprocess
import tempfile
from itertools import count
from pathlib import Path

import psycopg

PLACES = (*sorted(Path("/usr/lib/postgresql").glob("*/bin"), reverse=True), *(Path(p) for p in os.environ.get("PATH", "").split(":") if p))


def binaries() -> Path | None:
    """Folder with initdb and pg_ctl, the newest first."""
    return next((p for p in PLACES if (p / "initdb").exists() and (p / "pg_ctl").exists()), None)


class Server:
    """A running server; `database` makes a fresh database and gives its address."""

    def __init__(self, bin_: Path, largest: int | None = None) -> None:
        """``largest``: no file of the server grows beyond it [bytes], until it is started again without."""
        self.bin, self.home, self.made = bin_, Path(tempfile.mkdtemp(prefix="ingle-pg-")), count(1)
        self.as_user: dict[str, object] = {}
        if os.geteuid() == 0:  # the server refuses root
            names = {u.pw_name: u for u in pwd.getpwall()}
            user = names.get("postgres") or names["nobody"]
            os.chown(self.home, user.pw_uid, user.pw_gid)
            self.as_user = {"user": user.pw_uid, "group": user.pw_gid, "extra_groups": []}
        self.run("initdb", "-D", str(self.home / "data"), "-U", "ingle", "-A", "trust", "--no-sync", "-E", "UTF8", "--locale=C")
        self.start(largest)

    def start(self, largest: int | None = None) -> None:
        """Start it, or start it again."""
        said = f"-k {self.home} -c listen_addresses='' -c fsync=off -c max_connections=60 -c shared_buffers=16MB"
        self.run("pg_ctl", "-D", str(self.home / "data"), "-w", "-l", str(self.home / "log"), "-m", "fast", "-o", said, "restart", largest=largest)

    def run(self, name: str, *words: str, largest: int | None = None) -> None:
        """One of the server's programs, as the server's user."""

        def limit() -> None:
            if largest is not None:
                resource.setrlimit(resource.RLIMIT_FSIZE, (largest, largest))

        env = {**os.environ, "LC_ALL": "C"}
        done = subprocess.run(
            [str(self.bin / name), *words], stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True, env=env, cwd="/", check=False, preexec_fn=limit,
            **self.as_user,  # type: ignore[call-overload]
        )  # fmt: skip
        assert done.returncode == 0, f"{name}: {done.stderr}"

    def admin(self) -> psycopg.Connection:
        """A connection outside of any test's database."""
        return psycopg.connect(host=str(self.home), user="ingle", dbname="postgres", autocommit=True)

    def database(self, like: str = "template1") -> str:
        """Address of a fresh database: empty, or like another that nobody is in."""
        name = f"kitchen{next(self.made)}"
        with self.admin() as admin:
            admin.execute(f"CREATE DATABASE {name} TEMPLATE {like.rpartition('@/')[2].partition('?')[0]}")
        return f"postgresql://ingle@/{name}?host={self.home}"

    def cut(self, url: str) -> int:
        """Cut every connection to a database, as a failing network would; returns how many."""
        name = url.partition("@/")[2].partition("?")[0]
        with self.admin() as admin:
            found = admin.execute("SELECT count(pg_terminate_backend(pid)) FROM pg_stat_activity WHERE datname = %s", (name,)).fetchone()
        return int(found[0]) if found else 0

    def stop(self) -> None:
        """Stop it and take its folder away."""
        self.run("pg_ctl", "-D", str(self.home / "data"), "-m", "immediate", "-w", "stop")
        shutil.rmtree(self.home, ignore_errors=True)
