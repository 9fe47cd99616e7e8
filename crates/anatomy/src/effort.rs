//! How a joint is moved, what is worn, and positions a surgeon may forbid: words shared by motion and protocol.

use serde::{Deserialize, Serialize};

use crate::joints::Joint;

/// What moves a joint, from least to most effort of its own muscles.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, schemars::JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Drive {
    /// Moved by another hand, a helper, gravity or a pulley; own muscles relaxed.
    Passive,
    /// Own muscles help, another limb or device does part.
    Assisted,
    /// Tensed without motion.
    Isometric,
    /// Moved by its own muscles against no more than gravity.
    Active,
    /// Moved by its own muscles against a band, a weight or body weight.
    Resisted,
}

impl Drive {
    /// All kinds.
    pub const ALL: [Drive; 5] =
        [Drive::Passive, Drive::Assisted, Drive::Isometric, Drive::Active, Drive::Resisted];

    /// Name used in files and JSON.
    pub fn id(self) -> &'static str {
        match self {
            Drive::Passive => "passive",
            Drive::Assisted => "assisted",
            Drive::Isometric => "isometric",
            Drive::Active => "active",
            Drive::Resisted => "resisted",
        }
    }
}

/// A device worn on the operated limb.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, schemars::JsonSchema,
)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs)]
pub enum Device {
    Splint,
    Boot,
    KneeBrace,
    Sling,
    AbductionSling,
}

impl Device {
    /// Name used in files and JSON.
    pub fn id(self) -> &'static str {
        match self {
            Device::Splint => "splint",
            Device::Boot => "boot",
            Device::KneeBrace => "knee_brace",
            Device::Sling => "sling",
            Device::AbductionSling => "abduction_sling",
        }
    }

    /// Joint that the device holds still by its build, whatever its setting: a boot or splint the ankle, a
    /// sling the shoulder. A hinged brace holds only what its order says.
    pub fn immobilises(self) -> Option<Joint> {
        match self {
            Device::Splint | Device::Boot => Some(Joint::Ankle),
            Device::Sling | Device::AbductionSling => Some(Joint::Shoulder),
            Device::KneeBrace => None,
        }
    }
}

/// A position or way of supporting the body that orders may forbid.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, schemars::JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Position {
    /// Sitting on a chair.
    Seated,
    /// Sitting with the legs on the bed.
    LongSitting,
    /// Lying on the back.
    Supine,
    /// Lying face down.
    Prone,
    /// Lying on the side with the operated side up.
    SideLyingOperatedUp,
    /// Lying on the side with the operated side down.
    SideLyingOperatedDown,
    /// Standing on both legs.
    Standing,
    /// Standing on the operated leg alone.
    SingleLegStanceOperated,
    /// Standing on the other leg alone.
    SingleLegStanceOther,
    /// Kneeling.
    Kneeling,
    /// On hands and knees.
    HandsAndKnees,
    /// On the floor, having to get down and up.
    Floor,
    /// Body weight through the operated arm's hand or elbow.
    WeightThroughArm,
    /// Hand behind the back.
    HandBehindBack,
    /// Bent forward standing, the arm hanging.
    LeaningForward,
}

/// Activities that orders and protocols forbid by name and exercises may contain. One closed list, so that a
/// slip of the pen in either place is found and no restriction meets nothing.
pub const ACTIVITIES: [&str; 14] = [
    "driving",
    "cycling",
    "deep_squat",
    "lifting",
    "overhead_lifting",
    "low_impact_sport",
    "high_impact_sport",
    "pivoting_sport",
    "throwing_and_contact_sport",
    "pool",
    "stairs",
    "stairs_step_over_step",
    "running",
    "single_leg_heel_raise",
];
