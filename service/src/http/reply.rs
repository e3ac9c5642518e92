//! How answers and refusals leave: entity tags, caching, problem documents.

use crate::catalogue::load::hexadecimal;
use crate::question::Refusal;
use actix_web::http::StatusCode;
use actix_web::http::header::{HeaderValue, IF_NONE_MATCH, RETRY_AFTER};
use actix_web::web::Bytes;
use actix_web::{HttpRequest, HttpResponse};
use sha2::{Digest, Sha256};

/// Caching of what is read: short, since a new version of the service may answer otherwise.
const CACHED: &str = "public, max-age=300, must-revalidate";
/// What an answer depends on beside its URL.
const VARY: &str = "Accept, Accept-Encoding";
/// The type of pages.
pub const HTML: &str = "text/html; charset=utf-8";
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

/// A body with its entity tag: pages and the document never change while the service runs, so they are hashed once.
#[derive(Debug, Clone)]
pub struct Tagged {
    content_type: &'static str,
    tag: String,
    body: Bytes,
}

impl Tagged {
    /// A body in a format.
    #[must_use]
    pub fn new(content_type: &'static str, body: impl Into<Bytes>) -> Self {
        let body = body.into();
        Self { content_type, tag: entity_tag(content_type, &body), body }
    }

    /// The body.
    #[must_use]
    pub fn body(&self) -> &[u8] {
        &self.body
    }

    /// 200 with the tag, or 304 where the caller has it.
    #[must_use]
    pub fn sent(&self, request: &HttpRequest) -> HttpResponse {
        let known = request
            .headers()
            .get_all(IF_NONE_MATCH)
            .filter_map(|value| value.to_str().ok())
            .any(|value| matches(value, &self.tag));
        let mut response = if known { HttpResponse::NotModified() } else { HttpResponse::Ok() };
        response
            .insert_header(("ETag", self.tag.as_str()))
            .insert_header(("Cache-Control", CACHED))
            .insert_header(("Vary", VARY));
        if known {
            response.finish()
        } else {
            response.content_type(self.content_type).body(self.body.clone())
        }
    }
}

/// What is read with GET: 200 with a tag, or 304 where the caller has it.
#[must_use]
pub fn readable(request: &HttpRequest, content_type: &'static str, body: impl Into<Bytes>) -> HttpResponse {
    Tagged::new(content_type, body).sent(request)
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

/// A refusal of a name that stands in the path: what is not known is not there.
#[must_use]
pub fn problem_of_path(refusal: &Refusal) -> HttpResponse {
    let kind = refusal.kind();
    problem_with_status(refusal, if kind.code == "unknown-substance" { 404 } else { kind.status })
}

/// A refusal as a problem document with another status than its kind's.
#[must_use]
fn problem_with_status(refusal: &Refusal, status: u16) -> HttpResponse {
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
    use super::{Tagged, entity_tag, matches};
    use actix_web::http::StatusCode;
    use actix_web::test::TestRequest;

    #[test]
    fn a_tag_differs_per_format_and_is_found_in_a_list() {
        let tag = entity_tag("application/json", b"{}");
        assert_ne!(tag, entity_tag("text/csv", b"{}"));
        assert!(matches(&format!("\"x\", W/{tag}"), &tag));
        assert!(matches("*", &tag));
        assert!(!matches("\"x\"", &tag));
    }

    #[test]
    fn what_the_caller_has_is_not_sent_again_but_keeps_its_headers() {
        let tagged = Tagged::new("application/json", "{}");
        let request =
            TestRequest::get().insert_header(("If-None-Match", tagged.tag.as_str())).to_http_request();
        let reply = tagged.sent(&request);
        assert_eq!(reply.status(), StatusCode::NOT_MODIFIED);
        for (name, value) in
            [("etag", tagged.tag.as_str()), ("cache-control", super::CACHED), ("vary", super::VARY)]
        {
            assert_eq!(reply.headers().get(name).unwrap(), value, "{name}");
        }
    }
}
