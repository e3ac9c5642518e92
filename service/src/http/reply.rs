//! How answers and refusals leave: entity tags, caching, problem documents.

use crate::catalogue::load::hexadecimal;
use crate::question::Refusal;
use actix_web::http::StatusCode;
use actix_web::http::header::{HeaderValue, IF_NONE_MATCH, RETRY_AFTER};
use actix_web::{HttpRequest, HttpResponse};
use sha2::{Digest, Sha256};

/// Caching of what is read: short, since a new version of the service may answer otherwise.
const CACHED: &str = "public, max-age=300, must-revalidate";
/// What an answer depends on beside its URL.
const VARY: &str = "Accept, Accept-Encoding";
/// Bytes of the hash that make an entity tag.
const TAG_BYTES: usize = 16;

/// A strong entity tag of a body in a format.
#[must_use]
pub fn entity_tag(content_type: &str, body: &[u8]) -> String {
    let mut hash = Sha256::new();
    hash.update(content_type);
    hash.update([0]);
    hash.update(body);
    let digest = hash.finalize();
    format!("\"{}\"", hexadecimal(digest.get(..TAG_BYTES).unwrap_or_default()))
}

/// Whether an `If-None-Match` names a tag; weak comparison.
fn matches(header: &str, tag: &str) -> bool {
    header.split(',').map(str::trim).any(|one| one == "*" || one.strip_prefix("W/").unwrap_or(one) == tag)
}

/// What is read with GET: 200 with a tag, or 304 where the caller has it.
#[must_use]
pub fn readable(request: &HttpRequest, content_type: &'static str, body: Vec<u8>) -> HttpResponse {
    let tag = entity_tag(content_type, &body);
    let known = request
        .headers()
        .get_all(IF_NONE_MATCH)
        .filter_map(|value| value.to_str().ok())
        .any(|value| matches(value, &tag));
    let mut response = if known { HttpResponse::NotModified() } else { HttpResponse::Ok() };
    response
        .insert_header(("ETag", tag))
        .insert_header(("Cache-Control", CACHED))
        .insert_header(("Vary", VARY));
    if known { response.finish() } else { response.content_type(content_type).body(body) }
}

/// An answer to a POST: not cached.
#[must_use]
pub fn posted(content_type: &'static str, body: Vec<u8>) -> HttpResponse {
    HttpResponse::Ok().insert_header(("Cache-Control", "no-store")).content_type(content_type).body(body)
}

/// A refusal as a problem document.
#[must_use]
pub fn problem(refusal: &Refusal) -> HttpResponse {
    problem_with_status(refusal, refusal.kind().status)
}

/// A refusal as a problem document with another status than its kind's.
#[must_use]
pub fn problem_with_status(refusal: &Refusal, status: u16) -> HttpResponse {
    let mut document = refusal.problem();
    document.status = status;
    let body = serde_json::to_vec(&document).unwrap_or_default();
    let code = StatusCode::from_u16(status).unwrap_or(StatusCode::UNPROCESSABLE_ENTITY);
    let mut response = HttpResponse::build(code)
        .insert_header(("Cache-Control", "no-store"))
        .content_type("application/problem+json")
        .body(body);
    if matches!(status, 429 | 503) {
        response.headers_mut().insert(RETRY_AFTER, HeaderValue::from_static("1"));
    }
    response
}

#[cfg(test)]
mod tests {
    use super::{entity_tag, matches};

    #[test]
    fn a_tag_differs_per_format_and_is_found_in_a_list() {
        let tag = entity_tag("application/json", b"{}");
        assert_ne!(tag, entity_tag("text/csv", b"{}"));
        assert!(matches(&format!("\"x\", W/{tag}"), &tag));
        assert!(matches("*", &tag));
        assert!(!matches("\"x\"", &tag));
    }
}
