"""The demo's handouts, in both languages, on both papers, in both prints, by outside readers of PDF.

    python tests/outside/pdf_check.py

Needs `pikepdf` (Python), `qpdf` and poppler's tools. What the demo did not print is printed to target/outside/papers.
"""

import collections
import re
import subprocess
import tomllib

import pikepdf

from common import (
    DEMO, EPISODES, ON, WORK, Checks, date_words, episode, exercise_words, forbidden_words, handrail, order_of,
    session, swap_sides, ui_text, valid_until,
)

PAPERS = WORK / "papers"
#: Width and height, pt.
SIZES = {"letter": (612.0, 792.0), "a4": (595.276, 841.890)}
#: Limb in words, by episode, language and side.
LIMBS = {
    "en": {"achilles": "{side} leg", "acl": "{side} leg", "cuff": "{side} arm"},
    "es": {"achilles": "pierna {side}", "acl": "pierna {side}", "cuff": "brazo {side}"},
}
SIDES = {
    "en": {"left": "left", "right": "right"},
    "es": {"left": "izquierda", "right": "derecha"},
}
#: How the head of a page gives its version and its last day, and its limits say where they come from.
HEAD = {"en": ("Version", "Use until"), "es": ("Versión", "Usar hasta")}


def tool(*words):
    return subprocess.run([*map(str, words)], capture_output=True, text=True, encoding="utf-8")


def limb(name, language, side=None):
    side = SIDES[language][side or episode(name)["operation"]["side"]]
    if language == "es" and name == "cuff":
        side = side[:-1] + "o"
    return LIMBS[language][name].format(side=side)


def flat(text):
    return " ".join(text.split())


def pages(path):
    """Texts of the pages, in the order in which they were written to the file: that of the tags."""
    return tool("pdftotext", "-raw", path, "-").stdout.rstrip("\f\n").split("\f")


# ---- the file --------------------------------------------------------------------------------------------


def elements(node, seen=None):
    """All elements below a node of the structure tree."""
    if isinstance(node, pikepdf.Array):
        for kid in node:
            yield from elements(kid)
    elif isinstance(node, pikepdf.Dictionary):
        if "/S" in node:
            yield node
        if "/K" in node:
            yield from elements(node.K)


def check_file(checks, of, path, language, paper, exercises):
    answer = tool("qpdf", "--check", path)
    checks.that(of + "qpdf is content", answer.returncode == 0 and "WARNING" not in answer.stderr, answer.stderr)
    info = tool("pdfinfo", path).stdout
    checks.that(of + "tagged", re.search(r"^Tagged: +yes$", info, re.M), info)
    checks.that(of + "no scripts, not locked", re.search(r"JavaScript: +no", info) and re.search(r"Encrypted: +no", info))
    fonts = [line.split() for line in tool("pdffonts", path).stdout.splitlines()[2:]]
    checks.that(of + "has fonts", len(fonts) > 1, fonts)
    checks.same(of + "fonts not embedded", [f[0] for f in fonts if f[-5] != "yes"], [])
    checks.same(of + "fonts without letters for a copy", [f[0] for f in fonts if f[-3] != "yes"], [])
    with pikepdf.open(path) as pdf:
        with pdf.open_metadata() as about:
            checks.same(of + "PDF/UA part", about.get("pdfuaid:part"), "1")
            checks.same(of + "title", about.get("dc:title"), ui_text(language, "handout-title"))
        checks.same(of + "language", str(pdf.Root.Lang)[:2], language)
        checks.same(of + "shows its title", bool(pdf.Root.ViewerPreferences.DisplayDocTitle), True)
        checks.same(of + "marked", bool(pdf.Root.MarkInfo.Marked), True)
        for number, page in enumerate(pdf.pages, 1):
            left, low, right, high = map(float, page.mediabox)
            size = sorted((right - left, high - low))
            wrong = [abs(a - b) for a, b in zip(size, sorted(SIZES[paper])) if abs(a - b) > 0.1]
            checks.that(of + f"size of page {number}", not wrong, size)
        found = list(elements(pdf.Root.StructTreeRoot))
        figures = [it for it in found if str(it.S) == "/Figure"]
        bare = [it for it in figures if not str(it.get("/Alt", "")).strip()]
        checks.same(of + "pictures without words", len(bare), 0)
        # Each exercise has a start, an end and at least one fault.
        checks.that(of + "pictures", len(figures) >= 3 * exercises, (len(figures), exercises))
        alts = [flat(str(it.Alt)) for it in figures if "/Alt" in it]
        checks.same(of + "forbidden words in the pictures' words", [w for a in alts for w in forbidden_words(a, language)], [])
        kinds = {str(it.S) for it in found}
        for kind in ("/H1", "/H2", "/P", "/L", "/LI", "/Table", "/TH"):
            checks.that(of + f"has {kind}", kind in kinds, sorted(kinds))


# ---- what it says ----------------------------------------------------------------------------------------


def place(checks, of, text, what, start=0):
    """Where a line stands in the text, and that it does."""
    found = re.search(rf"^(?:\d+\s+)?{re.escape(what)}$", text[start:], re.M)
    checks.that(of + f"has the line {what!r}", found)
    return start + found.start() if found else len(text)


def check_heads(checks, of, texts, name, language):
    spec = episode(name)
    version, until = HEAD[language]
    last = date_words(valid_until(name), language)
    issued = spec["program"][-1]["version"]
    side = limb(name, language)
    for number, text in enumerate(texts, 1):
        page = flat(text)
        for what in (spec["patient"]["name"], f"{version} {issued}", f"{until} {last}"):
            checks.that(of + f"page {number} says {what!r}", what in page, page[:200])
        checks.that(of + f"page {number} says the side", re.search(rf"\b{side}\b", page, re.I), side)
        for what in (spec["clinic"]["phone"], spec["clinic"]["emergency"], spec["operation"]["surgeon"]):
            checks.that(of + f"page {number} has {what}", what in page)


def check_order(checks, of, text, name, language, told):
    """Limits, session, warning signs, exercises, in this order; exercises in the order of the session."""
    spec, words = episode(name), exercise_words(language)
    heads = ["handout-limits", "handout-session", "handout-warnings", "handout-exercises", "handout-therapist"]
    at = [0]
    for key in heads:
        at.append(place(checks, of, text, ui_text(language, key), at[-1]))
    checks.that(of + "parts come in order", at == sorted(set(at)), at)
    limits, sheet, warnings, exercises = (text[at[k]:at[k + 1]] for k in (1, 2, 3, 4))

    for number in (spec["clinic"]["emergency"], spec["clinic"]["phone"], spec["clinic"]["out_of_hours"]):
        checks.that(of + f"the warning signs have {number}", number in warnings)
    first = flat(text[: at[1]])
    checks.that(of + "the stop rules come first and name both numbers",
                spec["clinic"]["emergency"] in first and spec["clinic"]["phone"] in first)

    order = order_of(told)
    titles = [words[it]["title"] for it in order]
    squeezed = flat(sheet)
    places = [squeezed.find(title) for title in titles]
    checks.that(of + "the session's table is in order", -1 not in places and places == sorted(places), places)
    starts, blocks = [], []
    exercises = flat(exercises)
    for number, title in enumerate(titles, 1):
        found = re.search(rf"(?:^|\s){number} {re.escape(title)} ", exercises)
        checks.that(of + f"exercise {number} is {title!r}", found)
        starts.append(found.start() if found else -1)
    checks.that(of + "exercises in the order of the session", -1 not in starts and starts == sorted(starts), starts)
    for k, start in enumerate(starts):
        blocks.append(exercises[start: starts[k + 1] if k + 1 < len(starts) else None])
    return limits, dict(zip(order, blocks))


def check_sides(checks, of, name, language, limits, blocks):
    side = episode(name)["operation"]["side"]
    other = {"left": "right", "right": "left"}[side]
    mine, theirs = limb(name, language), limb(name, language, other)
    wrong = {"en": rf"\b{other}\b(?! angle)", "es": rf"\b{SIDES['es'][other][:-1]}[oa]\b"}[language]
    checks.same(of + "limits speak of the other side", re.findall(wrong, flat(limits), re.I), [])
    for exercise, block in blocks.items():
        # The label of the working limb stands under the title, before the start position.
        head = flat(block)[:160]
        checks.that(of + f"{exercise} names the {mine}", re.search(rf"(?<!\w){mine}\.", head, re.I), head)
        checks.that(of + f"{exercise} does not name the {theirs}", not re.search(rf"(?<!\w){theirs}\.", head, re.I), head)


def print_handout(episode_path, out, language, paper, large):
    words = ["handout", episode_path, "--on", ON, "--lang", language, "--paper", paper, "--out", out, "--replace"]
    return handrail(*words, *(["--large"] if large else []))


def check_other_side(checks, name, language):
    """The same patient operated on the other side: the same sheet with the sides' words exchanged."""
    text = (DEMO / f"{name}.toml").read_text(encoding="utf-8")
    side = tomllib.loads(text)["operation"]["side"]
    other = {"left": "right", "right": "left"}[side]
    turned = PAPERS / f"{name}-{other}.toml"
    turned.write_text(text.replace(f'side = "{side}"', f'side = "{other}"'), encoding="utf-8")
    told = []
    for source in (DEMO / f"{name}.toml", turned):
        out = PAPERS / f"{source.stem}-sides-{language}.pdf"
        answer = print_handout(source, out, language, "letter", False)
        if not checks.same(f"{source.name} {language} is printed", answer.returncode, 0):
            return
        told.append(flat(" ".join(pages(out))))
    # Lines may break and words may be parted elsewhere: words are compared, without hyphens.
    told = [it.replace("- ", "").replace("-", "") for it in told]
    ours, theirs = (collections.Counter(it.split()) for it in (swap_sides(told[0], language), told[1]))
    checks.same(f"{name} {language}: words that only this side has", dict(ours - theirs), {})
    checks.same(f"{name} {language}: words that only the other side has", dict(theirs - ours), {})


def main():
    PAPERS.mkdir(parents=True, exist_ok=True)
    checks, files, count = Checks(), 0, 0
    for name in EPISODES:
        told = session(name)
        exercises = len(order_of(told))
        for language in ("en", "es"):
            for paper in SIZES:
                for large in (False, True):
                    file = f"{name}-handout-{language}-{paper}{'-large' if large else ''}.pdf"
                    path = DEMO / file
                    if not path.exists():
                        path = PAPERS / file
                        answer = print_handout(DEMO / f"{name}.toml", path, language, paper, large)
                        if not checks.same(f"{file} is printed", answer.returncode, 0):
                            continue
                    of, texts = f"{file}: ", pages(path)
                    files, count = files + 1, count + len(texts)
                    check_file(checks, of, path, language, paper, exercises)
                    check_heads(checks, of, texts, name, language)
                    text = "\n".join(texts)
                    checks.same(of + "forbidden words", forbidden_words(text, language), [])
                    limits, blocks = check_order(checks, of, text, name, language, told)
                    check_sides(checks, of, name, language, limits, blocks)
            check_other_side(checks, name, language)
    print(f"files {files}, pages {count}")
    checks.same("handouts", files, 24)
    checks.done()


if __name__ == "__main__":
    main()
