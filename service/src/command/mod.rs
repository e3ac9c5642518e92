//! What the program does: serve, answer one question, ask whether a service is alive, show how well the data agree, make a token,
//! print what shells and `man` read.

mod ask;
mod ask_server;
mod batch;
mod batch_done;
mod batch_lines;
mod batch_reply;
mod batch_server;
mod health;
mod log;
mod manual;
mod refused;
mod service;
mod table;
mod token;

pub use health::health;
pub use manual::{completions, manual};
pub use token::token;

use crate::question::batch::NAME as BATCH;

use crate::catalogue;
use crate::http::server;
use crate::settings::{Ask, Serve};
use std::io::Write as _;
use std::process::ExitCode;

/// Answers one question, or a batch of them.
#[must_use]
pub fn ask(settings: &Ask) -> ExitCode {
    if settings.question == BATCH { batch::batch(settings) } else { ask::ask(settings) }
}

/// Serves until a signal ends it. Standard output holds the two lines on where it listens, standard error the log.
#[must_use]
pub fn serve(settings: Serve) -> ExitCode {
    let log = match log::begun(&settings) {
        Ok(log) => log,
        Err(reason) => return failed(&reason),
    };
    let scheme = if settings.protection.tls_cert.is_some() { "https" } else { "http" };
    let served = server::run(settings, |address, _| {
        let mut out = std::io::stdout().lock();
        // A closed standard output is no reason not to serve.
        let _ = writeln!(out, "brimline: listening on {scheme}://{address}");
        let _ = writeln!(out, "documentation: {scheme}://{address}/docs");
        let _ = out.flush();
    });
    log.ended();
    match served {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => failed(&error.to_string()),
    }
}

/// A failure and its reason; a standard error that cannot be written changes nothing.
fn failed(reason: &str) -> ExitCode {
    let _ = writeln!(std::io::stderr(), "brimline: {reason}");
    ExitCode::FAILURE
}

/// Prints how well the published figures of each substance agree.
#[must_use]
pub fn agreement() -> ExitCode {
    let written = catalogue::catalogue()
        .map_err(ToString::to_string)
        .and_then(|catalogue| catalogue::agreement::write(catalogue, std::io::stdout().lock()));
    match written {
        Ok(()) => ExitCode::SUCCESS,
        Err(reason) => {
            eprintln!("brimline: {reason}");
            ExitCode::FAILURE
        }
    }
}
