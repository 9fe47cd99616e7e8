"""What the outside checks share: counting, the program, the demo's episodes."""

import datetime as dt
import functools
import json
import os
import pathlib
import re
import subprocess
import sys
import tomllib

ROOT = pathlib.Path(__file__).resolve().parents[2]
WORK = ROOT / "target" / "outside"
DEMO = WORK / "demo"
HANDRAIL = pathlib.Path(os.environ.get("HANDRAIL", ROOT / "target" / "release" / "handrail"))

#: The demo's episodes and the day that its outputs are made for.
EPISODES = ("achilles", "acl", "cuff")
#: The examples of the crates that these checks run.
EXAMPLES = ("arms", "calendar_files", "choice_instances", "gait", "loads_dump", "make_store", "order_instances")
ON = "2026-11-25"


class Checks:
    """Counts what holds and prints what does not."""

    def __init__(self):
        self.passed = self.failed = 0

    def that(self, what, holds, found=""):
        if holds:
            self.passed += 1
        else:
            self.failed += 1
            print(f"FAILED {what}" + (f": {str(found)[:600]}" if found != "" else ""))
        return bool(holds)

    def same(self, what, found, expected):
        return self.that(what, found == expected, f"found {found!r}, expected {expected!r}")

    def done(self):
        """Prints the closing line and ends; a check that looked at nothing has failed."""
        if not self.passed and not self.failed:
            self.that("anything was looked at", False)
        print(f"{self.passed} passed, {self.failed} failed")
        sys.exit(self.failed > 0)


def handrail(*words, stdin=None, cwd=None):
    """Runs the program; no exit code is an error here."""
    command = [str(HANDRAIL), *map(str, words)]
    return subprocess.run(command, input=stdin, capture_output=True, text=True, encoding="utf-8", cwd=cwd)


def facts(*words, codes=(0,)):
    """JSON that the program printed."""
    answer = handrail(*words)
    if answer.returncode not in codes:
        sys.exit(f"handrail {' '.join(map(str, words))}: exit code {answer.returncode}\n{answer.stderr}")
    return json.loads(answer.stdout)


@functools.cache
def build():
    """Builds programs and these examples, once. As one whole and with examples, as the tests are built: a part alone
    would ask for other features of the same dependencies, and build them a second time."""
    command = ["cargo", "build", "--quiet", "--release", "--workspace", "--bins"]
    command += [word for name in EXAMPLES for word in ("--example", name)]
    if subprocess.run(command, cwd=ROOT).returncode:
        sys.exit(f"{' '.join(command)} failed")


def printed_by(program, *words):
    """What one of our own programs printed."""
    answer = subprocess.run([str(program), *map(str, words)], capture_output=True, text=True, encoding="utf-8", cwd=ROOT)
    if answer.returncode:
        sys.exit(f"{program} {' '.join(map(str, words))}: exit code {answer.returncode}\n{answer.stderr}")
    return answer.stdout


def example(name, *words):
    """What an example of a crate printed; one of `EXAMPLES`."""
    assert name in EXAMPLES, name
    build()
    return printed_by(ROOT / "target" / "release" / "examples" / name, *words)


def xtask(*words):
    """What `cargo xtask` printed."""
    build()
    return printed_by(ROOT / "target" / "release" / "xtask", *words)


def episode(name):
    """An episode file of the demo as plain data."""
    return tomllib.loads((DEMO / f"{name}.toml").read_text(encoding="utf-8"))


def session(name):
    """The session of a demo episode as the program tells it."""
    return facts("session", DEMO / f"{name}.toml", "--on", ON, "--json")


def order_of(told):
    """Exercises of a session in the order in which each is first done."""
    return list(dict.fromkeys(it["exercise"] for it in told["entries"] if "exercise" in it))


def valid_until(name):
    return dt.date.fromisoformat(facts("today", DEMO / f"{name}.toml", "--on", ON, "--json")["valid_until"])


def exercise_words(language):
    """The texts of all exercises in a language, by id."""
    found = {}
    for path in sorted((ROOT / "content" / "words" / language).glob("exercises-*.toml")):
        found |= tomllib.loads(path.read_text(encoding="utf-8"))["exercise"]
    return found


def ui_text(language, key):
    """A short text without variables from the words of a language."""
    text = (ROOT / "content" / "words" / language / "ui.ftl").read_text(encoding="utf-8")
    return re.search(rf"^{re.escape(key)} = (.*)$", text, re.M).group(1).strip()


DAYS = {
    "en": "Monday Tuesday Wednesday Thursday Friday Saturday Sunday".split(),
    "es": "lunes martes miércoles jueves viernes sábado domingo".split(),
}
MONTHS = {
    "en": "January February March April May June July August September October November December".split(),
    "es": "enero febrero marzo abril mayo junio julio agosto septiembre octubre noviembre diciembre".split(),
}


def date_words(day, language):
    """A date written out, as a patient reads it."""
    weekday, month = DAYS[language][day.weekday()], MONTHS[language][day.month - 1]
    if language == "es":
        return f"{weekday}, {day.day} de {month} de {day.year}"
    return f"{weekday}, {month} {day.day}, {day.year}"


def page_data(path):
    """The data inside a guided page."""
    text = pathlib.Path(path).read_text(encoding="utf-8")
    block = re.search(r'<script type="application/json" id="session-data">(.*?)</script>', text, re.S).group(1)
    return json.loads(block)


#: Words that no output for a patient may hold, by language.
FORBIDDEN = {
    "en": r"safe|safely|safer|cleared|guarantee\w*|diagnos\w*|treats|you may now|harmless|is normal|are normal|all clear",
    "es": r"segur[oa]s?|sin peligro|sin riesgo|garantiza\w*|diagnostica\w*|diagnóstico\w*|ya puede|inofensiv\w*"
    r"|no se preocupe|es normal|son normales|dad[oa] de alta|autorizad[oa]",
}


def forbidden_words(text, language):
    return re.findall(rf"(?<!\w)(?:{FORBIDDEN[language]})(?!\w)", " ".join(text.split()), re.I)


def swap_sides(text, language="en"):
    """The same text for the other side."""
    pairs = {"en": [("left", "right")], "es": [("izquierda", "derecha"), ("izquierdo", "derecho")]}[language]
    table = {a: b for pair in pairs for a, b in (pair, pair[::-1])}

    def other(match):
        word = table[match.group().lower()]
        return word.capitalize() if match.group()[0].isupper() else word

    # A right angle has no side.
    return re.sub(r"(?<!\w)(?:" + "|".join(table) + r")(?!\w| angle)", other, text, flags=re.I)
