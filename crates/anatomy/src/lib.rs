//! Joints and their clinical motions, sides, segments, muscles, and the body of one person.
//!
//! Frames follow the ISB recommendations (Wu 2002, 2005): X forward, Y up, Z to the person's right, for the
//! world and for every segment of both sides. Clinical signs (neutral-zero method) are turned into rotations
//! in one table, [`tree::joint_rotation`]. Never: files, clock, protocols, exercises.
#![forbid(unsafe_code)]

pub mod arms;
pub mod body;
pub mod effort;
pub mod joints;
pub mod landmarks;
pub mod muscles;
pub mod side;
pub mod table;
pub mod tissue;
pub mod tree;

pub use arms::{
    ArmOf, ArmRow, MOMENT_ARMS, MomentArm, PATELLOFEMORAL_KNOWN, PATELLOFEMORAL_SOURCE, Within, moment_arm,
    patellofemoral_ratio,
};
pub use body::{Body, BodyError, Person, Sex};
pub use effort::{ACTIVITIES, Device, Drive, Position};
pub use joints::{
    ClinicalMotion, Coord, Dof, Joint, Measure, N_COORDS, Pose, clinical_motion, clinical_motions,
};
pub use landmarks::Landmark;
pub use muscles::Muscle;
pub use side::{BySide, Limb, Side};
pub use table::SegmentTable;
pub use tissue::{Interval, Known, LoadClass, LoadUnit, Tissue};
pub use tree::{Kinematics, N_SEGMENTS, SegmentId};
