//! The `handrail` command: reads files and the clock, asks the rooms, prints.
//!
//! Exit codes: 0 all within the limits, 1 something is refused or not met, 2 an error in what was given.
#![forbid(unsafe_code)]

mod args;
mod clinic;
mod exposure;
mod facts;
mod files;
mod input;
mod ladder;
mod loads;
mod outputs;
mod room;

use std::process::ExitCode;

use clap::Parser as _;

use args::{AccountCommand, Cli, ClinicCommand, Command, ContentCommand, JournalCommand, KeyCommand};

/// The server makes and drops many small texts on several threads at once.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    // A closed pipe (as with `| head`) is an end, not an error.
    let cli = Cli::parse();
    let answer = match cli.command {
        Command::Demo(it) => outputs::demo(&it),
        Command::Today(it) => facts::today(&it),
        Command::Verify(it) => facts::verify(&it),
        Command::Propose(it) => facts::propose(&it),
        Command::Session(it) => facts::session(&it),
        Command::Ladder(it) => ladder::ladder(&it),
        Command::Exposure(it) => exposure::exposure(&it),
        Command::Handout(it) => outputs::handout(&it),
        Command::Follow(it) => outputs::follow(&it),
        Command::Calendar(it) => outputs::calendar(&it),
        Command::Log(it) => outputs::log(&it),
        Command::Draw(it) => outputs::draw(&it),
        Command::Motion(it) => facts::motion(&it),
        Command::Content(it) => match it {
            ContentCommand::Check(it) => facts::content_check(&it),
            ContentCommand::List(it) => facts::content_list(&it),
        },
        Command::Serve(it) => clinic::run(&it),
        Command::Clinic(ClinicCommand::New(it)) => clinic::new(&it),
        Command::Account(AccountCommand::Add(it)) => clinic::account_add(&it),
        Command::Key(KeyCommand::New(it)) => clinic::new_key(&it),
        Command::Journal(JournalCommand::Verify(it)) => clinic::verify(&it),
        Command::Backup(it) => clinic::make_backup(&it),
        Command::Restore(it) => clinic::restore(&it),
    };
    match answer {
        Ok(code) => code,
        Err(stop) => {
            stop.print();
            ExitCode::from(2)
        }
    }
}
