"""The command as a script meets it: exit codes, fields of the JSON, what bad input gets, files left alone.

    python tests/outside/cli_check.py

Exit codes: 0 all within the limits, 1 something is refused, 2 an error in what was given.
"""

import json
import re
import shutil
import time

from common import DEMO, EPISODES, ON, WORK, Checks, facts, handrail, swap_sides

FOLDER = WORK / "cli"

#: Fields of `verify --json`, from the outside in.
TOP = {"on", "exercises", "session"}
EXERCISE = {"id", "side", "verdict", "reasons", "limit", "over_ceiling", "not_at_home"}
REASON = {"kind", "restriction", "source", "joint", "motion", "limit", "computed", "unit", "at", "basis"}
LIMIT = {"parameter", "value", "unit", "cue", "binds"}


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


def check_codes(checks):
    for name in EPISODES:
        path = DEMO / f"{name}.toml"
        for command in ("today", "verify", "session"):
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
        for command in ("verify", "session", "today"):
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
        "session": ("session", path, "--on", ON), "propose": ("propose", path, "--on", ON, "--minutes", 15),
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
    for check in (check_fields, check_codes, check_unknowns, check_contradiction, check_other_side, check_mistakes,
                  check_files, check_days, report_seconds):
        check(checks)
    checks.done()


if __name__ == "__main__":
    main()
