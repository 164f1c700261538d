"""What each answer holds, for the interface's description. Keys as docs/schema has them; inner things are described there."""

from __future__ import annotations

from typing import Any

_ERROR = {
    "type": "object",
    "required": ["error", "message", "field", "value", "limit", "remedy"],
    "properties": {
        "error": {"type": "string"}, "message": {"type": "string", "description": "What is wrong."}, "field": {"type": "string"},
        "value": {"type": ["string", "null"], "description": "What was given."}, "limit": {"type": ["string", "null"], "description": "The limit, or the choices."},
        "remedy": {"type": "string", "description": "The one act that helps."}, "clash": {"type": "array"}, "remedies": {"type": "array"},
    },
}  # fmt: skip


def _said(words: str, schema: dict[str, Any]) -> dict[str, Any]:
    return {"description": words, "content": {"application/json": {"schema": schema}}}


ERRORS: dict[int | str, dict[str, Any]] = {
    code: _said(words, _ERROR)
    for code, words in {
        400: "Not done here, with the reason.", 401: "Sign in first.", 403: "Sent from another page.", 404: "Not there.", 409: "A rule of the notebook stands against it.",
        413: "Larger than is taken.", 415: "Not a kind that is taken.", 422: "Not understood, or out of range.", 503: "The notebook cannot be used now.",
    }.items()
}  # fmt: skip

_TYPES: dict[str, Any] = {
    "s": {"type": "string"}, "s?": {"type": ["string", "null"]}, "n": {"type": "number"}, "n?": {"type": ["number", "null"]}, "b": {"type": "boolean"},
    "i": {"type": "integer"}, "o": {"type": "object"}, "o?": {"type": ["object", "null"]}, "a": {"type": "array"}, "a?": {"type": ["array", "null"]},
    "level": {"enum": ["within", "near", "over", "cannot_say"]}, "level?": {"enum": ["within", "near", "over", "cannot_say", None]},
    "words": {"type": "array", "items": {"type": "string"}}, "objects": {"type": "array", "items": {"type": "object"}}, "any": {},
}  # fmt: skip

KEYS: dict[str, str] = {}


def answered(name: str, status: int = 200) -> dict[int | str, dict[str, Any]]:
    """The description of a command's answer."""
    held = [pair.rpartition(":") for pair in KEYS.get(name, "").split()]
    schema = {
        "type": "object", "title": name, "required": [k for k, _, kind in held if not k.endswith("*")],
        "properties": {k.removesuffix("*"): _TYPES[kind] for k, _, kind in held},
    }  # fmt: skip
    return {status: _said("As --json prints it.", schema)}
