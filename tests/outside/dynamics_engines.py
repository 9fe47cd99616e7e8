"""Inverse dynamics of the whole body against two rigid-body engines.

    python tests/outside/dynamics_engines.py [STATES.json]

Needs `mujoco` and `pin` (Python). `cargo xtask dynamics --dump` writes bodies as segment trees with masses, random
states (positions, velocities, accelerations, outside forces) and what Handrail finds there: net joint moments, joint
reactions and moments by coordinate. The same tree is built here twice, by text for MuJoCo and joint by joint for
Pinocchio; neither sees the other's numbers. Compared are, for each segment, the net joint moment and the joint
reaction as vectors, for each turn the moment about its axis, for each coordinate the sum over its turns, and the
power of all coordinates (which takes in the shoulder's, whose axes are no turns).

Besides random states the dump holds instants of the library's solved repetitions with their contact forces, weights
and bands. There the moments by coordinate, the reactions and what the lumbar joint carries are the very numbers of
which the repetition's loads are made. Outside forces must then leave nothing over at the root but the moment that
the repetition itself calls unbalanced.
"""

import json
import pathlib
import sys

import numpy as np

from common import WORK, Checks, xtask
from engines import MuJoCo, Pinocchio, three_link

#: Largest difference over the state's largest moment (or force), and over 1 N m (1 N) at least.
TOLERANCE = 1e-6
#: Force (body weights) and moment (body weights times metres) that may be left at the root of a repetition beside
#: what it states: the sharing of the contact forces is a least-squares answer with a little softness.
ROOT_FORCE, ROOT_MOMENT = 1e-4, 1e-4
#: States to draw.
CASES = 200

#: The chain of BIOMECHANICS section 4: q, qd, qdd and the moments that three engines printed, N m.
CHAIN = (
    ((0.3, -0.9, 0.8), (0, 0, 0), (0, 0, 0), (23.424857, 93.673410, -28.674065)),
    ((0.3, -0.9, 0.8), (0.5, -1.0, 0.7), (1.0, -2.0, 1.5), (36.227246, 97.018375, -22.079781)),
)


class Gaps:
    """Largest relative difference of each kind of quantity."""

    def __init__(self):
        self.worst, self.count = {}, {}

    def take(self, kind, found, expected, scale):
        gap = float(np.max(np.abs(np.subtract(found, expected)), initial=0.0)) / scale
        self.worst[kind] = max(self.worst.get(kind, 0.0), gap)
        self.count[kind] = self.count.get(kind, 0) + np.size(found)
        return gap <= TOLERANCE


def turn_moments(body, answer, moments):
    """Moment of each turn about its axis: the axes are the engine's, the joint moments Handrail's."""
    return [axis @ moments[i] for i, axes in enumerate(answer.axes) for axis in axes]


def coordinate_moments(body, answer, count):
    """Moments by coordinate from an engine's own answer, and which coordinates turns drive."""
    total, driven = np.zeros(count), np.zeros(count, bool)
    total[:3], driven[:3] = answer.root_force, True
    for segment, values in zip(body["segments"], answer.turns):
        for turn, value in zip(segment["turns"], values):
            total[turn["coord"]] += turn["gain"] * value
            driven[turn["coord"]] = True
    return total, driven


def compare(gaps, body, state, answer, engine):
    """The quantities of one state in which engine and Handrail differ."""
    moments, reactions = np.array(state["joint_moment"]), np.array(state["joint_reaction"])
    scale = max(1.0, np.abs(answer.moment).max())
    force_scale = max(1.0, np.abs(answer.reaction).max())
    by_coordinate = np.array(state["coord_moment"])
    total, driven = coordinate_moments(body, answer, len(by_coordinate))
    speed = np.array(state["qd"])
    power_scale = max(1.0, np.abs(total * speed).max())
    found = {
        "joint moment": (moments, answer.moment, scale),
        "joint reaction": (reactions, answer.reaction, force_scale),
        "turn": (turn_moments(body, answer, moments), np.concatenate(answer.turns), scale),
        "root force": (by_coordinate[:3], answer.root_force, force_scale),
        "coordinate": (by_coordinate[3:][driven[3:]], total[3:][driven[3:]], scale),
        "power": (by_coordinate @ speed, answer.power, power_scale),
    }
    for name, torque in answer.balls.items():
        index = next(i for i, it in enumerate(body["segments"]) if it["name"] == name)
        found[f"ball {name}"] = (answer.rotation[index].T @ moments[index], torque, scale)
    if "lumbar" in state:
        index = {it["name"]: i for i, it in enumerate(body["segments"])}
        pelvis, lumbar = answer.rotation[index["pelvis"]], index["abdomen"]
        carried = state["lumbar"]
        found["lumbar moment"] = (carried["moment"], pelvis.T @ answer.moment[lumbar], scale)
        found["lumbar reaction"] = (carried["force"], pelvis.T @ answer.reaction[lumbar], force_scale)
    return [kind for kind, (ours, theirs, by) in found.items() if not gaps.take((engine, kind), ours, theirs, by)]


def check_chain(checks):
    """That the trees built here mean what they should: the chain whose moments are known."""
    body = three_link()
    for make in (MuJoCo, Pinocchio):
        model = make(body)
        for q, qd, qdd, expected in CHAIN:
            state = {key: [0.0] * 3 + list(map(float, it)) for key, it in (("q", q), ("qd", qd), ("qdd", qdd))}
            answer = model.inverse(state | {"ball": {}, "external": []})
            found, _ = coordinate_moments(body, answer, 6)
            gap = np.abs(found[3:] - expected).max()
            checks.that(f"{make.__name__}: three-link chain", gap < 1e-6, found[3:].tolist())


def check_chain_of_dump(checks, body):
    """Handrail's own moments of the same chain: what the ground gives at the ankle (the origin) taken off them."""
    names = [it["name"] for it in body["segments"]]
    joints = [names.index(it) for it in ("right_hindfoot", "right_shank", "right_thigh")]
    for state, (*_, expected) in zip(body["states"], CHAIN):
        moment, force = np.array(state["joint_moment"]), np.array(state["joint_reaction"])[0]
        place = MuJoCo(body).inverse(state).place
        ground = moment[0] + np.cross(place[0], force)
        found = [float((moment[i] - ground + np.cross(place[i], force))[2]) for i in joints]
        checks.that("three-link chain by Handrail", np.abs(np.subtract(found, expected)).max() < 1e-6, found)


def check_root(checks, name, body, state, answer):
    """In a repetition the outside forces carry the body: of the root only the stated missing moment is left."""
    weight = sum(it["mass"] for it in body["segments"]) * 9.81
    force = np.linalg.norm(answer.root_force) / weight
    checks.that(f"{name}: no force is left at the root", force < ROOT_FORCE, force)
    moment = np.linalg.norm(answer.moment[0]) / weight
    checks.that(f"{name}: the moment left at the root is the one stated", abs(moment - state["unbalanced"]) < ROOT_MOMENT,
                (moment, state["unbalanced"]))


def check_static(checks, body):
    """The weight of a body at rest is its mass times gravity in both engines."""
    mass = sum(it["mass"] for it in body["segments"])
    count = 3 + 1 + max(turn["coord"] for it in body["segments"] for turn in it["turns"])
    rest = {"rotation": np.eye(3), "omega": np.zeros(3), "alpha": np.zeros(3)}
    state = {
        "q": np.zeros(count), "qd": np.zeros(count), "qdd": np.zeros(count), "external": [],
        "ball": {it["name"]: rest for it in body["segments"] if it.get("ball")},
    }
    for make in (MuJoCo, Pinocchio):
        answer = make(body).inverse(state)
        checks.that(f"{make.__name__}: weight", np.allclose(answer.root_force, [0, mass * 9.81, 0], atol=1e-8),
                    answer.root_force.tolist())


def main():
    if len(sys.argv) == 2:
        path = pathlib.Path(sys.argv[1])
    else:
        WORK.mkdir(parents=True, exist_ok=True)
        path = WORK / "dynamics.json"
        xtask("dynamics", "--dump", path, "--cases", CASES, "--seed", 3)
    dump = json.loads(path.read_text())
    checks, gaps = Checks(), Gaps()
    checks.same("gravity", dump["gravity"], 9.81)
    check_chain(checks)
    check_static(checks, dump["bodies"][0])
    for body in dump["bodies"]:
        if body.get("name") == "three_link":
            check_chain_of_dump(checks, body)
    states = externals = 0
    exercises = set()
    for number, body in enumerate(dump["bodies"]):
        name = body.get("name", f"body {number}")
        engines = [MuJoCo(body), Pinocchio(body)]
        for index, state in enumerate(body["states"]):
            states += 1
            externals += len(state["external"])
            exercises |= {state["exercise"]} if "exercise" in state else set()
            for engine in engines:
                kind = type(engine).__name__
                answer = engine.inverse(state)
                what = f"{name}, {state.get('exercise', 'state')} {index}"
                checks.same(f"{what}: differs from {kind}", compare(gaps, body, state, answer, kind), [])
                # Where a foot lands nothing may carry the body, and the forces of landing are not in the model.
                if "unbalanced" in state and not state["impact"]:
                    check_root(checks, what, body, state, answer)
    print(f"bodies {len(dump['bodies'])}, states {states}, outside forces {externals}, exercises {len(exercises)}")
    for (engine, kind), gap in sorted(gaps.worst.items()):
        print(f"{engine:10} {kind:20} {gaps.count[engine, kind]:7} numbers, largest difference {gap:.1e}")
    checks.that("outside forces were among them", externals > 0)
    checks.that("at least 40 exercises were among them", len(exercises) >= 40, len(exercises))
    checks.done()


if __name__ == "__main__":
    main()
