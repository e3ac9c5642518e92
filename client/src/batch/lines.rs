//! The lines of a reply to a part of a batch.

use super::NDJSON;
use crate::{Error, reply};
use brimline_openapi::Problem;
use reqwest::{RequestBuilder, Response};
use serde::Deserialize;
use serde_json::Value;
use serde_json::value::RawValue;
use std::future::Future;
use std::time::Duration;

/// The lines of a reply, read one by one.
#[derive(Debug)]
pub struct ReplyLines {
    response: Response,
    /// What came and was not read yet: from `read` on, and without a line break up to `searched`.
    held: Vec<u8>,
    read: usize,
    searched: usize,
    /// How many lines were sent, and how many of them were told.
    sent: usize,
    told: usize,
}

/// One thing of a reply.
pub enum Reply {
    /// A line.
    Line(Line),
    /// The end, after as many lines as were sent.
    End,
}

/// A line of a reply.
pub struct Line {
    pub reference: Value,
    pub answer: Result<Box<RawValue>, Box<Problem>>,
}

/// A line as it is written. Not the contract's type: the answer is kept as it is.
#[derive(Deserialize)]
struct Written {
    line: Option<usize>,
    #[serde(rename = "ref", default)]
    reference: Value,
    answer: Option<Box<RawValue>>,
    problem: Option<Box<Problem>>,
    #[serde(default)]
    end: bool,
    lines: Option<usize>,
}

impl ReplyLines {
    /// The reply to a part of so many lines.
    pub async fn of(request: RequestBuilder, sent: usize, silence: Duration) -> Result<Self, Error> {
        let response =
            within(silence, request.send()).await?.map_err(|error| Error::unsent(error, silence))?;
        let response = within(silence, reply::accepted(response, NDJSON, silence)).await??;
        Ok(Self { response, held: Vec::new(), read: 0, searched: 0, sent, told: 0 })
    }

    /// The next line, or the end.
    pub async fn next(&mut self, silence: Duration) -> Result<Reply, Error> {
        let text = self.text(silence).await?;
        // A line that is cut in the middle has no line break and does not come here.
        let line: Written = serde_json::from_slice(text).map_err(|why| reply::not_understood(&why, text))?;
        if line.end {
            if line.lines == Some(self.sent) && self.told == self.sent {
                return Ok(Reply::End);
            }
            let why = format!("it ends after {} of {} lines", self.told, self.sent);
            return Err(reply::not_understood(&why, b""));
        }
        if line.line != Some(self.told + 1) {
            return Err(Self::another());
        }
        let answer = match (line.answer, line.problem) {
            (Some(answer), _) => Ok(answer),
            (None, Some(problem)) => Err(problem),
            (None, None) => return Err(reply::not_understood(&"a line has neither answer nor problem", b"")),
        };
        self.told += 1;
        Ok(Reply::Line(Line { reference: line.reference, answer }))
    }

    /// The text of the next line. Nothing is lost where the caller gives up while it waits.
    async fn text(&mut self, silence: Duration) -> Result<&[u8], Error> {
        loop {
            let new = self.held.get(self.searched..).unwrap_or_default();
            if let Some(place) = new.iter().position(|octet| *octet == b'\n') {
                let (from, to) = (self.read, self.searched + place);
                (self.read, self.searched) = (to + 1, to + 1);
                return Ok(self.held.get(from..to).unwrap_or_default());
            }
            self.held.drain(..self.read);
            (self.read, self.searched) = (0, self.held.len());
            if self.held.len() > reply::LARGEST {
                return Err(reply::not_understood(&"a line of it has no end", b""));
            }
            let chunk = within(silence, self.response.chunk()).await?;
            match chunk.map_err(|error| Error::unread(&error, silence))? {
                Some(chunk) => self.held.extend_from_slice(&chunk),
                None => return Err(Error::BrokenOff("it has no end line".to_owned())),
            }
        }
    }

    /// A line where another one was expected.
    pub fn another() -> Error {
        reply::not_understood(&"a line of it answers another line than the one that stood there", b"")
    }
}

async fn within<F: Future>(silence: Duration, what: F) -> Result<F::Output, Error> {
    tokio::time::timeout(silence, what).await.map_err(|_| Error::TimedOut(silence))
}
