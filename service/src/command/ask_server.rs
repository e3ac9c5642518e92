//! `brimline ask --server`: one question to a running service.

use super::ask::{Asked, Told, Unanswered};
use super::service::Service;
use super::table;
use crate::settings::{Ask, PrintedAs};
use brimline_openapi::operations::Format;
use brimline_openapi::{Ending, Problem};
use std::io::Read as _;
use std::time::{Duration, Instant};
use ureq::Body;
use ureq::http::Response;
use ureq::http::header::{CONTENT_TYPE, LOCATION, RETRY_AFTER};

/// Longest reply, octets.
const LONGEST_REPLY: u64 = 64 * 1024 * 1024;
/// Pause where the service does not say how long to wait, and the shortest one.
const PAUSE: Duration = Duration::from_secs(1);
/// The type of a refusal.
const PROBLEM: &str = "application/problem+json";

/// A reply: its type and its text.
struct Reply {
    content_type: String,
    text: Vec<u8>,
}

/// What the service says, as it is printed.
///
/// # Errors
/// It refuses the request, or does not answer.
pub fn told(service: &Service, settings: &Ask, asked: &Asked, format: Format) -> Result<Told, Unanswered> {
    let json = sent(service, settings, asked, Format::Json)?;
    // Whether a check is over its limit stands in the JSON alone.
    let ending: Ending =
        serde_json::from_slice(&json).map_err(|_| no_answer(service, "the reply is none of this service"))?;
    let text = match settings.format {
        PrintedAs::Json => json,
        PrintedAs::Table => table::text(&json)?,
        _ => sent(service, settings, asked, format)?,
    };
    Ok(Told { text, ending })
}

/// The text of the reply in a format; asked again where the service says to come again later.
fn sent(service: &Service, settings: &Ask, asked: &Asked, format: Format) -> Result<Vec<u8>, Unanswered> {
    let until = Instant::now() + Duration::from_millis(settings.retry_for_ms);
    loop {
        let response =
            send(service, settings, asked, format).map_err(|error| no_answer(service, &error.to_string()))?;
        let status = response.status().as_u16();
        let header = |name| response.headers().get(name).and_then(|value| value.to_str().ok());
        let after =
            header(RETRY_AFTER).and_then(|text| text.trim().parse().ok()).map_or(PAUSE, Duration::from_secs);
        let after = after.max(PAUSE);
        let to: String = header(LOCATION).unwrap_or("another address").chars().take(200).collect();
        let reply = read(service, response)?;
        match status {
            200 if reply.content_type.starts_with(format.media_type()) => return Ok(reply.text),
            300..400 => {
                return Err(no_answer(service, &format!("{status}, to {to}: name the address that answers")));
            }
            408 | 429 | 502..=504 if Instant::now().checked_add(after).is_some_and(|then| then <= until) => {
                eprintln!("brimline: {}: {status}; asking again in {} s", service.url(""), after.as_secs());
                std::thread::sleep(after);
            }
            // Who asks, how often and how long it takes is nothing that is wrong with the request.
            401 | 403 | 408 | 429 | 500.. if reply.content_type.starts_with(PROBLEM) => {
                let detail = problem(service, status, &reply)?.detail;
                // A terminal would obey them.
                let detail: String = detail.chars().filter(|one| !one.is_control()).take(500).collect();
                return Err(no_answer(service, &format!("{status}, {detail}")));
            }
            400..500 if reply.content_type.starts_with(PROBLEM) => {
                let problem = problem(service, status, &reply)?;
                let request = asked.request().map(|(request, _)| request).unwrap_or_default();
                return Err(Unanswered::Refused(Box::new(problem), request));
            }
            _ => {
                return Err(no_answer(
                    service,
                    &format!("{status} and {}, which is no answer", reply.content_type),
                ));
            }
        }
    }
}

fn problem(service: &Service, status: u16, reply: &Reply) -> Result<Problem, Unanswered> {
    serde_json::from_slice(&reply.text)
        .map_err(|_| no_answer(service, &format!("{status} with a text that is no refusal")))
}

fn send(
    service: &Service,
    settings: &Ask,
    asked: &Asked,
    format: Format,
) -> Result<Response<Body>, ureq::Error> {
    let url = service.url(&format!("/v1/{}", settings.question));
    match asked {
        Asked::File(octets) => {
            let request = service.post(&url).header("content-type", "application/json");
            request.query("format", format.word()).send(octets.as_slice())
        }
        // In the query string every field is a text, as flags are.
        Asked::Flags(pairs) => {
            let pairs = pairs.iter().map(|(name, text)| (name.as_str(), text.as_str()));
            service.get(&url).query_pairs(pairs).query("format", format.word()).call()
        }
    }
}

fn read(service: &Service, response: Response<Body>) -> Result<Reply, Unanswered> {
    let content_type = response.headers().get(CONTENT_TYPE).and_then(|value| value.to_str().ok());
    let content_type: String = content_type.unwrap_or("no type").chars().take(60).collect();
    let mut text = Vec::new();
    let mut from = response.into_body().into_reader().take(LONGEST_REPLY);
    match from.read_to_end(&mut text) {
        Ok(_) => Ok(Reply { content_type, text }),
        Err(error) => Err(no_answer(service, &format!("the reply broke off: {error}"))),
    }
}

fn no_answer(service: &Service, why: &str) -> Unanswered {
    Unanswered::NoAnswer(format!("{}: {why}", service.url("")))
}
