//! Rebuilds the embedded content when a content file changes.
fn main() {
    println!("cargo:rerun-if-changed=../../content");
}
