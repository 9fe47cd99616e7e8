//! The one file that knows Typst: its library, the fonts, the template files, and the way out to PDF.
//!
//! Library, fonts and parsed templates are made once for the process. A job brings only its own data and pictures, as
//! files that exist in memory under fixed names; thus the compiler finds the work that does not depend on them (parsing,
//! evaluation of the templates, shaping of words that come again) already done.

use std::sync::OnceLock;

use typst::comemo;
use typst::diag::{FileError, FileResult, SourceDiagnostic, SourceResult, Warned};
use typst::foundations::{Bytes, Datetime, Duration, Smart};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::visualize::SvgImage;
use typst::{Feature, Library, LibraryExt, World};
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards};

use crate::check::PaperError;

/// A job's results stay in the compiler's cache for so many later jobs. Words, labels and pictures come again from
/// patient to patient, so dropping them at once would cost more time than it saves memory.
const CACHED_JOBS: usize = 6;

/// Prefix of the message by which a template says that an exercise is longer than a page.
const TOO_LONG: &str = "too-long: ";

/// Where a template finds the texts.
const DATA: &str = "/data.json";

/// Where the head of the page finds its few texts.
const HEAD: &str = "/head.json";

/// Font files. The first family is the face, the second has the signs which the face lacks.
const FONT_FILES: [&[u8]; 6] = [
    include_bytes!("../../../content/fonts/AtkinsonHyperlegible-Regular.ttf"),
    include_bytes!("../../../content/fonts/AtkinsonHyperlegible-Bold.ttf"),
    include_bytes!("../../../content/fonts/AtkinsonHyperlegible-Italic.ttf"),
    include_bytes!("../../../content/fonts/AtkinsonHyperlegible-BoldItalic.ttf"),
    include_bytes!("../../../content/fonts/HandrailSigns-Regular.ttf"),
    include_bytes!("../../../content/fonts/HandrailSigns-Bold.ttf"),
];

/// Template files: the first is shared, the others are one paper each.
const TEMPLATE_FILES: [(&str, &str); 3] = [
    ("/look.typ", include_str!("../templates/look.typ")),
    ("/handout.typ", include_str!("../templates/handout.typ")),
    ("/handout-main.typ", include_str!("../templates/handout-main.typ")),
];

/// The papers that can be made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Template {
    /// The patient's sheet.
    Handout,
}

impl Template {
    fn main_file(self) -> &'static str {
        match self {
            Template::Handout => "/handout-main.typ",
        }
    }
}

/// One paper to be made.
pub(crate) struct Job {
    pub(crate) template: Template,
    /// All texts as JSON.
    pub(crate) data: String,
    /// The texts of the page head as JSON: `labels` and `head`.
    pub(crate) head: String,
    /// Pictures in the order of their paths.
    pub(crate) pictures: Vec<PictureFile>,
}

/// A picture and the field it came from, for messages.
pub(crate) struct PictureFile {
    pub(crate) place: String,
    pub(crate) svg: String,
}

/// Path under which a template finds the picture of this number.
///
/// Numbers, not names: the compiler keeps every path for the life of the process.
pub(crate) fn picture_path(number: usize) -> String {
    format!("/picture/{number}.svg")
}

/// True if one of the fonts has the character, or if it is a line break or a tab, which need no glyph.
pub(crate) fn has_glyph(c: char) -> bool {
    matches!(c, '\n' | '\t') || shop().fonts.iter().any(|f| f.info().coverage.contains(u32::from(c)))
}

/// Sets the job and writes it as PDF/UA-1.
pub(crate) fn pdf(job: &Job) -> Result<Vec<u8>, PaperError> {
    set(job, |document| typst_pdf::pdf(document, &options()))
}

/// Sets the job and counts its pages.
pub(crate) fn page_count(job: &Job) -> Result<usize, PaperError> {
    set(job, |document| Ok(document.pages().len()))
}

/// Sets the job and hands the pages on. Old results leave the cache afterwards, also when the job failed.
///
/// A warning is an error here. The templates give none, so one means that the page numbers did not settle.
fn set<T>(job: &Job, then: impl FnOnce(&PagedDocument) -> SourceResult<T>) -> Result<T, PaperError> {
    let Warned { output, warnings } = typst::compile(&PaperWorld::new(job));
    let sound = if warnings.is_empty() { output } else { output.and(Err(warnings)) };
    let result = sound.and_then(|document| then(&document)).map_err(|errors| refusal(&errors, job));
    comemo::evict(CACHED_JOBS);
    result
}

fn options() -> PdfOptions {
    PdfOptions {
        creator: Smart::Custom(Some("Handrail".to_owned())),
        standards: shop().standards.clone(),
        ..PdfOptions::default()
    }
}

/// Says the typesetter's errors in terms of the data.
fn refusal(errors: &[SourceDiagnostic], job: &Job) -> PaperError {
    if let Some(title) = errors.iter().find_map(|error| Some(error.message.split_once(TOO_LONG)?.1)) {
        return PaperError::TooLong { title: title.to_owned() };
    }
    let messages: Vec<String> = errors.iter().map(message).collect();
    match job.pictures.iter().find(|picture| is_unreadable(picture)) {
        Some(picture) => PaperError::Picture { place: picture.place.clone(), message: messages.join("; ") },
        None => PaperError::Typeset { messages },
    }
}

fn message(error: &SourceDiagnostic) -> String {
    let hints: String = error.hints.iter().map(|hint| format!(" ({})", hint.v)).collect();
    format!("{}{hints}", error.message)
}

/// True if the picture is no SVG. Asked only after a failure, to name the guilty one.
fn is_unreadable(picture: &PictureFile) -> bool {
    SvgImage::new(Bytes::from_string(picture.svg.clone())).is_err()
}

/// What all jobs share.
struct Shop {
    library: LazyHash<Library>,
    book: LazyHash<FontBook>,
    fonts: Vec<Font>,
    templates: Vec<Source>,
    standards: PdfStandards,
}

fn shop() -> &'static Shop {
    static SHOP: OnceLock<Shop> = OnceLock::new();
    SHOP.get_or_init(|| {
        let fonts: Vec<Font> = FONT_FILES.iter().flat_map(|file| Font::iter(Bytes::new(*file))).collect();
        let templates =
            TEMPLATE_FILES.iter().map(|(path, text)| Source::new(file_id(path), (*text).to_owned()));
        // Header cells of rows are behind this feature in Typst 0.15.
        let features = std::iter::once(Feature::A11yExtras).collect();
        Shop {
            library: LazyHash::new(Library::builder().with_features(features).build()),
            book: LazyHash::new(FontBook::from_fonts(&fonts)),
            fonts,
            templates: templates.collect(),
            standards: PdfStandards::new(&[PdfStandard::Ua_1]).expect("one standard alone cannot conflict"),
        }
    })
}

fn file_id(path: &str) -> FileId {
    let path = VirtualPath::new(path).expect("the paths of this room are well formed");
    RootedPath::new(VirtualRoot::Project, path).intern()
}

/// The compiler's view of one job.
struct PaperWorld {
    shop: &'static Shop,
    main: FileId,
    files: Vec<(FileId, Bytes)>,
}

impl PaperWorld {
    fn new(job: &Job) -> Self {
        let texts = [(DATA, &job.data), (HEAD, &job.head)];
        let texts = texts.into_iter().map(|(path, text)| (file_id(path), Bytes::from_string(text.clone())));
        let pictures = job.pictures.iter().enumerate().map(|(number, picture)| {
            (file_id(&picture_path(number)), Bytes::from_string(picture.svg.clone()))
        });
        let files = texts.chain(pictures).collect();
        PaperWorld { shop: shop(), main: file_id(job.template.main_file()), files }
    }
}

fn not_found(id: FileId) -> FileError {
    FileError::NotFound(id.vpath().get_with_slash().into())
}

impl World for PaperWorld {
    fn library(&self) -> &LazyHash<Library> {
        &self.shop.library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &self.shop.book
    }

    fn main(&self) -> FileId {
        self.main
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        self.shop.templates.iter().find(|source| source.id() == id).cloned().ok_or_else(|| not_found(id))
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        let file = self.files.iter().find(|(file, _)| *file == id);
        file.map(|(_, bytes)| bytes.clone()).ok_or_else(|| not_found(id))
    }

    fn font(&self, index: usize) -> Option<Font> {
        self.shop.fonts.get(index).cloned()
    }

    /// Refused: dates are data.
    fn today(&self, _offset: Option<Duration>) -> Option<Datetime> {
        None
    }
}
