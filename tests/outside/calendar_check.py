"""A calendar file against three outside readers.

    cargo run --release -p handrail-exchange --example calendar_files DIR
    python tests/outside/calendar_check.py DIR/plain.ics DIR/plain.json

Needs `icalendar`, `recurring-ical-events` and `vobject` (Python). The JSON holds the program as plain facts
(days, times, first and last day ...); the starts are worked out from them day by day, without any rule, and
compared with the expansion of the file.
"""

import datetime as dt
import json
import sys

import icalendar
import recurring_ical_events
import vobject

passed = failed = 0


def check(what, found, expected):
    global passed, failed
    if found == expected:
        passed += 1
    else:
        failed += 1
        print(f"{what}: found {found!r}, expected {expected!r}")


def expected_starts(facts, times):
    first, last = (dt.date.fromisoformat(facts[key]) for key in ("first", "last"))
    span = [first + dt.timedelta(days=k) for k in range((last - first).days + 1)]
    days = [day for day in span if day.weekday() in facts["days"]]
    return [dt.datetime.combine(day, dt.time.fromisoformat(time)) for day in days for time in times]


def check_lines(raw):
    check("last line ends", raw.endswith(b"\r\n"), True)
    check("bare CR or LF", any(c in raw.replace(b"\r\n", b"") for c in b"\r\n"), False)
    lines = raw.split(b"\r\n")
    check("longest line is within 75 octets", max(map(len, lines)) <= 75, True)
    for line in lines:
        try:
            line.decode()
        except UnicodeDecodeError:
            check("character cut by a fold", line, None)


def check_event(event, facts, time, cancelled):
    name = f"event at {time}: "
    check(name + "errors", event.errors, [])
    check(name + "UID begins", str(event["UID"]).startswith(facts["uid"]), True)
    check(name + "SEQUENCE", int(event["SEQUENCE"]), facts["sequence"])
    check(name + "DTSTAMP", event["DTSTAMP"].dt, dt.datetime.fromisoformat(facts["stamp"]))
    check(name + "CLASS", str(event["CLASS"]), "PRIVATE")
    check(name + "STATUS", str(event["STATUS"]), "CANCELLED" if cancelled else "CONFIRMED")
    check(name + "SUMMARY", str(event["SUMMARY"]), facts["summary"])
    check(name + "DESCRIPTION", str(event["DESCRIPTION"]), facts["description"])
    check(name + "LANGUAGE", event["SUMMARY"].params["LANGUAGE"], facts["language"])
    start = event["DTSTART"]
    check(name + "zone", start.params.get("TZID"), facts["zone"])
    rule = event["RRULE"]
    # Both readers are silent on these two.
    check(name + "COUNT", "COUNT" in rule, False)
    until = rule["UNTIL"][0]
    check(name + "UNTIL is a date-time", isinstance(until, dt.datetime), True)
    check(name + "UNTIL is in UTC", until.tzinfo is not None, facts["zone"] is not None)
    alarms = event.walk("VALARM")
    before = facts["alarm_minutes_before"]
    check(name + "alarms", len(alarms), 0 if before is None or cancelled else 1)
    for alarm in alarms:
        check(name + "alarm holds", sorted(alarm.keys()), ["ACTION", "DESCRIPTION", "TRIGGER"])
        check(name + "alarm action", str(alarm["ACTION"]), "DISPLAY")
        check(name + "alarm trigger", alarm["TRIGGER"].dt, dt.timedelta(minutes=-before))


def check_starts(calendar, facts, times):
    begin = dt.date.fromisoformat(facts["first"]) - dt.timedelta(days=400)
    occurrences = recurring_ical_events.of(calendar, skip_bad_series=False).between(begin, begin + dt.timedelta(days=2000))
    found = sorted(o["DTSTART"].dt.replace(tzinfo=None) for o in occurrences)
    check("starts", found, sorted(expected_starts(facts, times)))
    lengths = {o["DTEND"].dt.replace(tzinfo=None) - o["DTSTART"].dt.replace(tzinfo=None) for o in occurrences}
    check("lengths", lengths, {dt.timedelta(minutes=facts["minutes"])})


def check_zone(calendar, facts):
    zones = calendar.walk("VTIMEZONE")
    check("zones", [str(zone["TZID"]) for zone in zones], [facts["zone"]] if facts["zone"] else [])
    if not zones:
        return
    import zoneinfo

    # The definition in the file against the rules that Python has, hour by hour.
    outside, inside = zoneinfo.ZoneInfo(facts["zone"]), zones[0].to_tz(lookup_tzid=False)
    first, last = (dt.datetime.fromisoformat(facts[key]) for key in ("first", "last"))
    hours = [first + dt.timedelta(hours=k) for k in range(int((last - first).total_seconds() // 3600) + 24)]
    differ = [h for h in hours if h.replace(tzinfo=inside).utcoffset() != h.replace(tzinfo=outside).utcoffset()]
    # An hour that a change of the clock repeats or skips may be read either way.
    unclear = [h for h in differ if h.replace(tzinfo=outside, fold=0).utcoffset() == h.replace(tzinfo=outside, fold=1).utcoffset()]
    check("hours of another offset", unclear, [])


def main():
    if len(sys.argv) != 3:
        sys.exit(__doc__)
    with open(sys.argv[1], "rb") as file:
        raw = file.read()
    with open(sys.argv[2], encoding="utf-8") as file:
        facts = json.load(file)
    check_lines(raw)
    calendar = icalendar.Calendar.from_ical(raw)
    check("VERSION", str(calendar["VERSION"]), "2.0")
    now, former = sorted(facts["times"]), sorted(facts["former_times"])
    times = now + former[len(now):]
    events = calendar.walk("VEVENT")
    check("events", len(events), len(times))
    check("UIDs", len({str(event["UID"]) for event in events}), len(times))
    for k, (event, time) in enumerate(zip(events, times)):
        check_event(event, facts, time, facts["cancelled"] or k >= len(now))
    check_starts(calendar, facts, times)
    check_zone(calendar, facts)
    try:
        vobject.readOne(raw.decode()).validate(raiseException=True)
        check("vobject", "valid", "valid")
    except vobject.base.VObjectError as error:
        check("vobject", str(error), "valid")
    print(f"{passed} passed, {failed} failed")
    sys.exit(failed > 0)


if __name__ == "__main__":
    main()
