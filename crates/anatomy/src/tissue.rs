//! Tissues that heal after an operation, the unit their load is stated in, and how well a figure is known.

use serde::{Deserialize, Serialize};

use crate::joints::Joint;

/// How well a figure is known to come from its source.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, schemars::JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Known {
    /// Seen in the source.
    Read,
    /// Seen in a text that quotes the source.
    Secondary,
    /// Recalled, not confirmed.
    Memory,
    /// Common practice of the trade; there is no source.
    Practice,
}

impl Known {
    /// Name used in files and JSON.
    pub fn id(self) -> &'static str {
        match self {
            Known::Read => "read",
            Known::Secondary => "secondary",
            Known::Memory => "memory",
            Known::Practice => "practice",
        }
    }
}

/// What the load on a tissue is stated in. Units do not convert into each other: strain is not force, and
/// muscle activity is neither.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum LoadUnit {
    /// Force in body weights.
    BodyWeights,
    /// Strain of the tissue, percent of its length.
    PercentStrain,
    /// Activity of the muscle, percent of a maximal voluntary isometric contraction.
    PercentMvic,
}

impl LoadUnit {
    /// Short form used in JSON and in charts.
    pub fn id(self) -> &'static str {
        match self {
            LoadUnit::BodyWeights => "BW",
            LoadUnit::PercentStrain => "%strain",
            LoadUnit::PercentMvic => "%MVIC",
        }
    }
}

macro_rules! tissues {
    ($($name:ident $id:literal $unit:ident [$($joint:ident),*] $doc:literal;)*) => {
        /// A tissue whose load is stated.
        #[derive(
            Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, schemars::JsonSchema,
        )]
        #[serde(rename_all = "snake_case")]
        pub enum Tissue { $(#[doc = $doc] $name),* }

        impl Tissue {
            /// Every tissue, from the foot upwards.
            pub const ALL: &'static [Tissue] = &[$(Tissue::$name),*];

            /// Name used in files and JSON.
            pub fn id(self) -> &'static str { match self { $(Tissue::$name => $id),* } }

            /// What its load is stated in.
            pub fn unit(self) -> LoadUnit { match self { $(Tissue::$name => LoadUnit::$unit),* } }

            /// Joints that it crosses or belongs to.
            pub fn joints(self) -> &'static [Joint] { match self { $(Tissue::$name => &[$(Joint::$joint),*]),* } }
        }
    };
}

tissues! {
    AchillesTendon "achilles_tendon" BodyWeights [Ankle] "Achilles tendon.";
    PatellarTendon "patellar_tendon" BodyWeights [Knee] "Patellar tendon, between knee cap and shin.";
    QuadricepsTendon "quadriceps_tendon" BodyWeights [Knee] "Quadriceps tendon, above the knee cap.";
    PatellofemoralJoint "patellofemoral_joint" BodyWeights [Knee] "Contact of knee cap and thigh bone.";
    AnteriorCruciate "anterior_cruciate" PercentStrain [Knee] "Anterior cruciate ligament or its graft.";
    Hamstrings "hamstrings" BodyWeights [Knee, Hip] "Hamstring muscles or the place a graft was taken from.";
    HipJoint "hip_joint" BodyWeights [Hip] "Contact force of the hip joint.";
    LumbarSpine "lumbar_spine" BodyWeights [Trunk] "Compression of the lower lumbar spine.";
    Supraspinatus "supraspinatus" PercentMvic [Shoulder] "Supraspinatus muscle and tendon.";
    Infraspinatus "infraspinatus" PercentMvic [Shoulder] "Infraspinatus muscle and tendon.";
    Subscapularis "subscapularis" PercentMvic [Shoulder] "Subscapularis muscle and tendon.";
    BicepsLongHead "biceps_long_head" BodyWeights [Elbow, Shoulder] "Long head of the biceps.";
}

impl Tissue {
    /// Joints whose net moment its load is computed from. The long head of the biceps is computed from the elbow
    /// alone.
    pub fn pulled_at(self) -> &'static [Joint] {
        match self {
            Tissue::BicepsLongHead => &[Joint::Elbow],
            other => other.joints(),
        }
    }

    /// The tissue of that name.
    pub fn by_id(id: &str) -> Option<Tissue> {
        Tissue::ALL.iter().copied().find(|it| it.id() == id)
    }
}

/// Band of muscle activity (Edwards et al. 2017, J Orthop Sports Phys Ther 47(12):931-944; known: read).
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, schemars::JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum LoadClass {
    /// 0-15 % MVIC.
    Low,
    /// 16-20 % MVIC.
    LowToModerate,
    /// 21-40 % MVIC.
    Moderate,
    /// 41-60 % MVIC.
    High,
    /// Over 60 % MVIC.
    VeryHigh,
}

impl LoadClass {
    /// From least to most.
    pub const ALL: [LoadClass; 5] =
        [LoadClass::Low, LoadClass::LowToModerate, LoadClass::Moderate, LoadClass::High, LoadClass::VeryHigh];

    /// Name used in files and JSON.
    pub fn id(self) -> &'static str {
        match self {
            LoadClass::Low => "low",
            LoadClass::LowToModerate => "low_to_moderate",
            LoadClass::Moderate => "moderate",
            LoadClass::High => "high",
            LoadClass::VeryHigh => "very_high",
        }
    }

    /// Percent of a maximal contraction that the band spans. The open upper band ends at 100 (own choice;
    /// single trials report more).
    pub fn percent_mvic(self) -> Interval {
        let (low, high) = match self {
            LoadClass::Low => (0.0, 15.0),
            LoadClass::LowToModerate => (15.0, 20.0),
            LoadClass::Moderate => (20.0, 40.0),
            LoadClass::High => (40.0, 60.0),
            LoadClass::VeryHigh => (60.0, 100.0),
        };
        Interval { low, high }
    }

    /// Band of a percentage.
    pub fn of_percent_mvic(percent: f64) -> LoadClass {
        LoadClass::ALL.into_iter().find(|it| percent <= it.percent_mvic().high).unwrap_or(LoadClass::VeryHigh)
    }
}

/// Honest bounds of a figure: it is not stated more exactly than this.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Interval {
    /// Lower bound.
    pub low: f64,
    /// Upper bound; verdicts use this one.
    pub high: f64,
}

impl Interval {
    /// An interval; the bounds are put in order.
    pub fn new(a: f64, b: f64) -> Interval {
        Interval { low: a.min(b), high: a.max(b) }
    }

    /// Both bounds times a factor that is not negative.
    pub fn times(self, factor: f64) -> Interval {
        Interval { low: self.low * factor, high: self.high * factor }
    }

    /// The smallest interval that holds both.
    pub fn hull(self, other: Interval) -> Interval {
        Interval { low: self.low.min(other.low), high: self.high.max(other.high) }
    }

    /// True when the value lies inside or on a bound.
    pub fn holds(self, value: f64) -> bool {
        (self.low..=self.high).contains(&value)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bands_follow_each_other_without_a_gap() {
        for pair in LoadClass::ALL.windows(2) {
            assert_eq!(pair[0].percent_mvic().high, pair[1].percent_mvic().low);
        }
        assert_eq!(LoadClass::of_percent_mvic(15.0), LoadClass::Low);
        assert_eq!(LoadClass::of_percent_mvic(15.5), LoadClass::LowToModerate);
        assert_eq!(LoadClass::of_percent_mvic(103.0), LoadClass::VeryHigh);
    }

    #[test]
    fn names_lead_back_to_their_tissue() {
        for &tissue in Tissue::ALL {
            assert_eq!(Tissue::by_id(tissue.id()), Some(tissue));
            assert_eq!(serde_json::to_value(tissue).unwrap(), tissue.id());
            assert!(!tissue.joints().is_empty());
        }
    }
}
