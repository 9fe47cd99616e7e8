//! Left and right, and the working and other limb that content is written for.

use serde::{Deserialize, Serialize};

/// Side of the body.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, schemars::JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Side {
    /// The person's left.
    Left,
    /// The person's right.
    Right,
}

impl Side {
    /// Both sides, left first.
    pub const BOTH: [Side; 2] = [Side::Left, Side::Right];

    /// The opposite side.
    pub fn other(self) -> Side {
        match self {
            Side::Left => Side::Right,
            Side::Right => Side::Left,
        }
    }

    /// +1 on the right, -1 on the left: the sign of the Z axis (to the right) for "outward".
    pub fn outward(self) -> f64 {
        match self {
            Side::Right => 1.0,
            Side::Left => -1.0,
        }
    }

    /// English word, as used in files and JSON.
    pub fn word(self) -> &'static str {
        match self {
            Side::Left => "left",
            Side::Right => "right",
        }
    }
}

/// The limb an exercise is written for, resolved to a [`Side`] at prescription.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, schemars::JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Limb {
    /// The limb that is trained (usually the operated one).
    Working,
    /// The opposite limb.
    Other,
}

impl Limb {
    /// The side of this limb when the working side is `working`.
    pub fn side(self, working: Side) -> Side {
        match self {
            Limb::Working => working,
            Limb::Other => working.other(),
        }
    }
}

/// One value for each side.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct BySide<T> {
    /// Value of the left side.
    pub left: T,
    /// Value of the right side.
    pub right: T,
}

impl<T> BySide<T> {
    /// Builds both values.
    pub fn from_fn(mut f: impl FnMut(Side) -> T) -> Self {
        Self { left: f(Side::Left), right: f(Side::Right) }
    }

    /// The value of one side.
    pub fn get(&self, side: Side) -> &T {
        match side {
            Side::Left => &self.left,
            Side::Right => &self.right,
        }
    }

    /// The value of one side, to change.
    pub fn get_mut(&mut self, side: Side) -> &mut T {
        match side {
            Side::Left => &mut self.left,
            Side::Right => &mut self.right,
        }
    }
}
