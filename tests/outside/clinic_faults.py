"""The running server under faults: killed under load, disk full, wrong keys, damaged files, database away.

    python tests/outside/clinic_faults.py [--kills N] [NAME ...]

Serves copies of the invented clinic with the program as it is installed. `kills` sends diaries of patients and notes of a
therapist over several connections, ends the server by SIGKILL at random moments (20 times, or N), starts it again,
sends again what was not acknowledged, and holds the records against what was. The other checks bring one fault each
and look at what the pages say meanwhile, at what is lost (nothing), and at what mends itself. Names choose among them.
Needs `sqlcipher3-binary` (PyPI) to count entries past our own code; the disk that is full needs the right to mount.
"""

import argparse
import hashlib
import http.client
import json
import os
import pathlib
import random
import re
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import threading
import time
import urllib.parse

from common import HANDRAIL, ROOT, WORK, Checks, handrail

import sqlcipher3.dbapi2 as sqlcipher

PASSWORD = "four calm blue herons"
PATIENTS = ("marta-okonjo", "ruben-castellanos-vega")
MONTHS = "Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec".split()
checks = Checks()


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


class Server:
    """`handrail serve` over a folder."""

    def __init__(self, data, *words, port=None, user=None):
        self.data, self.port = pathlib.Path(data), port or free_port()
        command = [str(HANDRAIL), "serve", "--data", str(data), "--port", str(self.port), *map(str, words)]
        as_user = {"user": user, "group": user, "extra_groups": []} if user else {}
        self.process = subprocess.Popen(command, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE,
                                        stderr=subprocess.STDOUT, text=True, **as_user)
        self.said = []

    def ready(self, seconds=30):
        """Waits until it answers; False when it ended before."""
        until = time.monotonic() + seconds
        while time.monotonic() < until and self.process.poll() is None:
            try:
                socket.create_connection(("127.0.0.1", self.port), 1).close()
                threading.Thread(target=self.listen, daemon=True).start()
                return True
            except OSError:
                time.sleep(0.01)
        return False

    def listen(self):
        self.said.extend(self.process.stdout)

    def refused(self, seconds=30):
        """Exit code and what was said by a server that does not start."""
        try:
            out, _ = self.process.communicate(timeout=seconds)
        except subprocess.TimeoutExpired:
            self.process.kill()
            return None, "it went on"
        return self.process.returncode, out

    def kill(self):
        self.process.kill()
        self.process.wait()

    def end(self):
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGTERM)
            try:
                self.process.wait(20)
            except subprocess.TimeoutExpired:
                self.kill()

    def __enter__(self):
        checks.that(f"{self.data.name}: the server starts", self.ready(), self.said)
        return self

    def __exit__(self, *_):
        self.end()


class Answer:
    def __init__(self, status, headers, text):
        self.status, self.headers, self.text = status, headers, text

    def page(self, *parts):
        """Whether it is a page of ours that says these things."""
        return "<!DOCTYPE html>" in self.text and all(it in self.text for it in parts)


class Browser:
    """One connection with its cookies."""

    def __init__(self, port, language="en"):
        self.port, self.language, self.cookies, self.csrf = port, language, {}, ""
        self.connection = None

    def at(self, port):
        """The same browser, with another server at the other end."""
        self.port, self.connection = port, None
        return self

    def ask(self, method, path, body=None, kind="application/x-www-form-urlencoded", timeout=40):
        if self.connection is None:
            self.connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=timeout)
        headers = {"accept-language": self.language, "sec-fetch-site": "same-origin",
                   "cookie": "; ".join(f"{name}={value}" for name, value in self.cookies.items())}
        if body is not None:
            headers |= {"content-type": kind, "origin": f"http://127.0.0.1:{self.port}", "x-csrf": self.csrf}
        try:
            self.connection.request(method, path, body=body, headers=headers)
            answer = self.connection.getresponse()
            text = answer.read().decode("utf-8", "replace")
        except (OSError, http.client.HTTPException):
            self.connection.close()
            self.connection = None
            raise
        for line in answer.headers.get_all("set-cookie") or []:
            name, value = line.split(";")[0].split("=", 1)
            self.cookies[name] = value
        if answer.headers.get("connection") == "close":
            self.connection = None
        return Answer(answer.status, answer.headers, text)

    def get(self, path):
        return self.ask("GET", path)

    def form(self, path, **fields):
        return self.ask("POST", path, urllib.parse.urlencode(fields | ({"csrf": self.csrf} if self.csrf else {})))

    def json(self, path, value):
        return self.ask("POST", path, json.dumps(value), "application/json")


def desk(port, login="ines"):
    """A therapist who has logged in."""
    browser = Browser(port)
    answer = browser.form("/login", name=login, password=PASSWORD)
    page = browser.get("/settings").text
    browser.csrf = re.search(r'name="csrf" content="([^"]*)"', page).group(1)
    checks.same("logged in", answer.status, 303)
    return browser


class Phone:
    """A patient's page, opened by a link of the clinic."""

    def __init__(self, therapist, episode, language="en"):
        made = therapist.form(f"/e/{episode}/home/link", expires=in_days(20))
        secret = re.search(r"/p/([0-9a-z]+)<", made.text).group(1)
        born = re.search(r"born (\w{3}) (\d+), (\d{4})", made.text)
        self.episode, self.browser = episode, Browser(therapist.port, language)
        self.secret = secret
        self.born = {"day": born.group(2), "month": MONTHS.index(born.group(1)) + 1, "year": born.group(3)}
        opened = self.browser.form(f"/p/{secret}", **self.born)
        checks.that(f"the door of {episode} opens", opened.status == 303, opened.text)
        self.browser.cookies["lang"] = language
        page = self.browser.get("/home").text
        data = json.loads(re.search(r'id="home-data">(.*?)</script>', page, re.S).group(1))
        self.version, self.surgery = data["version"], data["surgery"]
        state = json.loads(self.browser.get("/home/state").text)
        self.browser.csrf, self.tag = state["csrf"], state["tag"]
        self.sent = 0

    def diary(self, key):
        """A diary with a key; days go round, for there are only so many diaries in one."""
        self.sent += 1
        on = in_days(-(self.sent % 12))
        return {"key": key, "tag": self.tag, "diary": {"on": max(on, self.surgery), "version": self.version,
                                                        "pain_during": self.sent % 11, "note": f"note of {key}"}}

    def send(self, key):
        return self.browser.json("/home/diary", self.diary(key))


def in_days(n):
    return time.strftime("%Y-%m-%d", time.localtime(time.time() + n * 86400))


def key_of(name):
    return "page-" + hashlib.sha256(name.encode()).hexdigest()[:32]


class Records:
    """A folder's journal, read by another build of SQLCipher."""

    def __init__(self, data):
        self.connection = sqlcipher.connect(f"file:{data}/clinic.db?mode=ro", uri=True)
        key = pathlib.Path(data, "clinic.key").read_text().strip()
        self.connection.execute(f"PRAGMA key = \"x'{key}'\"")

    def keys(self):
        """How often each sender's key stands in the journal."""
        rows = self.connection.execute("SELECT key, count(*) FROM entry WHERE key IS NOT NULL GROUP BY key")
        return dict(rows.fetchall())

    def notes(self):
        rows = self.connection.execute("SELECT payload FROM entry WHERE kind = 'note'").fetchall()
        found = {}
        for (payload,) in rows:
            for name in re.findall(r"typed [a-z0-9-]+", payload):
                found[name] = found.get(name, 0) + 1
        return found


def verified(*words):
    """The walk through the journal by the program itself."""
    answer = handrail("journal", "verify", "--json", *words)
    return json.loads(answer.stdout) if answer.stdout.startswith("{") else {"fault_count": answer.stderr, "entries": 0}


def whole(name, data, *words):
    walked = verified("--data", data, *words)
    checks.same(f"{name}: breaks in the journal", walked["fault_count"], 0)
    return walked["entries"]


# ---- killed under load -----------------------------------------------------------------------------------


class Load:
    """One connection that sends as fast as it is answered."""

    def __init__(self, name, act):
        self.name, self.act, self.n = name, act, 0
        self.acknowledged, self.unsure, self.again, self.odd = [], None, 0, []

    def run(self, stop):
        while not stop.is_set():
            if self.unsure is None:
                self.n += 1
                self.unsure = f"{self.name}-{self.n}"
            else:
                self.again += 1
            try:
                status = self.act(self.unsure)
            except (OSError, http.client.HTTPException):
                return
            if status in (200, 303):
                self.acknowledged.append(self.unsure)
                self.unsure = None
            else:
                self.odd.append(status)
                return


#: Databases are begun anew after so many kills, so that episodes stay of a real size.
KILLS_OF_ONE = 25


def killed(folder, clinic, kills, seed=None):
    seed = seed or random.SystemRandom().randrange(10**6)
    chance = random.Random(seed)
    sums = {"acknowledged": 0, "again": 0, "unsure": 0, "kept": 0, "loaded": 0}
    data = None
    for kill in range(kills):
        if kill % KILLS_OF_ONE == 0:
            if data:
                held(data, loads, sums)
            data = copy_of(clinic, folder / f"kills-{kill}")
            with Server(data) as server:
                therapist = desk(server.port)
                phones = [Phone(therapist, episode) for episode in PATIENTS for _ in range(3)]
            loads = [Load(f"k{kill}-p{n}", lambda name, it=it: it.send(key_of(name)).status) for n, it in enumerate(phones)]
            path = f"/e/{PATIENTS[0]}/record/note"
            writers = [Browser(0) for _ in range(2)]
            for n, it in enumerate(writers):
                it.cookies, it.csrf = dict(therapist.cookies), therapist.csrf
                loads.append(Load(f"k{kill}-s{n}", lambda name, it=it: it.form(path, says=f"typed {name}").status))
        server = Server(data)
        checks.that(f"start {kill}", server.ready(), server.process.poll())
        for it in [*(phone.browser for phone in phones), *writers]:
            it.at(server.port)
        before = sum(len(it.acknowledged) for it in loads)
        notes = [it for it in loads if "-s" in it.name]
        stop = threading.Event()
        threads = [threading.Thread(target=it.run, args=(stop,)) for it in loads]
        for it in threads:
            it.start()
        time.sleep(chance.uniform(0.01, 0.5))
        server.kill()
        for it in threads:
            it.join(60)
        stop.set()
        for it in notes:
            # A note has no key of its own: what was not acknowledged is not sent again, and stands once or not at all.
            it.again, it.unsure = 0, None
        now = sum(len(it.acknowledged) for it in loads)
        sums["loaded"] += now > before
        sums["unsure"] += sum(it.unsure is not None for it in loads)
        if kill % 5 == 4:
            whole(f"after kill {kill + 1}", data)
    held(data, loads, sums)
    print(f"{kills} kills (seed {seed}): {sums['acknowledged']} entries acknowledged, none lost, none twice; "
          f"{sums['loaded']} kills under load; {sums['unsure']} diaries cut off, sent again and kept once")
    checks.that("most kills came under load", sums["loaded"] >= kills * 0.7, sums)
    checks.that("the load was one", sums["acknowledged"] >= kills * 5, sums)
    checks.that("kills cut off what was being sent", sums["unsure"] >= kills, sums)


def held(data, loads, sums):
    """Sends what was cut off once more, and holds the journal against what was acknowledged."""
    with Server(data) as server:
        for it in loads:
            if it.unsure is not None:
                phone = it.act.__defaults__[0]
                phone.browser.at(server.port)
                status = it.act(it.unsure)
                checks.same(f"{it.unsure} sent again", status, 200)
                it.acknowledged.append(it.unsure)
            checks.same(f"{it.name}: answers that were no answer", it.odd, [])
    whole(data.name, data)
    records = Records(data)
    keys, notes = records.keys(), records.notes()
    for it in loads:
        if "-s" in it.name:
            wrong = [name for name in it.acknowledged if notes.get(f"typed {name}") != 1]
        else:
            wrong = [name for name in it.acknowledged if keys.get(key_of(name)) != 1]
        checks.same(f"{it.name}: acknowledged and not there exactly once", wrong, [])
        sums["acknowledged"] += len(it.acknowledged)
    checks.same("notes that stand twice", [name for name, times in notes.items() if times > 1], [])


# ---- faults ----------------------------------------------------------------------------------------------


def speaks(name, server, *parts):
    """A server that does not start says what, and how to mend it."""
    code, said = server.refused()
    checks.same(f"{name}: exit code", code, 2)
    lines = said.strip()
    checks.that(f"{name}: says what and how to mend it", all(it in lines for it in parts) and len(lines) > 60, lines)
    return said


def keys(folder, clinic):
    data = copy_of(clinic, folder / "keys")
    digest = lambda: hashlib.sha256((data / "clinic.db").read_bytes()).hexdigest()
    before, key = digest(), (data / "clinic.key").read_text()
    (data / "clinic.key").write_text("0" * 64 + "\n")
    speaks("another key", Server(data), "key does not open", "restore")
    (data / "clinic.key").write_text("short\n")
    speaks("no key in the key file", Server(data), "clinic.key", "64 hexadecimal digits")
    (data / "clinic.key").write_bytes(b"\xff" * 40)
    speaks("bytes in the key file", Server(data), "clinic.key", "64 hexadecimal digits")
    speaks("a key file that is not there", Server(data, "--key-file", data / "none"), "none", "restore it from your copy")
    (data / "clinic.key").unlink()
    speaks("no key at all", Server(data), "no key was given", "handrail key new")
    (data / "clinic.key").write_text(key)
    checks.same("a wrong key changes nothing", digest(), before)
    with Server(data) as server:
        checks.same("the right key opens", desk(server.port).get("/").status, 200)


def read_only(folder, clinic):
    data = copy_of(clinic, folder / "read-only")
    if os.geteuid() == 0:
        for it in [folder.parent, folder, data, *data.iterdir()]:
            os.chmod(it, 0o755 if it.is_dir() else 0o644)
        user = 65534
        reachable = all(it.stat().st_mode & 0o001 for it in data.resolve().parents)
        if not reachable:
            data = copy_of(clinic, pathlib.Path(tempfile.mkdtemp(prefix="handrail-faults-")) / "read-only")
            os.chmod(data.parent, 0o755)
            for it in [data, *data.iterdir()]:
                os.chmod(it, 0o755 if it.is_dir() else 0o644)
    else:
        user = None
        os.chmod(data, 0o555)
    speaks("a folder that cannot be written", Server(data, user=user), "cannot be written", "right to write")
    os.chmod(data, 0o755)
    if user:
        with Server(data) as server:
            checks.same("the right to write is back", desk(server.port).get("/").status, 200)
        if data.parent.parent != folder and data.parent.name.startswith("handrail-faults-"):
            shutil.rmtree(data.parent)


def damaged(folder, clinic):
    data = copy_of(clinic, folder / "damaged")
    file = data / "clinic.db"
    good = file.read_bytes()
    pages = len(good) // 4096
    # Everywhere: it is noticed at the start. Then ever fewer pages from the middle on, until the server starts.
    for begin, step in ((8, 6), (0.4, 7), (0.5, 9), (0.5, 14), (0.6, 16), (0.6, 25), (0.7, 30), (0.8, 40)):
        bad = bytearray(good)
        for page in range(begin if begin > 1 else int(pages * begin), pages, step):
            bad[page * 4096 + 1000] ^= 1
        file.write_bytes(bad)
        server = Server(data)
        if server.ready():
            break
        speaks(f"damage from {begin} in steps of {step}", server, "damaged", "restore")
    if checks.that("the server starts beside the damage", server.process.poll() is None):
        answers = []
        browser = Browser(server.port, "es")
        answers.append(browser.form("/login", name="ines", password=PASSWORD))
        page = browser.get("/settings")
        csrf = re.search(r'name="csrf" content="([^"]*)"', page.text)
        browser.csrf = csrf.group(1) if csrf else ""
        for episode in (*PATIENTS, "lena-dahlberg"):
            answers.append(browser.get(f"/e/{episode}"))
            answers.append(browser.form(f"/e/{episode}/record/note", says="typed words"))
        answers.append(browser.get("/patients"))
        wrong = [it for it in answers if it.status == 503]
        checks.that("damage is met", len(wrong) > 0, [it.status for it in answers])
        checks.that("no other error", all(it.status in (200, 303, 404, 503) for it in answers), [it.status for it in answers])
        checks.that("damage is told in the person's language, and how to mend it",
                    all(it.page("dañada", "última copia", "Avise") for it in wrong), [it.text for it in wrong][:1])
        checks.that("the server goes on", server.process.poll() is None and browser.get("/login").status == 200)
        server.end()
        checks.that("the log says it too", any("damaged" in it for it in server.said), server.said)
    found = handrail("journal", "verify", "--data", data)
    checks.that("the walk finds the damage", found.returncode != 0 and "damaged" in found.stderr, found.stderr)
    file.write_bytes(good)
    for name in ("clinic.db-wal", "clinic.db-shm"):
        (data / name).unlink(missing_ok=True)
    with Server(data) as server:
        checks.same("the file from the backup serves", desk(server.port).get("/").status, 200)


def truncated(folder, clinic):
    for part, sayings in ((0.5, ("damaged", "restore")), (0.0, ("another kind",))):
        data = copy_of(clinic, folder / f"truncated-{int(part * 100)}")
        file = data / "clinic.db"
        good = file.read_bytes()
        cut = good[: int(len(good) * part) // 4096 * 4096 or 100]
        file.write_bytes(cut)
        server = Server(data)
        if server.ready():
            browser = Browser(server.port)
            answer = browser.form("/login", name="ines", password=PASSWORD)
            checks.that(f"cut to {len(cut)} bytes: told", answer.status == 503 and answer.page("damaged", "last backup"), answer.text)
            server.end()
        else:
            speaks(f"cut to {len(cut)} bytes", server, *sayings)
        checks.that("what is left stays as it is", file.read_bytes()[:len(cut)] == cut)


def mounted(folder, size):
    folder.mkdir()
    done = subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={size},mode=755", "tmpfs", folder], capture_output=True)
    return done.returncode == 0


def full(folder, clinic):
    disk = folder / "disk"
    if not mounted(disk, "40m"):
        print("left out: a full disk (this account may not mount a file system)")
        return
    try:
        data = copy_of(clinic, disk / "clinic")
        with Server(data) as server:
            therapist = desk(server.port)
            phone = Phone(therapist, PATIENTS[0], "es")
            acknowledged = [f"full-{n}" for n in range(5)]
            for it in acknowledged:
                checks.same("taken before", phone.send(key_of(it)).status, 200)
            filler = disk / "filler"
            with open(filler, "wb", buffering=0) as out:
                try:
                    while out.write(b"x" * 4096):
                        pass
                except OSError:
                    pass
            # The log may have some room of its own left.
            waiting = []
            for n in range(400):
                name = f"while-{n}"
                answer = phone.send(key_of(name))
                if answer.status == 200:
                    acknowledged.append(name)
                else:
                    waiting.append(name)
                    break
            checks.that("a full disk is met", waiting, acknowledged[-1])
            checks.same("its status", answer.status, 507)
            checks.that("the phone may ask again", int(answer.headers.get("retry-after", 0)) > 0)
            told = json.loads(answer.text)
            checks.that("told in the patient's language", "ordenador de la clínica" in told["error"] and "teléfono" in told["mend"], told)
            checks.same("what only reads goes on", phone.browser.get("/home/state").status, 200)
            # A view is a small entry, for which there may still be room.
            page = next((it for it in (therapist.get(f"/e/{PATIENTS[0]}") for _ in range(200)) if it.status != 200), None)
            checks.that("nothing of a record is shown that cannot be written down as seen",
                        page and page.status == 507 and page.page("disk of the clinic", "make room"), page and page.text)
            door = Browser(server.port, "es").form(f"/p/{phone.secret}", **phone.born)
            checks.that("the patient's door says what becomes of the diary",
                        door.status == 507 and door.page("sigue en su teléfono", "señal de alarma", 'lang="es"'), door.text)
            note = therapist.form(f"/e/{PATIENTS[0]}/record/note", says="typed while-full & \"more\"")
            checks.that("the therapist is told what and how to mend it",
                        note.status == 507 and note.page("disk of the clinic", "make room", "clinic.db"), note.text)
            checks.that("what was typed is in the page, to be sent again",
                        note.page('name="says" value="typed while-full &amp; &quot;more&quot;"', "Send it again"), note.text)
            checks.that("no path for somebody who is not logged in", "clinic.db" not in Browser(server.port).form("/login", name="ines", password=PASSWORD).text)
            filler.unlink()
            for it in waiting:
                checks.same(f"{it} sent again, without a restart", phone.send(key_of(it)).status, 200)
            acknowledged += waiting
            checks.same("the form sent again", therapist.form(f"/e/{PATIENTS[0]}/record/note", says="typed while-full").status, 303)
            checks.same("pages open again", phone.browser.get("/home").status, 200)
            browsed(server, filler)
        whole("after a full disk", data)
        records = Records(data)
        keys, notes = records.keys(), records.notes()
        checks.same("acknowledged and not there exactly once", [it for it in acknowledged if keys.get(key_of(it)) != 1], [])
        checks.same("the form is there once", notes.get("typed while-full"), 1)
        print(f"disk full: {len(acknowledged)} diaries acknowledged, all there once")
    finally:
        subprocess.run(["umount", "-l", disk], capture_output=True)


def browsed(server, filler):
    """The patient's page in Chromium while the disk is full."""
    environment = os.environ | {"CLINIC_NODE": str(ROOT / "target" / "outside" / "node")}
    script = ROOT / "tests" / "outside" / "clinic" / "full.mjs"
    command = ["node", script, "--base", f"http://127.0.0.1:{server.port}", "--filler", filler,
               "--shots", WORK / "clinic-shots"]
    answer = subprocess.run(command, env=environment, cwd=ROOT, capture_output=True, text=True, timeout=200)
    lines = (answer.stdout + answer.stderr).strip().splitlines()
    print("\n".join(lines[:-1]))
    counts = re.fullmatch(r"(\d+) passed, (\d+) failed", lines[-1] if lines else "")
    checks.that("the browser's walk ends", counts, lines[-1:])
    if counts:
        checks.passed, checks.failed = checks.passed + int(counts[1]), checks.failed + int(counts[2])


def two_servers(folder, clinic):
    data = copy_of(clinic, folder / "two")
    with Server(data) as one, Server(data) as other:
        taken = Server(data, port=one.port)
        speaks("a port that is taken", taken, "cannot listen", str(one.port))
        therapist = desk(one.port)
        phones = [Phone(therapist, episode) for episode in PATIENTS for _ in range(2)]
        for n, it in enumerate(phones):
            it.browser.at((one, other)[n % 2].port)
        loads = [Load(f"two-p{n}", lambda name, it=it: it.send(key_of(name)).status) for n, it in enumerate(phones)]
        stop = threading.Event()
        threads = [threading.Thread(target=it.run, args=(stop,)) for it in loads]
        for it in threads:
            it.start()
        time.sleep(2.5)
        stop.set()
        for it in threads:
            it.join(60)
        for it in loads:
            checks.that(f"{it.name} was answered all the time", it.unsure is None and not it.odd and len(it.acknowledged) > 0,
                        (it.odd, len(it.acknowledged)))
        # What one wrote the other shows at once.
        first = f"note of {key_of(loads[1].acknowledged[-1])}"
        page = therapist.get(f"/e/{phones[1].episode}/journal")
        checks.that("one shows what the other wrote", page.status == 200 and first in page.text, page.text[:200])
    whole("two servers", data)
    keys = Records(data).keys()
    sent = [name for it in loads for name in it.acknowledged]
    checks.same("acknowledged and not there exactly once", [it for it in sent if keys.get(key_of(it)) != 1], [])
    print(f"two servers on one file: {len(sent)} diaries acknowledged, all there once")


def away(folder, clinic):
    """PostgreSQL stopped under the server, and started again."""
    from postgres import Server as Postgres

    data = copy_of(clinic, folder / "away")
    copy = data / "copy.db"
    checks.same("a backup is made", handrail("backup", "--data", data, copy).returncode, 0)
    postgres = Postgres()
    try:
        url = postgres.__enter__()
        moved = handrail("restore", copy, "--data", data, "--database", url)
        checks.same("moved to PostgreSQL", moved.returncode, 0)
        data_of = postgres.folder / "data"
        options = (f"-c listen_addresses=127.0.0.1 -c port={postgres.port} -c unix_socket_directories='' "
                   "-c max_connections=200")
        start = lambda: postgres.run("pg_ctl", "-D", data_of, "-l", postgres.folder / "log", "-o", options, "-w", "-t", "60", "start")
        stop = lambda how: postgres.run("pg_ctl", "-D", data_of, "-m", how, "-w", "-t", "60", "stop")
        with Server(data, "--database", url) as server:
            therapist = desk(server.port)
            phone = Phone(therapist, PATIENTS[1], "es")
            acknowledged = []
            for turn, how in enumerate(("fast", "immediate")):
                name = f"before-{turn}"
                checks.same(name, phone.send(key_of(name)).status, 200)
                stop(how)
                begun = time.monotonic()
                page = therapist.get("/")
                checks.that(f"{how}: the page says that the database is away",
                            page.status == 503 and page.page("database cannot be reached", "connects again by itself"), page.text)
                checks.that("the browser may ask again", int(page.headers.get("retry-after", 0)) > 0)
                note = therapist.form(f"/e/{PATIENTS[1]}/record/note", says=f"typed away-{turn}")
                checks.that("what was typed is in the page", note.status == 503 and note.page(f"typed away-{turn}", "Send it again"), note.text)
                home = phone.browser.get("/home")
                checks.that("the patient's page says what becomes of the diary",
                            home.status == 503 and home.page("sigue en su teléfono", 'lang="es"'), home.text)
                lost = f"away-{turn}"
                answer = phone.send(key_of(lost))
                checks.that("the diary is not taken, and the phone is told so",
                            answer.status == 503 and "ordenador de la clínica" in answer.text, answer.text)
                checks.that("answers come in seconds", time.monotonic() - begun < 25, time.monotonic() - begun)
                checks.same("what needs no records goes on", Browser(server.port).get("/login").status, 200)
                start()
                begun = time.monotonic()
                while therapist.get("/").status != 200 and time.monotonic() - begun < 30:
                    time.sleep(0.2)
                back = time.monotonic() - begun
                checks.that(f"{how}: back by itself", back < 15, back)
                checks.same("the same diary sent again", phone.send(key_of(lost)).status, 200)
                checks.same("and once more", phone.send(key_of(lost)).status, 200)
                checks.same("the form sent again", therapist.form(f"/e/{PATIENTS[1]}/record/note", says=f"typed away-{turn}").status, 303)
                acknowledged += [name, lost]
                print(f"PostgreSQL stopped ({how}) and started: pages back after {back:.1f} s")
        walked = verified("--data", data, "--database", url)
        checks.same("breaks in the journal", walked["fault_count"], 0)
        again = data / "again.db"
        checks.same("a backup again", handrail("backup", "--data", data, "--database", url, again).returncode, 0)
        shutil.copy(again, data / "clinic.db")
        keys = Records(data).keys()
        checks.same("acknowledged and not there exactly once", [it for it in acknowledged if keys.get(key_of(it)) != 1], [])
    finally:
        postgres.__exit__()
    begun = time.monotonic()
    speaks("a database that is away at the start", Server(data, "--database", url), "away", "can be reached")
    checks.that("told in seconds", time.monotonic() - begun < 10, time.monotonic() - begun)


# ----------------------------------------------------------------------------------------------------------


def copy_of(clinic, to):
    shutil.copytree(clinic, to)
    return to


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--kills", type=int, default=int(os.environ.get("HANDRAIL_KILLS", 20)))
    parser.add_argument("names", nargs="*")
    asked = parser.parse_args()
    WORK.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=WORK, prefix="faults-") as folder:
        folder = pathlib.Path(folder)
        clinic = folder / "clinic"
        made = handrail("demo", "--no-serve", "--data", clinic)
        checks.same("the invented clinic", made.returncode, 0)
        every = {"kills": lambda *it: killed(*it, asked.kills), "keys": keys, "read_only": read_only, "damaged": damaged,
                 "truncated": truncated, "full": full, "two_servers": two_servers, "away": away}
        for name, check in every.items():
            if asked.names and name not in asked.names:
                continue
            begun = time.monotonic()
            check(folder, clinic)
            print(f"{name}: {time.monotonic() - begun:.1f} s", flush=True)
    checks.done()


if __name__ == "__main__":
    main()
