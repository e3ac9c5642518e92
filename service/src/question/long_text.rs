//! Texts that are shown but name nothing in the catalogue: a long one is cut, with a mark, before anything is read, so that every reader,
//! the record and its digest see the same text.

use serde_json::{Map, Value};
use std::borrow::Cow;

/// Most characters of such a text, the mark of the cut among them.
pub const LONGEST: usize = 200;
/// The fields that hold one, wherever they stand.
const SHOWN: [&str; 4] = ["name", "material", "kind", "role"];

/// The request with its long texts cut; itself where none is long.
#[must_use]
pub fn request(request: &Value) -> Cow<'_, Value> {
    if any_long(request) { Cow::Owned(shortened(request)) } else { Cow::Borrowed(request) }
}

/// A text as it is shown: what is cut off is marked.
#[must_use]
pub fn cut(text: &str) -> Cow<'_, str> {
    // A character has at least one byte: most texts are not counted.
    if text.len() <= LONGEST || text.chars().count() <= LONGEST {
        return Cow::Borrowed(text);
    }
    let kept: String = text.chars().take(LONGEST - 1).collect();
    // A joiner or space at the end would join or hold off the mark.
    let kept = kept.trim_end_matches(|letter: char| letter == '\u{200d}' || letter.is_whitespace());
    Cow::Owned(format!("{kept}…"))
}

fn is_long(name: &str, value: &Value) -> bool {
    SHOWN.contains(&name) && value.as_str().is_some_and(|text| matches!(cut(text), Cow::Owned(_)))
}

fn any_long(value: &Value) -> bool {
    match value {
        Value::Object(map) => map.iter().any(|(name, value)| is_long(name, value) || any_long(value)),
        Value::Array(all) => all.iter().any(any_long),
        _ => false,
    }
}

fn shortened(value: &Value) -> Value {
    match value {
        Value::Object(map) => {
            let fields = map.iter().map(|(name, value)| {
                let text = value.as_str().filter(|_| SHOWN.contains(&name.as_str()));
                let value = text.map_or_else(|| shortened(value), |text| cut(text).into());
                (name.clone(), value)
            });
            Value::Object(fields.collect::<Map<_, _>>())
        }
        Value::Array(all) => all.iter().map(shortened).collect(),
        other => other.clone(),
    }
}

#[cfg(test)]
mod tests {
    use super::{LONGEST, cut, request};
    use serde_json::json;
    use std::borrow::Cow;

    #[test]
    fn what_is_short_stays_and_what_is_long_is_marked() {
        let exactly = "é".repeat(LONGEST);
        assert_eq!(cut(&exactly), exactly);
        assert_eq!(cut(&"é".repeat(LONGEST + 1)), format!("{}…", "é".repeat(LONGEST - 1)));
        assert_eq!(
            cut(&format!("{}\u{200d}bcd", "a".repeat(LONGEST - 2))),
            format!("{}…", "a".repeat(LONGEST - 2))
        );
    }

    #[test]
    fn only_texts_that_are_shown_are_cut() {
        let long = "x".repeat(300);
        let asked = json!({ "name": long, "liquid": long, "steps": [{ "vessel": { "material": long } }] });
        let made = request(&asked);
        let short = cut(&long);
        assert_eq!(
            *made,
            json!({ "name": short, "liquid": long, "steps": [{ "vessel": { "material": short } }] })
        );
        assert!(matches!(request(&json!({ "liquid": long, "name": "a" })), Cow::Borrowed(_)));
    }
}
