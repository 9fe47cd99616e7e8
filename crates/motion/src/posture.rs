//! Base postures: where a body rests before an exercise moves it.

use std::collections::BTreeMap;

use handrail_anatomy::{Landmark, Limb, Position};
use handrail_spans::{Problems, SourceText, Spanned};
use serde::Deserialize;

use crate::compile::{Contact, CoordRef, Names, check_angles, check_contacts, check_solve};
use crate::quantity::{Quantity, QuantitySpec};
use crate::spec::{ContactSpec, PointSpec};

/// A posture as written.
#[derive(Clone, Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PostureSpec {
    /// Name, equal to the file name.
    #[schemars(with = "String")]
    pub id: Spanned<String>,
    /// Place in the home that it happens at: chair, bed, standing, table, wall, step, counter.
    pub place: String,
    /// Positions in the words of orders.
    pub positions: Vec<Position>,
    /// Orientation of the pelvis: turn (about the vertical), list, tilt, degrees, right side working.
    #[serde(default)]
    pub root: RootSpec,
    /// Point that lies at the origin on its surface.
    pub anchor: AnchorSpec,
    /// Where a wall is, m before the origin.
    #[serde(default)]
    pub wall: Option<QuantitySpec>,
    /// Angles of the working limb pair, degrees.
    #[serde(default)]
    #[schemars(with = "crate::spec::Angles")]
    pub working: BTreeMap<String, Spanned<QuantitySpec>>,
    /// Angles of the other.
    #[serde(default)]
    #[schemars(with = "crate::spec::Angles")]
    pub other: BTreeMap<String, Spanned<QuantitySpec>>,
    /// Angles of both.
    #[serde(default)]
    #[schemars(with = "crate::spec::Angles")]
    pub both: BTreeMap<String, Spanned<QuantitySpec>>,
    /// Angles of trunk and neck.
    #[serde(default)]
    #[schemars(with = "crate::spec::Angles")]
    pub body: BTreeMap<String, Spanned<QuantitySpec>>,
    /// Contacts of the posture.
    #[serde(default)]
    pub contact: Vec<ContactSpec>,
    /// Coordinates that follow from these contacts.
    #[serde(default)]
    #[schemars(with = "Vec<String>")]
    pub solve: Vec<Spanned<String>>,
    /// True when the body balances: the centre of mass is kept over the middle of the supports.
    #[serde(default)]
    pub balance: bool,
    /// Furniture drawn: chair, bed, table, wall, step, pillow_head, counter.
    #[serde(default)]
    pub furniture: Vec<String>,
}

/// Orientation of the pelvis, degrees.
#[derive(Clone, Copy, Debug, Default, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct RootSpec {
    /// About the vertical, to the left positive.
    pub turn: f64,
    /// About the forward axis, to the right positive.
    pub list: f64,
    /// About the sideways axis, leaning back positive.
    pub tilt: f64,
}

/// Point that holds the posture in the room.
#[derive(Clone, Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AnchorSpec {
    /// Point.
    pub point: PointSpec,
    /// Surface: floor, seat, bed, table, step.
    #[schemars(with = "String")]
    pub on: Spanned<String>,
}

/// Surfaces a point can be on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[allow(missing_docs)]
pub enum Surface {
    Floor,
    Seat,
    Bed,
    Table,
    Step,
    Wall,
    Ball,
}

impl Surface {
    /// Parses a surface's name.
    pub fn parse(name: &str) -> Option<Surface> {
        Some(match name {
            "floor" => Surface::Floor,
            "seat" => Surface::Seat,
            "bed" => Surface::Bed,
            "table" => Surface::Table,
            "step" => Surface::Step,
            "wall" => Surface::Wall,
            "ball" => Surface::Ball,
            _ => return None,
        })
    }

    /// Name used in files and JSON.
    pub fn id(self) -> &'static str {
        match self {
            Surface::Floor => "floor",
            Surface::Seat => "seat",
            Surface::Bed => "bed",
            Surface::Table => "table",
            Surface::Step => "step",
            Surface::Wall => "wall",
            Surface::Ball => "ball",
        }
    }
}

/// A checked posture.
#[derive(Clone, Debug)]
pub struct Posture {
    /// Name.
    pub id: String,
    /// Place in the home.
    pub place: String,
    /// Positions in the words of orders.
    pub positions: Vec<Position>,
    /// Pelvis orientation in degrees (turn, list, tilt), right side working.
    pub root: RootSpec,
    /// Anchored point.
    pub anchor: (PointSpec, Surface),
    /// Wall before the origin, m.
    pub wall: Option<Quantity>,
    /// Angles by coordinate.
    pub angles: BTreeMap<CoordRef, Quantity>,
    /// Contacts.
    pub contacts: Vec<Contact>,
    /// Solved coordinates.
    pub solve: Vec<CoordRef>,
    /// The body balances over its supports.
    pub balance: bool,
    /// Furniture.
    pub furniture: Vec<String>,
}

impl Posture {
    /// True when the anchored point is a given landmark.
    pub fn is_anchored_at(&self, landmark: Landmark) -> bool {
        self.anchor.0.point == landmark
    }
}

/// Reads and checks a posture.
///
/// # Errors
/// All mistakes of the file, each with its line.
pub fn read_posture(source: &SourceText) -> Result<Posture, Problems> {
    let spec: PostureSpec = source.parse()?;
    let mut problems = Problems::default();
    let names = Names::without_parameters();
    let mut angles = BTreeMap::new();
    let limbs = [
        (&spec.both, &[Limb::Working, Limb::Other][..]),
        (&spec.working, &[Limb::Working][..]),
        (&spec.other, &[Limb::Other][..]),
    ];
    for (table, limbs) in limbs {
        check_angles(source, &names, table, Some(limbs), &mut angles, &mut problems);
    }
    check_angles(source, &names, &spec.body, None, &mut angles, &mut problems);
    let contacts = check_contacts(source, &spec.contact, &mut problems);
    let solve = check_solve(source, &spec.solve, &mut problems);
    let on = Surface::parse(spec.anchor.on.get_ref());
    if on.is_none() {
        problems.0.push(source.problem(
            spec.anchor.on.span(),
            "anchor.on",
            format!("`{}` is not a surface", spec.anchor.on.get_ref()),
            "use floor, seat, bed, table or step",
        ));
    }
    let wall = spec.wall.as_ref().and_then(|it| match it.check(|name| names.knows(name)) {
        Ok(quantity) => Some(quantity),
        Err(message) => {
            problems.0.push(source.problem(0..0, "wall", message, "write metres or a sum with body lengths"));
            None
        }
    });
    let posture = Posture {
        id: spec.id.into_inner(),
        place: spec.place,
        positions: spec.positions,
        root: spec.root,
        anchor: (spec.anchor.point, on.unwrap_or(Surface::Floor)),
        wall,
        angles,
        contacts,
        solve,
        balance: spec.balance,
        furniture: spec.furniture,
    };
    problems.or(posture)
}
