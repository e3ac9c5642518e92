//! What holds of every reply and of every refusal.

use brimline_openapi::problem::{PROBLEMS, Problem};
use serde_json::Value;

/// The statuses from best to worst, as the outcome of a reply takes the worst.
const STATUSES: [&str; 5] = ["no_limit_checked", "within_limit", "near_limit", "not_assessed", "over_limit"];

/// Checks a reply.
pub fn answered(json: &[u8]) -> Result<(), String> {
    let reply: Value = serde_json::from_slice(json).map_err(|error| format!("no JSON: {error}"))?;
    whole(&reply)?;
    let outcome = reply["outcome"].as_str().unwrap_or_default();
    let place = |word: &str| STATUSES.iter().position(|status| *status == word);
    let Some(outcome) = place(outcome) else { return Err(format!("the outcome is `{outcome}`")) };
    let sentence = reply["sentence"].as_str().unwrap_or_default();
    let length = sentence.chars().count();
    if !(1..=200).contains(&length) {
        return Err(format!("the sentence has {length} characters: {sentence}"));
    }
    for word in sentence.split(|one: char| !one.is_alphabetic()) {
        if ["safe", "NaN", "inf"].contains(&word) {
            return Err(format!("the sentence says `{word}`: {sentence}"));
        }
    }
    // That of a recheck holds another reply against today's and has no checks of its own.
    if reply["same"].is_string() {
        return Ok(());
    }
    if !reply["complete"].is_boolean() {
        return Err("it does not say whether it is complete".to_owned());
    }
    let checks = reply["checks"].as_array().ok_or("it has no checks")?;
    let mut worst = 0;
    for check in checks {
        let status = check["status"].as_str().unwrap_or_default();
        let Some(of_check) = place(status) else { return Err(format!("a status is `{status}`")) };
        worst = worst.max(of_check);
        let Some(ratio) = check["ratio"].as_f64() else { continue };
        let fits = match status {
            "within_limit" => ratio <= 0.8,
            "near_limit" => ratio > 0.8 && ratio <= 1.0,
            "over_limit" => ratio > 1.0,
            _ => false,
        };
        if !fits {
            return Err(format!("a ratio of {ratio} is {status}: {check}"));
        }
    }
    // The outcome of a comparison is that of the liquid which is least hazardous.
    if worst != outcome && reply.get("order").is_none() {
        return Err(format!("the outcome is {}, the worst check {}", STATUSES[outcome], STATUSES[worst]));
    }
    Ok(())
}

/// No null anywhere, and the ends of each range in their order.
fn whole(value: &Value) -> Result<(), String> {
    match value {
        Value::Null => Err("a null".to_owned()),
        Value::Array(items) => items.iter().try_for_each(whole),
        Value::Object(entries) => {
            if let (Some(value), Some(low), Some(high)) =
                (entries.get("value"), entries.get("low"), entries.get("high"))
                && !(low.as_f64() <= value.as_f64() && value.as_f64() <= high.as_f64())
            {
                return Err(format!("a value outside its range: {entries:?}"));
            }
            entries.values().try_for_each(whole)
        }
        _ => Ok(()),
    }
}

/// Checks a problem document.
pub fn refused(problem: &Problem) -> Result<(), String> {
    let known = |code: &str| PROBLEMS.iter().find(|row| row.code == code);
    let Some(row) = known(&problem.code) else { return Err(format!("the code `{}`", problem.code)) };
    // A name in a path that is not known is not there.
    let not_there = problem.status == 404 && row.code == "unknown-substance";
    if row.status != problem.status && !not_there || !matches!(row.status, 400..=431) {
        return Err(format!("status {} with {}", problem.status, problem.code));
    }
    if problem.errors.is_empty() {
        return Err("a refusal without a fault".to_owned());
    }
    for fault in &problem.errors {
        if known(&fault.code).is_none() || fault.detail.is_empty() || fault.detail.chars().count() > 2000 {
            return Err(format!("a fault that says nothing, or too much: {fault:?}"));
        }
        if !fault.pointer.is_empty() && !fault.pointer.starts_with('/') {
            return Err(format!("`{}` is no pointer", fault.pointer));
        }
    }
    Ok(())
}
