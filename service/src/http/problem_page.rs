//! `/problems` and `/problems/{code}`: what a refusal means, with a request that makes it and the reply that this program gives.

use super::coding::Coding;
use super::pages::{escape, page, shown};
use super::server::State;
use super::worked::Worked;
use super::{access, format, observe, overload, questions, rate, read, reply, routes, unpack};
use crate::question::Refusal;
use crate::settings::Serve;
use actix_web::{HttpRequest, HttpResponse, web};
use brimline_openapi::operations::QUESTIONS;
use brimline_openapi::problem::{PROBLEMS, ProblemType, problem_type};
use pulldown_cmark::{CodeBlockKind, Event, Options, Parser, Tag, TagEnd, html};
use std::fmt::Write as _;
use std::time::Duration;

/// The texts on problems, embedded: file name and Markdown.
const TEXTS: &[(&str, &str)] = include!(concat!(env!("OUT_DIR"), "/problems_pages.rs"));
/// The folder of the pages.
const FOLDER: &str = "problems";
/// The language of a block that shows the head of an HTTP request; a block of JSON names the question behind its language.
const HEAD: &str = "http";

/// How often a GET that is too long names a temperature.
const TEMPERATURES: usize = 1000;

/// `/problems`.
pub async fn list(request: HttpRequest, state: web::Data<State>) -> HttpResponse {
    let made = || {
        page("Problems", &format!("<h1>What a refusal can mean</h1>{}", table(&state.settings.public_path)))
    };
    shown(&request, &state.pages.page("", FOLDER, made))
}

/// `/problems/{code}`.
pub async fn one(request: HttpRequest, code: web::Path<String>, state: web::Data<State>) -> HttpResponse {
    match (problem_type(&code), text_of(&code)) {
        (Some(kind), Some(text)) => {
            let made = || page(kind.title, &body(kind, text, &state.settings));
            shown(&request, &state.pages.page(FOLDER, kind.code, made))
        }
        _ => reply::problem(&Refusal::whole("not-found", "there is no problem of this name; see /problems")),
    }
}

/// A table of every kind of problem with links to its page.
#[must_use]
pub fn table(public_path: &str) -> String {
    let mut rows = String::from(
        "<table><tr><th scope=\"col\">code</th><th scope=\"col\">status</th><th scope=\"col\">meaning</th></tr>",
    );
    for problem in PROBLEMS {
        let _ = write!(
            rows,
            "<tr><td><a href=\"{}/problems/{}\">{}</a></td><td>{}</td><td>{}</td></tr>",
            escape(public_path),
            problem.code,
            problem.code,
            problem.status,
            escape(problem.title)
        );
    }
    rows + "</table>"
}

fn text_of(code: &str) -> Option<&'static str> {
    TEXTS.iter().find(|(name, _)| name.strip_suffix(".md") == Some(code)).map(|(_, text)| *text)
}

/// A text as a page: behind each block with a request stands the reply to it.
fn body(kind: &ProblemType, text: &str, settings: &Serve) -> String {
    let mut open: Option<(String, String)> = None;
    let events = Parser::new_ext(text, Options::empty()).flat_map(|event| {
        match &event {
            Event::Start(Tag::CodeBlock(CodeBlockKind::Fenced(info))) => {
                open = Some((info.to_string(), String::new()));
            }
            Event::Text(text) => {
                if let Some((_, block)) = &mut open {
                    block.push_str(text);
                }
            }
            _ => {}
        }
        let ended = if event == Event::End(TagEnd::CodeBlock) { open.take() } else { None };
        let refusal = ended.and_then(|(info, block)| refusal(kind, &info, &block, settings));
        let reply = refusal.map(|refusal| Event::Html(replied(&refusal).into()));
        std::iter::once(event).chain(reply)
    });
    let mut body = String::new();
    html::push_html(&mut body, events);
    body
}

/// A refusal as it is sent, with white space for people.
fn replied(refusal: &Refusal) -> String {
    let problem = refusal.problem();
    format!(
        "<p>The reply, status {}, as this service gives it (white space added):</p><pre class=\"reply\">{}</pre>",
        problem.status,
        escape(&serde_json::to_string_pretty(&problem).unwrap_or_default())
    )
}

/// The refusal of what a block shows; what only HTTP can get wrong is refused by the function that refuses it there.
fn refusal(kind: &ProblemType, info: &str, block: &str, settings: &Serve) -> Option<Refusal> {
    if let Some(question) = info.strip_prefix("json ") {
        return Worked::asked(question, block).err();
    }
    if kind.code == "not-decoded" {
        return unpack::unpacked(Coding::Gzip, block.as_bytes(), read::LARGEST_BODY).err();
    }
    let mut lines = block.lines();
    let (method, rest) = lines.next().filter(|_| info == HEAD)?.split_once(' ')?;
    let target = rest.split_once(' ').map_or(rest, |(target, _)| target);
    let (path, query) = target.split_once('?').unwrap_or((target, ""));
    let mut headers = lines.filter_map(|line| line.split_once(": "));
    let mut header = |wanted: &str| headers.find(|(name, _)| *name == wanted).map(|(_, value)| value);
    match kind.code {
        "unauthorised" => Some(access::not_known()),
        "not-found" => Some(routes::nothing_at(path)),
        "method-not-allowed" => Some(routes::not_answered(path, method, routes::READ)),
        "not-acceptable" => {
            let question =
                QUESTIONS.iter().find(|question| path.strip_prefix("/v1/") == Some(question.name))?;
            let word = query.split('&').find_map(|pair| pair.strip_prefix("format="));
            format::wanted(word, None, question.formats).err()
        }
        "slow-body" => Some(read::too_slow(Duration::from_millis(settings.body_timeout_ms))),
        "too-large" => Some(read::larger_than(read::LARGEST_BODY)),
        "too-long" => {
            let (once, _) = target.split_once("&…")?;
            let (_, pair) = once.rsplit_once('&')?;
            Some(observe::too_long(once.len() + (TEMPERATURES - 1) * (pair.len() + 1)))
        }
        "unsupported-media-type" => read::typed(header("Content-Type"), questions::JSON).err(),
        "unsupported-coding" => unpack::coding(header("Content-Encoding")?).err(),
        "too-many-requests" => Some(rate::too_often(1)),
        "busy" => Some(overload::all_taken(settings.limits.most_in_flight.into())),
        "took-too-long" => {
            Some(overload::too_late(Duration::from_millis(settings.limits.request_timeout_ms)))
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::settings::Settings;
    use clap::Parser as _;

    #[test]
    fn every_kind_of_problem_has_its_page_and_every_page_its_kind() {
        let mut named: Vec<&str> = TEXTS.iter().map(|(name, _)| name.trim_end_matches(".md")).collect();
        let mut known: Vec<&str> = PROBLEMS.iter().map(|problem| problem.code).collect();
        named.sort_unstable();
        known.sort_unstable();
        assert_eq!(named, known);
        for (name, text) in TEXTS {
            assert!(text.contains("## How to mend it"), "{name}");
        }
    }

    #[test]
    fn every_page_shows_a_request_and_the_reply_of_its_kind() {
        // Nothing makes it today, as its page says.
        const NEVER: &str = "mixture-not-answered";
        let settings = Settings::parse_from(["brimline"]).serve;
        for kind in PROBLEMS {
            let body = body(kind, text_of(kind.code).unwrap(), &settings);
            if kind.code == NEVER {
                assert!(!body.contains("class=\"reply\""));
                continue;
            }
            let reply = body
                .split_once("<pre class=\"reply\">")
                .map(|(_, rest)| rest.split_once("</pre>").unwrap().0);
            let reply = reply.unwrap_or_else(|| panic!("{}: no reply", kind.code));
            assert!(reply.contains(&format!("&quot;code&quot;: &quot;{}&quot;", kind.code)), "{reply}");
            assert!(reply.contains(&format!("&quot;status&quot;: {}", kind.status)), "{reply}");
        }
    }
}
