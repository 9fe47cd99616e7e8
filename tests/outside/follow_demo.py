"""The demo's guided pages, led through in a browser, and their codes read by the clinic's side.

    python tests/outside/follow_demo.py

Needs Chromium and the packages of target/outside/node. What a run must count comes from `handrail session`; what a
move waits for and how long a hold lasts is the page's own plan of it.
"""

import json
import os
import pathlib
import re
import subprocess

from common import DEMO, EPISODES, ON, WORK, Checks, episode, exercise_words, handrail, page_data, session, valid_until

HERE = pathlib.Path(__file__).parent
FOLDER = WORK / "follow"


def node(script, *words):
    environment = os.environ | {"FOLLOW_NODE": str(WORK / "node")}
    command = ["node", str(HERE / "follow" / script), *map(str, words)]
    answer = subprocess.run(command, capture_output=True, text=True, encoding="utf-8", env=environment, timeout=600)
    lines = answer.stdout.strip().splitlines()
    print("\n".join(lines[:-1] + answer.stderr.strip().splitlines()[-5:]).strip(), end="\n" if len(lines) > 1 else "")
    closing = re.fullmatch(r"(\d+) passed, (\d+) failed", lines[-1]) if lines else None
    return (int(closing[1]), int(closing[2])) if closing else (0, 1)


def rounds(told):
    """Sets of a session that a patient does in one place, as (exercise, sets, repetitions), with moves and rests."""
    steps, entries, at = [], told["entries"], 0
    while at < len(entries):
        entry = entries[at]
        at += 1
        if "move" in entry:
            steps.append(("move", entry["move"]))
        elif "rest" in entry:
            steps.append(("rest", entry["rest"]))
        else:
            sets = 1
            while at + 1 < len(entries) and "rest" in entries[at] and entries[at + 1].get("exercise") == entry["exercise"]:
                sets, at = sets + 1, at + 2
            steps.append(("exercise", entry["exercise"], sets, entry["reps"]))
    return steps


def expected(checks, of, name, language, data):
    """What run.mjs must find, in its own form; the page's plan is held against the session first."""
    spec, words = episode(name), exercise_words(language)
    told = rounds(session(name))
    checks.same(of + "kinds of steps", [it["kind"] for it in data["steps"]], [it[0] for it in told])
    steps = []
    for number, (step, want) in enumerate(zip(data["steps"], told), 1):
        at = of + f"step {number}: "
        if want[0] == "exercise":
            _, exercise, sets, reps = want
            checks.same(at + "exercise", step["id"].split(".")[0], exercise)
            checks.same(at + "title", step["title"], words[exercise]["title"])
            checks.same(at + "side", step["side"], spec["operation"]["side"])
            hold = sum(it["seconds"] for it in step["phases"] if it["kind"] == "hold")
            steps.append({"kind": "exercise", "id": step["id"], "sets": sets, "reps": reps, "hold_s": hold})
        elif want[0] == "move":
            if language == "en":
                checks.same(at + "move", step["title"], want[1])
            steps.append({"kind": "move", "waits": step["waits"]})
        else:
            checks.that(at + "rest", abs(step["seconds"] - max(want[1], 4.0)) < 0.11, (step["seconds"], want[1]))
            steps.append({"kind": "rest", "seconds": step["seconds"]})
    version = spec["program"][-1]["version"]
    return {
        "session_id": f"{spec['id']}-v{version}", "version": version, "lang": language,
        "side": spec["operation"]["side"], "date": ON, "valid_until": valid_until(name).isoformat(), "steps": steps,
    }


def check_logs(checks, of, logs, want):
    """The texts of the codes, read by the program: the whole run first, then the runs that were broken off."""
    lines = [line for line in logs.read_text(encoding="utf-8").splitlines() if line] if logs.exists() else []
    checks.that(of + "codes of whole and broken-off runs", len(lines) >= 3, len(lines))
    whole = [[it["id"], [it["reps"]] * it["sets"]] for it in want["steps"] if it["kind"] == "exercise"]
    for number, line in enumerate(lines):
        answer = handrail("log", "-", "--json", stdin=line)
        if not checks.same(of + f"code {number} is read", answer.returncode, 0):
            print(answer.stderr)
            continue
        (log,) = json.loads(answer.stdout)
        checks.same(of + f"code {number}: session, version, date", (log["session"], log["version"], log["date"]),
                    (want["session_id"], want["version"], want["date"]))
        found = [[it["id"], it["reps_per_set"]] for it in log["exercises"]]
        raw = json.loads(line)
        checks.same(of + f"code {number}: counts", found, [[e["i"], e["n"]] for e in raw["e"]])
        if number == 0:
            checks.same(of + "the whole run was counted", found, whole)
            checks.same(of + "pain of the whole run", log["pain"], {"before": 1, "during": 3, "after": 2})
            checks.same(of + "the whole run was not stopped", log["stopped"], False)
            for step in want["steps"]:
                if step["kind"] == "exercise":
                    broken = line.replace(f'"{step["id"]}"', '"', 1)
                    checks.same(of + "a damaged code is refused", handrail("log", "-", stdin=broken).returncode, 2)
                    break
    together = handrail("log", "-", "--json", stdin="\n".join(lines))
    checks.same(of + "all codes in one text", len(json.loads(together.stdout or "[]")), len(lines))


def main():
    FOLDER.mkdir(parents=True, exist_ok=True)
    checks = Checks()
    passed, failed = node("qr.mjs")
    print(f"QR codes: {passed} passed, {failed} failed")
    checks.passed, checks.failed = checks.passed + passed, checks.failed + failed
    for name in EPISODES:
        for language in ("en", "es"):
            page = DEMO / f"{name}-follow-{language}.html"
            of = f"{page.name}: "
            want = expected(checks, of, name, language, page_data(page))
            expect, logs = FOLDER / f"{page.stem}.json", FOLDER / f"{page.stem}-logs.txt"
            expect.write_text(json.dumps(want), encoding="utf-8")
            logs.unlink(missing_ok=True)
            passed, failed = node("run.mjs", "--html", page, "--expect", expect, "--logs", logs,
                                  "--shots", FOLDER / page.stem)
            print(f"{page.name}: {passed} passed, {failed} failed in the browser, {page.stat().st_size / 1000:.0f} kB")
            checks.passed, checks.failed = checks.passed + passed, checks.failed + failed
            check_logs(checks, of, logs, want)
    checks.done()


if __name__ == "__main__":
    main()
