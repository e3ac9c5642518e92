//! What an earlier run of a batch has written, and where the next replies go.

use super::batch::Stopped;
use super::batch_lines::{BUFFER, Lines, shown};
use crate::question::batch::{Counts, MARK, is_blank};
use crate::settings::Ask;
use brimline_openapi::Ending;
use serde::Deserialize;
use serde_json::Value;
use std::fs::{File, OpenOptions};
use std::io::{self, BufRead as _, BufReader, BufWriter, Seek as _, SeekFrom, Write};

/// Status of a line that was answered.
const ANSWERED: u16 = 200;

/// How far an earlier run came.
#[derive(Debug, Default)]
pub struct Done {
    /// The last line that it answered.
    pub last: u64,
    pub counts: Counts,
}

/// What is written to, and what stands there already.
pub fn output(settings: &Ask, lines: &mut Lines) -> Result<(Box<dyn Write>, Done), Stopped> {
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

/// A reply line, as far as it tells what is done.
#[derive(Debug, Deserialize)]
pub struct Reply {
    /// The line that it answers.
    pub line: Option<u64>,
    #[serde(rename = "ref", default)]
    reference: Value,
    status: Option<u16>,
    /// Whether this is the end line.
    #[serde(default)]
    pub end: bool,
    /// Lines answered and refused, of the end line.
    pub lines: Option<u64>,
    answer: Option<Ending>,
}

impl Reply {
    /// Whether it answers this line: it has a status, and the `ref` of the line. Of a refused line the reply may have none, which could
    /// not be read then.
    pub fn answers(&self, asked: &[u8]) -> bool {
        self.status.is_some_and(|status| status != ANSWERED || reference(asked) == self.reference)
    }

    /// What it counts as.
    pub fn counted(&self) -> Counts {
        match (self.status, self.answer) {
            (Some(ANSWERED), Some(ending)) => Counts::answered(ending),
            // Nothing is known of how it ends.
            (Some(ANSWERED), None) => Counts { answered: 1, not_within: 1, ..Counts::default() },
            _ => Counts::refused(),
        }
    }
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
        // Nobody's file is cut short for a wrong name.
        let other = || Stopped::Other(name.to_owned());
        let reply: Reply = serde_json::from_slice(&line).map_err(|_| other())?;
        if reply.end {
            return Err(Stopped::Ended(name.to_owned()));
        }
        let number = reply.line.ok_or_else(other)?;
        // Only blank lines are without a reply.
        let asked = loop {
            let asked = lines.next().map_err(read)?.ok_or_else(other)?;
            done.last += 1;
            if done.last >= number || !is_blank(done.last, &asked) {
                break asked;
            }
        };
        if done.last != number || !reply.answers(&asked) {
            return Err(other());
        }
        done.counts.add(reply.counted());
        length += octets as u64;
    }
}
