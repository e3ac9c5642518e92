//! Pages for people: the layout, and a page for each kind of problem.

use super::reply::{self, HTML, Tagged};
use super::server::State;
use crate::question::Refusal;
use actix_web::http::header::{CONTENT_SECURITY_POLICY, HeaderValue};
use actix_web::{HttpRequest, HttpResponse, web};
use brimline_openapi::problem::{PROBLEMS, problem_type};
use pulldown_cmark::{Options, Parser, html};
use std::fmt::Write as _;

/// The texts, embedded: file name and Markdown.
const TEXTS: &[(&str, &str)] = include!(concat!(env!("OUT_DIR"), "/problem_pages.rs"));
const STYLE: &str = include_str!("../../pages/style.css");

/// Text with the characters escaped that mean something in HTML.
#[must_use]
pub fn escape(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

/// A whole page: no scripts, nothing from outside.
#[must_use]
pub fn page(title: &str, body: &str) -> String {
    format!(
        "<!DOCTYPE html>\n<html lang=\"en-GB\"><head><meta charset=\"utf-8\"><title>{} - Brimline</title>\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"><style>{STYLE}</style></head>\
         <body><main>{body}</main></body></html>\n",
        escape(title)
    )
}

/// A page as a reply: it may load nothing.
#[must_use]
pub fn shown(request: &HttpRequest, page: &Tagged) -> HttpResponse {
    closed(page.sent(request))
}

/// A reply that may load nothing.
#[must_use]
pub fn closed(mut response: HttpResponse) -> HttpResponse {
    let policy = HeaderValue::from_static("default-src 'none'; style-src 'unsafe-inline'");
    response.headers_mut().insert(CONTENT_SECURITY_POLICY, policy);
    response
}

/// `/problems`.
pub async fn problems(request: HttpRequest, state: web::Data<State>) -> HttpResponse {
    let mut body = String::from("<h1>What a refusal can mean</h1>");
    body.push_str(&table(&state.settings.public_path));
    shown(&request, &Tagged::new(HTML, page("Problems", &body)))
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

/// `/problems/{code}`.
pub async fn problem(request: HttpRequest, code: web::Path<String>) -> HttpResponse {
    let file = format!("{code}.md");
    let text = TEXTS.iter().find(|(name, _)| *name == file).map(|(_, text)| *text);
    match (problem_type(&code), text) {
        (Some(kind), Some(text)) => {
            let mut body = String::new();
            html::push_html(&mut body, Parser::new_ext(text, Options::empty()));
            shown(&request, &Tagged::new(HTML, page(kind.title, &body)))
        }
        _ => reply::problem(&Refusal::whole("not-found", "there is no problem of this name; see /problems")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

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
}
