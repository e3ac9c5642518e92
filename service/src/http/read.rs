//! The body of a request, within its bounds of size and time.

use super::coding::Coding;
use super::unpack;
use crate::question::reader::escaped;
use crate::question::{Refusal, Written, query};
use actix_web::HttpRequest;
use actix_web::error::PayloadError;
use actix_web::http::header::{CONTENT_ENCODING, CONTENT_LENGTH, CONTENT_TYPE, HeaderName};
use actix_web::web::{Bytes, Payload};
use futures_util::{Stream, StreamExt as _};
use serde_json::Map;
use std::future::poll_fn;
use std::task::Poll;
use std::time::Duration;
use tokio::time::{Instant, timeout_at};

/// Largest body of a question.
pub const LARGEST_BODY: usize = 1024 * 1024;
/// What is read and thrown away of a body that is too large, so that a caller who writes all before reading sees the answer.
const DISCARDED: usize = 32 * 1024 * 1024;
/// Longest URL, octets.
pub const LONGEST_URL: usize = 8000;

/// Refuses names in a query string where a path takes none; `why` ends the sentence.
///
/// # Errors
/// `unknown-field` for each name, with its JSON pointer.
pub fn no_fields(query: &str, why: &str) -> Result<(), Refusal> {
    if query.is_empty() {
        return Ok(());
    }
    let (value, how) = query::read(query)?;
    let mut names: Vec<&str> =
        value.as_object().into_iter().flat_map(Map::keys).map(String::as_str).collect();
    if how == Written::Json {
        names = vec!["request"];
    }
    let mut faults = Vec::new();
    for name in names {
        let shown: String = name.chars().take(60).collect();
        let pointer = format!("/{}", escaped(name));
        faults.extend(Refusal::at(&pointer, "unknown-field", format!("`{shown}` in the URL: {why}")).faults);
    }
    if faults.is_empty() { Ok(()) } else { Err(Refusal { faults }) }
}

/// The coding of a body that must be declared as a type.
///
/// # Errors
/// `unsupported-media-type`, `unsupported-coding`.
pub fn declared(request: &HttpRequest, wanted: &str) -> Result<Coding, Refusal> {
    let headers = request.headers();
    // As almost everybody writes it.
    if headers.get(CONTENT_TYPE).is_some_and(|value| value == wanted)
        && !headers.contains_key(CONTENT_ENCODING)
    {
        return Ok(Coding::Identity);
    }
    typed(essence(request, &CONTENT_TYPE).as_deref(), wanted)?;
    let mut codings = request.headers().get_all(CONTENT_ENCODING);
    match (essence(request, &CONTENT_ENCODING), codings.nth(1)) {
        (None, _) => Ok(Coding::Identity),
        (Some(one), None) => unpack::coding(&one),
        (Some(one), Some(_)) => unpack::coding(&format!("{one}, …")),
    }
}

/// Whether a body is declared as what is wanted.
///
/// # Errors
/// `unsupported-media-type`.
pub fn typed(declared: Option<&str>, wanted: &str) -> Result<(), Refusal> {
    let detail = match declared {
        Some(declared) if declared == wanted => return Ok(()),
        Some(other) => format!("the body is declared as `{other}`; send `Content-Type: {wanted}`"),
        None => format!("the body has no type; send `Content-Type: {wanted}`"),
    };
    Err(Refusal::whole("unsupported-media-type", detail))
}

/// The refusal of a body that takes too long.
#[must_use]
pub fn too_slow(within: Duration) -> Refusal {
    Refusal::whole("slow-body", format!("the body did not arrive within {} ms", within.as_millis()))
}

/// The refusal of a body that is too large.
#[must_use]
pub fn larger_than(largest: usize) -> Refusal {
    Refusal::whole("too-large", format!("the body is larger than {largest} bytes"))
}

/// A header's value without its parameters, in lower case, cut so that a long one is not echoed whole.
fn essence(request: &HttpRequest, header: &HeaderName) -> Option<String> {
    let value = request.headers().get(header)?.to_str().ok()?;
    let value = value.split(';').next()?.trim();
    Some(value.char_indices().nth(60).map_or(value, |(end, _)| &value[..end]).to_ascii_lowercase())
}

/// Reads the body.
///
/// # Errors
/// `too-large`, `slow-body`, or `not-json` where the body breaks off.
pub async fn body(
    request: &HttpRequest,
    mut payload: Payload,
    within: Duration,
    largest: usize,
) -> Result<Vec<u8>, Refusal> {
    let length =
        request.headers().get(CONTENT_LENGTH).and_then(|value| value.to_str().ok()?.parse::<usize>().ok());
    let mut bytes = Vec::with_capacity(length.unwrap_or(0).min(LARGEST_BODY).min(largest));
    let mut too_large = length.is_some_and(|length| length > largest);
    let mut seen = 0_usize;
    let mut at_hand = at_hand(&mut payload).await;
    let end = Instant::now() + within;
    loop {
        let next = match at_hand.take() {
            Some(next) => Ok(next),
            None => timeout_at(end, payload.next()).await,
        };
        match next {
            Err(_) if too_large => break,
            Err(_) => return Err(too_slow(within)),
            Ok(None) => break,
            Ok(Some(Err(error))) => {
                return Err(Refusal::whole("not-json", format!("the body could not be read: {error}")));
            }
            Ok(Some(Ok(chunk))) => {
                seen = seen.saturating_add(chunk.len());
                too_large |= seen > largest;
                if too_large && seen > DISCARDED {
                    break;
                }
                if !too_large {
                    bytes.extend_from_slice(&chunk);
                }
            }
        }
    }
    if too_large {
        return Err(larger_than(largest));
    }
    Ok(bytes)
}

/// The next piece, if it came with what was read already. A body that is sent with its head is handed over right after a first look in
/// vain: looked for at once again, it needs no timer.
async fn at_hand(payload: &mut Payload) -> Option<Option<Result<Bytes, PayloadError>>> {
    let mut looked = false;
    poll_fn(|context| match payload.poll_next_unpin(context) {
        Poll::Ready(next) => Poll::Ready(Some(next)),
        Poll::Pending if looked => Poll::Ready(None),
        Poll::Pending => {
            looked = true;
            context.waker().wake_by_ref();
            Poll::Pending
        }
    })
    .await
}

/// Reads a body and throws it away, so that a caller who writes all before reading sees the answer.
pub async fn discarded<E>(mut payload: impl Stream<Item = Result<Bytes, E>> + Unpin, within: Duration) {
    let end = Instant::now() + within;
    let mut seen = 0_usize;
    while let Ok(Some(Ok(chunk))) = timeout_at(end, payload.next()).await {
        seen = seen.saturating_add(chunk.len());
        if seen > DISCARDED {
            break;
        }
    }
}
