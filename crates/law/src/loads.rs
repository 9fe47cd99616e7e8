//! Ceilings on tissue loads, checked by a second way.
//!
//! The verdict divides moments of the recursive method by the arms of the anatomy room. Here the moments come
//! from free bodies ([`crate::freebody`]) of the finely solved repetition and the arms from a table of least
//! arms of its own. Published figures and what cannot be known are read plainly from the exercise.

use handrail_anatomy::tree::SegmentKind as K;
use handrail_anatomy::{Body, Coord, Dof, Drive, Joint, LoadUnit, SegmentId, Side, Tissue};
use handrail_motion::load::tissue_load;
use handrail_motion::{Bears, Load, Motion, Published, Repetition};
use handrail_protocol::Limit;
use nalgebra::Vector3;

use crate::freebody::FreeBodies;
use crate::measured::limb;

/// Load past a ceiling that still counts as on it, body weights: the verdict's own figure for "none".
pub const ROUNDING: f64 = 0.005;
/// Share of a ceiling by which free bodies may pass it at the very instants that the verdict saw: accelerations
/// are differences here. The bounds of a moment arm themselves lie 30 to 60 % apart.
pub const DIFFERENCES: f64 = 0.01;
/// Share by which a peak between two instants of the verdict may be higher than at both: over the library the
/// largest is below 1 %.
pub const BETWEEN: f64 = 0.02;
/// Moment by which the two ways may differ, N m and share of the repetition's largest moment at that joint.
pub const MOMENT_GAP: (f64, f64) = (0.15, 0.01);
/// Force and moment that may be left over of the whole body beside what the repetition states, body weights
/// (times statures).
pub const LEFT_OVER: f64 = 0.004;
/// Lever of the masses beyond a joint times their share of the body's mass, as a share of stature: by it doubtful
/// accelerations make a moment (the upper body about the lumbar joint: 0.6 of the mass at 0.17 of the stature).
const RADIUS: f64 = 0.1;
/// The supports may leave this moment over before forces count as not known, body weights times metres.
const BALANCED: f64 = 0.03;
/// An arm that is raised less than this may hang, degrees.
const HANGS: f64 = 45.0;

/// Least arms by joint angle: degrees and millimetres.
type Arms = &'static [(f64, f64)];

// Sources: the reference tables of the project. Where they give several models or a mean with its spread, the
// least; rows are joined by straight lines and stay beyond their ends.

/// Any angle: ultrasound 35.7-38.1 mm under maximal contraction (Manal et al. 2013), moment over tendon force
/// in running 37 mm (PMC11096059): 37-60 mm is the range to be reported.
const ACHILLES: Arms = &[(0.0, 37.0)];
/// MRI mean less 2 SD up to 60 degrees (PMC7547162); beyond, the least quadriceps arm of four leg models.
const PATELLAR: Arms =
    &[(0.0, 34.2), (20.0, 33.9), (40.0, 32.0), (60.0, 30.4), (75.0, 25.4), (90.0, 18.9), (105.0, 17.2)];
/// Least of vasti and rectus femoris in four leg models; at 50 degrees cine MRI, men (PMC4662057).
const QUADRICEPS: Arms = &[
    (0.0, 36.5),
    (10.0, 38.3),
    (20.0, 36.2),
    (30.0, 35.7),
    (45.0, 33.4),
    (50.0, 31.5),
    (60.0, 32.7),
    (75.0, 25.4),
    (90.0, 18.9),
    (105.0, 17.2),
];
/// Biceps femoris at the knee, leg model MyoLegs.
const HAMSTRINGS: Arms = &[
    (0.0, 37.1),
    (30.0, 42.5),
    (45.0, 44.0),
    (60.0, 43.6),
    (75.0, 40.4),
    (90.0, 34.1),
    (105.0, 24.9),
    (120.0, 14.2),
];
/// Long head of biceps at the elbow, arm model MyoArms.
const BICEPS: Arms = &[(10.0, 4.7), (30.0, 15.1), (60.0, 29.0), (90.0, 38.7), (120.0, 40.9)];
/// Mean of the three parts of gluteus maximus, leg model MyoLegs; from -20 to 0 degrees not in the table.
const HIP_EXTENSORS: Arms = &[(0.0, 62.2), (30.0, 54.7), (60.0, 40.0), (90.0, 23.6)];
/// Psoas, leg model MyoLegs.
const HIP_FLEXORS: Arms = &[(0.0, 19.0), (30.0, 27.6), (60.0, 33.4), (90.0, 33.0)];
/// Back part of gluteus medius, least of four leg models, by abduction with the hip near straight.
const HIP_ABDUCTORS: Arms = &[(-15.0, 25.5), (0.0, 32.1), (15.0, 37.9), (30.0, 42.6)];
/// The usual fixed arm of simple lumbar models (Gungor 2013, Auburn University, abstract).
const BACK: Arms = &[(0.0, 50.0)];
/// Rectus abdominis at L4-L5 (Jorgensen et al. 2005, Clin Biomech 20:242-246, abstract).
const BELLY: Arms = &[(0.0, 85.0)];

fn arm(table: Arms, deg: f64) -> f64 {
    let after = table.iter().position(|it| it.0 > deg).unwrap_or(table.len());
    let mm = match (after.checked_sub(1).map(|it| table[it]), table.get(after)) {
        (Some((a, low)), Some(&(b, high))) => low + (high - low) * (deg - a) / (b - a),
        (Some((_, only)), None) | (None, Some(&(_, only))) => only,
        (None, None) => f64::NAN,
    };
    mm / 1000.0
}

/// Contact force of the knee cap over quadriceps force: two equal tendons (van Eijden et al. 1986) drawn into
/// the quotient of Brechter & Powers 2002; beyond 90 degrees it stays.
fn knee_cap_ratio(deg: f64) -> f64 {
    let x = deg.clamp(0.0, 90.0);
    (0.462 + 0.001_47 * x - 0.000_038_4 * x * x)
        / (1.0 - 0.0162 * x + 0.000_155 * x * x - 0.000_000_698 * x * x * x)
}

/// One instant of a cut repetition, seen from one side.
pub struct Instant<'a> {
    bodies: &'a FreeBodies,
    sample: usize,
    side: Side,
}

impl<'a> Instant<'a> {
    /// The instant of a sample.
    pub fn new(bodies: &'a FreeBodies, sample: usize, side: Side) -> Instant<'a> {
        Instant { bodies, sample, side }
    }

    fn deg(&self, dof: Dof) -> f64 {
        limb(self.bodies.kinematics(self.sample), dof, self.side).to_degrees()
    }

    fn of(&self, kind: K) -> SegmentId {
        SegmentId::of(kind, self.side)
    }

    /// A world vector in a segment's frame.
    fn seen_from(&self, kind: K, world: Vector3<f64>) -> Vector3<f64> {
        self.bodies.kinematics(self.sample).rotation[self.of(kind).index()].tr_mul(&world)
    }

    /// Net moments of the far side's cut, N m: positive pushes the angle up. `None` for joints that no tissue
    /// under a ceiling is reckoned from.
    pub fn moment(&self, dof: Dof) -> Option<f64> {
        let cut = |kind| self.bodies.cut(self.of(kind), self.sample).moment;
        Some(match dof {
            // Flexion turns the shank backwards about the thigh's own Z.
            Dof::KneeFlexion => -self.seen_from(K::Thigh, cut(K::Shank)).z,
            Dof::AnkleDorsiflexion => self.seen_from(K::Shank, cut(K::Hindfoot)).z,
            Dof::HipFlexion => self.seen_from(K::Pelvis, cut(K::Thigh)).z,
            // About the forward axis that flexion has already turned with the thigh.
            Dof::HipAbduction => {
                let (sine, cosine) = libm::sincos(self.deg(Dof::HipFlexion).to_radians());
                let moment = self.seen_from(K::Pelvis, cut(K::Thigh));
                -(moment.x * cosine + moment.y * sine) * self.side.outward()
            }
            Dof::ElbowFlexion => self.seen_from(K::UpperArm, cut(K::Forearm)).z,
            _ => return None,
        })
    }

    /// Force and moment of the lumbar joint in the pelvis frame.
    pub fn lumbar(&self) -> (Vector3<f64>, Vector3<f64>) {
        let cut = self.bodies.cut(SegmentId::axial(K::Abdomen), self.sample);
        (self.seen_from(K::Pelvis, cut.force), self.seen_from(K::Pelvis, cut.moment))
    }

    /// Upper bound of the force on a tissue, N: moment over least arm. What the reference has no arm for is
    /// left out, which only makes this check milder.
    fn force(&self, tissue: Tissue) -> f64 {
        let pull =
            |moment: Option<f64>, table: Arms, deg: f64| moment.unwrap_or(0.0).max(0.0) / arm(table, deg);
        let knee = self.deg(Dof::KneeFlexion);
        let bends = self.moment(Dof::KneeFlexion);
        let extends = bends.map(|it| -it);
        match tissue {
            Tissue::AchillesTendon => pull(self.moment(Dof::AnkleDorsiflexion).map(|it| -it), ACHILLES, 0.0),
            Tissue::PatellarTendon => pull(extends, PATELLAR, knee),
            Tissue::QuadricepsTendon => pull(extends, QUADRICEPS, knee),
            Tissue::PatellofemoralJoint => pull(extends, QUADRICEPS, knee) * knee_cap_ratio(knee),
            Tissue::Hamstrings => pull(bends, HAMSTRINGS, knee),
            Tissue::BicepsLongHead => {
                pull(self.moment(Dof::ElbowFlexion), BICEPS, self.deg(Dof::ElbowFlexion))
            }
            Tissue::HipJoint => self.hip(),
            Tissue::LumbarSpine => {
                let (force, moment) = self.lumbar();
                let extends = Some(moment.z);
                force.y.max(0.0) + pull(extends, BACK, 0.0) + pull(extends.map(|it| -it), BELLY, 0.0)
            }
            _ => 0.0,
        }
    }

    fn hip(&self) -> f64 {
        let flexion = self.deg(Dof::HipFlexion);
        let sagittal = self.moment(Dof::HipFlexion).unwrap_or(0.0);
        let frontal = self.moment(Dof::HipAbduction).unwrap_or(0.0);
        let table = if sagittal > 0.0 { HIP_FLEXORS } else { HIP_EXTENSORS };
        let mut out = self.bodies.cut(self.of(K::Thigh), self.sample).force.norm();
        // Behind neutral the extensors' arm falls in a way the table does not say.
        if flexion >= 0.0 || sagittal > 0.0 {
            out += sagittal.abs() / arm(table, flexion.max(0.0));
        }
        if frontal > 0.0 && (-20.0..=30.0).contains(&flexion) {
            out += frontal / arm(HIP_ABDUCTORS, self.deg(Dof::HipAbduction));
        }
        out
    }
}

/// Why the load of an exercise on a tissue is not known, read from the exercise alone; `None` when it is.
fn unknown(motion: &Motion, cut: &Cut<'_>, tissue: Tissue, side: Side) -> Option<&'static str> {
    let repetition = cut.repetition;
    match published(motion, repetition, tissue, side) {
        Some(Published::Range(_) | Published::Class(_)) => None,
        _ if tissue.unit() == LoadUnit::BodyWeights => obstacle(motion, cut, tissue, side),
        _ if rests(motion, repetition, tissue, side) => None,
        Some(Published::Order { .. }) => Some("only an order is published"),
        None => Some("nothing is published"),
    }
}

/// Why net joint moments do not say the force on a tissue; `None` when they do.
fn obstacle(motion: &Motion, cut: &Cut<'_>, tissue: Tissue, side: Side) -> Option<&'static str> {
    let Cut { repetition, bodies } = cut;
    let carries = carries_body(repetition, tissue, side);
    // Bending the elbow is what pulls on the biceps; at the shoulder it does little beside the others.
    let joints = if tissue == Tissue::BicepsLongHead { &[Joint::Elbow] } else { tissue.joints() };
    let drives: Vec<Drive> = joints.iter().filter_map(|&it| repetition.drive(side, it)).collect();
    if motion.impact {
        Some("a foot lands")
    } else if drives.contains(&Drive::Passive) {
        Some("another hand moves the joint")
    } else if drives.contains(&Drive::Isometric) && !carries {
        Some("the muscle is tensed against nothing of a stated size")
    } else if !bodies.resistance_is_known {
        Some("the resistance has no size or direction")
    } else if carries && (0..repetition.samples.len()).any(|it| bodies.left_over(it).1 > BALANCED + LEFT_OVER)
    {
        Some("the supports do not balance the body")
    } else {
        None
    }
}

fn published<'a>(
    motion: &'a Motion,
    repetition: &Repetition,
    tissue: Tissue,
    side: Side,
) -> Option<&'a Published> {
    let mine = |limb: &handrail_anatomy::Limb| limb.side(repetition.side) == side;
    motion
        .measured
        .iter()
        .find(|it| it.tissue == tissue && it.limb.list().iter().any(mine))
        .map(|it| &it.load)
}

/// Body weight goes through the limb of the tissue; for the trunk, through any limb.
fn carries_body(repetition: &Repetition, tissue: Tissue, side: Side) -> bool {
    let joint = tissue.joints()[0];
    repetition.contacts.iter().filter(|it| it.bears == Bears::Body).any(|it| {
        let far = crate::run::on_far_limb(it.landmark.id(), true)
            || crate::run::on_far_limb(it.landmark.id(), false);
        let mine = it.side == side && it.landmark.is_on_leg() == joint.is_leg();
        far && (joint.is_axial() || mine) && it.force.iter().any(|force| force.norm() > 0.0)
    })
}

/// The limb lies or hangs, nothing drives it, carries it or pulls on it.
fn rests(motion: &Motion, repetition: &Repetition, tissue: Tissue, side: Side) -> bool {
    let leg = tissue.joints()[0].is_leg();
    let still = tissue.joints().iter().all(|&it| repetition.drive(side, it).is_none());
    let pulled =
        motion.resistance.as_ref().and_then(|it| it.at).is_some_and(|(limb, landmark)| {
            limb.side(repetition.side) == side && landmark.is_on_leg() == leg
        });
    let lies = repetition
        .contacts
        .iter()
        .any(|it| it.bears == Bears::Limb && it.side == side && it.landmark.is_on_leg() == leg);
    let raised = |it: &handrail_motion::Sample| {
        let flexion = it.pose.deg(side, Dof::ShoulderFlexion);
        let abduction = it.pose.deg(side, Dof::ShoulderAbduction);
        libm::hypot(flexion, abduction)
    };
    let hangs = !leg && repetition.samples.iter().all(|it| raised(it) < HANGS);
    still && !pulled && (lies || hangs) && !carries_body(repetition, tissue, side)
}

/// What was compared.
#[derive(Clone, Debug, Default)]
pub struct Compared {
    /// Moments compared with the repetition's.
    pub moments: u64,
    /// Largest difference, as a share of what is tolerated.
    pub moment_gap: f64,
    /// Where that was.
    pub moment_gap_at: String,
    /// Largest force or moment left over of the whole body beside what is stated, as a share of what is
    /// tolerated.
    pub left_over: f64,
    /// Tissue loads compared with the repetition's upper bound.
    pub loads: u64,
    /// Largest quotient of the load found here at the verdict's own instants and that bound, over bounds of 0.1
    /// body weights and more.
    pub seen_ratio: f64,
    /// The same at four times as many instants.
    pub fine_ratio: f64,
    /// Ceilings that an allowed exercise was held against.
    pub ceilings: u64,
    /// Of these, those with a load above zero found by free bodies.
    pub computed_ceilings: u64,
    /// Of these, those with a published figure.
    pub published_ceilings: u64,
}

/// Holds the joints of a finely solved repetition against free bodies, and the whole body against Newton's laws
/// (not where a foot lands: the forces of landing are not in the model). Findings in words.
pub fn check_moments(
    motion: &Motion,
    body: &Body,
    repetition: &Repetition,
    bodies: &FreeBodies,
    compared: &mut Compared,
) -> Vec<String> {
    let loose: Vec<f64> = (0..repetition.samples.len())
        .map(|it| MOMENT_GAP.0 + RADIUS * body.stature() * body.mass() * bodies.doubt(it))
        .collect();
    const DOFS: [Dof; 5] =
        [Dof::AnkleDorsiflexion, Dof::KneeFlexion, Dof::HipFlexion, Dof::HipAbduction, Dof::ElbowFlexion];
    let mut out = crate::freebody::pulling_contacts(repetition);
    for side in Side::BOTH {
        for dof in DOFS {
            let theirs: Vec<f64> =
                repetition.joints.iter().map(|it| it.by_coordinate[Coord::of(side, dof).0]).collect();
            let ours = |it| Instant::new(bodies, it, side).moment(dof).unwrap_or(f64::NAN);
            let mine: Vec<f64> = (0..theirs.len()).map(ours).collect();
            compare(&format!("{} {}", side.word(), dof.id()), &mine, &theirs, &loose, compared, &mut out);
        }
    }
    let lumbar: Vec<f64> =
        (0..repetition.joints.len()).map(|it| Instant::new(bodies, it, Side::Right).lumbar().1.z).collect();
    let theirs: Vec<f64> = repetition.joints.iter().map(|it| it.lumbar_moment.z).collect();
    compare("lumbar joint", &lumbar, &theirs, &loose, compared, &mut out);
    for (sample, joints) in repetition.joints.iter().enumerate().filter(|_| !motion.impact) {
        let (force, moment) = bodies.left_over(sample);
        let moment = (moment - joints.unbalanced).abs();
        let share = force.max(moment / body.stature()) / (LEFT_OVER + bodies.doubt(sample) / 9.81);
        compared.left_over = compared.left_over.max(share);
        if share.is_nan() || share >= 1.0 {
            out.push(format!("{force:.4} BW and {moment:.4} BW m are left over at sample {sample}"));
            break;
        }
    }
    out
}

/// Compares one joint's moments; `loose` is what may differ at each sample, N m, beside a share.
fn compare(
    what: &str,
    mine: &[f64],
    theirs: &[f64],
    loose: &[f64],
    compared: &mut Compared,
    out: &mut Vec<String>,
) {
    let share = MOMENT_GAP.1 * theirs.iter().fold(0.0f64, |a, b| a.max(b.abs()));
    compared.moments += mine.len() as u64;
    for (sample, ((a, b), loose)) in mine.iter().zip(theirs).zip(loose).enumerate() {
        let share = (a - b).abs() / (loose + share);
        if share > compared.moment_gap {
            compared.moment_gap = share;
            compared.moment_gap_at = format!("{what}: {b:.2} and {a:.2} N m");
        }
        if share.is_nan() || share >= 1.0 {
            out.push(format!("{what}: {b:.3} N m at sample {sample}, {a:.3} by free bodies"));
            return;
        }
    }
}

/// A repetition with its free bodies.
pub struct Cut<'a> {
    /// The repetition.
    pub repetition: &'a Repetition,
    /// Its free bodies.
    pub bodies: FreeBodies,
}

/// Holds the loads of an allowed repetition against the ceilings, and against the upper bounds that the
/// verdict stated: `seen` is the repetition that the verdict saw, `fine` the same solved finely. Findings in
/// words.
pub fn check_ceilings(
    motion: &Motion,
    body: &Body,
    seen: &Cut<'_>,
    fine: &Cut<'_>,
    limits: &[(&str, &Limit)],
    side: Side,
    compared: &mut Compared,
) -> Vec<String> {
    let mut out = Vec::new();
    for &tissue in Tissue::ALL {
        let [at_seen, at_fine] = [seen, fine].map(|it| peak(motion, body, it, tissue, side));
        let over = |bound: f64| {
            let past = |peak: &f64, share: f64| *peak > bound * (1.0 + share) + ROUNDING;
            at_seen.filter(|it| past(it, DIFFERENCES)).or(at_fine.filter(|it| past(it, BETWEEN)))
        };
        if let Load::Known(load) = tissue_load(motion, body, seen.repetition, tissue, side)
            && let (Some(at_seen), Some(at_fine)) = (at_seen, at_fine)
        {
            let bound = load.peak.high;
            compared.loads += 1;
            if bound > 0.1 {
                compared.seen_ratio = compared.seen_ratio.max(at_seen / bound);
                compared.fine_ratio = compared.fine_ratio.max(at_fine / bound);
            }
            if let Some(peak) = over(bound) {
                out.push(format!("{}: {peak:.3} by free bodies, over the stated {bound:.3}", tissue.id()));
            }
        }
        for &(id, limit) in limits {
            let max = match limit {
                Limit::TissueLoad { tissue: of, max, .. } if *of == tissue => Some(*max),
                Limit::Exposure { tissue: of, .. } if *of == tissue => None,
                _ => continue,
            };
            compared.ceilings += 1;
            if let Some(why) = unknown(motion, seen, tissue, side) {
                out.push(format!("allowed under {id} on {}, but {why}", tissue.id()));
            }
            let Some(max) = max else { continue };
            compared.computed_ceilings += u64::from(at_seen.is_some_and(|it| it > 0.0));
            if let Some(peak) = over(max) {
                out.push(format!("{}: {peak:.3} {}, {id} allows {max:.3}", tissue.id(), tissue.unit().id()));
            }
            let bound = match published(motion, seen.repetition, tissue, side) {
                Some(Published::Range(it)) => it.high,
                Some(Published::Class(it)) => it.percent_mvic().high,
                _ => 0.0,
            };
            compared.published_ceilings += u64::from(bound > 0.0);
            if bound > max + ROUNDING {
                out.push(format!("{}: {bound} is published, {id} allows {max:.3}", tissue.id()));
            }
        }
    }
    out
}

/// Largest load of the repetition by free bodies, body weights; `None` where it cannot be reckoned so.
fn peak(motion: &Motion, body: &Body, cut: &Cut<'_>, tissue: Tissue, side: Side) -> Option<f64> {
    let reckoned = tissue.unit() == LoadUnit::BodyWeights
        && obstacle(motion, cut, tissue, side).is_none()
        && !rests(motion, cut.repetition, tissue, side);
    reckoned.then(|| {
        let force = |it| Instant::new(&cut.bodies, it, side).force(tissue);
        (0..cut.repetition.samples.len()).map(force).fold(0.0, f64::max) / (body.mass() * 9.81)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use handrail_anatomy::{SegmentTable, Sex};
    use handrail_library::Library;
    use handrail_motion::{Home, Parameters, solve};

    fn body() -> Body {
        crate::dynamics::person(1.72, 74.0, Sex::Female, SegmentTable::Winter)
    }

    fn solved(library: &Library, exercise: &str) -> Repetition {
        let (motion, body) = (&library.exercises[exercise], body());
        let home = Home::usual(body.stature());
        solve(motion, &motion.core, &body, &home, Side::Left, &Parameters::new()).unwrap()
    }

    fn moments(library: &Library, exercise: &str, spoil: impl Fn(&mut Repetition)) -> Vec<String> {
        let mut repetition = solved(library, exercise);
        spoil(&mut repetition);
        let bodies = FreeBodies::new(&library.exercises[exercise], &body(), &repetition);
        check_moments(&library.exercises[exercise], &body(), &repetition, &bodies, &mut Compared::default())
    }

    fn ceilings(library: &Library, exercise: &str, tissue: Tissue, max: f64) -> Vec<String> {
        let (motion, repetition) = (&library.exercises[exercise], solved(library, exercise));
        let cut = || Cut { repetition: &repetition, bodies: FreeBodies::new(motion, &body(), &repetition) };
        let limit = Limit::TissueLoad { tissue, max, class: None };
        let limits = [("drawn", &limit)];
        check_ceilings(motion, &body(), &cut(), &cut(), &limits, Side::Left, &mut Compared::default())
    }

    /// The check must be able to fail: small faults in moments, contact forces and the missing moment.
    #[test]
    fn a_fault_in_moments_or_contacts_is_found() {
        let library = Library::built_in().unwrap_or_else(|problems| panic!("{problems}"));
        let ankle = Coord::of(Side::Left, Dof::AnkleDorsiflexion).0;
        for exercise in ["single-leg-heel-raise", "long-arc-quad", "bridge"] {
            assert_eq!(moments(&library, exercise, |_| ()), [""; 0], "{exercise}");
        }
        let heel_raise = |spoil: &dyn Fn(&mut Repetition)| moments(&library, "single-leg-heel-raise", spoil);
        assert!(!heel_raise(&|it| it.joints[20].by_coordinate[ankle] *= 1.03).is_empty());
        assert!(!heel_raise(&|it| it.joints[20].unbalanced += 0.02).is_empty());
        let heaviest = |it: &mut Repetition, change: fn(&mut Vector3<f64>)| {
            let forces = it.contacts.iter_mut().map(|it| &mut it.force[20]);
            forces.max_by(|a, b| a.norm().total_cmp(&b.norm())).into_iter().for_each(change);
        };
        assert!(!heel_raise(&|it| heaviest(it, |force| *force *= 1.03)).is_empty());
        assert!(!heel_raise(&|it| heaviest(it, |force| force.y = -0.01)).is_empty());
    }

    /// Single-leg heel raise at the least arm: 3.2-3.6 body weights (reference, lever over 0.037 m), with the
    /// inertia of the movement a little more.
    #[test]
    fn a_ceiling_below_the_load_is_found_and_one_above_it_is_kept() {
        let library = Library::built_in().unwrap_or_else(|problems| panic!("{problems}"));
        let found = |max| ceilings(&library, "single-leg-heel-raise", Tissue::AchillesTendon, max);
        assert!(!found(3.0).is_empty());
        assert_eq!(found(4.2), [""; 0]);
        // Nothing is published and nothing can be computed: the exercise was not to be allowed.
        let unknown = ceilings(&library, "single-leg-heel-raise", Tissue::AnteriorCruciate, 100.0);
        assert!(unknown.iter().any(|it| it.contains("nothing is published")), "{unknown:?}");
    }

    #[test]
    fn least_arms_lie_between_their_rows_and_stay_beyond_them() {
        assert_eq!(arm(ACHILLES, -30.0), 0.037);
        assert!((arm(PATELLAR, 10.0) - 0.03405).abs() < 1e-9);
        assert_eq!((arm(PATELLAR, -5.0), arm(PATELLAR, 130.0)), (0.0342, 0.0172));
    }
}
