//! What is counted, and `/metrics`.

use super::reply;
use super::server::State;
use crate::question::Refusal;
use crate::question::batch::Counts;
use actix_web::http::StatusCode;
use actix_web::{HttpResponse, web};
use brimline_openapi::Outcome;
use brimline_openapi::operations::{BATCH, QUESTIONS, RECHECK};
use prometheus::{
    Encoder as _, GaugeVec, Histogram, HistogramOpts, HistogramVec, IntCounter, IntCounterVec, Opts,
    Registry, TextEncoder,
};
use std::time::Duration;

/// Upper edges of the duration buckets, seconds: a check takes tens of microseconds.
const BUCKETS: [f64; 12] = [5e-5, 1e-4, 2e-4, 5e-4, 1e-3, 2e-3, 5e-3, 1e-2, 5e-2, 0.1, 0.5, 1.0];
/// Every outcome and its word.
const OUTCOMES: [(Outcome, &str); 6] = [
    (Outcome::NoLimitChecked, "no_limit_checked"),
    (Outcome::WithinLimit, "within_limit"),
    (Outcome::NearLimit, "near_limit"),
    (Outcome::NotAssessed, "not_assessed"),
    (Outcome::OverLimit, "over_limit"),
    (Outcome::Unknown, "unknown"),
];

/// What is counted.
#[derive(Debug)]
pub struct Metrics {
    registry: Registry,
    requests: IntCounterVec,
    questions: Vec<OfQuestion>,
    lines_answered: IntCounter,
    lines_refused: IntCounter,
    kept: IntCounter,
    not_kept: IntCounter,
}

/// What is counted of one question: looked up by its labels once, since a look-up costs more than counting.
#[derive(Debug)]
struct OfQuestion {
    name: &'static str,
    /// Requests answered with 200.
    answered: IntCounter,
    duration: Histogram,
    /// In the order of [`OUTCOMES`].
    outcomes: [IntCounter; OUTCOMES.len()],
}

impl Metrics {
    /// Metrics that start at zero.
    ///
    /// # Errors
    /// Two metrics of one name, which no caller causes.
    pub fn new() -> prometheus::Result<Self> {
        let registry = Registry::new();
        let counters = |name: &str, help: &str, labels: &[&str]| {
            let counters = IntCounterVec::new(Opts::new(name, help), labels)?;
            registry.register(Box::new(counters.clone()))?;
            Ok::<_, prometheus::Error>(counters)
        };
        let requests =
            counters("brimline_requests_total", "Requests by question and status", &["question", "status"])?;
        let answers =
            counters("brimline_answers_total", "Answers by question and outcome", &["question", "outcome"])?;
        let lines = counters("brimline_batch_lines_total", "Lines of batches by result", &["result"])?;
        let kept = counters(
            "brimline_kept_answers_total",
            "Answers by whether they were kept from before",
            &["kept"],
        )?;
        let duration = HistogramOpts::new("brimline_request_duration_seconds", "Time to answer a question")
            .buckets(BUCKETS.to_vec());
        let durations = HistogramVec::new(duration, &["question"])?;
        registry.register(Box::new(durations.clone()))?;
        let build = GaugeVec::new(
            Opts::new("brimline_build_info", "Version of service and catalogue"),
            &["version", "catalogue"],
        )?;
        registry.register(Box::new(build.clone()))?;
        // Memory, processor time, open files and the start of the process, read when they are asked for.
        #[cfg(target_os = "linux")]
        registry.register(Box::new(prometheus::process_collector::ProcessCollector::for_self()))?;
        let version =
            crate::catalogue::catalogue().map(|catalogue| catalogue.version.as_str()).unwrap_or_default();
        build.with_label_values(&[env!("CARGO_PKG_VERSION"), version]).set(1.0);
        let questions = QUESTIONS
            .iter()
            .chain([&RECHECK, &BATCH])
            .map(|question| OfQuestion {
                name: question.name,
                answered: requests.with_label_values(&[question.name, "200"]),
                duration: durations.with_label_values(&[question.name]),
                outcomes: OUTCOMES.map(|(_, outcome)| answers.with_label_values(&[question.name, outcome])),
            })
            .collect();
        Ok(Self {
            questions,
            lines_answered: lines.with_label_values(&["answered"]),
            lines_refused: lines.with_label_values(&["refused"]),
            kept: kept.with_label_values(&["yes"]),
            not_kept: kept.with_label_values(&["no"]),
            registry,
            requests,
        })
    }

    /// Where other parts of the service register what they count.
    #[must_use]
    pub const fn registry(&self) -> &Registry {
        &self.registry
    }

    fn of(&self, question: &str) -> Option<&OfQuestion> {
        self.questions.iter().find(|of| of.name == question)
    }

    /// Counts an answer.
    pub fn answered(&self, question: &str, outcome: Outcome) {
        let place = OUTCOMES.iter().position(|(known, _)| *known == outcome);
        if let Some(counter) = self.of(question).zip(place).and_then(|(of, place)| of.outcomes.get(place)) {
            counter.inc();
        }
    }

    /// Counts an answer that was kept from before, or could be kept and was not.
    pub fn kept(&self, kept: bool) {
        if kept { &self.kept } else { &self.not_kept }.inc();
    }

    /// Counts lines of a batch.
    pub fn lines(&self, counts: Counts) {
        self.lines_answered.inc_by(counts.answered);
        self.lines_refused.inc_by(counts.refused);
    }

    /// Counts a request to a question and the time it took.
    pub fn took(&self, question: &str, status: StatusCode, time: Duration) {
        let Some(of) = self.of(question) else { return };
        if status == StatusCode::OK {
            of.answered.inc();
        } else {
            self.requests.with_label_values(&[question, status.as_str()]).inc();
        }
        of.duration.observe(time.as_secs_f64());
    }
}

/// `/metrics`.
pub async fn shown(state: web::Data<State>) -> HttpResponse {
    let mut text = Vec::new();
    if let Err(error) = TextEncoder::new().encode(&state.metrics.registry.gather(), &mut text) {
        return reply::problem(&Refusal::whole("busy", error.to_string()));
    }
    HttpResponse::Ok().insert_header(reply::NOT_CACHED).content_type("text/plain; version=0.0.4").body(text)
}
