//! Pages for people: their layout and policy, and the guides.

use super::reply::{self, HTML, Tagged};
use crate::question::Refusal;
use actix_web::http::header::{CONTENT_SECURITY_POLICY, HeaderValue};
use actix_web::{HttpRequest, HttpResponse, web};
use data_encoding::BASE64;
use pulldown_cmark::{Options, Parser, html};
use sha2::{Digest as _, Sha256};

/// The guides, embedded: file name and Markdown.
const GUIDES: &[(&str, &str)] = include!(concat!(env!("OUT_DIR"), "/guides_pages.rs"));
/// The policy of what is no page: it may load nothing and stand in no frame.
pub const NOTHING: &str = "default-src 'none'; frame-ancestors 'none'";
const STYLE: &str = include_str!("../../pages/style.css");

/// Text with the characters escaped that mean something in HTML.
#[must_use]
pub fn escape(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

/// A whole page: nothing from outside.
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
    closed(page.sent(request), page.body())
}

/// A page as a reply: it may run the one script that is given, which may ask this service; nothing else.
///
/// The script is known by what this program holds of it, not by what stands in the page.
#[must_use]
pub fn shown_with_script(request: &HttpRequest, page: &Tagged, script: &str) -> HttpResponse {
    let mut response = shown(request, page);
    let allowed =
        format!(" script-src 'sha256-{}'; connect-src 'self';", BASE64.encode(&Sha256::digest(script)));
    let policy = response.headers().get(CONTENT_SECURITY_POLICY).and_then(|policy| policy.to_str().ok());
    let policy = format!("{};{allowed}", policy.unwrap_or(NOTHING));
    if let Ok(policy) = HeaderValue::from_str(policy.trim_end_matches(';')) {
        response.headers_mut().insert(CONTENT_SECURITY_POLICY, policy);
    }
    response
}

/// A page that may load and run nothing, and stand in no frame; its own style is known by its hash, so that no other style that found
/// its way into a page would be followed.
#[must_use]
pub fn closed(mut response: HttpResponse, page: &[u8]) -> HttpResponse {
    let style =
        style_of(page).map(|style| format!(" style-src 'sha256-{}';", BASE64.encode(&Sha256::digest(style))));
    let policy = format!("{NOTHING};{} base-uri 'none'; form-action 'none'", style.unwrap_or_default());
    if let Ok(policy) = HeaderValue::from_str(&policy) {
        response.headers_mut().insert(CONTENT_SECURITY_POLICY, policy);
    }
    response
}

/// What stands in the style of a page.
fn style_of(page: &[u8]) -> Option<&[u8]> {
    const OPEN: &[u8] = b"<style>";
    const CLOSE: &[u8] = b"</style>";
    let from = page.windows(OPEN.len()).position(|part| part == OPEN)? + OPEN.len();
    let rest = page.get(from..)?;
    rest.get(..rest.windows(CLOSE.len()).position(|part| part == CLOSE)?)
}

/// `/docs/guides/{name}`.
pub async fn guide(request: HttpRequest, name: web::Path<String>) -> HttpResponse {
    match text_of(&name) {
        Some(text) => {
            let title = text.lines().next().unwrap_or_default().trim_start_matches("# ");
            shown(&request, &Tagged::new(HTML, page(title, &from_markdown(text))))
        }
        None => reply::problem(&Refusal::whole("not-found", "there is no guide of this name; see /docs")),
    }
}

fn text_of(name: &str) -> Option<&'static str> {
    GUIDES.iter().find(|(file, _)| file.strip_suffix(".md") == Some(name)).map(|(_, text)| *text)
}

fn from_markdown(text: &str) -> String {
    let mut body = String::new();
    html::push_html(&mut body, Parser::new_ext(text, Options::ENABLE_TABLES));
    body
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_guide_with_a_table_shows_one() {
        let mut tables = 0;
        for (name, text) in GUIDES {
            let written = text.lines().filter(|line| line.starts_with("|---")).count();
            assert_eq!(from_markdown(text).matches("<table>").count(), written, "{name}");
            tables += written;
        }
        assert!(tables > 0);
    }

    #[test]
    fn the_style_of_a_page_is_allowed_by_its_hash_and_nothing_else_is() {
        let policy = |page: &str| {
            let response = closed(HttpResponse::Ok().finish(), page.as_bytes());
            response.headers().get(CONTENT_SECURITY_POLICY).unwrap().to_str().unwrap().to_owned()
        };
        // The digest of nothing is well known.
        assert_eq!(
            policy("<head><style></style><body><style>a{}</style>"),
            "default-src 'none'; frame-ancestors 'none'; style-src 'sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU='; \
             base-uri 'none'; form-action 'none'"
        );
        assert!(!policy("<p>no style").contains("style-src"));
        assert_ne!(policy("<style>a{}</style>"), policy("<style>b{}</style>"));
    }
}
