//! What can be seen of the service: request ids, one log line a request, metrics.

use super::overload::NotTaken;
use super::read::LONGEST_URL;
use super::reply;
use super::server::State;
use crate::catalogue::load::hexadecimal;
use crate::question::Refusal;
use crate::question::batch::Counts;
use actix_web::body::{BoxBody, MessageBody};
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::http::StatusCode;
use actix_web::http::header::{HeaderName, HeaderValue};
use actix_web::middleware::Next;
use actix_web::{HttpResponse, web};
use brimline_openapi::Outcome;
use once_cell::sync::Lazy;
use prometheus::{
    Encoder as _, Gauge, GaugeVec, HistogramOpts, HistogramVec, IntCounterVec, Opts, Registry, TextEncoder,
};
use sha2::{Digest, Sha256};
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
        let duration = HistogramOpts::new("brimline_request_duration_seconds", "Time to answer a question")
            .buckets(BUCKETS.to_vec());
        let durations = HistogramVec::new(duration, &["question"])?;
        let build = GaugeVec::new(
            Opts::new("brimline_build_info", "Version of service and catalogue"),
            &["version", "catalogue"],
        )?;
        let started = Gauge::with_opts(Opts::new(
            "process_start_time_seconds",
            "Start of the process, seconds since 1970-01-01 00:00 UTC",
        ))?;
        registry.register(Box::new(started.clone()))?;
        registry.register(Box::new(requests.clone()))?;
        registry.register(Box::new(answers.clone()))?;
        registry.register(Box::new(durations.clone()))?;
        registry.register(Box::new(lines.clone()))?;
        registry.register(Box::new(build.clone()))?;
        started.set(SystemTime::now().duration_since(UNIX_EPOCH).map_or(0.0, |time| time.as_secs_f64()));
        let version =
            crate::catalogue::catalogue().map(|catalogue| catalogue.version.as_str()).unwrap_or_default();
        build.with_label_values(&[env!("CARGO_PKG_VERSION"), version]).set(1.0);
        Ok(Self { registry, requests, answers, durations, lines })
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

/// An id for a request that brings none: process start and a counter, hashed.
fn new_id() -> String {
    static START: Lazy<u128> =
        Lazy::new(|| SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |time| time.as_nanos()));
    static COUNT: AtomicU64 = AtomicU64::new(0);
    let mut hash = Sha256::new();
    hash.update(START.to_le_bytes());
    hash.update(std::process::id().to_le_bytes());
    hash.update(COUNT.fetch_add(1, Ordering::Relaxed).to_le_bytes());
    hexadecimal(hash.finalize().get(..8).unwrap_or_default())
}

fn id_of(request: &ServiceRequest) -> String {
    let given = request.headers().get(REQUEST_ID).and_then(|value| value.to_str().ok());
    let usable = |id: &&str| {
        (1..=64).contains(&id.len()) && id.bytes().all(|b| b.is_ascii_alphanumeric() || b"._-".contains(&b))
    };
    given.filter(usable).map_or_else(new_id, str::to_owned)
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
    let mut response = if url > LONGEST_URL {
        let refusal = Refusal::whole(
            "too-long",
            format!("the URL has {url} octets, at most {LONGEST_URL} are read; use POST"),
        );
        request.into_response(reply::problem(&refusal))
    } else {
        next.call(request).await?.map_into_boxed_body()
    };
    let headers = response.headers_mut();
    if let Ok(value) = HeaderValue::from_str(&id) {
        headers.insert(HeaderName::from_static(REQUEST_ID), value);
    }
    headers.insert(HeaderName::from_static("x-content-type-options"), HeaderValue::from_static("nosniff"));
    if response.response().extensions().get::<NotTaken>().is_some() {
        return Ok(response);
    }
    let question = response.response().extensions().get::<Answers>().map_or("", |answers| answers.0);
    tracing::info!(
        request_id = id,
        method = method.as_str(),
        path,
        question,
        status = response.status().as_u16(),
        duration_us = u64::try_from(start.elapsed().as_micros()).unwrap_or(u64::MAX),
        "answered"
    );
    Ok(response)
}
