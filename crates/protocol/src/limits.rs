//! What a restriction limits. One restriction, one limit; a joint may stand under several at once.

use handrail_anatomy::{ClinicalMotion, Device, Drive, Joint, LoadClass, LoadUnit, Muscle, Position, Tissue};

/// How much body weight the operated limb may take.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum WeightBearing {
    /// None: the limb may touch only with its own weight.
    None,
    /// At most so many kilograms.
    Kilograms(f64),
    /// At most so many percent of body weight.
    PercentBodyWeight(f64),
    /// As much as pain allows.
    AsTolerated,
    /// Full.
    Full,
}

/// Whether the limit speaks of the loaded (weight-bearing or resisted) or the unloaded joint.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Loading {
    /// Both.
    Any,
    /// Only with weight or resistance on the joint.
    Loaded,
    /// Only without.
    Unloaded,
}

/// One edge of a forbidden combination: the motion is beyond so many degrees.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Beyond {
    /// Motion and direction.
    pub motion: ClinicalMotion,
    /// Degrees in that direction from which it counts.
    pub deg: f64,
}

/// What is summed over the repetitions of a week.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ExposureOf {
    /// The largest load of each repetition; unit of the tissue.
    Peaks,
    /// The load of each repetition summed over its time; unit of the tissue times seconds.
    Impulse,
}

impl ExposureOf {
    /// Name used in keys and JSON.
    pub fn id(self) -> &'static str {
        match self {
            ExposureOf::Peaks => "peaks",
            ExposureOf::Impulse => "impulse",
        }
    }

    /// Short form of the unit of the sum: `BW`, `BW s`, `%MVIC s`.
    pub fn unit(self, tissue: Tissue) -> String {
        match self {
            ExposureOf::Peaks => tissue.unit().id().to_string(),
            ExposureOf::Impulse => format!("{} s", tissue.unit().id()),
        }
    }
}

/// What a restriction limits on the operated side.
#[derive(Clone, Debug, PartialEq)]
pub enum Limit {
    /// Weight through the operated leg.
    LegWeightBearing(WeightBearing),
    /// Weight through the operated arm.
    ArmWeightBearing(WeightBearing),
    /// A joint motion may not pass `max_deg` in its direction (negative: it must stop short of neutral).
    Motion {
        /// Joint and direction.
        motion: ClinicalMotion,
        /// Largest allowed degrees in that direction.
        max_deg: f64,
        /// Ways of moving it speaks of; a motion driven otherwise is not covered by this restriction.
        drives: Vec<Drive>,
        /// Loaded, unloaded or both.
        loading: Loading,
    },
    /// These ways of moving the joint are not allowed at all.
    Drive {
        /// Joint.
        joint: Joint,
        /// Directions it speaks of; empty means every motion of the joint.
        motions: Vec<ClinicalMotion>,
        /// Forbidden ways.
        forbidden: Vec<Drive>,
    },
    /// Muscles that must not be tensed.
    Muscle {
        /// Muscles.
        muscles: Vec<Muscle>,
        /// Drives at which tensing them is still allowed (e.g. assisted); empty: none.
        allowed: Vec<Drive>,
    },
    /// A device is worn.
    Device {
        /// Device.
        device: Device,
        /// Angles it holds the joint at, degrees in the named direction.
        holds: Vec<(ClinicalMotion, f64)>,
        /// True when it may come off for the home exercises.
        off_for_exercise: bool,
        /// True when it is worn in bed.
        worn_asleep: bool,
        /// Setting as it was ordered (wedges, centimetres and degrees do not convert).
        setting: String,
    },
    /// A position not to be taken.
    Position(Position),
    /// All of these at the same instant are forbidden.
    Combination(Vec<Beyond>),
    /// External resistance (band, weight) on the joint, at most so many kilograms; 0 = none.
    Resistance {
        /// Joint.
        joint: Joint,
        /// Directions it speaks of; empty means every motion of the joint.
        motions: Vec<ClinicalMotion>,
        /// Largest resistance, kg.
        max_kg: f64,
    },
    /// No running, hopping, jumping.
    Impact,
    /// An activity of daily life or sport that is not allowed, by its content name (driving, stairs, ...).
    Activity(String),
    /// Ceiling on the load of a tissue: no repetition may load it more. A load that is not known is over every
    /// ceiling.
    TissueLoad {
        /// Tissue on the operated side; lumbar spine: of the body.
        tissue: Tissue,
        /// Largest load in one repetition, in the tissue's unit (BW, % strain or % MVIC).
        max: f64,
        /// Class by which it was written, for display; `max` is then the upper end of its band.
        class: Option<LoadClass>,
    },
    /// Ceiling on the exposure of a tissue: what all repetitions of one week may add up to.
    Exposure {
        /// Tissue on the operated side; lumbar spine: of the body.
        tissue: Tissue,
        /// Largest sum over one week, in the unit of [`ExposureOf::unit`].
        per_week: f64,
        /// What is summed.
        of: ExposureOf,
    },
}

impl Limit {
    /// Ceiling on a tissue by a class of muscle activity: the upper end of its band. `None` for a tissue whose
    /// load is not stated as muscle activity, because classes do not convert into forces or strains.
    pub fn tissue_load_class(tissue: Tissue, class: LoadClass) -> Option<Limit> {
        let max = class.percent_mvic().high;
        (tissue.unit() == LoadUnit::PercentMvic).then_some(Limit::TissueLoad {
            tissue,
            max,
            class: Some(class),
        })
    }
}
