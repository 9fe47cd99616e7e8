"""The demo's calendar files against two outside readers and the episodes they were made from.

    python tests/outside/calendar_demo.py

Needs `icalendar`, `recurring-ical-events` and `vobject` (Python).
"""

import collections
import datetime as dt
import re

import icalendar
import recurring_ical_events
import vobject

from common import DEMO, EPISODES, ON, Checks, episode, facts, valid_until

#: What would tell somebody who looks over a shoulder which operation it was.
TELLS = (
    r"achilles|aquiles|tend[oó]n|ligament\w*|cruciate|cruzado|\bacl\b|\blca\b|rotator|manguito|cuff|repair|reparaci[oó]n"
    r"|reconstruc\w*|ruptur\w*|rotura|\btear\b|surgery|operation|operaci[oó]n|cirug[ií]a|graft|injerto|knee|rodilla"
    r"|shoulder|hombro|ankle|tobillo"
)


def main():
    checks = Checks()
    first = dt.date.fromisoformat(ON)
    for name in EPISODES:
        spec, last = episode(name), valid_until(name)
        program = spec["program"][-1]
        for language in ("en", "es"):
            path = DEMO / f"{name}-{language}.ics"
            raw = path.read_bytes()
            of = f"{path.name}: "
            calendar = icalendar.Calendar.from_ical(raw)
            events = calendar.walk("VEVENT")
            checks.same(of + "events", len(events), program["times_a_day"])
            for event in events:
                checks.same(of + "errors", event.errors, [])
                checks.same(of + "class", str(event["CLASS"]), "PRIVATE")
                checks.same(of + "language", event["SUMMARY"].params["LANGUAGE"], language)
                for part in [event, *event.walk("VALARM")]:
                    shown = " ".join(str(part.get(key, "")) for key in ("SUMMARY", "DESCRIPTION"))
                    if part.name == "VEVENT":
                        shown = str(part["SUMMARY"])
                    checks.same(of + f"{part.name} tells the diagnosis", re.findall(TELLS, shown, re.I), [])
                    checks.that(of + f"{part.name} does not name the patient", spec["patient"]["name"] not in shown)
            told = recurring_ical_events.of(calendar, skip_bad_series=False)
            found = told.between(first - dt.timedelta(days=400), first + dt.timedelta(days=2000))
            days = collections.Counter(it["DTSTART"].dt.date() for it in found)
            checks.that(of + "has starts", len(found) > 0)
            checks.that(of + "starts on or after the day of the sheet", min(days) >= first, min(days))
            checks.that(of + "ends within the sheet's validity", max(days) <= last, (max(days), last))
            checks.same(of + "sessions on each day", set(days.values()), {program["times_a_day"]})
            # Every week that lies wholly within the validity has the program's number of days.
            whole = [first + dt.timedelta(days=7 * k) for k in range(((last - first).days + 1) // 7)]
            for start in whole:
                within = [day for day in days if start <= day < start + dt.timedelta(days=7)]
                checks.same(of + f"days of the week from {start}", len(within), program["days_a_week"])
            minutes = {(it["DTEND"].dt - it["DTSTART"].dt).total_seconds() / 60 for it in found}
            told = facts("session", DEMO / f"{name}.toml", "--on", ON, "--json")["minutes"]
            checks.that(of + "lasts as long as the session", all(0 <= it - told < 1.01 for it in minutes), (minutes, told))
            try:
                vobject.readOne(raw.decode()).validate(raiseException=True)
                checks.that(of + "vobject", True)
            except vobject.base.VObjectError as error:
                checks.that(of + "vobject", False, error)
    checks.done()


if __name__ == "__main__":
    main()
