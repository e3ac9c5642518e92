//! `brimline completions` and `brimline manual`: what shells and `man` read, made from the flags themselves.

use super::failed;
use crate::settings::{Completions, Manual, Settings};
use clap::CommandFactory as _;
use std::io::{self, ErrorKind, Write as _};
use std::process::ExitCode;

/// Prints the completions of a shell.
#[must_use]
pub fn completions(settings: &Completions) -> ExitCode {
    let mut script = Vec::new();
    clap_complete::generate(settings.shell, &mut Settings::command(), "brimline", &mut script);
    printed(&script)
}

/// Prints a manual page.
#[must_use]
pub fn manual(settings: &Manual) -> ExitCode {
    let mut whole = Settings::command();
    // Gives each command its whole name.
    whole.build();
    let page = match &settings.command {
        None => whole,
        Some(name) => match whole.find_subcommand(name) {
            Some(command) => command.clone(),
            None => return failed(&format!("there is no command `{name}`")),
        },
    };
    let mut text = Vec::new();
    match clap_mangen::Man::new(page).render(&mut text) {
        Ok(()) => printed(&text),
        Err(error) => failed(&error.to_string()),
    }
}

fn printed(text: &[u8]) -> ExitCode {
    let mut out = io::stdout().lock();
    match out.write_all(text).and_then(|()| out.flush()) {
        // A reader that closed the pipe has seen what it wanted.
        Err(error) if error.kind() != ErrorKind::BrokenPipe => failed(&error.to_string()),
        _ => ExitCode::SUCCESS,
    }
}
