//! `brimline ask batch`: from lines to lines in constant memory, without the bounds of a request over HTTP.
//!
//! Exit codes: 0 read to its end, whatever its lines say; 1 a line is what `--fail-on` names, for `not_within` also a line that
//! was refused, or with `--fail-on` there is no line at all; 2 something cannot be read or written; 4 the service of `--server` did not answer. With 2 and 4 the end line is missing.

use super::batch_done::{Done, output};
use super::batch_lines::{Lines, input};
use super::batch_server;
use super::service::{NO_ANSWER, ServerFault};
use crate::question::Context;
use crate::question::batch::{self, Counts};
use crate::settings::{Ask, PrintedAs};
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::cell::Cell;
use std::io::{self, ErrorKind, Write};
use std::process::ExitCode;
use std::sync::mpsc::sync_channel;
use std::time::Duration;

/// Something cannot be read or written.
const FAILED: u8 = 2;
/// Parts that each thread may have before it: one that it answers and one that it goes on with.
const AHEAD: usize = 2;
/// Room for the text of a reply with figures only, octets.
const A_REPLY: usize = 3 * 1024;

/// Answers every line of a file or of standard input.
#[must_use]
pub fn batch(settings: &Ask) -> ExitCode {
    match answered(settings) {
        Ok(counts) => {
            let Counts { answered, refused, .. } = counts;
            eprintln!("brimline: {} lines, {answered} answered, {refused} refused", answered + refused);
            if settings.fail_on.is_some_and(|fail_on| fail_on.fails_batch(counts)) {
                if counts.is_empty() {
                    eprintln!("brimline: the batch has no lines: with --fail-on that is no yes");
                }
                ExitCode::from(1)
            } else {
                ExitCode::SUCCESS
            }
        }
        // A reader that closed the pipe has seen what it wanted.
        Err(Stopped::Write(error)) if error.kind() == ErrorKind::BrokenPipe => ExitCode::SUCCESS,
        Err(stopped) => {
            eprintln!("brimline: {stopped}");
            if matches!(stopped, Stopped::Service { .. }) && settings.output.is_some() {
                eprintln!("brimline: what came is kept; `--resume` goes on with it");
            }
            ExitCode::from(if matches!(stopped, Stopped::Service { .. }) { NO_ANSWER } else { FAILED })
        }
    }
}

/// Why a batch was not read to its end.
#[derive(Debug, thiserror::Error)]
pub enum Stopped {
    #[error("{0} cannot be read: {1}")]
    Read(String, io::Error),
    #[error("the replies cannot be written: {0}")]
    Write(io::Error),
    #[error("{0} is there already: `--resume` goes on with it; else name another file")]
    Exists(String),
    #[error("`--resume` goes on with a file: name it with `--output`")]
    NoOutput,
    #[error("a thread that answers has ended before its time")]
    Lost,
    #[error("{0} does not hold replies of this batch")]
    Other(String),
    #[error("{0} ends with the end line already: nothing is left to ask")]
    Ended(String),
    #[error(
        "a batch has its requests in its lines and answers in lines of JSON: leave off `--format` and the flags of a request"
    )]
    OneQuestion,
    #[error("{0}")]
    Server(ServerFault),
    #[error("line {line} and those after it were not answered: {why}")]
    Service { line: u64, why: String },
}

/// A batch under way.
pub struct Run {
    /// What is read, as it is named.
    pub name: String,
    /// Its lines.
    pub lines: Lines,
    /// Number of the last line that was read.
    pub number: u64,
    /// Where the replies go.
    pub out: Box<dyn Write>,
    /// What was answered and refused so far.
    pub counts: Counts,
    /// Shows how far it came.
    pub bar: ProgressBar,
}

impl Run {
    /// Shows how far it came: how many octets of the batch are answered.
    pub fn show(&self, octets: u64) {
        self.bar.set_position(octets);
        self.bar.set_message(format!("{} lines", self.counts.answered + self.counts.refused));
    }

    /// What failed while lines were read.
    pub fn unread(&self) -> impl Fn(io::Error) -> Stopped + use<> {
        let name = self.name.clone();
        move |error| Stopped::Read(name.clone(), error)
    }
}

fn answered(settings: &Ask) -> Result<Counts, Stopped> {
    if !settings.fields.pairs().is_empty() || settings.format != PrintedAs::Json {
        return Err(Stopped::OneQuestion);
    }
    let service = batch_server::server(settings)?;
    let (name, mut lines, size) = input(settings.file.as_deref())?;
    let (out, Done { last: number, counts }) = output(settings, &mut lines)?;
    let mut run = Run { name, lines, number, out, counts, bar: progress(size) };
    let asked = match service {
        Some(service) => service.ask(&mut run),
        None => here(&mut run, Context { relaxed_rules_allowed: settings.allow_relaxed_rules }),
    };
    run.bar.finish_and_clear();
    // What came before it stopped is kept.
    let end = if asked.is_ok() { run.counts.end() } else { String::new() };
    let written = run.out.write_all(end.as_bytes()).and_then(|()| run.out.flush()).map_err(Stopped::Write);
    asked.and(written)?;
    Ok(run.counts)
}

/// Answers the lines in this process.
fn here(run: &mut Run, context: Context) -> Result<(), Stopped> {
    // Room for replies goes round, so that its memory is not fetched anew for each part.
    let mut spare = Vec::new();
    pipeline(context, |ask, next| {
        loop {
            let part = run.lines.part().map_err(run.unread())?;
            let last = part.is_empty();
            if !last {
                let first = run.number + 1;
                run.number += part.len() as u64;
                ask(Part { first, lines: part, text: spare.pop().unwrap_or_default() });
            }
            // All that is left is taken at the end, else no more than what keeps every thread busy is on its way.
            while let Some(told) = next(last) {
                let (mut text, of_part) = told?;
                run.out.write_all(&text).map_err(Stopped::Write)?;
                text.clear();
                spare.push(text);
                run.counts.add(of_part);
            }
            if last {
                return Ok(());
            }
            run.show(run.lines.seen);
        }
    })
}

/// A part of a batch: its lines and the number of the first.
struct Part {
    first: u64,
    lines: Vec<Vec<u8>>,
    /// Where the replies go: empty.
    text: Vec<u8>,
}

/// The reply lines of a part, and what they count.
type Told = (Vec<u8>, Counts);

impl Part {
    fn answered(self, context: Context) -> Told {
        let mut text = self.text;
        text.reserve(self.lines.len() * A_REPLY);
        let mut counts = Counts::default();
        for (number, line) in (self.first..).zip(&self.lines) {
            counts.add(batch::answer(number, line, context, &mut text));
        }
        (text, counts)
    }
}

/// Threads that answer parts, dealt to them in turn: `run` gets what gives them a part, and what takes the answers of the oldest part
/// where enough are on their way or the rest is wanted.
fn pipeline<T>(
    context: Context,
    run: impl FnOnce(&mut dyn FnMut(Part), &mut dyn FnMut(bool) -> Option<Result<Told, Stopped>>) -> T,
) -> T {
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    std::thread::scope(|scope| {
        let workers: Vec<_> = (0..threads)
            .map(|_| {
                let (ask, asked) = sync_channel::<Part>(AHEAD);
                let (answer, answers) = sync_channel::<Told>(AHEAD);
                scope.spawn(move || {
                    // A line that panics is caught where it is answered.
                    for part in asked {
                        if answer.send(part.answered(context)).is_err() {
                            break;
                        }
                    }
                });
                (ask, answers)
            })
            .collect();
        let (given, taken) = (Cell::new(0_usize), Cell::new(0_usize));
        let mut ask = |part| {
            if let Some((ask, _)) = workers.get(given.get() % threads) {
                // Fails only if the thread is gone; then its answers are missed.
                let _ = ask.send(part);
            }
            given.set(given.get() + 1);
        };
        let mut next = |rest: bool| {
            let on_their_way = given.get() - taken.get();
            if on_their_way == 0 || (!rest && on_their_way < threads * AHEAD) {
                return None;
            }
            let (_, answers) = workers.get(taken.get() % threads)?;
            taken.set(taken.get() + 1);
            Some(answers.recv().map_err(|_| Stopped::Lost))
        };
        run(&mut ask, &mut next)
    })
}

/// A bar on a terminal; nothing elsewhere.
fn progress(size: Option<u64>) -> ProgressBar {
    let bar = size.map_or_else(ProgressBar::new_spinner, ProgressBar::new);
    bar.set_draw_target(ProgressDrawTarget::stderr_with_hz(5));
    let form =
        if size.is_some() { "{bar:40} {percent} % {msg}, {eta} left" } else { "{spinner} {msg}, {elapsed}" };
    if let Ok(style) = ProgressStyle::with_template(form) {
        bar.set_style(style);
    }
    bar.enable_steady_tick(Duration::from_millis(500));
    bar
}
