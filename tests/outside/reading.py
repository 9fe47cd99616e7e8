"""Reading level of what a patient reads, by an outside package.

    python tests/outside/reading.py

Needs `textstat` 0.7.4 (Python) and `pdftotext`. The handouts without the therapist's pages, and the spoken sentences of
the guided pages. English: Flesch-Kincaid grade at most 6.0. Spanish: Szigriszt-Pazos and Fernandez Huerta at least 65.
An alarm, not a proof: the formulas do not see order, layout or wrong advice.
"""

import re
import subprocess

import textstat

from common import DEMO, EPISODES, Checks, episode, page_data, ui_text

GRADE = 6.0
EASE = 65.0
PAPER = {"en": "letter", "es": "a4"}

textstat = textstat.textstat


def pages(path):
    """Texts of a PDF's pages."""
    answer = subprocess.run(["pdftotext", str(path), "-"], capture_output=True, text=True, encoding="utf-8", check=True)
    return answer.stdout.rstrip("\f\n").split("\f")


def sentences(text, running):
    """Sentences of a page: list items, table cells and headings count as sentences of their own.

    `running` matches the lines of the page's head and foot, which a patient reads once and not on every page.
    """
    lines = [line.strip() for line in text.splitlines()]
    lines = ["" if running.search(line) else line for line in lines]
    joined = re.sub(r"\n(?=[•→✗☐]|\d+\.? |\n)", "\n\n", "\n".join(lines))
    for block in re.split(r"\n\s*\n", joined):
        for piece in re.split(r"[•→✗☐·]|^\d+\. ?", " ".join(block.split())):
            piece = piece.strip(" .:")
            # A lone number, sign or name is not a sentence; the package would count its words without one.
            if len(re.findall(r"[^\W\d_]+", piece)) >= 3:
                yield piece + "."


def handout(name, language):
    spec = episode(name)
    texts = pages(DEMO / f"{name}-handout-{language}-{PAPER[language]}.pdf")
    end = ui_text(language, "handout-therapist")
    own = []
    for text in texts:
        if re.search(rf"^{re.escape(end)}$", text, re.M):
            break
        own.append(text)
    assert 0 < len(own) < len(texts), "the therapist's pages were not found"
    known = {"en": ["Version ", "Use until ", "Page ", "Emergency: ", "Clinic: ", "Surgeon: ", "Draft,"],
             "es": ["Versión ", "Usar hasta ", "Página ", "Emergencia: ", "Clínica: ", "Cirujano: ", "Borrador,"]}
    words = [re.escape(it) for it in [spec["patient"]["name"], *known[language]]]
    running = re.compile("^(?:" + "|".join(words) + ")")
    return " ".join(sentence for text in own for sentence in sentences(text, running))


def spoken(name, language):
    """Sentences of a guided page."""
    data = page_data(DEMO / f"{name}-follow-{language}.html")
    told = data["limits"] + data["limits_assumed"] + data["stop_rules"]
    for group in data["warnings"]:
        told += [group["question"], *group["signs"], group["call"]]
    for step in data["steps"]:
        told += step.get("instructions", []) + step.get("cues", []) + [step.get("limit") or ""]
        told += [stage["say"] for stage in step.get("stages", []) if stage.get("say")]
    return " ".join(it if it.endswith((".", "!", "?")) else it + "." for it in told if it)


def longer(text):
    """The sentences of six words and more."""
    return " ".join(it for it in re.split(r"(?<=[.!?]) ", text) if len(it.split()) >= 6)


def main():
    checks = Checks()
    for language in ("en", "es"):
        textstat.set_lang(language)
        for name in EPISODES:
            for kind, text in (("handout", handout(name, language)), ("guided page", spoken(name, language))):
                of = f"{name} {language} {kind}"
                words, count = textstat.lexicon_count(text), textstat.sentence_count(text)
                checks.that(of + " has text", words > 150, words)
                head = f"{of}: {words} words, {count} sentences, {words / count:.1f} words a sentence"
                if language == "en":
                    # Headings and cells make a text look easier than it is: the longer sentences are held too.
                    grades = [textstat.flesch_kincaid_grade(it) for it in (text, longer(text))]
                    print(f"{head}; Flesch-Kincaid grade {grades[0]:.1f}, of the longer sentences {grades[1]:.1f}")
                    checks.that(of + f": both grades at most {GRADE}", max(grades) <= GRADE, grades)
                else:
                    scores = [
                        formula(it)
                        for it in (text, longer(text))
                        for formula in (textstat.szigriszt_pazos, textstat.fernandez_huerta)
                    ]
                    print(
                        f"{head}; Szigriszt-Pazos {scores[0]:.1f}, Fernandez Huerta {scores[1]:.1f}, "
                        f"of the longer sentences {scores[2]:.1f} and {scores[3]:.1f}"
                    )
                    checks.that(of + f": all at least {EASE}", min(scores) >= EASE, scores)
    checks.done()


if __name__ == "__main__":
    main()
