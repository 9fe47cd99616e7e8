//! Pictures to look at: every exercise, and every page of the demo's papers.

use std::path::Path;
use std::process::{Command, ExitCode};

fn run(program: &str, args: &[&str]) -> Result<(), String> {
    let done = Command::new(program).args(args).status().map_err(|error| format!("{program}: {error}"))?;
    if done.success() { Ok(()) } else { Err(format!("{program} {}: {done}", args.join(" "))) }
}

/// Makes all pictures in a folder; needs rsvg-convert and pdftoppm.
pub fn shots(out: &Path) -> ExitCode {
    match make(out) {
        Ok(()) => {
            println!("look at {}", out.display());
            ExitCode::SUCCESS
        }
        Err(error) => {
            eprintln!("{error}\nhint: rsvg-convert is in librsvg2-bin, pdftoppm in poppler-utils");
            ExitCode::from(2)
        }
    }
}

fn make(out: &Path) -> Result<(), String> {
    let text = out.display().to_string();
    std::fs::create_dir_all(out).map_err(|error| format!("{text}: {error}"))?;
    for side in ["left", "right"] {
        let folder = out.join(side);
        std::fs::create_dir_all(&folder).map_err(|error| error.to_string())?;
        let folder = folder.display().to_string();
        let example = ["run", "--release", "--quiet", "-p", "handrail-figures", "--example", "content", "--"];
        let args: Vec<&str> = example.into_iter().chain(["content", &folder, side]).collect();
        run("cargo", &args)?;
        each(Path::new(&folder), "svg", |path| {
            let name = path.file_stem().map(|it| it.to_string_lossy().into_owned()).unwrap_or_default();
            if !name.starts_with("page-") {
                return Ok(());
            }
            let png = path.with_extension("png").display().to_string();
            run("rsvg-convert", &["-w", "1600", &path.display().to_string(), "-o", &png])
        })?;
    }
    let demo = out.join("demo").display().to_string();
    run(
        "cargo",
        &["run", "--release", "--quiet", "-p", "handrail-cli", "--", "demo", "--no-serve", "--data", &demo],
    )?;
    each(Path::new(&demo), "pdf", |path| {
        let stem = path.with_extension("").display().to_string();
        run("pdftoppm", &["-r", "70", "-png", &path.display().to_string(), &stem])
    })
}

fn each(folder: &Path, extension: &str, task: impl Fn(&Path) -> Result<(), String>) -> Result<(), String> {
    let entries = std::fs::read_dir(folder).map_err(|error| format!("{}: {error}", folder.display()))?;
    for entry in entries.flatten() {
        let path = entry.path();
        if path.extension().is_some_and(|it| it == extension) {
            task(&path)?;
        }
    }
    Ok(())
}
