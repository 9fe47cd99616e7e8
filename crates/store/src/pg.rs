//! Connections to PostgreSQL, and what its codes mean.

use std::collections::HashMap;
use std::sync::Arc;
use std::time::Duration;

use postgres::error::SqlState;
use postgres::types::private::BytesMut;
use postgres::types::{FromSql, IsNull, ToSql, Type, to_sql_checked};
use postgres::{Client, NoTls, Statement};
use tokio_postgres_rustls::MakeRustlsConnect;

use crate::StoreError;
use crate::engine::{Link, Mode};
use crate::pg_tls::{Target, target};
use crate::value::{Dialect, Row, Tx, Value};

/// How long connecting may take.
const CONNECT: Duration = Duration::from_secs(3);
/// Statements kept prepared in each connection; the store has fewer shapes than this.
const PREPARED: usize = 256;

/// What each connection asks for. A transaction that stands still is ended by the server, so that a process that
/// hangs does not hold the writing lane of all others.
const SESSION: &str = "SET synchronous_commit = on; SET client_encoding = 'UTF8'; SET lock_timeout = '20s'; \
     SET idle_in_transaction_session_timeout = '20s'";

/// Begins a transaction that writes. All Handrail processes on one database take turns by this lock, as SQLite's
/// writers do: a job sees every job before it, on both databases. (The number is "Handrail" on a telephone's keys.)
const BEGIN_WRITE: &str = "BEGIN ISOLATION LEVEL READ COMMITTED; SELECT pg_advisory_xact_lock(42637245)";
const BEGIN_READ: &str = "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY";

/// One connection; opened when needed, and again after it was lost.
pub(crate) struct PostgresLink {
    config: postgres::Config,
    tls: Option<MakeRustlsConnect>,
    place: String,
    client: Option<Client>,
    prepared: HashMap<String, Statement>,
    begun: bool,
}

impl PostgresLink {
    /// # Errors
    /// [`StoreError::BadPlace`] for a URL that is none, or whose certificates cannot be used.
    pub(crate) fn new(url: &str, place: &str) -> Result<Self, StoreError> {
        let bad = |detail: String| StoreError::BadPlace { place: place.to_owned(), detail };
        let Target { mut config, tls } = target(url).map_err(bad)?;
        config.connect_timeout(CONNECT).application_name("handrail");
        config.keepalives_idle(Duration::from_secs(10)).tcp_user_timeout(Duration::from_secs(20));
        Ok(PostgresLink {
            config,
            tls,
            place: place.to_owned(),
            client: None,
            prepared: HashMap::new(),
            begun: false,
        })
    }

    fn away(&self, detail: impl Into<String>) -> StoreError {
        StoreError::Away { place: self.place.clone(), detail: detail.into(), unsure: false }
    }

    fn explain(&self, error: &postgres::Error) -> StoreError {
        explain(&self.place, error)
    }

    /// Runs with the client; a connection that broke is dropped, to be opened again by [`Link::ready`].
    fn with<T>(
        &mut self,
        run: impl FnOnce(&mut Client) -> Result<T, postgres::Error>,
    ) -> Result<T, StoreError> {
        let Some(client) = self.client.as_mut() else { return Err(self.away("the connection was lost")) };
        run(client).map_err(|e| {
            let error = self.explain(&e);
            if matches!(error, StoreError::Away { .. }) {
                self.drop_client();
            }
            error
        })
    }

    fn drop_client(&mut self) {
        self.client = None;
        self.begun = false;
        self.prepared.clear();
    }

    fn statement(&mut self, sql: &str) -> Result<Statement, StoreError> {
        if let Some(known) = self.prepared.get(sql) {
            return Ok(known.clone());
        }
        let statement = self.with(|client| client.prepare(sql))?;
        if self.prepared.len() >= PREPARED {
            self.prepared.clear();
        }
        self.prepared.insert(sql.to_owned(), statement.clone());
        Ok(statement)
    }
}

impl Link for PostgresLink {
    fn ready(&mut self) -> Result<(), StoreError> {
        if self.client.as_ref().is_some_and(Client::is_closed) {
            self.drop_client();
        }
        if self.client.is_none() {
            let connected = match &self.tls {
                Some(tls) => self.config.connect(tls.clone()),
                None => self.config.connect(NoTls),
            };
            let mut client = connected.map_err(|e| self.explain(&e))?;
            client.batch_execute(SESSION).map_err(|e| self.explain(&e))?;
            self.client = Some(client);
        }
        Ok(())
    }

    fn begin(&mut self, mode: Mode) -> Result<(), StoreError> {
        let sql = match mode {
            Mode::Read => BEGIN_READ,
            Mode::Write => BEGIN_WRITE,
        };
        // Set first: when only the lock failed, the transaction is open and has to be rolled back.
        self.begun = true;
        self.with(|client| client.batch_execute(sql))
    }

    fn commit(&mut self) -> Result<(), StoreError> {
        self.begun = false;
        self.with(|client| client.batch_execute("COMMIT")).map_err(|e| match e {
            StoreError::Away { place, detail, .. } => StoreError::Away { place, detail, unsure: true },
            other => other,
        })
    }

    fn rollback(&mut self) {
        if self.client.is_some() && self.with(|client| client.batch_execute("ROLLBACK")).is_err() {
            self.drop_client();
        }
        self.begun = false;
    }

    fn control(&mut self, sql: &'static str) -> Result<(), StoreError> {
        self.with(|client| client.batch_execute(sql))
    }

    fn open(&mut self) -> bool {
        self.begun && self.client.as_ref().is_some_and(|c| !c.is_closed())
    }
}

impl Tx for PostgresLink {
    fn execute(&mut self, sql: &str, params: &[Value]) -> Result<u64, StoreError> {
        let statement = self.statement(sql)?;
        let params: Vec<&(dyn ToSql + Sync)> = params.iter().map(|v| v as _).collect();
        self.with(|client| client.execute(&statement, &params))
    }

    fn query(&mut self, sql: &str, params: &[Value]) -> Result<Vec<Row>, StoreError> {
        let statement = self.statement(sql)?;
        let columns: Arc<[String]> = statement.columns().iter().map(|c| c.name().to_owned()).collect();
        let params: Vec<&(dyn ToSql + Sync)> = params.iter().map(|v| v as _).collect();
        let values = self.with(|client| {
            let rows = client.query(&statement, &params)?;
            rows.iter()
                .map(|row| (0..row.len()).map(|i| row.try_get(i)).collect())
                .collect::<Result<Vec<Vec<Value>>, _>>()
        })?;
        Ok(values.into_iter().map(|v| Row::new(columns.clone(), v)).collect())
    }

    fn dialect(&self) -> Dialect {
        Dialect::Postgres
    }
}

impl ToSql for Value {
    fn to_sql(
        &self,
        ty: &Type,
        out: &mut BytesMut,
    ) -> Result<IsNull, Box<dyn std::error::Error + Sync + Send>> {
        match self {
            Value::Null => Ok(IsNull::Yes),
            Value::Int(v) if *ty == Type::INT4 => i32::try_from(*v)?.to_sql(ty, out),
            Value::Int(v) if *ty == Type::INT8 => v.to_sql(ty, out),
            Value::Text(v) if <String as ToSql>::accepts(ty) => v.to_sql(ty, out),
            Value::Blob(v) if *ty == Type::BYTEA => v.to_sql(ty, out),
            _ => Err(format!("a value of another type where {ty} is expected").into()),
        }
    }

    fn accepts(_: &Type) -> bool {
        true
    }

    to_sql_checked!();
}

impl<'a> FromSql<'a> for Value {
    fn from_sql(ty: &Type, raw: &'a [u8]) -> Result<Self, Box<dyn std::error::Error + Sync + Send>> {
        Ok(match *ty {
            Type::INT8 => Value::Int(i64::from_sql(ty, raw)?),
            Type::INT4 => Value::Int(i32::from_sql(ty, raw)?.into()),
            Type::BOOL => Value::Int(bool::from_sql(ty, raw)?.into()),
            Type::BYTEA => Value::Blob(raw.to_vec()),
            _ => Value::Text(String::from_sql(ty, raw)?),
        })
    }

    fn from_sql_null(_: &Type) -> Result<Self, Box<dyn std::error::Error + Sync + Send>> {
        Ok(Value::Null)
    }

    fn accepts(ty: &Type) -> bool {
        matches!(*ty, Type::INT8 | Type::INT4 | Type::BOOL | Type::BYTEA) || <String as FromSql>::accepts(ty)
    }
}

/// What an error of PostgreSQL means here. Its `detail` field quotes values of rows, so it is left out.
fn explain(place: &str, error: &postgres::Error) -> StoreError {
    let place = place.to_owned();
    let Some(db) = error.as_db_error() else {
        let detail = match std::error::Error::source(error) {
            Some(cause) => format!("{error}: {cause}"),
            None => error.to_string(),
        };
        if detail.starts_with("error performing TLS handshake") {
            return StoreError::Untrusted { place, detail };
        }
        let io = std::error::Error::source(error).is_some_and(|s| s.is::<std::io::Error>());
        return if error.is_closed() || io || detail.contains("timeout") || detail.contains("error connecting")
        {
            StoreError::Away { place, detail, unsure: false }
        } else {
            StoreError::Sql { place, detail }
        };
    };
    let detail = db.message().to_owned();
    let code = db.code();
    match *code {
        SqlState::T_R_SERIALIZATION_FAILURE | SqlState::T_R_DEADLOCK_DETECTED => {
            StoreError::Met { place, detail }
        }
        SqlState::LOCK_NOT_AVAILABLE => StoreError::Busy { place },
        SqlState::ADMIN_SHUTDOWN
        | SqlState::CRASH_SHUTDOWN
        | SqlState::CANNOT_CONNECT_NOW
        | SqlState::TOO_MANY_CONNECTIONS
        | SqlState::IDLE_IN_TRANSACTION_SESSION_TIMEOUT => StoreError::Away { place, detail, unsure: false },
        SqlState::READ_ONLY_SQL_TRANSACTION | SqlState::INSUFFICIENT_PRIVILEGE => {
            StoreError::ReadOnly { place, detail }
        }
        SqlState::DISK_FULL => StoreError::Full { place },
        SqlState::IO_ERROR => StoreError::Disk { place, detail },
        SqlState::DATA_CORRUPTED | SqlState::INDEX_CORRUPTED => StoreError::Corrupt { place, detail },
        SqlState::RAISE_EXCEPTION => StoreError::Rule { place, detail },
        _ => match &code.code()[..2] {
            "23" => StoreError::Rule { place, detail },
            "08" => StoreError::Away { place, detail, unsure: false },
            "28" | "3D" => StoreError::Denied { place, detail },
            _ => StoreError::Sql { place, detail },
        },
    }
}
