//! Screens: content. Developed as a crate of its own; moves into the room `clinic` as a module.

use handrail_clinic::Route;

/// Routes.
pub fn routes() -> Vec<Route> {
    Vec::new()
}
