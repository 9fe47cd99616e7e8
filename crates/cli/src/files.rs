//! Files that are written: whole or not at all, and an existing one stays unless it may be replaced.

use std::path::Path;

use crate::room::{Stop, print};

/// Writes a whole file or nothing; an existing one stays unless it may be replaced.
pub fn write(path: &Path, bytes: &[u8], replace: bool) -> Result<(), Stop> {
    if path.exists() && !replace {
        return Err(Stop::new(
            format!("{} exists", path.display()),
            "choose another --out, or add --replace",
        ));
    }
    let part = path.with_extension("part");
    let done = std::fs::write(&part, bytes).and_then(|()| std::fs::rename(&part, path));
    done.map_err(|error| {
        let _ = std::fs::remove_file(&part);
        Stop::new(format!("{}: {error}", path.display()), "check that the folder exists and can be written")
    })
}

/// Writes a picture: as PNG when the file's name ends so, as SVG otherwise; to standard output without a file.
pub fn write_picture(path: Option<&Path>, svg: &str, replace: bool) -> Result<(), Stop> {
    match path {
        None => {
            print(svg);
            Ok(())
        }
        Some(path) if path.extension().is_some_and(|it| it == "png") => write(path, &png(svg)?, replace),
        Some(path) => write(path, svg.as_bytes(), replace),
    }
}

/// Faces in which pictures are set.
const FACES: [&[u8]; 2] = [
    include_bytes!("../../../content/fonts/AtkinsonHyperlegible-Regular.ttf"),
    include_bytes!("../../../content/fonts/AtkinsonHyperlegible-Bold.ttf"),
];

/// Renders an SVG at twice its size.
fn png(svg: &str) -> Result<Vec<u8>, Stop> {
    use resvg::{tiny_skia, usvg};
    let fail = |what: String| Stop::new(format!("picture: {what}"), "write it as .svg instead");
    let mut options = usvg::Options::default();
    for face in FACES {
        options.fontdb_mut().load_font_data(face.to_vec());
    }
    options.font_family = "Atkinson Hyperlegible".into();
    let tree = usvg::Tree::from_str(svg, &options).map_err(|error| fail(error.to_string()))?;
    let size = tree.size();
    let (width, height) = ((size.width() * 2.0).ceil() as u32, (size.height() * 2.0).ceil() as u32);
    let mut pixels = tiny_skia::Pixmap::new(width, height).ok_or_else(|| fail("no size".into()))?;
    resvg::render(&tree, tiny_skia::Transform::from_scale(2.0, 2.0), &mut pixels.as_mut());
    pixels.encode_png().map_err(|error| fail(error.to_string()))
}
