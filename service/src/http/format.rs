//! Which format is wanted: `?format=` wins over `Accept`.

use crate::question::Refusal;
use actix_web::HttpRequest;
use actix_web::http::header::ACCEPT;
use brimline_openapi::operations::Format;

/// The format that a request wants, of those that are offered, and its query string without `format`.
///
/// # Errors
/// `not-acceptable`, with what there is; `given-twice` where `format` stands twice.
pub fn of_request(request: &HttpRequest, offered: &[Format]) -> Result<(Format, String), Refusal> {
    if let (true, false, Some(first)) =
        (request.query_string().is_empty(), request.headers().contains_key(ACCEPT), offered.first())
    {
        return Ok((*first, String::new()));
    }
    let (word, rest) = word(request.query_string())?;
    let accept: Vec<&str> =
        request.headers().get_all(ACCEPT).filter_map(|value| value.to_str().ok()).collect();
    let accept = (!accept.is_empty()).then(|| accept.join(","));
    Ok((wanted(word, accept.as_deref(), offered)?, rest))
}

/// `format` of a query string, and the query string without it.
fn word(query: &str) -> Result<(Option<&str>, String), Refusal> {
    let mut word = None;
    let mut rest = Vec::new();
    for pair in query.split('&') {
        match pair.strip_prefix("format=") {
            Some(value) if word.is_none() => word = Some(value),
            Some(_) => return Err(Refusal::at("/format", "given-twice", "`format` stands twice")),
            None => rest.push(pair),
        }
    }
    Ok((word, rest.join("&")))
}

/// The format to answer in, of those that are offered.
///
/// # Errors
/// `not-acceptable`, with what there is.
pub fn wanted(word: Option<&str>, accept: Option<&str>, offered: &[Format]) -> Result<Format, Refusal> {
    let found = match word {
        Some(word) => offered.iter().copied().find(|format| format.word() == word),
        None => accepted(accept.unwrap_or("*/*"), offered),
    };
    found.ok_or_else(|| {
        let list: Vec<String> = offered
            .iter()
            .map(|format| format!("{} (?format={})", format.media_type(), format.word()))
            .collect();
        Refusal::whole("not-acceptable", format!("this path answers in {}", list.join(", ")))
    })
}

/// The offered format with the highest quality; the first one offered where several are equal.
fn accepted(accept: &str, offered: &[Format]) -> Option<Format> {
    if accept.trim().is_empty() {
        return offered.first().copied();
    }
    let mut best: Option<(f64, Format)> = None;
    // A browser that opens an address names pictures beside pages: it wants to read the answer.
    let browses = accept.to_ascii_lowercase().contains("text/html");
    for &format in offered.iter().filter(|format| !(browses && **format == Format::Svg)) {
        let quality = quality(accept, format.media_type());
        if quality > 0.0 && best.is_none_or(|(already, _)| quality > already) {
            best = Some((quality, format));
        }
    }
    best.map(|(_, format)| format)
}

/// The quality of a media type: that of the most specific range that holds it.
fn quality(accept: &str, media_type: &str) -> f64 {
    let group = media_type.split('/').next().unwrap_or_default();
    let mut found = (0, 0.0);
    for range in accept.split(',') {
        let mut parts = range.split(';').map(str::trim);
        let name = parts.next().unwrap_or_default().to_ascii_lowercase();
        let weight = parts.find_map(|part| part.strip_prefix("q=").or_else(|| part.strip_prefix("Q=")));
        let weight = weight.map_or(1.0, |text| text.parse::<f64>().unwrap_or(0.0).clamp(0.0, 1.0));
        let specific = if name == media_type {
            3
        } else if name.strip_suffix("/*") == Some(group) {
            2
        } else if name == "*/*" {
            1
        } else {
            0
        };
        if specific > found.0 {
            found = (specific, weight);
        }
    }
    found.1
}

#[cfg(test)]
mod tests {
    use super::*;

    const OFFERED: &[Format] = &[Format::Json, Format::Csv];

    fn asked(accept: &str) -> Option<Format> {
        wanted(None, Some(accept), OFFERED).ok()
    }

    #[test]
    fn the_format_is_taken_out_of_the_query_and_stands_once() {
        assert_eq!(word("a=1&format=csv&b=2").unwrap(), (Some("csv"), "a=1&b=2".to_owned()));
        assert_eq!(word("").unwrap(), (None, String::new()));
        assert_eq!(word("format=csv&format=json").unwrap_err().kind().code, "given-twice");
    }

    #[test]
    fn the_most_specific_range_decides_and_json_comes_first() {
        assert_eq!(asked("*/*"), Some(Format::Json));
        assert_eq!(asked("text/csv"), Some(Format::Csv));
        assert_eq!(asked("text/*"), Some(Format::Csv));
        assert_eq!(asked("application/json;q=0.5, text/csv;q=0.9"), Some(Format::Csv));
        assert_eq!(asked("*/*, application/json;q=0"), Some(Format::Csv));
        assert_eq!(asked("image/svg+xml"), None);
        assert_eq!(asked(""), Some(Format::Json));
        assert_eq!(asked("Text/CSV; header=present; Q=0.3, application/*;q=0.2"), Some(Format::Csv));
        assert_eq!(asked("text/csv;q=nonsense, */*;q=0.1"), Some(Format::Json));
        let browser = "text/html,application/xhtml+xml,image/png,image/svg+xml,*/*;q=0.8";
        let drawn = [Format::Json, Format::Svg];
        assert_eq!(wanted(None, Some(browser), &drawn).ok(), Some(Format::Json));
        assert_eq!(wanted(None, Some("image/svg+xml,image/*,*/*;q=0.8"), &drawn).ok(), Some(Format::Svg));
        assert_eq!(wanted(None, None, OFFERED).ok(), Some(Format::Json));
        assert_eq!(wanted(Some("csv"), Some("application/json"), OFFERED).ok(), Some(Format::Csv));
        assert_eq!(wanted(Some("xyz"), None, OFFERED).unwrap_err().kind().code, "not-acceptable");
    }
}
