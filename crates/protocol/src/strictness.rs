//! Comparing limits: which of two is stricter, and whether two speak of the same quantity.

use std::collections::BTreeSet;

use handrail_anatomy::{ClinicalMotion, Device, Drive, Joint, clinical_motions};

use crate::limits::{Beyond, Limit, Loading, WeightBearing};

impl WeightBearing {
    /// True when everything that `self` permits is also permitted by `other`, whoever the person is.
    /// Kilograms and percent cannot be compared without a body mass, so neither implies the other.
    pub fn implies(self, other: WeightBearing) -> bool {
        use WeightBearing::{AsTolerated, Full, Kilograms, None, PercentBodyWeight};
        match (self, other) {
            (_, Full) | (None, _) => true,
            (Kilograms(kg), None) => kg == 0.0,
            (PercentBodyWeight(percent), None) => percent == 0.0,
            (Kilograms(a), Kilograms(b)) | (PercentBodyWeight(a), PercentBodyWeight(b)) => a <= b,
            (Kilograms(a), PercentBodyWeight(_)) | (PercentBodyWeight(a), Kilograms(_)) => a == 0.0,
            (Kilograms(_) | PercentBodyWeight(_) | AsTolerated, AsTolerated) => true,
            (AsTolerated | Full, _) => false,
        }
    }
}

impl Loading {
    /// True when `self` speaks of every load state that `other` speaks of.
    pub fn covers(self, other: Loading) -> bool {
        self == Loading::Any || self == other
    }

    fn overlaps(self, other: Loading) -> bool {
        self.covers(other) || other.covers(self)
    }
}

fn has_all<T: PartialEq>(large: &[T], small: &[T]) -> bool {
    small.iter().all(|it| large.contains(it))
}

/// Directions of a joint where an empty list means all of them.
fn directions_cover(large: &[ClinicalMotion], small: &[ClinicalMotion]) -> bool {
    large.is_empty() || (!small.is_empty() && has_all(large, small))
}

fn directions_overlap(a: &[ClinicalMotion], b: &[ClinicalMotion]) -> bool {
    a.is_empty() || b.is_empty() || a.iter().any(|it| b.contains(it))
}

/// True when two devices are worn on the same part of the body, so that one replaces the other.
fn worn_on_the_same_part(a: Device, b: Device) -> bool {
    fn part(device: Device) -> Joint {
        match device {
            Device::Splint | Device::Boot => Joint::Ankle,
            Device::KneeBrace => Joint::Knee,
            Device::Sling | Device::AbductionSling => Joint::Shoulder,
        }
    }
    part(a) == part(b)
}

/// True when forbidding combination `a` also forbids everything in combination `b`: each edge of `a` is
/// passed whenever all edges of `b` are.
fn combination_implies(a: &[Beyond], b: &[Beyond]) -> bool {
    a.iter().all(|edge| b.iter().any(|it| it.motion == edge.motion && edge.deg <= it.deg))
}

impl Limit {
    /// True when `self` is at least as strict as `other`: whatever keeps to `self` also keeps to `other`.
    /// `false` both ways means that the two cannot be compared, so both must be kept.
    pub fn implies(&self, other: &Limit) -> bool {
        use Limit::*;
        match (self, other) {
            (LegWeightBearing(a), LegWeightBearing(b)) | (ArmWeightBearing(a), ArmWeightBearing(b)) => {
                a.implies(*b)
            }
            (
                Motion { motion, max_deg, drives, loading },
                Motion { motion: motion_b, max_deg: max_b, drives: drives_b, loading: loading_b },
            ) => {
                motion == motion_b
                    && max_deg <= max_b
                    && has_all(drives, drives_b)
                    && loading.covers(*loading_b)
            }
            (
                Drive { joint, motions, forbidden },
                Drive { joint: joint_b, motions: motions_b, forbidden: forbidden_b },
            ) => joint == joint_b && directions_cover(motions, motions_b) && has_all(forbidden, forbidden_b),
            (Muscle { muscles, allowed }, Muscle { muscles: muscles_b, allowed: allowed_b }) => {
                has_all(muscles, muscles_b) && has_all(allowed_b, allowed)
            }
            (
                Device { device, holds, off_for_exercise, worn_asleep, setting },
                Device {
                    device: device_b,
                    holds: holds_b,
                    off_for_exercise: off_b,
                    worn_asleep: asleep_b,
                    setting: setting_b,
                },
            ) => {
                device == device_b
                    && holds == holds_b
                    && setting == setting_b
                    && (!off_for_exercise || *off_b)
                    && (*worn_asleep || !asleep_b)
            }
            (Position(a), Position(b)) => a == b,
            (Combination(a), Combination(b)) => combination_implies(a, b),
            (
                Resistance { joint, motions, max_kg },
                Resistance { joint: joint_b, motions: motions_b, max_kg: max_b },
            ) => joint == joint_b && directions_cover(motions, motions_b) && max_kg <= max_b,
            (Impact, Impact) => true,
            (Activity(a), Activity(b)) => a == b,
            // Both refuse a load that is not known, so the number alone decides.
            (TissueLoad { tissue, max, .. }, TissueLoad { tissue: tissue_b, max: max_b, .. }) => {
                tissue == tissue_b && max <= max_b
            }
            (
                Exposure { tissue, per_week, of },
                Exposure { tissue: tissue_b, per_week: per_week_b, of: of_b },
            ) => tissue == tissue_b && of == of_b && per_week <= per_week_b,
            _ => false,
        }
    }

    /// True when both give a value to one quantity: weight, the angle of a motion, resistance, the device on
    /// one part of the body, the load or the weekly exposure of a tissue. A later or better-founded value can take the place of the other. Plain
    /// prohibitions (a position, a muscle, a way of moving) have no value: two of them simply add up.
    pub fn same_quantity(&self, other: &Limit) -> bool {
        use Limit::*;
        match (self, other) {
            (LegWeightBearing(_), LegWeightBearing(_)) | (ArmWeightBearing(_), ArmWeightBearing(_)) => true,
            (
                Motion { motion, drives, loading, .. },
                Motion { motion: motion_b, drives: drives_b, loading: loading_b, .. },
            ) => {
                motion == motion_b
                    && drives.iter().any(|it| drives_b.contains(it))
                    && loading.overlaps(*loading_b)
            }
            (Device { device: a, .. }, Device { device: b, .. }) => worn_on_the_same_part(*a, *b),
            (Resistance { joint, motions, .. }, Resistance { joint: joint_b, motions: motions_b, .. }) => {
                joint == joint_b && directions_overlap(motions, motions_b)
            }
            (TissueLoad { tissue: a, .. }, TissueLoad { tissue: b, .. }) => a == b,
            // Peaks and impulses are two sums that do not convert.
            (Exposure { tissue, of, .. }, Exposure { tissue: tissue_b, of: of_b, .. }) => {
                tissue == tissue_b && of == of_b
            }
            _ => false,
        }
    }

    /// True when both are about the same thing, so that they may be stages of one ladder.
    pub fn same_subject(&self, other: &Limit) -> bool {
        use Limit::*;
        match (self, other) {
            (Motion { motion: a, .. }, Motion { motion: b, .. }) => a == b,
            (Drive { joint: a, .. }, Drive { joint: b, .. }) => a == b,
            (Resistance { joint: a, .. }, Resistance { joint: b, .. }) => a == b,
            (Muscle { muscles: a, .. }, Muscle { muscles: b, .. }) => a.iter().any(|it| b.contains(it)),
            (Combination(a), Combination(b)) => combination_implies(a, b) || combination_implies(b, a),
            (Position(_), Position(_)) | (Impact, Impact) | (Activity(_), Activity(_)) => self == other,
            _ => self.same_quantity(other),
        }
    }

    /// What is left of `self` where `other`, which gives another value to the same quantity, does not speak.
    pub(crate) fn outside(&self, other: &Limit) -> Outside {
        use Limit::*;
        match (self, other) {
            (
                Motion { motion, max_deg, drives, loading },
                Motion { drives: drives_b, loading: loading_b, .. },
            ) => {
                if !loading_b.covers(*loading) {
                    return Outside::Inseparable;
                }
                let rest: Vec<_> = drives.iter().copied().filter(|it| !drives_b.contains(it)).collect();
                if rest.is_empty() {
                    return Outside::Nothing;
                }
                Outside::Rest(Motion { motion: *motion, max_deg: *max_deg, drives: rest, loading: *loading })
            }
            (Resistance { joint, motions, max_kg }, Resistance { motions: motions_b, .. }) => {
                if directions_cover(motions_b, motions) {
                    return Outside::Nothing;
                }
                let all = clinical_motions();
                let spoken =
                    all.into_iter().filter(|it| it.joint == *joint && directions_cover(motions, &[*it]));
                let rest: Vec<_> = spoken.filter(|it| !motions_b.contains(it)).collect();
                Outside::Rest(Resistance { joint: *joint, motions: rest, max_kg: *max_kg })
            }
            _ => Outside::Nothing,
        }
    }

    /// Joints that the limit is about, sorted; weight and activities name none.
    pub fn joints(&self) -> Vec<Joint> {
        let joints: BTreeSet<Joint> = match self {
            Limit::Motion { motion, .. } => [motion.joint].into(),
            Limit::Drive { joint, .. } | Limit::Resistance { joint, .. } => [*joint].into(),
            Limit::Muscle { muscles, .. } => {
                muscles.iter().flat_map(|it| it.actions()).map(|(joint, _)| *joint).collect()
            }
            Limit::Device { holds, .. } => holds.iter().map(|(motion, _)| motion.joint).collect(),
            Limit::Combination(edges) => edges.iter().map(|edge| edge.motion.joint).collect(),
            Limit::TissueLoad { tissue, .. } | Limit::Exposure { tissue, .. } => {
                tissue.joints().iter().copied().collect()
            }
            Limit::LegWeightBearing(_)
            | Limit::ArmWeightBearing(_)
            | Limit::Position(_)
            | Limit::Impact
            | Limit::Activity(_) => BTreeSet::new(),
        };
        joints.into_iter().collect()
    }

    /// True when the limit itself forbids this way of moving in this direction, whatever the angle.
    pub fn forbids_drive(&self, motion: &ClinicalMotion, drive: Drive) -> bool {
        match self {
            Limit::Drive { joint, motions, forbidden } => {
                *joint == motion.joint && directions_cover(motions, &[*motion]) && forbidden.contains(&drive)
            }
            _ => false,
        }
    }
}

/// See [`Limit::outside`].
pub(crate) enum Outside {
    /// The other limit speaks of everything this one speaks of.
    Nothing,
    /// This much stays.
    Rest(Limit),
    /// The two overlap in a way that cannot be written as one limit; both must be kept.
    Inseparable,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::limits::ExposureOf;
    use handrail_anatomy::{LoadClass, Muscle, Tissue, clinical_motion};

    fn dorsiflexion(max_deg: f64, drives: &[Drive], loading: Loading) -> Limit {
        let motion = clinical_motion(Joint::Ankle, "dorsiflexion").unwrap();
        Limit::Motion { motion, max_deg, drives: drives.to_vec(), loading }
    }

    #[test]
    fn weights_are_ordered_but_kilograms_and_percent_are_not_comparable() {
        use WeightBearing::*;
        let ladder = [None, Kilograms(20.0), Kilograms(30.0), AsTolerated, Full];
        for (i, a) in ladder.iter().enumerate() {
            for (j, b) in ladder.iter().enumerate() {
                assert_eq!(a.implies(*b), i <= j, "{a:?} {b:?}");
            }
        }
        assert!(!Kilograms(20.0).implies(PercentBodyWeight(50.0)));
        assert!(!PercentBodyWeight(50.0).implies(Kilograms(20.0)));
        assert!(Kilograms(0.0).implies(PercentBodyWeight(0.0)));
    }

    #[test]
    fn a_motion_limit_is_stricter_only_for_what_it_speaks_of() {
        let all = dorsiflexion(0.0, &Drive::ALL, Loading::Any);
        let passive = dorsiflexion(0.0, &[Drive::Passive], Loading::Any);
        let looser = dorsiflexion(10.0, &[Drive::Passive], Loading::Unloaded);
        assert!(all.implies(&passive) && !passive.implies(&all));
        assert!(passive.implies(&looser) && !looser.implies(&passive));
    }

    #[test]
    fn what_an_order_does_not_speak_of_is_left() {
        let all = dorsiflexion(0.0, &Drive::ALL, Loading::Any);
        let passive = dorsiflexion(10.0, &[Drive::Passive], Loading::Any);
        match all.outside(&passive) {
            Outside::Rest(Limit::Motion { drives, max_deg, .. }) => {
                assert_eq!((drives.len(), max_deg), (4, 0.0));
                assert!(!drives.contains(&Drive::Passive));
            }
            _ => panic!("the other four drives stay"),
        }
        let loaded = dorsiflexion(10.0, &Drive::ALL, Loading::Loaded);
        assert!(matches!(all.outside(&loaded), Outside::Inseparable));
    }

    #[test]
    fn a_smaller_combination_is_stricter() {
        let edge = |name, deg| Beyond { motion: clinical_motion(Joint::Shoulder, name).unwrap(), deg };
        let strict = Limit::Combination(vec![edge("abduction", 30.0), edge("external_rotation", 0.0)]);
        let loose = Limit::Combination(vec![edge("abduction", 60.0), edge("external_rotation", 20.0)]);
        assert!(strict.implies(&loose) && !loose.implies(&strict));
    }

    #[test]
    fn more_muscles_and_fewer_exceptions_are_stricter() {
        let calf = Limit::Muscle { muscles: vec![Muscle::Gastrocnemius, Muscle::Soleus], allowed: vec![] };
        let soleus = Limit::Muscle { muscles: vec![Muscle::Soleus], allowed: vec![Drive::Assisted] };
        assert!(calf.implies(&soleus) && !soleus.implies(&calf));
    }

    fn load(tissue: Tissue, max: f64) -> Limit {
        Limit::TissueLoad { tissue, max, class: None }
    }

    fn exposure(tissue: Tissue, per_week: f64, of: ExposureOf) -> Limit {
        Limit::Exposure { tissue, per_week, of }
    }

    #[test]
    fn a_lower_ceiling_is_stricter_and_only_for_its_tissue() {
        let (low, high) = (load(Tissue::AchillesTendon, 1.2), load(Tissue::AchillesTendon, 2.5));
        assert!(low.implies(&high) && !high.implies(&low) && low.implies(&low));
        assert!(low.same_quantity(&high) && low.same_subject(&high));
        let other = load(Tissue::PatellarTendon, 1.2);
        assert!(!low.implies(&other) && !other.implies(&low));
        assert!(!low.same_quantity(&other) && !low.same_subject(&other));
        assert!(matches!(high.outside(&low), Outside::Nothing));
    }

    #[test]
    fn a_class_is_the_upper_end_of_its_band() {
        let low = Limit::tissue_load_class(Tissue::Supraspinatus, LoadClass::Low).unwrap();
        let fifteen = load(Tissue::Supraspinatus, 15.0);
        assert!(low.implies(&fifteen) && fifteen.implies(&low), "the class is kept for display only");
        assert!(low.implies(&load(Tissue::Supraspinatus, 20.0)));
        assert!(!low.implies(&load(Tissue::Supraspinatus, 14.0)));
        assert_eq!(Limit::tissue_load_class(Tissue::AchillesTendon, LoadClass::Low), None);
    }

    #[test]
    fn sums_of_peaks_and_of_impulses_do_not_convert() {
        use ExposureOf::{Impulse, Peaks};
        let few = exposure(Tissue::AchillesTendon, 300.0, Peaks);
        let many = exposure(Tissue::AchillesTendon, 400.0, Peaks);
        let impulse = exposure(Tissue::AchillesTendon, 300.0, Impulse);
        assert!(few.implies(&many) && !many.implies(&few) && few.same_quantity(&many));
        assert!(!few.implies(&impulse) && !impulse.implies(&few));
        assert!(!few.same_quantity(&impulse) && !few.same_subject(&impulse));
        let peak = load(Tissue::AchillesTendon, 0.0);
        assert!(!peak.implies(&few) && !few.implies(&peak) && !peak.same_quantity(&few));
        assert!(matches!(many.outside(&few), Outside::Nothing));
        assert_eq!(Impulse.unit(Tissue::Supraspinatus), "%MVIC s");
    }

    #[test]
    fn a_ceiling_is_about_the_joints_its_tissue_crosses() {
        assert_eq!(load(Tissue::AchillesTendon, 1.0).joints(), [Joint::Ankle]);
        let hamstrings = exposure(Tissue::Hamstrings, 1.0, ExposureOf::Peaks).joints();
        assert!(hamstrings.contains(&Joint::Knee) && hamstrings.contains(&Joint::Hip));
        assert!(hamstrings.is_sorted());
    }

    #[test]
    fn limits_of_different_kinds_never_stand_in_for_each_other() {
        let weight = Limit::LegWeightBearing(WeightBearing::None);
        assert!(!weight.implies(&Limit::Impact) && !Limit::Impact.implies(&weight));
    }
}
