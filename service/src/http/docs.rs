//! `/docs`, `/openapi.json` and `/openapi-3.0.json`: the page and the older form are made once from the committed document.

#![allow(clippy::indexing_slicing, reason = "a JSON value indexed by a name it lacks is null, not a panic")]

use super::pages::{escape, page, shown_with_script};
use super::problem_page::table;
use super::reply::Tagged;
use super::schema_table::{fields, parts, reached, reference};
use super::server::State;
use crate::question::Context;
use crate::question::batch::{self, Counts};
use actix_web::web::Bytes;
use actix_web::{HttpRequest, HttpResponse, web};
use brimline_openapi::document_3_0::document_3_0;
use brimline_openapi::operations::{BATCH, LISTINGS, QUESTIONS, Question, RECHECK};
use once_cell::sync::Lazy;
use serde_json::Value;
use std::fmt::Write as _;

/// The committed document.
const DOCUMENT: &str = include_str!("../../../openapi/openapi.json");
const OPENING: &str = include_str!("../../pages/opening.html");
const CLOSING: &str = include_str!("../../pages/closing.html");
/// Asks what stands in a form of the page.
const TRY: &str = include_str!("../../pages/try.js");

/// `/openapi.json`.
pub async fn document(request: HttpRequest) -> HttpResponse {
    static SENT: Lazy<Tagged> =
        Lazy::new(|| Tagged::new("application/json", Bytes::from_static(DOCUMENT.as_bytes())));
    SENT.sent(&request)
}

/// `/openapi-3.0.json`.
pub async fn older(request: HttpRequest) -> HttpResponse {
    static SENT: Lazy<Tagged> = Lazy::new(|| {
        let document = document_3_0(serde_json::from_str(DOCUMENT).unwrap_or_default());
        Tagged::new("application/json", document.to_string())
    });
    SENT.sent(&request)
}

/// `/docs`.
pub async fn page_shown(request: HttpRequest, state: web::Data<State>) -> HttpResponse {
    let made = || made(&state.settings.public_path);
    shown_with_script(&request, &state.pages.page("", "docs", made), TRY)
}

/// Everything that is asked.
fn asked() -> impl Iterator<Item = &'static Question> + Clone {
    QUESTIONS.iter().chain([&RECHECK, &BATCH])
}

/// The whole page.
fn made(public_path: &str) -> String {
    let document: Value = serde_json::from_str(DOCUMENT).unwrap_or_default();
    let mut body = OPENING.replace("{public_path}", &escape(public_path));
    body.push_str("<h2 id=\"questions\">Questions</h2><ul>");
    for question in asked() {
        let _ =
            write!(body, "<li><a href=\"#{0}\">{0}</a>: {1}</li>", question.name, escape(question.summary));
    }
    body.push_str("</ul>");
    for question in asked() {
        one_question(&mut body, &document, public_path, question);
    }
    catalogue(&mut body, public_path);
    body.push_str("<h2 id=\"parts\">Parts of requests and replies</h2>");
    let roots = asked().flat_map(|question| [question.request, question.reply]);
    let shown: Vec<&str> = roots.clone().collect();
    let listed = roots.chain(LISTINGS.iter().map(|listing| listing.reply)).chain(["Problem"]);
    for part in reached(&document, listed).iter().filter(|part| !shown.contains(&part.as_str())) {
        parts(&mut body, &document, part);
    }
    body.push_str("<h2 id=\"problems\">Refusals</h2><p>A refusal is a problem document (RFC 9457). Every fault of a request is listed at once, each with a JSON pointer to its place.</p>");
    body.push_str(&table(public_path));
    body.push_str(&CLOSING.replace("{public_path}", &escape(public_path)));
    let _ = write!(body, "<script>{TRY}</script>");
    page("Documentation", &body)
}

fn one_question(body: &mut String, document: &Value, public_path: &str, question: &Question) {
    let (name, public_path) = (question.name, escape(public_path));
    let _ = write!(body, "<h3 id=\"{name}\">{name}</h3><p>{}.</p>", escape(question.summary));
    if *question == BATCH {
        let _ = write!(
            body,
            "<p><code>POST {public_path}/v1/{name}</code> with one JSON object a line, declared as <code>application/x-ndjson</code>; at most 25,000 lines, 16 MiB, 64 KiB a line. The answers come in the order of the lines, each in a line of its own, without texts unless a request says <code>\"detail\": \"full\"</code>. A line that cannot be answered says why in its place and affects no other. The last line says <code>\"end\": true</code>: without it the reply is incomplete. Files without such bounds: <code>brimline ask batch FILE</code>.</p>"
        );
        let line = &document["paths"]["/v1/batch"]["post"]["requestBody"]["content"]["application/x-ndjson"]
            ["example"];
        lines(body, line.as_str().unwrap_or_default());
    } else {
        let words: Vec<&str> = question.formats.iter().map(|format| format.media_type()).collect();
        let get = if *question == RECHECK {
            String::new()
        } else {
            format!(", or <code>GET {public_path}/v1/{name}?…</code> with dotted names")
        };
        let _ = write!(
            body,
            "<p><code>POST {public_path}/v1/{name}</code> with a JSON body{get}. Answers in {}.</p>",
            words.join(", ")
        );
        example(body, document, &public_path, name);
    }
    body.push_str("<h4>Request</h4>");
    fields(body, document, question.request);
    body.push_str("<h4>Reply</h4>");
    fields(body, document, question.reply);
}

/// The example of a batch with the reply to it.
fn lines(body: &mut String, lines: &str) {
    let context = Context { relaxed_rules_allowed: false };
    let (mut reply, mut counts) = (Vec::new(), Counts::default());
    for (number, line) in (1..).zip(lines.lines()) {
        counts.add(batch::answer(number, line.as_bytes(), context, &mut reply));
    }
    reply.extend_from_slice(counts.end().as_bytes());
    let _ = write!(
        body,
        "<h4>Example</h4><pre>{}</pre><details><summary>The reply</summary><pre>{}</pre></details>",
        escape(lines),
        escape(&String::from_utf8_lossy(&reply))
    );
}

/// The first example of a question, in both forms of asking, with its reply.
fn example(body: &mut String, document: &Value, public_path: &str, question: &str) {
    let post = &document["paths"][format!("/v1/{question}")]["post"];
    let request = &post["requestBody"]["content"]["application/json"]["examples"];
    let Some((case, request)) = request.as_object().and_then(|all| all.iter().next()) else { return };
    let request = &request["value"];
    let reply = &post["responses"]["200"]["content"]["application/json"]["examples"][case]["value"];
    let pretty = |value: &Value| escape(&serde_json::to_string_pretty(value).unwrap_or_default());
    let _ = write!(body, "<h4>Example</h4><pre>{}</pre>", pretty(request));
    if document["paths"][format!("/v1/{question}")].get("get").is_some() {
        let mut pairs = Vec::new();
        dotted(request, "", &mut pairs);
        let query = escape(&pairs.join("&"));
        let _ = write!(body, "<p>The same with GET:</p><pre>{public_path}/v1/{question}?{query}</pre>");
    }
    let _ = write!(body, "<details><summary>The reply</summary><pre>{}</pre></details>", pretty(reply));
    let rows = pretty(request).lines().count() + 1;
    let _ = write!(
        body,
        "<details><summary>Try it</summary><form class=\"try\" data-path=\"{public_path}/v1/{question}\"><textarea rows=\"{rows}\" aria-label=\"Request of {question}\" spellcheck=\"false\">{}</textarea><p><button>Ask</button></p><pre role=\"status\" hidden></pre></form></details>",
        pretty(request)
    );
}

/// The leaves of a request as pairs of a query string.
fn dotted(value: &Value, name: &str, pairs: &mut Vec<String>) {
    match value {
        Value::Object(map) => {
            for (key, inner) in map {
                let inner_name = if name.is_empty() { key.clone() } else { format!("{name}.{key}") };
                dotted(inner, &inner_name, pairs);
            }
        }
        Value::Array(items) => items.iter().for_each(|item| dotted(item, name, pairs)),
        Value::String(text) => pairs.push(format!("{name}={}", percent_encoded(text))),
        other => pairs.push(format!("{name}={other}")),
    }
}

/// Text for a query string; letters, digits and `-._~` stay.
fn percent_encoded(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for byte in text.bytes() {
        if byte.is_ascii_alphanumeric() || b"-._~".contains(&byte) {
            out.push(char::from(byte));
        } else {
            let _ = write!(out, "%{byte:02X}");
        }
    }
    out
}

fn catalogue(body: &mut String, public_path: &str) {
    body.push_str("<h2 id=\"catalogue\">The catalogue</h2><table><tr><th scope=\"col\">GET</th><th scope=\"col\">holds</th><th scope=\"col\">reply</th></tr>");
    for listing in LISTINGS {
        let _ = write!(
            body,
            "<tr><td><code>{}{}</code></td><td>{}</td><td>{}</td></tr>",
            escape(public_path),
            listing.path,
            escape(listing.summary),
            reference(listing.reply)
        );
    }
    body.push_str("</table>");
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_page_shows_every_question_and_every_link_on_it_leads_somewhere() {
        let text = made("/tools");
        for question in asked() {
            assert!(text.contains(&format!("POST /tools/v1/{}", question.name)));
        }
        assert!(!text.contains("{public_path}"));
        assert_eq!(text.matches("<summary>The reply</summary>").count(), asked().count());
        assert!(text.contains("{&quot;end&quot;:true,&quot;lines&quot;:1,&quot;answered&quot;:1,"));
        for target in text.split("href=\"#").skip(1).filter_map(|rest| rest.split('"').next()) {
            assert!(text.contains(&format!("id=\"{target}\"")), "#{target}");
        }
    }

    #[test]
    fn the_example_with_get_is_the_example_with_post() {
        let request = serde_json::json!({"liquid": "ethanol", "room": {"volume": "190 m3"}, "temperatures": ["1 Cel", "2 Cel"]});
        let mut pairs = Vec::new();
        dotted(&request, "", &mut pairs);
        assert_eq!(crate::question::query::read(&pairs.join("&")).unwrap().0, request);
    }
}
