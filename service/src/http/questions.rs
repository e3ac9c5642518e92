//! `POST` and `GET /v1/{question}`: read, ask, answer in the wanted format.

use super::server::State;
use super::sheet::Sheet;
use super::{format, long, pages, picture, read, reply, sheet_written, unpack};
use crate::question::{self, Answer, Context, Refusal, Series, Written};
use actix_web::http::StatusCode;
use actix_web::web::Bytes;
use actix_web::{HttpRequest, HttpResponse, web};
use brimline_openapi::operations::{Format, Question};
use serde_json::Value;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::time::{Duration, Instant};

/// The type of an answer.
pub const JSON: &str = "application/json";

/// What is sent, and its type.
type Sent = Result<(&'static str, Bytes), Refusal>;

/// Answers a question asked with POST.
pub async fn post(
    request: HttpRequest,
    question: web::Data<Question>,
    state: web::Data<State>,
    payload: web::Payload,
) -> HttpResponse {
    let within = Duration::from_millis(state.settings.body_timeout_ms);
    // The body is read before anything is refused, so that the connection can be used again.
    let body = read::body(&request, payload, within, read::LARGEST_BODY).await;
    let start = Instant::now();
    let answered = match body {
        Ok(body) => post_answered(&request, &question, &state, body).await,
        Err(refusal) => Err(refusal),
    };
    finish(answered, question.name, start, &state, |content_type, body| {
        reply::posted(&request, content_type, body)
    })
}

async fn post_answered(
    request: &HttpRequest,
    question: &Question,
    state: &web::Data<State>,
    body: Vec<u8>,
) -> Sent {
    let (format, rest) = format::of_request(request, question.formats)?;
    read::no_fields(&rest, "a POST takes its fields in the body")?;
    let coding = read::declared(request, "application/json")?;
    let body = unpack::decoded(coding, body, read::LARGEST_BODY).await?;
    if format != Format::Json {
        let value = question::json::read(&body)?;
        return answered(*question, value, Written::Json, format, state, body.len(), None).await;
    }
    if let Some(kept) = state.kept.get(question.name, &body) {
        state.metrics.answered(question.name, kept.outcome);
        state.metrics.kept(true);
        return Ok((JSON, kept.json));
    }
    let value = question::json::read(&body)?;
    answered(*question, value, Written::Json, format, state, body.len(), Some(body)).await
}

/// Answers a question asked with GET or HEAD.
pub async fn get(
    request: HttpRequest,
    question: web::Data<Question>,
    state: web::Data<State>,
) -> HttpResponse {
    let start = Instant::now();
    let answered = get_answered(&request, &question, &state).await;
    finish(answered, question.name, start, &state, |content_type, body| {
        reply::readable(&request, content_type, body)
    })
}

async fn get_answered(request: &HttpRequest, question: &Question, state: &web::Data<State>) -> Sent {
    let (format, rest) = format::of_request(request, question.formats)?;
    let (value, how) = question::query::read(&rest)?;
    answered(*question, value, how, format, state, rest.len(), None).await
}

/// A short question is answered where it was read, since the way to another thread costs more than the answer; a long one
/// elsewhere, in its turn.
async fn answered(
    question: Question,
    value: Value,
    how: Written,
    format: Format,
    state: &web::Data<State>,
    octets: usize,
    keep: Option<Vec<u8>>,
) -> Sent {
    if !long::is_long(question.name, &value, format, octets) {
        return told(&question, &value, how, format, state, keep);
    }
    let asked = state.clone();
    state.load.long(move || told(&question, &value, how, format, &asked, keep)).await
}

/// The answer in its format; it is kept under the request `keep`, where it may be.
fn told(
    question: &Question,
    value: &Value,
    how: Written,
    format: Format,
    state: &State,
    keep: Option<Vec<u8>>,
) -> Sent {
    let answer = ask(question, value, how, format, state)?;
    match keep {
        Some(request) => {
            state.metrics.kept(false);
            Ok((JSON, state.kept.keep(question.name, &request, answer).json))
        }
        None => written(answer, format).map(|(content_type, body)| (content_type, Bytes::from(body))),
    }
}

fn ask(
    question: &Question,
    value: &Value,
    written: Written,
    format: Format,
    state: &State,
) -> Result<Answer, Refusal> {
    let context = Context { relaxed_rules_allowed: state.settings.allow_relaxed_rules };
    // A picture is made only for those who see it.
    let drawn = matches!(format, Format::Svg | Format::Html | Format::Markdown);
    let ask = if drawn { question::ask_with_picture } else { question::ask };
    // Nothing is meant to panic; if something does, one request is lost and not the worker.
    let caught = catch_unwind(AssertUnwindSafe(|| ask(question.name, value, written, context)));
    let answer = caught.unwrap_or_else(|_| {
        tracing::error!(question = question.name, "a question panicked");
        Err(Refusal::whole("busy", "this question could not be answered; please report it"))
    })?;
    state.metrics.answered(question.name, answer.outcome);
    Ok(answer)
}

/// An answer in a format, and its type.
///
/// # Errors
/// `not-acceptable`: there is no picture.
pub fn written(answer: Answer, format: Format) -> Result<(&'static str, Vec<u8>), Refusal> {
    match format {
        Format::Json => Ok((JSON, answer.json)),
        Format::Csv => {
            let series = answer.series.unwrap_or(Series { header: Vec::new(), rows: Vec::new() });
            Ok(("text/csv; charset=utf-8", csv(&series.ending(answer.outcome, answer.complete)?)?))
        }
        Format::Svg => match answer.picture.as_ref().and_then(picture::svg) {
            Some(drawn) => Ok(("image/svg+xml", drawn.into_bytes())),
            None => Err(Refusal::whole(
                "not-acceptable",
                "this answer has no picture: what it would show was not asked or could not be computed",
            )),
        },
        Format::Html => sheet(&answer, sheet_written::html).map(|text| (reply::HTML, text)),
        Format::Markdown => {
            sheet(&answer, sheet_written::markdown).map(|text| ("text/markdown; charset=utf-8", text))
        }
    }
}

fn sheet(answer: &Answer, write: fn(&Sheet) -> String) -> Result<Vec<u8>, Refusal> {
    let reply = serde_json::from_slice(&answer.json)
        .map_err(|error| Refusal::whole("busy", format!("the sheet could not be made: {error}")))?;
    Ok(write(&Sheet::of(&reply, answer.picture.as_ref())).into_bytes())
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
    answered: Sent,
    question: &'static str,
    start: Instant,
    state: &State,
    sent: impl FnOnce(&'static str, Bytes) -> HttpResponse,
) -> HttpResponse {
    let mut response = match answered {
        Ok((reply::HTML, body)) => {
            let page = body.clone();
            pages::closed(sent(reply::HTML, body), &page)
        }
        Ok((content_type, body)) => sent(content_type, body),
        Err(refusal) => reply::problem(&refusal),
    };
    // What is left of such a body is not worth reading.
    if matches!(response.status(), StatusCode::REQUEST_TIMEOUT | StatusCode::PAYLOAD_TOO_LARGE) {
        response.head_mut().set_connection_type(actix_web::http::ConnectionType::Close);
    }
    state.metrics.took(question, response.status(), start.elapsed());
    response
}
