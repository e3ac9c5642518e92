//! Flash points, their correction for pressure, categories.

use brimline_tests::{ask, in_catalogue, rows};
use serde_json::json;

/// IEC 60079-20-1 and NFPA 497 rows and the correction of ISO 2719; source in each row.
const PUBLISHED: &str = include_str!("data/published_flash_point.csv");
/// Categories by Regulation (EC) 1272/2008; source in each row.
const STORAGE: &str = include_str!("data/published_vessel_storage.csv");

/// Carried over: the lower of the two standard tables answers, so never above either by more than the printing step
/// (0.5 K, plus tenths), and each lies in the stated range.
#[test]
fn published_flash_points_are_never_exceeded_and_lie_in_the_range() {
    let (mut ran, mut disputed) = (0, 0);
    for row in rows(PUBLISHED).into_iter().filter(|row| row.text("quantity") == "flash point, closed cup") {
        let inputs = row.inputs();
        let cas = inputs["cas"].as_str().unwrap_or_default().to_owned();
        if !in_catalogue(&cas) {
            continue;
        }
        // FP-037: NFPA's -6 Cel of cyclohexene lies 11 K above IEC and T*; the catalogue lists it as wrong and never uses it.
        if row.disputed() || row.text("id") == "FP-037" {
            disputed += 1;
            continue;
        }
        let reply = ask(
            "flash-point-margin",
            &json!({ "liquid": cas, "room_temperature": "20 Cel", "pressure": "101.325 kPa" }),
        )
        .unwrap();
        let figure = &reply["published_flash_point"];
        let (value, high) = (figure["value"].as_f64().unwrap(), figure["high"].as_f64().unwrap());
        let expected = row.number("expected");
        assert!(
            value <= expected + 0.6,
            "{} {}: {value} is above the published {expected}",
            row.text("id"),
            inputs["substance"]
        );
        assert!(
            expected <= high + 0.6,
            "{} {}: {expected} is above the range's {high}",
            row.text("id"),
            inputs["substance"]
        );
        ran += 1;
    }
    println!("flash points (carried over): {ran} rows ran, {disputed} disputed left out");
    assert!(ran >= 25, "{ran}");
}

/// ISO 2719, clause 11.2: 0.25 K/kPa near 101.3 kPa. The service solves p(T) = p(Tf) P/p0 instead, which gives 0.15 to 0.3
/// K/kPa for these liquids (computed by hand from RT²/(H P) with CRC heats of vaporisation): both rise with pressure, and
/// at 95 kPa they differ by less than 0.8 K.
#[test]
fn the_correction_for_pressure_agrees_with_iso_2719_to_its_purpose() {
    for liquid in ["ethanol", "propanone", "octane", "butan-1-ol", "methylbenzene"] {
        let at = |pressure: &str| {
            let reply = ask(
                "flash-point-margin",
                &json!({ "liquid": liquid, "room_temperature": "20 Cel", "pressure": pressure }),
            )
            .unwrap();
            reply["flash_point"]["value"].as_f64().unwrap()
        };
        let step = at("101.325 kPa") - at("95 kPa");
        let iso = 0.25 * (101.3 - 95.0);
        assert!(step > 0.0 && (step - iso).abs() < 0.8, "{liquid}: {step} K against {iso} K");
    }
}

/// At 101.325 kPa the flash point is the published one, whatever the method.
#[test]
fn at_standard_pressure_nothing_is_corrected() {
    for liquid in ["ethanol", "pentane", "limonene", "cyclohexanol", "ethoxyethane"] {
        let reply = ask(
            "flash-point-margin",
            &json!({ "liquid": liquid, "room_temperature": "20 Cel", "pressure": "101.325 kPa" }),
        )
        .unwrap();
        assert_eq!(reply["flash_point"], reply["published_flash_point"], "{liquid}");
    }
}

/// Regulation (EC) 1272/2008, table 2.6.1 (seen): exact.
#[test]
fn categories_follow_the_regulation() {
    let names = [("ethoxyethane", "ethoxyethane"), ("diethyl ether", "ethoxyethane")];
    let mut ran = 0;
    for row in rows(STORAGE).into_iter().filter(|row| row.text("quantity") == "flammable-liquid category") {
        let inputs = row.inputs();
        let name = inputs["substance"].as_str().unwrap_or_default();
        let name = names.iter().find(|(known, _)| *known == name).map_or(name, |(_, id)| *id);
        let Ok(reply) = ask("flash-point-margin", &json!({ "liquid": name, "room_temperature": "20 Cel" }))
        else {
            continue;
        };
        let expected = row.text("expected").parse::<u64>().unwrap();
        assert_eq!(reply["flammable_liquid_category"].as_u64().unwrap_or(0), expected, "{name}");
        ran += 1;
    }
    println!("categories: {ran} rows");
    assert!(ran >= 4, "{ran}");
}
