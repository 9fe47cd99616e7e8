"""Moment arms against muscle models and against what was measured in people.

    python tests/outside/arms_myosim.py

The models are those that the package `myo-sim` ships; it pins its own MuJoCo, so it lives in an environment of its
own, target/outside/venv-myosim, which this check makes from requirements-myosim.txt. Our intervals come from
`cargo run -p handrail-anatomy --example arms`. What lies outside is named in DISAGREEMENTS with its reason; the check
fails when anything else lies outside, and also when one of these no longer does.
"""

import hashlib
import json
import math
import pathlib
import subprocess
import sys
import venv

HERE = pathlib.Path(__file__).resolve()
PINNED = HERE.with_name("requirements-myosim.txt")

#: Of the model: moving joint, other angles, muscles (parts of one muscle are weighted by their greatest forces);
#: of ours: whose arm, joint, and the sign from the model's angle to the clinical one.
HIP_PARTS = {
    "gluteus maximus": ["glmax1_r", "glmax2_r", "glmax3_r"],
    "gluteus medius": ["glmed1_r", "glmed2_r", "glmed3_r"],
}
LEGS = [
    ("ankle_angle_r", (-20, 0, 20), {}, "achilles_tendon", "ankle", 1, {
        "soleus": ["soleus_r"], "gastrocnemius medial": ["gasmed_r"], "gastrocnemius lateral": ["gaslat_r"]}),
    ("ankle_angle_r", (-20, 0, 20), {"knee_angle_r": 90}, "achilles_tendon", "ankle", 1, {
        "soleus, knee at 90": ["soleus_r"], "gastrocnemius medial, knee at 90": ["gasmed_r"]}),
    ("knee_angle_r", (0, 30, 60, 90), {}, "quadriceps_tendon", "knee", 1, {
        "vastus intermedius": ["vasint_r"], "rectus femoris": ["recfem_r"]}),
    ("knee_angle_r", (0, 30, 60, 90), {}, "patellar_tendon", "knee", 1, {"quadriceps": [
        "vasint_r", "vaslat_r", "vasmed_r", "recfem_r"]}),
    ("knee_angle_r", (0, 30, 60, 90), {}, "hamstrings", "knee", 1, {
        "biceps femoris": ["bflh_r"], "semimembranosus": ["semimem_r"], "semitendinosus": ["semiten_r"]}),
    ("hip_flexion_r", (0, 30, 60, 90), {}, "hamstrings", "hip", 1, {
        "biceps femoris": ["bflh_r"], "semimembranosus": ["semimem_r"], "semitendinosus": ["semiten_r"]}),
    ("hip_flexion_r", (0, 30, 60, 90), {}, "hip_extensors", "hip", 1, {
        "gluteus maximus": HIP_PARTS["gluteus maximus"], "gluteus maximus upper part": ["glmax1_r"],
        "hamstrings": ["bflh_r", "semimem_r", "semiten_r"]}),
    ("hip_flexion_r", (0, 30, 60, 90), {}, "hip_flexors", "hip", 1, {
        "iliacus": ["iliacus_r"], "psoas": ["psoas_r"], "rectus femoris": ["recfem_r"]}),
    ("hip_adduction_r", (-30, -15, 0, 15), {}, "hip_abductors", "hip", -1, {
        "gluteus medius": HIP_PARTS["gluteus medius"], "gluteus medius front part": ["glmed1_r"],
        "gluteus medius middle part": ["glmed2_r"], "gluteus medius back part": ["glmed3_r"],
        "tensor fasciae latae": ["tfl_r"]}),
    ("hip_adduction_r", (-15, 0), {"hip_flexion_r": 30}, "hip_abductors", "hip", -1, {
        "gluteus medius, hip bent 30": HIP_PARTS["gluteus medius"]}),
    ("hip_adduction_r", (-30, 0), {"hip_flexion_r": 45}, "hip_abductors_bent", "hip", -1, {
        "gluteus medius, hip bent 45": HIP_PARTS["gluteus medius"]}),
    ("hip_adduction_r", (-30, 0, 15), {}, "hip_adductors", "hip", -1, {
        "adductor longus": ["addlong_r"], "adductor brevis": ["addbrev_r"],
        "adductor magnus": ["addmagDist_r", "addmagIsch_r", "addmagMid_r", "addmagProx_r"]}),
    ("hip_rotation_r", (0,), {}, "hip_rotators", "hip", -1, {
        "gluteus maximus": HIP_PARTS["gluteus maximus"], "piriformis": ["piri_r"],
        "gluteus medius back part": ["glmed3_r"], "gluteus medius front part": ["glmed1_r"]}),
]
ARMS = [
    ("elbow_flexion_r", (30, 60, 90, 120), {}, "biceps_long_head", "elbow", 1, {"biceps long head": ["BIClong"]}),
]
#: Muscles of the back by the beginning of their names: iliocostalis, longissimus, multifidus.
BACK = ("IL_", "LTpT_", "LTpL_", "MF_")

#: Magnitudes that the reference gives for these models, mm: the oracle itself is checked first.
ORACLE = {
    "soleus at -20": 44.2, "soleus at 0": 41.4, "soleus at 20": 34.2,
    "vastus intermedius at 0": 41.7, "vastus intermedius at 30": 36.4, "vastus intermedius at 60": 35.4,
    "vastus intermedius at 90": 23.7, "gluteus medius middle part at 0": 43.6, "biceps long head at 90": 38.7,
}

#: Measured in people: whose, joint, angle of the clinical motion (deg), arm (mm), source.
PEOPLE = [
    ("achilles_tendon", "ankle", 20, 34.6, "Manal 2013, ultrasound, rest"),
    ("achilles_tendon", "ankle", -10, 36.9, "Manal 2013, ultrasound, rest"),
    ("achilles_tendon", "ankle", -10, 38.1, "Manal 2013, ultrasound, maximal"),
    ("achilles_tendon", "ankle", -15, 55.4, "Fath 2010, MRI"),
    ("achilles_tendon", "ankle", -15, 36.2, "Fath 2010, ultrasound"),
    ("achilles_tendon", "ankle", -10, 53.0, "Hashizume 2012, MRI in plane"),
    ("achilles_tendon", "ankle", -10, 41.4, "Hashizume 2012, MRI helical axis"),
    ("achilles_tendon", "ankle", -10, 40.0, "Kawakami 2001, ultrasound"),
    ("achilles_tendon", "ankle", -5, 36.0, "Lee & Piazza 2009, ultrasound"),
    ("achilles_tendon", "ankle", -10, 51.0, "Maganaris 2000, MRI, rest"),
    ("achilles_tendon", "ankle", -10, 64.0, "Maganaris 2000, MRI, maximal"),
    ("achilles_tendon", "ankle", -10, 53.0, "Maganaris 2000, tendon excursion"),
    ("achilles_tendon", "ankle", 0, 56.0, "Rosager 2002, ultrasound"),
    ("achilles_tendon", "ankle", -10, 57.0, "Rugg 1990, MRI"),
    ("achilles_tendon", "ankle", -10, 53.0, "Sheehan 2012, MRI"),
    ("achilles_tendon", "ankle", 0, 39.0, "moment over tensiometer force, walking, 2024"),
    ("achilles_tendon", "ankle", 0, 37.0, "moment over tensiometer force, running, 2024"),
    ("patellar_tendon", "knee", 0, 42.55, "MRI, PMC7547162"),
    ("patellar_tendon", "knee", 20, 39.91, "MRI, PMC7547162"),
    ("patellar_tendon", "knee", 40, 37.73, "MRI, PMC7547162"),
    ("patellar_tendon", "knee", 60, 36.18, "MRI, PMC7547162"),
    ("quadriceps_tendon", "knee", 10, 45.5, "cine MRI, women, PMC4662057"),
    ("quadriceps_tendon", "knee", 50, 32.9, "cine MRI, women, PMC4662057"),
    ("quadriceps_tendon", "knee", 10, 47.1, "cine MRI, men, PMC4662057"),
    ("quadriceps_tendon", "knee", 50, 31.5, "cine MRI, men, PMC4662057"),
    ("lumbar_flexors", "trunk", 0, 85.0, "MRI, standing women, Jorgensen 2005"),
]

TREND = "measurements disagree on the trend with the angle, so the interval has none"
THIN = "a thin muscle far from the axis; the group does not reach that far"
PART = "one part of the muscle; the whole muscle and the hamstrings bound the group"
BELOW = "single methods reach 3 mm below the 37-60 mm that the reference settles on"
ABOVE = "only under full contraction, and only by one method"
DISAGREEMENTS = {
    "achilles_tendon, ankle: soleus at 20": TREND,
    "achilles_tendon, ankle: soleus, knee at 90 at 20": TREND,
    "hip_extensors, hip: gluteus maximus upper part at 30": PART,
    "hip_extensors, hip: gluteus maximus upper part at 60": PART,
    "hip_extensors, hip: gluteus maximus upper part at 90": PART,
    "hip_abductors, hip: tensor fasciae latae at 30": THIN,
    "hip_abductors, hip: tensor fasciae latae at 15": THIN,
    "achilles_tendon, ankle: Manal 2013, ultrasound, rest at 20": BELOW,
    "achilles_tendon, ankle: Manal 2013, ultrasound, rest at -10": BELOW,
    "achilles_tendon, ankle: Fath 2010, ultrasound at -15": BELOW,
    "achilles_tendon, ankle: Lee & Piazza 2009, ultrasound at -5": BELOW,
    "achilles_tendon, ankle: Maganaris 2000, MRI, maximal at -10": ABOVE,
}


# ---- inside the environment of the models ------------------------------------------------------------------


class Model:
    """A muscle model whose coupled joints follow."""

    def __init__(self, name):
        import mujoco
        import myo_sim

        self.mujoco = mujoco
        self.model = myo_sim.load_model(name)
        self.data = mujoco.MjData(self.model)

    def address(self, joint):
        return self.model.jnt_qposadr[self.model.joint(joint).id]

    def pose(self, angles):
        """Sets joints (degrees), then what is coupled to them by a polynomial; chains settle in a few rounds."""
        m, d = self.model, self.data
        d.qpos[:] = m.qpos0
        for joint, deg in angles.items():
            d.qpos[self.address(joint)] = math.radians(deg)
        coupled = [i for i in range(m.neq) if m.eq_type[i] == self.mujoco.mjtEq.mjEQ_JOINT]
        for _ in range(6):
            for i in coupled:
                follower, leader = (m.jnt_qposadr[it[i]] for it in (m.eq_obj1id, m.eq_obj2id))
                way = d.qpos[leader] - m.qpos0[leader] if m.eq_obj2id[i] >= 0 else 0.0
                d.qpos[follower] = m.qpos0[follower] + sum(c * way**k for k, c in enumerate(m.eq_data[i][:5]))

    def lengths(self):
        m, d = self.model, self.data
        self.mujoco.mj_kinematics(m, d)
        self.mujoco.mj_comPos(m, d)
        self.mujoco.mj_tendon(m, d)
        return d.ten_length.copy()

    def arms(self, joint, angles, step=0.05, coupled=True):
        """Minus change of length over change of angle (m), by tendon; `coupled=False` turns this joint alone."""
        ends = []
        for way in (step, -step):
            if coupled:
                self.pose(angles | {joint: angles.get(joint, 0) + way})
            else:
                self.pose(angles)
                self.data.qpos[self.address(joint)] += math.radians(way)
            ends.append(self.lengths())
        return -(ends[0] - ends[1]) / (2 * math.radians(step))

    def whole(self, arms, muscles):
        """Size of the arm of some muscles together, weighted by their greatest forces, mm."""
        m = self.model
        forces = [float(m.actuator(it).gainprm[2]) for it in muscles]
        each = [float(arms[m.actuator_trnid[m.actuator(it).id][0]]) for it in muscles]
        return 1000 * abs(sum(f * a for f, a in zip(forces, each)) / sum(forces))


def measure():
    """Arms of the models as rows (whose, joint, angle of the clinical motion, mm, what)."""
    rows = []
    for name, table in (("myolegs", LEGS), ("myoarm", ARMS)):
        model = Model(name)
        for moving, degs, others, of, joint, sign, muscles in table:
            for deg in degs:
                arms = model.arms(moving, others | {moving: deg})
                rows += [(of, joint, sign * deg, model.whole(arms, it), what) for what, it in muscles.items()]
    torso = Model("myotorso")
    names = [torso.model.actuator(i).name for i in range(torso.model.nu)]
    for deg in (0, 20):
        arms = torso.arms("L4_L5_FE", {"flex_extension": deg}, coupled=False)
        crossing = [it for it in names if it.startswith(BACK) and torso.whole(arms, [it]) > 0.05]
        rows.append(("lumbar_extensors", "trunk", deg, torso.whole(arms, crossing), "erector spinae and multifidus"))
        rows.append(("lumbar_flexors", "trunk", deg, torso.whole(arms, ["EO1_r", "EO2_r", "EO3_r", "EO4_r"]),
                     "external oblique, front"))
    arms = torso.arms("L4_L5_FE", {}, coupled=False)
    rows.append(("lumbar_flexors", "trunk", 0, torso.whole(arms, ["rect_abd_r"]), "rectus abdominis"))
    return rows


# ---- the check ---------------------------------------------------------------------------------------------


def environment(folder):
    """Python of the environment, made anew when the pinned versions have changed."""
    stamp, python = folder / "stamp", folder / "bin" / "python"
    wanted = hashlib.sha256(PINNED.read_bytes()).hexdigest()
    if not stamp.exists() or stamp.read_text() != wanted:
        venv.create(folder, clear=True, with_pip=True)
        subprocess.run([python, "-m", "pip", "install", "--quiet", "--disable-pip-version-check", "-r", PINNED],
                       check=True)
        stamp.write_text(wanted)
    return python


def main():
    from common import WORK, Checks, example

    python = environment(WORK / "venv-myosim")
    answer = subprocess.run([python, HERE, "measure"], capture_output=True, text=True)
    if answer.returncode:
        sys.exit(f"models: exit code {answer.returncode}\n{answer.stderr}")
    models = [tuple(it) for it in json.loads(answer.stdout.strip().splitlines()[-1])]
    ours = json.loads(example("arms"))
    ours = {(it["of"], it["joint"]): it["at"] for it in ours["arms"]}

    checks, outside = Checks(), set()
    found = {f"{what} at {deg}": mm for _, _, deg, mm, what in models}
    for what, mm in ORACLE.items():
        checks.that(f"oracle, {what}", abs(found[what] - mm) < 0.06, found[what])
    for of, joint, deg, mm, what in models + PEOPLE:
        low, high = (1000 * it for it in ours[of, joint][str(deg)])
        name = f"{of}, {joint}: {what} at {deg}"
        inside = low <= mm <= high
        print(f"{name:70} {mm:5.1f} mm, ours {low:4.1f}-{high:4.1f}" + ("" if inside else "  outside"))
        if inside:
            checks.that(name, name not in DISAGREEMENTS, "no longer outside")
        else:
            outside.add(name)
            checks.that(name, name in DISAGREEMENTS, f"{mm:.2f} mm, ours {low:.2f}-{high:.2f}")
    checks.same("known disagreements", outside, set(DISAGREEMENTS))
    for name in sorted(outside & set(DISAGREEMENTS)):
        print(f"disagrees, {name}: {DISAGREEMENTS[name]}")
    print(f"arms of models {len(models)}, in people {len(PEOPLE)}, outside {len(outside)}")
    checks.done()


if __name__ == "__main__":
    if sys.argv[1:] == ["measure"]:
        print(json.dumps(measure()))
    else:
        main()
