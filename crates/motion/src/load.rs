//! Load on a tissue during one repetition, with its basis and honest bounds.
//!
//! Two bases. `computed`: net joint moment of the solved repetition over the published range of moment arms.
//! `measured`: a published figure for this exercise, written in its file. What neither gives is not known,
//! and says why; a ceiling on it then refuses the exercise.

use handrail_anatomy::{Interval, Known, LoadUnit, Side, Tissue};

/// Where a load comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LoadBasis {
    /// From the solved repetition.
    Computed,
    /// Published for the exercise.
    Measured,
}

impl LoadBasis {
    /// Word used in JSON.
    pub fn id(self) -> &'static str {
        match self {
            LoadBasis::Computed => "computed",
            LoadBasis::Measured => "measured",
        }
    }
}

/// Load on one tissue in one repetition.
#[derive(Clone, Debug, PartialEq)]
pub struct TissueLoad {
    /// Tissue.
    pub tissue: Tissue,
    /// Side.
    pub side: Side,
    /// Basis.
    pub basis: LoadBasis,
    /// Largest load of the repetition, in the tissue's unit.
    pub peak: Interval,
    /// Seconds into the repetition at which it is largest; `None` for measured loads.
    pub at: Option<f64>,
    /// Load summed over the time of one repetition, unit times seconds; `None` where the course over time is
    /// not known.
    pub impulse: Option<Interval>,
    /// Where the bounds come from.
    pub source: String,
    /// How well that is known; of several sources the weakest.
    pub known: Known,
}

impl TissueLoad {
    /// Unit of peak (and of impulse, times seconds).
    pub fn unit(&self) -> LoadUnit {
        self.tissue.unit()
    }
}

/// Why a load cannot be stated.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NotKnown {
    /// A foot lands; the forces of landing are not in the model.
    Impact,
    /// The muscle is tensed without motion, as hard as the patient tenses it.
    Isometric,
    /// Another hand, a strap or a pulley moves the joint with a force that is not known.
    MovedFromOutside,
    /// The resistance has no stated size or direction.
    Resistance,
    /// The supports do not balance the body in this pose, so the forces are not known.
    NotBalanced,
    /// No figure is published for this exercise, and the model does not reach this tissue.
    NotPublished,
}

impl NotKnown {
    /// Every reason.
    pub const ALL: [NotKnown; 6] = [
        NotKnown::Impact,
        NotKnown::Isometric,
        NotKnown::MovedFromOutside,
        NotKnown::Resistance,
        NotKnown::NotBalanced,
        NotKnown::NotPublished,
    ];

    /// Key used in JSON and by `words`.
    pub fn id(self) -> &'static str {
        match self {
            NotKnown::Impact => "impact",
            NotKnown::Isometric => "isometric",
            NotKnown::MovedFromOutside => "moved_from_outside",
            NotKnown::Resistance => "resistance",
            NotKnown::NotBalanced => "not_balanced",
            NotKnown::NotPublished => "not_published",
        }
    }
}

/// What can be said of the load on a tissue in one repetition.
#[derive(Clone, Debug, PartialEq)]
pub enum Load {
    /// Stated with bounds.
    Known(TissueLoad),
    /// Only an order is known: more than in each exercise of `above`, less than in each of `below`.
    Order {
        /// Tissue.
        tissue: Tissue,
        /// Exercises that load it less.
        above: Vec<String>,
        /// Exercises that load it more.
        below: Vec<String>,
        /// Where the order comes from.
        source: String,
        /// How well that is known.
        known: Known,
    },
    /// Not known.
    NotKnown(NotKnown),
}

impl Load {
    /// The load where it is stated.
    pub fn stated(&self) -> Option<&TissueLoad> {
        match self {
            Load::Known(load) => Some(load),
            _ => None,
        }
    }
}

/// Load on a tissue of one side in a repetition.
pub fn tissue_load(
    motion: &crate::Motion,
    body: &handrail_anatomy::Body,
    repetition: &crate::Repetition,
    tissue: Tissue,
    side: Side,
) -> Load {
    let _ = (motion, body, repetition, tissue, side);
    Load::NotKnown(NotKnown::NotPublished)
}
