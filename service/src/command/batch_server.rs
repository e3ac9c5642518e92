//! `brimline ask batch --server`: the lines go to a running service, in parts within its bounds.
//!
//! A reply line is written as soon as it is there, so that memory is bounded by one part. Where a reply breaks off, the lines that are
//! not answered yet are asked again, and no other: a question asked twice has the same answer, and a line written twice would be wrong.

use super::batch::{Run, Stopped};
use super::batch_lines::CUT;
use super::batch_reply::{Broken, accepted, taken};
use super::service::Service;
use crate::http::batch::{LARGEST_BODY, NDJSON};
use crate::question::batch::{MOST_LINES, is_blank};
use crate::settings::Ask;
use std::time::{Duration, Instant};

/// Largest body of a request: a quarter of what a service takes, so that it arrives in time over a slow line.
const LARGEST: usize = LARGEST_BODY / 4;
/// Pause before the first further try, and the longest one; it doubles with each try in vain.
const FIRST_PAUSE: Duration = Duration::from_millis(250);
const LONGEST_PAUSE: Duration = Duration::from_secs(15);

/// A running service that is asked a batch.
pub struct BatchServer {
    service: Service,
    url: String,
    retry_for: Duration,
}

/// The service that the settings name.
pub fn server(settings: &Ask) -> Result<Option<BatchServer>, Stopped> {
    let service = Service::of(settings).map_err(Stopped::Server)?;
    Ok(service.map(|service| BatchServer {
        url: service.url("/v1/batch"),
        service,
        retry_for: Duration::from_millis(settings.retry_for_ms),
    }))
}

impl BatchServer {
    /// Asks every line that is left.
    pub fn ask(&self, run: &mut Run) -> Result<(), Stopped> {
        loop {
            let part = Part::next(run)?;
            if part.len() == 0 {
                return Ok(());
            }
            self.ask_part(&part, run)?;
        }
    }

    fn ask_part(&self, part: &Part, run: &mut Run) -> Result<(), Stopped> {
        let (mut at, mut until, mut pause) = (0, Instant::now() + self.retry_for, FIRST_PAUSE);
        loop {
            let before = at;
            let (why, after) = match self.send(part, &mut at, run) {
                Ok(()) => return Ok(()),
                Err(Broken::Write(error)) => return Err(Stopped::Write(error)),
                Err(Broken::ForGood(why)) => return Err(self.stopped(part, at, &why)),
                Err(Broken::Again(why, after)) => (why, after),
            };
            if at > before {
                (until, pause) = (Instant::now() + self.retry_for, FIRST_PAUSE);
            }
            let wait = after.unwrap_or(pause).max(FIRST_PAUSE);
            if Instant::now().checked_add(wait).is_none_or(|then| then > until) {
                return Err(self.stopped(part, at, &why));
            }
            let again = format!("{}: {why}; asking again in {:.1} s", self.url, wait.as_secs_f64());
            run.bar.suspend(|| eprintln!("brimline: {again}"));
            std::thread::sleep(wait);
            pause = (pause * 2).min(LONGEST_PAUSE);
        }
    }

    fn send(&self, part: &Part, at: &mut usize, run: &mut Run) -> Result<(), Broken> {
        let request = self.service.post(&self.url).header("content-type", NDJSON).header("accept", NDJSON);
        let mut response = request.send(part.body(*at)).map_err(|error| unsent(&error))?;
        accepted(&mut response)?;
        taken(response, part, at, run)
    }

    fn stopped(&self, part: &Part, at: usize, why: &str) -> Stopped {
        let line = part.line(at).map_or(0, |(number, _)| number);
        Stopped::Service { line, why: format!("{}: {why}", self.url) }
    }
}

/// Whether a request that was not answered is worth another try.
fn unsent(error: &ureq::Error) -> Broken {
    use ureq::Error::{
        BodyStalled, ConnectProxyFailed, ConnectionFailed, HostNotFound, Io, Protocol, Timeout,
    };
    let why = error.to_string();
    match error {
        // A certificate that is not trusted stays so.
        Io(error) if error.kind() == std::io::ErrorKind::InvalidData => Broken::ForGood(why),
        Io(_)
        | Timeout(_)
        | HostNotFound
        | ConnectionFailed
        | ConnectProxyFailed(_)
        | Protocol(_)
        | BodyStalled => Broken::Again(why, None),
        _ => Broken::ForGood(why),
    }
}

/// Lines that go in one request; blank ones are left out.
pub struct Part {
    /// Begins with an empty line: a service takes the mark of an encoding off its first line, which is right for the first one of the
    /// whole batch alone.
    text: Vec<u8>,
    lines: Vec<Line>,
}

struct Line {
    number: u64,
    start: usize,
    /// Octets of the batch up to the end of this line.
    octets: u64,
}

impl Part {
    fn next(run: &mut Run) -> Result<Self, Stopped> {
        let (mut text, mut lines) = (vec![b'\n'], Vec::new());
        while lines.len() < MOST_LINES - 1 && text.len() < LARGEST - CUT {
            let Some(line) = run.lines.next().map_err(run.unread())? else { break };
            run.number += 1;
            if is_blank(run.number, &line) {
                continue;
            }
            lines.push(Line { number: run.number, start: text.len(), octets: run.lines.seen });
            text.extend_from_slice(&line);
            text.push(b'\n');
        }
        Ok(Self { text, lines })
    }

    /// How many lines it has.
    pub const fn len(&self) -> usize {
        self.lines.len()
    }

    /// Number in the whole batch and text of a line.
    pub fn line(&self, at: usize) -> Option<(u64, &[u8])> {
        let line = self.lines.get(at)?;
        let end = self.lines.get(at + 1).map_or(self.text.len(), |next| next.start);
        Some((line.number, self.text.get(line.start..end - 1)?))
    }

    /// Octets of the batch up to the line before this one.
    pub fn octets(&self, at: usize) -> u64 {
        at.checked_sub(1).and_then(|last| self.lines.get(last)).map_or(0, |line| line.octets)
    }

    /// Empty lines before the first one, where a request begins with this line.
    pub fn empty_before(&self, at: usize) -> u64 {
        u64::from(self.lines.get(at).is_some_and(|line| line.number != 1))
    }

    /// A request that begins with this line.
    fn body(&self, at: usize) -> &[u8] {
        let start = self.lines.get(at).map_or(0, |line| line.start - usize::from(line.number != 1));
        self.text.get(start..).unwrap_or_default()
    }
}
