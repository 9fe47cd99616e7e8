"""Computed loads against published figures.

    python tests/outside/loads_published.py

`loads_dump` of the crate `handrail-law` tells what joints and tissues bear in every exercise on 20 bodies (1.50 to
1.95 m, 50 to 110 kg, both sexes, both segment tables), and in a few variants. Every figure here stands with its source
and with how well it is known: `read` in the source, `secondary` in a text that quotes it, `memory` recalled. A `memory`
figure is shown and never decides.

Three kinds of result:
- a check that must hold on every body;
- an order, told as a rank correlation (Spearman) with its n, with a floor only where sources agree on the order and
  the study's task is ours;
- disagreements, by name. Their lists are checked too: a change of the model or of a motion that alters one must be
  looked at.
"""

import json
import sys

from common import WORK, Checks, example

OUT = WORK / "loads.json"
#: Arms of the Achilles tendon, m: Baxter's fixed one, the least and the greatest in use.
FIVE, LEAST, GREATEST = 0.050, 0.037, 0.060

BAXTER = "Baxter et al. 2021, Med Sci Sports Exerc 53(1):124-130"
REVAK = "Revak et al. 2017, J Athl Train 52(2):89-96"
SANCHO = "Sancho et al. 2023, Phys Ther Sport 60:26-33"
DEROOST = "Deroost et al. 2025, Clin Biomech 106403"
INDEX = "Scattone Silva et al. 2024, Med Sci Sports Exerc, 10.1249/MSS.0000000000003323"
HART = "Hart et al. 2022, Br J Sports Med 56(9):521-530"
SONG = "Song et al. 2023, Am J Sports Med, PMID 37272685"
KUTZNER = "Kutzner et al. 2010, J Biomech 43:2164-2173"
BERGMANN = "Bergmann et al. 2001, J Biomech 34:859-871"
BRIDGING = "bridging knee-angle model study, J Healthc Eng 2022:7975827 Table 1"

# ---- small tools -----------------------------------------------------------------------------------------


def ranks(values):
    """Ranks from 1; equal values share the mean of theirs."""
    order = sorted(values)
    return [(2 * order.index(it) + order.count(it) + 1) / 2 for it in values]


def spearman(a, b):
    """Rank correlation; ties are allowed for."""
    a, b = ranks(a), ranks(b)
    mean = (len(a) + 1) / 2
    top = sum((x - mean) * (y - mean) for x, y in zip(a, b))
    below = (sum((x - mean) ** 2 for x in a) * sum((y - mean) ** 2 for y in b)) ** 0.5
    return top / below if below else float("nan")


def discordant(rows):
    """Pairs of (name, published, ours) whose order differs, as `more than` in ours."""
    return {f"{b[0]} > {a[0]}" for a in rows for b in rows if a[1] > b[1] and b[2] > a[2]}


def short(list_, digits=2):
    low, high = min(list_), max(list_)
    return f"{low:.{digits}f}" if high - low < 10**-digits else f"{low:.{digits}f}-{high:.{digits}f}"


class Bodies:
    """What was told of all bodies."""

    def __init__(self, told):
        self.gravity, self.list = told["gravity"], told["bodies"]
        #: The one whose numbers are printed.
        self.usual = next(it for it in self.list if it["stature"] == 1.72 and it["sex"] == "female"
                          and it["table"] == "winter")

    @staticmethod
    def motion(body, name):
        found = body["exercises"].get(name) or body["variants"].get(name)
        if not found or "cannot" in found:
            sys.exit(f"{name}: {found or 'no such exercise'}")
        return found

    def side(self, body, name, side="working"):
        return self.motion(body, name)["sides"][side]

    def load(self, body, name, tissue, side="working"):
        """Computed bounds, without the published ones that may have widened them; `None` where not known."""
        found = self.side(body, name, side)["computed"][tissue]
        return (found["low"], found["high"]) if "low" in found else None

    def lever(self, body, name, side="working"):
        """Greatest plantarflexion moment, body weights times metres."""
        return -self.side(body, name, side)["moment_per_kg"]["ankle_dorsiflexion"][0] / self.gravity


# ---- 1 Achilles tendon -----------------------------------------------------------------------------------


def achilles(checks, bodies):
    print("-- Achilles tendon")
    names = ("seated-heel-raise", "seated-heel-raise-loaded", "heel-raise-wall", "single-leg-heel-raise")
    for body in bodies.list:
        who = f"{body['stature']} m, {body['mass']} kg, {body['sex']}, {body['table']}"
        levers = [bodies.lever(body, it) for it in names]
        # Seated < two-leg < one-leg (Revak; read), for every size.
        checks.that(f"seated < loaded < both < one leg: {who}", levers == sorted(set(levers)), levers)
        # "Up on both, down on one" is solved as if the leg also rose alone: at most one leg, above both.
        down = bodies.lever(body, "eccentric-heel-lowering")
        checks.that(f"both < down on one <= one leg: {who}", levers[2] < down <= levers[3] * 1.02, (down, levers))
        # Lever from ankle to ball: heel to ball 0.114 of stature (US Army 2012 survey; read) less 0.25-0.30 of the
        # foot's 0.152 (an assumption of the reference, as it says); 1 % for the slow movement.
        share = levers[3] / body["stature"]
        checks.that(f"lever of one leg over stature: {who}", 0.0684 * 0.99 < share < 0.0760 * 1.01, share)
        low, high = bodies.load(body, "single-leg-heel-raise", "achilles_tendon")
        checks.that(f"bounds are the moment over the arms: {who}",
                    abs(low * GREATEST / levers[3] - 1) < 0.01 and abs(high * LEAST / levers[3] - 1) < 0.01,
                    (low, high))
        if body["stature"] == 1.72:
            # Own arithmetic of the reference, for a lever of 0.12-0.13 m.
            checks.that(f"one leg, 5 cm arm, 2.4-2.7 BW: {who}", 2.4 <= levers[3] / FIVE <= 2.7, levers[3] / FIVE)
            checks.that(f"one leg, 3.7 cm arm, 3.2-3.6 BW: {who}", 3.2 <= levers[3] / LEAST <= 3.6, levers[3] / LEAST)
    for name in (*names, "eccentric-heel-lowering"):
        found = [bodies.lever(it, name) for it in bodies.list]
        print(f"{name:26} moment {short(found, 4)} BW m; 5 cm arm {short([it / FIVE for it in found])} BW; "
              f"3.7 cm arm {short([it / LEAST for it in found])} BW")
    seated = [bodies.lever(it, "seated-heel-raise") / FIVE for it in bodies.list]
    print(f"seated against the published 0.5 BW ({BAXTER}; read; eight adults): ratio "
          + short([it / 0.5 for it in seated]))
    # The foot carries no more than the leg here; what the eight adults did beyond that is not known. Hence only: below
    # the published lowest, but not by more than a factor of 3.
    checks.that("seated heel raise: a third of 0.5 BW to 0.5 BW", all(0.5 / 3 <= it <= 0.5 for it in seated), seated)
    loaded = [bodies.lever(it, "seated-heel-raise-loaded") / FIVE for it in bodies.list]
    print(f"with 5 kg on the knee: ratio {short([it / 0.5 for it in loaded])}")
    body = bodies.usual
    # Heel raises on both and on one leg 1.10-2.76 BW (Sancho; read); heel drop with bent knee 4.65 +- 1.10 (Deroost;
    # read).
    for name, low, high, source in (("heel-raise-wall", 1.10, 2.76, SANCHO),
                                    ("single-leg-heel-raise", 1.10, 2.76, SANCHO),
                                    ("eccentric-heel-lowering", 4.65 - 2.2, 4.65 + 2.2, DEROOST)):
        found = bodies.load(body, name, "achilles_tendon")
        print(f"{name:26} {found[0]:.2f}-{found[1]:.2f} BW, published {low:.2f}-{high:.2f} ({source}; read)")
        checks.that(f"{name} meets {source}", found[0] <= high and low <= found[1], found)
    # The hop is read from a paper, not computed.
    hop = bodies.side(body, "forward-hop")
    checks.same("basis of the forward hop", hop["loads"]["achilles_tendon"].get("basis"), "measured")
    checks.same("forward hop is not computed", hop["computed"]["achilles_tendon"].get("not_known"), "impact")
    checks.that("hop above one-leg heel raise (Baxter: 7.3 is the highest of 30; read)",
                hop["loads"]["achilles_tendon"]["high"]
                > bodies.load(body, "single-leg-heel-raise", "achilles_tendon")[1])
    # "In lunges, step-ups and step-downs the trailing limb is loaded more" (Baxter; secondary).
    against = {it for it in ("lunge", "split-squat", "step-up", "step-down")
               if bodies.lever(body, it, "other") <= bodies.lever(body, it)}
    print(f"trailing limb not above the leading one ({BAXTER}; secondary): {', '.join(sorted(against))}")
    checks.same("where the trailing limb is not loaded more", against, {"lunge", "split-squat", "step-up", "step-down"})


# ---- 2 patellar tendon and patellofemoral joint ----------------------------------------------------------

#: Our motion, published index, and what differs; `None`: the nearest task there is in the library. Only the names and
#: the index of the study's tasks were read, not how they were done: what is said of that is the usual execution.
#: Nearest tasks: lateral step for a single-leg squat to 60 degrees, rising from a chair for a full squat on both legs.
PATELLAR = (
    ("step-up", 0.187, "20 cm; usually the other foot starts on the floor and pushes, here it carries nothing"),
    ("squat to 60 deg", 0.224, None),
    ("step-down", 0.288, None),
    ("split-squat", 0.406, "Bulgarian squat: rear foot raised; here on the floor, body over the middle of both feet"),
    ("lateral-step", 0.411, None),
    ("sit-to-stand", 0.428, None),
    ("lunge", 0.471, None),
)


def patellar(checks, bodies):
    print(f"-- patellar tendon, published index of peak, impulse and rate: {INDEX}; read")
    body = bodies.usual
    for name, index, note in PATELLAR:
        it, (low, high) = bodies.side(body, name)["at_peak_of_knee"], bodies.load(body, name, "patellar_tendon")
        knee = bodies.side(body, name)["knee_flexion_deg"][1]
        print(f"{name:20} index {index:.3f}  {low:5.2f}-{high:5.2f} BW  "
              f"{it['knee_extension_moment_per_kg']:.2f} N m/kg  ground {it['ground_force_up']:.2f} BW, {100 * it['pressure_from_ankle']:+3.0f} cm; knee "
              f"{100 * it['knee_from_ankle']:+3.0f}, hip {100 * it['hip_from_ankle']:+3.0f} cm from the ankle; shin "
              f"{it['shin_lean_deg']:2.0f}, trunk {it['trunk_lean_deg']:2.0f}, knee {knee:3.0f} deg"
              + (f"  [{note}]" if note else ""))
    every, same = [], []
    for it in bodies.list:
        rows = [(name, index, bodies.load(it, name, "patellar_tendon"), note) for name, index, note in PATELLAR]
        known = [(a, b, c[1]) for a, b, c, _ in rows if c]
        alike = [(a, b, c[1]) for a, b, c, note in rows if c and note is None]
        every.append((spearman(*zip(*[(b, c) for _, b, c in known])), len(known)))
        same.append((spearman(*zip(*[(b, c) for _, b, c in alike])), len(alike)))
        by_name = {a: c for a, _, c in alike}
        # The three whose order the exercise files also tell.
        checks.that("squat < step-down < lunge on every body",
                    by_name["squat to 60 deg"] < by_name["step-down"] < by_name["lunge"], by_name)
        if it is body:
            pairs, close = discordant(known), discordant(alike)
    print(f"rank correlation, all tasks: {short([it[0] for it in every])}, n {short([it[1] for it in every], 0)}; "
          f"without the two whose task differs: {short([it[0] for it in same])}, n {short([it[1] for it in same], 0)}")
    print(f"other order, all: {'; '.join(sorted(pairs))}")
    print(f"other order, same task: {'; '.join(sorted(close)) or 'none'}")
    # The floor guards against a change for the worse and shows no agreement: it was set after 0.60-0.70 was seen, and
    # with n = 5 only 0.9 would be unlikely by chance (5 %, one-sided). The two tasks left out differ in what the feet
    # do, but they were also left out after they were seen to disagree: the figure of all tasks is the one to quote.
    checks.that("rank correlation of the same tasks at least 0.5", all(it[0] >= 0.5 for it in same), same)
    checks.same("other order, same task", close, SAME_TASK)
    checks.same("other order with the others", {it for it in pairs if "step-up" in it or "split-squat" in it},
                OTHER_TASK)
    # Causes, one change at a time: these say which rule decides.
    squat, step = (bodies.side(body, it)["at_peak_of_knee"]["knee_extension_moment_per_kg"]
                   for it in ("squat to 60 deg", "step-up"))
    print(f"  step-up would equal the squat if its leg bore {squat / step:.2f} of the weight at the deepest point")
    for name in ("mini-squat", "squat, hips over the feet", "squat 12 cm, hips over the feet", "step-down",
                 "step-down, hips back", "lunge, hips back", "step-up, upright", "lunge, upright"):
        found = body["variants"].get(name) or body["exercises"].get(name)
        if "cannot" in found:
            print(f"  {name}: {found['cannot']}")
            continue
        it = found["sides"]["working"]["at_peak_of_knee"]
        print(f"  {name:32} {it['knee_extension_moment_per_kg']:.2f} N m/kg at knee {it['knee_flexion_deg']:.0f}, hip "
              f"{100 * it['hip_from_ankle']:+.0f} cm from the ankle, trunk {it['trunk_lean_deg']:.0f} deg")


#: Disagreements of the patellar tendon's order on the usual body: ours is the other way round.
SAME_TASK = {"step-down > lateral-step", "step-down > sit-to-stand"}
OTHER_TASK = {f"step-up > {it}" for it in ("lateral-step", "lunge", "sit-to-stand", "split-squat", "squat to 60 deg",
                                           "step-down")} | {"step-down > split-squat"}


def patellofemoral(checks, bodies):
    print("-- patellofemoral joint")
    body = bodies.usual
    apart, above = set(), set()
    for name, mean, sd, population in (
        ("step-up", 3.2, 0.7, "stair ascent, healthy"), ("step-down", 2.8, 0.5, "stair descent, healthy"),
        ("step-up", 2.5, 0.5, "stair ascent, patellofemoral pain"),
        ("step-down", 2.6, 0.5, "stair descent, patellofemoral pain"),
    ):
        low, high = bodies.load(body, name, "patellofemoral_joint")
        band = mean - 2 * sd, mean + 2 * sd
        meets = low <= band[1] and band[0] <= high
        print(f"{name:12} {low:.2f}-{high:.2f} BW, published {mean} +- {sd} ({population}; {HART}; read): "
              f"{'overlap' if meets else 'apart'}; mean {'inside' if low <= mean <= high else 'outside'}")
        if not meets:
            apart.add(f"{name}, {population}")
        if low > mean:
            above.add(f"{name}, {population}")
    checks.same("patellofemoral lower bounds above the published mean", above, ABOVE)
    checks.same("patellofemoral intervals apart from mean +- 2 SD", apart, APART)
    # 0.6 BW in walking is the lowest of 35 exercises and 8.2 in the single-leg decline squat the highest (read): of
    # what is done at home on the feet and bent, none lies wholly outside.
    for name in ("step-up", "step-down", "lateral-step", "lunge", "mini-squat", "sit-to-stand", "wall-sit"):
        low, high = bodies.load(body, name, "patellofemoral_joint")
        checks.that(f"{name} meets 0.6-8.2 BW ({SONG})", low <= 8.2 and 0.6 <= high, (low, high))
    # Net joint reaction is not contact force: it must lie below what instrumented implants show (read).
    for name, percent, activity in (("single-leg-stance", 259, "one-legged stance"),
                                    ("sit-to-stand", 246, "standing up"),
                                    ("mini-squat", 253, "knee bending"), ("step-up", 316, "stair ascent"),
                                    ("step-down", 346, "stair descent")):
        found = bodies.side(body, name)["reaction"]["knee"][1]
        checks.that(f"knee reaction of {name} below the contact force of {activity} ({KUTZNER})",
                    found < percent / 100, found)


#: Intervals that do not meet the published band, and those that lie above its middle.
APART = set()
ABOVE = {"step-up, stair ascent, healthy", "step-up, stair ascent, patellofemoral pain",
         "step-down, stair descent, healthy", "step-down, stair descent, patellofemoral pain"}

# ---- 3 hip and lumbar spine ------------------------------------------------------------------------------


def hip_and_spine(checks, bodies):
    print("-- hip and lumbar spine")
    found = [bodies.load(it, "single-leg-stance", "hip_joint") for it in bodies.list]
    reaction = [bodies.side(it, "single-leg-stance")["reaction"]["hip"][1] for it in bodies.list]
    print(f"standing on one leg: {short([it[0] for it in found])} to {short([it[1] for it in found])} BW; in vivo just "
          f"below 2.38 ({BERGMANN}; read)")
    checks.that("upper bound of one-legged stance at or above 2.38 BW", all(it[1] >= 2.38 for it in found), found)
    checks.that("joint reaction of one-legged stance below it, and the lower bound no higher",
                all(low <= it + 1e-6 and it < 2.38 for (low, _), it in zip(found, reaction)), reaction)
    body = bodies.usual
    hip, spine = [], []
    below, apart = set(), set()
    for knee, hip_mean, hip_sd, spine_mean, spine_sd in ((60, 2.744, 0.637, 2.000, 0.232), (90, 3.039, 0.858, 1.746, 0.186),
                                                         (120, 3.411, 0.857, 1.505, 0.158)):
        name = f"bridge {knee} deg"
        at_hip, at_spine = (bodies.load(body, name, it) for it in ("hip_joint", "lumbar_spine"))
        hip.append(at_hip[1])
        spine.append(at_spine[1])
        print(f"{name:15} hip {at_hip[0]:.2f}-{at_hip[1]:.2f} BW, published {hip_mean} +- {hip_sd}; lumbar "
              f"{at_spine[0]:.2f}-{at_spine[1]:.2f}, published {spine_mean} +- {spine_sd} ({BRIDGING}; read)")
        if at_hip[1] < hip_mean:
            below.add(f"hip, {name}")
        if at_spine[0] > spine_mean + 2 * spine_sd:
            apart.add(f"lumbar, {name}")
    checks.that("lumbar load falls as the knees bend, as published", spine == sorted(spine, reverse=True), spine)
    print(f"hip load {'rises' if hip == sorted(hip) else 'does not rise'} with the knees' bend; published: it rises")
    checks.same("order of the bridge's hip load is the published one", hip == sorted(hip), False)
    print(f"computed upper bound below the published mean: {', '.join(sorted(below))}; computed lower bound above mean + "
          f"2 SD: {', '.join(sorted(apart))}")
    checks.same("computed upper bounds below a published mean", below, {"hip, bridge 90 deg", "hip, bridge 120 deg"})
    checks.same("computed lower bounds above mean + 2 SD", apart, {"lumbar, bridge 90 deg", "lumbar, bridge 120 deg"})
    # What is told of the bridge holds the published figures as well.
    told = bodies.side(body, "bridge")["loads"]
    checks.that("the bridge's bounds hold the published means", told["hip_joint"]["high"] >= 3.411
                and told["lumbar_spine"]["low"] <= 1.505 and told["lumbar_spine"]["high"] >= 2.0, told)


# ---- 4 muscle activity -----------------------------------------------------------------------------------

#: Study, muscle, moment compared, known, and exercise (side) with percent of the greatest contraction.
DISTEFANO = "Distefano et al. 2009, J Orthop Sports Phys Ther 39(7):532-540"
MACASKILL = "MacAskill et al. 2014, Int J Sports Phys Ther"
BOLGLA = "Bolgla & Uhl 2005, J Orthop Sports Phys Ther 35(8):487-494"
BOREN = "Boren et al. 2011, Int J Sports Phys Ther 6(3):206-223"
ASHTIANI = "Ashtiani et al. 2019, Zahedan J Res Med Sci 21(1)"
GLUTEAL = (
    (DISTEFANO, "read", "gluteus medius", "abduction",
     (("side-lying-hip-abduction", "working", 81), ("lunge", "working", 48), ("side-lying-clam", "working", 40))),
    (ASHTIANI, "read", "gluteus medius", "abduction",
     (("side-lying-hip-abduction", "working", 40), ("standing-hip-abduction", "working", 20))),
    (MACASKILL, "read", "gluteus medius", "abduction",
     (("step-up", "working", 62.7), ("lateral-step", "working", 61))),
    (MACASKILL, "read", "gluteus maximus", "extension",
     (("lateral-step", "working", 31), ("step-up", "working", 28.7))),
    (BOLGLA, "memory", "gluteus medius", "abduction",
     (("standing-hip-abduction", "other", 42), ("side-lying-hip-abduction", "working", 42),
      ("standing-hip-abduction", "working", 33))),
    (BOREN, "memory", "gluteus medius", "abduction",
     (("side-lying-hip-abduction", "working", 62.91), ("lateral-step", "working", 59.87),
      ("single-leg-bridge", "working", 54.99), ("step-up", "working", 54.62), ("side-lying-clam", "working", 47.23))),
    (BOREN, "memory", "gluteus maximus", "extension",
     (("lateral-step", "working", 63.83), ("step-up", "working", 54.67), ("single-leg-bridge", "working", 54.24))),
)


def gluteal(checks, bodies):
    print("-- gluteal activity against the net hip moment (percent of different studies are not compared)")

    def moment(body, name, side, which):
        found = bodies.side(body, name, side)["moment_per_kg"]
        return found["hip_abduction"][1] if which == "abduction" else -found["hip_flexion"][0]

    body = bodies.usual
    for source, known, muscle, which, rows in GLUTEAL:
        told = [(f"{name} ({side})", percent, moment(body, name, side, which)) for name, side, percent in rows]
        rho = spearman([it[1] for it in told], [it[2] for it in told])
        print(f"{muscle}, {source}; {known}: rank correlation {rho:+.2f}, n {len(told)}: "
              + ", ".join(f"{a} {b:g} % {c:.2f} N m/kg" for a, b, c in told))
    # Sources agree on these two only (reference, section 3 item 12): lying on the side the straight leg asks more than the
    # clam (Distefano 81 : 40, read; Boren 62.9 : 47.2, memory) and more than the free leg lifted in standing (Ashtiani 40 :
    # below 20, read; Bolgla 42 : 33, memory).
    for it in bodies.list:
        lying = moment(it, "side-lying-hip-abduction", "working", "abduction")
        for less in ("side-lying-clam", "standing-hip-abduction"):
            other = moment(it, less, "working", "abduction")
            checks.that(f"side-lying abduction above {less}", lying > other, (lying, other))


def cuff(checks, bodies):
    print("-- cuff activity (bands written in the exercise files) against the moment that lifts the arm")
    body = bodies.usual
    for muscle in ("supraspinatus", "infraspinatus"):
        rows = []
        for name, it in body["exercises"].items():
            side = it.get("sides", {}).get("working")
            load = side and side["loads"][muscle]
            if not load or load.get("basis") != "measured":
                continue
            drive = side["drives"].get("shoulder")
            # Another hand lifts the arm: no muscle need. With help: up to all of it.
            moment = 0.0 if drive == "passive" else max(0.0, side["moment_per_kg"]["shoulder_elevation"][1])
            rows.append((name, load["high"], moment, drive, load["known"]))
        lifting = [it for it in rows if "rotation" not in it[0] and "prone" not in it[0]]
        sure = [it for it in lifting if it[4] != "memory"]
        rho = spearman([it[1] for it in lifting], [it[2] for it in lifting])
        alone = spearman([it[1] for it in rows], [it[2] for it in rows])
        print(f"{muscle}: rank correlation {rho:+.2f}, n {len(lifting)} (arm lifted); {alone:+.2f}, n {len(rows)} (all); "
              f"{spearman([it[1] for it in sure], [it[2] for it in sure]):+.2f}, n {len(sure)} (arm lifted, none recalled): "
              + ", ".join(f"{a} ({d}, {e}) up to {b:g} % {c:.2f} N m/kg" for a, b, c, d, e in rows))
        # Passive < assisted < active is what the sources agree on (Edwards 2017, Uhl 2010; read). Most of the correlation
        # is that order of drives; the moments add little. Only the order of the levels is held.
        level = {it: [row for row in sure if row[3] == it] for it in ("passive", "assisted", "active")}
        for less, more in (("passive", "assisted"), ("assisted", "active")):
            for what, at in (("activity", 1), ("moment", 2)):
                checks.that(f"{muscle}: {what} {less} below {more}", level[less] and level[more] and
                            max(it[at] for it in level[less]) < min(it[at] for it in level[more]), (level[less], level[more]))
    # Percent of one study (J Athl Train 2013, PMC3655748; read; 30 adults) against the moment that turns the arm out.
    rows = [(it, percent, bodies.side(body, it)["moment_per_kg"]["shoulder_external_rotation"][1]) for it, percent in (
        ("prone-t-raise", 46.14), ("side-lying-external-rotation", 43.38), ("band-external-rotation", 26.11))]
    print("infraspinatus against the moment that turns the arm out: "
          + ", ".join(f"{a} {b} % {c:.3f} N m/kg" for a, b, c in rows)
          + f"; rank correlation {spearman([it[1] for it in rows], [it[2] for it in rows]):+.2f}, n 3")
    checks.that("side-lying above standing external rotation, as published", rows[1][2] > rows[2][2], rows)


def main():
    OUT.parent.mkdir(parents=True, exist_ok=True)
    example("loads_dump", OUT)
    bodies = Bodies(json.loads(OUT.read_text(encoding="utf-8")))
    checks = Checks()
    checks.same("bodies", len(bodies.list), 20)
    achilles(checks, bodies)
    patellar(checks, bodies)
    patellofemoral(checks, bodies)
    hip_and_spine(checks, bodies)
    gluteal(checks, bodies)
    cuff(checks, bodies)
    checks.done()


if __name__ == "__main__":
    main()
