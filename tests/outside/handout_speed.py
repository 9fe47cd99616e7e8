"""How fast a handout is made, beside an HTML-to-PDF maker with the same texts and pictures.

    python tests/outside/handout_speed.py

Needs `weasyprint` (Python) and Debian's Pango, and poppler's tools. Times the whole command (start of the program, episode,
checks, layout, file) against the layout alone of the other one. Both are this machine's seconds.
"""

import html
import re
import statistics
import subprocess
import time

import weasyprint

from common import DEMO, EPISODES, ON, WORK, Checks, handrail, order_of, session

FOLDER = WORK / "speed"
RUNS = 5


def pictures(name):
    """Start, end and first fault of each exercise, as SVG."""
    for exercise in order_of(session(name)):
        yield handrail("draw", exercise, "--start").stdout
        yield handrail("draw", exercise).stdout
        answer = handrail("draw", exercise, "--fault", "none")
        known = re.search(r"its faults: ([\w-]+)", answer.stderr)
        if known:
            yield handrail("draw", exercise, "--fault", known[1]).stdout


def page_text(name):
    """The words of the sheet with its pictures, as simple HTML."""
    path = FOLDER / f"{name}.pdf"
    texts = subprocess.run(["pdftotext", str(path), "-"], capture_output=True, text=True, encoding="utf-8").stdout
    body = "".join(
        "<section>" + "".join(f"<p>{html.escape(line)}</p>" for line in text.splitlines() if line.strip()) + "</section>"
        for text in texts.rstrip("\f\n").split("\f")
    )
    images = "".join(f'<div class="picture">{svg}</div>' for svg in pictures(name))
    style = "@page { size: letter; margin: 2cm } section { break-after: page } p { margin: 0 } svg { width: 6cm; height: 6cm }"
    return f'<html lang="en"><head><title>Sheet</title><style>{style}</style></head><body>{body}{images}</body></html>'


def seconds(*makers):
    """Median seconds of each; they take turns, so that a busy machine slows all alike."""
    told = [[] for _ in makers]
    for _ in range(RUNS):
        for make, mine in zip(makers, told):
            begin = time.perf_counter()
            make()
            mine.append(time.perf_counter() - begin)
    return [statistics.median(it) for it in told]


def main():
    FOLDER.mkdir(parents=True, exist_ok=True)
    checks = Checks()
    for name in EPISODES:
        out = FOLDER / f"{name}.pdf"
        make = ["handout", DEMO / f"{name}.toml", "--on", ON, "--lang", "en", "--out", out, "--replace"]
        checks.same(f"{name}: made", handrail(*make).returncode, 0)
        text = page_text(name)
        checks.that(f"{name}: has pictures", text.count("<svg") >= 6, text.count("<svg"))
        ours, theirs = seconds(lambda: handrail(*make), lambda: weasyprint.HTML(string=text).write_pdf())
        print(f"{name}: Handrail {ours:.2f} s, WeasyPrint {theirs:.2f} s, ratio {theirs / ours:.1f} (medians of {RUNS})")
        checks.that(f"{name}: not slower", ours <= theirs, (ours, theirs))
    checks.done()


if __name__ == "__main__":
    main()
