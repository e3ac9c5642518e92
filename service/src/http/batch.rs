//! `POST /v1/batch`: read whole within its bounds, answered as a stream in the order of the lines.

use super::coding::{Coding, Packer};
use super::metrics::Metrics;
use super::server::State;
use super::{rate, read, reply, unpack};
use crate::question::batch::{self, Counts, MOST_LINES};
use crate::question::{Context, Refusal};
use actix_web::http::header::{CONTENT_ENCODING, CONTENT_LENGTH};
use actix_web::http::{ConnectionType, StatusCode};
use actix_web::web::Bytes;
use actix_web::{HttpRequest, HttpResponse, web};
use brimline_openapi::operations::BATCH;
use futures_util::StreamExt as _;
use futures_util::stream::{self, LocalBoxStream};
use std::io;
use std::ops::Range;
use std::sync::Arc;
use std::time::{Duration, Instant};
use tokio::sync::{OwnedSemaphorePermit, Semaphore};
use tokio::task::JoinError;

/// The type of a batch and of its reply: one JSON value a line.
pub const NDJSON: &str = "application/x-ndjson";
/// Largest body of a batch.
pub const LARGEST_BODY: usize = 16 * 1024 * 1024;
/// Largest body of a small batch.
const SMALL_BODY: usize = 64 * 1024;
/// Small batches that are answered at once, beside the others.
pub const MOST_SMALL: usize = 8;
/// Lines that one thread answers at a time: few enough that little is done in vain when the caller goes.
const AT_A_TIME: usize = 32;

/// A part of a batch: the number of its first line, and where its lines stand.
struct Part {
    first: u64,
    lines: Vec<Range<usize>>,
}

/// Answers a batch.
pub async fn post(request: HttpRequest, state: web::Data<State>, payload: web::Payload) -> HttpResponse {
    let start = Instant::now();
    let settings = &state.settings;
    let (body_timeout, batch_timeout) = (settings.body_timeout_ms, settings.batch_timeout_ms);
    let read = if is_small(&request) {
        // Read first: whoever sends little, and that slowly, keeps nobody away.
        let within = Duration::from_millis(body_timeout);
        match read::body(&request, payload, within, SMALL_BODY).await {
            Ok(body) => permit(&state.small_batches)
                .or_else(|| permit(&state.batches))
                .map(|permit| (permit, Ok(body))),
            Err(refusal) => return finished(reply::problem(&refusal), start, &state),
        }
    } else if let Some(permit) = permit(&state.batches) {
        // Taken before the body is read: what is held in memory is bounded by the number of batches.
        let within = Duration::from_millis(batch_timeout);
        Some((permit, read::body(&request, payload, within, LARGEST_BODY).await))
    } else {
        read::discarded(payload, Duration::from_millis(body_timeout)).await;
        None
    };
    let Some((permit, body)) = read else {
        state.load.shed("batches");
        let detail = "as many batches are answered as the service takes at once; try again later";
        return finished(reply::problem(&Refusal::whole("busy", detail)), start, &state);
    };
    let read = match body {
        Ok(body) => parts(&request, body).await,
        Err(refusal) => Err(refusal),
    };
    let (body, parts) = match read {
        Ok(read) => read,
        Err(refusal) => return finished(reply::problem(&refusal), start, &state),
    };
    let lines = parts.iter().map(|part| part.lines.len()).sum();
    if let Some(refused) = rate::of_lines(&request, &state, lines) {
        return finished(refused, start, &state);
    }
    // Whoever reads a batch reads many lines: they are packed whatever the first ones are.
    let Some(coding) = Coding::wanted(&request, LARGEST_BODY) else {
        return finished(reply::no_coding(), start, &state);
    };
    let packer = match Packer::new(coding) {
        Ok(packer) => packer,
        Err(error) => {
            let refusal = Refusal::whole("busy", error.to_string());
            return finished(reply::problem(&refusal), start, &state);
        }
    };
    let context = Context { relaxed_rules_allowed: state.settings.allow_relaxed_rules };
    let body = Bytes::from(body);
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    let answered = stream::iter(parts)
        .map(move |part| {
            let body = body.clone();
            tokio::task::spawn_blocking(move || part.answered(&body, context))
        })
        // As many parts as there are cores: the next one starts when the caller has read one.
        .buffered(cores);
    let counted = state.clone();
    let told = Told { parts: answered.boxed_local(), packer, counts: Counts::default(), permit };
    let lines = stream::unfold(Some(told), move |told| {
        let counted = state.clone();
        async move { told?.next(&counted.metrics).await }
    });
    let response = reply::streamed(coding, NDJSON).streaming(lines);
    finished(response, start, &counted)
}

fn permit(permits: &Arc<Semaphore>) -> Option<OwnedSemaphorePermit> {
    Arc::clone(permits).try_acquire_owned().ok()
}

/// Whether a batch is as small as it says: some lines of a lesson do not wait until the large ones of a night have been read.
fn is_small(request: &HttpRequest) -> bool {
    let length = request.headers().get(CONTENT_LENGTH).and_then(|value| value.to_str().ok()?.parse().ok());
    length.is_some_and(|length: usize| length <= SMALL_BODY)
        && !request.headers().contains_key(CONTENT_ENCODING)
}

/// A batch on its way out; the permit is held until the end line has been taken, or the caller is gone.
struct Told {
    parts: LocalBoxStream<'static, Result<(Vec<u8>, Counts), JoinError>>,
    packer: Packer,
    counts: Counts,
    permit: OwnedSemaphorePermit,
}

impl Told {
    /// What is sent next.
    async fn next(mut self, metrics: &Metrics) -> Option<(io::Result<Bytes>, Option<Self>)> {
        match self.parts.next().await {
            Some(Ok((text, counts))) => {
                self.counts.add(counts);
                metrics.lines(counts);
                let (packer, sent) = match packed(self.packer, text).await {
                    Ok(packed) => packed,
                    Err(error) => return Some((Err(error), None)),
                };
                self.packer = packer;
                Some((Ok(sent), Some(self)))
            }
            Some(Err(error)) => Some((Err(io::Error::other(error)), None)),
            None => Some((self.ended(), None)),
        }
    }

    fn ended(mut self) -> io::Result<Bytes> {
        let mut last = self.packer.part(self.counts.end().as_bytes())?;
        last.extend(self.packer.ended()?);
        drop(self.permit);
        Ok(Bytes::from(last))
    }
}

/// A part, packed and flushed: a reader has these lines before the next ones are answered. Plans are long, so that this is
/// no work for the thread that answers others.
async fn packed(mut packer: Packer, text: Vec<u8>) -> io::Result<(Packer, Bytes)> {
    if packer.is_plain() {
        return Ok((packer, Bytes::from(text)));
    }
    let packed = tokio::task::spawn_blocking(move || packer.part(&text).map(|sent| (packer, sent)));
    let (packer, sent) = packed.await.map_err(io::Error::other)??;
    Ok((packer, Bytes::from(sent)))
}

impl Part {
    fn answered(self, body: &[u8], context: Context) -> (Vec<u8>, Counts) {
        let mut text = Vec::with_capacity(self.lines.len() * 2048);
        let mut counts = Counts::default();
        for (number, line) in (self.first..).zip(self.lines) {
            counts.add(batch::answer(number, body.get(line).unwrap_or_default(), context, &mut text));
        }
        (text, counts)
    }
}

/// The decoded body of a batch and its parts, within their bounds.
async fn parts(request: &HttpRequest, body: Vec<u8>) -> Result<(Vec<u8>, Vec<Part>), Refusal> {
    let coding = read::declared(request, NDJSON)?;
    read::no_fields(request.query_string(), "a batch takes its lines in the body")?;
    let body = unpack::decoded(coding, body, LARGEST_BODY).await?;
    let mut lines = Vec::new();
    let mut from = 0;
    for line in body.split_inclusive(|byte| *byte == b'\n') {
        if lines.len() == MOST_LINES {
            let detail = format!("the batch has more than {MOST_LINES} lines; send it in parts");
            return Err(Refusal::whole("too-large", detail));
        }
        let to = from + line.len();
        lines.push(from..to - usize::from(line.ends_with(b"\n")));
        from = to;
    }
    let firsts = (1..).step_by(AT_A_TIME);
    let parts = firsts.zip(lines.chunks(AT_A_TIME));
    let parts = parts.map(|(first, lines)| Part { first, lines: lines.to_vec() }).collect();
    Ok((body, parts))
}

fn finished(mut response: HttpResponse, start: Instant, state: &State) -> HttpResponse {
    // What is left of such a body is not worth reading.
    if matches!(response.status(), StatusCode::REQUEST_TIMEOUT | StatusCode::PAYLOAD_TOO_LARGE) {
        response.head_mut().set_connection_type(ConnectionType::Close);
    }
    state.metrics.took(BATCH.name, response.status(), start.elapsed());
    response
}
