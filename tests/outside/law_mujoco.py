"""Allowed repetitions against their limits, measured on MuJoCo's body orientations.

    python tests/outside/law_mujoco.py [CASES.json]

Needs `mujoco` (Python). `cargo xtask law --dump` writes repetitions that a verdict allowed (as joint tree and joint
positions) with the motion limits that speak of them. Each limit's clinical angle is worked out here from the
orientations that MuJoCo computes; none may pass its limit.
"""

import json
import pathlib
import sys

import mujoco
import numpy as np

from common import WORK, Checks, xtask

#: Excess below this is rounding, degrees.
EPSILON = 0.01
#: Cases to draw.
CASES = 1500

# Axes: X forward, Y up, Z to the person's right. Signs are written for the right side; `out` is +1 there and -1 on
# the left, where turns about X and Y have the other sign.


def zxy(r):
    """Angles of R = Rz(a) Rx(b) Ry(c)."""
    return np.arctan2(-r[0, 1], r[1, 1]), np.arcsin(np.clip(r[2, 1], -1, 1)), np.arctan2(-r[2, 0], r[2, 2])


def yzx(r):
    """Angles of R = Ry(a) Rz(b) Rx(c)."""
    return np.arctan2(-r[2, 0], r[0, 0]), np.arcsin(np.clip(r[1, 0], -1, 1)), np.arctan2(-r[1, 2], r[1, 1])


def about_z(r):
    return np.arctan2(r[1, 0], r[0, 0])


def swing_and_twist(r, out):
    """Flexion, abduction and external rotation of the arm: where it points, and its turn beyond the shortest way."""
    down = np.array([0.0, -1.0, 0.0])
    points = r @ down
    axis = np.cross(down, points)
    sine = np.linalg.norm(axis)
    if sine < 1e-9:
        swing, undone = np.zeros(3), r
    else:
        angle = np.arctan2(sine, down @ points)
        unit = axis / sine
        swing = unit * angle
        cross = np.array([[0, -unit[2], unit[1]], [unit[2], 0, -unit[0]], [-unit[1], unit[0], 0]])
        rodrigues = np.eye(3) + np.sin(angle) * cross + (1 - np.cos(angle)) * cross @ cross
        undone = rodrigues.T @ r
    return swing[2], -swing[0] * out, -np.arctan2(undone[0, 2], undone[0, 0]) * out


def elevation(r):
    return np.arccos(np.clip(-(r @ np.array([0.0, -1.0, 0.0]))[1], -1, 1))


#: (joint, positive direction, negative direction): segment whose turn against its parent is read, and how.
LIMB = {
    ("hip", "flexion", "extension"): ("thigh", lambda r, out: zxy(r)[0]),
    ("hip", "abduction", "adduction"): ("thigh", lambda r, out: -zxy(r)[1] * out),
    ("hip", "external_rotation", "internal_rotation"): ("thigh", lambda r, out: -zxy(r)[2] * out),
    ("knee", "flexion", "extension"): ("shank", lambda r, out: -about_z(r)),
    ("ankle", "dorsiflexion", "plantarflexion"): ("hindfoot", lambda r, out: about_z(r)),
    ("ankle", "inversion", "eversion"): ("hindfoot", lambda r, out: np.arctan2(r[2, 1], r[2, 2]) * out),
    ("arch", "lift", "drop"): ("forefoot", lambda r, out: -about_z(r)),
    ("great_toe", "extension", "flexion"): ("greattoe", lambda r, out: np.arctan2(-r[0, 1], r[1, 1])),
    ("great_toe", "abduction", "adduction"): ("greattoe", lambda r, out: np.arctan2(-r[2, 0], r[2, 2]) * out),
    ("lesser_toes", "extension", "flexion"): ("toe3", lambda r, out: np.arctan2(-r[0, 1], r[1, 1])),
    ("lesser_toes", "spread", "closing"): ("toe5", lambda r, out: -np.arctan2(-r[2, 0], r[2, 2]) * out),
    ("lesser_toes", "curl", "uncurl"): ("tip3", lambda r, out: -about_z(r)),
    ("shoulder_girdle", "elevation", "depression"): ("girdle", lambda r, out: -np.arctan2(-r[1, 2], r[1, 1]) * out),
    ("shoulder_girdle", "protraction", "retraction"): ("girdle", lambda r, out: np.arctan2(-r[2, 0], r[0, 0]) * out),
    ("shoulder", "flexion", "extension"): ("upperarm", lambda r, out: swing_and_twist(r, out)[0]),
    ("shoulder", "abduction", "adduction"): ("upperarm", lambda r, out: swing_and_twist(r, out)[1]),
    ("shoulder", "external_rotation", "internal_rotation"): ("upperarm", lambda r, out: swing_and_twist(r, out)[2]),
    ("shoulder", "elevation", None): ("upperarm", lambda r, out: elevation(r)),
    ("elbow", "flexion", "extension"): ("forearm", lambda r, out: about_z(r)),
    ("forearm", "supination", "pronation"): ("hand", lambda r, out: np.pi / 2 - yzx(r)[0] * out),
    ("wrist", "flexion", "extension"): ("hand", lambda r, out: yzx(r)[1]),
    ("wrist", "ulnar_deviation", "radial_deviation"): ("hand", lambda r, out: yzx(r)[2] * out),
    ("fingers", "flexion", "extension"): ("fingers", lambda r, out: about_z(r)),
    ("thumb", "flexion", "extension"): ("thumb", lambda r, out: about_z(r)),
}

#: Motions of trunk and neck: sum over segments, sign, place in Z-X-Y.
AXIAL = {
    ("trunk", "flexion", "extension"): (("abdomen", "thorax"), -1, 0),
    ("trunk", "side_bend_right", "side_bend_left"): (("abdomen", "thorax"), 1, 1),
    ("trunk", "rotation_left", "rotation_right"): (("abdomen", "thorax"), 1, 2),
    ("neck", "flexion", "extension"): (("head",), -1, 0),
    ("neck", "side_bend_right", "side_bend_left"): (("head",), 1, 1),
    ("neck", "rotation_left", "rotation_right"): (("head",), 1, 2),
}


class Tree:
    """A body in the engine."""

    def __init__(self, mjcf):
        self.model = mujoco.MjModel.from_xml_string(mjcf)
        self.data = mujoco.MjData(self.model)

    def take(self, qpos):
        self.data.qpos[:] = qpos
        mujoco.mj_kinematics(self.model, self.data)

    def against_parent(self, name):
        body = self.model.body(name)
        mine, parents = (self.data.xmat[i].reshape(3, 3) for i in (body.id, body.parentid[0]))
        return parents.T @ mine

    def measure(self, joint, motion, side):
        """A clinical angle, degrees."""
        out = 1 if side == "right" else -1
        for (name, positive, negative), (segment, read) in LIMB.items():
            if name == joint and motion in (positive, negative):
                value = read(self.against_parent(f"{side}_{segment}"), out)
                return np.degrees(value) * (1 if motion == positive else -1)
        for (name, positive, negative), (segments, sign, place) in AXIAL.items():
            if name == joint and motion in (positive, negative):
                value = sum(zxy(self.against_parent(it))[place] for it in segments) * sign
                return np.degrees(value) * (1 if motion == positive else -1)
        raise KeyError(f"{joint} {motion}")


def check_meaning(checks, mjcf):
    """That the angles above mean what a clinician means: one joint turned, and where the limb then goes."""
    tree = Tree(mjcf)
    neutral = np.zeros(tree.model.nq)
    for side, out in (("left", -1), ("right", 1)):
        for hinge, angle, joint, motion, far, axis, sign in (
            ("thigh_0", 0.5, "hip", "flexion", "shank", 0, 1),
            ("thigh_1", -0.5 * out, "hip", "abduction", "shank", 2, out),
            ("shank_0", -0.5, "knee", "flexion", "hindfoot", 0, -1),
            ("hindfoot_0", 0.3, "ankle", "dorsiflexion", "greattoe", 1, 1),
            ("upperarm_1", -0.5 * out, "shoulder", "abduction", "forearm", 2, out),
            ("forearm_0", 0.5, "elbow", "flexion", "hand", 0, 1),
        ):
            tree.take(neutral)
            before = tree.data.body(f"{side}_{far}").xpos.copy()
            turned = neutral.copy()
            turned[tree.model.joint(f"{side}_{hinge}").qposadr[0]] = angle
            tree.take(turned)
            moved = (tree.data.body(f"{side}_{far}").xpos - before)[axis] * sign
            measured = tree.measure(joint, motion, side)
            checks.that(f"{side} {joint} {motion} goes its way", moved > 0.01, moved)
            checks.that(f"{side} {joint} {motion} is measured", abs(measured - np.degrees(abs(angle))) < 1e-6, measured)


# The shoulder's three axes meet in one plane with the arm hanging: bad for forces, of no matter for places.
mujoco.set_mju_user_warning(lambda text: None)


def main():
    if len(sys.argv) == 2:
        path = pathlib.Path(sys.argv[1])
    else:
        WORK.mkdir(parents=True, exist_ok=True)
        path = WORK / "law.json"
        xtask("law", "--dump", path, "--cases", CASES, "--seed", 2)
    cases = json.loads(path.read_text())
    checks = Checks()
    check_meaning(checks, cases[0]["mjcf"])
    samples = measured = 0
    worst, where = -np.inf, ""
    limits, kinds = set(), {}
    for number, case in enumerate(cases):
        tree = Tree(case["mjcf"])
        name = f"case {number} ({case['exercise']}, {case['side']}, {case['verdict']})"
        kinds[case["verdict"]] = kinds.get(case["verdict"], 0) + 1
        past = []
        for qpos in case["qpos"]:
            tree.take(qpos)
            samples += 1
            for limit in case["limits"]:
                angle = tree.measure(limit["joint"], limit["motion"], case["side"])
                excess = angle - limit["max_deg"]
                measured += 1
                limits.add((limit["joint"], limit["motion"]))
                if excess > worst:
                    worst, where = excess, f"{name}: {limit['id']}"
                if not excess <= EPSILON:
                    past.append((limit["id"], round(float(excess), 3)))
        checks.same(f"{name}: past a limit", past, [])
    print(f"cases {len(cases)} ({', '.join(f'{k} {v}' for k, v in sorted(kinds.items()))}), samples {samples}")
    print(f"angles measured {measured} of {len(limits)} motions, excess max {worst:.4f} deg at {where}")
    checks.that("some repetition was limited", kinds.get("limited", 0) > 0)
    checks.that("angles were measured", measured > len(cases))
    checks.done()


if __name__ == "__main__":
    main()
