//! What the program does: serve, answer one question, ask whether a service is alive, or show how well the data agree.

mod ask;
mod batch;
mod health;

pub use health::health;

use crate::question::batch::NAME as BATCH;

use crate::catalogue;
use crate::http::server;
use crate::settings::{Ask, LogFormat, Serve};
use std::io::Write as _;
use std::process::ExitCode;
use tracing_subscriber::EnvFilter;

/// Answers one question, or a batch of them.
#[must_use]
pub fn ask(settings: &Ask) -> ExitCode {
    if settings.question == BATCH { batch::batch(settings) } else { ask::ask(settings) }
}

/// Serves until a signal ends it. Standard output holds the two lines on where it listens, standard error the log.
#[must_use]
pub fn serve(settings: Serve) -> ExitCode {
    let log = tracing_subscriber::fmt()
        .with_env_filter(EnvFilter::new(directives(&settings.log)))
        .with_writer(std::io::stderr);
    match settings.log_format {
        LogFormat::Text => log.init(),
        LogFormat::Json => log.json().flatten_event(true).init(),
    }
    let served = server::run(settings, |address, _| {
        let mut out = std::io::stdout().lock();
        // A closed standard output is no reason not to serve.
        let _ = writeln!(out, "brimline: listening on http://{address}");
        let _ = writeln!(out, "documentation: http://{address}/docs");
        let _ = out.flush();
    });
    match served {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("brimline: {error}");
            ExitCode::FAILURE
        }
    }
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

/// What is logged at a level.
fn directives(level: &str) -> String {
    match level {
        "debug" | "trace" => level.to_owned(),
        // A request that cannot be parsed is the caller's error: actix would log each one as an error of the service.
        _ => format!("{level},actix_http=off"),
    }
}
