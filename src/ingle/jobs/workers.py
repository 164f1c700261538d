"""Who works out the parts of a large ensemble: this process, more cores of this machine, or a Dask cluster by its address.

Each gives what `history_parts.Each` asks for: one work done for each part, results in the order of the parts, a word after each.
The parts are the same for all of them, and so are the numbers (a cluster of another kind of processor may round differently).
Which pays is measured in ``benchmarks/workers.py``: a few thousand members are sooner done here.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import Any, TypeVar

import numpy as np

from ingle.crafts.cure.history_parts import Each
from ingle.ground.errors import BadBrief
from ingle.ground.memory import keep_freed

Given = TypeVar("Given")
Found = TypeVar("Found")
CONNECT_S = 10.0
_ADDRESS = re.compile(r"(tcp|tls)://(\[[0-9a-fA-F:.]+\]|[\w.-]+):\d{1,5}")


@contextmanager
def workers(cores: int | None = None, cluster: str | None = None) -> Iterator[Each | None]:
    """Workers that stay as long as the block.

    Parameters
    ----------
    cores : int, optional
        Processes of this machine, 1 and more; 1 or left out: this process alone, and nothing is given.
    cluster : str, optional
        Address of a Dask scheduler, like tcp://10.0.0.5:8786. Its workers need the same ingle. Who reaches a scheduler can run
        anything on its workers: keep it inside your own network.

    Raises
    ------
    BadBrief
        Both were asked for; more cores than there are; no scheduler, no worker, or workers of another version.
    """
    if cluster is not None:
        if cores is not None:
            raise BadBrief(
                f"--cores {cores} and --cluster {cluster} were both given.", field="cluster", value=cluster,
                limit="one of cores, cluster", remedy="Give --cores for this machine or --cluster for others.",
            )  # fmt: skip
        with _client(cluster) as client:
            yield _on_cluster(client)
    elif cores is None or _require_cores(cores) == 1:
        yield None
    else:
        with _pool(cores) as pool:
            yield _on_cores(pool)


def cores_here() -> int:
    """Cores this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def versions() -> dict[str, str]:
    """What must be the same everywhere for the numbers to be the same."""
    from importlib.metadata import version  # asked of a cluster only

    return {"ingle": version("ingle"), "numpy": np.__version__}


def made_ready() -> dict[str, str]:
    """Done on every worker of a cluster once: it keeps its memory from part to part, and says its versions."""
    keep_freed()
    return versions()


def _require_cores(cores: int) -> int:
    here = cores_here()
    if not 1 <= cores <= here:
        raise BadBrief(
            f"cores is {cores}; this machine has {here}.", field="cores", value=cores, limit=f"1 to {here}",
            remedy=f"Give 1 to {here}, or a cluster (--cluster tcp://HOST:8786).",
        )  # fmt: skip
    return cores


@contextmanager
def _pool(cores: int) -> Iterator[Any]:
    """Fresh processes: a forked one would share locks and threads of this one."""
    from concurrent.futures import ProcessPoolExecutor  # a fifth of a second that a single cure does without
    from multiprocessing import get_context

    pool = ProcessPoolExecutor(cores, mp_context=get_context("spawn"), initializer=keep_freed)
    try:
        yield pool
    finally:
        pool.shutdown(cancel_futures=True)


def _on_cores(pool: Any) -> Each:
    from concurrent.futures import as_completed
    from concurrent.futures.process import BrokenProcessPool

    def each(work: Callable[[Given], Found], parts: Sequence[Given], seen: Callable[[int], None]) -> list[Found]:
        sent = [pool.submit(work, part) for part in parts]
        try:
            for done, future in enumerate(as_completed(sent), 1):
                future.result()
                seen(done)
        except BrokenProcessPool as error:
            raise BadBrief(
                "A process ended before its part was worked out: most often the memory was used up.", field="cores",
                value=len(parts), limit="what the memory holds", remedy="Ask for fewer members or fewer cores.",
            ) from error  # fmt: skip
        finally:
            for future in sent:
                future.cancel()
        return [future.result() for future in sent]

    return each


@contextmanager
def _client(address: str) -> Iterator[Any]:
    """A connection to a scheduler that has workers of our own version."""
    try:
        from distributed import Client  # an extra: large, and few have a cluster
    except ImportError as error:
        raise BadBrief(
            "A cluster needs the package distributed, which is not installed.", field="cluster", value=address,
            limit="pip install 'ingle[cluster]'", remedy="Install it (requirements/cluster.lock), or use --cores.",
        ) from error  # fmt: skip
    if not _ADDRESS.fullmatch(address):
        raise BadBrief(
            f"{address!r} is not an address.", field="cluster", value=address, limit="like tcp://10.0.0.5:8786",
            remedy="Give the address that dask scheduler prints.",
        )  # fmt: skip
    try:
        client = Client(address, timeout=CONNECT_S, set_as_default=False)
    except (OSError, ValueError, TimeoutError) as error:
        raise BadBrief(
            f"No scheduler answers at {address} within {CONNECT_S:g} s.", field="cluster", value=address,
            limit="like tcp://10.0.0.5:8786", remedy="Start one (dask scheduler) and give the address it prints.",
        ) from error  # fmt: skip
    try:
        _require_workers(client, address)
        yield client
    finally:
        client.close()


def _require_workers(client: Any, address: str) -> None:
    if not client.scheduler_info()["workers"]:
        raise BadBrief(
            f"The scheduler at {address} has no workers.", field="cluster", value=address, limit="at least one worker",
            remedy=f"Start some: dask worker {address}.",
        )  # fmt: skip
    ours = versions()
    try:
        theirs = client.run(made_ready)
    except Exception as error:  # whatever a worker without ingle answers with
        raise BadBrief(
            f"A worker at {address} cannot load ingle: {error}.", field="cluster", value=address,
            limit=f"ingle {ours['ingle']} on every worker", remedy="Install the same ingle on every worker.",
        ) from error  # fmt: skip
    for worker, found in theirs.items():
        if found != ours:
            raise BadBrief(
                f"Worker {worker} has {_said(found)}; here is {_said(ours)}. The numbers could differ.", field="cluster",
                value=_said(found), limit=_said(ours), remedy="Install the same versions on every worker.",
            )  # fmt: skip


def _said(found: dict[str, str]) -> str:
    return ", ".join(f"{name} {version}" for name, version in found.items())


def _on_cluster(client: Any) -> Each:
    from distributed import CancelledError, KilledWorker, as_completed

    def each(work: Callable[[Given], Found], parts: Sequence[Given], seen: Callable[[int], None]) -> list[Found]:
        sent = client.map(work, list(parts), pure=False, key=f"{work.__module__}.{work.__name__}", batch_size=None)
        try:
            for done, future in enumerate(as_completed(sent, loop=client.loop), 1):
                future.result()
                seen(done)
            return list(client.gather(sent))
        except (KilledWorker, CancelledError, OSError) as error:
            raise BadBrief(
                "The cluster lost a part: its workers ended, or the scheduler went away.", field="cluster",
                value=client.scheduler.address, limit="workers that stay", remedy="See the workers' own log; then ask again.",
            ) from error  # fmt: skip
        finally:
            client.cancel(sent)

    return each
