//! `/v1/substances`, `/v1/mixtures`, `/v1/rules`, `/v1/changes`, `/v1/units`.

use super::server::State;
use super::{format, questions, read, reply};
use crate::catalogue::view::{self, SubstanceQuery};
use crate::question::reader::{escaped, nearest};
use crate::question::{Refusal, Series, Written, query};
use actix_web::http::header::{HeaderValue, LINK};
use actix_web::{HttpRequest, HttpResponse, web};
use brimline_openapi::catalogue::SubstanceList;
use brimline_openapi::operations::Format;
use serde::Serialize;

/// Substances on a page if nothing is said.
const PAGE: usize = 50;
/// Most substances on a page.
const LARGEST_PAGE: usize = 500;
/// What a list of substances can be asked for.
const FIELDS: [&str; 5] = ["search", "flammable", "limit", "after", "format"];

/// `/v1/substances`.
pub async fn substances(request: HttpRequest, state: web::Data<State>) -> HttpResponse {
    listed(&request, &state.settings.public_path).unwrap_or_else(|refusal| reply::problem(&refusal))
}

fn listed(request: &HttpRequest, public_path: &str) -> Result<HttpResponse, Refusal> {
    let (format, rest) = format::of_request(request, &[Format::Json, Format::Csv])?;
    let list = view::substances(&substance_query(&rest)?)?;
    let mut response = match format {
        Format::Csv => reply::readable(request, "text/csv; charset=utf-8", questions::csv(&table(&list))?),
        _ => json(request, &list),
    };
    let next = list.next.map(|next| next_page(public_path, &rest, &next, format));
    if let Some(link) = next.and_then(|link| HeaderValue::from_str(&link).ok()) {
        response.headers_mut().insert(LINK, link);
    }
    Ok(response)
}

/// The `Link` to the next page: the same list after the cursor `next`.
fn next_page(public_path: &str, query: &str, next: &str, format: Format) -> String {
    let kept = query.split('&').filter(|pair| !pair.is_empty() && !pair.starts_with("after="));
    // Ids hold letters, digits, hyphens and commas; in a `Link` a comma begins the next link.
    let after = format!("after={}", next.replace(',', "%2C"));
    let wanted = format!("format={}", format.word());
    let query: Vec<&str> = kept.chain([after.as_str(), wanted.as_str()]).collect();
    format!("<{public_path}/v1/substances?{}>; rel=\"next\"", query.join("&"))
}

fn substance_query(rest: &str) -> Result<SubstanceQuery, Refusal> {
    let (value, how) = query::read(rest)?;
    if how == Written::Json {
        return Err(unknown("request"));
    }
    let mut asked = SubstanceQuery { limit: PAGE, ..SubstanceQuery::default() };
    let mut faults = Vec::new();
    for (name, value) in value.as_object().into_iter().flatten() {
        // A dotted name makes a group, which no field here is.
        let set = match value.as_str() {
            Some(text) => set_field(&mut asked, name, text),
            None => Err(unknown(name)),
        };
        faults.extend(set.err().into_iter().flat_map(|refusal| refusal.faults));
    }
    if faults.is_empty() { Ok(asked) } else { Err(Refusal { faults }) }
}

fn set_field(asked: &mut SubstanceQuery, name: &str, text: &str) -> Result<(), Refusal> {
    match name {
        "search" => asked.search = Some(text.to_owned()),
        "after" => asked.after = Some(text.to_owned()),
        "flammable" => {
            let wrong = |_| Refusal::at("/flammable", "wrong-type", "`flammable` is true or false");
            asked.flammable = Some(text.parse().map_err(wrong)?);
        }
        "limit" => {
            let wrong = |_| Refusal::at("/limit", "wrong-type", "`limit` is a whole number");
            let limit: usize = text.parse().map_err(wrong)?;
            if !(1..=LARGEST_PAGE).contains(&limit) {
                let detail = format!("`limit` is from 1 to {LARGEST_PAGE}");
                return Err(Refusal::at("/limit", "outside-range", detail));
            }
            asked.limit = limit;
        }
        other => return Err(unknown(other)),
    }
    Ok(())
}

fn unknown(name: &str) -> Refusal {
    let shown: String = name.chars().take(60).collect();
    let pointer = format!("/{}", escaped(name));
    let mut refusal = Refusal::at(&pointer, "unknown-field", format!("`{shown}` is not a field here"));
    if let Some(fault) = refusal.faults.first_mut() {
        fault.suggestion = nearest(name, FIELDS.into_iter()).map(str::to_owned);
    }
    refusal
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
        Err(refusal) => reply::problem_of_path(&refusal),
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

/// `/v1/changes`.
pub async fn changes(request: HttpRequest) -> HttpResponse {
    json_only(&request, view::changes())
}

/// `/v1/units`.
pub async fn units(request: HttpRequest) -> HttpResponse {
    json_only(&request, &view::units())
}

/// JSON, if it is wanted.
fn json_only<T: Serialize>(request: &HttpRequest, value: &T) -> HttpResponse {
    let asked = format::of_request(request, &[Format::Json])
        .and_then(|(_, rest)| read::no_fields(&rest, "this path takes no fields"));
    match asked {
        Ok(()) => json(request, value),
        Err(refusal) => reply::problem(&refusal),
    }
}

fn json<T: Serialize>(request: &HttpRequest, value: &T) -> HttpResponse {
    match serde_json::to_vec(value) {
        Ok(body) => reply::readable(request, "application/json", body),
        Err(error) => reply::problem(&Refusal::whole("busy", error.to_string())),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn faults(query: &str) -> Vec<String> {
        let refusal = substance_query(query).unwrap_err();
        let shown = |fault: &brimline_openapi::problem::Fault| {
            format!("{} {} {}", fault.code, fault.pointer, fault.suggestion.as_deref().unwrap_or("-"))
        };
        refusal.faults.iter().map(shown).collect()
    }

    #[test]
    fn every_fault_of_a_list_query_is_named_with_the_nearest_field() {
        assert_eq!(
            faults("limit=0&flammable=maybe&serch=x"),
            ["wrong-type /flammable -", "outside-range /limit -", "unknown-field /serch search"]
        );
        assert_eq!(faults("limit=ten"), ["wrong-type /limit -"]);
        assert_eq!(faults("search.name=x"), ["unknown-field /search search"]);
        let asked = substance_query("search=ethyl+acetate&limit=500").unwrap();
        assert_eq!((asked.search.as_deref(), asked.limit), (Some("ethyl acetate"), 500));
    }

    #[test]
    fn the_next_page_keeps_the_question_and_the_prefix() {
        let link = next_page("/tools", "limit=2&after=a&search=x", "1,3-dimethylbenzene", Format::Csv);
        let expected =
            "</tools/v1/substances?limit=2&search=x&after=1%2C3-dimethylbenzene&format=csv>; rel=\"next\"";
        assert_eq!(link, expected);
    }
}
