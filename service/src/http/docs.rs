//! `/docs` and `/openapi.json`: the documentation page, made once from the committed document.

#![allow(clippy::indexing_slicing, reason = "a JSON value indexed by a name it lacks is null, not a panic")]

use super::pages::{escape, page, shown, table};
use super::reply;
use super::server::State;
use actix_web::{HttpRequest, HttpResponse, web};
use brimline_openapi::operations::QUESTIONS;
use once_cell::sync::OnceCell;
use serde_json::Value;
use std::fmt::Write as _;

/// The committed document.
const DOCUMENT: &str = include_str!("../../../openapi/openapi.json");
const OPENING: &str = include_str!("../../pages/opening.html");

/// `/openapi.json`.
pub async fn document(request: HttpRequest) -> HttpResponse {
    reply::readable(&request, "application/json", DOCUMENT.as_bytes().to_vec())
}

/// `/docs`.
pub async fn page_shown(request: HttpRequest, state: web::Data<State>) -> HttpResponse {
    static PAGE: OnceCell<String> = OnceCell::new();
    let text = PAGE.get_or_init(|| made(&state.settings.public_path));
    shown(&request, text.clone())
}

fn made(public_path: &str) -> String {
    let document: Value = serde_json::from_str(DOCUMENT).unwrap_or_default();
    let mut body = OPENING.replace("{public_path}", &escape(public_path));
    body.push_str("<h2 id=\"questions\">Questions</h2>");
    for question in QUESTIONS {
        let _ = write!(body, "<h3 id=\"{0}\">{0}</h3><p>{1}.</p>", question.name, escape(question.summary));
        let _ = write!(
            body,
            "<p><code>POST {public_path}/v1/{0}</code> with a JSON body, or <code>GET {public_path}/v1/{0}?liquid=…</code> with dotted names.</p>",
            question.name
        );
        example(&mut body, &document, question.name);
        body.push_str("<h4>Request</h4>");
        fields(&mut body, &document, question.request);
        body.push_str("<h4>Reply</h4>");
        fields(&mut body, &document, question.reply);
    }
    body.push_str("<h2 id=\"parts\">Parts of requests and replies</h2>");
    for part in ["Room", "Vessel", "Quantity", "Check", "Remedy", "Headspace", "Record"] {
        let _ = write!(body, "<h3>{part}</h3>");
        fields(&mut body, &document, part);
    }
    body.push_str("<h2 id=\"problems\">Refusals</h2><p>A refusal is a problem document (RFC 9457). Every fault of a request is listed at once.</p>");
    body.push_str(&table(public_path));
    page("Documentation", &body)
}

fn example(body: &mut String, document: &Value, question: &str) {
    let post = &document["paths"][format!("/v1/{question}")]["post"];
    let request = &post["requestBody"]["content"]["application/json"]["examples"];
    let Some((case, request)) = request.as_object().and_then(|all| all.iter().next()) else { return };
    let reply = &post["responses"]["200"]["content"]["application/json"]["examples"][case]["value"];
    let pretty = |value: &Value| escape(&serde_json::to_string_pretty(value).unwrap_or_default());
    let _ = write!(
        body,
        "<pre>{}</pre><details><summary>The reply</summary><pre>{}</pre></details>",
        pretty(&request["value"]),
        pretty(reply)
    );
}

/// A table of the fields of a schema.
fn fields(body: &mut String, document: &Value, schema: &str) {
    let schema = &document["components"]["schemas"][schema];
    let required: Vec<&str> =
        schema["required"].as_array().into_iter().flatten().filter_map(Value::as_str).collect();
    body.push_str("<table><tr><th scope=\"col\">field</th><th scope=\"col\">type</th><th scope=\"col\">meaning</th></tr>");
    for (name, property) in schema["properties"].as_object().into_iter().flatten() {
        let kind = property["$ref"]
            .as_str()
            .and_then(|target| target.rsplit('/').next())
            .or_else(|| property["type"].as_str());
        let optional = if required.contains(&name.as_str()) { "" } else { ", optional" };
        let _ = write!(
            body,
            "<tr><td><code>{}</code></td><td>{}{optional}</td><td>{}</td></tr>",
            escape(name),
            escape(kind.unwrap_or("text")),
            escape(property["description"].as_str().unwrap_or_default())
        );
    }
    body.push_str("</table>");
}
