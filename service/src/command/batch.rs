//! `brimline ask batch`: from lines to lines in constant memory, without the bounds of a request over HTTP.
//!
//! Exit codes: 0 read to its end, whatever its lines say; 1 a check of a line is over its limit and `--fail-on over_limit` was given;
//! 2 something cannot be read or written: then the end line is missing.

use crate::question::Context;
use crate::question::batch::{self, Counts, LONGEST_LINE, MARK};
use crate::settings::{Ask, FailOn};
use brimline_openapi::Outcome;
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use serde::Deserialize;
use serde_json::Value;
use std::cell::Cell;
use std::fs::{File, OpenOptions};
use std::io::{self, BufRead, BufReader, BufWriter, ErrorKind, Seek as _, SeekFrom, Write};
use std::path::Path;
use std::process::ExitCode;
use std::sync::mpsc::sync_channel;
use std::time::Duration;

/// Something cannot be read or written.
const FAILED: u8 = 2;
/// Lines that one thread answers before the next ones are read.
const AT_A_TIME: usize = 256;
/// Parts that each thread may have before it: one that it answers and one that it goes on with.
const AHEAD: usize = 2;
/// Room for the text of a reply with figures only, octets.
const A_REPLY: usize = 3 * 1024;
/// Buffer of what is read and written.
const BUFFER: usize = 256 * 1024;

/// Answers every line of a file or of standard input.
#[must_use]
pub fn batch(settings: &Ask) -> ExitCode {
    match answered(settings) {
        Ok(counts) => {
            let Counts { answered, refused, .. } = counts;
            eprintln!("brimline: {} lines, {answered} answered, {refused} refused", answered + refused);
            let over = counts.over_limit > 0 && settings.fail_on == Some(FailOn::OverLimit);
            if over { ExitCode::from(1) } else { ExitCode::SUCCESS }
        }
        // A reader that closed the pipe has seen what it wanted.
        Err(Stopped::Write(error)) if error.kind() == ErrorKind::BrokenPipe => ExitCode::SUCCESS,
        Err(stopped) => {
            eprintln!("brimline: {stopped}");
            ExitCode::from(FAILED)
        }
    }
}

/// Why a batch was not read to its end.
#[derive(Debug, thiserror::Error)]
enum Stopped {
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
}

fn answered(settings: &Ask) -> Result<Counts, Stopped> {
    let (name, mut lines, size) = input(settings.file.as_deref())?;
    let (mut out, done) = output(settings, &mut lines)?;
    let read = |error| Stopped::Read(name.clone(), error);
    let bar = progress(size);
    let Done { last: mut number, mut counts } = done;
    let context = Context { relaxed_rules_allowed: settings.allow_relaxed_rules };
    let ended = pipeline(context, |ask, next| {
        loop {
            let part = lines.part().map_err(read)?;
            let last = part.is_empty();
            if !last {
                let first = number + 1;
                number += part.len() as u64;
                ask(Part { first, lines: part });
            }
            // All that is left is taken at the end, else no more than what keeps every thread busy is on its way.
            while let Some(told) = next(last) {
                let (text, of_part) = told?;
                out.write_all(&text).map_err(Stopped::Write)?;
                counts.add(of_part);
            }
            if last {
                return Ok(());
            }
            bar.set_position(lines.seen);
            bar.set_message(format!("{} lines", counts.answered + counts.refused));
        }
    });
    ended?;
    bar.finish_and_clear();
    out.write_all(counts.end().as_bytes()).and_then(|()| out.flush()).map_err(Stopped::Write)?;
    Ok(counts)
}

/// A part of a batch: its lines and the number of the first.
struct Part {
    first: u64,
    lines: Vec<Vec<u8>>,
}

/// The reply lines of a part, and what they count.
type Told = (Vec<u8>, Counts);

impl Part {
    fn answered(&self, context: Context) -> Told {
        let mut text = Vec::with_capacity(self.lines.len() * A_REPLY);
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

/// The lines of a batch, each without its end; of one that is too long only as much as shows that it is.
struct Lines {
    from: Box<dyn BufRead>,
    /// Octets read so far.
    seen: u64,
}

impl Lines {
    fn next(&mut self) -> io::Result<Option<Vec<u8>>> {
        let mut line = Vec::new();
        let mut any = false;
        loop {
            let read = self.from.fill_buf()?;
            if read.is_empty() {
                return Ok(any.then_some(line));
            }
            any = true;
            let end = read.iter().position(|byte| *byte == b'\n');
            let text = read.get(..end.unwrap_or(read.len())).unwrap_or_default();
            let room = (LONGEST_LINE + 1).saturating_sub(line.len());
            line.extend_from_slice(text.get(..room).unwrap_or(text));
            let used = text.len() + usize::from(end.is_some());
            self.from.consume(used);
            self.seen += used as u64;
            if end.is_some() {
                return Ok(Some(line));
            }
        }
    }

    fn part(&mut self) -> io::Result<Vec<Vec<u8>>> {
        let mut part = Vec::with_capacity(AT_A_TIME);
        while part.len() < AT_A_TIME {
            let Some(line) = self.next()? else { break };
            part.push(line);
        }
        Ok(part)
    }
}

/// What is read, its name, and how large it is where that is known.
fn input(file: Option<&Path>) -> Result<(String, Lines, Option<u64>), Stopped> {
    let Some(file) = file.filter(|file| file.as_os_str() != "-") else {
        let from = Box::new(BufReader::with_capacity(BUFFER, io::stdin()));
        return Ok(("standard input".to_owned(), Lines { from, seen: 0 }, None));
    };
    let name = shown(Some(file));
    let opened = File::open(file).map_err(|error| Stopped::Read(name.clone(), error))?;
    let size = opened.metadata().ok().filter(std::fs::Metadata::is_file).map(|file| file.len());
    let from = Box::new(BufReader::with_capacity(BUFFER, opened));
    Ok((name, Lines { from, seen: 0 }, size))
}

fn shown(file: Option<&Path>) -> String {
    file.map(|file| file.display().to_string()).unwrap_or_default()
}

/// How far an earlier run came.
#[derive(Debug, Default)]
struct Done {
    /// The last line that it answered.
    last: u64,
    counts: Counts,
}

/// What is written to, and what stands there already.
fn output(settings: &Ask, lines: &mut Lines) -> Result<(Box<dyn Write>, Done), Stopped> {
    let Some(file) = &settings.output else {
        if settings.resume {
            return Err(Stopped::NoOutput);
        }
        return Ok((Box::new(BufWriter::with_capacity(BUFFER, io::stdout())), Done::default()));
    };
    let name = shown(Some(file));
    if !settings.resume && file.exists() {
        return Err(Stopped::Exists(name));
    }
    let mut opened = OpenOptions::new()
        .read(true)
        .write(true)
        .create(true)
        .truncate(false)
        .open(file)
        .map_err(Stopped::Write)?;
    let (done, length) = done(&opened, &name, lines)?;
    // A line that was cut off is asked again.
    opened.set_len(length).and_then(|()| opened.seek(SeekFrom::End(0))).map_err(Stopped::Write)?;
    Ok((Box::new(BufWriter::with_capacity(BUFFER, opened)), done))
}

/// A line of an earlier run, as far as it tells what is done.
#[derive(Debug, Deserialize)]
struct Reply {
    line: Option<u64>,
    #[serde(rename = "ref", default)]
    reference: Value,
    status: Option<u16>,
    end: Option<bool>,
    answer: Option<Answered>,
}

#[derive(Debug, Deserialize)]
struct Answered {
    outcome: Outcome,
}

/// The `ref` of a line that was asked; null where it has none, or is no JSON.
fn reference(line: &[u8]) -> Value {
    #[derive(Deserialize)]
    struct Asked {
        #[serde(rename = "ref", default)]
        reference: Value,
    }
    let line = line.strip_prefix(MARK).unwrap_or(line);
    serde_json::from_slice::<Asked>(line).map_or(Value::Null, |asked| asked.reference)
}

/// What an earlier run has written, and how many octets of it are whole lines. The lines that it answered are read along: whoever has
/// changed the batch since, so that another `ref` stands there, gets no old answers beside new lines.
fn done(file: &File, name: &str, lines: &mut Lines) -> Result<(Done, u64), Stopped> {
    let read = |error| Stopped::Read(name.to_owned(), error);
    let mut from = BufReader::with_capacity(BUFFER, file);
    let (mut done, mut length, mut line) = (Done::default(), 0, Vec::new());
    loop {
        line.clear();
        let octets = from.read_until(b'\n', &mut line).map_err(read)?;
        if !line.ends_with(b"\n") {
            return Ok((done, length));
        }
        match serde_json::from_slice::<Reply>(&line) {
            Ok(Reply { end: Some(true), .. }) => return Err(Stopped::Ended(name.to_owned())),
            Ok(Reply { line: Some(number), status: Some(status), answer, reference: told, .. })
                if number > done.last =>
            {
                let mut asked = None;
                for _ in done.last..number {
                    asked = lines.next().map_err(read)?;
                }
                // Of a refused line the reply may have no `ref`: it could not be read.
                let same = asked.is_some_and(|asked| status != 200 || reference(&asked) == told);
                if !same {
                    return Err(Stopped::Other(name.to_owned()));
                }
                done.last = number;
                let answered = u64::from(status == 200);
                let over = answer.is_some_and(|answer| answer.outcome == Outcome::OverLimit);
                done.counts.add(Counts { answered, refused: 1 - answered, over_limit: u64::from(over) });
                length += octets as u64;
            }
            // Nobody's file is cut short for a wrong name.
            _ => return Err(Stopped::Other(name.to_owned())),
        }
    }
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
