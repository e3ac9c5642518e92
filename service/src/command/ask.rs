//! `brimline ask`: one question from a file, standard input or flags, answered here or by a running service.
//!
//! Exit codes: 0 answered, and of `recheck`, confirmed; 1 the answer is what `--fail-on` names, or `recheck` does not confirm the
//! earlier one; 2 the request was wrong, or could not be read, or the reply could not be written; 3 the reply is not complete (1 wins
//! over 3), and of `recheck` that it is not known whether today's reply is the same; 4 the service of `--server` did not answer, or
//! not this caller.

use super::ask_server;
use super::refused;
use super::service::{NO_ANSWER, ServerFault, Service};
use super::table;
use crate::http::questions::written;
use crate::question::{self, Context, Refusal, Written, json, query};
use crate::settings::{Ask, FailOn, PrintedAs};
use brimline_openapi::operations::{self, Format, RECHECK};
use brimline_openapi::{Ending, Problem, Same};
use serde_json::Value;
use std::io::{self, ErrorKind, Read as _, Write as _};
use std::path::Path;
use std::process::ExitCode;

/// The answer is what `--fail-on` names, or the earlier one is not confirmed.
const FAILED: u8 = 1;
/// The reply is not complete.
const NOT_KNOWN: u8 = 3;
/// The request was wrong.
const WRONG: u8 = 2;

/// What is printed, and what the exit code tells of it.
#[derive(Debug)]
pub struct Told {
    /// What goes to standard output.
    pub text: Vec<u8>,
    /// How the reply ends.
    pub ending: Ending,
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
        _ => ExitCode::from(exit_code(settings.fail_on, told.ending)),
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

fn exit_code(fail_on: Option<FailOn>, ending: Ending) -> u8 {
    // Whoever rechecks asks whether the earlier answer still stands: "no" is no success, whatever today's outcome.
    if ending.same == Some(Same::No) || fail_on.is_some_and(|fail_on| fail_on.fails(ending)) {
        FAILED
    } else if !ending.is_known() {
        NOT_KNOWN
    } else {
        0
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
    let asked = if settings.question == RECHECK.name { asked.earlier() } else { asked };
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

    /// For `recheck`: a file that is itself a reply, or the record of one, is what would stand in the request.
    fn earlier(self) -> Self {
        let Self::File(octets) = self else { return self };
        // What cannot be read is refused where it is read.
        let value = json::read(&octets).unwrap_or_default();
        let has = |name| value.get(name).is_some();
        let head: &[u8] = if has("record") && has("sentence") {
            b"{\"reply\":"
        } else if has("question_digest") {
            b"{\"record\":"
        } else {
            return Self::File(octets);
        };
        Self::File([head, &octets, b"}"].concat())
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
        let ending = answer.ending()?;
        let text = match settings.format {
            PrintedAs::Table => table::text(&answer.json)?,
            _ => written(answer, format)?.1,
        };
        Ok(Told { text, ending })
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
