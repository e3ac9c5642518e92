//! `POST` and `GET /v1/{question}`: read, ask, answer in the wanted format.

use super::server::State;
use super::{format, observe, read, reply};
use crate::question::{self, Answer, Context, Refusal, Series, Written};
use actix_web::http::header::ACCEPT;
use actix_web::{HttpRequest, HttpResponse, web};
use brimline_openapi::operations::{Format, Question};
use serde_json::Value;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::time::{Duration, Instant};

/// Answers a question asked with POST.
pub async fn post(
    request: HttpRequest,
    question: web::Data<Question>,
    state: web::Data<State>,
    payload: web::Payload,
) -> HttpResponse {
    let within = Duration::from_millis(state.settings.body_timeout_ms);
    // The body is read before anything is refused, so that the connection can be used again.
    let body = read::body(&request, payload, within).await;
    let start = Instant::now();
    let answered = (|| {
        let body = body?;
        let (format_word, rest) = format_word(request.query_string());
        if let Some(name) = rest.split(['=', '&']).find(|name| !name.is_empty()) {
            let name: String = name.chars().take(60).collect();
            return Err(Refusal::at(
                "",
                "unknown-field",
                format!("`{name}` in the URL: a POST takes its fields in the body"),
            ));
        }
        let format = wanted(&request, format_word.as_deref(), &question)?;
        read::declared_json(&request)?;
        let value = question::json::read(&body)?;
        let answer = ask(&question, &value, Written::Json, &state)?;
        written(answer, format)
    })();
    finish(answered, question.name, start, &state, reply::posted)
}

/// Answers a question asked with GET or HEAD.
pub async fn get(
    request: HttpRequest,
    question: web::Data<Question>,
    state: web::Data<State>,
) -> HttpResponse {
    let start = Instant::now();
    let answered = (|| {
        let (format_word, rest) = format_word(request.query_string());
        let format = wanted(&request, format_word.as_deref(), &question)?;
        let (value, how) = question::query::read(&rest)?;
        let answer = ask(&question, &value, how, &state)?;
        written(answer, format)
    })();
    finish(answered, question.name, start, &state, |content_type, body| {
        reply::readable(&request, content_type, body)
    })
}

fn wanted(request: &HttpRequest, word: Option<&str>, question: &Question) -> Result<Format, Refusal> {
    let accept = request
        .headers()
        .get_all(ACCEPT)
        .filter_map(|value| value.to_str().ok())
        .collect::<Vec<_>>()
        .join(",");
    format::wanted(word, (!accept.is_empty()).then_some(accept.as_str()), question.formats)
}

/// `format` of a query string, and the query string without it.
#[must_use]
pub fn format_word(query: &str) -> (Option<String>, String) {
    let mut word = None;
    let mut rest = Vec::new();
    for pair in query.split('&') {
        match pair.strip_prefix("format=") {
            Some(value) => word = Some(value.to_owned()),
            None => rest.push(pair),
        }
    }
    (word, rest.join("&"))
}

fn ask(question: &Question, value: &Value, written: Written, state: &State) -> Result<Answer, Refusal> {
    let context = Context { relaxed_rules_allowed: state.settings.allow_relaxed_rules };
    // Nothing is meant to panic; if something does, one request is lost and not the worker.
    let caught = catch_unwind(AssertUnwindSafe(|| question::ask(question.name, value, written, context)));
    let answer = caught.unwrap_or_else(|_| {
        tracing::error!(question = question.name, "a question panicked");
        Err(Refusal::whole("busy", "this question could not be answered; please report it"))
    })?;
    state.metrics.answered(question.name, answer.outcome);
    Ok(answer)
}

fn written(answer: Answer, format: Format) -> Result<(&'static str, Vec<u8>), Refusal> {
    match format {
        Format::Json => Ok(("application/json", answer.json)),
        Format::Csv => {
            let series = answer.series.unwrap_or(Series { header: Vec::new(), rows: Vec::new() });
            Ok(("text/csv; charset=utf-8", csv(&series)?))
        }
        Format::Svg | Format::Html => Err(Refusal::whole("not-acceptable", "this format is not offered")),
    }
}

/// A series as comma-separated text.
///
/// # Errors
/// None that a series causes.
pub fn csv(series: &Series) -> Result<Vec<u8>, Refusal> {
    let broken = |error: &dyn std::fmt::Display| Refusal::whole("busy", error.to_string());
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(&series.header).map_err(|error| broken(&error))?;
    for row in &series.rows {
        writer.write_record(row).map_err(|error| broken(&error))?;
    }
    writer.into_inner().map_err(|error| broken(&error))
}

fn finish(
    answered: Result<(&'static str, Vec<u8>), Refusal>,
    question: &'static str,
    start: Instant,
    state: &State,
    sent: impl FnOnce(&'static str, Vec<u8>) -> HttpResponse,
) -> HttpResponse {
    let mut response = match answered {
        Ok((content_type, body)) => sent(content_type, body),
        Err(refusal) => reply::problem(&refusal),
    };
    if response.status() == actix_web::http::StatusCode::REQUEST_TIMEOUT {
        response.head_mut().set_connection_type(actix_web::http::ConnectionType::Close);
    }
    state.metrics.took(question, response.status(), start.elapsed());
    observe::name_question(&mut response, question);
    response
}
