//! The clinic's web server and its pages.
//!
//! [`serve()`] opens a [`Config`] and answers until it is told to stop. Every route stands in one table
//! ([`routes::table`]) with the right it needs; a request passes the gate ([`gate`]) before any page sees it. Pages
//! read episodes through [`records`], which writes down who looked at what before anything is shown. Nothing here
//! decides what is allowed: limits, verdicts and sessions come from the rooms below.
#![forbid(unsafe_code)]

pub mod access;
pub mod app;
pub mod assets;
pub mod chart;
pub mod config;
pub mod content;
pub mod fault;
pub mod fields;
pub mod gate;
pub mod home;
pub mod intake;
pub mod layout;
pub mod login;
pub mod numbers;
pub mod passwords;
pub mod people;
pub mod program;
pub mod record;
pub mod records;
pub mod rights;
pub mod routes;
pub mod seed;
pub mod serve;
pub mod settings;

pub use app::App;
pub use config::{Clock, Config, Listen};
pub use rights::{Right, Role};
pub use routes::Route;
pub use serve::{ServeError, router, router_within, serve};
