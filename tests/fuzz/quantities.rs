//! Texts that may be quantities: read as what they say, or refused.

use crate::run::{Seen, run};
use brimline_service::quantity::parse::{Bounds, Fault, Field, read, read_text};
use brimline_service::quantity::unit::{Dimension, TRAPS, UNITS, Unit};
use proptest::prelude::*;
use serde_json::json;

const CODES: [&str; 7] = [
    "bare-number",
    "wrong-type",
    "unknown-unit",
    "ambiguous-unit",
    "unit-mismatch",
    "impossible-value",
    "implausible-value",
];

fn field(unit: &'static Unit) -> Field {
    let [low, high] = match unit.dimension {
        Dimension::Temperature => [-273.15, 1e4],
        _ => [0.0, 1e9],
    };
    Field {
        dimension: unit.dimension,
        unit: unit.code,
        examples: ["20 Cel", "5 mL"],
        possible: Bounds::above(low, high),
        plausible: Bounds::from_to(if low < 0.0 { -200.0 } else { 1e-20 }, high / 10.0),
        because: "this is a test",
    }
}

/// Texts with the place of the field's unit before them: all kinds of numbers with all kinds of units.
fn inputs() -> impl Strategy<Value = Vec<u8>> {
    let number = prop_oneof![
        any::<f64>().prop_map(|number| number.to_string()),
        any::<f64>().prop_map(|number| format!("{number:e}")),
        (0_u32..100_000).prop_map(|number| number.to_string()),
        (-500.0..2000.0_f64).prop_map(|number| format!("{number:.3}")),
        "[+-]?[0-9]{0,4}[.,]?[0-9]{0,4}([eE][+-]?[0-9]{0,4})?",
        prop::sample::select(vec![
            "NaN",
            "inf",
            "-Infinity",
            "∞",
            "1e999",
            "1_000",
            "0x10",
            "1'000",
            "٣",
            "½",
            "1/2",
            "2 3"
        ])
        .prop_map(str::to_owned),
    ];
    let space = prop::sample::select(vec![" ", "", "  ", "\u{a0}", "\u{2009}", "\t", "\u{200b}"]);
    let known: Vec<String> = UNITS
        .iter()
        .flat_map(|unit| unit.spellings.iter().chain([&unit.code]))
        .map(|text| (*text).to_owned())
        .collect();
    let traps: Vec<String> = TRAPS.iter().map(|(trap, ..)| (*trap).to_owned()).collect();
    let unit = prop_oneof![
        6 => prop::sample::select(known.clone()),
        1 => prop::sample::select(traps),
        2 => (prop::sample::select(known), any::<prop::sample::Index>(), any::<char>()).prop_map(|(unit, at, new)| {
            let mut letters: Vec<char> = unit.chars().collect();
            *at.get_mut(letters.as_mut_slice()) = new;
            letters.into_iter().collect()
        }),
        1 => ".{0,12}",
    ];
    let own = (0..UNITS.len(), any::<prop::sample::Index>()).prop_map(|(place, which)| {
        let same: Vec<&str> = UNITS
            .iter()
            .filter(|unit| unit.dimension == UNITS[place].dimension)
            .flat_map(|unit| unit.spellings.iter().chain([&unit.code]).copied())
            .collect();
        (place, (*which.get(&same)).to_owned())
    });
    let unit = prop_oneof![3 => own, 2 => (0..UNITS.len(), unit)];
    let end = prop::sample::select(vec!["", "", "", " ", ".", ",", " 5"]);
    prop_oneof![
        8 => (number, space, unit, end)
            .prop_map(|(number, space, (place, unit), end)| format!("{place}\n{number}{space}{unit}{end}")),
        1 => (0..UNITS.len(), ".{0,120}").prop_map(|(place, text)| format!("{place}\n{text}")),
    ]
    .prop_map(String::into_bytes)
}

fn check(input: &[u8]) -> Result<Seen, String> {
    let text = String::from_utf8_lossy(input);
    let (place, text) = text.split_once('\n').ok_or("no first line")?;
    let own = &UNITS[place.parse::<usize>().map_err(|error| error.to_string())? % UNITS.len()];
    let field = field(own);
    let number = match read_text(text, &field) {
        Ok(number) => number,
        Err(fault) => return refused(&fault, &field).map(|()| Seen::Refused),
    };
    if !(number.is_finite() && field.possible.hold(number) && field.plausible.hold(number)) {
        return Err(format!("`{text}` is read as {number} {}", own.code));
    }
    // What it was read as is read as the same.
    let again = read_text(&format!("{number:e} {}", own.code), &field);
    if again != Ok(number) {
        return Err(format!("`{text}` is {number} {}, and then {again:?}", own.code));
    }
    told(text, number, own)?;
    Ok(Seen::Answered)
}

/// The text taken apart by other means: number, blank and one of the spellings, and nothing else.
fn told(text: &str, number: f64, own: &Unit) -> Result<(), String> {
    let plain: String = text
        .chars()
        .map(|one| if one.is_whitespace() { ' ' } else { one })
        .collect::<String>()
        .replace('\u{2212}', "-");
    let plain = plain.trim();
    let spelt = UNITS.iter().filter(|unit| unit.dimension == own.dimension).flat_map(|unit| {
        unit.spellings.iter().chain([&unit.code]).filter_map(move |spelling| {
            let number = plain.strip_suffix(spelling)?.trim_end().parse::<f64>().ok()?;
            Some((number, unit))
        })
    });
    // `11/min` ends with two spellings.
    let meant = spelt.into_iter().find(|(said, unit)| {
        let base = said * unit.times / unit.over + unit.plus;
        let expected = (base - own.plus) * own.over / own.times;
        // Twelve digits are kept; near 0 Cel the subtraction leaves fewer.
        (expected - number).abs()
            <= 1e-11 * expected.abs() + 1e-9 * (own.plus - unit.plus).abs() + 1e-12 * own.plus.abs()
    });
    let Some((said, unit)) = meant else {
        return Err(format!("`{text}` is read as {number} {}, which it does not say", own.code));
    };
    let object = read(
        &json!({ "value": said, "unit": unit.code }),
        &field(UNITS.iter().find(|one| one.code == own.code && one.dimension == own.dimension).unwrap()),
    );
    if object != Ok(number) {
        return Err(format!("`{text}` is {number}, as an object {object:?}"));
    }
    Ok(())
}

fn refused(fault: &Fault, field: &Field) -> Result<(), String> {
    if !CODES.contains(&fault.code) || fault.detail.is_empty() || fault.detail.chars().count() > 500 {
        return Err(format!("a fault that says nothing, or too much: {fault:?}"));
    }
    // What is proposed is a quantity of this kind, though its size may be wrong too.
    match fault.suggestion.as_ref().map(|text| read_text(text, field)) {
        Some(Err(other)) if !other.code.ends_with("-value") => {
            Err(format!("{fault:?} proposes what is refused as {}", other.code))
        }
        _ => Ok(()),
    }
}

#[test]
fn a_text_is_read_as_what_it_says_or_refused() {
    run("quantities", inputs(), check);
}
