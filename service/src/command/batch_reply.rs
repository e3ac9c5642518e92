//! What a service says to a part of a batch: its lines get the numbers that they have in the whole batch.

use super::batch::Run;
use super::batch_done::Reply;
use super::batch_server::Part;
use crate::http::batch::NDJSON;
use std::io::{self, BufRead, BufReader, Read as _};
use std::time::Duration;
use ureq::Body;
use ureq::http::Response;
use ureq::http::header::{CONTENT_TYPE, LOCATION, RETRY_AFTER};

/// Longest reply line, octets: a plan in full detail takes some hundred thousand.
const LONGEST_REPLY: u64 = 64 * 1024 * 1024;
/// What is read of a problem document.
const LONGEST_PROBLEM: u64 = 64 * 1024;
/// Replies between two looks at the progress bar.
const SHOWN_EVERY: usize = 64;
/// How the lines of a reply begin.
const HEAD: &[u8] = b"{\"line\":";

/// Why a part was not answered to its end.
#[derive(Debug)]
pub enum Broken {
    /// It may be answered a moment later, or after the time that the service asks to wait.
    Again(String, Option<Duration>),
    /// Asking again does not mend it.
    ForGood(String),
    /// The reply cannot be written.
    Write(io::Error),
}

/// Whether the service took the part.
pub fn accepted(response: &mut Response<Body>) -> Result<(), Broken> {
    let header = |name| response.headers().get(name).and_then(|value| value.to_str().ok());
    let content_type: String = header(CONTENT_TYPE).unwrap_or("no type").chars().take(60).collect();
    let status = response.status();
    match status.as_u16() {
        200 if content_type.starts_with(NDJSON) => return Ok(()),
        200 => return Err(Broken::ForGood(format!("the reply is {content_type} and not {NDJSON}"))),
        300..400 => {
            let to: String = header(LOCATION).unwrap_or("another address").chars().take(200).collect();
            return Err(Broken::ForGood(format!("{status}, to {to}: name the address that answers")));
        }
        _ => {}
    }
    let after = header(RETRY_AFTER).and_then(|text| text.trim().parse().ok()).map(Duration::from_secs);
    let why = format!("{status}, {}", detail(response).unwrap_or(content_type));
    match status.as_u16() {
        408 | 429 | 502..=504 => Err(Broken::Again(why, after)),
        _ => Err(Broken::ForGood(why)),
    }
}

/// The text of a problem document.
fn detail(response: &mut Response<Body>) -> Option<String> {
    let mut text = Vec::new();
    response.body_mut().as_reader().take(LONGEST_PROBLEM).read_to_end(&mut text).ok()?;
    let problem: serde_json::Value = serde_json::from_slice(&text).ok()?;
    Some(problem.get("detail")?.as_str()?.chars().filter(|one| !one.is_control()).take(500).collect())
}

/// Writes the replies to the lines of a part, from the line that stands `at` in it, which goes on with each line.
pub fn taken(response: Response<Body>, part: &Part, at: &mut usize, run: &mut Run) -> Result<(), Broken> {
    let mut from = BufReader::new(response.into_body().into_reader());
    let (first, before) = (*at, part.empty_before(*at));
    let mut line = Vec::new();
    loop {
        line.clear();
        let read = from.by_ref().take(LONGEST_REPLY).read_until(b'\n', &mut line);
        if line.len() as u64 == LONGEST_REPLY && !line.ends_with(b"\n") {
            return Err(Broken::ForGood("a line of the reply has no end".to_owned()));
        }
        let reply = line.ends_with(b"\n").then(|| serde_json::from_slice::<Reply>(&line));
        let Some(Ok(reply)) = reply else {
            // With every line answered, nothing that matters is missing.
            if *at == part.len() {
                return Ok(());
            }
            let why = read.err().map_or_else(String::new, |error| format!(": {error}"));
            return Err(Broken::Again(format!("the reply broke off{why}"), None));
        };
        let told = (*at - first) as u64;
        if reply.end {
            if reply.lines == Some(told) && *at == part.len() {
                return Ok(());
            }
            let wanted = part.len() - first;
            return Err(Broken::ForGood(format!("the reply ends after {told} of {wanted} lines")));
        }
        let expected = told + before + 1;
        let (Some((number, asked)), Some(rest)) = (part.line(*at), renumbered(&line, expected)) else {
            return Err(Broken::ForGood(format!("the reply has another line where line {expected} stood")));
        };
        if !reply.answers(asked) {
            return Err(Broken::ForGood(format!("the reply to line {number} is one to another line")));
        }
        let out = &mut run.out;
        out.write_all(HEAD)
            .and_then(|()| write!(out, "{number}"))
            .and_then(|()| out.write_all(rest))
            .map_err(Broken::Write)?;
        run.counts.add(reply.counted());
        *at += 1;
        if at.is_multiple_of(SHOWN_EVERY) || *at == part.len() {
            run.show(part.octets(*at));
        }
    }
}

/// What stands behind the number of a reply line, if it has the expected one.
fn renumbered(line: &[u8], expected: u64) -> Option<&[u8]> {
    let rest = line.strip_prefix(HEAD)?.strip_prefix(expected.to_string().as_bytes())?;
    (rest.first() == Some(&b',')).then_some(rest)
}
