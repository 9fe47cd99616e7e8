//! Segment masses, centres of mass and radii of gyration: one published table at a time, never mixed.
//!
//! Sources: Winter, *Biomechanics and Motor Control of Human Movement*, 4th ed. 2009, Table 4.1 (Dempster
//! data), known: secondary; de Leva 1996, J Biomech 29(9):1223-1230, Table 4, known: secondary.

use serde::{Deserialize, Serialize};

use crate::body::Sex;

/// Which published segment table a body is built from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum SegmentTable {
    /// Winter 2009 (Dempster's cadavers); one table for both sexes.
    Winter,
    /// de Leva 1996 (adjusted Zatsiorsky-Seluyanov, living young adults), by sex.
    DeLeva,
}

/// Segments that carry mass. Sided ones exist twice.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[allow(missing_docs)]
pub enum MassSegment {
    HeadNeck,
    UpperTrunk,
    MiddleTrunk,
    LowerTrunk,
    UpperArm,
    Forearm,
    Hand,
    Thigh,
    Shank,
    Foot,
}

impl MassSegment {
    /// All, trunk first.
    pub const ALL: [MassSegment; 10] = [
        MassSegment::HeadNeck,
        MassSegment::UpperTrunk,
        MassSegment::MiddleTrunk,
        MassSegment::LowerTrunk,
        MassSegment::UpperArm,
        MassSegment::Forearm,
        MassSegment::Hand,
        MassSegment::Thigh,
        MassSegment::Shank,
        MassSegment::Foot,
    ];

    /// How many of it a body has.
    pub fn count(self) -> f64 {
        match self {
            MassSegment::HeadNeck
            | MassSegment::UpperTrunk
            | MassSegment::MiddleTrunk
            | MassSegment::LowerTrunk => 1.0,
            _ => 2.0,
        }
    }
}

/// One row of a segment table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SegmentRow {
    /// Share of body mass.
    pub mass_fraction: f64,
    /// Centre of mass from the first end point, as a fraction of the table's own segment length.
    pub com_fraction: f64,
    /// Radius of gyration about the centre of mass and the transverse (flexion) axis, as a fraction of the
    /// same length; `None` where the table gives none (then the body uses a solid elliptical cylinder).
    pub gyration_transverse: Option<f64>,
    /// The same about the sagittal axis.
    pub gyration_sagittal: Option<f64>,
    /// The same about the long axis.
    pub gyration_longitudinal: Option<f64>,
}

/// Winter gives one radius: it holds for the two axes across the segment.
fn winter(mass: f64, com: f64, gyration: Option<f64>) -> SegmentRow {
    SegmentRow {
        mass_fraction: mass,
        com_fraction: com,
        gyration_transverse: gyration,
        gyration_sagittal: gyration,
        gyration_longitudinal: None,
    }
}

fn de_leva(mass: f64, com: f64, sagittal: f64, transverse: f64, longitudinal: f64) -> SegmentRow {
    SegmentRow {
        mass_fraction: mass,
        com_fraction: com,
        gyration_transverse: Some(transverse),
        gyration_sagittal: Some(sagittal),
        gyration_longitudinal: Some(longitudinal),
    }
}

impl SegmentTable {
    /// The row of a segment. End points are the table's own; [`crate::body`] places them.
    pub fn row(self, segment: MassSegment, sex: Sex) -> SegmentRow {
        match (self, sex) {
            (SegmentTable::Winter, _) => match segment {
                MassSegment::HeadNeck => winter(0.081, 1.0, Some(0.495)),
                MassSegment::UpperTrunk => winter(0.216, 0.82, None),
                MassSegment::MiddleTrunk => winter(0.139, 0.44, None),
                MassSegment::LowerTrunk => winter(0.142, 0.105, None),
                MassSegment::UpperArm => winter(0.028, 0.436, Some(0.322)),
                MassSegment::Forearm => winter(0.016, 0.430, Some(0.303)),
                MassSegment::Hand => winter(0.006, 0.506, Some(0.297)),
                MassSegment::Thigh => winter(0.100, 0.433, Some(0.323)),
                MassSegment::Shank => winter(0.0465, 0.433, Some(0.302)),
                MassSegment::Foot => winter(0.0145, 0.5, Some(0.475)),
            },
            (SegmentTable::DeLeva, Sex::Male) => match segment {
                MassSegment::HeadNeck => de_leva(0.0694, 0.5002, 0.303, 0.315, 0.261),
                MassSegment::UpperTrunk => de_leva(0.1596, 0.2999, 0.716, 0.454, 0.659),
                MassSegment::MiddleTrunk => de_leva(0.1633, 0.4502, 0.482, 0.383, 0.468),
                MassSegment::LowerTrunk => de_leva(0.1117, 0.6115, 0.615, 0.551, 0.587),
                MassSegment::UpperArm => de_leva(0.0271, 0.5772, 0.285, 0.269, 0.158),
                MassSegment::Forearm => de_leva(0.0162, 0.4574, 0.276, 0.265, 0.121),
                MassSegment::Hand => de_leva(0.0061, 0.79, 0.628, 0.513, 0.401),
                MassSegment::Thigh => de_leva(0.1416, 0.4095, 0.329, 0.329, 0.149),
                MassSegment::Shank => de_leva(0.0433, 0.4395, 0.251, 0.246, 0.102),
                MassSegment::Foot => de_leva(0.0137, 0.4415, 0.257, 0.245, 0.124),
            },
            (SegmentTable::DeLeva, Sex::Female) => match segment {
                MassSegment::HeadNeck => de_leva(0.0668, 0.4841, 0.271, 0.295, 0.261),
                MassSegment::UpperTrunk => de_leva(0.1545, 0.2077, 0.746, 0.502, 0.718),
                MassSegment::MiddleTrunk => de_leva(0.1465, 0.4512, 0.433, 0.354, 0.415),
                MassSegment::LowerTrunk => de_leva(0.1247, 0.492, 0.433, 0.402, 0.444),
                MassSegment::UpperArm => de_leva(0.0255, 0.5754, 0.278, 0.26, 0.148),
                MassSegment::Forearm => de_leva(0.0138, 0.4559, 0.261, 0.257, 0.094),
                MassSegment::Hand => de_leva(0.0056, 0.7474, 0.531, 0.454, 0.335),
                MassSegment::Thigh => de_leva(0.1478, 0.3612, 0.369, 0.364, 0.162),
                MassSegment::Shank => de_leva(0.0481, 0.4352, 0.267, 0.263, 0.092),
                MassSegment::Foot => de_leva(0.0129, 0.4014, 0.299, 0.279, 0.139),
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Both tables must come back to the whole body (Winter 0.678 + 2 x 0.161; de Leva: sum of Table 4).
    #[test]
    fn mass_fractions_sum_to_the_whole_body() {
        for (table, tolerance) in [(SegmentTable::Winter, 1e-12), (SegmentTable::DeLeva, 2.5e-4)] {
            for sex in [Sex::Female, Sex::Male] {
                let sum: f64 =
                    MassSegment::ALL.iter().map(|&it| it.count() * table.row(it, sex).mass_fraction).sum();
                assert!((sum - 1.0).abs() <= tolerance, "{table:?} {sex:?}: {sum}");
            }
        }
    }
}
