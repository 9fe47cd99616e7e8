"""All outside checks.

    python tests/outside/run.py [NAME ...]

Run by `tests/all.sh`, which installs what they need; `arms_myosim` and `gait_cycle` fetch the rest by pip at their
first run. Each check is a program that prints `N passed, M failed`; this one makes the demo and the other files they read,
runs them, and sums up. Names choose among them. Times of two engines (`dynamics_speed.py`) are no check:
`cargo xtask bench dynamics` prints them.
"""

import concurrent.futures
import os
import pathlib
import re
import shutil
import subprocess
import sys
import time

from common import DEMO, ON, ROOT, WORK, example, handrail

HERE = pathlib.Path(__file__).parent
CALENDARS = WORK / "calendars"
#: Checks that no other may run beside.
ALONE = {"handout_speed", "clinic_pages"}
#: Takes longest: begun first, so that nothing waits for it at the end.
FIRST = "follow_demo"


def order_instances(count, size):
    """Random sessions with the order that Handrail gives them, as a file."""
    path = WORK / f"order-{size}.json"
    path.write_text(example("order_instances", 1, count, size, "typical"))
    return path


def choice_instances(kind, count, size=80):
    """Random problems of choice with what Handrail chooses, as a file."""
    path = WORK / f"choice-{kind}.json"
    path.write_text(example("choice_instances", 1, count, size, kind))
    return path


def calendar_files():
    """Calendars of invented programs with the facts they must hold."""
    example("calendar_files", CALENDARS)
    return sorted(CALENDARS.glob("*.ics"))


def commands():
    """Name of each check, and its runs."""
    yield "fk_mujoco", [["fk_mujoco.py"]]
    yield "law_mujoco", [["law_mujoco.py"]]
    yield "dynamics_engines", [["dynamics_engines.py"]]
    yield "gait_cycle", [["gait_cycle.py"]]
    yield "arms_myosim", [["arms_myosim.py"]]
    yield "loads_published", [["loads_published.py"]]
    yield "order_cpsat", lambda: [["order_cpsat.py", order_instances(10, 12)], ["order_cpsat.py", order_instances(5, 20)]]
    yield "choice_cpsat", lambda: [["choice_cpsat.py", choice_instances("typical", 10)],
                                   ["choice_cpsat.py", choice_instances("even_share", 4)],
                                   ["choice_cpsat.py", choice_instances("alike", 4)]]
    yield "calendar_check", lambda: [["calendar_check.py", it, it.with_suffix(".json")] for it in calendar_files()]
    yield "calendar_demo", [["calendar_demo.py"]]
    yield "reading", [["reading.py"]]
    yield "pdf_check", [["pdf_check.py"]]
    yield "cli_check", [["cli_check.py"]]
    yield "trade_facts", [["trade_facts.py"]]
    yield "handout_speed", [["handout_speed.py"]]
    yield "follow_demo", [["follow_demo.py"]]
    yield "store_sqlcipher", [["store_sqlcipher.py"]]
    yield "clinic_pages", [["clinic_pages.py"]]
    yield "clinic_faults", [["clinic_faults.py"]]


def run(words):
    """Runs one check. What it printed, how many passed and failed; without its closing line it has failed."""
    environment = os.environ | {"PYTHONUNBUFFERED": "1", "PYTHONUTF8": "1"}
    command = [sys.executable, str(HERE / words[0]), *map(str, words[1:])]
    done = subprocess.run(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, encoding="utf-8",
                          cwd=ROOT, env=environment)
    lines = done.stdout.rstrip().splitlines() or [""]
    closing = re.fullmatch(r"(\d+) passed, (\d+) failed", lines[-1])
    if not closing:
        return [*lines, f"no closing line, exit code {done.returncode}"], 0, 1
    passed, failed = map(int, closing.groups())
    return lines[:-1], passed, failed + (done.returncode != 0 and failed == 0)


def check(name, runs):
    """All runs of a check, one after the other; prints them when the last has ended."""
    begin, told, passed, failed = time.perf_counter(), [], 0, 0
    try:
        for words in runs() if callable(runs) else runs:
            lines, *counts = run(words)
            told += lines
            passed, failed = passed + counts[0], failed + counts[1]
    except SystemExit as stop:
        told.append(str(stop))
        failed += 1
    body = "".join(f"  {line}\n" for line in told)
    print(f"{name}\n{body}  = {passed} passed, {failed} failed", flush=True)
    return name, passed, failed, time.perf_counter() - begin


def make_demo():
    """The demo, from nothing."""
    shutil.rmtree(DEMO, ignore_errors=True)
    answer = handrail("demo", "--no-serve", "--data", DEMO)
    if answer.returncode:
        print(f"handrail demo: exit code {answer.returncode}\n{answer.stderr}")
    return answer.returncode == 0 and len(list(DEMO.glob("*"))) >= 27


def main():
    WORK.mkdir(parents=True, exist_ok=True)
    begin = time.perf_counter()
    sums = [0, 0]
    made = make_demo()
    sums[0 if made else 1] += 1
    print(f"demo for {ON} in {DEMO.relative_to(ROOT)}: {time.perf_counter() - begin:.1f} s", flush=True)
    chosen = set(sys.argv[1:])
    wanted = [it for it in commands() if not chosen or it[0] in chosen]
    # Two at a time for two cores; what takes times or leads a browser has the machine for itself.
    with concurrent.futures.ThreadPoolExecutor(2) as pool:
        beside = sorted((it for it in wanted if it[0] not in ALONE), key=lambda it: it[0] != FIRST)
        table = list(pool.map(lambda it: check(*it), beside))
    table += [check(*it) for it in wanted if it[0] in ALONE]
    sums = [sums[i] + sum(it[i + 1] for it in table) for i in range(2)]
    print()
    for name, passed, failed, seconds in table:
        print(f"{name:16} {passed:6} passed {failed:4} failed {seconds:7.1f} s")
    print(f"{sums[0]} passed, {sums[1]} failed")
    sys.exit(sums[1] > 0)


if __name__ == "__main__":
    main()
