"""Net joint moments of a measured walk against those that its own package publishes.

    python tests/outside/gait_cycle.py

The trial is shipped inside the source package GaitAnalysisToolKit 0.2.0 (Cleveland State University), fetched by its
name and read, not kept: 3 s of treadmill walking, 100 frames/s, six markers on one side (shoulder, trochanter, knee,
ankle, heel, fifth metatarsal head), force and moment of the belt on that foot about the laboratory's origin (no
centre of pressure is needed), body mass 67.2 kg, and `refresults.mat`: the package's own angles and moments by the
planar method of Winter's book. Two whole cycles lie between its heel strikes.

Read out of the shipped results, and said here because the package does not say it:
- they were made with a low-pass of 4 Hz (its test names 6; the angles agree at 4 and are 0.04 rad apart at 6);
- thigh and shank got the foot's mass fraction 0.0145 and radius of gyration 0.475 (the published forces and moments
  give these for all three; its table says 0.100, 0.0465, 0.0145 and 0.323, 0.302, 0.475), which leaves out most of the
  weight of the swinging leg at the hip;
- accelerations lag half a frame.

So four comparisons are made, over the two cycles:
1. a planar Newton-Euler written here, with those masses and that lag, gives the published moments: trial and method
   are read rightly;
2. Handrail with those masses, on the published moments;
3. Handrail with its own body (Winter's masses for 67.2 kg), on the method with the masses of its own table: band
   0.05 N m/kg;
4. Handrail with its own body on the published moments as they are: band 0.10 N m/kg at knee and ankle; at the hip the
   missing masses alone make more, so there only the RMS is bounded.

Assumed: the markers are the joints' centres and segments keep their mean length (as in the package's own analysis);
the stature, which is not published, follows from thigh and shank (0.491 of stature, Drillis & Contini), and sex is of
no matter to Winter's table.

Also shown, with no pass or fail: the share of the mean cycle inside the mean +- 2 SD of normal walking that gaitutils
0.13.9 ships (`normal.gcd`, another laboratory's adults), for Handrail's moments and for the published ones. One
person at one speed need not lie in it.
"""

import hashlib
import io
import json
import pathlib
import struct
import subprocess
import sys
import tarfile
import zipfile
import zlib

import numpy as np

from common import WORK, Checks, example

FOLDER = WORK / "gait"
#: Name, version, file and its SHA-256.
TRIAL = ("GaitAnalysisToolKit", "0.2.0", "GaitAnalysisToolKit-0.2.0.tar.gz",
         "5e7d24c9ec2676f2d4bc808b936c19c37915c7da42d8fd76b5e123a2dfc3cc78")
NORMAL = ("gaitutils", "0.13.9", "gaitutils-0.13.9-py3-none-any.whl",
          "46ddcc0e1159fb01454d959045c415ec6c15131eb4db28f87c3f1e923c474f78")

MASS, GRAVITY, CUTOFF = 67.2, 9.81, 4.0
SHOULDER, HIP, KNEE, ANKLE, HEEL, TOE = range(6)
#: Proximal marker, distal marker, joint marker, mass fraction, centre of mass, radius of gyration (Winter 2009).
LEG = ((HIP, KNEE, HIP, 0.100, 0.433, 0.323), (KNEE, ANKLE, KNEE, 0.0465, 0.433, 0.302),
       (HEEL, TOE, ANKLE, 0.0145, 0.500, 0.475))
#: What the published results hold instead: the foot's mass fraction and radius of gyration for all three.
PUBLISHED_LEG = tuple(it[:3] + (0.0145, it[4], 0.475) for it in LEG)
JOINTS = ("hip", "knee", "ankle")


# ---- what the packages ship ------------------------------------------------------------------------------


def package(name, version, file, digest):
    """The file of a package, fetched once."""
    path = FOLDER / file
    if not path.exists():
        FOLDER.mkdir(parents=True, exist_ok=True)
        command = [sys.executable, "-m", "pip", "download", "--quiet", "--disable-pip-version-check", "--no-deps",
                   f"{name}=={version}", "--dest", FOLDER]
        answer = subprocess.run(list(map(str, command)), capture_output=True, text=True)
        if answer.returncode:
            sys.exit(f"{name} {version} could not be fetched\n{answer.stderr}")
    data = path.read_bytes()
    if hashlib.sha256(data).hexdigest() != digest:
        sys.exit(f"{path} is not the file that this check was written for")
    return io.BytesIO(data)


def numbers_of_mat(data):
    """The one matrix of a MATLAB level 5 file."""
    size = struct.unpack("<I", data[132:136])[0]
    body, at, found = zlib.decompress(data[136:136 + size]), 8, []
    while at < len(body):
        kind, size = struct.unpack("<II", body[at:at + 8])
        if kind >> 16:  # Small elements hold their data beside the tag.
            at += 8
            continue
        found.append((kind, body[at + 8:at + 8 + size]))
        at += 8 + (size + 7) // 8 * 8
    rows, columns = struct.unpack("<ii", next(it for kind, it in found if kind == 5))
    values = next(it for kind, it in found if kind == 9)
    return np.frombuffer(values, "<f8").reshape(columns, rows).T


def trial():
    """Times, markers (frame, marker, forward and up), load of the ground (N, N, N m), published results."""
    with tarfile.open(fileobj=package(*TRIAL)) as archive:
        def read(name):
            folder = "GaitAnalysisToolKit-0.2.0/gaitanalysis/octave/2d_inverse_dynamics/test/"
            return archive.extractfile(folder + name).read()

        lines = [it.split() for it in read("rawdata.txt").decode().splitlines() if it.strip() and it[0] != "%"]
        published = numbers_of_mat(read("refresults.mat"))
    raw = np.array(lines, float)
    return raw[:, 0], raw[:, 1:13].reshape(-1, 6, 2), raw[:, 13:16], published


def normal_walking():
    """Mean and SD of the moments of normal walking, 51 points of the cycle; extension and plantarflexion positive."""
    with zipfile.ZipFile(package(*NORMAL)) as archive:
        text = archive.read("gaitutils/data/normal.gcd").decode(errors="replace")
    tables, rows = {}, None
    for line in text.splitlines():
        if line.startswith("!"):
            rows = tables.setdefault(line[1:].split()[0], [])
        elif rows is not None and len(words := line.split()) == 2:
            rows.append([float(it) for it in words])
    names = ("HipFlexExtMoment", "KneeFlexExtMoment", "DorsiPlanFlexMoment")
    return [np.array(tables[it]) for it in names]


# ---- from markers to motion ------------------------------------------------------------------------------


def low_pass(times, values, cutoff):
    """Second-order Butterworth forwards and backwards; the corner is set for two passes (Winter: 0.802)."""
    omega = 2 * np.pi * cutoff / 0.802

    def once(times, values):
        out, rate = np.array(values, float), np.zeros(values.shape[1])
        for i in range(1, len(out)):
            # The filter y'' = w^2 (x - y) - sqrt(2) w y' by the trapezoidal rule.
            h = times[i] - times[i - 1]
            pull = omega**2 * ((values[i] + values[i - 1]) / 2 - out[i - 1])
            mean = (rate + h / 2 * pull) / (1 + h * omega / np.sqrt(2) + (h * omega) ** 2 / 4)
            out[i], rate = out[i - 1] + h * mean, 2 * mean - rate
        return out

    back = once(-times[::-1], values[::-1])[::-1]
    return once(times, back)


def smooth(times, markers, load):
    """Smooth markers without gaps, and load."""
    out = np.empty_like(markers)
    for k in range(markers.shape[1]):
        seen = ~np.isnan(markers[:, k, 0])
        values = low_pass(times[seen], markers[seen, k], CUTOFF)
        for c in range(2):
            out[:, k, c] = np.interp(times, times[seen], values[:, c])
    return out, low_pass(times, load, CUTOFF)


def direction(markers, first, second):
    """Angle of the line between two markers against the forward axis, rad."""
    line = markers[:, second] - markers[:, first]
    return np.unwrap(np.arctan2(line[:, 1], line[:, 0]))


def mean_length(markers, first, second):
    return float(np.linalg.norm(markers[:, second] - markers[:, first], axis=1).mean())


def growth(times, values, lag=False):
    """Second derivative by central differences, zero at the ends; with `lag` that of half a frame before."""
    out, step = np.zeros_like(values), float(np.mean(np.diff(times)))
    out[1:-1] = (values[2:] - 2 * values[1:-1] + values[:-2]) / step**2
    if lag:
        out[1:] = (out[1:] + out[:-1]) / 2
    return out


def cross(a, b):
    return a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]


# ---- three ways to the moments, N m/kg; hip and knee flexion and plantarflexion positive, as published -----


def planar(times, markers, load, leg, lag=False):
    """Newton and Euler segment by segment from the foot up, on the markers as they are."""
    out = np.zeros((len(times), 3))
    force, moment, at = load[:, :2] / MASS, load[:, 2] / MASS, np.zeros((len(times), 2))
    for joint in (2, 1, 0):
        first, second, proximal, mass, centre, gyration = leg[joint]
        com = markers[:, first] + centre * (markers[:, second] - markers[:, first])
        inertia = mass * (gyration * mean_length(markers, first, second)) ** 2
        above = mass * growth(times, com, lag) - force + [0, mass * GRAVITY]
        turn = inertia * growth(times, direction(markers, first, second), lag) - moment
        turn -= cross(at - com, force) + cross(markers[:, proximal] - com, above)
        # A knee flexes and an ankle plantarflexes clockwise.
        out[:, joint] = turn if joint == 0 else -turn
        force, moment, at = -above, -turn, markers[:, proximal]
    return out


def handrail(times, markers, load, leg=None, name="input"):
    """Handrail's inverse dynamics on a leg of fixed lengths."""
    thigh, shank, foot = direction(markers, HIP, KNEE), direction(markers, KNEE, ANKLE), direction(markers, HEEL, TOE)
    lengths = mean_length(markers, HIP, KNEE), mean_length(markers, KNEE, ANKLE)
    knee = lengths[0] * np.c_[np.cos(thigh), np.sin(thigh)]
    ankle = knee + lengths[1] * np.c_[np.cos(shank), np.sin(shank)]
    # The hip is laid where hip, knee and ankle together miss their markers least.
    hip = (markers[:, HIP] + markers[:, KNEE] - knee + markers[:, ANKLE] - ankle) / 3
    miss = max(np.linalg.norm(hip + it - markers[:, k], axis=1).max()
               for it, k in ((0, HIP), (knee, KNEE), (ankle, ANKLE)))
    columns = {
        "time": times, "hip": hip, "hip_flexion_deg": np.degrees(thigh) + 90,
        "knee_flexion_deg": np.degrees(thigh - shank), "ankle_dorsiflexion_deg": np.degrees(foot - shank) - 90,
        "force": load[:, :2], "moment": load[:, 2],
    }
    frames = [{key: it[i].tolist() for key, it in columns.items()} for i in range(len(times))]
    person = {"stature": sum(lengths) / 0.491, "mass": MASS, "sex": "male", "thigh": lengths[0], "shank": lengths[1]}
    before, after = FOLDER / f"{name}.json", FOLDER / f"{name}_moments.json"
    before.write_text(json.dumps(person | {"leg": leg, "frames": frames}))
    example("gait", before, after)
    rows = [[it["hip_flexion"], it["knee_flexion"], -it["ankle_dorsiflexion"]] for it in json.loads(after.read_text())]
    return np.pad(np.array(rows) / MASS, ((1, 1), (0, 0))), miss


def leg_masses(markers, leg):
    """The segments of the planar method as Handrail's input wants them."""
    out = []
    for first, second, proximal, fraction, centre, gyration in leg:
        length = mean_length(markers, first, second)
        com = [0.0, -centre * length]
        if proximal == ANKLE:
            foot = direction(markers, HEEL, TOE)
            arm = (markers[:, HEEL] + markers[:, TOE]) / 2 - markers[:, ANKLE]
            turned = np.c_[arm[:, 0] * np.cos(foot) + arm[:, 1] * np.sin(foot),
                           arm[:, 1] * np.cos(foot) - arm[:, 0] * np.sin(foot)]
            com = turned.mean(axis=0).tolist()
        out.append({"mass": MASS * fraction, "com": com, "inertia": MASS * fraction * (gyration * length) ** 2})
    return out


# ---- the check -------------------------------------------------------------------------------------------


def heel_strikes(load):
    """Frames at which the foot takes up load."""
    up = load[:, 1]
    return [i for i in range(1, len(up)) if up[i] > 30 >= up[i - 1]]


def differences(checks, what, found, expected, limits, span):
    """RMS and largest difference of each joint's moment over whole cycles, against (RMS, largest) limits."""
    for k, joint in enumerate(JOINTS):
        gap = (found - expected)[span, k]
        rms, largest = float(np.sqrt(np.mean(gap**2))), float(np.abs(gap).max())
        print(f"{what}, {joint}: RMS {rms:.4f}, largest {largest:.4f} N m/kg")
        checks.that(f"{what}, {joint}: RMS below {limits[k][0]}, largest below {limits[k][1]}",
                    rms < limits[k][0] and largest < limits[k][1], (rms, largest))


def mean_cycle(values, strikes, points):
    frames = np.arange(len(values))
    cycles = [np.interp(np.linspace(a, b, points), frames, values) for a, b in zip(strikes, strikes[1:])]
    return np.mean(cycles, axis=0)


def main():
    checks = Checks()
    times, raw, load, published = trial()
    strikes = heel_strikes(load)
    span = slice(strikes[0], strikes[-1])
    markers, load = smooth(times, raw, load)
    moments = published[:, 6:9]
    checks.same("whole cycles", len(strikes) - 1, 2)

    # The package's angles: thigh against trunk, and so on.
    trunk, thigh, shank, foot = (direction(markers, a, b) for a, b in (
        (SHOULDER, HIP), (HIP, KNEE), (KNEE, ANKLE), (HEEL, TOE)))
    angles = np.c_[thigh - trunk, thigh - shank, shank - foot]
    gap = np.abs(angles - published[:, :3])[span].max()
    checks.that("angles as published", gap < 1e-3, gap)

    print(f"largest difference of angles {gap:.1e} rad; frames {span.stop - span.start}, "
          f"published peaks hip {moments[span, 0].min():.2f} to {moments[span, 0].max():.2f}, "
          f"knee {moments[span, 1].min():.2f} to {moments[span, 1].max():.2f}, "
          f"ankle {moments[span, 2].max():.2f} N m/kg")
    differences(checks, "1 planar as published, on the published", planar(times, markers, load, PUBLISHED_LEG, True),
                moments, ((0.004, 0.025), (0.004, 0.025), (0.001, 0.002)), span)
    ours, miss = handrail(times, markers, load, leg_masses(markers, PUBLISHED_LEG), "published_masses")
    print(f"joints miss their markers by at most {1e3 * miss:.1f} mm")
    differences(checks, "2 Handrail with the published masses, on the published", ours, moments,
                ((0.02, 0.05), (0.02, 0.05), (0.02, 0.05)), span)
    ours, _ = handrail(times, markers, load, name="own_body")
    proper = planar(times, markers, load, LEG)
    differences(checks, "3 Handrail's own body, on the method with its table", ours, proper, ((0.02, 0.05),) * 3, span)
    differences(checks, "4 Handrail's own body, on the published", ours, moments,
                ((0.08, 0.20), (0.04, 0.10), (0.02, 0.10)), span)
    rms = np.sqrt(np.mean((proper - moments)[span] ** 2, axis=0))
    print(f"(the missing masses alone: RMS hip {rms[0]:.4f}, knee {rms[1]:.4f}, ankle {rms[2]:.4f} N m/kg)")
    for k, joint in enumerate(JOINTS):
        inside = [float(np.mean(np.abs(ours - it)[span, k] <= band)) for it, band in ((proper, 0.05), (moments, 0.10))]
        print(f"{joint}: within 0.05 N m/kg of the method {inside[0]:.0%}, "
              f"within 0.10 of the published {inside[1]:.0%}")
    peak, expected = float(ours[span, 2].max()), float(moments[span, 2].max())
    checks.that("peak of the ankle's moment within 2 %", abs(peak / expected - 1) < 0.02, (peak, expected))

    for k, (joint, sign, band) in enumerate(zip(JOINTS, (-1, -1, 1), normal_walking())):
        share = [float(np.mean(np.abs(sign * mean_cycle(it[:, k], strikes, 51) - band[:, 0]) <= 2 * band[:, 1]))
                 for it in (ours, moments)]
        print(f"{joint}: inside mean +- 2 SD of normal.gcd: Handrail {share[0]:.0%}, published {share[1]:.0%}")
    checks.done()


if __name__ == "__main__":
    main()
