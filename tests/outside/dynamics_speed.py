"""Time of inverse dynamics in two rigid-body engines, on the tree that Handrail uses.

    python tests/outside/dynamics_speed.py STATES.json

Needs `mujoco` and `pin` (Python). Reads what `cargo xtask dynamics --dump` writes and prints JSON: microseconds per
pose of Pinocchio's `rnea` and `forwardKinematics` and of MuJoCo's `mj_inverse` and `mj_kinematics`, for the whole
tree and for the tree without the segments that carry no mass (`massive`; ends of fingers and toes, on which nothing
of a repetition's moments depends).

What the Python binding costs is not the engine's: from each time the time of the same call on a model of one hinge
is taken off. That also takes off one hinge's work and the engine's own fixed cost, in the engine's favour; the copy of
the longer vectors stays in, to its disadvantage. Against the same `rnea` called from C++ (headers of the same package,
`-O3`, same trees) the figures so found were 5 % high for the whole tree and 2 % low for the other. Pinocchio does
sixteen states in turn; MuJoCo one, because setting another costs time that is not its own. Each figure is the median
over rounds in which all calls take turns, so that a busy moment of the machine falls on all of them.
"""

import json
import pathlib
import statistics
import sys
import time

import mujoco
import numpy as np
import pinocchio as pin

from engines import MuJoCo, Pinocchio

#: Rounds, and calls in each.
ROUNDS, CALLS = 60, 1000


def massive(body):
    """The tree without segments beyond which there is no mass."""
    segments = body["segments"]
    keep = [it["mass"] > 0 for it in segments]
    for it, kept in reversed(list(zip(segments, keep))):
        if kept and it["parent"] >= 0:
            keep[it["parent"]] = True
    place = {old: new for new, old in enumerate(i for i, kept in enumerate(keep) if kept)} | {-1: -1}
    return body | {"segments": [it | {"parent": place[it["parent"]]} for it, kept in zip(segments, keep) if kept]}


class OneHinge:
    """A single pendulum in both engines."""

    def __init__(self):
        self.mujoco = mujoco.MjModel.from_xml_string(
            '<mujoco><option gravity="0 -9.81 0"><flag contact="disable" constraint="disable"/></option><worldbody>'
            '<body><joint type="hinge" axis="0 0 1"/><inertial pos="0 0.2 0" mass="1" diaginertia="1 1 1"/></body>'
            "</worldbody></mujoco>")
        self.pin = pin.Model()
        joint = self.pin.addJoint(0, pin.JointModelRZ(), pin.SE3.Identity(), "hinge")
        self.pin.appendBodyToJoint(joint, pin.Inertia(1.0, np.array([0, 0.2, 0]), np.eye(3)), pin.SE3.Identity())


def pinocchio_calls(model, states):
    """Calls of Pinocchio by name; each does one state."""
    data = model.createData()
    rnea, kinematics = pin.rnea, pin.forwardKinematics
    return {
        "pinocchio_rnea": (lambda state: rnea(model, data, *state), states),
        "pinocchio_kinematics": (lambda state: kinematics(model, data, state[0]), states),
    }


def mujoco_calls(model, state):
    """Calls of MuJoCo by name; each does the one state, which is set before the clock runs."""
    out = {}
    for name, call in (("mujoco_inverse", mujoco.mj_inverse), ("mujoco_kinematics", mujoco.mj_kinematics)):
        data = mujoco.MjData(model)
        data.qpos[:], data.qvel[:], data.qacc[:] = state
        out[name] = (lambda data, call=call: call(model, data), [data])
    return out


def mujoco_state(engine, state):
    engine.take(state)
    return engine.data.qpos.copy(), engine.data.qvel.copy(), engine.data.qacc.copy()


def seconds(call, states):
    """Seconds per call."""
    count = len(states)
    begin = time.perf_counter()
    for i in range(CALLS):
        call(states[i % count])
    return (time.perf_counter() - begin) / CALLS


def main():
    dump = json.loads(pathlib.Path(sys.argv[1]).read_text())
    body = dump["bodies"][0]
    states = body["states"][:16]
    one = OneHinge()
    flat = [(np.zeros(1), np.ones(1), np.ones(1))]
    calls = {}
    for name, call in (pinocchio_calls(one.pin, flat) | mujoco_calls(one.mujoco, flat[0])).items():
        calls["one_hinge", name] = call
    sizes = {}
    for name, tree in (("whole", body), ("massive", massive(body))):
        first, second = Pinocchio(tree), MuJoCo(tree)
        sizes[name] = {"segments": len(tree["segments"]), "freedoms": first.model.nv}
        taken = [first.vectors(it) for it in states]
        for key, call in pinocchio_calls(first.model, taken).items():
            calls[name, key] = call
        for key, call in mujoco_calls(second.model, mujoco_state(second, states[0])).items():
            calls[name, key] = call
    for call in calls.values():
        seconds(*call)
    times = {key: [] for key in calls}
    for _ in range(ROUNDS):
        for key, call in calls.items():
            times[key].append(seconds(*call))
    median = {key: statistics.median(it) for key, it in times.items()}
    out = {
        "versions": {"pinocchio": pin.__version__, "mujoco": mujoco.__version__},
        "method": "median of rounds; the same call on a one-hinge model taken off as the cost of the binding",
        "rounds": ROUNDS, "calls": CALLS,
        "binding_us": {key: round(it * 1e6, 4) for (tree, key), it in median.items() if tree == "one_hinge"},
    }
    for name in sizes:
        out[name] = sizes[name] | {
            f"{key}_us": round((median[name, key] - median["one_hinge", key]) * 1e6, 4)
            for tree, key in median if tree == name
        }
    print(json.dumps(out, indent=1))


if __name__ == "__main__":
    main()
