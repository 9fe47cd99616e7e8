//! Moment arms as intervals over joint angle: how far from the joint's axis a tendon or a muscle group pulls.
//!
//! Force is moment over arm, so the choice of the arm moves a load by up to a factor of 1.7 (Achilles tendon);
//! an arm is therefore never one number. Where sources agree on a change with the angle the interval follows
//! it; where they disagree it does not. The upper bound of a load comes from the lower bound of the arm.
//!
//! MyoLegs, MyoArms and MyoTorso are the leg, arm and torso models that the package `myo-sim` 0.2.4 ships;
//! their arms were computed as minus the change of length over the change of angle. A group's arm is taken
//! from its main muscles as wholes, the parts of one muscle weighted by their greatest forces. All bounds are
//! rounded outward to whole millimetres.

use crate::joints::Joint;
use crate::tissue::{Interval, Known, Tissue};

/// Whose moment arm.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ArmOf {
    /// A tissue whose own pull gives the moment.
    Tissue(Tissue),
    /// Gluteus maximus and hamstrings at the hip.
    HipExtensors,
    /// Iliacus, psoas and rectus femoris at the hip.
    HipFlexors,
    /// Gluteus medius and minimus, hip near straight.
    HipAbductors,
    /// The same with the hip bent, where they pull closer to the axis of abduction.
    HipAbductorsBent,
    /// Long, short and great adductor.
    HipAdductors,
    /// Rotators of the hip, either way, hip near straight.
    HipRotators,
    /// Erector spinae and multifidus at L4-L5.
    LumbarExtensors,
    /// Rectus abdominis and the front of the external oblique at L4-L5.
    LumbarFlexors,
}

impl ArmOf {
    /// Name used in JSON.
    pub fn id(self) -> &'static str {
        match self {
            ArmOf::Tissue(tissue) => tissue.id(),
            ArmOf::HipExtensors => "hip_extensors",
            ArmOf::HipFlexors => "hip_flexors",
            ArmOf::HipAbductors => "hip_abductors",
            ArmOf::HipAbductorsBent => "hip_abductors_bent",
            ArmOf::HipAdductors => "hip_adductors",
            ArmOf::HipRotators => "hip_rotators",
            ArmOf::LumbarExtensors => "lumbar_extensors",
            ArmOf::LumbarFlexors => "lumbar_flexors",
        }
    }
}

impl From<Tissue> for ArmOf {
    fn from(tissue: Tissue) -> ArmOf {
        ArmOf::Tissue(tissue)
    }
}

/// Bounds at one angle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ArmRow {
    /// Angle of the named clinical motion, degrees.
    pub deg: f64,
    /// Least arm, m.
    pub low: f64,
    /// Greatest arm, m.
    pub high: f64,
}

/// Range of another angle of the same joint in which the arms hold, degrees.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Within {
    /// Clinical motion.
    pub motion: &'static str,
    /// Least angle.
    pub low: f64,
    /// Greatest angle.
    pub high: f64,
}

/// A moment arm over the angle of a joint.
#[derive(Debug)]
pub struct MomentArm {
    /// Whose.
    pub of: ArmOf,
    /// Joint that it turns.
    pub joint: Joint,
    /// Clinical motion whose angle is [`ArmRow::deg`], e.g. "flexion" of the knee.
    pub motion: &'static str,
    /// Bounds, by rising angle.
    pub rows: &'static [ArmRow],
    /// Other angle on which the arms depend; outside its range they are not known.
    pub within: Option<Within>,
    /// Where the bounds come from, and what was decided between sources.
    pub source: &'static str,
    /// How well that is known; of several sources the weakest.
    pub known: Known,
}

impl MomentArm {
    /// Arm in metres at an angle in degrees: straight lines between the rows, constant beyond the ends.
    pub fn at(&self, deg: f64) -> Interval {
        between(self.rows, deg)
    }

    /// False where another angle of the joint (degrees, of the motion in `within`) leaves the range in which
    /// the arms are known.
    pub fn holds_at(&self, other_deg: f64) -> bool {
        self.within.is_none_or(|it| (it.low..=it.high).contains(&other_deg))
    }
}

/// The arm of a tissue or muscle group at a joint; `None` where none is known.
pub fn moment_arm(of: impl Into<ArmOf>, joint: Joint) -> Option<&'static MomentArm> {
    let of = of.into();
    MOMENT_ARMS.iter().find(|it| it.of == of && it.joint == joint)
}

/// Patellofemoral contact force over quadriceps force.
///
/// Middle: a quotient of polynomials of knee flexion; bounds: the pull of two equal tendons whose angle is the
/// one that the middle implies, 10 degrees less or more. Beyond 90 degrees the quotient is no longer used (its
/// numerator and denominator both near zero) and the thigh bone shares the contact; the bounds stay.
pub fn patellofemoral_ratio(knee_flexion_deg: f64) -> Interval {
    between(PATELLOFEMORAL, knee_flexion_deg)
}

/// Source of [`patellofemoral_ratio`].
pub const PATELLOFEMORAL_SOURCE: &str = "van Eijden et al. 1986, J Biomech 19:219-229, in the form used by \
    Brechter & Powers 2002, Med Sci Sports Exerc 34:1582-1593 (coefficients recalled); bounds by geometry, \
    10 degrees of tendon angle (own choice)";

/// How well [`patellofemoral_ratio`] is known.
pub const PATELLOFEMORAL_KNOWN: Known = Known::Memory;

fn between(rows: &[ArmRow], deg: f64) -> Interval {
    let above = rows.partition_point(|it| it.deg <= deg);
    let (from, to) = (&rows[above.saturating_sub(1)], &rows[above.min(rows.len() - 1)]);
    let way = if to.deg > from.deg { ((deg - from.deg) / (to.deg - from.deg)).clamp(0.0, 1.0) } else { 0.0 };
    Interval { low: from.low + way * (to.low - from.low), high: from.high + way * (to.high - from.high) }
}

/// Degrees and millimetres as the sources print them.
const fn mm(deg: f64, low: f64, high: f64) -> ArmRow {
    ArmRow { deg, low: low / 1000.0, high: high / 1000.0 }
}

const fn ratio(deg: f64, low: f64, high: f64) -> ArmRow {
    ArmRow { deg, low, high }
}

const PATELLOFEMORAL: &[ArmRow] = &[
    ratio(0.0, 0.29, 0.63),
    ratio(10.0, 0.38, 0.72),
    ratio(20.0, 0.48, 0.82),
    ratio(30.0, 0.57, 0.91),
    ratio(45.0, 0.70, 1.02),
    ratio(60.0, 0.78, 1.10),
    ratio(75.0, 0.82, 1.14),
    ratio(90.0, 0.82, 1.14),
];

/// Every known arm.
pub static MOMENT_ARMS: &[MomentArm] = &[
    MomentArm {
        of: ArmOf::Tissue(Tissue::AchillesTendon),
        joint: Joint::Ankle,
        motion: "dorsiflexion",
        rows: &[mm(0.0, 37.0, 60.0)],
        within: None,
        source: "some 25 published findings of 34.6-64 mm, as surveyed by Manal et al. 2013, Physiol Rep \
            1(6):e00139, Maganaris et al. 2000, Fath et al. 2013, and four leg models; 37-60 mm at every \
            angle, because the sources disagree on the trend: ultrasound and MRI let it grow towards \
            plantarflexion, the models peak near 20 degrees of it and then fall",
        known: Known::Secondary,
    },
    // Up to 60 degrees: MRI mean and SD (42.55, 4.20; 39.91, 2.98; 37.73, 2.87; 36.18, 2.90), joined with the
    // mean of 24 cadavers (46). Beyond: no measurement of the tendon's own arm was found, so the lower bound is
    // that of the quadriceps in the leg models, which is smaller; the upper bound stays.
    MomentArm {
        of: ArmOf::Tissue(Tissue::PatellarTendon),
        joint: Joint::Knee,
        motion: "flexion",
        rows: &[
            mm(0.0, 34.0, 51.0),
            mm(20.0, 33.0, 46.0),
            mm(40.0, 31.0, 46.0),
            mm(60.0, 30.0, 46.0),
            mm(75.0, 25.0, 46.0),
            mm(90.0, 18.0, 46.0),
            mm(105.0, 17.0, 46.0),
        ],
        within: None,
        source: "MRI mean -+ 2 SD at 0-60 degrees (PMC7547162) joined with the cadaver mean of Dandridge \
            et al. 2022, J Orthop Res 40:799-807; beyond 60 degrees widened down to the quadriceps arms \
            of four leg models",
        known: Known::Read,
    },
    // Effective arm: knee moment over quadriceps force. Four leg models, vasti and rectus femoris; from 30 to 60
    // degrees the lower bound follows cine MRI (45.5 mm at 10 to 32.9 at 50 degrees in women, 47.1 to 31.5 in
    // men). Beyond 105 degrees three of the models rise because of their patella: not taken over.
    MomentArm {
        of: ArmOf::Tissue(Tissue::QuadricepsTendon),
        joint: Joint::Knee,
        motion: "flexion",
        rows: &[
            mm(0.0, 36.0, 50.0),
            mm(10.0, 38.0, 49.0),
            mm(20.0, 36.0, 51.0),
            mm(30.0, 35.0, 50.0),
            mm(45.0, 33.0, 46.0),
            mm(50.0, 31.0, 44.0),
            mm(60.0, 31.0, 41.0),
            mm(75.0, 25.0, 34.0),
            mm(90.0, 18.0, 30.0),
            mm(105.0, 17.0, 26.0),
        ],
        within: None,
        source: "effective quadriceps arm by cine MRI at 10-50 degrees (PMC4662057) and four leg models \
            (MyoLegs, Rajagopal 2016, 2023, gait2392), no patella artefact beyond 105 degrees",
        known: Known::Read,
    },
    // The leg model's muscles one by one. The lower bound is taken down to 32 mm up to 90 degrees: a textbook
    // listing after Spoor & van Leeuwen 1992 has 20 (biceps), 20-40 and 40-55 mm (semimembranosus,
    // semitendinosus), middle of the three 32.
    MomentArm {
        of: ArmOf::Tissue(Tissue::Hamstrings),
        joint: Joint::Knee,
        motion: "flexion",
        rows: &[
            mm(0.0, 32.0, 47.0),
            mm(30.0, 32.0, 59.0),
            mm(45.0, 32.0, 63.0),
            mm(60.0, 32.0, 63.0),
            mm(75.0, 32.0, 59.0),
            mm(90.0, 32.0, 50.0),
            mm(105.0, 24.0, 37.0),
            mm(120.0, 14.0, 20.0),
        ],
        within: None,
        source: "biceps femoris, semimembranosus and semitendinosus of the leg model MyoLegs; lower bound \
            widened to a textbook listing after Spoor & van Leeuwen 1992, J Biomech 25:201-206",
        known: Known::Secondary,
    },
    MomentArm {
        of: ArmOf::Tissue(Tissue::Hamstrings),
        joint: Joint::Hip,
        motion: "flexion",
        rows: &[
            mm(-20.0, 26.0, 31.0),
            mm(0.0, 43.0, 49.0),
            mm(15.0, 51.0, 60.0),
            mm(30.0, 54.0, 66.0),
            mm(45.0, 54.0, 67.0),
            mm(60.0, 51.0, 64.0),
            mm(75.0, 44.0, 57.0),
            mm(90.0, 35.0, 47.0),
            mm(105.0, 24.0, 34.0),
        ],
        within: None,
        source: "biceps femoris, semimembranosus and semitendinosus of the leg model MyoLegs: one model \
            only, so the interval is the spread of muscles, not of people",
        known: Known::Read,
    },
    MomentArm {
        of: ArmOf::Tissue(Tissue::BicepsLongHead),
        joint: Joint::Elbow,
        motion: "flexion",
        rows: &[
            mm(10.0, 4.0, 16.0),
            mm(30.0, 15.0, 27.0),
            mm(60.0, 28.0, 41.0),
            mm(90.0, 38.0, 49.0),
            mm(120.0, 40.0, 46.0),
        ],
        within: None,
        source: "arm models arm26 and MyoArms",
        known: Known::Read,
    },
    // Lower bound: the smaller of gluteus maximus as a whole and the smallest hamstring; upper bound: the largest
    // part. Beyond 90 degrees the model's gluteus maximus comes near the axis (13 mm at 105 degrees) while
    // hamstrings and great adductor keep 24-36 mm; the bound stays at 21 mm, the arm of the whole group there.
    MomentArm {
        of: ArmOf::HipExtensors,
        joint: Joint::Hip,
        motion: "flexion",
        rows: &[
            mm(-20.0, 26.0, 67.0),
            mm(0.0, 43.0, 75.0),
            mm(15.0, 51.0, 77.0),
            mm(30.0, 52.0, 74.0),
            mm(45.0, 45.0, 68.0),
            mm(60.0, 37.0, 64.0),
            mm(75.0, 29.0, 57.0),
            mm(90.0, 21.0, 47.0),
        ],
        within: None,
        source: "gluteus maximus as a whole and hamstrings of the leg model MyoLegs: one model only",
        known: Known::Read,
    },
    MomentArm {
        of: ArmOf::HipFlexors,
        joint: Joint::Hip,
        motion: "flexion",
        rows: &[
            mm(-20.0, 12.0, 35.0),
            mm(0.0, 18.0, 35.0),
            mm(15.0, 23.0, 43.0),
            mm(30.0, 27.0, 49.0),
            mm(45.0, 30.0, 51.0),
            mm(60.0, 33.0, 51.0),
            mm(75.0, 34.0, 47.0),
            mm(90.0, 32.0, 43.0),
            mm(105.0, 26.0, 33.0),
        ],
        within: None,
        source: "iliacus, psoas and rectus femoris of the leg model MyoLegs: one model only",
        known: Known::Read,
    },
    // All three parts of gluteus medius in four models at hip neutral; at 30 degrees of abduction and more the
    // lower bound also holds the whole muscle at 30 degrees of flexion.
    MomentArm {
        of: ArmOf::HipAbductors,
        joint: Joint::Hip,
        motion: "abduction",
        rows: &[
            mm(-15.0, 25.0, 48.0),
            mm(0.0, 32.0, 55.0),
            mm(15.0, 37.0, 59.0),
            mm(30.0, 41.0, 61.0),
            mm(45.0, 38.0, 61.0),
        ],
        within: Some(Within { motion: "flexion", low: -20.0, high: 30.0 }),
        source: "gluteus medius of four leg models (MyoLegs, Rajagopal 2016, 2023, gait2392), gluteus \
            minimus of MyoLegs",
        known: Known::Read,
    },
    MomentArm {
        of: ArmOf::HipAbductorsBent,
        joint: Joint::Hip,
        motion: "abduction",
        rows: &[
            mm(-30.0, 20.0, 34.0),
            mm(-15.0, 24.0, 40.0),
            mm(0.0, 25.0, 51.0),
            mm(15.0, 24.0, 59.0),
            mm(30.0, 21.0, 61.0),
            mm(45.0, 16.0, 61.0),
        ],
        within: Some(Within { motion: "flexion", low: 30.0, high: 60.0 }),
        source: "gluteus medius and minimus as wholes of the leg model MyoLegs at 30-60 degrees of hip \
            flexion; beyond 60 degrees their arm of abduction nears zero and is not stated",
        known: Known::Read,
    },
    MomentArm {
        of: ArmOf::HipAdductors,
        joint: Joint::Hip,
        motion: "abduction",
        rows: &[
            mm(-30.0, 25.0, 71.0),
            mm(-15.0, 38.0, 74.0),
            mm(0.0, 41.0, 72.0),
            mm(15.0, 34.0, 76.0),
            mm(30.0, 26.0, 75.0),
            mm(45.0, 17.0, 69.0),
        ],
        within: Some(Within { motion: "flexion", low: -20.0, high: 90.0 }),
        source: "long, short and great adductor of the leg model MyoLegs over -20 to 90 degrees of hip \
            flexion: one model only",
        known: Known::Read,
    },
    // Outward: gluteus maximus as a whole, piriformis, back part of gluteus medius (10-34 mm); inward: front
    // parts of gluteus medius and minimus (9-34 mm). Obturators, gemelli and quadratus femoris are not in the
    // model. With more flexion several muscles change their side (Delp et al. 1999, J Biomech 32:493-501).
    MomentArm {
        of: ArmOf::HipRotators,
        joint: Joint::Hip,
        motion: "external_rotation",
        rows: &[mm(0.0, 9.0, 35.0)],
        within: Some(Within { motion: "flexion", low: 0.0, high: 30.0 }),
        source: "rotators of the leg model MyoLegs near neutral rotation, without the short outward \
            rotators, which it lacks: one model only",
        known: Known::Read,
    },
    // Lower bound: erector spinae and multifidus of the torso model weighted by their greatest forces (44.8 mm
    // upright, 41.7 at 20 degrees of flexion; its straight muscles pass through the spine beyond 40). The 50 mm
    // of simple models lie inside.
    MomentArm {
        of: ArmOf::LumbarExtensors,
        joint: Joint::Trunk,
        motion: "flexion",
        rows: &[mm(0.0, 41.0, 75.0)],
        within: None,
        source: "torso model MyoTorso at L4-L5 (lower bound); 50 mm is the usual fixed value (Gungor \
            2013, Auburn University, abstract); upper bound 75 mm recalled from imaging studies, not \
            confirmed",
        known: Known::Memory,
    },
    MomentArm {
        of: ArmOf::LumbarFlexors,
        joint: Joint::Trunk,
        motion: "flexion",
        rows: &[mm(0.0, 57.0, 96.0)],
        within: None,
        source: "rectus abdominis at L4-L5: 85 mm standing, five women (Jorgensen et al. 2005, Clin \
            Biomech 20:242-246, abstract), 57 mm in the torso model MyoTorso; its external oblique up to \
            95 mm",
        known: Known::Read,
    },
];

#[cfg(test)]
mod tests {
    use super::*;

    /// Quotient of polynomials of [`PATELLOFEMORAL_SOURCE`], x in degrees.
    fn middle(x: f64) -> f64 {
        (0.462 + 0.001_47 * x - 0.000_038_4 * x * x)
            / (1.0 - 0.0162 * x + 0.000_155 * x * x - 0.000_000_698 * x * x * x)
    }

    #[test]
    fn every_arm_is_positive_ordered_and_said_to_come_from_somewhere() {
        for arm in MOMENT_ARMS {
            assert!(!arm.rows.is_empty() && arm.source.len() > 20, "{:?}", arm.of);
            assert!(arm.rows.windows(2).all(|it| it[0].deg < it[1].deg), "{:?}", arm.of);
            for deg in -90..=180 {
                let at = arm.at(f64::from(deg));
                assert!(0.003 < at.low && at.low < at.high && at.high < 0.1, "{:?} at {deg}: {at:?}", arm.of);
            }
        }
    }

    #[test]
    fn one_arm_per_muscle_and_joint_is_found_by_both() {
        for arm in MOMENT_ARMS {
            let found = moment_arm(arm.of, arm.joint).unwrap();
            assert!(std::ptr::eq(found.rows, arm.rows), "{:?} twice", arm.of);
        }
        assert!(moment_arm(Tissue::AchillesTendon, Joint::Knee).is_none());
        assert!(moment_arm(Tissue::Supraspinatus, Joint::Shoulder).is_none());
        assert_eq!(moment_arm(Tissue::Hamstrings, Joint::Hip).unwrap().motion, "flexion");
    }

    #[test]
    fn curves_meet_at_their_rows_and_stay_beyond_their_ends() {
        for arm in MOMENT_ARMS {
            for row in arm.rows {
                for deg in [row.deg - 1e-9, row.deg, row.deg + 1e-9] {
                    let at = arm.at(deg);
                    assert!((at.low - row.low).abs() < 1e-10 && (at.high - row.high).abs() < 1e-10, "{deg}");
                }
            }
            assert_eq!(arm.at(-200.0), arm.at(arm.rows[0].deg));
            assert_eq!(arm.at(200.0), arm.at(arm.rows[arm.rows.len() - 1].deg));
        }
        let halfway = moment_arm(Tissue::BicepsLongHead, Joint::Elbow).unwrap().at(75.0);
        assert!((halfway.low - 0.033).abs() < 1e-9 && (halfway.high - 0.045).abs() < 1e-9, "{halfway:?}");
    }

    #[test]
    fn arms_that_depend_on_another_angle_say_where_they_hold() {
        let straight = moment_arm(ArmOf::HipAbductors, Joint::Hip).unwrap();
        let bent = moment_arm(ArmOf::HipAbductorsBent, Joint::Hip).unwrap();
        assert!(straight.holds_at(0.0) && straight.holds_at(30.0) && !straight.holds_at(45.0));
        assert!(bent.holds_at(45.0) && !bent.holds_at(90.0));
        assert!(moment_arm(Tissue::AchillesTendon, Joint::Ankle).unwrap().holds_at(1000.0));
    }

    #[test]
    fn patellofemoral_ratio_is_two_tendons_ten_degrees_about_the_middle() {
        for x in 0..=90 {
            let x = f64::from(x);
            let angle = 2.0 * libm::asin(middle(x) / 2.0).to_degrees();
            let pull = |deg: f64| 2.0 * libm::sin((angle + deg).to_radians() / 2.0);
            let at = patellofemoral_ratio(x);
            assert!(
                (at.low - pull(-10.0)).abs() < 0.015 && (at.high - pull(10.0)).abs() < 0.015,
                "{x}: {at:?}"
            );
            assert!(at.holds(middle(x)));
        }
        assert!((middle(0.0) - 0.46).abs() < 0.005 && (middle(90.0) - 1.0).abs() < 0.03);
        assert_eq!(patellofemoral_ratio(140.0), patellofemoral_ratio(90.0));
    }
}
