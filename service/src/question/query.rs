//! Reads a question from a query string: dotted names for nested fields, repeated names for lists.

use super::reader::{Faults, escaped};
use super::{Refusal, Written, json};
use serde_json::{Map, Value};
use std::collections::{BTreeMap, BTreeSet};

/// Most names in a query string; a URL of 8,000 octets holds fewer quantities than this.
const MOST_NAMES: usize = 1000;
/// The field that holds the whole request as JSON.
const REQUEST: &str = "request";
/// A list of quantities.
const TEMPERATURES: &str = "temperatures";
/// Liquids that stand beside the one asked about.
const BESIDE: &str = "beside";
/// Salts whose colours are to be seen.
const SALTS: &str = "salts";
/// Peaks of a spectrum.
const PEAKS: &str = "peaks";
/// Liquids that are compared.
const LIQUIDS: &str = "liquids";
/// A part of a mixture: `70 mL ethanol`, or `0.7 ethanol` where there is a basis.
const PART: &str = "liquid.part";
/// What the fractions of a mixture are fractions of.
const BASIS: &str = "liquid.basis";
/// Names that may stand several times: they make a list.
const LISTS: [&str; 6] = [TEMPERATURES, BESIDE, LIQUIDS, SALTS, PEAKS, PART];

/// The request in a query string without `format`, and how its leaves are written.
///
/// Percent-encoding is undone and `+` is a blank. An empty value is an empty text, not an absent field.
///
/// # Errors
/// Faults as in a JSON body: `given-twice` for a name that stands twice and is no list, `not-json` where `request`
/// holds no JSON, `wrong-type` where a name is both a field and a group or the encoding is broken,
/// `nesting-too-deep` for a name of more than 64 parts.
pub fn read(query: &str) -> Result<(Value, Written), Refusal> {
    let pairs = query.split('&').filter(|pair| !pair.is_empty());
    if pairs.clone().count() > MOST_NAMES {
        let detail = format!("a query string holds at most {MOST_NAMES} names");
        return Err(Refusal::whole("outside-range", detail));
    }
    let faults = Faults::default();
    let pairs: Vec<(String, String)> = pairs.filter_map(|pair| decoded(pair, &faults)).collect();
    placed(&pairs, faults)
}

/// The request in names and texts, as [`read`] finds them in a query string.
///
/// # Errors
/// As [`read`].
pub fn of_pairs(pairs: &[(String, String)]) -> Result<(Value, Written), Refusal> {
    placed(pairs, Faults::default())
}

fn placed(pairs: &[(String, String)], faults: Faults) -> Result<(Value, Written), Refusal> {
    let mut times: BTreeMap<&str, usize> = BTreeMap::new();
    for (name, _) in pairs {
        *times.entry(name).or_default() += 1;
    }
    for (name, _) in times.iter().filter(|(name, times)| **times > 1 && !LISTS.contains(name)) {
        faults.add("given-twice", pointer(name), format!("`{}` stands twice", shown(name)), None);
    }
    if let Some((_, request)) = pairs.iter().find(|(name, _)| name == REQUEST) {
        for name in times.keys().filter(|name| **name != REQUEST) {
            faults.add("unknown-field", pointer(name), "beside `request` there is no other field", None);
        }
        return finished(faults, || Ok((json::read(request.as_bytes())?, Written::Json)));
    }
    let has_basis = times.contains_key(BASIS);
    let mut root = Map::new();
    let mut placed = BTreeSet::new();
    for (name, text) in pairs {
        if LISTS.contains(&name.as_str()) {
            listed(&mut root, name, text, has_basis, &faults);
        } else if placed.insert(name) {
            place(&mut root, name, text, &faults);
        }
    }
    finished(faults, || Ok((Value::Object(root), Written::Query)))
}

/// What was read, if there was no fault.
fn finished<T>(faults: Faults, read: impl FnOnce() -> Result<T, Refusal>) -> Result<T, Refusal> {
    if faults.is_empty() { read() } else { Err(Refusal { faults: faults.take() }) }
}

/// A name, cut so that a huge one is not echoed whole.
fn shown(name: &str) -> String {
    name.chars().take(60).collect()
}

/// The JSON pointer of a dotted name.
fn pointer(name: &str) -> String {
    name.split('.').map(|part| format!("/{}", escaped(part))).collect()
}

/// Puts a text at the place that a dotted name means.
fn place(root: &mut Map<String, Value>, name: &str, text: &str, faults: &Faults) {
    let parts: Vec<&str> = name.split('.').collect();
    if parts.len() > json::DEEPEST {
        let detail = format!("`{}` is nested deeper than {} levels", shown(name), json::DEEPEST);
        return faults.add("nesting-too-deep", pointer(name), detail, None);
    }
    if parts.iter().any(|part| part.is_empty()) {
        return faults.add("unknown-field", pointer(name), format!("`{}` is not a field", shown(name)), None);
    }
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
    let detail = format!("`{}` is given as a field and as a group", shown(name));
    faults.add("wrong-type", pointer(name), detail, None);
}

/// Adds a text to the list that a name means.
fn listed(root: &mut Map<String, Value>, name: &str, text: &str, has_basis: bool, faults: &Faults) {
    let pushed = if name == PART {
        match root.entry("liquid").or_insert_with(|| Value::Object(Map::new())) {
            Value::Object(liquid) => push(liquid, "mixture", part(text, has_basis)),
            _ => false,
        }
    } else {
        push(root, name, Value::String(text.to_owned()))
    };
    if !pushed {
        both(name, faults);
    }
}

/// Whether a value could be added to the list `name`: something else may stand there.
fn push(map: &mut Map<String, Value>, name: &str, value: Value) -> bool {
    let Value::Array(list) = map.entry(name).or_insert_with(|| Value::Array(Vec::new())) else {
        return false;
    };
    list.push(value);
    true
}

/// `70 mL ethanol`: the first two words are the quantity, the rest is the substance; with a basis `0.7 ethanol`.
///
/// A text of another form is a substance as a whole, so that the question's reader says what is missing.
fn part(text: &str, has_basis: bool) -> Value {
    let words: Vec<&str> = text.split_whitespace().collect();
    let counted =
        words.first().is_some_and(|word| word.starts_with(|first: char| "+-.0123456789".contains(first)));
    let (field, amount, substance) = match words.as_slice() {
        [fraction, substance @ ..] if has_basis && counted && !substance.is_empty() => {
            ("fraction", (*fraction).to_owned(), substance.join(" "))
        }
        [number, unit, substance @ ..] if !has_basis && counted && !substance.is_empty() => {
            ("quantity", format!("{number} {unit}"), substance.join(" "))
        }
        _ => return Value::Object(Map::from_iter([("substance".to_owned(), Value::from(text))])),
    };
    Value::Object(Map::from_iter([
        ("substance".to_owned(), Value::from(substance)),
        (field.to_owned(), Value::from(amount)),
    ]))
}

/// Name and value of a pair, percent-decoded.
fn decoded(pair: &str, faults: &Faults) -> Option<(String, String)> {
    let (coded_name, coded_value) = pair.split_once('=').unwrap_or((pair, ""));
    let name = plain(coded_name);
    if let (Some(name), Some(value)) = (&name, plain(coded_value)) {
        return Some((name.clone(), value));
    }
    let detail = format!("`{}` is not percent-encoded UTF-8", shown(pair));
    faults.add("wrong-type", name.as_deref().map(pointer).unwrap_or_default(), detail, None);
    None
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
        let faults = read(query).unwrap_err().faults;
        faults.into_iter().map(|fault| format!("{} {}", fault.code, fault.pointer)).collect()
    }

    fn value(query: &str) -> Value {
        let (value, written) = read(query).unwrap();
        assert_eq!(written, Written::Query);
        value
    }

    #[test]
    fn dotted_names_nest_and_lists_repeat() {
        assert_eq!(
            value(
                "liquid=propan-2-ol&room.temperature=21%20Cel&room.volume=180+m3&temperatures=1+K&temperatures=2+K"
            ),
            json!({"liquid": "propan-2-ol", "room": {"temperature": "21 Cel", "volume": "180 m3"}, "temperatures": ["1 K", "2 K"]})
        );
        assert_eq!(value("temperatures=20+Cel"), json!({"temperatures": ["20 Cel"]}));
        assert_eq!(value("name=&flag&%6Ciquid=caf%C3%A9"), json!({"name": "", "flag": "", "liquid": "café"}));
        assert_eq!(value(""), json!({}));
    }

    #[test]
    fn parts_make_a_mixture() {
        let part = |text: &str| value(&format!("liquid.part={text}"))["liquid"]["mixture"][0].clone();
        assert_eq!(
            value("liquid.part=70+mL+ethanol&liquid.part=30+mL+water"),
            json!({"liquid": {"mixture": [{"quantity": "70 mL", "substance": "ethanol"}, {"quantity": "30 mL", "substance": "water"}]}})
        );
        assert_eq!(part("70++mL+ethyl++acetate"), json!({"quantity": "70 mL", "substance": "ethyl acetate"}));
        assert_eq!(part("denatured+alcohol+blue"), json!({"substance": "denatured alcohol blue"}));
        assert_eq!(part("70+mL"), json!({"substance": "70 mL"}));
        assert_eq!(
            value("liquid.part=0.7+ethyl+acetate&liquid.basis=mole"),
            json!({"liquid": {"basis": "mole", "mixture": [{"fraction": "0.7", "substance": "ethyl acetate"}]}})
        );
    }

    #[test]
    fn a_whole_request_can_be_given_as_json() {
        let (value, written) = read("request=%7B%22liquid%22%3A%22ethanol%22%7D").unwrap();
        assert_eq!((value, written), (json!({"liquid": "ethanol"}), Written::Json));
        assert_eq!(codes("request=%7B&x=1"), ["unknown-field /x"]);
        assert_eq!(codes("request=1&request=2&x=1"), ["given-twice /request", "unknown-field /x"]);
        assert_eq!(codes("request=%7B"), ["not-json "]);
        assert_eq!(codes("request=%7B%22a%22%3A1%2C%22a%22%3A1%7D"), ["duplicate-key "]);
    }

    #[test]
    fn every_fault_of_a_query_is_listed_once() {
        assert_eq!(
            codes("liquid=a&liquid=b&liquid=c&room=x&room.volume=1&q=%zz&%ff=1"),
            ["wrong-type ", "given-twice /liquid", "wrong-type /q", "wrong-type /room/volume"]
        );
        assert_eq!(codes("a..b=1"), ["unknown-field /a//b"]);
        assert_eq!(codes("a/b=1&a/b=2&c~=1&c~=2"), ["given-twice /a~1b", "given-twice /c~0"]);
    }

    #[test]
    fn a_list_and_another_field_at_one_place_are_refused() {
        assert_eq!(codes("liquid=ethanol&liquid.part=1+mL+water"), ["wrong-type /liquid/part"]);
        assert_eq!(codes("liquid.mixture=x&liquid.part=1+mL+water"), ["wrong-type /liquid/part"]);
        assert_eq!(codes("temperatures.first=1&temperatures=1+K"), ["wrong-type /temperatures"]);
        assert_eq!(codes("temperatures=1+K&temperatures.first=1"), ["wrong-type /temperatures/first"]);
    }

    #[test]
    fn depth_and_number_of_names_are_bounded() {
        let deep = |levels: usize| vec!["a"; levels].join(".");
        assert!(read(&deep(64)).is_ok());
        assert_eq!(codes(&deep(65)), [format!("nesting-too-deep {}", "/a".repeat(65))]);
        let names = |count: usize| (0..count).map(|at| format!("n{at}=1")).collect::<Vec<_>>().join("&");
        assert!(read(&names(1000)).is_ok());
        assert_eq!(codes(&names(1001)), ["outside-range "]);
    }
}
