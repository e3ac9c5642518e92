//! What the program does: serve, or answer one question.

mod ask;

pub use ask::ask;

use crate::http::server;
use crate::settings::{LogFormat, Serve};
use std::io::Write as _;
use std::process::ExitCode;
use tracing_subscriber::EnvFilter;

/// Serves until a signal ends it.
#[must_use]
pub fn serve(settings: Serve) -> ExitCode {
    let Ok(filter) = EnvFilter::try_new(&settings.log) else {
        eprintln!("brimline: --log {:?} is not a level; write error, warn, info or debug", settings.log);
        return ExitCode::FAILURE;
    };
    let log = tracing_subscriber::fmt().with_env_filter(filter).with_writer(std::io::stderr);
    match settings.log_format {
        LogFormat::Text => log.init(),
        LogFormat::Json => log.json().flatten_event(true).init(),
    }
    let listen = settings.listen;
    let said = server::run(settings, |address, _| {
        let mut out = std::io::stdout().lock();
        // A closed standard output is no reason not to serve.
        let _ = writeln!(out, "brimline: listening on http://{address}");
        let _ = writeln!(out, "documentation: http://{address}/docs");
        let _ = out.flush();
    });
    match said {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("brimline: cannot serve on {listen}: {error}");
            ExitCode::FAILURE
        }
    }
}
