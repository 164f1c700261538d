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

# key:kind, "*" where an answer may lack it, "?" where it may be null
KEYS: dict[str, str] = {
    "weigh": "method:s product:s rules:words rules_named:b on:s green_weight_g:n base_g:n base:s step_g:n grams:o ingoing:o salt_per_green_weight:n "
    "accountings:objects premix:o? scale_too_coarse:b level:level strictest:s? pieces:a shares:a verdicts:objects cautions:words not_checked:words "
    "notes:words with_1_g_scale:o?",
    "judge": "kind:s method:s product:s rules:words rules_named:b on:s green_weight_g:n base_g:n base:s ingoing:o salt_per_green_weight:n wished_salt:n "
    "accountings:objects level:level strictest:s? shares:a verdicts:objects advice:objects cautions:words not_checked:words forecast:o?",
    "cure": "window_h*:o what*:s even_h*:any at_chance*:any kind*:s salt_per_green_weight*:n wished_salt*:n? curve*:objects weight*:objects frames*:objects "
    "section*:s grains_h*:a left_salt_g_per_100g*:n? assumed*:words not_in_it:words",
    "cook": "time_to_core_s:n? time_to_core_low_s:n? time_to_core_high_s:n? core_c:n? start_c:n plateau_c:n? pull_early:o? peak_core_c:o weight_loss:o? "
    "energy_kj:o? weight_kg:n? slowest_point:s stages:objects curve:objects lethality:objects cooling:a product:s assumed:objects not_in_it:words "
    "cautions:words basis:s heat_account_closes_to:n?",
    "chill": "level:level strictest:s stages:objects remedies:a start_c*:n air_c*:n to_5c_s*:n? weight_loss*:o? slowest_point*:s programme*:objects "
    "curve*:objects basis*:s heat_account_closes_to*:n? log*:o freezing*:objects assumed:a not_in_it:words cautions:words",
    "keep": "food:s name:s part:s where:s packed:s eaten:s kept_h:n level:level hard_stop:s? use_by:o? best_by:o? growth:a verdicts:a lines:a freezer:o? changes:a "
    "assumed:words notes:words not_checked:words cautions:words",
    "mishap": "level:level act:s why:s urgency:s choices:a settle:s deviation:o? lines:objects failing:a over_before:words cure:o? curve:objects "
    "assumed:words not_in_it:words cautions:words",
    "crackle": "level:level chance:n minutes:any why:s act:s chance_after_act:n? stopped_by:any warnings:words weight_g:o fridge:a drying_by_practice:o? "
    "water_into_oven_pct:o water_end_pct:o curve:any crackling_g:o fat_run_off:o salt_to_rub:o salt_per_crackling:n no_sooner_than_min:n? recrisp:o? oven:objects "
    "assumed:words not_modelled:words not_checked:words sure:s doubt:s cautions:words",
    **dict.fromkeys(
        ("smoke", "brine", "butter", "bread", "dough", "sauce"),
        "level:level? asked:s figures:o notes:words verdicts:objects acts:objects assumed:words not_modelled:words not_checked:words cautions:words",
    ),
    "record": "written*:objects from*:s into*:s again_of*:s changes*:words code*:s? weigh*:o batches*:objects",
    "today": "now:s kitchen:s zone:s notebook:s next:o? tasks:a waiting:a needs:a going:a plans_not_in_notebook:words",
    "trace": "start:o forward:a back:a links:a packs:a unpacked:words lots:words people:words",
    "sources": "records:a",
    "logs": "logs:a count:i",
    "read": "log:o place:s? level:level? verdicts:a stages:a deviations:a behind:a notes:words kept:o? fed:a written:words row*:o",
    "run": "id:s state:s line:s done:i total:i seconds:n plan:o? error:o?",
}


def answered(name: str, status: int = 200) -> dict[int | str, dict[str, Any]]:
    """The description of a command's answer."""
    held = [pair.rpartition(":") for pair in KEYS.get(name, "").split()]
    schema = {
        "type": "object", "title": name, "required": [k for k, _, _ in held if not k.endswith("*")],
        "properties": {k.removesuffix("*"): _TYPES[kind] for k, _, kind in held},
    }  # fmt: skip
    return {status: _said("As --json prints it.", schema)}
