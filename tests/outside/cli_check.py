"""The command as a script meets it: exit codes, fields of the JSON, what bad input gets, files left alone.

    python tests/outside/cli_check.py

Exit codes: 0 all within the limits, 1 something is refused, 2 an error in what was given.
"""

import datetime as dt
import json
import re
import shutil
import time

from common import DEMO, EPISODES, ON, WORK, Checks, episode, exercise_words, facts, handrail, session, swap_sides

FOLDER = WORK / "cli"

#: Fields of `verify --json`, from the outside in.
TOP = {"on", "exercises", "session", "exposure", "over_exposure"}
EXERCISE = {"id", "side", "verdict", "reasons", "limit", "over_ceiling", "not_at_home", "loads", "joints", "robustness"}
REASON = {"kind", "restriction", "source", "joint", "motion", "limit", "computed", "unit", "at", "basis"}
LIMIT = {"parameter", "value", "unit", "cue", "binds"}
#: Fields of a load that is stated, that has only an order, that is not known.
LOAD = {"tissue", "side", "unit", "basis", "low", "high", "at_s", "impulse", "source", "known"}
ORDER, NOT_KNOWN = {"tissue", "side", "order"}, {"tissue", "side", "not_known"}
REASONS_NOT_KNOWN = {"impact", "isometric", "moved_from_outside", "resistance", "not_balanced", "cannot_be_done", "not_published"}
#: Three quantities with three names.
JOINTS = {"net_joint_moments", "joint_reactions", "contact_forces", "resistance_is_known", "basis"}
MOMENT = {"joint", "side", "pushes_into", "drive", "peak_nm", "peak_nm_per_kg", "at_s"}
REACTION = {"joint", "side", "peak_n", "at_s"}
CONTACT = {"point", "side", "bears", "peak_bw", "peak_n", "at_s"}
ROBUSTNESS = {"executions", "past", "share", "tight", "most"}
WEEK_HEAD = {"tissue", "side", "unit", "impulse_unit"}
SUM = {"peaks", "impulse", "peaks_are_whole", "impulse_is_whole", "no_impulse", "not_known"}
#: Fields of `ladder --json` and `exposure --json`.
LADDER = {"episode", "on", "tissue", "side", "unit", "ceiling", "rungs", "ordered", "unknown", "next", "neighbours"}
RUNG = {"exercise", "low", "high", "basis", "known", "source", "at_s", "impulse", "verdict", "over", "in_program"}
WEEKS = WEEK_HEAD | {"episode", "on", "ceiling", "threshold", "weeks", "not_established", "notes"}
WEEK = {"week", "from", "planned", "done", "jump_percent", "flagged", "ceiling"}
#: Tissues that each demo's protocol protects, the first one shown when none is named.
PROTECTED = {
    "achilles": ["achilles_tendon"],
    "acl": ["anterior_cruciate", "patellar_tendon", "patellofemoral_joint", "hamstrings"],
    "cuff": ["supraspinatus", "infraspinatus", "subscapularis", "biceps_long_head"],
}
GRAVITY = 9.81


def write(name, text):
    path = FOLDER / name
    path.write_text(text, encoding="utf-8")
    return path


def demo(name):
    return (DEMO / f"{name}.toml").read_text(encoding="utf-8")


def changed(name, pattern, instead):
    text = re.sub(pattern, instead, demo(name), count=1, flags=re.M)
    assert text != demo(name), pattern
    return text


# ---- what is right ---------------------------------------------------------------------------------------


def check_fields(checks):
    for name in EPISODES:
        told = facts("verify", DEMO / f"{name}.toml", "--on", ON, "--json")
        of = f"verify {name}: "
        checks.same(of + "fields", set(told), TOP)
        checks.same(of + "day", told["on"], ON)
        checks.same(of + "nothing stands against the session", told["session"], None)
        for line in told["exercises"]:
            at = of + line["id"] + ": "
            checks.same(at + "fields", set(line), EXERCISE)
            checks.that(at + "verdict", line["verdict"] in ("within", "limited", "refused"), line["verdict"])
            checks.that(at + "side", line["side"] in ("left", "right"), line["side"])
            checks.same(at + "a limit comes with `limited`", line["limit"] is not None, line["verdict"] == "limited")
            checks.same(at + "a reason comes with all but `within`", bool(line["reasons"]), line["verdict"] != "within")
            if line["limit"]:
                checks.same(at + "fields of the limit", set(line["limit"]), LIMIT)
                checks.that(at + "the limit has a number, a unit and a sentence",
                            isinstance(line["limit"]["value"], float) and line["limit"]["unit"] and line["limit"]["cue"])
                checks.that(at + "what binds is among the reasons",
                            line["limit"]["binds"] in [it["restriction"] for it in line["reasons"]], line)
            for reason in line["reasons"]:
                checks.same(at + "fields of a reason", set(reason), REASON)
                checks.that(at + "a reason names restriction and source", reason["restriction"] and reason["source"], reason)
                if reason["computed"] is not None and reason["limit"] is not None:
                    checks.that(at + "what was computed passes the limit", reason["computed"] > reason["limit"], reason)
    same = [handrail("verify", DEMO / "achilles.toml", "--on", ON, "--json").stdout for _ in range(2)]
    checks.same("two runs print the same", same[0], same[1])


def check_load(checks, at, load):
    """A load has bounds and a source, or an order, or the reason why it is not known."""
    if "not_known" in load:
        checks.same(at + "fields", set(load), NOT_KNOWN)
        checks.that(at + "reason", load["not_known"] in REASONS_NOT_KNOWN, load)
    elif "order" in load:
        checks.same(at + "fields", set(load), ORDER)
        checks.that(at + "an order has a neighbour and a source",
                    (load["order"]["above"] or load["order"]["below"]) and load["order"]["source"], load)
    else:
        checks.same(at + "fields", set(load), LOAD)
        checks.that(at + "bounds", 0 <= load["low"] <= load["high"], load)
        checks.that(at + "basis", load["basis"] in ("computed", "measured", "computed_and_measured", "practice"), load)
        checks.that(at + "source and how well it is known",
                    load["source"] and load["known"] in ("read", "secondary", "memory", "practice"), load)
        if load["impulse"]:
            checks.that(at + "bounds of the impulse", 0 <= load["impulse"]["low"] <= load["impulse"]["high"], load)


def check_joints(checks, at, joints, person):
    """Net joint moments, joint reactions and contact forces, each by its name and in its unit."""
    checks.same(at + "fields of the joints", set(joints), JOINTS)
    side = {it["side"] for it in joints["joint_reactions"]}
    checks.same(at + "reactions of five joints of one side", (len(side), [it["joint"] for it in joints["joint_reactions"]]),
                (1, ["hip", "knee", "ankle", "shoulder", "elbow"]))
    for it in joints["net_joint_moments"]:
        checks.same(at + "fields of a moment", set(it), MOMENT)
        # Four decimals of a moment per mass, two of a moment.
        checks.that(at + "N m and N m/kg agree",
                    abs(it["peak_nm"] - it["peak_nm_per_kg"] * person["mass"]) < 0.006 + 5.1e-5 * person["mass"], it)
    for it in joints["joint_reactions"]:
        checks.same(at + "fields of a reaction", set(it), REACTION)
    for it in joints["contact_forces"]:
        checks.same(at + "fields of a contact", set(it), CONTACT)
        weight = person["mass"] * GRAVITY
        checks.that(at + "N and body weights agree", abs(it["peak_n"] - it["peak_bw"] * weight) < 0.06 + 5.1e-5 * weight, it)


def check_loads(checks):
    """Loads, joints, robustness and the week in `verify`; the same loads in `session`."""
    for name in EPISODES:
        told = facts("verify", DEMO / f"{name}.toml", "--on", ON, "--json")
        of, written = f"verify {name}: ", episode(name)
        for line in told["exercises"]:
            at = of + line["id"] + ": "
            checks.same(at + "tissues", [it["tissue"] for it in line["loads"]], PROTECTED[name])
            for load in line["loads"]:
                check_load(checks, f"{at}{load['tissue']}: ", load)
            check_joints(checks, at, line["joints"], written["body"])
            robust = line["robustness"]
            checks.same(at + "only what is allowed is simulated", robust is None, line["verdict"] == "refused")
            if robust:
                checks.same(at + "fields of the robustness", set(robust), ROBUSTNESS)
                checks.same(at + "share", robust["share"], round(robust["past"] / robust["executions"], 4))
                checks.same(at + "tight over one in a hundred", robust["tight"], robust["past"] * 100 > robust["executions"])
                checks.same(at + "what is passed most", robust["most"] is None, robust["past"] == 0)
        planned = session(name)
        checks.same(of + "the session tells the same loads",
                    {it["id"]: (it["loads"], it["joints"]) for it in planned["exercises"]},
                    {it["id"]: (it["loads"], it["joints"]) for it in told["exercises"]})
        check_week(checks, name, told, planned, written)


def close(a, b):
    """Equal but for bounds that were rounded outwards to four decimals, times a week's repetitions."""
    return abs(a - b) <= 0.05 + 1e-9 * abs(b)


def check_week(checks, name, told, planned, written):
    """A week is the sum over its repetitions; `exposure` takes the days of the program's share of it."""
    (program,) = written["program"]
    times = program["times_a_day"] * program["days_a_week"]
    reps = {}
    for it in planned["entries"]:
        if "exercise" in it:
            reps[it["exercise"]] = reps.get(it["exercise"], 0) + it["reps"] * times
    checks.same(f"{name}: tissues of the week", [it["tissue"] for it in told["exposure"]], PROTECTED[name])
    checks.same(f"{name}: no ceiling on a week", told["over_exposure"], [])
    for index, week in enumerate(told["exposure"]):
        at = f"{name}: week of {week['tissue']}: "
        checks.same(at + "fields", set(week), WEEK_HEAD | SUM)
        loads = {it["id"]: it["loads"][index] for it in told["exercises"]}
        known = {it: load for it, load in loads.items() if "low" in load}
        checks.same(at + "what is not known is named", {it["exercise"] for it in week["not_known"]}, set(loads) - set(known))
        checks.same(at + "what has no impulse is named", set(week["no_impulse"]),
                    {it for it, load in known.items() if not load["impulse"]})
        checks.same(at + "whole", (week["peaks_are_whole"], week["impulse_is_whole"]),
                    (not week["not_known"], not week["not_known"] and not week["no_impulse"]))
        for bound in ("low", "high"):
            peaks = sum(load[bound] * reps[it] for it, load in known.items())
            checks.that(at + f"{bound} sum of the peaks", close(week["peaks"][bound], peaks), (week["peaks"], peaks))
            impulse = sum(load["impulse"][bound] * reps[it] for it, load in known.items() if load["impulse"])
            checks.that(at + f"{bound} sum of the impulses", close(week["impulse"][bound], impulse), (week["impulse"], impulse))
        weeks = facts("exposure", DEMO / f"{name}.toml", "--on", ON, "--tissue", week["tissue"], "--json")
        check_weeks(checks, at, weeks, week, loads, written)


def check_weeks(checks, at, weeks, program_week, loads, written):
    surgery = dt.date.fromisoformat(written["operation"]["surgery"])
    issued = dt.date.fromisoformat(written["program"][0]["issued"])
    day = dt.date.fromisoformat(ON)
    checks.same(at + "fields over the weeks", set(weeks), WEEKS)
    checks.same(at + "weeks up to the day", [it["week"] for it in weeks["weeks"]], list(range(1, (day - surgery).days // 7 + 2)))
    checks.that(at + "no threshold of injury is claimed", "No injury threshold" in weeks["not_established"])
    checks.that(at + "diaries say too much", any("about a quarter (Nicolson 2018)" in it for it in weeks["notes"]))
    jump = written.get("jump")
    checks.same(at + "threshold", weeks["threshold"], jump and {"percent": jump["percent"], "by": jump["by"]})
    before = None
    for week in weeks["weeks"]:
        first = surgery + dt.timedelta(days=7 * (week["week"] - 1))
        checks.same(at + "fields of a week", set(week), WEEK)
        checks.same(at + "first day", week["from"], first.isoformat())
        days = sum(first + dt.timedelta(days=it) >= issued for it in range(7))
        checks.same(at + "planned from the day of issue", week["planned"] is not None, days > 0)
        done = [it for it in written.get("done", []) if first <= dt.date.fromisoformat(it["on"]) < first + dt.timedelta(days=7)]
        checks.same(at + "done where the diary says so", week["done"] is not None, bool(done))
        if week["planned"] and issued >= surgery + dt.timedelta(days=7 * ((day - surgery).days // 7)):
            high = program_week["peaks"]["high"] * days / 7
            checks.that(at + "planned by its days", close(week["planned"]["peaks"]["high"], high), (week["planned"], high))
        if week["done"]:
            high = sum(it["reps"] * loads[it["exercise"]]["high"] for it in done)
            checks.that(at + "done is what was done", close(week["done"]["peaks"]["high"], high), (week["done"], high))
        if week["jump_percent"] is not None:
            expected = (week["planned"]["peaks"]["high"] / before["planned"]["peaks"]["high"] - 1) * 100
            checks.that(at + "jump", abs(week["jump_percent"] - expected) < 0.2, (week["jump_percent"], expected))
        checks.same(at + "flagged over the threshold", week["flagged"],
                    bool(jump and week["jump_percent"] is not None and week["jump_percent"] > jump["percent"]))
        before = week


def check_ladder(checks):
    """Rungs in order, the ceiling between them, neighbours nearest, the next rung above the program's."""
    for name in EPISODES:
        verdicts = {it["id"]: it for it in facts("verify", DEMO / f"{name}.toml", "--on", ON, "--json")["exercises"]}
        for index, tissue in enumerate(PROTECTED[name]):
            words = ["ladder", DEMO / f"{name}.toml", "--on", ON]
            named = words + ["--tissue", tissue]
            told = facts(*named, "--json")
            at = f"ladder {name} {tissue}: "
            checks.same(at + "fields", set(told), LADDER)
            if index == 0:
                checks.same(at + "shown when none is named", facts(*words, "--json"), told)
            rungs = told["rungs"]
            keys = [(it["high"], it["low"]) for it in rungs]
            checks.same(at + "from low to high", keys, sorted(keys))
            ceiling = told["ceiling"] and told["ceiling"]["value"]
            for rung in rungs:
                here = at + rung["exercise"] + ": "
                checks.same(here + "fields", set(rung), RUNG)
                checks.same(here + "over by the upper bound", rung["over"], ceiling is not None and rung["high"] > ceiling)
                checks.that(here + "what is over is refused", not rung["over"] or rung["verdict"] == "refused", rung)
                checks.same(here + "in the program", rung["in_program"], rung["exercise"] in verdicts)
                near = told["neighbours"][rung["exercise"]]
                found = {it["exercise"]: it["high"] for it in rungs}
                # Upper bounds within 2 % of each other are one rung: neither is the easier one. Bounds are
                # printed with four decimals, so a little is left open on either side of it.
                for which, sign, best in (("easier", -1, max), ("harder", 1, min)):
                    def beyond(share):
                        return best((it["high"] for it in rungs
                                     if sign * (it["high"] - rung["high"]) > share * rung["high"]), default=None)
                    nearest, neighbour = {beyond(share) for share in (0.0195, 0.02, 0.0205)}, found.get(near[which])
                    checks.that(here + f"{which} neighbour", neighbour in nearest, (near, nearest))
                if rung["in_program"]:
                    load = verdicts[rung["exercise"]]["loads"][index]
                    checks.same(here + "the load of verify", (rung["low"], rung["high"]), (load["low"], load["high"]))
            if ceiling is not None:
                text = handrail(*named).stdout.split("----")
                below = [it["exercise"] for it in rungs if f"({it['exercise']})" in text[0]]
                checks.same(at + "the line of the ceiling", below, [it["exercise"] for it in rungs if not it["over"]])
                unknown = [it["exercise"] for it in told["unknown"] if it["in_program"]]
                checks.same(at + "nothing unknown under a ceiling", unknown, [])
            if told["next"]:
                (next_rung,) = [it for it in rungs if it["exercise"] == told["next"]]
                reached = max((it["high"] for it in rungs if it["in_program"]), default=0)
                checks.that(at + "the next rung is new and above the program's",
                            not next_rung["in_program"] and next_rung["high"] > reached, told["next"])
                skipped = [it for it in rungs if reached < it["high"] < next_rung["high"] and not it["in_program"]]
                if next_rung["verdict"] != "refused":
                    checks.that(at + "all between are refused", all(it["verdict"] == "refused" for it in skipped), skipped)
            for it in told["unknown"]:
                checks.that(at + "why a load is not known", it["not_known"] in REASONS_NOT_KNOWN, it)
    told = facts("motion", "single-leg-heel-raise", "--json")
    checks.same("motion: every tissue", len({it["tissue"] for it in told["loads"]}), 12)
    for load in told["loads"]:
        check_load(checks, f"motion: {load['tissue']}: ", load)


def check_charts(checks):
    """Charts follow the rules of files; what a chart tells in words holds every rung."""
    for command in ("ladder", "exposure"):
        for kind, begin in (("svg", b"<svg"), ("png", b"\x89PNG")):
            out = FOLDER / f"{command}.{kind}"
            out.write_bytes(b"an older chart")
            words = [command, DEMO / "achilles.toml", "--on", ON, "--out", out]
            answer = handrail(*words)
            checks.same(f"{command}: an existing {kind} is not replaced", (answer.returncode, out.read_bytes()), (2, b"an older chart"))
            answer = handrail(*words, "--replace")
            checks.same(f"{command}: --replace replaces {kind}", (answer.returncode, out.read_bytes()[: len(begin)]), (0, begin))
        checks.same(f"{command}: an unknown tissue", handrail(command, DEMO / "achilles.toml", "--tissue", "heel").returncode, 2)
    told = (FOLDER / "ladder.svg").read_text(encoding="utf-8")
    description = re.search(r"<desc[^>]*>(.*?)</desc>", told, re.S)[1]
    words, ladder = exercise_words("en"), facts("ladder", DEMO / "achilles.toml", "--on", ON, "--json")
    for it in ladder["rungs"] + ladder["ordered"] + ladder["unknown"]:
        checks.that(f"the chart tells {it['exercise']}", f"{words[it['exercise']]['title']}: " in description, description[:300])


def check_codes(checks):
    for name in EPISODES:
        path = DEMO / f"{name}.toml"
        for command in ("today", "verify", "session", "ladder", "exposure"):
            checks.same(f"{command} {name}: exit code", handrail(command, path, "--on", ON).returncode, 0)
        checks.same(f"propose {name}: exit code", handrail("propose", path, "--on", ON, "--minutes", 15).returncode, 0)
    checks.same("content check: exit code", handrail("content", "check").returncode, 0)
    checks.same("no command: exit code", handrail().returncode, 2)
    checks.same("an unknown command: exit code", handrail("cure").returncode, 2)

    # Something refused: 1, in words, in JSON, and nothing made of it.
    text = changed("achilles", r'^id = "long-arc-quad"', 'id = "single-leg-heel-raise"')
    path = write("refused.toml", text)
    answer = handrail("verify", path, "--on", ON, "--json")
    checks.same("a refused exercise: exit code", answer.returncode, 1)
    (line,) = [it for it in json.loads(answer.stdout)["exercises"] if it["id"] == "single-leg-heel-raise"]
    checks.same("a refused exercise: verdict", line["verdict"], "refused")
    kinds = {it["kind"] for it in line["reasons"]}
    checks.that("all its reasons are told", {"weight_bearing"} < kinds, kinds)
    checks.same("in words: exit code", handrail("verify", path, "--on", ON).returncode, 1)
    for command, kind in (("handout", "pdf"), ("follow", "html"), ("calendar", "ics")):
        out = FOLDER / f"refused.{kind}"
        out.unlink(missing_ok=True)
        answer = handrail(command, path, "--on", ON, "--out", out)
        checks.that(f"{command} of a refused program: not made", answer.returncode in (1, 2) and not out.exists())
        checks.that(f"{command} of a refused program: says why", "single-leg-heel-raise" in answer.stderr, answer.stderr)


def check_unknowns(checks):
    """What is not known is refused."""
    path = write("no-graft.toml", changed("acl", r"^graft = .*\n", ""))
    answer = handrail("verify", path, "--on", ON, "--json")
    checks.same("no graft: exit code", answer.returncode, 1)
    lines = json.loads(answer.stdout)["exercises"]
    checks.same("no graft: all that moves the knee is refused", {it["verdict"] for it in lines}, {"refused"})
    checks.same("no graft: why", {r["kind"] for it in lines for r in it["reasons"]}, {"missing_variant"})
    checks.that("no graft: verify asks for it", "graft" in handrail("verify", path, "--on", ON).stdout)
    told = facts("today", path, "--on", ON, "--json")
    checks.same("no graft: today asks for it", [it["variant"] for it in told["blocked"]], ["graft"])
    out = FOLDER / "no-graft.pdf"
    out.unlink(missing_ok=True)
    answer = handrail("handout", path, "--on", ON, "--out", out)
    checks.that("no graft: no handout", answer.returncode != 0 and not out.exists())


def check_contradiction(checks):
    """Two orders that cannot both be meant: the stricter holds, whichever came later, and it is said."""
    order = """
[[order]]
id = "twenty-kilos"
by = "Dr. Teodor Aspinall"
on = "{on}"
document = "note of {on}"
from = "{on}"
weight_bearing = {{ limb = "leg", max_kg = 20 }}
"""
    plain = facts("verify", DEMO / "achilles.toml", "--on", ON, "--json")
    for when in ("2026-11-18", "2026-11-23"):
        path = write(f"contradiction-{when}.toml", demo("achilles") + order.format(on=when))
        told = facts("today", path, "--on", ON, "--json")
        (weight,) = [it for it in told["in_force"] if "eight bearing" in it["limit_on"]]
        checks.same(f"order of {when}: the stricter holds", (weight["id"], weight["value"]), ("no-weight-until-visit", "none"))
        said = [it for it in told["notes"] if "contradict" in it]
        checks.that(f"order of {when}: today says so", len(said) == 1 and "twenty-kilos" in said[0]
                    and "no-weight-until-visit" in said[0], told["notes"])
        checks.that(f"order of {when}: in words too", "contradict" in handrail("today", path, "--on", ON).stdout)
        checks.same(f"order of {when}: the verdicts stay", facts("verify", path, "--on", ON, "--json"), plain)


def check_other_side(checks):
    """The same patient operated on the other side: the same verdicts, numbers and sentences for that side."""
    for name in EPISODES:
        side = re.search(r'^side = "(\w+)"', demo(name), re.M)[1]
        path = write(f"{name}-other-side.toml", changed(name, r'^side = "\w+"', f'side = "{swap_sides(side)}"'))
        for command in ("verify", "session", "today", "ladder", "exposure"):
            ours = json.dumps(facts(command, DEMO / f"{name}.toml", "--on", ON, "--json"))
            theirs = json.dumps(facts(command, path, "--on", ON, "--json"))
            checks.same(f"{command} {name}: the other side", theirs, swap_sides(ours))


# ---- what is wrong ---------------------------------------------------------------------------------------

#: Name, episode, what is put in place of what, and what the message must hold.
MISTAKES = (
    ("no date of surgery", "achilles", r"^surgery = .*\n", "", "surgery"),
    ("an unknown side", "achilles", r'^side = "left"', 'side = "middle"', "left"),
    ("no side", "achilles", r"^side = .*\n", "", "side"),
    ("17 m tall", "achilles", r"^stature = .*", "stature = 17", "stature"),
    ("a weight in pounds", "achilles", r"^mass = .*", 'mass = "157 lb"', "expected"),
    ("an unknown exercise", "achilles", r'^id = "long-arc-quad"', 'id = "long-arc-quid"', "long-arc-quad"),
    ("an unknown protocol", "achilles", r"^protocol = .*", 'protocol = "achilles-repare"', "achilles-repair"),
    ("malformed TOML", "achilles", r"^mass = 71", "mass = = 71", "="),
    ("an unknown field", "achilles", r"^stature = ", "hight = 1\nstature = ", "hight"),
    ("an unknown joint", "achilles", r'^weight_bearing = .*', 'motion = { joint = "ancle", direction = "dorsiflexion", '
     'max_deg = 0, drives = ["active"] }', "ancle"),
    ("partial weight without a number", "achilles", r'amount = "none"', 'amount = "partial"', "max_kg"),
    ("a date that is none", "achilles", r'^surgery = .*', 'surgery = "2026-02-30"', "2026-02-30"),
    ("an unknown graft", "acl", r'^graft = .*', 'graft = "hamstrings"', "hamstring"),
    ("an order before the surgery", "achilles", r'^from = "2026-11-20"', 'from = "2026-10-01"', "2026-11-06"),
)


def check_mistakes(checks):
    for what, name, pattern, instead, told in MISTAKES:
        text = changed(name, pattern, instead)
        path = write("mistake.toml", text)
        out = FOLDER / "mistake.pdf"
        shutil.copy(DEMO / f"{name}.toml", out)
        before = out.read_bytes()
        answers = [handrail(it, path, "--on", ON, "--json") for it in ("verify", "today", "session")]
        answers.append(handrail("handout", path, "--on", ON, "--out", out, "--replace"))
        for answer in answers:
            checks.same(f"{what}: exit code", answer.returncode, 2)
            checks.same(f"{what}: nothing printed", answer.stdout, "")
            checks.that(f"{what}: file and line", re.search(r"mistake\.toml:\d+:\d+", answer.stderr), answer.stderr)
            checks.that(f"{what}: says what", told in answer.stderr, answer.stderr)
            checks.that(f"{what}: how to mend it", re.search(r"(help|hint): *\S", answer.stderr), answer.stderr)
            checks.that(f"{what}: no panic", "panicked" not in answer.stderr)
        line = re.search(r"mistake\.toml:(\d+):", answers[0].stderr)
        if line:
            old, new = demo(name).splitlines(), text.splitlines()
            first = next((k for k, (a, b) in enumerate(zip(old, new), 1) if a != b), 0)
            # A missing entry is shown at its table; one that does not fit the others may be shown at the name.
            shown = int(line[1])
            table = max(k for k, it in enumerate(new[:first], 1) if it.startswith("["))
            checks.that(f"{what}: the line", table <= shown <= (first if instead else table), (shown, first, table))
        checks.that(f"{what}: the output is as it was", out.read_bytes() == before)


def check_files(checks):
    """Files are whole or not there, and existing ones stay unless they may be replaced."""
    path = DEMO / "achilles.toml"
    for command, kind in (("handout", "pdf"), ("follow", "html"), ("calendar", "ics")):
        out = FOLDER / f"kept.{kind}"
        out.write_bytes(b"an older sheet")
        answer = handrail(command, path, "--on", ON, "--out", out)
        checks.same(f"{command}: an existing file is not replaced", (answer.returncode, out.read_bytes()), (2, b"an older sheet"))
        checks.that(f"{command}: says how", "--replace" in answer.stderr, answer.stderr)
        answer = handrail(command, path, "--on", ON, "--out", out, "--replace")
        checks.same(f"{command}: --replace replaces", (answer.returncode, len(out.read_bytes()) > 200), (0, True))
        answer = handrail(command, path, "--on", ON, "--out", FOLDER / "nowhere" / f"a.{kind}")
        checks.that(f"{command}: no such folder", answer.returncode == 2 and "nowhere" in answer.stderr, answer.stderr)
    checks.same("no parts of files are left", [it.name for it in FOLDER.glob("*.part")], [])
    pair = []
    for _ in range(2):
        handrail("handout", path, "--on", ON, "--out", FOLDER / "twice.pdf", "--replace")
        pair.append((FOLDER / "twice.pdf").read_bytes())
    checks.that("the same sheet twice is the same to the byte", pair[0] == pair[1])


def check_days(checks):
    path = DEMO / "achilles.toml"
    for day in ("2026-11-05", "2020-01-01"):
        for command in ("today", "verify", "session"):
            answer = handrail(command, path, "--on", day)
            checks.same(f"{command} on {day}: exit code", answer.returncode, 2)
            checks.that(f"{command} on {day}: says so", "before" in answer.stderr and "2026-11-06" in answer.stderr, answer.stderr)
            checks.that(f"{command} on {day}: how to mend it", "hint:" in answer.stderr)
    answer = handrail("verify", path, "--on", "2026-11-10")
    checks.that("before the first program", answer.returncode == 2 and "program" in answer.stderr, answer.stderr)
    # After the surgeon's visit (4 December) nothing is made of what was planned before it.
    told = facts("verify", path, "--on", "2026-12-10", "--json", codes=(1,))
    checks.that("after the visit: verify says so", "2026-12-04" in (told["session"] or ""), told["session"])
    for command, kind in (("handout", "pdf"), ("follow", "html"), ("calendar", "ics")):
        out = FOLDER / f"after-visit.{kind}"
        out.unlink(missing_ok=True)
        answer = handrail(command, path, "--on", "2026-12-10", "--out", out)
        checks.that(f"after the visit: no {command}", answer.returncode != 0 and not out.exists())
        checks.that(f"after the visit: {command} says why", "2026-12-04" in answer.stderr, answer.stderr)
    checks.same("the day of surgery is day 0", facts("today", path, "--on", "2026-11-06", "--json")["day"], 0)
    checks.same("day 14 is week 3", facts("today", path, "--on", "2026-11-20", "--json")["week"], 3)
    checks.same("day 13 is week 2", facts("today", path, "--on", "2026-11-19", "--json")["week"], 2)
    answer = handrail("today", path, "--on", "yesterday")
    checks.same("a day that is none", answer.returncode, 2)
    answer = handrail("today", FOLDER / "nobody.toml", "--on", ON)
    checks.that("a file that is not there", answer.returncode == 2 and "nobody.toml" in answer.stderr, answer.stderr)
    checks.same("a log that is none", handrail("log", "-", stdin="not a log").returncode, 2)
    checks.same("an unknown language", handrail("follow", path, "--on", ON, "--lang", "xx", "--out", FOLDER / "x").returncode, 2)


def report_seconds(_):
    """First answers of every command, printed and not judged: they are this machine's."""
    path, out = DEMO / "achilles.toml", FOLDER / "timed"
    commands = {
        "today": ("today", path, "--on", ON), "verify": ("verify", path, "--on", ON),
        "session": ("session", path, "--on", ON), "ladder": ("ladder", path, "--on", ON),
        "exposure": ("exposure", path, "--on", ON), "propose": ("propose", path, "--on", ON, "--minutes", 15),
        "handout": ("handout", path, "--on", ON, "--out", out, "--replace"),
        "follow": ("follow", path, "--on", ON, "--out", out, "--replace"),
        "calendar": ("calendar", path, "--on", ON, "--out", out, "--replace"),
        "motion": ("motion", "seated-heel-slide"), "draw": ("draw", "seated-heel-slide"),
        "content list": ("content", "list"), "content check": ("content", "check"),
    }
    told = []
    for name, words in commands.items():
        begin = time.perf_counter()
        code = handrail(*words).returncode
        seconds = time.perf_counter() - begin
        told.append(f"{name} {seconds:.2f} s{'' if code == 0 else f' (exit code {code})'}{'' if seconds < 0.2 else ' (over 0.2)'}")
    print("first answers: " + ", ".join(told))


def main():
    FOLDER.mkdir(parents=True, exist_ok=True)
    checks = Checks()
    for check in (check_fields, check_loads, check_ladder, check_charts, check_codes, check_unknowns,
                  check_contradiction, check_other_side, check_mistakes, check_files, check_days, report_seconds):
        check(checks)
    checks.done()


if __name__ == "__main__":
    main()
