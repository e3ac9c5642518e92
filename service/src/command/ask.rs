//! `brimline ask`: one question from a file or standard input.
//!
//! Exit codes: 0 answered; 1 a check is over its limit and `--fail-on over_limit` was given; 2 the request was wrong,
//! or could not be read, or the reply could not be written; 3 the reply is not complete (1 wins over 3), and of `recheck`
//! that it is not known whether today's reply is the same.

use crate::question::{self, Answer, Context, Refusal, Written, json};
use crate::settings::{Ask, FailOn};
use brimline_openapi::Outcome;
use brimline_openapi::operations::{self, RECHECK};
use serde_json::Value;
use std::io::{self, ErrorKind, Read as _, Write as _};
use std::path::Path;
use std::process::ExitCode;

/// The request was wrong.
const WRONG: u8 = 2;

/// Answers one question.
#[must_use]
pub fn ask(settings: &Ask) -> ExitCode {
    let answer = match answered(settings) {
        Ok(answer) => answer,
        Err(refusal) => {
            let document = serde_json::to_string(&refusal.problem()).unwrap_or_default();
            let _ = writeln!(io::stderr(), "{document}");
            return ExitCode::from(WRONG);
        }
    };
    match printed(&answer.json) {
        // A reader that closed the pipe has seen what it wanted.
        Err(error) if error.kind() != ErrorKind::BrokenPipe => {
            let _ = writeln!(io::stderr(), "brimline: the reply cannot be written: {error}");
            ExitCode::from(WRONG)
        }
        _ => exit_code(settings.fail_on, &answer),
    }
}

fn exit_code(fail_on: Option<FailOn>, answer: &Answer) -> ExitCode {
    match (fail_on, answer.outcome) {
        (Some(FailOn::OverLimit), Outcome::OverLimit) => ExitCode::from(1),
        _ if !answer.complete => ExitCode::from(3),
        _ => ExitCode::SUCCESS,
    }
}

/// The bytes of a reply over HTTP, and the end of the line.
fn printed(json: &[u8]) -> io::Result<()> {
    let mut out = io::stdout().lock();
    out.write_all(json)?;
    out.write_all(b"\n")?;
    out.flush()
}

fn answered(settings: &Ask) -> Result<Answer, Refusal> {
    if settings.output.is_some() || settings.resume || settings.server.is_some() {
        let detail = "`--output`, `--resume` and `--server` are for `ask batch`; redirect standard output for one question";
        return Err(Refusal::whole("impossible-value", detail));
    }
    // Said before standard input is read: nobody types a request to learn that its question has another name.
    let known = operations::question(&settings.question).is_some() || settings.question == RECHECK.name;
    let request = match known {
        true => json::read(&read(settings.file.as_deref())?)?,
        false => Value::Null,
    };
    let context = Context { relaxed_rules_allowed: settings.allow_relaxed_rules };
    question::ask(&settings.question, &request, Written::Json, context)
}

fn read(file: Option<&Path>) -> Result<Vec<u8>, Refusal> {
    let unreadable = |what: String| {
        move |error: io::Error| Refusal::whole("not-json", format!("{what} cannot be read: {error}"))
    };
    match file.filter(|file| file.as_os_str() != "-") {
        Some(file) => std::fs::read(file).map_err(unreadable(file.display().to_string())),
        None => {
            let mut bytes = Vec::new();
            io::stdin().lock().read_to_end(&mut bytes).map_err(unreadable("standard input".to_owned()))?;
            Ok(bytes)
        }
    }
}
