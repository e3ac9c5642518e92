//! Reads a question from a query string: dotted names for nested fields, repeated names for lists.

use super::reader::{Faults, escaped};
use super::{Refusal, Written, json};
use serde_json::{Map, Value};

/// Most names in a query string.
const MOST_NAMES: usize = 1200;
/// Most parts of a dotted name.
const DEEPEST: usize = 8;
/// Names that may stand several times: they make a list.
const LISTS: [&str; 2] = ["temperatures", "liquid.part"];

/// The request in a query string without `format`, and how its leaves are written.
///
/// # Errors
/// Faults as in a JSON body: `given-twice` for a name that stands twice and is no list, `not-json` where `request`
/// holds no JSON, `wrong-type` where a name is both a field and a group or the encoding is broken.
pub fn read(query: &str) -> Result<(Value, Written), Refusal> {
    let faults = Faults::default();
    let pairs: Vec<(String, String)> =
        query.split('&').filter(|pair| !pair.is_empty()).filter_map(|pair| decoded(pair, &faults)).collect();
    if pairs.len() > MOST_NAMES {
        return Err(Refusal::whole(
            "outside-range",
            format!("a query string holds at most {MOST_NAMES} names"),
        ));
    }
    if let Some((_, request)) = pairs.iter().find(|(name, _)| name == "request") {
        for (name, _) in pairs.iter().filter(|(name, _)| name != "request") {
            faults.add("unknown-field", pointer(name), "beside `request` there is no other field", None);
        }
        if pairs.iter().filter(|(name, _)| name == "request").count() > 1 {
            faults.add("given-twice", "/request".into(), "`request` stands twice", None);
        }
        return if faults.is_empty() {
            Ok((json::read(request.as_bytes())?, Written::Json))
        } else {
            Err(Refusal { faults: faults.take() })
        };
    }
    let mut root = Map::new();
    for (at, (name, text)) in pairs.iter().enumerate() {
        let earlier = pairs.iter().take(at).any(|(known, _)| known == name);
        if earlier && !LISTS.contains(&name.as_str()) {
            faults.add("given-twice", pointer(name), format!("`{}` stands twice", shown(name)), None);
            continue;
        }
        match name.as_str() {
            "temperatures" => push(&mut root, "temperatures", Value::String(text.clone())),
            "liquid.part" => mixture_part(&mut root, text, &faults),
            "liquid.basis" => place(&mut root, &["liquid", "basis"], text, name, &faults),
            _ => {
                let parts: Vec<&str> = name.split('.').collect();
                if parts.len() > DEEPEST || parts.iter().any(|part| part.is_empty()) {
                    faults.add(
                        "unknown-field",
                        pointer(name),
                        format!("`{}` is not a field", shown(name)),
                        None,
                    );
                } else {
                    place(&mut root, &parts, text, name, &faults);
                }
            }
        }
    }
    if faults.is_empty() {
        Ok((Value::Object(root), Written::Query))
    } else {
        Err(Refusal { faults: faults.take() })
    }
}

fn shown(name: &str) -> String {
    name.chars().take(60).collect()
}

/// The JSON pointer of a dotted name.
fn pointer(name: &str) -> String {
    name.split('.').map(|part| format!("/{}", escaped(part))).collect()
}

fn push(map: &mut Map<String, Value>, name: &str, value: Value) {
    if let Value::Array(list) = map.entry(name).or_insert_with(|| Value::Array(Vec::new())) {
        list.push(value);
    }
}

/// Puts a text at a nested place.
fn place(root: &mut Map<String, Value>, parts: &[&str], text: &str, name: &str, faults: &Faults) {
    let Some((last, groups)) = parts.split_last() else { return };
    let mut map = root;
    for group in groups {
        match map.entry(*group).or_insert_with(|| Value::Object(Map::new())) {
            Value::Object(inner) => map = inner,
            _ => return both(name, faults),
        }
    }
    if map.contains_key(*last) {
        return both(name, faults);
    }
    map.insert((*last).to_owned(), Value::String(text.to_owned()));
}

fn both(name: &str, faults: &Faults) {
    faults.add(
        "wrong-type",
        pointer(name),
        format!("`{}` is given as a field and as a group", shown(name)),
        None,
    );
}

/// `70 mL ethanol`: the first two words are the quantity, the rest is the substance.
fn mixture_part(root: &mut Map<String, Value>, text: &str, faults: &Faults) {
    let mut part = Map::new();
    let mut words = text.trim().splitn(3, ' ');
    match (words.next(), words.next(), words.next()) {
        (Some(number), Some(unit), Some(substance)) => {
            part.insert("quantity".into(), Value::String(format!("{number} {unit}")));
            part.insert("substance".into(), Value::String(substance.trim().to_owned()));
        }
        _ => {
            part.insert("substance".into(), Value::String(text.to_owned()));
        }
    }
    match root.entry("liquid").or_insert_with(|| Value::Object(Map::new())) {
        Value::Object(liquid) => push(liquid, "mixture", Value::Object(part)),
        _ => both("liquid.part", faults),
    }
}

/// Name and value of a pair, percent-decoded.
fn decoded(pair: &str, faults: &Faults) -> Option<(String, String)> {
    let (name, value) = pair.split_once('=').unwrap_or((pair, ""));
    let (Some(name), Some(value)) = (plain(name), plain(value)) else {
        let detail = format!("`{}` is not percent-encoded UTF-8", shown(pair));
        faults.add("wrong-type", String::new(), detail, None);
        return None;
    };
    Some((name, value))
}

/// Percent-decoded text; `+` is a blank.
fn plain(text: &str) -> Option<String> {
    let mut bytes = Vec::with_capacity(text.len());
    let mut rest = text.bytes();
    while let Some(byte) = rest.next() {
        bytes.push(match byte {
            b'+' => b' ',
            b'%' => {
                let digit = |byte: Option<u8>| char::from(byte?).to_digit(16);
                let (high, low) = (digit(rest.next())?, digit(rest.next())?);
                u8::try_from(high * 16 + low).ok()?
            }
            other => other,
        });
    }
    String::from_utf8(bytes).ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn codes(query: &str) -> Vec<String> {
        read(query)
            .unwrap_err()
            .faults
            .into_iter()
            .map(|fault| format!("{} {}", fault.code, fault.pointer))
            .collect()
    }

    #[test]
    fn dotted_names_nest_and_lists_repeat() {
        let (value, written) = read("liquid=propan-2-ol&room.temperature=21%20Cel&room.volume=180+m3&temperatures=1+K&temperatures=2+K").unwrap();
        assert_eq!(written, Written::Query);
        assert_eq!(
            value,
            json!({"liquid": "propan-2-ol", "room": {"temperature": "21 Cel", "volume": "180 m3"}, "temperatures": ["1 K", "2 K"]})
        );
        let (value, _) = read("liquid.part=70+mL+ethanol&liquid.part=30+mL+water").unwrap();
        assert_eq!(
            value,
            json!({"liquid": {"mixture": [{"quantity": "70 mL", "substance": "ethanol"}, {"quantity": "30 mL", "substance": "water"}]}})
        );
    }

    #[test]
    fn a_whole_request_can_be_given_as_json() {
        let (value, written) = read("request=%7B%22liquid%22%3A%22ethanol%22%7D").unwrap();
        assert_eq!((value, written), (json!({"liquid": "ethanol"}), Written::Json));
        assert_eq!(codes("request=%7B&x=1"), ["unknown-field /x"]);
        assert_eq!(codes("request=%7B"), ["not-json "]);
    }

    #[test]
    fn every_fault_of_a_query_is_listed() {
        assert_eq!(
            codes("liquid=a&liquid=b&room=x&room.volume=1&q=%zz"),
            ["wrong-type ", "given-twice /liquid", "wrong-type /room/volume"]
        );
        assert_eq!(codes("a..b=1"), ["unknown-field /a//b"]);
    }
}
