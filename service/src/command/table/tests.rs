//! What people read of a reply, line by line.

use super::text;
use serde_json::{Value, json};

fn shown(reply: &Value) -> String {
    written(&reply.to_string())
}

/// Of a reply whose fields have an order.
fn written(reply: &str) -> String {
    String::from_utf8(text(reply.as_bytes()).unwrap()).unwrap()
}

/// With one blank where the text has any number of them or breaks a line.
fn flowing(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The row that begins with a heading.
fn row(text: &str, heading: &str) -> String {
    flowing(text.lines().find(|line| line.starts_with(heading)).unwrap_or_default())
}

#[test]
fn the_liquid_with_its_parts_the_outcome_and_whether_all_was_told_come_first() {
    let mut reply = json!({
        "sentence": "Within the limits checked.", "outcome": "near_limit", "complete": true,
        "liquid": { "name": "ethanol", "components": [{ "substance": "ethanol", "mole_fraction": 1.0 }] },
        "flash_point": { "value": 12.0, "unit": "Cel", "low": 9.0, "high": 15.5 },
    });
    let table = shown(&reply);
    assert!(table.starts_with("Within the limits checked.\n\nLiquid "), "{table}");
    assert_eq!(row(&table, "Liquid"), "Liquid ethanol");
    assert_eq!(row(&table, "Outcome"), "Outcome near limit");
    assert_eq!(row(&table, "Complete"), "Complete yes");
    assert_eq!(row(&table, "Flash point"), "Flash point 12 Cel 9 to 15.5 Cel");
    reply["complete"] = json!(false);
    reply["outcome"] = json!("a_word_of_a_newer_service");
    reply["liquid"] = json!({ "name": "spirit", "components": [
        { "substance": "ethanol", "mole_fraction": 0.9 }, { "substance": "water", "mole_fraction": 0.1 },
    ]});
    let table = shown(&reply);
    assert_eq!(
        row(&table, "Liquid"),
        "Liquid spirit: ethanol (mole fraction 0.9), water (mole fraction 0.1)"
    );
    assert_eq!(row(&table, "Outcome"), "Outcome a word of a newer service");
    assert_eq!(row(&table, "Complete"), "Complete no: something could not be told or checked, see below");
}

#[test]
fn limits_and_the_changes_that_would_mend_them_stand_under_their_checks() {
    let check = |name: &str, question: &str, rest: &str| {
        format!(
            r#"{{"check":"{name}","question":"{question}","value":{{"value":3.0,"unit":"m"}},"limit":{{"value":2.0,"unit":"m"}},
            "must_be":"at_most","status":"over_limit","basis":{{"kind":"law","text":"Not nearer.","confirmed":{rest}}}"#
        )
    };
    let remedy =
        r#","remedy":{"change":"amount","field":"/amount","to":"19 mL","text":"Spill at most 19 mL."}"#;
    let checks = [
        check("spill_reach", "spill", &format!("false}}{remedy}")),
        check("room_share", "spill", &format!("true}}{}", remedy.replace("19", "40"))),
        check("floor_layer", "spill", "true}"),
    ];
    let table = written(&format!(r#"{{"outcome":"over_limit","checks":[{}]}}"#, checks.join(",")));
    let (above, below) = table.split_once("- spill reach: Not nearer. (unconfirmed)\n").unwrap();
    assert_eq!(row(above, "spill reach"), "spill reach 3 m 2 m at most over limit");
    assert!(!above.contains("Question"), "all have one question: {above}");
    assert_eq!(
        below.trim_end(),
        "- room share: Not nearer.\n- floor layer: Not nearer.\n\
         - spill reach, to mend it: Spill at most 19 mL.\n- room share, to mend it: Spill at most 40 mL."
    );
    let two = [&checks[2], &check("exposure", "exposure", "true}")].map(String::as_str).join(",");
    assert!(written(&format!(r#"{{"checks":[{two}]}}"#)).contains("Question"));
}

#[test]
fn a_list_of_words_is_a_cell_and_what_an_entry_lacks_is_told_with_its_reason() {
    let table = written(
        r#"{"considered": ["room_share", "spill_reach"], "nothing": [],
        "rows": [
            {"name": "propanone", "hazard_statements": ["H225", "H319"], "margin": {"value": -41.0, "unit": "K", "low": -44.0, "high": -38.0},
             "not_given": [], "empty": [], "notes": [{"id": "skin", "text": "It dries the skin."}],
             "governed_by": {"check": "spill", "sentence": "Near the limit."}},
            {"name": "water", "hazard_statements": [], "not_given": [{"id": "flash_point", "reason": "water does not burn"}]}
        ]}"#,
    );
    assert_eq!(row(&table, "Considered"), "Considered room share, spill reach");
    assert!(!table.contains("Nothing") && !table.contains("Empty"), "{table}");
    assert_eq!(row(&table, "propanone"), "propanone H225, H319 -41 K (-44 to -38 K)");
    assert_eq!(row(&table, "water"), "water");
    for line in [
        "- propanone, notes: It dries the skin.",
        "- propanone, governed by: Near the limit.",
        "- water, not given: flash point: water does not burn",
    ] {
        assert!(table.lines().any(|one| one == line), "{line}: {table}");
    }
}

#[test]
fn what_is_not_given_keeps_its_place() {
    let reply = json!({ "sentence": "Short.", "not_given": [
        { "pointer": "/flash_point", "reason": "water does not burn" },
        { "pointer": "/after_evaporation/4/flash_point", "reason": "what is left does not burn" },
    ], "not_considered": [{ "id": "near_field", "reason": "no `nearest_ignition` is given" }] });
    assert_eq!(
        shown(&reply),
        "Short.\n\nNot given\n- /flash_point: water does not burn\n- /after_evaporation/4/flash_point: what is left does not burn\n\n\
         Not considered\n- near field: no `nearest_ignition` is given\n"
    );
}

/// Each escape, bell, backspace and line break that a name or a newer service may bring.
#[test]
fn nothing_that_a_terminal_would_obey_is_shown() {
    let bad = "a\u{1b}[2Jb\u{7}c\u{8}d\re\u{9b}f\u{7f}g";
    let reply = json!({
        "sentence": bad, "outcome": bad, "liquid": { "name": bad, "components": [{ "substance": bad }, { "substance": bad }] },
        "name": bad, bad: bad, "words": [bad], "group": { bad: 1 }, "rows": [{ "name": bad, "notes": [{ "text": bad }] }],
        "checks": [{ "check": bad, "basis": { "text": bad }, "remedy": { "text": bad } }],
        "cautions": [{ "text": bad }], "not_given": [{ "pointer": bad, "reason": bad }], "sources": [{ "id": bad, "title": "t" }],
        "record": { "service_version": bad, "catalogue_version": bad },
    });
    let table = shown(&reply);
    assert!(table.contains("a[2Jbcdefg"), "{table}");
    let obeyed: Vec<char> = table.chars().filter(|one| one.is_control() && *one != '\n').collect();
    assert!(obeyed.is_empty(), "{obeyed:?}: {table}");
}
