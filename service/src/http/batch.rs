//! `POST /v1/batch`: read whole within its bounds, answered as a stream in the order of the lines.

use super::server::State;
use super::{observe, read, reply};
use crate::question::batch::{self, Counts, MOST_LINES};
use crate::question::{Context, Refusal};
use actix_web::http::{ConnectionType, StatusCode};
use actix_web::web::Bytes;
use actix_web::{HttpRequest, HttpResponse, web};
use brimline_openapi::operations::BATCH;
use futures_util::{StreamExt as _, stream};
use std::io;
use std::ops::Range;
use std::sync::Arc;
use std::time::{Duration, Instant};

/// The type of a batch and of its reply: one JSON value a line.
pub const NDJSON: &str = "application/x-ndjson";
/// Largest body of a batch.
pub const LARGEST_BODY: usize = 16 * 1024 * 1024;
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
    // Taken before the body is read: what is held in memory is bounded by the number of batches.
    let Ok(permit) = Arc::clone(&state.batches).try_acquire_owned() else {
        read::discarded(payload, Duration::from_millis(state.settings.body_timeout_ms)).await;
        let detail = "as many batches are answered as the service takes at once; try again later";
        return finished(reply::problem(&Refusal::whole("busy", detail)), start, &state);
    };
    let within = Duration::from_millis(state.settings.batch_timeout_ms);
    let read = match read::body(&request, payload, within, LARGEST_BODY).await {
        Ok(body) => parts(&request, &body).map(|parts| (body, parts)),
        Err(refusal) => Err(refusal),
    };
    let (body, parts) = match read {
        Ok(read) => read,
        Err(refusal) => return finished(reply::problem(&refusal), start, &state),
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
    // The permit is held until the end line has been taken, or the caller is gone.
    let first = Some((Box::pin(answered), Counts::default(), permit, false));
    let lines = stream::unfold(first, move |told| {
        let counted = counted.clone();
        async move {
            let (mut answered, mut counts, permit, ended) = told.filter(|(.., ended)| !ended)?;
            match answered.next().await {
                Some(Ok((text, of_part))) => {
                    counts.add(of_part);
                    counted.metrics.lines(of_part);
                    Some((Ok(Bytes::from(text)), Some((answered, counts, permit, ended))))
                }
                Some(Err(error)) => Some((Err(io::Error::other(error)), None)),
                None => Some((Ok(Bytes::from(counts.end())), Some((answered, counts, permit, true)))),
            }
        }
    });
    let response =
        HttpResponse::Ok().insert_header(("Cache-Control", "no-store")).content_type(NDJSON).streaming(lines);
    finished(response, start, &state)
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

/// The parts of a batch, within its bounds.
fn parts(request: &HttpRequest, body: &[u8]) -> Result<Vec<Part>, Refusal> {
    read::declared(request, NDJSON)?;
    read::no_fields(request.query_string(), "a batch takes its lines in the body")?;
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
    Ok(firsts
        .zip(lines.chunks(AT_A_TIME))
        .map(|(first, lines)| Part { first, lines: lines.to_vec() })
        .collect())
}

fn finished(mut response: HttpResponse, start: Instant, state: &State) -> HttpResponse {
    // What is left of such a body is not worth reading.
    if matches!(response.status(), StatusCode::REQUEST_TIMEOUT | StatusCode::PAYLOAD_TOO_LARGE) {
        response.head_mut().set_connection_type(ConnectionType::Close);
    }
    state.metrics.took(BATCH.name, response.status(), start.elapsed());
    observe::name_question(&mut response, BATCH.name);
    response
}
