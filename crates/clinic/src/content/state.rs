//! The shelf in use. It is read again when the database or the folder holds something else than it was made from; if
//! that does not check, the one in use stays, and the pages say why.

use std::path::Path;
use std::sync::{Arc, LazyLock, Mutex};

use crate::App;
use crate::fault::Fault;
use handrail_library::Library;
use handrail_spans::{Problems, SourceText};
use handrail_store::content::{self, Content, SignOff};

use crate::content::library::{Layers, Shelf, library_of, shelf_of};

/// Shelves kept: one for each server of the process.
const KEPT: usize = 8;

/// A shelf with what it was made from.
pub struct InUse {
    /// Content.
    pub shelf: Shelf,
    /// The library as the server holds it; tells whose shelf this is.
    held: Arc<Library>,
    made_from: [u8; 32],
    /// What was refused since, with its mistakes.
    refused: Mutex<Option<([u8; 32], Arc<Problems>)>>,
}

static IN_USE: LazyLock<Mutex<Vec<Arc<InUse>>>> = LazyLock::new(Mutex::default);
static ONE_AT_A_TIME: tokio::sync::Mutex<()> = tokio::sync::Mutex::const_new(());

impl InUse {
    /// Mistakes of content that waits outside because of them.
    pub fn refused(&self) -> Option<Arc<Problems>> {
        self.refused.lock().unwrap_or_else(|it| it.into_inner()).as_ref().map(|it| it.1.clone())
    }

    fn refuse(&self, made_from: [u8; 32], problems: Problems) {
        *self.refused.lock().unwrap_or_else(|it| it.into_inner()) = Some((made_from, Arc::new(problems)));
    }

    fn is_made_from(&self, stamp: [u8; 32]) -> bool {
        let refused = self.refused.lock().unwrap_or_else(|it| it.into_inner());
        match refused.as_ref() {
            Some(it) => it.0 == stamp,
            None => self.made_from == stamp,
        }
    }
}

fn known(app: &App) -> Option<Arc<InUse>> {
    let library = app.library();
    let all = IN_USE.lock().unwrap_or_else(|it| it.into_inner());
    all.iter().find(|it| Arc::ptr_eq(&it.held, &library)).cloned()
}

/// The content in use now; reads it again when something changed. At the start of the server this is called once, so
/// that the library holds the clinic's own content before the first page.
///
/// # Errors
/// Database errors; built-in content with mistakes (a test holds that there are none).
pub async fn in_use(app: &App) -> Result<Arc<InUse>, Fault> {
    let (newest, signed) =
        app.store().read(|tx| Ok((content::all_newest(tx)?, content::signoffs(tx)?))).await?;
    let stamp = stamp_of(app.config().content.as_deref(), &newest, &signed);
    if let Some(it) = known(app).filter(|it| it.is_made_from(stamp)) {
        return Ok(it);
    }
    let _alone = ONE_AT_A_TIME.lock().await;
    let before = known(app);
    if let Some(it) = before.as_ref().filter(|it| it.is_made_from(stamp)) {
        return Ok(it.clone());
    }
    let folder = app.config().content.clone();
    let made = tokio::task::spawn_blocking(move || {
        let made = library_of(folder.as_deref(), &newest, &signed);
        made.map_err(|problems| (problems, signed))
    })
    .await
    .map_err(|error| Fault::Internal(format!("content: {error}")))?;
    match (made, before) {
        (Ok(shelf), _) => Ok(hold(app, shelf, stamp)),
        (Err((problems, _)), Some(before)) => {
            before.refuse(stamp, problems);
            Ok(before)
        }
        (Err((problems, signed)), None) => {
            let built_in = shelf_of(Layers::built_in(), &signed)
                .map_err(|it| Fault::Internal(format!("built-in content: {it}")))?;
            let held = hold(app, built_in, stamp);
            held.refuse(stamp, problems);
            Ok(held)
        }
    }
}

/// Gives the library to the server and keeps the shelf.
fn hold(app: &App, shelf: Shelf, made_from: [u8; 32]) -> Arc<InUse> {
    let mut all = IN_USE.lock().unwrap_or_else(|it| it.into_inner());
    let before = app.library();
    app.set_library(Library::clone(&shelf.library));
    let it = Arc::new(InUse { shelf, held: app.library(), made_from, refused: Mutex::default() });
    all.retain(|it| !Arc::ptr_eq(&it.held, &before));
    if all.len() >= KEPT {
        all.remove(0);
    }
    all.push(it.clone());
    it
}

/// What the content is made from, in short: versions, signatures, and the folder's files with size and time.
fn stamp_of(folder: Option<&Path>, newest: &[Content], signed: &[SignOff]) -> [u8; 32] {
    let mut hasher = blake3::Hasher::new();
    for it in newest {
        hasher.update(format!("{} {} {}\n", it.kind, it.id, it.version).as_bytes());
    }
    for it in signed {
        hasher.update(format!("{} {} {} {}\n", it.kind, it.id, it.recorded, it.by.id).as_bytes());
        hasher.update(&it.text_hash);
    }
    for part in ["postures", "exercises", "protocols", "words/en", "words/es"] {
        let Some(entries) = folder.and_then(|it| std::fs::read_dir(it.join(part)).ok()) else { continue };
        let mut files: Vec<String> = entries
            .filter_map(|it| {
                let it = it.ok()?;
                let meta = it.metadata().ok()?;
                Some(format!("{} {} {:?}\n", it.path().display(), meta.len(), meta.modified().ok()))
            })
            .collect();
        files.sort();
        files.iter().for_each(|it| {
            hasher.update(it.as_bytes());
        });
    }
    *hasher.finalize().as_bytes()
}

/// Mistakes of one text by its name, for a form that shows that text.
pub fn is_in(problem: &handrail_spans::Problem, text: &SourceText) -> bool {
    problem.file == text.name
}
