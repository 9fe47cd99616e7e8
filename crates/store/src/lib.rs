//! The journal on disk, and what a clinic keeps beside it: accounts, sessions, links, settings, its own content.
//!
//! One SQL text for both databases: SQLite (encrypted, SQLCipher) by default, PostgreSQL by URL. All writing goes
//! through [`Store::write`], which runs a closure in one transaction; transactions that wait are committed together,
//! and nobody is told "done" before their commit is on disk. Reading goes through [`Store::read`].
//!
//! The store knows nothing of medicine: payloads are text, summaries are text with the columns they are sorted by.
#![forbid(unsafe_code)]
