"""Runs a command beside a PostgreSQL server that lives only as long as the command.

    python tests/outside/postgres.py COMMAND [ARGUMENT ...]

The command finds the server's URL in HANDRAIL_TEST_POSTGRES, and in HANDRAIL_TEST_POSTGRES_AUTHORITIES a folder with
the certificate of the authority that vouches for the server's name `localhost` (`own.pem`), and of one that does not
(`other.pem`). Nothing is installed: the newest PostgreSQL under
/usr/lib/postgresql is used (or the folder that HANDRAIL_POSTGRES_BIN names). The cluster is new each time, listens on
a free loopback port, and is stopped and removed at the end, also after a failure or Ctrl-C. PostgreSQL refuses to
run as root; as root the server runs under the account `postgres` or `nobody`.
"""

import os
import pathlib
import pwd
import re
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time

ROOT = pathlib.Path(__file__).resolve().parents[2]
WORK = ROOT / "target" / "outside" / "pg"


def programs():
    """The folder with initdb and pg_ctl."""
    named = os.environ.get("HANDRAIL_POSTGRES_BIN")
    found = [pathlib.Path(named)] if named else sorted(
        pathlib.Path("/usr/lib/postgresql").glob("*/bin"),
        key=lambda folder: [int(n) for n in re.findall(r"\d+", folder.parent.name)],
        reverse=True,
    )
    for folder in found:
        if (folder / "initdb").exists() and (folder / "pg_ctl").exists():
            return folder
    sys.exit("postgres.py: no PostgreSQL server found under /usr/lib/postgresql: install the package `postgresql`")


def account():
    """Whom the server runs as when we are root; None = as ourselves."""
    if os.geteuid() != 0:
        return None
    for name in ("postgres", "nobody"):
        try:
            return pwd.getpwnam(name)
        except KeyError:
            continue
    sys.exit("postgres.py: run as root, but there is neither an account `postgres` nor `nobody`")


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


class Server:
    """A cluster in a folder of its own."""

    def __init__(self):
        self.bin = programs()
        self.user = account()
        WORK.mkdir(parents=True, exist_ok=True)
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="cluster-", dir=self.reachable(WORK)))
        self.port = free_port()
        if self.user:
            os.chown(self.folder, self.user.pw_uid, self.user.pw_gid)

    def reachable(self, folder):
        """The folder, or the system's one for short-lived files when the server's account may not enter it."""
        if self.user:
            for parent in [folder, *folder.parents]:
                if not parent.stat().st_mode & 0o001:
                    return None
        return folder

    def run(self, program, *arguments):
        own = self.bin / program
        command = [str(own if own.exists() else program), *map(str, arguments)]
        as_user = {"user": self.user.pw_uid, "group": self.user.pw_gid, "extra_groups": []} if self.user else {}
        done = subprocess.run(command, cwd=self.folder, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE,
                              stderr=subprocess.STDOUT, text=True, timeout=120, **as_user)
        if done.returncode != 0:
            log = self.folder / "log"
            sys.exit(f"postgres.py: {program} failed:\n{done.stdout}{log.read_text() if log.exists() else ''}")

    def certificates(self, data):
        """A key and a certificate for the name localhost, by an authority of our own; and an authority of nobody."""
        self.authorities = self.folder / "authorities"
        self.run("mkdir", self.authorities)
        key = ["-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes"]
        for name in ("own", "other"):
            self.run("openssl", "req", "-x509", *key, "-keyout", self.authorities / f"{name}.key", "-days", "2",
                     "-subj", f"/CN=Invented authority ({name})", "-out", self.authorities / f"{name}.pem")
        self.run("openssl", "req", *key, "-keyout", data / "server.key", "-subj", "/CN=localhost",
                 "-addext", "subjectAltName=DNS:localhost", "-out", self.folder / "server.csr")
        self.run("openssl", "x509", "-req", "-in", self.folder / "server.csr", "-copy_extensions", "copy", "-days", "2",
                 "-CA", self.authorities / "own.pem", "-CAkey", self.authorities / "own.key", "-CAcreateserial",
                 "-out", data / "server.crt")

    def __enter__(self):
        data = self.folder / "data"
        self.run("initdb", "-D", data, "-U", "handrail", "--auth=trust", "--encoding=UTF8", "--locale=C.UTF-8",
                 "--no-sync")
        self.certificates(data)
        options = f"-c ssl=on -c listen_addresses=127.0.0.1 -c port={self.port} -c unix_socket_directories='' -c max_connections=200"
        self.run("pg_ctl", "-D", data, "-l", self.folder / "log", "-o", options, "-w", "-t", "60", "start")
        return f"postgres://handrail@127.0.0.1:{self.port}/postgres"

    def environment(self, url):
        """What the command finds."""
        return {**os.environ, "HANDRAIL_TEST_POSTGRES": url, "HANDRAIL_TEST_POSTGRES_AUTHORITIES": str(self.authorities)}

    def __exit__(self, *_):
        try:
            if (self.folder / "data" / "postmaster.pid").exists():
                self.run("pg_ctl", "-D", self.folder / "data", "-m", "immediate", "-w", "-t", "60", "stop")
        finally:
            shutil.rmtree(self.folder, ignore_errors=True)


def main():
    if len(sys.argv) < 2:
        sys.exit(__doc__)
    # Ended from outside, the server is stopped all the same.
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(143))
    begun = time.monotonic()
    server = Server()
    try:
        url = server.__enter__()
        print(f"{url} (after {time.monotonic() - begun:.1f} s)", flush=True)
        command = sys.argv[2:] if sys.argv[1] == "--" else sys.argv[1:]
        return subprocess.run(command, env=server.environment(url)).returncode
    except KeyboardInterrupt:
        return 130
    finally:
        server.__exit__()


if __name__ == "__main__":
    sys.exit(main())
