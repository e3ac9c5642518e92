//! What can be seen of the service: request ids, one log line a request, metrics.

use super::access::Caller;
use super::overload::NotTaken;
use super::pages::NOTHING;
use super::read::LONGEST_URL;
use super::reply;
use super::server::State;
use super::trace::Trace;
use crate::catalogue::load::hexadecimal;
use crate::question::Refusal;
use crate::question::batch::Counts;
use actix_web::body::{BoxBody, MessageBody};
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::http::header::{
    CONTENT_SECURITY_POLICY, HeaderMap, HeaderName, HeaderValue, REFERRER_POLICY, X_CONTENT_TYPE_OPTIONS,
};
use actix_web::http::{ConnectionType, StatusCode};
use actix_web::middleware::Next;
use actix_web::{HttpMessage as _, HttpResponse, web};
use brimline_openapi::Outcome;
use once_cell::sync::Lazy;
use prometheus::{
    Encoder as _, GaugeVec, HistogramOpts, HistogramVec, IntCounterVec, Opts, Registry, TextEncoder,
};
use sha2::{Digest, Sha256};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};

/// Upper edges of the duration buckets, seconds: a check takes tens of microseconds.
const BUCKETS: [f64; 12] = [5e-5, 1e-4, 2e-4, 5e-4, 1e-3, 2e-3, 5e-3, 1e-2, 5e-2, 0.1, 0.5, 1.0];
/// Header that carries the id of a request.
const REQUEST_ID: &str = "x-request-id";

/// What is counted.
#[derive(Debug)]
pub struct Metrics {
    registry: Registry,
    requests: IntCounterVec,
    answers: IntCounterVec,
    durations: HistogramVec,
    lines: IntCounterVec,
    kept: IntCounterVec,
}

impl Metrics {
    /// Metrics that start at zero.
    ///
    /// # Errors
    /// Two metrics of one name, which no caller causes.
    pub fn new() -> prometheus::Result<Self> {
        let registry = Registry::new();
        let requests = IntCounterVec::new(
            Opts::new("brimline_requests_total", "Requests by question and status"),
            &["question", "status"],
        )?;
        let answers = IntCounterVec::new(
            Opts::new("brimline_answers_total", "Answers by question and outcome"),
            &["question", "outcome"],
        )?;
        let lines = IntCounterVec::new(
            Opts::new("brimline_batch_lines_total", "Lines of batches by result"),
            &["result"],
        )?;
        let kept = IntCounterVec::new(
            Opts::new("brimline_kept_answers_total", "Answers by whether they were kept from before"),
            &["kept"],
        )?;
        registry.register(Box::new(kept.clone()))?;
        let duration = HistogramOpts::new("brimline_request_duration_seconds", "Time to answer a question")
            .buckets(BUCKETS.to_vec());
        let durations = HistogramVec::new(duration, &["question"])?;
        let build = GaugeVec::new(
            Opts::new("brimline_build_info", "Version of service and catalogue"),
            &["version", "catalogue"],
        )?;
        // Memory, processor time, open files and the start of the process, read when they are asked for.
        #[cfg(target_os = "linux")]
        registry.register(Box::new(prometheus::process_collector::ProcessCollector::for_self()))?;
        registry.register(Box::new(requests.clone()))?;
        registry.register(Box::new(answers.clone()))?;
        registry.register(Box::new(durations.clone()))?;
        registry.register(Box::new(lines.clone()))?;
        registry.register(Box::new(build.clone()))?;
        let version =
            crate::catalogue::catalogue().map(|catalogue| catalogue.version.as_str()).unwrap_or_default();
        build.with_label_values(&[env!("CARGO_PKG_VERSION"), version]).set(1.0);
        Ok(Self { registry, requests, answers, durations, lines, kept })
    }

    /// Where other parts of the service register what they count.
    #[must_use]
    pub const fn registry(&self) -> &Registry {
        &self.registry
    }

    /// Counts an answer.
    pub fn answered(&self, question: &str, outcome: Outcome) {
        let outcome = match outcome {
            Outcome::NoLimitChecked => "no_limit_checked",
            Outcome::WithinLimit => "within_limit",
            Outcome::NearLimit => "near_limit",
            Outcome::NotAssessed => "not_assessed",
            Outcome::OverLimit => "over_limit",
            Outcome::Unknown => "unknown",
        };
        self.answers.with_label_values(&[question, outcome]).inc();
    }

    /// Counts an answer that was kept from before, or could be kept and was not.
    pub fn kept(&self, kept: bool) {
        self.kept.with_label_values(&[if kept { "yes" } else { "no" }]).inc();
    }

    /// Counts lines of a batch.
    pub fn lines(&self, counts: Counts) {
        self.lines.with_label_values(&["answered"]).inc_by(counts.answered);
        self.lines.with_label_values(&["refused"]).inc_by(counts.refused);
    }

    /// Counts a request to a question and the time it took.
    pub fn took(&self, question: &str, status: StatusCode, time: Duration) {
        self.requests.with_label_values(&[question, status.as_str()]).inc();
        self.durations.with_label_values(&[question]).observe(time.as_secs_f64());
    }
}

/// `/metrics`.
pub async fn metrics(state: web::Data<State>) -> HttpResponse {
    let mut text = Vec::new();
    if let Err(error) = TextEncoder::new().encode(&state.metrics.registry.gather(), &mut text) {
        return reply::problem(&Refusal::whole("busy", error.to_string()));
    }
    HttpResponse::Ok()
        .insert_header(("Cache-Control", "no-store"))
        .content_type("text/plain; version=0.0.4")
        .body(text)
}

/// The question that a response answers, for the log.
#[derive(Debug, Clone, Copy)]
struct Answers(&'static str);

/// Notes which question a response answers.
pub fn name_question(response: &mut HttpResponse, question: &'static str) {
    response.extensions_mut().insert(Answers(question));
}

/// Sixteen bytes that no other request has: a random start and a counter, hashed. No clock: it may be set back, and copies of the
/// service in containers share their process ids.
fn new_id() -> [u8; 16] {
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
    let mut id = [0; 16];
    for (byte, from) in id.iter_mut().zip(hash.finalize()) {
        *byte = from;
    }
    id
}

fn id_of(request: &ServiceRequest) -> String {
    let given = request.headers().get(REQUEST_ID).and_then(|value| value.to_str().ok());
    let usable = |id: &&str| {
        (1..=64).contains(&id.len()) && id.bytes().all(|b| b.is_ascii_alphanumeric() || b"._-".contains(&b))
    };
    let short = || hexadecimal(new_id().get(..8).unwrap_or_default());
    given.filter(usable).map_or_else(short, str::to_owned)
}

/// What browsers are told of every reply: a URL may hold a question and is told to nobody; a reply is what it is declared as.
fn protect(headers: &mut HeaderMap) {
    headers.insert(X_CONTENT_TYPE_OPTIONS, HeaderValue::from_static("nosniff"));
    headers.insert(REFERRER_POLICY, HeaderValue::from_static("no-referrer"));
    if !headers.contains_key(CONTENT_SECURITY_POLICY) {
        headers.insert(CONTENT_SECURITY_POLICY, HeaderValue::from_static(NOTHING));
    }
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
    let id = id_of(&request);
    let method = request.method().clone();
    let path: String = request.path().chars().take(200).collect();
    let url = request.uri().path_and_query().map_or(0, |both| both.as_str().len());
    let trace = Trace::of(request.headers(), new_id);
    request.extensions_mut().insert(trace.clone());
    #[cfg(feature = "otel")]
    let span = super::otel::span(&request, &trace);
    let mut response = if url > LONGEST_URL {
        let refusal = Refusal::whole(
            "too-long",
            format!("the URL has {url} octets, at most {LONGEST_URL} are read; use POST"),
        );
        request.into_response(reply::problem(&refusal))
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
        headers.insert(HeaderName::from_static(REQUEST_ID), value);
    }
    protect(headers);
    if response.response().extensions().get::<NotTaken>().is_some() {
        return Ok(response);
    }
    let question = response.response().extensions().get::<Answers>().map_or("", |answers| answers.0);
    let caller = response.request().extensions().get::<Caller>().map(|caller| Arc::clone(&caller.0));
    #[cfg(feature = "otel")]
    super::otel::ended(&span, response.status().as_u16(), question);
    #[cfg(feature = "otel")]
    let trace = Trace { id: super::otel::trace_id(&span).unwrap_or(trace.id), ..trace };
    // No query and no body: what was asked is the caller's alone.
    tracing::info!(
        request_id = id,
        trace_id = trace.id,
        parent_span = trace.parent.as_ref().map(|parent| parent.id.as_str()),
        caller = caller.as_deref(),
        method = method.as_str(),
        path,
        question,
        status = response.status().as_u16(),
        duration_us = u64::try_from(start.elapsed().as_micros()).unwrap_or(u64::MAX),
        "answered"
    );
    Ok(response)
}
