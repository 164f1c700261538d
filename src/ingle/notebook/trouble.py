"""What can go wrong with a notebook, in words: what is kept, what is not, what to do."""

from __future__ import annotations

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import exc

from ingle.ground.errors import NotebookError

_NO_ROOM = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)
KEPT = "Nothing of this was stored; what was stored before is kept."


class Locked(NotebookError):
    """Someone else held the notebook longer than the wait."""


class DiskFull(NotebookError):
    """The disk did not take it."""


class ConnectionLost(NotebookError):
    """The server went away; whether the last write was taken is not known, and a retry with its UUID settles it."""


class NotANotebook(NotebookError):
    """A file or database that is something else, or is damaged."""


class NewerNotebook(NotebookError):
    """Written by a newer ingle."""


class AlreadyThere(NotebookError):
    """A rule of the notebook stands against it: already corrected, already dosed, a code or name in use."""


class Raced(AlreadyThere):
    """Another client wrote the same identity or code in the same moment; done again, its row is found."""


class NotFound(NotebookError):
    """No row of that code or identity."""


def translate(why: BaseException, where: str) -> NotebookError | None:
    """The error in words, or None where it is a mistake of the program."""
    origin = getattr(why, "orig", why)
    text, code = str(origin).lower(), str(getattr(origin, "sqlstate", "") or "")
    if isinstance(origin, sqlite3.Error):
        return _sqlite(text, where)
    if getattr(why, "connection_invalidated", False) or code[:2] in ("08", "57") or "connection" in text:
        return ConnectionLost(
            f"The connection to {where} was lost.",
            field="notebook",
            value=where,
            remedy="Do it again: a row that was taken is found and not doubled.",
        )
    # a quota or a largest size of files is told by the server as an error of its own, with the file it could not extend
    if code in ("53100", "58030") or (code == "XX000" and ("could not extend file" in text or "could not write" in text)):
        return _full(where)
    if code in ("55P03", "40001", "40P01"):
        return _locked(where)
    if code == "23505":
        return Raced(f"Another client wrote the same in the same moment: {str(origin).splitlines()[0]}. {KEPT}", field="notebook", value=where)
    if isinstance(why, exc.IntegrityError) or code == "23001":
        return _against(str(origin), where)
    if code[:2] == "28" or code == "3D000":
        return NotebookError(f"{where} does not let ingle in: {origin}.", field="notebook", value=where)
    return None


def _sqlite(text: str, where: str) -> NotebookError | None:
    if "locked" in text or "busy" in text:
        return _locked(where)
    if "full" in text or "disk i/o error" in text:
        return _full(where)
    if "not a database" in text or "malformed" in text:
        return NotANotebook(
            f"{where} is not a notebook, or it is damaged ({text}).",
            field="notebook",
            value=where,
            limit="a file made by ingle",
            remedy="Name another file with --notebook, or restore the last copy: ingle backup --restore COPY --to NEW.",
        )
    if "readonly" in text or "unable to open" in text:
        return NotebookError(
            f"{where} cannot be opened for writing. {KEPT}",
            field="notebook",
            value=where,
            remedy="Check the folder's name and who may write in it.",
        )
    if "constraint" in text or "only added" in text or "never taken away" in text:
        return _against(text, where)
    return None


def _locked(where: str) -> NotebookError:
    return Locked(
        f"{where} is being written by someone else. {KEPT}",
        field="notebook",
        value=where,
        remedy="Try again in a moment; close other programs that hold the file.",
    )


def _full(where: str) -> NotebookError:
    return DiskFull(
        f"The disk under {where} is full or did not take the write. {KEPT}",
        field="notebook",
        value=where,
        remedy="Make room on that disk, then do it again.",
    )


def _against(text: str, where: str) -> NotebookError:
    return AlreadyThere(
        f"The notebook does not take this: {text.strip().splitlines()[0]}. {KEPT}",
        field="notebook",
        value=where,
        remedy="Write a correction, or look at what is there.",
    )


@contextmanager
def in_words(where: str) -> Iterator[None]:
    """Turn what the database says into a NotebookError; what is none of its doing passes."""
    try:
        yield
    except (exc.DBAPIError, sqlite3.Error) as why:
        told = translate(why, where)
        if told is None:
            raise
        raise told from why
    except OSError as why:
        if why.errno in _NO_ROOM:
            raise _full(where) from why
        raise NotebookError(f"{where}: {why.strerror}. {KEPT}", field="notebook", value=where) from why
