//! Episodes out of the journal and facts into it. Who looked is written down before anything is shown; the line of
//! the caseload is written in the same transaction as the fact.

use std::sync::Arc;

use handrail_episode::journal::{FORM, decode, encode, kind};
use handrail_episode::{Entry, Episode, Fact, View, fold};
use handrail_library::Library;
use handrail_progress::{Summary, attention, summary};
use handrail_store::journal::{self, Author, Filter, Head, NewRecord, Record};
use handrail_store::{StoreError, Tx, caseload};
use jiff::Timestamp;
use jiff::civil::Date;

use crate::app::App;
use crate::fault::Fault;
use crate::gate::{Desk, PatientSession};

/// Kinds that tell who looked, not what is true.
const VIEWS: &[&str] = &["view"];

/// Who entered a fact and when: a record without its text, which is the fact, and without its place in the chain.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stamp {
    /// Number of the record.
    pub number: u64,
    /// When it was recorded.
    pub recorded: Timestamp,
    /// Who entered it.
    pub by: Author,
    /// What sort of fact it is.
    pub kind: &'static str,
    /// Record that it takes the place of.
    pub supersedes: Option<u64>,
    /// Sender's key.
    pub key: Option<String>,
}

/// An episode with the facts it was folded from; views are left out.
#[derive(Clone, Debug)]
pub struct Loaded {
    /// Episode id, which is its stream in the journal.
    pub id: String,
    /// Number of the newest record that is not a view.
    pub head: u64,
    /// Last record of the stream, views too, when it was read.
    pub top: Head,
    /// Where each fact comes from, oldest first.
    pub records: Vec<Arc<Stamp>>,
    /// The facts.
    pub entries: Vec<Arc<Entry>>,
    /// What follows from them.
    pub episode: Arc<Episode>,
}

impl Loaded {
    /// Where the fact of a number comes from.
    pub fn record(&self, number: u64) -> Option<&Stamp> {
        let at = self.records.binary_search_by_key(&number, |it| it.number).ok()?;
        Some(&self.records[at])
    }

    /// Those of one kind, oldest first.
    pub fn of_kind<'a>(&'a self, kind: &'a str) -> impl DoubleEndedIterator<Item = &'a Stamp> + 'a {
        self.records.iter().map(Arc::as_ref).filter(move |it| it.kind == kind)
    }
}

/// A fact on its way into the journal.
#[derive(Clone, Debug)]
pub struct New {
    /// Day from which it is true.
    pub on: Date,
    /// Fact.
    pub fact: Fact,
    /// Record that it takes the place of.
    pub supersedes: Option<u64>,
    /// Sender's key: a fact with a key that is there already is not written twice.
    pub key: Option<String>,
}

impl New {
    /// A fact of a day.
    pub fn fact(on: Date, fact: Fact) -> New {
        New { on, fact, supersedes: None, key: None }
    }
}

/// Who writes.
pub fn author(desk: &Desk) -> Author {
    Author { id: desk.staff.account.clone(), name: desk.staff.name.clone() }
}

/// The patient as a writer; the name is the patient's own.
pub fn patient_author(session: &PatientSession, episode: &Episode) -> Author {
    Author { id: format!("patient:{}", session.link), name: episode.patient.name.clone() }
}

/// A fact as a record.
///
/// # Errors
/// A number that is not finite.
pub fn to_record(by: &Author, new: &New) -> Result<NewRecord, Fault> {
    let payload = encode(&new.fact).map_err(|error| Fault::Internal(format!("entry: {error}")))?;
    Ok(NewRecord {
        on: new.on,
        by: by.clone(),
        kind: kind(&new.fact).into(),
        form: FORM,
        payload,
        supersedes: new.supersedes,
        key: new.key.clone(),
    })
}

/// Reads an episode without writing down that anybody looked: for what the server does by itself.
///
/// # Errors
/// No such episode; a record this program cannot read.
pub async fn load(app: &App, id: &str) -> Result<Arc<Loaded>, Fault> {
    let known = app.kept(id);
    let (stream, after) = (id.to_string(), known.as_ref().map(|it| it.head));
    let records = app.store().read(move |tx| newer(tx, &stream, after)).await?;
    let loaded = together(id, known.as_ref(), records)?.ok_or(Fault::NotFound)?;
    app.keep(loaded.clone());
    Ok(loaded)
}

/// What a stream has after a record, without views, and its last record.
fn newer(tx: &mut dyn Tx, stream: &str, after: Option<u64>) -> Result<(Head, Vec<Record>), StoreError> {
    let top = journal::head(tx, stream)?;
    let filter = Filter { after, without_kinds: VIEWS, ..Filter::default() };
    Ok((top, journal::read(tx, stream, filter)?))
}

/// An episode with what was read after it; `None` when neither is there.
fn together(
    id: &str,
    known: Option<&Arc<Loaded>>,
    (top, new): (Head, Vec<Record>),
) -> Result<Option<Arc<Loaded>>, Fault> {
    match known {
        Some(known) if new.is_empty() && known.top == top => Ok(Some(known.clone())),
        Some(known) if new.is_empty() => Ok(Some(Arc::new(Loaded { top, ..known.as_ref().clone() }))),
        _ => Ok(extend(id, known.map(Arc::as_ref), top, new)?.map(Arc::new)),
    }
}

/// Adds records to what was loaded; `None` when there are none.
fn extend(id: &str, known: Option<&Loaded>, top: Head, new: Vec<Record>) -> Result<Option<Loaded>, Fault> {
    let Some(last) = new.last() else { return Ok(None) };
    let head = last.number;
    let (mut records, mut entries) =
        known.map_or_else(Default::default, |it| (it.records.clone(), it.entries.clone()));
    for record in new {
        let entry = to_entry(&record)?;
        records.push(Arc::new(Stamp {
            number: record.number,
            recorded: record.recorded,
            by: record.by,
            kind: kind(&entry.fact),
            supersedes: record.supersedes,
            key: record.key,
        }));
        entries.push(Arc::new(entry));
    }
    let episode = fold(id, &entries).map(Arc::new).map_err(|missing| {
        Fault::Internal(format!("episode {id}: facts are missing: {}", missing.0.join(", ")))
    })?;
    Ok(Some(Loaded { id: id.into(), head, top, records, entries, episode }))
}

fn to_entry(record: &Record) -> Result<Entry, Fault> {
    let fact = decode(&record.kind, record.form, &record.payload).map_err(|error| {
        Fault::Internal(format!("record {} of {}: {error}", record.number, record.stream))
    })?;
    Ok(Entry { number: record.number, on: record.on, fact, supersedes: record.supersedes })
}

/// Opens an episode for a person: writes down that they looked at `what`, then reads.
///
/// # Errors
/// No such episode; the view cannot be written (then nothing is shown).
pub async fn open(desk: &Desk, id: &str, what: &str) -> Result<Arc<Loaded>, Fault> {
    // A stream must be there before a view is added to it: an invented id makes no record.
    let loaded = load(&desk.app, id).await?;
    let view = New::fact(desk.app.today(), Fact::View(View { what: what.into() }));
    let (record, stream, now) = (to_record(&author(desk), &view)?, id.to_string(), desk.app.now());
    desk.app
        .store()
        .write(move |tx| journal::append(tx, &stream, now, std::slice::from_ref(&record)))
        .await?;
    Ok(loaded)
}

/// What a check before writing sees: the episode as it is inside the transaction.
pub type Check = Arc<dyn Fn(&Loaded) -> Result<(), StoreError> + Send + Sync>;

/// Writes facts of an episode and its line of the caseload, in one transaction.
///
/// # Errors
/// What `check` refuses (it sees the episode as it is at that moment, whoever wrote meanwhile); database errors.
pub async fn write(
    app: &App,
    id: &str,
    by: Author,
    facts: Vec<New>,
    check: Option<Check>,
) -> Result<Arc<Loaded>, Fault> {
    let records: Vec<NewRecord> = facts.iter().map(|it| to_record(&by, it)).collect::<Result<_, _>>()?;
    // The line of the caseload follows the content of this moment, whatever the writer had before them.
    let library = app.content().library().clone();
    let writing = Writing { stream: id.into(), now: app.now(), today: app.today(), library, records, check };
    let known = app.kept(id);
    let ahead = known.as_ref().map(|it| writing.ahead(it)).transpose()?.flatten();
    let loaded = app.store().write(move |tx| writing.append(tx, known.as_ref(), ahead.as_ref())).await?;
    app.keep(loaded.clone());
    Ok(loaded)
}

/// Begins an episode with its first facts, under a new id.
///
/// # Errors
/// Facts that make no episode; database errors.
pub async fn create(app: &App, by: Author, facts: Vec<New>) -> Result<Arc<Loaded>, Fault> {
    let id = handrail_store::tokens::new_id()?;
    write(app, &id, by, facts, None).await
}

/// What [`write`] writes.
struct Writing {
    stream: String,
    now: Timestamp,
    today: Date,
    library: Arc<Library>,
    records: Vec<NewRecord>,
    check: Option<Check>,
}

/// An episode as it will be when nobody else writes to it before its turn comes.
struct Ahead {
    loaded: Arc<Loaded>,
    line: Line,
}

impl Writing {
    /// Works out the episode and its line before the transaction, in which everybody else waits. `None` where only
    /// the transaction can tell: the check refuses, a key was seen before, the facts make no episode.
    fn ahead(&self, before: &Loaded) -> Result<Option<Ahead>, Fault> {
        let seen = |key: &String| before.records.iter().rev().any(|it| it.key.as_ref() == Some(key));
        let refused = self.check.as_ref().is_some_and(|check| check(before).is_err());
        if refused || self.records.iter().filter_map(|it| it.key.as_ref()).any(seen) {
            return Ok(None);
        }
        let mut head = before.top;
        let mut chain = Vec::with_capacity(self.records.len());
        for new in &self.records {
            let record = journal::following(&self.stream, self.now, new, head);
            head = Head { number: record.number, hash: record.hash };
            chain.push(record);
        }
        let Ok(Some(loaded)) = extend(&self.stream, Some(before), head, chain) else { return Ok(None) };
        let line = line(&loaded, &self.library, self.today)?;
        Ok(Some(Ahead { loaded: Arc::new(loaded), line }))
    }

    /// The transaction.
    fn append(
        &self,
        tx: &mut dyn Tx,
        known: Option<&Arc<Loaded>>,
        ahead: Option<&Ahead>,
    ) -> Result<Arc<Loaded>, StoreError> {
        let (stream, now, records) = (&self.stream, self.now, &self.records);
        let mut written = false;
        if let (Some(ahead), Some(known)) = (ahead, known) {
            match journal::append_expecting(tx, stream, known.top.number, now, records) {
                Ok(done) if done.iter().all(|it| !it.already) => {
                    caseload::put(tx, &ahead.line.0, &ahead.line.1)?;
                    return Ok(ahead.loaded.clone());
                }
                Ok(_) => written = true,
                Err(StoreError::Conflict { .. }) => {}
                Err(other) => return Err(other),
            }
        }
        if !written {
            if let Some(check) = &self.check {
                check(&*current(tx, stream, known)?)?;
            }
            journal::append(tx, stream, now, records)?;
        }
        let loaded = current(tx, stream, known)?;
        put_summary(tx, &loaded, &self.library, self.today)?;
        Ok(loaded)
    }
}

/// The episode as it is inside a transaction.
///
/// # Errors
/// No such episode; a record this program cannot read.
pub fn current(
    tx: &mut dyn Tx,
    stream: &str,
    known: Option<&Arc<Loaded>>,
) -> Result<Arc<Loaded>, StoreError> {
    let new = newer(tx, stream, known.map(|it| it.head))?;
    let internal =
        |fault: Fault| StoreError::refused(format!("{fault:?}"), "report this to who runs the server");
    together(stream, known, new)
        .map_err(internal)?
        .ok_or_else(|| StoreError::refused("there is no such episode", "look it up in the list of patients"))
}

/// A line of the caseload with its reasons for attention.
type Line = (caseload::Summary, Vec<caseload::AttentionRow>);

/// Writes an episode's line of the caseload.
///
/// # Errors
/// Database errors; a protocol that is not in the library.
pub fn put_summary(
    tx: &mut dyn Tx,
    loaded: &Loaded,
    library: &Library,
    today: Date,
) -> Result<(), StoreError> {
    let (line, rows) = line(loaded, library, today)?;
    caseload::put(tx, &line, &rows)
}

fn line(loaded: &Loaded, library: &Library, today: Date) -> Result<Line, StoreError> {
    let name = &loaded.episode.operation.protocol;
    let Some(protocol) = library.protocols.get(name) else {
        let mend = "put the protocol back into the clinic's content";
        return Err(StoreError::refused(format!("there is no protocol `{name}`"), mend));
    };
    let whole: Summary = summary(&loaded.episode, protocol, today);
    let body = serde_json::to_string(&whole)
        .map_err(|error| StoreError::refused(format!("caseload: {error}"), "report this"))?;
    let episode = &loaded.episode;
    let line = caseload::Summary {
        episode: loaded.id.clone(),
        therapist: episode.clinic.therapist.clone(),
        name: episode.patient.name.clone(),
        born: episode.patient.born.map(|it| it.to_string()),
        record: episode.patient.record.clone(),
        protocol: name.clone(),
        open: episode.course.closed.is_none(),
        updated: loaded.records.last().map_or(Timestamp::UNIX_EPOCH, |it| it.recorded),
        head: loaded.head,
        body,
    };
    let rows: Vec<caseload::AttentionRow> = attention(episode, protocol, today)
        .iter()
        .map(|it| caseload::AttentionRow {
            reason: it.reason.id().into(),
            // The list sorts the highest first; the worst reason has the lowest rank.
            rank: -i64::from(it.rank),
            from_day: it.from.to_string(),
            until_day: it.until.map(|it| it.to_string()),
            detail: serde_json::to_string(it).unwrap_or_default(),
            entry: it.entry,
        })
        .collect();
    Ok((line, rows))
}
