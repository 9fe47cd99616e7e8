//! The content in use: one value that holds library and words, what they were made from, and what was refused. It is
//! read again when the database or the folder holds something else; if that does not check, the one in use stays, and
//! the pages say why.
//!
//! A request takes the content once and keeps it to its end. Whatever is made from it and kept for later requests is
//! kept under its [`edition`](InUse::edition).

use std::path::Path;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex};
use std::time::Duration;

use crate::App;
use crate::fault::Fault;
use handrail_library::Library;
use handrail_spans::{Problems, SourceText};
use handrail_store::content::{self, SignOff};
use handrail_store::{StoreError, Tx};
use handrail_words::{Lang, Words};

use crate::content::library::{Kind, Layers, Shelf, library_of, shelf_of};

/// Time between two looks at whether another process changed the content.
pub const EVERY: Duration = Duration::from_secs(5);

/// What content is made from, in short.
type Stamp = [u8; 32];

/// Content with what it was made from.
#[derive(Debug)]
pub struct InUse {
    /// Library, words, texts and signatures.
    pub shelf: Shelf,
    edition: u64,
    /// `None`: nobody has looked yet at what the clinic itself wrote.
    made_from: Option<Stamp>,
    /// What was refused since, with its mistakes.
    refused: Mutex<Option<(Stamp, Arc<Problems>)>>,
}

impl InUse {
    fn new(shelf: Shelf, made_from: Option<Stamp>) -> InUse {
        static EDITIONS: AtomicU64 = AtomicU64::new(1);
        let edition = EDITIONS.fetch_add(1, Ordering::Relaxed);
        InUse { shelf, edition, made_from, refused: Mutex::default() }
    }

    /// The built-in content, unsigned.
    ///
    /// # Errors
    /// Mistakes in its files (none in a released build: a test holds that).
    pub fn built_in() -> Result<InUse, Problems> {
        Ok(InUse::new(shelf_of(Layers::built_in(), &[])?, None))
    }

    /// Exercises, postures and protocols.
    pub fn library(&self) -> &Arc<Library> {
        &self.shelf.library
    }

    /// Words of a language, the clinic's own included.
    pub fn words(&self, lang: Lang) -> &Words {
        self.shelf.words(lang)
    }

    /// Number that no other content of this process has, of whichever server. Pages, verdicts and sheets that are kept
    /// are kept under it.
    pub fn edition(&self) -> u64 {
        self.edition
    }

    /// The texts of an exercise with its words, or of a protocol, in a few letters; equal in all processes that use
    /// equal texts. Blank where there is none.
    pub fn text_mark(&self, kind: Kind, id: &str) -> String {
        let hash = self.shelf.hashes.get(&(kind, id.to_string()));
        hash.map_or_else(String::new, |it| it.iter().take(6).map(|it| format!("{it:02x}")).collect())
    }

    /// Mistakes of content that waits outside because of them.
    pub fn refused(&self) -> Option<Arc<Problems>> {
        self.refused.lock().unwrap_or_else(|it| it.into_inner()).as_ref().map(|it| it.1.clone())
    }

    fn refuse(&self, made_from: Stamp, problems: Problems) {
        *self.refused.lock().unwrap_or_else(|it| it.into_inner()) = Some((made_from, Arc::new(problems)));
    }

    fn is_made_from(&self, stamp: Stamp) -> bool {
        let refused = self.refused.lock().unwrap_or_else(|it| it.into_inner());
        match refused.as_ref() {
            Some(it) => it.0 == stamp,
            None => self.made_from == Some(stamp),
        }
    }
}

/// The content in use now; reads it again when something changed. Whether it did is seen from names, versions and
/// signatures, without the texts.
///
/// # Errors
/// Database errors; built-in content with mistakes (a test holds that there are none).
pub async fn in_use(app: &App) -> Result<Arc<InUse>, Fault> {
    if let Some(it) = current(app).await? {
        return Ok(it);
    }
    let _alone = app.reading().await;
    match current(app).await? {
        // Somebody read it meanwhile.
        Some(it) => Ok(it),
        None => read(app).await,
    }
}

/// The content in use, when nothing changed since it was made.
async fn current(app: &App) -> Result<Option<Arc<InUse>>, Fault> {
    let folder = app.config().content.clone();
    let stamp = app.store().read(move |tx| stamp_of(tx, folder.as_deref()).map(|it| it.0)).await?;
    Ok(Some(app.content()).filter(|it| it.is_made_from(stamp)))
}

async fn read(app: &App) -> Result<Arc<InUse>, Fault> {
    let folder = app.config().content.clone();
    let from = folder.clone();
    let (newest, (stamp, signed)) =
        app.store().read(move |tx| Ok((content::all_newest(tx)?, stamp_of(tx, from.as_deref())?))).await?;
    let made = tokio::task::spawn_blocking(move || {
        library_of(folder.as_deref(), &newest, &signed).map_err(|problems| (problems, signed))
    })
    .await
    .map_err(|error| Fault::Internal(format!("content: {error}")))?;
    let before = app.content();
    match made {
        Ok(shelf) => Ok(put(app, InUse::new(shelf, Some(stamp)))),
        Err((problems, _)) if before.made_from.is_some() => {
            before.refuse(stamp, problems);
            Ok(before)
        }
        Err((problems, signed)) => {
            // The signatures under built-in texts count also where the clinic's own texts have mistakes.
            let built_in = shelf_of(Layers::built_in(), &signed)
                .map_err(|it| Fault::Internal(format!("built-in content: {it}")))?;
            let held = put(app, InUse::new(built_in, Some(stamp)));
            held.refuse(stamp, problems);
            Ok(held)
        }
    }
}

fn put(app: &App, content: InUse) -> Arc<InUse> {
    let content = Arc::new(content);
    app.use_content(content.clone());
    content
}

/// Keeps the content of a server up to date with what other processes on the same database write, and with the folder.
/// Never ends; a database that is away is asked again.
pub async fn keep_current(app: App, every: Duration) {
    let mut ticks = tokio::time::interval(every);
    ticks.set_missed_tick_behavior(tokio::time::MissedTickBehavior::Delay);
    let mut was_away = false;
    loop {
        ticks.tick().await;
        let looked = in_use(&app).await;
        if let Err(fault) = &looked
            && !was_away
        {
            tracing::warn!("the clinic's own content cannot be looked at: {fault:?}");
        }
        was_away = looked.is_err();
    }
}

/// What the content is made from, in short (versions, signatures, and the folder's files with size and time), and the
/// signatures.
fn stamp_of(tx: &mut dyn Tx, folder: Option<&Path>) -> Result<(Stamp, Vec<SignOff>), StoreError> {
    let signed = content::signoffs(tx)?;
    let mut hasher = blake3::Hasher::new();
    for (kind, id, version) in content::heads(tx)? {
        hasher.update(format!("{kind} {id} {version}\n").as_bytes());
    }
    for it in &signed {
        hasher.update(format!("{} {} {} {}\n", it.kind, it.id, it.recorded, it.by.id).as_bytes());
        hasher.update(&it.text_hash);
    }
    let words = Lang::ALL.map(|it| format!("words/{}", it.id()));
    for part in ["postures", "exercises", "protocols"].into_iter().chain(words.iter().map(String::as_str)) {
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
    Ok((*hasher.finalize().as_bytes(), signed))
}

/// Mistakes of one text by its name, for a form that shows that text.
pub fn is_in(problem: &handrail_spans::Problem, text: &SourceText) -> bool {
    problem.file == text.name
}
