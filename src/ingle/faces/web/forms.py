"""What a form sent: its token checked, its fields read with their units, all that is wrong collected, nothing lost."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import UTC, datetime, timedelta
from typing import Annotated, Any, TypeVar

from fastapi import Depends, Request
from starlette.datastructures import FormData, UploadFile

from ingle.faces.web.page import Wrong, state
from ingle.faces.web.security import token_fits
from ingle.ground.errors import BadBrief, IngleError, Refused

T = TypeVar("T")
MOST_FIELDS = 400
LONGEST_KEPT = timedelta(days=60)  # a phone found again in a drawer
CLOCKS_AGREE = timedelta(seconds=15)  # what a slow network alone may make of two clocks that show the same


class NotOurs(Refused):
    """A post without this session's token."""


class Typed(dict[str, str]):
    """Fields as typed; one that never came is empty."""

    def __missing__(self, key: str) -> str:
        return ""


class Form:
    """The fields of a post, and what was found wrong with them."""

    def __init__(self, sent: FormData):
        self._sent = sent
        self.wrong: list[Wrong] = []

    def text(self, name: str, default: str = "") -> str:
        """A field as typed, without the blanks around it."""
        value = self._sent.get(name)
        return value.strip() if isinstance(value, str) else default

    def all(self, name: str) -> list[str]:
        """All fields of that name, the empty ones too: rows keep their places."""
        return [v.strip() for v in self._sent.getlist(name) if isinstance(v, str)]

    def has(self, name: str) -> bool:
        """Whether a box is ticked or a button was the one pressed."""
        return name in self._sent

    def file(self, name: str) -> UploadFile | None:
        """A file, where one was chosen."""
        value = self._sent.get(name)
        return value if isinstance(value, UploadFile) and value.filename else None

    @property
    def uid(self) -> str | None:
        """The identity the form was made with: sent twice it writes once."""
        return self.text("uid") or None

    @property
    def at(self) -> datetime | None:
        """When it was pressed, where the page kept it without a network and sends it later; None: now.

        The phone's clock tells both when it was pressed and when it is sent: where it is wrong, what lies between them still counts.
        """
        told, sent = self._moment("kept_at"), self._moment("sent_at")
        if told is None:
            return None
        now = datetime.now(UTC)
        if sent is not None and abs(now - sent) > CLOCKS_AGREE:
            told += now - sent
        return told if now - LONGEST_KEPT <= told <= now else None

    def _moment(self, name: str) -> datetime | None:
        try:
            told = datetime.fromisoformat(self.text(name))
        except ValueError:
            return None
        return told if told.tzinfo is not None else None

    @property
    def pairs(self) -> list[tuple[str, str]]:
        """Every field as it was sent, in order."""
        return [(k, v) for k, v in self._sent.multi_items() if isinstance(v, str)]

    @property
    def typed(self) -> Typed:
        """Every field as typed, to be shown again."""
        return Typed((k, v) for k, v in self._sent.multi_items() if isinstance(v, str) and k != "csrf")

    def read(self, name: str, reader: Callable[..., T], *more: Any, needed: str = "", **say: Any) -> T | None:
        """A field through a reader of units; None where it is empty or wrong. ``needed`` says what is missing."""
        written = self.text(name)
        if not written:
            if needed:
                self.wrong.append(Wrong(name, needed))
            return None
        try:
            return reader(written, *(more or (name.replace("_", " "),)), **say)
        except IngleError as why:
            self.wrong.append(Wrong(name, said(why)))
            return None

    def blame(self, why: IngleError, known: Mapping[str, str] | None = None) -> None:
        """An error of a job beside the field it names."""
        self.wrong.append(wrong_of(why, known or {k: k for k in self.typed}))


def wrong_of(why: IngleError, known: Mapping[str, str]) -> Wrong:
    """A job's error beside the form's field of that name: ``serve[0].grams_per_plate`` to "grams_per_plate"."""
    last = why.field.rpartition(".")[2].partition("[")[0].replace("-", "_").replace(" ", "_")
    found = known.get(why.field) or known.get(last) or known.get(why.field.replace("-", "_")) or ""
    return Wrong(found, said(why))


def said(why: IngleError) -> str:
    """An error in the page's words: a remedy that is a command's is left out, the field itself is the remedy."""
    message = why.message[:1].upper() + why.message[1:]
    return message if not why.remedy or in_command_words(why.remedy) else f"{message} {why.remedy}"


def in_command_words(remedy: str) -> bool:
    """Whether a remedy tells what to type at a terminal."""
    return "ingle " in remedy or "--" in remedy


def number(written: str, field: str) -> float:
    """A bare number with a point or a comma."""
    try:
        return float(written.replace(",", ".").replace("\u2212", "-"))
    except ValueError:
        raise BadBrief(f"{field} {written!r} is not a number.", field=field, value=written, remedy="Write it like 5.6.") from None


async def read_form(request: Request) -> Form:
    """The form of a post of this session."""
    config, _, session = state(request)
    sent = await request.form(max_files=8, max_fields=MOST_FIELDS)
    given = sent.get("csrf")
    if not isinstance(given, str) or not token_fits(config, session, given):
        raise NotOurs(
            "This form is from another visit, or from another page. Nothing was stored.", field="csrf", remedy="Go back, load the page anew, and send it again."
        )
    return Form(sent)


Sent = Annotated[Form, Depends(read_form)]
