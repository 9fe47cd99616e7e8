//! Rebuilds the embedded texts when a words file changes.

#[expect(clippy::disallowed_macros, reason = "a build script talks to the build by printing")]
fn main() {
    println!("cargo:rerun-if-changed=../../content/words");
}
