//! The body of a request, within its bounds of size and time.

use crate::question::Refusal;
use actix_web::HttpRequest;
use actix_web::http::header::{CONTENT_LENGTH, CONTENT_TYPE};
use actix_web::web::Payload;
use futures_util::StreamExt as _;
use std::time::Duration;
use tokio::time::{Instant, timeout_at};

/// Largest body of a question.
pub const LARGEST_BODY: usize = 1024 * 1024;
/// What is read and thrown away of a body that is too large, so that a caller who writes all before reading sees the answer.
const DISCARDED: usize = 32 * 1024 * 1024;
/// Longest URL, octets.
pub const LONGEST_URL: usize = 8000;

/// Refuses a body that is not declared as JSON.
///
/// # Errors
/// `unsupported-media-type`.
pub fn declared_json(request: &HttpRequest) -> Result<(), Refusal> {
    let declared = request.headers().get(CONTENT_TYPE).and_then(|value| value.to_str().ok());
    let essence =
        declared.and_then(|text| text.split(';').next()).map(|text| text.trim().to_ascii_lowercase());
    match essence.as_deref() {
        Some("application/json") => Ok(()),
        Some(other) => {
            let other: String = other.chars().take(60).collect();
            Err(Refusal::whole(
                "unsupported-media-type",
                format!("the body is declared as `{other}`; send `Content-Type: application/json`"),
            ))
        }
        None => Err(Refusal::whole(
            "unsupported-media-type",
            "the body has no type; send `Content-Type: application/json`",
        )),
    }
}

/// Reads the body.
///
/// # Errors
/// `too-large`, `slow-body`, or `not-json` where the body breaks off.
pub async fn body(request: &HttpRequest, mut payload: Payload, within: Duration) -> Result<Vec<u8>, Refusal> {
    let end = Instant::now() + within;
    let length =
        request.headers().get(CONTENT_LENGTH).and_then(|value| value.to_str().ok()?.parse::<usize>().ok());
    let mut bytes = Vec::with_capacity(length.unwrap_or(0).min(LARGEST_BODY));
    let mut too_large = length.is_some_and(|length| length > LARGEST_BODY);
    let mut seen = 0_usize;
    loop {
        let next = timeout_at(end, payload.next()).await;
        match next {
            Err(_) => {
                return Err(Refusal::whole(
                    "slow-body",
                    format!("the body did not arrive within {} ms", within.as_millis()),
                ));
            }
            Ok(None) => break,
            Ok(Some(Err(error))) => {
                return Err(Refusal::whole("not-json", format!("the body could not be read: {error}")));
            }
            Ok(Some(Ok(chunk))) => {
                seen += chunk.len();
                too_large |= seen > LARGEST_BODY;
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
        return Err(Refusal::whole("too-large", format!("the body is larger than {LARGEST_BODY} bytes")));
    }
    Ok(bytes)
}
