//! How answers and refusals leave: entity tags, caching, problem documents.

use super::coding::{self, Coding};
use crate::question::Refusal;
use actix_web::body::{BodySize, MessageBody};
use actix_web::http::StatusCode;
use actix_web::http::header::{
    ACCEPT_ENCODING, CACHE_CONTROL, CONTENT_ENCODING, CONTENT_TYPE, ETAG, HeaderName, HeaderValue,
    IF_NONE_MATCH, RETRY_AFTER, VARY,
};
use actix_web::web::Bytes;
use actix_web::{HttpRequest, HttpResponse, HttpResponseBuilder};
use data_encoding::HEXLOWER;
use once_cell::sync::OnceCell;
use sha2::{Digest, Sha256};
use std::convert::Infallible;
use std::io;
use std::pin::Pin;
use std::task::{Context, Poll};

/// A header and its value, both known when the program is built: nothing is read or checked for each reply.
type Header = (HeaderName, HeaderValue);

/// Caching of what is read: short, since a new version of the service may answer otherwise.
const CACHED: Header = (CACHE_CONTROL, HeaderValue::from_static("public, max-age=300, must-revalidate"));
/// What holds for this moment or this caller alone.
pub const NOT_CACHED: Header = (CACHE_CONTROL, HeaderValue::from_static("no-store"));
/// What an answer depends on beside its URL.
const VARIES: Header = (VARY, HeaderValue::from_static("Accept, Accept-Encoding"));
/// The type of pages.
pub const HTML: &str = "text/html; charset=utf-8";
/// Largest piece of a body that is handed over at once.
const PIECE: usize = 32 * 1024;
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
    format!("\"{}\"", HEXLOWER.encode(digest.get(..TAG_BYTES).unwrap_or_default()))
}

/// Whether an `If-None-Match` names a tag; weak comparison.
fn matches(header: &str, tag: &str) -> bool {
    header.split(',').map(str::trim).any(|one| one == "*" || one.strip_prefix("W/").unwrap_or(one) == tag)
}

/// A body with its entity tag: pages and the document never change while the service runs, so they are hashed, and
/// packed in each coding, once.
#[derive(Debug, Clone)]
pub struct Tagged {
    content_type: &'static str,
    tag: String,
    body: Bytes,
    gzip: OnceCell<Bytes>,
    zstd: OnceCell<Bytes>,
}

impl Tagged {
    /// A body in a format.
    #[must_use]
    pub fn new(content_type: &'static str, body: impl Into<Bytes>) -> Self {
        let body = body.into();
        let tag = entity_tag(content_type, &body);
        Self { content_type, tag, body, gzip: OnceCell::new(), zstd: OnceCell::new() }
    }

    /// The body.
    #[must_use]
    pub fn body(&self) -> &[u8] {
        &self.body
    }

    /// The tag of the body in a coding: packing is deterministic, so that nothing is packed for a caller who has it.
    fn tag(&self, coding: Coding) -> String {
        match (coding, self.tag.strip_suffix('"')) {
            (Coding::Identity, _) | (_, None) => self.tag.clone(),
            (_, Some(open)) => format!("{open}-{}\"", coding.name()),
        }
    }

    fn coded(&self, coding: Coding) -> io::Result<&Bytes> {
        let kept = match coding {
            Coding::Identity => return Ok(&self.body),
            Coding::Gzip => &self.gzip,
            Coding::Zstd => &self.zstd,
        };
        kept.get_or_try_init(|| coding.packed(&self.body))
    }

    /// 200 with the tag, or 304 where the caller has it, in the coding that the caller wants.
    #[must_use]
    pub fn sent(&self, request: &HttpRequest) -> HttpResponse {
        let Some(coding) = Coding::wanted(request, self.body.len()) else { return no_coding() };
        let tag = self.tag(coding);
        let known = request
            .headers()
            .get_all(IF_NONE_MATCH)
            .filter_map(|value| value.to_str().ok())
            .any(|value| matches(value, &tag));
        if known {
            return tagged(HttpResponse::NotModified(), &tag).finish();
        }
        match self.coded(coding) {
            Ok(body) => sized(tagged(HttpResponse::Ok(), &tag), coding, self.content_type, body.clone()),
            Err(error) => problem(&Refusal::whole("busy", error.to_string())),
        }
    }
}

fn tagged(mut response: HttpResponseBuilder, tag: &str) -> HttpResponseBuilder {
    response.insert_header((ETAG, tag)).insert_header(CACHED).insert_header(VARIES);
    response
}

fn sized(
    mut response: HttpResponseBuilder,
    coding: Coding,
    content_type: &'static str,
    body: Bytes,
) -> HttpResponse {
    if coding != Coding::Identity {
        response.insert_header((CONTENT_ENCODING, coding.name()));
    }
    response.insert_header((CONTENT_TYPE, HeaderValue::from_static(content_type)));
    if body.len() > PIECE { response.body(Pieces(body)) } else { response.body(body) }
}

/// A body of known length that is handed over piece by piece: the framework copies what it is handed into a buffer, and a request
/// counts as being answered until its last piece is taken.
struct Pieces(Bytes);

impl MessageBody for Pieces {
    type Error = Infallible;

    fn size(&self) -> BodySize {
        BodySize::Sized(u64::try_from(self.0.len()).unwrap_or(u64::MAX))
    }

    fn poll_next(mut self: Pin<&mut Self>, _: &mut Context<'_>) -> Poll<Option<Result<Bytes, Infallible>>> {
        let length = self.0.len().min(PIECE);
        Poll::Ready((length > 0).then(|| Ok(self.0.split_to(length))))
    }
}

/// The refusal of a caller who takes no coding that there is.
#[must_use]
pub fn no_coding() -> HttpResponse {
    let detail = format!("`Accept-Encoding` takes none of the codings that there are: {}", coding::ACCEPTED);
    problem(&Refusal::whole("not-acceptable", detail))
}

/// What is read with GET: 200 with a tag, or 304 where the caller has it.
#[must_use]
pub fn readable(request: &HttpRequest, content_type: &'static str, body: impl Into<Bytes>) -> HttpResponse {
    Tagged::new(content_type, body).sent(request)
}

/// An answer to a POST: not cached.
#[must_use]
pub fn posted(request: &HttpRequest, content_type: &'static str, body: Bytes) -> HttpResponse {
    let Some(coding) = Coding::wanted(request, body.len()) else { return no_coding() };
    let body = if coding == Coding::Identity { Ok(body) } else { coding.packed(&body) };
    let mut response = HttpResponse::Ok();
    response.insert_header(NOT_CACHED).insert_header(VARIES);
    match body {
        Ok(body) => sized(response, coding, content_type, body),
        Err(error) => problem(&Refusal::whole("busy", error.to_string())),
    }
}

/// An answer to a POST that is streamed in a coding.
#[must_use]
pub fn streamed(coding: Coding, content_type: &'static str) -> HttpResponseBuilder {
    let mut response = HttpResponse::Ok();
    response.insert_header(NOT_CACHED).insert_header(VARIES);
    if coding != Coding::Identity {
        response.insert_header((CONTENT_ENCODING, coding.name()));
    }
    response.insert_header((CONTENT_TYPE, HeaderValue::from_static(content_type)));
    response
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
        .insert_header(NOT_CACHED)
        .content_type("application/problem+json")
        .body(body);
    if refusal.faults.iter().any(|fault| fault.code == "unsupported-coding") {
        // RFC 7694: what the next try may be coded in.
        response.headers_mut().insert(ACCEPT_ENCODING, HeaderValue::from_static(coding::ACCEPTED));
    }
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
        assert_eq!(reply.headers().get("etag").unwrap(), tagged.tag.as_str());
        for (name, value) in [super::CACHED, super::VARIES] {
            assert_eq!(reply.headers().get(&name).unwrap(), value, "{name}");
        }
    }
}
