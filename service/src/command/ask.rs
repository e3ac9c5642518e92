//! `brimline ask`: one question from a file or standard input.
//!
//! Exit codes: 0 answered; 1 a check is over its limit and `--fail-on over_limit` was given; 2 the request was wrong;
//! 3 the reply is not complete (1 wins over 3).

use crate::question::{self, Context, Refusal, Written, json};
use crate::settings::{Ask, FailOn};
use brimline_openapi::Outcome;
use std::io::{Read as _, Write as _};
use std::path::Path;
use std::process::ExitCode;

/// Answers one question.
#[must_use]
pub fn ask(settings: &Ask) -> ExitCode {
    match answered(settings) {
        Ok(answer) => {
            let mut out = std::io::stdout().lock();
            // A reader that closed the pipe has seen what it wanted.
            let _ =
                out.write_all(&answer.json).and_then(|()| out.write_all(b"\n")).and_then(|()| out.flush());
            match (settings.fail_on, answer.outcome) {
                (Some(FailOn::OverLimit), Outcome::OverLimit) => ExitCode::from(1),
                _ if !answer.complete => ExitCode::from(3),
                _ => ExitCode::SUCCESS,
            }
        }
        Err(refusal) => {
            let document = serde_json::to_string(&refusal.problem()).unwrap_or_default();
            let _ = writeln!(std::io::stderr(), "{document}");
            ExitCode::from(2)
        }
    }
}

fn answered(settings: &Ask) -> Result<question::Answer, Refusal> {
    if settings.question == "batch" {
        return Err(Refusal::whole("not-found", "`ask batch` is not built yet"));
    }
    let bytes = read(settings.file.as_deref())?;
    let request = json::read(&bytes)?;
    let context = Context { relaxed_rules_allowed: settings.allow_relaxed_rules };
    question::ask(&settings.question, &request, Written::Json, context)
}

fn read(file: Option<&Path>) -> Result<Vec<u8>, Refusal> {
    let unreadable = |what: String| {
        move |error: std::io::Error| Refusal::whole("not-json", format!("{what} cannot be read: {error}"))
    };
    match file.filter(|file| file.as_os_str() != "-") {
        Some(file) => std::fs::read(file).map_err(unreadable(file.display().to_string())),
        None => {
            let mut bytes = Vec::new();
            std::io::stdin()
                .lock()
                .read_to_end(&mut bytes)
                .map_err(unreadable("standard input".to_owned()))?;
            Ok(bytes)
        }
    }
}
