//! Changes of a request that is right: one place after another.

use brimline_service::catalogue::catalogue;
use brimline_service::quantity::unit::UNITS;
use serde_json::{Map, Value, json};
use std::sync::LazyLock;

/// What is done, where, and with what; numbers are taken modulo what there is to choose from.
pub type Change = (u8, u32, u32);

const NUMBERS: &[&str] = &[
    "0", "-0", "1e-300", "1e-12", "1e300", "1e9", "-1", "-273.15", "0.001", "1000", "99.999", "5e-324",
    "1.7e308", "40", "75",
];
const FACTORS: &[f64] = &[0.5, 2.0, 10.0, 0.1, 1000.0, 1.01, -1.0];

fn odd(pick: usize) -> Value {
    let all = [
        Value::Null,
        json!(true),
        json!(-1),
        json!(0),
        json!(1e308),
        json!(5e-324),
        json!(u64::MAX),
        json!(""),
        json!("NaN mL"),
        json!("1e999 Cel"),
        json!("0 mL"),
        json!("-5 mL"),
        json!("20 C"),
        json!("5 ML"),
        json!("0,5 L"),
        json!("20"),
        json!("\u{202e}20 Cel\u{0}"),
        json!("\u{1f525}".repeat(300)),
        json!("x".repeat(20_000)),
        json!([]),
        json!({}),
        json!({ "value": 20, "unit": "Cel" }),
        json!({ "value": 1e300, "unit": "m3" }),
        json!({ "mixture": [] }),
        (0..70).fold(json!(1), |inner, _| json!([inner])),
        json!("none in the room"),
        json!("full"),
        json!("figures"),
    ];
    all[pick % all.len()].clone()
}

fn liquid(pick: usize) -> Value {
    static NAMES: LazyLock<Vec<String>> = LazyLock::new(|| {
        let substances = &catalogue().unwrap().substances;
        substances.iter().map(|one| one.id.clone()).collect()
    });
    let (one, other) = (&NAMES[pick % NAMES.len()], &NAMES[pick / 7 % NAMES.len()]);
    match pick % 3 {
        0 => {
            json!({ "mixture": [{ "substance": one, "quantity": "30 mL" }, { "substance": other, "quantity": "7 g" }] })
        }
        1 => {
            json!({ "mixture": [{ "substance": one, "fraction": 0.25 }, { "substance": other, "fraction": 0.75 }], "basis": "mole" })
        }
        _ => json!(one),
    }
}

/// Number and unit of a quantity in text form.
fn parts(text: &str) -> Option<(f64, &str)> {
    let (number, unit) = text.split_once(' ')?;
    Some((number.parse().ok()?, unit))
}

fn changed(old: &Value, kind: u8, pick: usize, seeds: &[Value]) -> Value {
    let quantity = old.as_str().and_then(parts);
    match (kind, quantity) {
        (0, Some((_, unit))) => json!(format!("{} {unit}", NUMBERS[pick % NUMBERS.len()])),
        (1, Some((number, _))) => json!(format!("{number} {}", UNITS[pick % UNITS.len()].code)),
        (2 | 3, Some((number, unit))) => json!(format!("{} {unit}", number * FACTORS[pick % FACTORS.len()])),
        (4, Some((number, unit))) => json!({ "value": number, "unit": unit }),
        (0..=4, _) => old.clone(),
        // Where a liquid may stand.
        (5, None) if old.is_string() || old.get("mixture").is_some() => liquid(pick),
        (5, _) => old.clone(),
        (6, _) => {
            let places = all(&seeds[pick % seeds.len()]);
            places[pick / 3 % places.len()].clone()
        }
        (7, _) => Value::Array(vec![old.clone(); pick % 25]),
        _ => odd(pick),
    }
}

/// Every value of a value, itself first.
fn all(value: &Value) -> Vec<&Value> {
    let mut found = vec![value];
    match value {
        Value::Array(items) => items.iter().for_each(|item| found.extend(all(item))),
        Value::Object(entries) => entries.values().for_each(|entry| found.extend(all(entry))),
        _ => {}
    }
    found
}

fn count(value: &Value) -> usize {
    all(value).len()
}

/// The value at a place, counted as in `all`.
fn at(value: &mut Value, place: usize) -> Option<&mut Value> {
    if place == 0 {
        return Some(value);
    }
    let mut left = place - 1;
    let inner: Vec<&mut Value> = match value {
        Value::Array(items) => items.iter_mut().collect(),
        Value::Object(entries) => entries.iter_mut().map(|(_, entry)| entry).collect(),
        _ => return None,
    };
    for item in inner {
        let within = count(item);
        if left < within {
            return at(item, left);
        }
        left -= within;
    }
    None
}

/// A request with changes.
pub fn mutated(seed: &Value, changes: &[Change], seeds: &[Value]) -> Value {
    let mut value = seed.clone();
    for (kind, place, pick) in changes {
        let places = count(&value);
        if places > 3000 {
            break;
        }
        let Some(target) = at(&mut value, *place as usize % places) else { continue };
        let pick = *pick as usize;
        match (kind % 11, target) {
            (8, Value::Object(entries)) => remove(entries, pick),
            (8, Value::Array(items)) if !items.is_empty() => drop(items.remove(pick % items.len())),
            (9, Value::Object(entries)) => added(entries, pick, seeds),
            (kind, target) => *target = changed(target, kind, pick, seeds),
        }
    }
    value
}

fn remove(entries: &mut Map<String, Value>, pick: usize) {
    let name = entries.keys().nth(pick % entries.len().max(1)).cloned();
    name.and_then(|name| entries.remove(&name));
}

/// A field that some other question has.
fn added(entries: &mut Map<String, Value>, pick: usize, seeds: &[Value]) {
    let objects: Vec<&Map<String, Value>> =
        all(&seeds[pick % seeds.len()]).into_iter().filter_map(Value::as_object).collect();
    let from = objects[pick / 5 % objects.len()];
    if let Some((name, value)) = from.iter().nth(pick / 11 % from.len().max(1)) {
        entries.insert(name.clone(), value.clone());
    }
}

/// Puts a field that no question has into one of the objects.
pub fn with_unknown(value: &mut Value, pick: u32) {
    let objects = all(value).iter().filter(|one| one.is_object()).count();
    if objects == 0 {
        return;
    }
    let wanted = pick as usize % objects;
    let places: Vec<usize> =
        all(value).iter().enumerate().filter(|(_, one)| one.is_object()).map(|(at, _)| at).collect();
    if let Some(Value::Object(entries)) = at(value, places[wanted]) {
        entries.insert("field_that_nobody_knows".to_owned(), json!("1 m"));
    }
}
