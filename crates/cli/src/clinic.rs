//! Commands of the clinic: begin one, serve it, look after its records.

use std::io::{BufRead as _, IsTerminal as _, Write as _};
use std::net::{IpAddr, SocketAddr};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use handrail_clinic::people::{self, NewAccount};
use handrail_clinic::{Clock, Config, Listen, Role, ServeError, seed, serve};
use handrail_store::journal::Verified;
use handrail_store::{Key, Place, Store, StoreError, backup, journal};
use jiff::tz::TimeZone;
use serde_json::json;

use crate::args::{AccountAdd, Backup, ClinicNew, JournalVerify, KeyNew, Records, Restore, Serve};
use crate::room::{Stop, print, print_json};

type Answer = Result<ExitCode, Stop>;

/// Name of the database in the data folder.
pub const FILE: &str = "clinic.db";
/// Name of the key in the data folder; a clinic that keeps it elsewhere names it with --key-file.
const KEY: &str = "clinic.key";

impl From<StoreError> for Stop {
    fn from(error: StoreError) -> Self {
        Stop::new(error.message(), error.mend())
    }
}

impl From<handrail_clinic::fault::Fault> for Stop {
    fn from(fault: handrail_clinic::fault::Fault) -> Self {
        use handrail_clinic::fault::Fault;
        match fault {
            Fault::Refused { message, mend } => Stop::new(message, mend),
            Fault::Store(error) => error.into(),
            other => Stop::new(format!("{other:?}"), "report this"),
        }
    }
}

/// Where the records are.
pub fn place(records: &Records) -> Place {
    match &records.database {
        Some(text) => Place::parse(text),
        None => Place::Sqlite(records.data.join(FILE)),
    }
}

/// The key: of the file named, of the passphrase in a file, or of the data folder.
fn key(records: &Records) -> Result<Option<Key>, Stop> {
    if let Some(path) = &records.key_file {
        return Ok(Some(Key::from_file(path)?));
    }
    let usual = records.data.join(KEY);
    if usual.exists() {
        return Ok(Some(Key::from_file(&usual)?));
    }
    if std::io::stdin().is_terminal() && matches!(place(records), Place::Sqlite(_)) {
        eprint!("Passphrase of the records: ");
        let _ = std::io::stderr().flush();
        return Ok(Some(Key::from_text(&line()?)?));
    }
    Ok(None)
}

/// One line of standard input.
fn line() -> Result<String, Stop> {
    let mut text = String::new();
    std::io::stdin()
        .lock()
        .read_line(&mut text)
        .map_err(|error| Stop::new(format!("standard input: {error}"), "type one line"))?;
    Ok(text.trim_end_matches(['\n', '\r']).to_string())
}

fn open(records: &Records) -> Result<Store, Stop> {
    Ok(Store::open_existing(&handrail_store::Config::new(place(records), key(records)?))?)
}

fn runtime() -> Result<tokio::runtime::Runtime, Stop> {
    tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .map_err(|error| Stop::new(format!("cannot start threads: {error}"), "close other programs"))
}

/// `clinic new`.
pub fn new(args: &ClinicNew) -> Answer {
    let folder = &args.records.data;
    std::fs::create_dir_all(folder).map_err(|error| {
        Stop::new(format!("{}: {error}", folder.display()), "choose another folder with --data")
    })?;
    let place = place(&args.records);
    if let Place::Sqlite(path) = &place
        && path.exists()
    {
        return Err(Stop::new(
            format!("{} exists: there is a clinic already", path.display()),
            "choose another folder with --data, or serve this one",
        ));
    }
    let key = match &args.records.key_file {
        Some(path) if path.exists() => Key::from_file(path)?,
        Some(path) => Key::new_file(path)?,
        None => Key::new_file(&folder.join(KEY))?,
    };
    let store = Store::open(&handrail_store::Config::new(place.clone(), Some(key)))?;
    let account = add_account(&store, &args.login, &args.name, &args.title, Role::ClinicLead)?;
    print(&format!("{place}: a new clinic with the account `{account}` (clinic lead)."));
    print("Keep the key in a second place: without it nobody can read the records.");
    print(&format!("Next: handrail serve --data {}", folder.display()));
    Ok(ExitCode::SUCCESS)
}

/// Makes an account with a password from standard input.
fn add_account(store: &Store, login: &str, name: &str, title: &str, role: Role) -> Result<String, Stop> {
    if std::io::stdin().is_terminal() {
        eprint!("Password for `{login}` (12 characters or more): ");
        let _ = std::io::stderr().flush();
    }
    let new =
        NewAccount { login: login.into(), name: name.into(), title: title.into(), role, password: line()? };
    runtime()?.block_on(people::create_in(store, "command line", new, jiff::Timestamp::now()))?;
    Ok(login.to_lowercase())
}

/// `key new`.
pub fn new_key(args: &KeyNew) -> Answer {
    Key::new_file(&args.file)?;
    print(&format!("{}: a new key. Keep a second copy in another place.", args.file.display()));
    Ok(ExitCode::SUCCESS)
}

/// `account add`.
pub fn account_add(args: &AccountAdd) -> Answer {
    let known: Vec<&str> = Role::ALL.into_iter().map(Role::id).collect();
    let role = Role::of(&args.role).ok_or_else(|| {
        Stop::new(format!("there is no role `{}`", args.role), format!("roles are: {}", known.join(", ")))
    })?;
    let store = open(&args.records)?;
    let login = add_account(&store, &args.login, &args.name, &args.title, role)?;
    print(&format!("account `{login}` ({})", role.id()));
    Ok(ExitCode::SUCCESS)
}

/// What a walk through the journal found, as a person reads it.
fn told(found: &Verified) -> String {
    let mut out = format!("{} entries in {} streams\n", found.entries, found.streams);
    for (word, list) in [("BROKEN", &found.faults), ("remark", &found.remarks)] {
        for it in list {
            out.push_str(&format!("{word}: {}, entry {}: {}\n", it.stream, it.number, it.what));
        }
    }
    match found.fault_count {
        0 => out.push_str("every chain is whole\n"),
        n => out.push_str(&format!("{n} breaks: restore a backup beside this one and compare\n")),
    }
    out.push_str(&format!("digest {} (write it down elsewhere to compare later)", found.digest));
    out
}

/// `journal verify`.
pub fn verify(args: &JournalVerify) -> Answer {
    let found = open(&args.records)?.read_blocking(journal::verify)?;
    if args.json {
        let faults: Vec<_> = found
            .faults
            .iter()
            .map(|it| json!({ "stream": it.stream, "number": it.number, "what": it.what }))
            .collect();
        print_json(&json!({
            "streams": found.streams, "entries": found.entries, "fault_count": found.fault_count,
            "faults": faults, "digest": found.digest,
        }));
    } else {
        print(&told(&found));
    }
    Ok(if found.is_whole() { ExitCode::SUCCESS } else { ExitCode::from(1) })
}

/// `backup`.
pub fn make_backup(args: &Backup) -> Answer {
    let store = open(&args.records)?;
    backup::backup(&store, &args.to)?;
    print(&format!(
        "{}: a copy with the same key. Restore it once in a while to know that it can be.",
        args.to.display()
    ));
    Ok(ExitCode::SUCCESS)
}

/// `restore`.
pub fn restore(args: &Restore) -> Answer {
    let key = key(&args.records)?.ok_or_else(|| {
        Stop::new("a backup is encrypted, and no key was given", "name the clinic's key with --key-file")
    })?;
    if let Place::Sqlite(path) = place(&args.records)
        && let Some(folder) = path.parent()
    {
        std::fs::create_dir_all(folder)
            .map_err(|error| Stop::new(format!("{}: {error}", folder.display()), "choose another --data"))?;
    }
    let to = handrail_store::Config::new(place(&args.records), Some(key.clone()));
    let found = backup::restore(&args.from, &key, &to)?;
    print(&format!("{}: restored\n{}", to.place, told(&found)));
    Ok(ExitCode::SUCCESS)
}

/// Marks a folder whose clinic is invented and may be made anew.
const INVENTED: &str = "INVENTED.txt";

/// Makes the invented clinic in a folder, in place of an invented one that is there.
///
/// # Errors
/// A clinic in the folder that is not an invented one stays untouched.
pub fn invented(folder: &Path) -> Result<(), Stop> {
    let (file, key, mark) = (folder.join(FILE), folder.join(KEY), folder.join(INVENTED));
    if file.exists() || key.exists() {
        if !mark.exists() {
            return Err(Stop::new(
                format!("{}: there is a clinic here that is not an invented one", folder.display()),
                "choose another folder with --data",
            ));
        }
        for name in [FILE, "clinic.db-wal", "clinic.db-shm", KEY] {
            let path = folder.join(name);
            if path.exists() {
                std::fs::remove_file(&path).map_err(|error| {
                    Stop::new(format!("{}: {error}", path.display()), "end its server first")
                })?;
            }
        }
    }
    let text = "Everything in this folder is invented. It is made anew by `handrail demo`.\n";
    crate::files::write(&mark, text.as_bytes(), true)?;
    let key = Key::new_file(&key)?;
    let store = Store::open(&handrail_store::Config::new(Place::Sqlite(file), Some(key)))?;
    let library = std::sync::Arc::new(crate::input::library()?);
    let (today, zone, now) = (crate::input::today(), TimeZone::system(), jiff::Timestamp::now());
    let clinic = handrail_demo::clinic(&library, today, 1)
        .map_err(|error| Stop::new(error.to_string(), "report this"))?;
    runtime()?.block_on(seed::fill(&store, &library, &clinic, today, &zone, now))?;
    Ok(())
}

/// Serves the clinic of a folder on loopback.
pub fn serve_folder(folder: &Path, port: u16) -> Answer {
    run(&Serve {
        records: Records { data: folder.to_path_buf(), database: None, key_file: None },
        listen: IpAddr::from([127, 0, 0, 1]),
        port,
        tls_cert: None,
        tls_key: None,
        behind_proxy: false,
        zone: None,
        content: None,
    })
}

/// `serve`.
pub fn run(args: &Serve) -> Answer {
    let store = open(&args.records)?;
    run_on(store, args, |at, secure| {
        let scheme = if secure { "https" } else { "http" };
        print(&format!("Handrail answers at {scheme}://{at}/ (end with Ctrl+C)"));
    })
}

/// What goes wrong behind a page is written to standard error, where the system's log takes it up. Messages name files
/// and tables, never what stands in a record.
fn keep_log() {
    let lines = tracing_subscriber::fmt()
        .with_writer(std::io::stderr)
        .with_max_level(tracing::Level::WARN)
        .with_ansi(false)
        .with_target(false);
    // A log that was begun before goes on.
    let _ = lines.try_init();
}

/// Serves an open store.
pub fn run_on(store: Store, args: &Serve, ready: impl FnOnce(SocketAddr, bool)) -> Answer {
    keep_log();
    let zone = match &args.zone {
        None => TimeZone::system(),
        Some(name) => TimeZone::get(name)
            .map_err(|error| Stop::new(format!("zone: {error}"), "write a name such as Europe/Madrid"))?,
    };
    let tls = match (&args.tls_cert, &args.tls_key) {
        (Some(certificate), Some(key)) => Some((certificate.clone(), key.clone())),
        _ => None,
    };
    let address: IpAddr = args.listen;
    let listen =
        Listen { address: SocketAddr::new(address, args.port), tls, behind_proxy: args.behind_proxy };
    let secure = listen.is_secure();
    let content = args.content.clone().or_else(|| content_folder(&args.records.data));
    let config = Config { store, listen, clock: Clock::system(), zone, content };
    runtime()?
        .block_on(serve(config, handrail_clinic::routes::table(), |at| ready(at, secure), interrupted()))
        .map_err(|error| match error {
            ServeError::Content(problems) => Stop::Problems(problems),
            ServeError::Records(error) => error.into(),
            ServeError::InTheClear(_) => Stop::new(
                error.to_string(),
                "give --tls-cert and --tls-key, or --behind-proxy when a proxy in front ends TLS",
            ),
            other => Stop::new(other.to_string(), "choose another --listen or --port, or mend the files"),
        })?;
    Ok(ExitCode::SUCCESS)
}

/// The clinic's own content beside its data, where there is any.
fn content_folder(data: &Path) -> Option<PathBuf> {
    Some(data.join("content")).filter(|it| it.is_dir())
}

/// Done when the operator or the system asks for the end.
async fn interrupted() {
    use tokio::signal::unix::{SignalKind, signal};
    match signal(SignalKind::terminate()) {
        Ok(mut term) => {
            tokio::select! {
                _ = term.recv() => {}
                _ = tokio::signal::ctrl_c() => {}
            }
        }
        Err(_) => {
            let _ = tokio::signal::ctrl_c().await;
        }
    }
}
