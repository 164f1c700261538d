"""The commands that the page's interface offers."""

from __future__ import annotations

from ingle.faces.asked import Offered
from ingle.faces.cli import (
    bread_cmd,
    brine_cmd,
    butter_cmd,
    chill_cmd,
    cook_cmd,
    crackle_cmd,
    cure_cmd,
    dough_cmd,
    judge_cmd,
    keep_cmd,
    mishap_cmd,
    record_again,
    record_control,
    record_in,
    record_log,
    record_out,
    record_seen,
    sauce_cmd,
    smoke_cmd,
    trace_cmd,
    weigh_cmd,
)

OFFERED = Offered(
    reckon={
        "weigh": weigh_cmd.command, "judge": judge_cmd.command, "cure": cure_cmd.command, "cook": cook_cmd.command, "chill": chill_cmd.command,
        "keep": keep_cmd.command, "mishap": mishap_cmd.command, "crackle": crackle_cmd.command,
        "smoke": smoke_cmd.command, "brine": brine_cmd.command, "butter": butter_cmd.command, "bread": bread_cmd.command, "dough": dough_cmd.command,
        "sauce": sauce_cmd.command,
    },
    record={
        "kitchen": record_in.kitchen, "lot": record_in.lot, "piece": record_in.piece, "batch": record_in.batch, "into": record_in.into,
        "dose": record_seen.dose, "step": record_seen.step, "reading": record_seen.reading, "correct": record_seen.correct,
        "withdraw": record_log.withdraw,
        "deviation": record_control.deviation, "act": record_control.act, "instrument": record_control.instrument, "check": record_control.check,
        "pack": record_out.pack, "hand": record_out.hand, "end": record_out.end, "again": record_again.again, "compare": record_again.compare,
    },
    trace=trace_cmd.command,
)  # fmt: skip
