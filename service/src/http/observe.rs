//! What can be seen of each request: its id, its trace, one line in the log.

use super::access::Caller;
use super::overload::NotTaken;
use super::pages::NOTHING;
use super::read::LONGEST_URL;
use super::reply;
use super::retirement::{RETIRED, announce};
use super::server::State;
use super::trace::Trace;
use crate::question::Refusal;
use actix_web::body::{BoxBody, MessageBody};
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::http::ConnectionType;
use actix_web::http::header::{
    CONTENT_SECURITY_POLICY, HeaderMap, HeaderName, HeaderValue, REFERRER_POLICY, X_CONTENT_TYPE_OPTIONS,
};
use actix_web::middleware::Next;
use actix_web::web::Bytes;
use actix_web::{HttpMessage as _, web};
use brimline_openapi::operations::Question;
use data_encoding::HEXLOWER;
use once_cell::sync::Lazy;
use sha2::{Digest, Sha256};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Instant, SystemTime, UNIX_EPOCH};

/// Characters of a path that are logged.
const LONGEST_PATH: usize = 200;
/// Header that carries the id of a request.
const REQUEST_ID: HeaderName = HeaderName::from_static("x-request-id");

/// Bytes that no other request has, for its id and its trace: a counter from a random start, mixed so that they look alike in nothing
/// (the finaliser of SplitMix64, Steele, Lea, Flood 2014, gives every counter another number). They are no secret. No clock: it may be
/// set back, and copies of the service in containers share their process ids.
fn new_ids() -> ([u8; 8], [u8; 16]) {
    static START: Lazy<[u64; 3]> = Lazy::new(|| {
        let time = SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |time| time.as_nanos());
        [0_u8, 1, 2].map(|part| {
            getrandom::u64().unwrap_or_else(|_| {
                let digest = Sha256::digest((time ^ u128::from(std::process::id())).to_le_bytes());
                digest
                    .iter()
                    .skip(usize::from(part) * 8)
                    .take(8)
                    .fold(0, |all, byte| all << 8 | u64::from(*byte))
            })
        })
    });
    static COUNT: AtomicU64 = AtomicU64::new(0);
    let count = COUNT.fetch_add(1, Ordering::Relaxed).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    let [id, high, low] = START.map(|start| mixed(start.wrapping_add(count)));
    (id.to_be_bytes(), (u128::from(high) << 64 | u128::from(low)).to_be_bytes())
}

const fn mixed(number: u64) -> u64 {
    let number = (number ^ number >> 30).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let number = (number ^ number >> 27).wrapping_mul(0x94d0_49bb_1331_11eb);
    number ^ number >> 31
}

fn id_of(request: &ServiceRequest, new: [u8; 8]) -> Option<HeaderValue> {
    let usable = |id: &&HeaderValue| {
        let allowed = |byte: &u8| byte.is_ascii_alphanumeric() || b"._-".contains(byte);
        (1..=64).contains(&id.len()) && id.as_bytes().iter().all(allowed)
    };
    let given = request.headers().get(&REQUEST_ID).filter(usable).cloned();
    given.or_else(|| HeaderValue::from_maybe_shared(Bytes::from(HEXLOWER.encode(&new))).ok())
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
    let (id, new_trace) = new_ids();
    let id = id_of(&request, id);
    let url = request.uri().path_and_query().map_or(0, |both| both.as_str().len());
    #[cfg(feature = "otel")]
    let trace = Trace::of(request.headers(), new_trace);
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
    if let Some(id) = &id {
        headers.insert(REQUEST_ID, id.clone());
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
    if !tracing::enabled!(tracing::Level::INFO) {
        return Ok(response);
    }
    #[cfg(not(feature = "otel"))]
    let trace = Trace::of(asked.headers(), new_trace);
    // No query and no body: what was asked is the caller's alone.
    tracing::info!(
        request_id = id.as_ref().and_then(|id| id.to_str().ok()),
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

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    /// The first numbers of SplitMix64 from 1234567, as its authors' reference program prints them (from memory).
    #[test]
    fn numbers_are_mixed_as_published() {
        let published = [
            6_457_827_717_110_365_317,
            3_203_168_211_198_807_973,
            9_817_491_932_198_370_423,
            4_593_380_528_125_082_431,
            16_408_922_859_458_223_821,
        ];
        let step = 0x9e37_79b9_7f4a_7c15_u64;
        for (number, published) in (1..).zip(published) {
            assert_eq!(mixed(1_234_567_u64.wrapping_add(step.wrapping_mul(number))), published);
        }
    }

    #[test]
    fn no_two_requests_have_the_same_ids() {
        let ids: Vec<_> = (0..1000).map(|_| new_ids()).collect();
        let (one, trace): (BTreeSet<_>, BTreeSet<_>) = ids.into_iter().unzip();
        assert_eq!((one.len(), trace.len()), (1000, 1000));
    }
}
