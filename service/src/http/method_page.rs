//! `/docs/methods` and `/docs/methods/{id}`: each equation, its symbols, where it is valid and comes from, and an example that this
//! program works out when the page is first asked for.

use super::pages::{escape, page, shown};
use super::reply;
use super::server::State;
use super::worked::Worked;
use crate::question::Refusal;
use crate::question::method::{Known, METHODS};
use actix_web::{HttpRequest, HttpResponse, web};
use once_cell::sync::Lazy;
use serde::Deserialize;
use std::collections::{BTreeMap, HashMap};
use std::fmt::Write as _;

/// What the pages hold beside the line of each method, with equations as MathML.
static PAGES: Lazy<HashMap<String, Page>> = Lazy::new(|| {
    serde_json::from_str(include_str!(concat!(env!("OUT_DIR"), "/methods.json"))).unwrap_or_default()
});
/// The folder of the pages.
const FOLDER: &str = "methods";

#[derive(Debug, Deserialize)]
struct Page {
    title: String,
    equations: Vec<String>,
    symbols: Vec<[String; 3]>,
    example: Example,
}

#[derive(Debug, Deserialize)]
struct Example {
    question: String,
    request: String,
    figures: Vec<[String; 2]>,
    put_in: Vec<String>,
    values: BTreeMap<String, String>,
}

/// `/docs/methods`: every method with its page.
pub async fn list(request: HttpRequest, state: web::Data<State>) -> HttpResponse {
    let made = || page("Methods", &table(&state.settings.public_path));
    shown(&request, &state.pages.page("", FOLDER, made))
}

/// `/docs/methods/{id}`.
pub async fn one(request: HttpRequest, id: web::Path<String>, state: web::Data<State>) -> HttpResponse {
    let known = METHODS.iter().find(|method| method.id == id.as_str());
    match known.and_then(|method| Some((method, PAGES.get(method.id)?))) {
        Some((method, known)) => {
            let made = || page(&known.title, &body(method, known, &state.settings.public_path));
            shown(&request, &state.pages.page(FOLDER, method.id, made))
        }
        None => {
            reply::problem(&Refusal::whole("not-found", "there is no method of this name; see /docs/methods"))
        }
    }
}

/// A link to the page of a method, with its title.
#[must_use]
pub fn link(public_path: &str, id: &str) -> String {
    let title = PAGES.get(id).map_or(id, |page| page.title.as_str());
    format!("<a href=\"{}/docs/methods/{}\">{}</a>", escape(public_path), escape(id), escape(title))
}

fn table(public_path: &str) -> String {
    let mut body = String::from(
        "<h1>Methods</h1><p>Every equation that a reply can name in <code>methods</code>. Each page shows its symbols, where it is valid, where it comes from and an example that this service works out.</p><table><tr><th scope=\"col\">method</th><th scope=\"col\">id in replies</th><th scope=\"col\">equation</th><th scope=\"col\">source</th></tr>",
    );
    for method in METHODS {
        let _ = write!(
            body,
            "<tr><th scope=\"row\">{}</th><td><code>{}</code></td><td>{}</td><td>{}</td></tr>",
            link(public_path, method.id),
            method.id,
            escape(method.equation),
            escape(method.source)
        );
    }
    body.push_str("</table>");
    body
}

fn body(method: &Known, known: &Page, public_path: &str) -> String {
    let path = escape(public_path);
    let mut body = format!(
        "<h1>{}</h1><p>Replies name it <code>{}</code> in <code>methods</code>. <a href=\"{path}/docs/methods\">All methods</a>.</p><h2>Equation</h2>",
        escape(&known.title),
        method.id
    );
    equations(&mut body, method.equation, &known.equations);
    let _ =
        write!(body, "<p>As a line of text, as replies say it: <code>{}</code></p>", escape(method.equation));
    body.push_str("<h2>Symbols</h2><table><tr><th scope=\"col\">symbol</th><th scope=\"col\">meaning</th><th scope=\"col\">unit</th></tr>");
    for [symbol, meaning, unit] in &known.symbols {
        let _ = write!(
            body,
            "<tr><th scope=\"row\">{symbol}</th><td>{}</td><td>{}</td></tr>",
            escape(meaning),
            escape(unit)
        );
    }
    let _ = write!(
        body,
        "</table><h2>Where it is valid, and what happens outside</h2><p>{}</p><h2>Source</h2><p>{}</p>",
        escape(method.valid_range),
        escape(method.source)
    );
    if method.source.contains("memory") {
        body.push_str("<p><strong>From memory:</strong> the text was not in front of whoever wrote it down. Confirm it before you quote it.</p>");
    }
    example(&mut body, method, &known.example, public_path);
    body
}

/// Equations in a box of their own, which scrolls where they are wider than the page; read out as the line of text.
fn equations(body: &mut String, text: &str, equations: &[String]) {
    let _ = write!(
        body,
        "<div class=\"equations\" role=\"group\" tabindex=\"0\" aria-label=\"{}\">{}</div>",
        escape(text),
        equations.concat()
    );
}

fn example(body: &mut String, method: &Known, example: &Example, public_path: &str) {
    let _ = write!(
        body,
        "<h2>Worked example</h2><p>Worked out by this service for this page, version {}. Sent to <code>POST {}/v1/{}</code>:</p><pre>{}</pre>",
        env!("CARGO_PKG_VERSION"),
        escape(public_path),
        escape(&example.question),
        escape(&example.request)
    );
    let worked = match Worked::asked(&example.question, &example.request) {
        Ok(worked) => worked,
        Err(refusal) => {
            let _ = write!(body, "<p>It is refused: {}.</p>", escape(&refusal.problem().detail));
            return;
        }
    };
    let sentence = worked.reply().get("sentence").and_then(|sentence| sentence.as_str());
    let _ = write!(
        body,
        "<p>{}</p><h3>What of the reply rests on it</h3><table><tr><th scope=\"col\">what</th><th scope=\"col\">value</th><th scope=\"col\">95 % range</th><th scope=\"col\">place in the reply</th></tr>",
        escape(sentence.unwrap_or_default())
    );
    for [place, what] in &example.figures {
        let Some(figure) = worked.figure(&format!("reply{place}")) else { continue };
        let range = figure.range.as_ref().map(|(low, high)| format!("{low} to {high}"));
        let _ = write!(
            body,
            "<tr><th scope=\"row\">{}</th><td>{}</td><td>{}</td><td><code>{}</code></td></tr>",
            escape(what),
            escape(&figure.text()),
            escape(&range.unwrap_or_default()),
            escape(place)
        );
    }
    body.push_str("</table>");
    put_in(body, example, &worked);
    let others: Vec<String> =
        worked.methods().filter(|id| *id != method.id).map(|id| link(public_path, id)).collect();
    if !others.is_empty() {
        let _ = write!(body, "<p>This reply also rests on: {}.</p>", others.join(", "));
    }
}

/// The equations with the numbers of the example.
fn put_in(body: &mut String, example: &Example, worked: &Worked) {
    if example.put_in.is_empty() {
        return;
    }
    body.push_str("<h3>With these numbers</h3>");
    let mut rows = String::new();
    let mut filled = example.put_in.clone();
    for (name, place) in &example.values {
        let Some(figure) = worked.figure(place) else { continue };
        for equation in &mut filled {
            *equation = equation.replace(&format!("<mtext>@{name}@</mtext>"), &figure.mathml());
        }
        let _ = write!(
            rows,
            "<tr><td>{}</td><td><code>{}</code></td></tr>",
            escape(&figure.text()),
            escape(place)
        );
    }
    equations(body, "the equation with the numbers of the table below", &filled);
    if filled.iter().any(|equation| equation.contains("<mi>R</mi>")) {
        body.push_str("<p>R is 8.314462618 J/(mol K).</p>");
    }
    let _ = write!(
        body,
        "<p>The numbers are rounded as in replies; put in by hand they give the result within that.</p><table><tr><th scope=\"col\">number</th><th scope=\"col\">found in</th></tr>{rows}</table>"
    );
}

#[cfg(test)]
mod tests;
