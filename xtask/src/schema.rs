//! JSON Schemas of the text formats, for editors that complete and check them.

use std::path::Path;
use std::process::ExitCode;

use handrail_episode::EpisodeSpec;
use handrail_motion::{MotionSpec, PostureSpec};
use handrail_protocol::ProtocolSpec;

/// Folder of the schemas.
const FOLDER: &str = "docs/schema";

fn all() -> [(&'static str, String); 4] {
    let text = |schema: schemars::Schema| {
        let mut text = serde_json::to_string_pretty(&schema).unwrap_or_default();
        text.push('\n');
        text
    };
    [
        ("episode.schema.json", text(schemars::schema_for!(EpisodeSpec))),
        ("exercise.schema.json", text(schemars::schema_for!(MotionSpec))),
        ("posture.schema.json", text(schemars::schema_for!(PostureSpec))),
        ("protocol.schema.json", text(schemars::schema_for!(ProtocolSpec))),
    ]
}

/// Writes the schemas, or compares them with the files.
pub fn schema(check: bool) -> ExitCode {
    let folder = Path::new(FOLDER);
    let mut stale = 0;
    for (name, text) in all() {
        let path = folder.join(name);
        if check {
            if std::fs::read_to_string(&path).ok().as_deref() != Some(&text) {
                eprintln!("{}: not fresh; run `cargo xtask schema`", path.display());
                stale += 1;
            }
        } else if let Err(error) = std::fs::create_dir_all(folder).and_then(|()| std::fs::write(&path, text))
        {
            eprintln!("{}: {error}", path.display());
            return ExitCode::from(2);
        } else {
            println!("{}", path.display());
        }
    }
    ExitCode::from(u8::from(stale > 0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn published_schemas_are_fresh() {
        let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..").join(FOLDER);
        for (name, text) in all() {
            let found = std::fs::read_to_string(root.join(name)).unwrap_or_default();
            assert!(found == text, "{name} is not fresh; run `cargo xtask schema`");
        }
    }
}
