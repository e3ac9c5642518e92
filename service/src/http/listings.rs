//! `/v1/substances`, `/v1/mixtures`, `/v1/rules`, `/v1/units`.

use super::{format, questions, reply};
use crate::catalogue::view::{self, SubstanceQuery};
use crate::question::{Refusal, Series, query};
use actix_web::http::header::{ACCEPT, HeaderValue, LINK};
use actix_web::{HttpRequest, HttpResponse, web};
use brimline_openapi::catalogue::SubstanceList;
use brimline_openapi::operations::Format;
use serde::Serialize;
use serde_json::Value;

/// Substances on a page if nothing is said.
const PAGE: usize = 50;
/// Most substances on a page.
const LARGEST_PAGE: usize = 500;

/// `/v1/substances`.
pub async fn substances(request: HttpRequest) -> HttpResponse {
    match listed(&request) {
        Ok(response) => response,
        Err(refusal) => reply::problem(&refusal),
    }
}

fn listed(request: &HttpRequest) -> Result<HttpResponse, Refusal> {
    let (word, rest) = questions::format_word(request.query_string());
    let accept = request.headers().get(ACCEPT).and_then(|value| value.to_str().ok());
    let format = format::wanted(word.as_deref(), accept, &[Format::Json, Format::Csv])?;
    let asked = substance_query(&rest)?;
    let list = view::substances(&asked)?;
    let next = list.next.as_ref().map(|next| {
        let kept = rest
            .split('&')
            .filter(|pair| !pair.is_empty() && !pair.starts_with("after="))
            .collect::<Vec<_>>()
            .join("&");
        let kept = if kept.is_empty() { kept } else { format!("{kept}&") };
        format!(
            "</v1/substances?{kept}after={}&format={}>; rel=\"next\"",
            next.replace(',', "%2C"),
            format.word()
        )
    });
    let mut response = match format {
        Format::Csv => reply::readable(request, "text/csv; charset=utf-8", questions::csv(&table(&list))?),
        _ => json(request, &list),
    };
    if let Some(link) = next.and_then(|link| HeaderValue::from_str(&link).ok()) {
        response.headers_mut().insert(LINK, link);
    }
    Ok(response)
}

fn substance_query(rest: &str) -> Result<SubstanceQuery, Refusal> {
    let (value, _) = query::read(rest)?;
    let mut asked = SubstanceQuery { limit: PAGE, ..SubstanceQuery::default() };
    let mut faults = Vec::new();
    let mut fault = |name: &str, code, detail: String| {
        faults.extend(
            Refusal::at(&format!("/{}", crate::question::reader::escaped(name)), code, detail).faults,
        );
    };
    for (name, value) in value.as_object().into_iter().flatten() {
        let text = value.as_str().unwrap_or_default();
        match name.as_str() {
            "search" => asked.search = Some(text.to_owned()),
            "after" => asked.after = Some(text.to_owned()),
            "flammable" => match text {
                "true" => asked.flammable = Some(true),
                "false" => asked.flammable = Some(false),
                _ => fault(name, "wrong-type", "`flammable` is true or false".into()),
            },
            "limit" => match text.parse::<usize>() {
                Ok(limit) if (1..=LARGEST_PAGE).contains(&limit) => asked.limit = limit,
                Ok(_) => fault(name, "outside-range", format!("`limit` is from 1 to {LARGEST_PAGE}")),
                Err(_) => fault(name, "wrong-type", "`limit` is a whole number".into()),
            },
            other => {
                let known = ["search", "flammable", "limit", "after", "format"];
                let near = crate::question::reader::nearest(other, known.into_iter());
                let hint = near.map(|near| format!("; nearest: `{near}`")).unwrap_or_default();
                let shown: String = other.chars().take(60).collect();
                fault(name, "unknown-field", format!("`{shown}` is not a field here{hint}"));
            }
        }
    }
    if faults.is_empty() { Ok(asked) } else { Err(Refusal { faults }) }
}

fn table(list: &SubstanceList) -> Series {
    let header =
        ["id", "name", "cas", "formula", "flammable", "flash_point.value [Cel]", "flammable_liquid_category"];
    let row = |item: &brimline_openapi::catalogue::SubstanceEntry| {
        vec![
            item.id.clone(),
            item.name.clone(),
            item.cas.clone(),
            item.formula.clone(),
            item.flammable.map(|flammable| flammable.to_string()).unwrap_or_default(),
            item.flash_point.as_ref().map(|flash| flash.value.to_string()).unwrap_or_default(),
            item.flammable_liquid_category.map(|category| category.to_string()).unwrap_or_default(),
        ]
    };
    Series { header: header.map(str::to_owned).to_vec(), rows: list.items.iter().map(row).collect() }
}

/// `/v1/substances/{name}`.
pub async fn substance(request: HttpRequest, name: web::Path<String>) -> HttpResponse {
    match view::substance(&name) {
        Ok(substance) => json_only(&request, &substance),
        Err(refusal) if refusal.kind().code == "unknown-substance" => {
            reply::problem_with_status(&refusal, 404)
        }
        Err(refusal) => reply::problem(&refusal),
    }
}

/// `/v1/mixtures`.
pub async fn mixtures(request: HttpRequest) -> HttpResponse {
    json_only(&request, &view::mixtures())
}

/// `/v1/rules`.
pub async fn rules(request: HttpRequest) -> HttpResponse {
    json_only(&request, &view::rules())
}

/// `/v1/units`.
pub async fn units(request: HttpRequest) -> HttpResponse {
    json_only(&request, &view::units())
}

/// JSON, if it is wanted.
fn json_only<T: Serialize>(request: &HttpRequest, value: &T) -> HttpResponse {
    let (word, rest) = questions::format_word(request.query_string());
    let accept = request.headers().get(ACCEPT).and_then(|value| value.to_str().ok());
    if let Err(refusal) = format::wanted(word.as_deref(), accept, &[Format::Json]) {
        return reply::problem(&refusal);
    }
    match query::read(&rest) {
        Ok((Value::Object(map), _)) if !map.is_empty() => {
            let name: String =
                map.keys().next().map(|name| name.chars().take(60).collect()).unwrap_or_default();
            reply::problem(&Refusal::at("", "unknown-field", format!("`{name}`: this path takes no fields")))
        }
        Ok(_) => json(request, value),
        Err(refusal) => reply::problem(&refusal),
    }
}

fn json<T: Serialize>(request: &HttpRequest, value: &T) -> HttpResponse {
    match serde_json::to_vec(value) {
        Ok(body) => reply::readable(request, "application/json", body),
        Err(error) => reply::problem(&Refusal::whole("busy", error.to_string())),
    }
}
