"""The plan as a calendar: RFC 5545, one event for each attended stretch, none for what goes on by itself.

- An alarm rings ten minutes before each stretch, and none between 22:00 and 06:00 unless the stretch itself starts
  then: one that starts at 06:05 rings at 06:00.
- The identity of an event is made of the step's id, the stretch and the name of the plan, so that importing a later plan
  moves events instead of doubling them; SEQUENCE is the number of the plan.
- DTSTAMP is ``plan_from``, not the hour of writing: the same plan gives the same bytes on every day and machine, and a
  later plan is told by its SEQUENCE.
- A dropped step is cancelled. Nothing is known of when it was, so its event stands at ``plan_from``. ``Plan.dropped``
  may hold a step ("loaf.bake", its first stretch) or a stretch by its own id ("loaf.bake/2", "collar.cure/v3").
- The meal is one event without length and without alarm. Waits of a night or more are transparent all-day notes.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from icalendar import Alarm, Calendar, Event, Timezone, TimezoneDaylight, TimezoneStandard, vDuration

from ingle.faces.events import Event as Stretch
from ingle.faces.events import events
from ingle.faces.words import clean, moment, sentence, slug
from ingle.planning.plan import Plan, PlanStep

PRODUCT = "-//ingle//plan//EN"
READY_MIN = 10  # minutes to get ready
NIGHT = (22, 6)


def calendar_bytes(plan: Plan) -> bytes:
    """The calendar file of a plan: UTF-8, lines folded at 75 octets, the kitchen's zone as VTIMEZONE."""
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", clean(plan.name))
    stretches = events(plan)
    times = [t for e in stretches for t in (e.start, e.end)] + [plan.at, plan.plan_from]
    calendar.add_component(_zone(plan.zone, min(times), max(times)))
    for stretch in stretches:
        calendar.add_component(_stretch(plan, stretch))
    for step in plan.steps:
        if step.kind == "waits" and step.end.date() > step.start.date():
            calendar.add_component(_wait(plan, step))
    calendar.add_component(_meal(plan))
    kept = {e.id for e in stretches}
    for gone in dict.fromkeys(d if "/" in d else f"{d}/1" for d in plan.dropped):
        if gone not in kept:
            calendar.add_component(_cancelled(plan, gone))
    return calendar.to_ical()


def _zone(name: str, first: datetime, last: datetime) -> Timezone:
    """The zone's rules from a day before the first time to a day after the last, each change of the clocks once.

    Written out here because the onset must be the local time before the change (RFC 5545, 3.6.5): 01:00 in London in
    March, where the library's own writer gives the time after it.
    """
    zone, hour = ZoneInfo(name), timedelta(hours=1)
    block = Timezone()
    block.add("tzid", name)
    at = first.astimezone(UTC).replace(minute=0, second=0, microsecond=0) - timedelta(days=1)
    end = last.astimezone(UTC) + timedelta(days=1)
    before = at.astimezone(zone)
    block.add_component(_rule(before, _offset(before), before.replace(tzinfo=None)))
    while at < end:
        at += hour
        after = at.astimezone(zone)
        if after.utcoffset() != before.utcoffset():
            change = at
            while (step := change - timedelta(minutes=1)).astimezone(zone).utcoffset() == after.utcoffset():
                change = step
            block.add_component(_rule(after, _offset(before), (change + _offset(before)).replace(tzinfo=None)))
        before = after
    return block


def _offset(at: datetime) -> timedelta:
    """Offset from UTC of an aware time."""
    return at.utcoffset() or timedelta(0)


def _rule(at: datetime, offset_before: timedelta, onset: datetime) -> TimezoneStandard | TimezoneDaylight:
    rule = TimezoneDaylight() if at.dst() else TimezoneStandard()
    rule.add("dtstart", onset)
    rule.add("tzoffsetfrom", offset_before)
    rule.add("tzoffsetto", at.utcoffset())
    rule.add("tzname", at.tzname())
    return rule


def uid(plan: Plan, key: str) -> str:
    """Identity of one event: stable over replanning as long as step and plan keep their names."""
    return f"{key.replace('/', '-')}@{slug(plan.name)}.ingle"


def _event(plan: Plan, key: str, summary: str) -> Event:
    event = Event()
    event.add("uid", uid(plan, key))
    event.add("dtstamp", plan.plan_from.astimezone(UTC))
    event.add("sequence", plan.number)
    event.add("summary", summary)
    return event


def _local(plan: Plan, at: datetime) -> datetime:
    return at.astimezone(ZoneInfo(plan.zone))


def _stretch(plan: Plan, stretch: Stretch) -> Event:
    event = _event(plan, stretch.id, stretch.verb)
    event.add("dtstart", _local(plan, stretch.start))
    event.add("dtend", _local(plan, stretch.end))
    event.add("description", _description(plan, stretch))
    event.add(
        "categories", [clean(next((p.name for p in plan.parts if p.key == stretch.step.part), stretch.step.part))]
    )
    event.add("status", "CONFIRMED")
    event.add("transp", "OPAQUE")
    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", stretch.verb)
    alarm["trigger"] = vDuration(-timedelta(minutes=_ahead_min(_local(plan, stretch.start))))
    event.add_component(alarm)
    return event


def _ahead_min(start: datetime) -> int:
    """Minutes before the start at which to ring: ten, or fewer where ten would ring in the night before a day step."""
    if start.hour >= NIGHT[0] or start.hour < NIGHT[1]:
        return READY_MIN
    return min(READY_MIN, (start.hour - NIGHT[1]) * 60 + start.minute)


def _description(plan: Plan, stretch: Stretch) -> str:
    step = stretch.step
    lines = []
    if stretch.first:
        lines += [clean(a) for a in step.amounts] + [sentence(s) for s in step.say]
    if stretch.look:
        lines += [sentence(stretch.look)] + [f"If {clean(s.sign)}: {clean(s.act)}." for s in step.if_not]
    if stretch.first or stretch.visit:
        lines += [sentence(c) for c in step.caution]
    if stretch.first and step.window:
        early, late = (_local(plan, t) for t in step.window)
        lines.append(f"May start between {moment(early)} and {moment(late)}.")
    if stretch.cook:
        lines.append(f"Cook: {clean(stretch.cook)}")
    lines.append(f"{clean(plan.name)}, plan {plan.number}")
    return "\n".join(lines)


def _wait(plan: Plan, step: PlanStep) -> Event:
    part = next((p.name for p in plan.parts if p.key == step.part), step.part)
    event = _event(
        plan,
        f"{step.id}/wait",
        f"{clean(part)} waits{', ' + clean(step.kit_kind) if step.kit_kind else ''}: {clean(step.name)}",
    )
    event.add("dtstart", _local(plan, step.start).date())
    event.add("dtend", _local(plan, step.end).date() + timedelta(days=1))
    event.add("description", f"Until {moment(_local(plan, step.end))}\n{clean(plan.name)}, plan {plan.number}")
    event.add("transp", "TRANSPARENT")
    return event


def _meal(plan: Plan) -> Event:
    event = _event(plan, "table", f"Serve {clean(plan.name)}, {plan.plates} plates")
    event.add("dtstart", _local(plan, plan.at))
    parts = [f"{clean(p.name)}{', ' + clean(p.at_table) if p.at_table else ''}" for p in plan.parts]
    event.add("description", "\n".join([*parts, f"plan {plan.number}"]))
    event.add("status", "CONFIRMED")
    return event


def _cancelled(plan: Plan, key: str) -> Event:
    event = _event(plan, key, f"Dropped: {clean(key.partition('/')[0])}")
    event.add("dtstart", _local(plan, plan.plan_from))
    event.add("status", "CANCELLED")
    event.add("transp", "TRANSPARENT")
    return event
