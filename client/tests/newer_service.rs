//! A newer service may add fields and words: its replies are still read.

use brimline_client::{
    Burning, Comparison, Cooling, Evaporation, Exposure, FlashPointMargin, Practical, Question, Recheck,
    RoomFlammableLimit, SafeFill, Spill, Storage, VapourPressure,
};
use serde_json::{Value, json};
use std::path::Path;

/// Fields of replies whose words are a closed list today.
const WORDS: &[&str] =
    &["outcome", "status", "evidence", "seen", "must_be", "headspace", "condition", "regime"];

/// The same with a field more in every object, and with new words; how many were put in. What is echoed stays as it is.
fn newer(value: &mut Value, words: &mut usize) {
    match value {
        Value::Array(items) => items.iter_mut().for_each(|item| newer(item, words)),
        Value::Object(fields) => {
            for (name, value) in fields.iter_mut() {
                if WORDS.contains(&name.as_str()) && value.is_string() {
                    *value = json!("of_a_newer_service");
                    *words += 1;
                } else if name != "record" {
                    newer(value, words);
                }
            }
            fields.insert("of_a_newer_service".to_owned(), json!({"value": 1}));
        }
        _ => {}
    }
}

fn read<Q: Question>(words: &mut usize) -> usize {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../openapi/examples").join(Q::NAME);
    let mut replies = 0;
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if !path.to_str().unwrap().ends_with(".reply.json") {
            continue;
        }
        let mut reply: Value = serde_json::from_slice(&std::fs::read(&path).unwrap()).unwrap();
        newer(&mut reply, words);
        let text = reply.to_string();
        if let Err(why) = serde_json::from_str::<Q::Answer>(&text) {
            panic!("{}: {why}", path.display());
        }
        replies += 1;
    }
    replies
}

#[test]
fn unknown_fields_and_words_are_read() {
    let mut words = 0;
    let replies = [
        read::<VapourPressure>(&mut words),
        read::<FlashPointMargin>(&mut words),
        read::<RoomFlammableLimit>(&mut words),
        read::<SafeFill>(&mut words),
        read::<Evaporation>(&mut words),
        read::<Exposure>(&mut words),
        read::<Spill>(&mut words),
        read::<Burning>(&mut words),
        read::<Cooling>(&mut words),
        read::<Storage>(&mut words),
        read::<Comparison>(&mut words),
        read::<Practical>(&mut words),
        read::<Recheck>(&mut words),
    ];
    assert!(replies.iter().all(|count| *count > 0), "{replies:?}");
    assert!(words > 100, "{words}");
}
