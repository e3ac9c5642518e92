//! What can be seen of each request: its id, its trace, one line in the log.

use super::access::Caller;
use super::overload::NotTaken;
use super::pages::NOTHING;
use super::read::LONGEST_URL;
use super::reply;
use super::retirement::{RETIRED, announce};
use super::server::State;
use super::trace::Trace;
use crate::catalogue::load::hexadecimal;
use crate::question::Refusal;
use actix_web::body::{BoxBody, MessageBody};
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::http::ConnectionType;
use actix_web::http::header::{
    CONTENT_SECURITY_POLICY, HeaderMap, HeaderName, HeaderValue, REFERRER_POLICY, X_CONTENT_TYPE_OPTIONS,
};
use actix_web::middleware::Next;
use actix_web::{HttpMessage as _, web};
use brimline_openapi::operations::Question;
use once_cell::sync::Lazy;
use sha2::{Digest, Sha256};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Instant, SystemTime, UNIX_EPOCH};

/// Characters of a path that are logged.
const LONGEST_PATH: usize = 200;
/// Header that carries the id of a request.
const REQUEST_ID: HeaderName = HeaderName::from_static("x-request-id");

/// Bytes that no other request has, for its id and its trace: a random start and a counter, hashed. No clock: it may be set back, and
/// copies of the service in containers share their process ids.
fn new_ids() -> ([u8; 8], [u8; 16]) {
    static START: Lazy<[u8; 16]> = Lazy::new(|| {
        let mut random = [0; 16];
        if getrandom::fill(&mut random).is_err() {
            let time = SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |time| time.as_nanos());
            random = (time ^ u128::from(std::process::id())).to_le_bytes();
        }
        random
    });
    static COUNT: AtomicU64 = AtomicU64::new(0);
    let mut hash = Sha256::new();
    hash.update(*START);
    hash.update(COUNT.fetch_add(1, Ordering::Relaxed).to_le_bytes());
    let (mut id, mut trace) = ([0; 8], [0; 16]);
    for (byte, from) in id.iter_mut().chain(&mut trace).zip(hash.finalize()) {
        *byte = from;
    }
    (id, trace)
}

fn id_of(request: &ServiceRequest, new: [u8; 8]) -> String {
    let given = request.headers().get(&REQUEST_ID).and_then(|value| value.to_str().ok());
    let usable = |id: &&str| {
        (1..=64).contains(&id.len()) && id.bytes().all(|b| b.is_ascii_alphanumeric() || b"._-".contains(&b))
    };
    given.filter(usable).map_or_else(|| hexadecimal(&new), str::to_owned)
}

/// What browsers are told of every reply: a URL may hold a question and is told to nobody; a reply is what it is declared as.
fn protect(headers: &mut HeaderMap) {
    headers.insert(X_CONTENT_TYPE_OPTIONS, HeaderValue::from_static("nosniff"));
    headers.insert(REFERRER_POLICY, HeaderValue::from_static("no-referrer"));
    if !headers.contains_key(CONTENT_SECURITY_POLICY) {
        headers.insert(CONTENT_SECURITY_POLICY, HeaderValue::from_static(NOTHING));
    }
}

/// The refusal of a URL with so many octets.
#[must_use]
pub fn too_long(octets: usize) -> Refusal {
    let detail = format!("the URL has {octets} octets, at most {LONGEST_URL} are read; use POST");
    Refusal::whole("too-long", detail)
}

/// Gives each request an id, refuses URLs that are too long, logs one line.
///
/// # Errors
/// Those of the handlers.
pub async fn observe(
    request: ServiceRequest,
    next: Next<impl MessageBody + 'static>,
) -> Result<ServiceResponse<BoxBody>, actix_web::Error> {
    let start = Instant::now();
    let (id, trace) = new_ids();
    let id = id_of(&request, id);
    let url = request.uri().path_and_query().map_or(0, |both| both.as_str().len());
    let trace = Trace::of(request.headers(), trace);
    #[cfg(feature = "otel")]
    let span = super::otel::span(&request, &trace);
    let mut response = if url > LONGEST_URL {
        request.into_response(reply::problem(&too_long(url)))
    } else {
        let answered = next.call(request);
        #[cfg(feature = "otel")]
        let answered = tracing::Instrument::instrument(answered, span.clone());
        answered.await?.map_into_boxed_body()
    };
    let draining = response
        .request()
        .app_data::<web::Data<State>>()
        .is_some_and(|state| state.draining.load(Ordering::Relaxed));
    if draining {
        // Said before it is done, so that nobody asks on a connection that is about to close.
        response.response_mut().head_mut().set_connection_type(ConnectionType::Close);
    }
    let headers = response.headers_mut();
    if let Ok(value) = HeaderValue::from_str(&id) {
        headers.insert(REQUEST_ID, value);
    }
    protect(headers);
    if !RETIRED.is_empty() {
        let path = response.request().path().to_owned();
        announce(RETIRED, &path, response.headers_mut());
    }
    if response.response().extensions().get::<NotTaken>().is_some() {
        return Ok(response);
    }
    let question = response.request().app_data::<web::Data<Question>>().map_or("", |question| question.name);
    let caller = response.request().extensions().get::<Caller>().map(|caller| Arc::clone(&caller.0));
    #[cfg(feature = "otel")]
    super::otel::ended(&span, response.status().as_u16(), question);
    #[cfg(feature = "otel")]
    let trace = Trace { id: super::otel::trace_id(&span).unwrap_or(trace.id), ..trace };
    let asked = response.request();
    // No query and no body: what was asked is the caller's alone.
    tracing::info!(
        request_id = id,
        trace_id = trace.id,
        parent_span = trace.parent.as_ref().map(|parent| parent.id.as_str()),
        caller = caller.as_deref(),
        method = asked.method().as_str(),
        path = asked.path().chars().take(LONGEST_PATH).collect::<String>(),
        question,
        status = response.status().as_u16(),
        duration_us = u64::try_from(start.elapsed().as_micros()).unwrap_or(u64::MAX),
        "answered"
    );
    Ok(response)
}
