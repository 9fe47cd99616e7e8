//! Commands of the clinic: begin one, serve it, look after its records.

use std::io::{BufRead as _, IsTerminal as _, Write as _};
use std::net::{IpAddr, SocketAddr};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use handrail_clinic::people::{self, NewAccount};
use handrail_clinic::{Clock, Config, Listen, Role, ServeError, serve};
use handrail_store::{Key, Place, Store, StoreError, backup, journal};
use jiff::tz::TimeZone;
use serde_json::json;

use crate::args::{AccountAdd, Backup, ClinicNew, JournalVerify, Records, Restore, Serve};
use crate::room::{Stop, print, print_json};

type Answer = Result<ExitCode, Stop>;

/// Name of the database in the data folder.
const FILE: &str = "clinic.db";
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
    let new = NewAccount {
        login: login.into(),
        name: name.into(),
        title: title.into(),
        role,
        password: line()?,
    };
    runtime()?.block_on(people::create_in(store, "command line", new, jiff::Timestamp::now()))?;
    Ok(login.to_lowercase())
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

/// `journal verify`.
pub fn verify(args: &JournalVerify) -> Answer {
    let found = open(&args.records)?.read_blocking(journal::verify)?;
    if args.json {
        let faults: Vec<_> = found
            .faults
            .iter()
            .map(|it| json!({ "stream": it.stream, "number": it.number, "what": it.what.to_string() }))
            .collect();
        print_json(&json!({ "streams": found.streams, "entries": found.entries, "faults": faults }));
    } else {
        print(&found.to_string());
    }
    Ok(if found.is_whole() { ExitCode::SUCCESS } else { ExitCode::from(1) })
}

/// `backup`.
pub fn make_backup(args: &Backup) -> Answer {
    let store = open(&args.records)?;
    backup::backup(&store, &args.to)?;
    print(&format!("{}: a copy with the same key. Restore it once in a while to know that it can be.", args.to.display()));
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
    let found = backup::restore(&args.from, &key, &place(&args.records))?;
    print(&format!("{}: {found}", place(&args.records)));
    Ok(ExitCode::SUCCESS)
}

/// `serve`.
pub fn run(args: &Serve) -> Answer {
    let store = open(&args.records)?;
    run_on(store, args, |at, secure| {
        let scheme = if secure { "https" } else { "http" };
        print(&format!("Handrail answers at {scheme}://{at}/ (end with Ctrl+C)"));
    })
}

/// Serves an open store.
pub fn run_on(store: Store, args: &Serve, ready: impl FnOnce(SocketAddr, bool)) -> Answer {
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
