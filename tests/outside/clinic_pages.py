"""The clinic in Chromium, on the invented patients: every page, every path by keyboard, the network cut in mid-diary.

    python tests/outside/clinic_pages.py

Serves the clinic of the demo on a free loopback port and leads a browser through it: `clinic/desk.mjs` (axe-core on
every page at two widths in both languages), `clinic/patient.mjs` (link, door, diary exactly once, axe-core, target
sizes, bytes, content policy), `clinic/light.mjs` (the patient's page under Lighthouse), `clinic/paths.mjs` (each path
of the work with the keyboard alone). Walks the journal afterwards, and ends the server. What they saw is in
`target/outside/clinic-shots`.
"""

import concurrent.futures
import json
import os
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.request

from common import DEMO, ROOT, WORK, handrail

#: Those of a line go beside each other; what takes times has the machine for itself.
SCRIPTS = (("desk.mjs", "patient.mjs"), ("light.mjs",), ("paths.mjs",))
BINARY = ROOT / "target" / "release" / "handrail"


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def wait_for(base):
    for _ in range(150):
        try:
            with urllib.request.urlopen(f"{base}/login", timeout=2) as answer:
                return answer.status == 200
        except OSError:
            time.sleep(0.1)
    return False


def browse(script, base):
    """Runs a script of the browser, shows what it says, and answers how many checks passed and failed."""
    environment = os.environ | {"CLINIC_NODE": str(ROOT / "target" / "outside" / "node")}
    begin = time.perf_counter()
    answer = subprocess.run(["node", str(ROOT / "tests" / "outside" / "clinic" / script),
                             "--base", base, "--shots", str(WORK / "clinic-shots")],
                            env=environment, cwd=ROOT, capture_output=True, text=True, timeout=400)
    lines = (answer.stdout + answer.stderr).rstrip().splitlines()
    print("\n".join([*lines[:-1], f"{script}: {time.perf_counter() - begin:.0f} s"]))
    closing = re.fullmatch(r"(\d+) passed, (\d+) failed", lines[-1])
    if not closing:
        print(f"{script}: no closing line: {lines[-1]}")
        return 0, 1
    return tuple(map(int, closing.groups()))


def main():
    port = free_port()
    base = f"http://127.0.0.1:{port}"
    server = subprocess.Popen([str(BINARY), "serve", "--data", str(DEMO), "--port", str(port)],
                              stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
    try:
        if not wait_for(base):
            sys.exit("the server does not answer")
        with concurrent.futures.ThreadPoolExecutor(2) as pool:
            counts = [it for beside in SCRIPTS for it in pool.map(lambda script: browse(script, base), beside)]
    finally:
        server.send_signal(signal.SIGTERM)
        server.wait(timeout=20)
    walked = json.loads(handrail("journal", "verify", "--json", "--data", DEMO).stdout)
    whole = walked["fault_count"] == 0 and walked["entries"] > 2000
    print(f"{walked['entries']} entries walked, {walked['fault_count']} faults")
    passed = sum(it[0] for it in counts) + whole
    failed = sum(it[1] for it in counts) + (not whole)
    print(f"{passed} passed, {failed} failed")
    sys.exit(failed > 0)


if __name__ == "__main__":
    main()
