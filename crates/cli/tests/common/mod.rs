//! Running the built command as a person would, from the root of the repository.
#![allow(dead_code)] // each test file uses a part of it

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// Day on which the three invented episodes are looked at.
pub const DAY: &str = "2026-11-25";
pub const EPISODES: [&str; 3] = ["achilles", "acl", "cuff"];

pub fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../..").canonicalize().unwrap()
}

pub fn episode(name: &str) -> String {
    format!("content/demo/{name}.toml")
}

pub fn run(args: &[&str]) -> Output {
    run_in(&root(), args)
}

pub fn run_in(folder: &Path, args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_handrail"))
        .args(args)
        .current_dir(folder)
        .env("NO_COLOR", "1")
        .env("TERM", "dumb")
        .env("COLUMNS", "100")
        .env_remove("CLICOLOR_FORCE")
        .env_remove("RUST_BACKTRACE")
        .output()
        .unwrap()
}

/// Runs with something on standard input.
pub fn run_with(args: &[&str], input: &[u8]) -> Output {
    use std::io::Write as _;
    let mut child = Command::new(env!("CARGO_BIN_EXE_handrail"))
        .args(args)
        .current_dir(root())
        .env("NO_COLOR", "1")
        .stdin(std::process::Stdio::piped())
        .stdout(std::process::Stdio::piped())
        .stderr(std::process::Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(input).unwrap();
    child.wait_with_output().unwrap()
}

pub fn code(output: &Output) -> i32 {
    output.status.code().expect("it ended by itself")
}

pub fn stdout(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

pub fn stderr(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

/// Everything a person sees, as one text.
pub fn seen(args: &[&str]) -> String {
    let output = run(args);
    format!(
        "$ handrail {}\nexit code {}\n--- output\n{}--- errors\n{}",
        args.join(" "),
        code(&output),
        stdout(&output),
        stderr(&output)
    )
}

/// An own empty folder, removed at the end.
pub struct Folder(pub PathBuf);

impl Folder {
    pub fn new(name: &str) -> Folder {
        let path = std::env::temp_dir().join(format!("handrail-test-{}-{name}", std::process::id()));
        let _ = std::fs::remove_dir_all(&path);
        std::fs::create_dir_all(&path).unwrap();
        Folder(path)
    }

    pub fn file(&self, name: &str) -> PathBuf {
        self.0.join(name)
    }

    pub fn names(&self) -> Vec<String> {
        let mut names: Vec<String> = std::fs::read_dir(&self.0)
            .unwrap()
            .map(|it| it.unwrap().file_name().into_string().unwrap())
            .collect();
        names.sort();
        names
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

pub fn text(path: &Path) -> &str {
    path.to_str().unwrap()
}

/// A copy of an invented episode with one passage changed.
pub fn changed(folder: &Folder, name: &str, from: &str, to: &str) -> PathBuf {
    let original = std::fs::read_to_string(root().join(episode(name))).unwrap();
    assert!(original.contains(from), "{from} is not in {name}");
    let path = folder.file(&format!("{name}.toml"));
    std::fs::write(&path, original.replacen(from, to, 1)).unwrap();
    path
}
