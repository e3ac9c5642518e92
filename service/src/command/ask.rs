//! `brimline ask`: one question from a file, standard input or flags, answered here or by a running service.
//!
//! Exit codes: 0 answered; 1 a check is over its limit and `--fail-on over_limit` was given; 2 the request was wrong,
//! or could not be read, or the reply could not be written; 3 the reply is not complete (1 wins over 3), and of `recheck`
//! that it is not known whether today's reply is the same; 4 the service of `--server` did not answer.

use super::ask_server;
use super::refused;
use super::service::{NO_ANSWER, ServerFault, Service};
use super::table;
use crate::http::questions::written;
use crate::question::{self, Context, Refusal, Written, json, query};
use crate::settings::{Ask, FailOn, PrintedAs};
use brimline_openapi::operations::{self, Format, RECHECK};
use brimline_openapi::{Outcome, Problem, Same};
use serde::Deserialize;
use serde_json::Value;
use std::io::{self, ErrorKind, Read as _, Write as _};
use std::path::Path;
use std::process::ExitCode;

/// The request was wrong.
const WRONG: u8 = 2;

/// What is printed, and what the exit code tells of it.
#[derive(Debug)]
pub struct Told {
    /// What goes to standard output.
    pub text: Vec<u8>,
    /// The worst that was found.
    pub outcome: Outcome,
    /// Whether all that can be checked was.
    pub complete: bool,
}

/// The part of a reply that tells how it ends.
#[derive(Debug, Deserialize)]
pub struct Ending {
    /// The worst that was found.
    pub outcome: Outcome,
    /// Whether all that can be checked was; `recheck` says whether it is `same` instead.
    complete: Option<bool>,
    same: Option<Same>,
}

impl Ending {
    /// Whether all that was asked is known.
    pub fn is_complete(&self) -> bool {
        self.complete.unwrap_or(matches!(self.same, Some(Same::Yes | Same::No)))
    }
}

/// Why nothing was printed.
#[derive(Debug)]
pub enum Unanswered {
    /// The request was refused, by this program or by the service; what was sent is kept, so that a place in it can be shown.
    Refused(Box<Problem>, Value),
    /// The service cannot be asked.
    Server(ServerFault),
    /// The service did not answer.
    NoAnswer(String),
}

impl From<Refusal> for Unanswered {
    fn from(refusal: Refusal) -> Self {
        Self::Refused(Box::new(refusal.problem()), Value::Null)
    }
}

/// Answers one question.
#[must_use]
pub fn ask(settings: &Ask) -> ExitCode {
    let told = match answered(settings) {
        Ok(told) => told,
        Err(unanswered) => return not_told(settings, unanswered),
    };
    match printed(&told.text) {
        // A reader that closed the pipe has seen what it wanted.
        Err(error) if error.kind() != ErrorKind::BrokenPipe => {
            let _ = writeln!(io::stderr(), "brimline: the reply cannot be written: {error}");
            ExitCode::from(WRONG)
        }
        _ => exit_code(settings.fail_on, &told),
    }
}

fn not_told(settings: &Ask, unanswered: Unanswered) -> ExitCode {
    let (text, code) = match unanswered {
        Unanswered::Refused(problem, request) => {
            let text = match settings.format {
                PrintedAs::Table => refused::text(&problem, &request),
                _ => serde_json::to_string(&problem).unwrap_or_default(),
            };
            (text, WRONG)
        }
        Unanswered::Server(fault) => (format!("brimline: {fault}"), WRONG),
        Unanswered::NoAnswer(why) => (format!("brimline: {why}"), NO_ANSWER),
    };
    let _ = writeln!(io::stderr(), "{text}");
    ExitCode::from(code)
}

fn exit_code(fail_on: Option<FailOn>, told: &Told) -> ExitCode {
    match (fail_on, told.outcome) {
        // A word that this program does not know counts as the worst.
        (Some(FailOn::OverLimit), Outcome::OverLimit | Outcome::Unknown) => ExitCode::from(1),
        _ if !told.complete => ExitCode::from(3),
        _ => ExitCode::SUCCESS,
    }
}

/// What is told, and the end of its last line.
fn printed(text: &[u8]) -> io::Result<()> {
    let mut out = io::stdout().lock();
    out.write_all(text)?;
    if !text.ends_with(b"\n") {
        out.write_all(b"\n")?;
    }
    out.flush()
}

fn answered(settings: &Ask) -> Result<Told, Unanswered> {
    if settings.output.is_some() || settings.resume {
        let detail =
            "`--output` and `--resume` are for `ask batch`; redirect standard output for one question";
        return Err(Refusal::whole("impossible-value", detail).into());
    }
    let service = Service::of(settings).map_err(Unanswered::Server)?;
    // Said before standard input is read: nobody types a request to learn that its question has another name.
    let known = operations::question(&settings.question)
        .or_else(|| (settings.question == RECHECK.name).then_some(&RECHECK));
    let format = known.map_or(Ok(Format::Json), |question| offered(settings.format, question))?;
    let asked = Asked::of(settings, known.is_some())?;
    match service {
        Some(service) => ask_server::told(&service, settings, &asked, format),
        None => here(settings, &asked, format),
    }
}

/// The request, as it was given.
#[derive(Debug)]
pub enum Asked {
    /// The octets of a file.
    File(Vec<u8>),
    /// Names and texts.
    Flags(Vec<(String, String)>),
}

impl Asked {
    fn of(settings: &Ask, read_input: bool) -> Result<Self, Refusal> {
        let pairs = settings.fields.pairs();
        match (&settings.file, pairs.is_empty()) {
            (Some(file), false) => {
                let detail =
                    format!("the request is given as flags and in {}: give one of them", file.display());
                Err(Refusal::whole("given-twice", detail))
            }
            (None, false) => Ok(Self::Flags(pairs.to_vec())),
            _ if !read_input => Ok(Self::Flags(Vec::new())),
            (file, true) => read(file.as_deref()).map(Self::File),
        }
    }

    /// The request, and how its leaves are written.
    ///
    /// # Errors
    /// As the readers of a body and of a query string.
    pub fn request(&self) -> Result<(Value, Written), Refusal> {
        match self {
            Self::File(octets) => Ok((json::read(octets)?, Written::Json)),
            Self::Flags(pairs) => query::of_pairs(pairs),
        }
    }
}

/// The format that a question is asked in.
fn offered(printed: PrintedAs, question: &operations::Question) -> Result<Format, Refusal> {
    let format = match printed {
        PrintedAs::Json | PrintedAs::Table => Format::Json,
        PrintedAs::Svg => Format::Svg,
        PrintedAs::Html => Format::Html,
        PrintedAs::Md => Format::Markdown,
        PrintedAs::Csv => Format::Csv,
    };
    if question.formats.contains(&format) {
        return Ok(format);
    }
    let words: Vec<&str> = question.formats.iter().map(|format| format.word()).collect();
    let detail = format!(
        "`{}` is not told as {}; it is told as table, {}",
        question.name,
        format.word(),
        words.join(", ")
    );
    Err(Refusal::whole("not-acceptable", detail))
}

fn here(settings: &Ask, asked: &Asked, format: Format) -> Result<Told, Unanswered> {
    let (request, how) = asked.request()?;
    let context = Context { relaxed_rules_allowed: settings.allow_relaxed_rules };
    let drawn = !matches!(format, Format::Json | Format::Csv);
    let ask = if drawn { question::ask_with_picture } else { question::ask };
    let told = ask(&settings.question, &request, how, context).and_then(|answer| {
        let (outcome, complete) = (answer.outcome, answer.complete);
        let text = match settings.format {
            PrintedAs::Table => table::text(&answer.json)?,
            _ => written(answer, format)?.1,
        };
        Ok(Told { text, outcome, complete })
    });
    told.map_err(|refusal| Unanswered::Refused(Box::new(refusal.problem()), request))
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
