//! Writes the sample handout in both languages, papers and prints into the folder given as the only argument.

#[path = "../tests/sample/mod.rs"]
mod sample;

use handrail_papers::{Paper, Print, handout_pdf, page_count};
use sample::Language;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = std::path::PathBuf::from(std::env::args().nth(1).ok_or("give a folder")?);
    for (language, name) in [(Language::English, "en"), (Language::Spanish, "es")] {
        for (paper, sheet) in [(Paper::A4, "a4"), (Paper::Letter, "letter")] {
            for (print, size) in [(Print::Normal, "normal"), (Print::Large, "large")] {
                let handout = sample::handout(language, paper, print);
                let path = folder.join(format!("handout-{name}-{sheet}-{size}.pdf"));
                std::fs::write(&path, handout_pdf(&handout)?)?;
                println!("{} pages: {}", page_count(&handout)?, path.display());
            }
        }
    }
    Ok(())
}
