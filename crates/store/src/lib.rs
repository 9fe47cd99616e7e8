//! The journal on disk, and what a clinic keeps beside it: accounts, sessions, links, settings, its own content.
//!
//! One SQL text for both databases: SQLite (encrypted, SQLCipher) by default, PostgreSQL by URL. All writing goes
//! through [`Store::write`], which runs a closure in one transaction; transactions that wait are committed together,
//! and nobody is told "done" before their commit is on disk. Reading goes through [`Store::read`].
//!
//! The store knows nothing of medicine: payloads are text, summaries are text with the columns they are sorted by.
//!
//! Each topic is a module of functions over `&mut dyn Tx`, so that one closure can append to the journal, replace the
//! summary and end a session in the same transaction. What the clinic itself did (sign-ins, settings, sign-offs,
//! backups) has no table of its own: it is the journal stream [`journal::CLINIC`].
#![forbid(unsafe_code)]

pub mod accounts;
pub mod backup;
pub mod caseload;
pub mod content;
pub mod drafts;
mod engine;
mod error;
pub mod journal;
pub mod links;
mod migrate;
mod pg;
mod pg_tls;
mod place;
pub mod sessions;
pub mod settings;
mod sqlite;
mod store;
pub mod tokens;
mod value;

pub use error::StoreError;
pub use place::{Config, Key, Place};
pub use store::Store;
pub use value::{Dialect, Row, Tx, Value, query_one, query_opt};
