//! Forward-only changes of the tables: `migrations/NNNN_name.<dialect>.sql`, run once each, in order.
//!
//! Ready-made migration crates either serve one dialect or want another release of the SQLite binding than the one
//! with current SQLCipher; these lines serve both dialects.

use jiff::Timestamp;

use crate::StoreError;
use crate::value::{Dialect, Tx, Value, query_one};

struct Migration {
    name: &'static str,
    sqlite: &'static str,
    postgres: &'static str,
}

/// All of them; the number of a migration is its place here, beginning at 1. Never change one that was released.
const MIGRATIONS: &[Migration] = &[Migration {
    name: "begin",
    sqlite: include_str!("migrations/0001_begin.sqlite.sql"),
    postgres: include_str!("migrations/0001_begin.postgres.sql"),
}];

/// The form of the tables that this program writes.
pub(crate) fn newest() -> i64 {
    MIGRATIONS.len() as i64
}

/// The form of the tables found; 0 when there are none.
pub(crate) fn found(tx: &mut dyn Tx) -> Result<i64, StoreError> {
    let known = match tx.dialect() {
        Dialect::Sqlite => {
            "SELECT count(*) AS n FROM sqlite_schema WHERE type = 'table' AND name = 'migration'"
        }
        Dialect::Postgres => {
            "SELECT count(*) AS n FROM information_schema.tables
             WHERE table_schema = current_schema() AND table_name = 'migration'"
        }
    };
    if query_one(tx, known, &[])?.int("n")? == 0 {
        return Ok(0);
    }
    query_one(tx, "SELECT COALESCE(max(number), 0) AS n FROM migration", &[])?.int("n")
}

/// Brings the tables to the newest form inside the running transaction.
///
/// # Errors
/// [`StoreError::Newer`] when a newer program wrote them; errors of the database.
pub(crate) fn migrate(tx: &mut dyn Tx, place: &str, now: Timestamp) -> Result<(), StoreError> {
    let have = found(tx)?;
    if have > newest() {
        return Err(StoreError::Newer { place: place.to_owned(), found: have, known: newest() });
    }
    for (number, migration) in (1i64..).zip(MIGRATIONS).skip(have as usize) {
        let sql = match tx.dialect() {
            Dialect::Sqlite => migration.sqlite,
            Dialect::Postgres => migration.postgres,
        };
        for statement in statements(sql) {
            tx.execute(statement, &[])?;
        }
        let done: [Value; 3] = [number.into(), migration.name.into(), now.into()];
        tx.execute("INSERT INTO migration (number, name, done) VALUES ($1, $2, $3)", &done)?;
    }
    Ok(())
}

/// Statements end with `;` at the end of a line that is not indented: bodies of triggers are indented.
fn statements(sql: &str) -> impl Iterator<Item = &str> {
    let mut begin = 0;
    let mut at = 0;
    let mut found = Vec::new();
    for line in sql.split_inclusive('\n') {
        at += line.len();
        if line.trim_end().ends_with(';') && !line.starts_with([' ', '\t']) {
            found.push(sql[begin..at].trim());
            begin = at;
        }
    }
    found.into_iter()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn statements_end_at_the_margin() {
        let sql = "CREATE TABLE a (\n  x INT\n);\nCREATE TRIGGER t\nBEGIN\n  SELECT 1;\nEND;\n";
        let found: Vec<_> = statements(sql).collect();
        assert_eq!(found.len(), 2);
        assert!(found[1].ends_with("END;"));
    }

    #[test]
    fn both_dialects_make_the_same_tables_and_indexes() {
        let names = |sql: &str| -> Vec<String> {
            let made = |line: &str| {
                let line = line.strip_prefix("CREATE ")?.replace("UNIQUE ", "");
                let mut words = line.split([' ', '(']);
                let kind = words.next()?;
                (kind == "TABLE" || kind == "INDEX").then(|| format!("{kind} {}", words.next().unwrap_or("")))
            };
            sql.lines().filter_map(made).collect()
        };
        for m in MIGRATIONS {
            assert_eq!(names(m.sqlite), names(m.postgres), "{}", m.name);
            assert!(!names(m.sqlite).is_empty());
        }
    }
}
