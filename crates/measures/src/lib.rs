//! What is measured: named quantities with unit, plausible range and measurement error, and whether a change is
//! larger than that error.
//!
//! Every figure is from a published source that is named beside it with how well it is known. A quantity whose
//! error is not known says so; it is never taken as zero. Never: files, clock, languages.
#![forbid(unsafe_code)]

mod table;

use serde::{Deserialize, Serialize};

/// How well a figure is known to come from its source.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Known {
    /// Seen in the source.
    Read,
    /// Seen in a text that quotes the source.
    Secondary,
    /// Recalled, not confirmed.
    Memory,
    /// Common practice of the trade, or this program's own choice; there is no source.
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

/// What kind of number a quantity is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// Angle of a joint. `drive` is `active`, `passive`, or empty where the name does not say how it was moved.
    Angle {
        /// Joint, as named in content files.
        joint: &'static str,
        /// Motion in which degrees count as positive.
        motion: &'static str,
        /// How the joint was moved.
        drive: &'static str,
    },
    /// Number of repetitions.
    Count,
    /// Seconds.
    Time,
    /// Length, work, force or speed, in the quantity's unit.
    Amount,
    /// Share of the other side's value.
    Percent,
    /// Step of an ordered scale: never averaged.
    Grade,
    /// Total score of a questionnaire or scale.
    Score,
    /// Judged with yes (1) or no (0).
    Judged,
}

/// What the size of a measurement error is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ErrorKind {
    /// Smallest change that is larger than the error with 95 percent confidence.
    Mdc95,
    /// The same with 90 percent.
    Mdc90,
    /// Smallest detectable change, confidence not stated by the source.
    Mdc,
    /// Standard error of one measurement; a change must pass 1.96 times the root of two of it.
    Sem,
    /// Half the width of the 95 percent limits of agreement between two measurements.
    HalfLimitsOfAgreement,
}

/// A published measurement error.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct MeasurementError {
    /// Size, in `unit`.
    pub value: f64,
    /// Unit of the quantity, or `%` of the earlier value.
    pub unit: &'static str,
    /// What it is.
    pub kind: ErrorKind,
    /// Source, with people and method where they differ from the use here.
    pub source: &'static str,
    /// How well it is known.
    pub known: Known,
}

impl MeasurementError {
    /// Change of a value that is still within the error, in the unit of the quantity.
    pub fn of_change(&self, quantity: &Quantity, before: f64) -> f64 {
        let size = match self.kind {
            // Two measurements, each with its error, at 95 percent.
            ErrorKind::Sem => self.value * 1.96 * std::f64::consts::SQRT_2,
            _ => self.value,
        };
        if self.unit == "%" && quantity.unit != "%" { size / 100.0 * before.abs() } else { size }
    }
}

/// How a comparison of sides follows from the same measurement on both.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Derived {
    /// 100 times operated over other side.
    Symmetry {
        /// Quantity measured on both sides.
        of: &'static str,
    },
    /// Other side less operated side.
    Deficit {
        /// Quantity measured on both sides.
        of: &'static str,
    },
}

impl Derived {
    /// Quantity that must be measured on both sides.
    pub fn of(self) -> &'static str {
        match self {
            Derived::Symmetry { of } | Derived::Deficit { of } => of,
        }
    }

    /// Value from both sides; `None` where the other side is nothing to compare with.
    pub fn value(self, operated: f64, other: f64) -> Option<f64> {
        match self {
            Derived::Symmetry { .. } => (other > 0.0).then(|| 100.0 * operated / other),
            Derived::Deficit { .. } => Some(other - operated),
        }
    }
}

/// A named quantity.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Quantity {
    /// Name, as in criteria of protocols and in measurements on record.
    pub id: &'static str,
    /// Unit; empty for what is judged or has none.
    pub unit: &'static str,
    /// Lowest and highest value that is no slip of typing (own bounds; no clinical limit).
    pub plausible: (f64, f64),
    /// Kind.
    pub kind: Kind,
    /// Measurement error, where one is published.
    pub error: Option<MeasurementError>,
    /// How it follows from a measurement on both sides, where it does.
    pub derived: Option<Derived>,
}

impl Quantity {
    /// True for a finite value within the plausible range; what is judged is 0 or 1.
    pub fn is_plausible(&self, value: f64) -> bool {
        let (low, high) = self.plausible;
        let inside = value.is_finite() && (low..=high).contains(&value);
        inside && (self.kind != Kind::Judged || value == 0.0 || value == 1.0)
    }
}

/// A change held against the measurement error.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case", tag = "change")]
pub enum Change {
    /// Not larger than the error: it cannot be told from no change.
    WithinError {
        /// After less before.
        by: f64,
        /// Size of the error.
        error: f64,
    },
    /// Larger than the error.
    Larger {
        /// After less before.
        by: f64,
        /// Size of the error.
        error: f64,
    },
    /// No error is known for this quantity: a change cannot be judged.
    ErrorNotKnown {
        /// After less before.
        by: f64,
    },
}

/// Holds a change against the measurement error of its quantity.
pub fn change(quantity: &Quantity, before: f64, after: f64) -> Change {
    let by = after - before;
    let Some(error) = quantity.error.map(|it| it.of_change(quantity, before)) else {
        return Change::ErrorNotKnown { by };
    };
    // A whole number of tenths has no exact binary form: a change equal to the error stays within it.
    if by.abs() <= error + 1e-9 { Change::WithinError { by, error } } else { Change::Larger { by, error } }
}

/// Every quantity, joints first.
pub fn all() -> &'static [Quantity] {
    table::ALL
}

/// The quantity of this name.
pub fn quantity(id: &str) -> Option<&'static Quantity> {
    all().iter().find(|it| it.id == id)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_unique_and_ranges_are_ranges() {
        for (index, it) in all().iter().enumerate() {
            assert!(it.plausible.0 < it.plausible.1, "{}", it.id);
            assert!(!all()[index + 1..].iter().any(|other| other.id == it.id), "{} twice", it.id);
            assert!(it.id.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'_'));
            if let Some(derived) = it.derived {
                assert!(quantity(derived.of()).is_some(), "{} is of an unknown quantity", it.id);
            }
        }
    }

    #[test]
    fn every_error_is_positive_and_has_its_source_and_a_unit_that_fits() {
        for it in all() {
            let Some(error) = it.error else { continue };
            assert!(error.value > 0.0 && !error.source.is_empty(), "{}", it.id);
            assert!(error.unit == it.unit || error.unit == "%", "{}: {} for {}", it.id, error.unit, it.unit);
            assert!(it.kind != Kind::Judged && it.kind != Kind::Grade, "{}: an order has no distance", it.id);
        }
    }

    #[test]
    fn a_change_equal_to_the_error_is_no_change() {
        let knee = quantity("knee_flexion_active").unwrap();
        let error = knee.error.unwrap().value;
        assert!(matches!(change(knee, 90.0, 90.0 + error), Change::WithinError { .. }));
        assert!(matches!(change(knee, 90.3, 90.3 - error), Change::WithinError { .. }));
        assert!(matches!(change(knee, 90.0, 90.0 + error + 0.1), Change::Larger { .. }));
        assert!(matches!(change(knee, 90.0, 90.0 - error - 0.1), Change::Larger { by, .. } if by < 0.0));
    }

    #[test]
    fn an_unknown_error_is_never_zero() {
        let effusion = quantity("knee_effusion_grade").unwrap();
        assert_eq!(change(effusion, 1.0, 2.0), Change::ErrorNotKnown { by: 1.0 });
        assert_eq!(change(effusion, 1.0, 1.0), Change::ErrorNotKnown { by: 0.0 });
    }

    #[test]
    fn an_error_in_percent_is_taken_of_the_earlier_value() {
        let hop = quantity("hop_distance").unwrap();
        let error = hop.error.unwrap();
        assert_eq!((error.unit, hop.unit), ("%", "cm"));
        assert!(matches!(change(hop, 100.0, 100.0 + error.value - 0.1), Change::WithinError { .. }));
        assert!(matches!(change(hop, 50.0, 50.0 + error.value - 0.1), Change::Larger { .. }));
        let symmetry = quantity("hop_symmetry").unwrap();
        let (before, points) = (50.0, symmetry.error.unwrap().value);
        assert!(matches!(change(symmetry, before, before + points), Change::WithinError { .. }));
    }

    #[test]
    fn a_standard_error_grows_by_two_measurements() {
        let knee = quantity("knee_flexion_active").unwrap();
        let sem = MeasurementError { kind: ErrorKind::Sem, value: 3.162, ..knee.error.unwrap() };
        // STATISTICS.md, `sem_mdc_from_sd_icc`: SEM 3.162 gives MDC95 8.765.
        assert!((sem.of_change(knee, 90.0) - 8.765).abs() < 0.001);
    }

    #[test]
    fn slips_of_typing_are_refused() {
        let knee = quantity("knee_flexion").unwrap();
        assert!(knee.is_plausible(110.0) && !knee.is_plausible(1100.0) && !knee.is_plausible(f64::NAN));
        let gait = quantity("gait").unwrap();
        assert!(gait.is_plausible(1.0) && gait.is_plausible(0.0) && !gait.is_plausible(0.5));
        let pain = quantity("pain").unwrap();
        assert!(pain.is_plausible(10.0) && !pain.is_plausible(11.0) && !pain.is_plausible(-1.0));
    }

    #[test]
    fn a_symmetry_needs_something_to_compare_with() {
        let symmetry = quantity("quadriceps_symmetry").unwrap().derived.unwrap();
        assert_eq!(symmetry.value(80.0, 100.0), Some(80.0));
        assert_eq!(symmetry.value(80.0, 0.0), None);
        let deficit = quantity("knee_flexion_deficit").unwrap().derived.unwrap();
        assert_eq!(deficit.value(120.0, 135.0), Some(15.0));
    }
}
