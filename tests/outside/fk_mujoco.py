"""Places of all segments against MuJoCo's forward kinematics.

    python tests/outside/fk_mujoco.py [POSES.json]

Needs `mujoco` (Python). `cargo xtask poses` writes random poses of random bodies with the joint tree as MJCF (the
shoulder as another chain of rotations) and where Handrail has each segment's joint.
"""

import json
import pathlib
import sys

import mujoco
import numpy as np

from common import Checks, xtask

#: Largest distance that still counts as the same place, m.
TOLERANCE = 1e-9


# The shoulder's three axes meet in one plane with the arm hanging: bad for forces, of no matter for places.
mujoco.set_mju_user_warning(lambda text: None)


def main():
    if len(sys.argv) == 2:
        poses = json.loads(pathlib.Path(sys.argv[1]).read_text())
    else:
        poses = json.loads(xtask("poses", "--count", 200, "--seed", 1))
    checks, worst, places = Checks(), 0.0, 0
    for number, pose in enumerate(poses):
        model = mujoco.MjModel.from_xml_string(pose["mjcf"])
        data = mujoco.MjData(model)
        checks.same(f"pose {number}: coordinates", len(pose["qpos"]), model.nq)
        checks.same(f"pose {number}: segments", len(pose["places"]), model.nbody - 1)
        data.qpos[:] = pose["qpos"]
        mujoco.mj_kinematics(model, data)
        gaps = {name: np.linalg.norm(data.body(name).xpos - at) for name, at in pose["places"].items()}
        far = {name: gap for name, gap in gaps.items() if not gap <= TOLERANCE}
        checks.same(f"pose {number}: segments elsewhere", far, {})
        worst, places = max(worst, *gaps.values()), places + len(gaps)
    print(f"poses {len(poses)}, places {places}, largest distance {worst:.1e} m")
    checks.done()


if __name__ == "__main__":
    main()
