"""The patient's page in Chromium, on the invented clinic: link, door, diary with the network cut, exactly once.

    python tests/outside/clinic_pages.py

Serves the clinic of the demo on a free loopback port, leads a browser through it (`clinic/patient.mjs`: axe-core on
every screen in both languages, target sizes, bytes, content policy), walks the journal afterwards, and ends the server.
"""

import json
import os
import signal
import socket
import subprocess
import sys
import time
import urllib.request

from common import DEMO, ROOT, WORK, handrail

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


def main():
    port = free_port()
    base = f"http://127.0.0.1:{port}"
    server = subprocess.Popen([str(BINARY), "serve", "--data", str(DEMO), "--port", str(port)],
                              stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
    try:
        if not wait_for(base):
            sys.exit("the server does not answer")
        environment = os.environ | {"CLINIC_NODE": str(ROOT / "target" / "outside" / "node")}
        shots = WORK / "clinic-shots"
        answer = subprocess.run(["node", str(ROOT / "tests" / "outside" / "clinic" / "patient.mjs"),
                                 "--base", base, "--shots", str(shots)],
                                env=environment, cwd=ROOT, capture_output=True, text=True, timeout=400)
        lines = (answer.stdout + answer.stderr).rstrip().splitlines()
    finally:
        server.send_signal(signal.SIGTERM)
        server.wait(timeout=20)
    walked = json.loads(handrail("journal", "verify", "--json", "--data", DEMO).stdout)
    for line in lines[:-1]:
        print(line)
    passed, failed = (int(word.split()[0]) for word in lines[-1].split(", "))
    whole = walked["fault_count"] == 0 and walked["entries"] > 2000
    print(f"{walked['entries']} entries walked, {walked['fault_count']} faults")
    print(f"{passed + whole} passed, {failed + (not whole)} failed")
    sys.exit(failed > 0 or not whole)


if __name__ == "__main__":
    main()
