"""Facts of the trade (common practice, no source) read from what the program computes.

    python tests/outside/trade_facts.py

Sitting with the foot flat: shin upright, ankle at neutral; ankle behind the knee, foot bent up (dorsiflexion); ankle
in front of the knee, foot pointed down (plantarflexion). And what follows from it for a repair that may not be bent
past neutral.
"""

import json
import math

from common import DEMO, ON, Checks, facts, handrail

#: How far in front of the knee the ankle starts, m (content/exercises/seated-heel-slide.toml).
START = 0.16


def motion(slide, side="right", **body):
    words = ["motion", "seated-heel-slide", "--json", "--side", side, "--set", f"slide={slide:.4f}"]
    for name, value in body.items():
        words += [f"--{name}", value]
    told = facts(*words)
    return {it["joint"]: it for it in told["ranges"] if it["side"] == side}, told


def main():
    checks = Checks()
    ankles = []
    for stature in (1.50, 1.70, 1.90):
        for sex in ("female", "male"):
            for side in ("left", "right"):
                body = {"stature": stature, "sex": sex}
                of = f"{stature} m, {sex}, {side}: "
                upright, told = motion(START, side, **body)
                # At the end of this slide the ankle stands below the knee.
                checks.that(of + "shin upright is neutral", abs(upright["ankle"]["high"]) < 0.05, upright["ankle"])
                checks.that(of + "in front of the knee is plantarflexion", upright["ankle"]["low"] < -10, upright["ankle"])
                checks.same(of + "no weight on the leg to speak of", told["leg_load_bw"][side] < 0.15, True)
                behind, _ = motion(START + 0.06, side, **body)
                checks.that(of + "behind the knee is dorsiflexion", behind["ankle"]["high"] > 4, behind["ankle"])
                short, _ = motion(START - 0.06, side, **body)
                checks.that(of + "short of the knee stays plantarflexed", short["ankle"]["high"] < -4, short["ankle"])
                # The shin leans by the arcsine of the ankle's way past the knee over the shin's length: both
                # slides must tell the same shin, and a longer one in a taller person.
                shins = [0.06 / math.sin(math.radians(abs(it))) for it in (behind["ankle"]["high"], short["ankle"]["high"])]
                checks.that(of + "one shin for both", abs(shins[0] - shins[1]) < 0.002, shins)
                checks.that(of + "a shin's length", 0.2 * stature < shins[0] < 0.27 * stature, shins[0] / stature)
                ankles.append((stature, sex, side, round(shins[0], 3), behind["ankle"]["high"]))
                # The knee bends more the farther the foot is drawn back.
                bends = [motion(slide, side, **body)[0]["knee"]["high"] for slide in (0.04, 0.10, 0.16, 0.22)]
                checks.that(of + "the knee bends with the slide", bends == sorted(bends) and len(set(bends)) == 4, bends)
    left, right = ([it[3:] for it in ankles if it[2] == side] for side in ("left", "right"))
    checks.same("both sides alike", left, right)

    # The Achilles patient may not be bent past neutral: her slide ends in front of the knee, and says so.
    (line,) = [it for it in facts("verify", DEMO / "achilles.toml", "--on", ON, "--json")["exercises"]
               if it["id"] == "seated-heel-slide"]
    checks.same("her heel slide", line["verdict"], "limited")
    checks.that("it ends before the shin is upright", line["limit"]["value"] < START, line["limit"])
    checks.that("it says so in a place she can see", "in front of your left knee" in line["limit"]["cue"], line["limit"])
    her, _ = motion(line["limit"]["value"], "left", stature=1.68, mass=71)
    checks.that("her ankle stays short of neutral", her["ankle"]["high"] < 0, her["ankle"])

    # What a repetition through the whole range reaches is what its name says.
    for exercise, joint, name, low, high in (
        ("straight-leg-raise", "hip", "flexion", 20, 70),
        ("long-arc-quad", "knee", "flexion", 60, 110),
        ("quad-set", "knee", "flexion", -10, 40),
        ("heel-slide-supine", "knee", "flexion", 60, 140),
    ):
        told = facts("motion", exercise, "--json")["ranges"]
        found = [it for it in told if (it["joint"], it["motion"], it["side"]) == (joint, name, "right")]
        checks.that(f"{exercise} reaches {low} to {high} deg of {joint} {name}",
                    found and low <= found[0]["high"] <= high, found or json.dumps(told))
    checks.same("an unknown exercise", handrail("motion", "no-such-exercise").returncode, 2)
    for row in ankles[::2]:
        print("stature {} m, {}, {}: shin {} m, 6 cm behind the knee {} deg of dorsiflexion".format(*row))
    checks.done()


if __name__ == "__main__":
    main()
