//! `brimline token NAME`: a new token, shown once.

use crate::http::callers::{is_name, new_token};
use crate::settings::Token;
use std::io::Write as _;
use std::process::ExitCode;

/// Prints a new token and, below it, the line for the token file; what to do with them goes to standard error.
#[must_use]
pub fn token(settings: &Token) -> ExitCode {
    let failed = |what: &str| {
        eprintln!("brimline: {what}");
        ExitCode::FAILURE
    };
    if !is_name(&settings.name) {
        return failed("a name has 1 to 64 letters, digits, `.`, `_` and `-`");
    }
    let (token, line) = match new_token(&settings.name) {
        Ok(made) => made,
        Err(error) => return failed(&format!("the system gives no random bytes: {error}")),
    };
    let mut out = std::io::stdout().lock();
    if let Err(error) = writeln!(out, "{token}\n{line}").and_then(|()| out.flush()) {
        return failed(&format!("the token cannot be written: {error}"));
    }
    eprintln!(
        "brimline: first the token, for the caller, kept nowhere else; then the line for the file of --token-file, \
         followed by SIGHUP to the service"
    );
    ExitCode::SUCCESS
}
