//! What the service, or what stands before it, replies.

use crate::Error;
use brimline_openapi::Problem;
use reqwest::Response;
use reqwest::header::{CONTENT_TYPE, HeaderName, LOCATION, RETRY_AFTER};
use serde::de::DeserializeOwned;
use std::time::{Duration, SystemTime};

/// Largest answer that is read, octets: a plan in full detail takes some hundred thousand.
pub const LARGEST: usize = 64 * 1024 * 1024;
/// What is read of a reply that is no answer, and kept of one that cannot be read.
const LARGEST_OTHER: usize = 64 * 1024;

/// The answer in a response, or why there is none.
pub async fn answer<A: DeserializeOwned>(response: Response, time_out: Duration) -> Result<A, Error> {
    let response = accepted(response, "application/json", time_out).await?;
    let (body, whole) = body(response, LARGEST, time_out).await?;
    if !whole {
        return Err(not_understood(&format!("it is larger than {LARGEST} octets"), &body));
    }
    serde_json::from_slice(&body).map_err(|why| not_understood(&why, &body))
}

/// A reply that cannot be read.
pub fn not_understood(why: &dyn std::fmt::Display, body: &[u8]) -> Error {
    let kept = body.get(..LARGEST_OTHER).unwrap_or(body);
    Error::NotUnderstood { why: why.to_string(), body: String::from_utf8_lossy(kept).into_owned() }
}

/// The response, if the service answers in it with this type of body.
pub async fn accepted(response: Response, wanted: &str, time_out: Duration) -> Result<Response, Error> {
    let status = response.status().as_u16();
    let content_type = header(&response, &CONTENT_TYPE).unwrap_or_else(|| "no content type".to_owned());
    if (200..300).contains(&status) && content_type.starts_with(wanted) {
        return Ok(response);
    }
    if (300..400).contains(&status)
        && let Some(to) = header(&response, &LOCATION)
    {
        return Err(Error::Elsewhere { to });
    }
    let retry_after = retry_after(&response, SystemTime::now());
    let is_problem = content_type.starts_with("application/problem+json");
    let body = body(response, LARGEST_OTHER, time_out).await;
    let problem = |body: &[u8]| is_problem.then(|| serde_json::from_slice::<Problem>(body).ok()).flatten();
    if matches!(status, 429 | 503) {
        // What it says is worth less than how long to wait: it may be cut.
        let detail = body.ok().and_then(|(body, _)| problem(&body)).map(|problem| problem.detail);
        return Err(Error::Busy { status, retry_after, detail });
    }
    let (body, _) = body?;
    if let Some(problem) = problem(&body) {
        return Err(Error::Refused(Box::new(problem)));
    }
    Err(Error::Unexpected { status, content_type, body: String::from_utf8_lossy(&body).into_owned() })
}

/// The body, or so much of it, and whether that is all.
async fn body(mut response: Response, most: usize, time_out: Duration) -> Result<(Vec<u8>, bool), Error> {
    let mut body = Vec::new();
    while let Some(chunk) = response.chunk().await.map_err(|error| Error::unread(&error, time_out))? {
        let room = most - body.len();
        body.extend_from_slice(chunk.get(..room).unwrap_or(&chunk));
        if chunk.len() > room {
            return Ok((body, false));
        }
    }
    Ok((body, true))
}

fn header(response: &Response, name: &HeaderName) -> Option<String> {
    response.headers().get(name)?.to_str().ok().map(str::to_owned)
}

/// How long the service asks to wait: seconds, or until a date.
fn retry_after(response: &Response, now: SystemTime) -> Option<Duration> {
    let text = header(response, &RETRY_AFTER)?;
    waited(text.trim(), now)
}

fn waited(text: &str, now: SystemTime) -> Option<Duration> {
    if let Ok(seconds) = text.parse() {
        return Some(Duration::from_secs(seconds));
    }
    let until = httpdate::parse_http_date(text).ok()?;
    Some(until.duration_since(now).unwrap_or_default())
}

#[cfg(test)]
mod tests {
    use super::waited;
    use std::time::{Duration, SystemTime};

    #[test]
    fn a_wait_is_seconds_or_until_a_date() {
        // Sun, 06 Nov 1994 08:49:37 GMT is the example of RFC 9110: 784,111,777 s after the epoch.
        let now = SystemTime::UNIX_EPOCH + Duration::from_secs(784_111_707);
        assert_eq!(waited("120", now), Some(Duration::from_secs(120)));
        assert_eq!(waited("Sun, 06 Nov 1994 08:49:37 GMT", now), Some(Duration::from_secs(70)));
        let later = now + Duration::from_secs(3600);
        assert_eq!(waited("Sun, 06 Nov 1994 08:49:37 GMT", later), Some(Duration::ZERO));
        assert_eq!(waited("soon", now), None);
    }
}
