//! Rebuilds the embedded texts when a words file changes.
fn main() {
    println!("cargo:rerun-if-changed=../../content/words");
}
