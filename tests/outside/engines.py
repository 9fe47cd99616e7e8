"""A body's segment tree in two rigid-body engines, and their inverse dynamics in one form.

The tree is what `cargo xtask dynamics --dump` writes: segments with parents, joint places, turns (axis, coordinate,
gain, constant), masses. World and segments have X forward, Y up, Z right. A segment's turns become one hinge each;
the upper arms are ball joints; the root has three slides before its turns.

Segments without mass: MuJoCo refuses them, so they get 1e-12 kg and 1e-12 kg m^2 there (moments below 1e-10 N m);
Pinocchio takes zero.
"""

import dataclasses

import mujoco
import numpy as np
import pinocchio as pin

GRAVITY = 9.81
AXES = {"x": np.array([1.0, 0, 0]), "y": np.array([0, 1.0, 0]), "z": np.array([0, 0, 1.0])}
#: Mass (kg) and inertia (kg m^2) of a segment that has none, in MuJoCo.
ALMOST_NOTHING = 1e-12


@dataclasses.dataclass
class Answer:
    """Inverse dynamics of one state, in the world frame."""

    #: Net joint moment of each segment about its joint, N m.
    moment: np.ndarray
    #: Joint reaction of each segment, N.
    reaction: np.ndarray
    #: Generalised force of each segment's turns, N m.
    turns: list
    #: World axis of each segment's turns.
    axes: list
    #: Torque of each ball joint by segment name, in the segment's own frame, N m.
    balls: dict
    #: Force of the three root slides, N.
    root_force: np.ndarray
    #: World rotation of each segment, and place of its joint, m.
    rotation: np.ndarray
    place: np.ndarray
    #: Generalised forces times velocities, W.
    power: float


def angles(segment, values, rate=False):
    """Angles of a segment's turns, or their rates."""
    return [turn["gain"] * values[turn["coord"]] + (0 if rate else turn["constant"]) for turn in segment["turns"]]


def ball_rates(ball):
    """Angular velocity and acceleration of a ball joint in the segment's own frame.

    The rotation's own change adds nothing: it turns about the angular velocity itself.
    """
    rotation = np.array(ball["rotation"])
    return rotation.T @ ball["omega"], rotation.T @ ball["alpha"]


class MuJoCo:
    """The tree by MJCF, `mj_inverse`, and `mj_rnePostConstraint` for forces between segments."""

    def __init__(self, body):
        self.segments = body["segments"]
        self.model = mujoco.MjModel.from_xml_string(self.text())
        self.data = mujoco.MjData(self.model)
        self.bodies = [self.model.body(it["name"]).id for it in self.segments]
        self.joints = [[self.model.joint(f"{it['name']}_{i}") for i in range(max(1, len(it["turns"])))]
                       for it in self.segments]

    def text(self):
        def write(index):
            segment = self.segments[index]
            out = [f'<body name="{segment["name"]}" pos="{numbers(segment["offset"])}">']
            if segment["parent"] < 0:
                out += [f'<joint name="root_{k}" type="slide" axis="{numbers(v)}"/>' for k, v in AXES.items()]
            if segment.get("ball"):
                out.append(f'<joint name="{segment["name"]}_0" type="ball"/>')
            for i, turn in enumerate(segment["turns"]):
                axis = numbers(AXES[turn["axis"]])
                out.append(f'<joint name="{segment["name"]}_{i}" type="hinge" axis="{axis}"/>')
            mass, inertia = segment["mass"], np.array(segment["inertia"])
            if mass == 0:
                mass, inertia = ALMOST_NOTHING, np.eye(3) * ALMOST_NOTHING
            full = [inertia[i, j] for i, j in ((0, 0), (1, 1), (2, 2), (0, 1), (0, 2), (1, 2))]
            out.append(f'<inertial pos="{numbers(segment["com"])}" mass="{mass!r}" fullinertia="{numbers(full)}"/>')
            out += [write(i) for i, it in enumerate(self.segments) if it["parent"] == index]
            return "".join(out) + "</body>"

        def numbers(values):
            return " ".join(repr(float(it)) for it in values)

        roots = "".join(write(i) for i, it in enumerate(self.segments) if it["parent"] < 0)
        # Limits and contacts are not part of the question.
        return (
            '<mujoco><compiler angle="radian" autolimits="true"/>'
            f'<option gravity="0 {-GRAVITY} 0"><flag contact="disable" constraint="disable"/></option>'
            f'<worldbody>{roots}</worldbody></mujoco>'
        )

    def take(self, state):
        """Sets the state."""
        data = self.data
        data.qpos[:3], data.qvel[:3], data.qacc[:3] = state["q"][:3], state["qd"][:3], state["qdd"][:3]
        for segment, joints in zip(self.segments, self.joints):
            if segment.get("ball"):
                ball = state["ball"][segment["name"]]
                at, dof = joints[0].qposadr[0], joints[0].dofadr[0]
                mujoco.mju_mat2Quat(data.qpos[at:at + 4], np.array(ball["rotation"]).ravel())
                data.qvel[dof:dof + 3], data.qacc[dof:dof + 3] = ball_rates(ball)
                continue
            rows = zip(joints, angles(segment, state["q"]), angles(segment, state["qd"], True),
                       angles(segment, state["qdd"], True))
            for joint, position, velocity, acceleration in rows:
                data.qpos[joint.qposadr[0]] = position
                data.qvel[joint.dofadr[0]], data.qacc[joint.dofadr[0]] = velocity, acceleration

    def inverse(self, state):
        model, data = self.model, self.data
        self.take(state)
        data.xfrc_applied[:] = 0
        mujoco.mj_inverse(model, data)
        # `qfrc_inverse` is what everything outside must give together: the forces from outside come off it.
        outside = np.zeros(model.nv)
        for it in state["external"]:
            body, point, force, moment = self.bodies[it["segment"]], *map(
                np.array, (it["point"], it["force"], it["moment"]))
            mujoco.mj_applyFT(model, data, force, moment, point, body, outside)
            arm = point - data.xipos[body]
            data.xfrc_applied[body] += np.concatenate([force, moment + np.cross(arm, force)])
        demand = data.qfrc_inverse - outside
        mujoco.mj_rnePostConstraint(model, data)
        inner = data.cfrc_int[self.bodies]
        centre = data.subtree_com[model.body_rootid[self.bodies]]
        joint = data.xpos[self.bodies]
        moment = inner[:, :3] + np.cross(centre - joint, inner[:, 3:])
        turns, axes, balls = [], [], {}
        for segment, joints in zip(self.segments, self.joints):
            dof = joints[0].dofadr[0]
            if segment.get("ball"):
                balls[segment["name"]] = demand[dof:dof + 3]
                turns.append([]), axes.append([])
            else:
                turns.append([demand[it.dofadr[0]] for it in joints])
                axes.append([data.xaxis[it.id].copy() for it in joints])
        return Answer(moment, inner[:, 3:].copy(), turns, axes, balls, demand[:3].copy(),
                      data.xmat[self.bodies].reshape(-1, 3, 3).copy(), joint.copy(), float(demand @ data.qvel))


class Pinocchio:
    """The tree joint by joint, and `rnea`."""

    def __init__(self, body):
        self.segments = body["segments"]
        model = self.model = pin.Model()
        model.gravity = pin.Motion(np.array([0, -GRAVITY, 0]), np.zeros(3))
        slides = (pin.JointModelPX, pin.JointModelPY, pin.JointModelPZ)
        hinges = {"x": pin.JointModelRX, "y": pin.JointModelRY, "z": pin.JointModelRZ}
        #: Joints of each segment in order; the last one carries its mass.
        self.joints, self.slides = [], []
        for segment in self.segments:
            parent = self.joints[segment["parent"]][-1] if segment["parent"] >= 0 else 0
            kinds = [slides[i]() for i in range(3)] if segment["parent"] < 0 else []
            kinds += [pin.JointModelSpherical()] if segment.get("ball") else []
            kinds += [hinges[turn["axis"]]() for turn in segment["turns"]]
            mine = []
            for i, kind in enumerate(kinds):
                place = pin.SE3(np.eye(3), np.array(segment["offset"], float)) if i == 0 else pin.SE3.Identity()
                parent = model.addJoint(parent, kind, place, f"{segment['name']}_{i}")
                mine.append(parent)
            if segment["parent"] < 0:
                self.slides, mine = mine[:3], mine[3:]
            self.joints.append(mine)
            inertia = pin.Inertia(segment["mass"], np.array(segment["com"], float), np.array(segment["inertia"], float))
            model.appendBodyToJoint(mine[-1], inertia, pin.SE3.Identity())
        self.data = model.createData()

    def vectors(self, state):
        """Position, velocity and acceleration in this model's order."""
        model = self.model
        q, v, a = pin.neutral(model), np.zeros(model.nv), np.zeros(model.nv)
        for i, joint in enumerate(self.slides):
            q[model.idx_qs[joint]] = state["q"][i]
            v[model.idx_vs[joint]], a[model.idx_vs[joint]] = state["qd"][i], state["qdd"][i]
        for segment, joints in zip(self.segments, self.joints):
            if segment.get("ball"):
                ball = state["ball"][segment["name"]]
                at, dof = model.idx_qs[joints[0]], model.idx_vs[joints[0]]
                q[at:at + 4] = pin.Quaternion(np.array(ball["rotation"])).coeffs()
                v[dof:dof + 3], a[dof:dof + 3] = ball_rates(ball)
                continue
            rows = zip(joints, angles(segment, state["q"]), angles(segment, state["qd"], True),
                       angles(segment, state["qdd"], True))
            for joint, position, velocity, acceleration in rows:
                q[model.idx_qs[joint]] = position
                v[model.idx_vs[joint]], a[model.idx_vs[joint]] = velocity, acceleration
        return q, v, a

    def inverse(self, state):
        model, data = self.model, self.data
        q, v, a = self.vectors(state)
        pin.forwardKinematics(model, data, q)
        outside = [pin.Force.Zero() for _ in range(model.njoints)]
        for it in state["external"]:
            joint = self.joints[it["segment"]][-1]
            point, force, moment = map(np.array, (it["point"], it["force"], it["moment"]))
            world = pin.Force(force.astype(float), moment + np.cross(point, force))
            outside[joint] = outside[joint] + data.oMi[joint].actInv(world)
        listed = pin.StdVec_Force()
        for it in outside:
            listed.append(it)
        demand = pin.rnea(model, data, q, v, a, listed).copy()
        carriers = [it[-1] for it in self.joints]
        rotation = np.array([data.oMi[it].rotation for it in carriers])
        moment = np.array([r @ data.f[it].angular for r, it in zip(rotation, carriers)])
        reaction = np.array([r @ data.f[it].linear for r, it in zip(rotation, carriers)])
        turns, axes, balls = [], [], {}
        for segment, joints in zip(self.segments, self.joints):
            dof = model.idx_vs[joints[0]]
            if segment.get("ball"):
                balls[segment["name"]] = demand[dof:dof + 3]
                turns.append([]), axes.append([])
            else:
                turns.append([demand[model.idx_vs[it]] for it in joints])
                axes.append([data.oMi[it].rotation @ AXES[turn["axis"]] for it, turn in zip(joints, segment["turns"])])
        root_force = np.array([demand[model.idx_vs[it]] for it in self.slides])
        place = np.array([data.oMi[it].translation for it in carriers])
        return Answer(moment, reaction, turns, axes, balls, root_force, rotation, place, float(demand @ v))


def three_link():
    """The sagittal chain of BIOMECHANICS section 4 (hinges about +y, links up +z there) in this world's axes."""
    def link(name, parent, up, mass, centre, inertia):
        return {
            # There +y points left, which is -Z here.
            "name": name, "parent": parent, "offset": [0, up, 0],
            "turns": [{"axis": "z", "coord": parent + 4, "gain": -1.0, "constant": 0.0}],
            "mass": mass, "com": [0, centre, 0], "inertia": (np.eye(3) * inertia).tolist(),
        }

    return {"name": "three_link", "states": [], "segments": [
        link("shank", -1, 0.0, 3.255, 0.25, 0.0556),
        link("thigh", 0, 0.43, 7.0, 0.24, 0.137),
        link("trunk", 1, 0.43, 47.46, 0.31, 2.9),
    ]}
