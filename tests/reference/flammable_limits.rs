//! Flammable limits, their mass form, vapour volumes.

use brimline_tests::{ask, in_catalogue, rows};
use serde_json::{Value, json};

/// IEC and NFPA limits, g/m3 forms, vapour volumes; source in each row.
const PUBLISHED: &str = include_str!("data/published_flammability_limits.csv");

fn room(liquid: &str, celsius: f64) -> Value {
    let room =
        json!({ "volume": "100 m3", "temperature": format!("{celsius} Cel"), "pressure": "101.325 kPa" });
    ask("room-flammable-limit", &json!({ "liquid": liquid, "room": room }))
        .unwrap_or_else(|problem| panic!("{liquid}: {problem}"))
}

/// Carried over: the lower of the two standard tables answers, so never above either (half the printing step allowed),
/// and each lies in the stated range.
#[test]
fn published_lower_limits_are_never_exceeded_and_lie_in_the_range() {
    let (mut ran, mut disputed) = (0, 0);
    for row in
        rows(PUBLISHED).into_iter().filter(|row| row.text("quantity") == "lower flammable limit in air")
    {
        let inputs = row.inputs();
        let cas = inputs["cas"].as_str().unwrap_or_default().to_owned();
        if !in_catalogue(&cas) {
            continue;
        }
        if row.disputed() {
            disputed += 1;
            continue;
        }
        let reply = room(&cas, 20.0);
        let figure = &reply["lower_flammable_limit"];
        let (value, high) = (figure["value"].as_f64().unwrap(), figure["high"].as_f64().unwrap());
        let expected = row.number("expected");
        assert!(
            value <= expected + 0.05,
            "{} {}: {value} is above {expected}",
            row.text("id"),
            inputs["substance"]
        );
        assert!(
            expected <= high + 0.05,
            "{} {}: {expected} is above the range's {high}",
            row.text("id"),
            inputs["substance"]
        );
        ran += 1;
    }
    println!("lower limits (carried over): {ran} rows ran, {disputed} disputed left out");
    assert!(ran >= 30, "{ran}");
}

/// Carried over: an upper limit is the higher of the two tables.
#[test]
fn the_upper_limit_is_the_higher_of_the_tables() {
    let mut ran = 0;
    for row in rows(PUBLISHED)
        .into_iter()
        .filter(|row| row.text("quantity") == "upper flammable limit in air" && !row.disputed())
    {
        let cas = row.inputs()["cas"].as_str().unwrap_or_default().to_owned();
        if !in_catalogue(&cas) {
            continue;
        }
        let reply =
            ask("flash-point-margin", &json!({ "liquid": cas, "room_temperature": "20 Cel" })).unwrap();
        let value = reply["headspace"]["upper_flammable_limit"]["value"].as_f64().unwrap();
        assert!(value >= row.number("expected") - 0.1, "{}: {value}", row.text("id"));
        ran += 1;
    }
    assert!(ran >= 15, "{ran}");
}

/// The g/m3 column printed in IEC 60079-20-1, Annex B, and ideal-gas conversions: each row's own tolerance, divided into
/// the value per per cent, since the service may have chosen the lower limit of the other table.
#[test]
fn limits_as_mass_agree_with_the_printed_column() {
    let names = [
        ("toluene", "methylbenzene"),
        ("acetone", "propanone"),
        ("ethyl acetate", "ethyl ethanoate"),
        ("butan-2-one", "butanone"),
        ("diethyl ether", "ethoxyethane"),
        ("tetrahydrofuran", "oxolane"),
        ("acetic acid", "ethanoic acid"),
    ];
    let mut ran = 0;
    for row in rows(PUBLISHED).into_iter().filter(|row| row.text("unit") == "g/m3" && !row.disputed()) {
        let inputs = row.inputs();
        let name = inputs["substance"].as_str().unwrap_or_default();
        let name = names.iter().find(|(known, _)| *known == name).map_or(name, |(_, id)| *id);
        if !in_catalogue(name) {
            continue;
        }
        let reply = room(name, inputs["t_C"].as_f64().unwrap_or(20.0));
        let per_cent = reply["lower_flammable_limit"]["value"].as_f64().unwrap_or_else(|| panic!("{name}"));
        let mass = reply["lower_flammable_limit_mass"]["value"].as_f64().unwrap();
        let printed = inputs["LFL_vol_percent"].as_f64().or(inputs["vol_percent"].as_f64()).unwrap();
        let (expected, tolerance) = (row.number("expected") / printed, row.number("tolerance") / printed);
        // Four significant digits of both figures of the reply.
        let rounding = 1e-3 * expected;
        assert!(
            (mass / per_cent - expected).abs() <= tolerance + rounding,
            "{} {name}: {} against {expected}",
            row.text("id"),
            mass / per_cent
        );
        ran += 1;
    }
    println!("limits as mass: {ran} rows");
    assert!(ran >= 8, "{ran}");
}

/// Litres of vapour from a litre of liquid by the ideal-gas law with CRC densities at 20 Cel (memory), and the vapour
/// volumes of 29 CFR 1910.94(c)(6), table G-11, in cubic feet a gallon at 70 degF: each row's tolerance, with the
/// stated range of density (0.5 %) beside it.
#[test]
fn vapour_volumes_agree_with_published_ones() {
    let names = [
        ("toluene", "methylbenzene"),
        ("acetone", "propanone"),
        ("ethyl acetate", "ethyl ethanoate"),
        ("methyl ethyl ketone", "butanone"),
        ("butyl acetate", "butyl ethanoate"),
        ("methyl acetate", "methyl ethanoate"),
        ("cyclohexanone", "cyclohexanone"),
        ("hexane", "hexane"),
    ];
    let mut ran = 0;
    for row in rows(PUBLISHED)
        .into_iter()
        .filter(|row| matches!(row.text("unit"), "L/L" | "ft3/gal") && !row.disputed())
    {
        let inputs = row.inputs();
        let name = inputs["substance"].as_str().unwrap_or_default();
        let name = names.iter().find(|(known, _)| *known == name).map_or(name, |(_, id)| *id);
        if !in_catalogue(name) || inputs.get("M").is_none() {
            continue;
        }
        let reply = room(name, inputs["t_C"].as_f64().unwrap_or(20.0));
        let figure = &reply["vapour_volume_per_litre"];
        // 1 US gallon is 3.785411784 L, 1 cubic foot 28.316846592 L.
        let factor = if row.text("unit") == "L/L" { 1.0 } else { 28.316_846_592 / 3.785_411_784 };
        let (expected, tolerance) = (row.number("expected") * factor, row.number("tolerance") * factor);
        let (low, high) = (figure["low"].as_f64().unwrap(), figure["high"].as_f64().unwrap());
        assert!(
            expected + tolerance >= low && expected - tolerance <= high,
            "{} {name}: {expected} against {low} to {high}",
            row.text("id")
        );
        ran += 1;
    }
    println!("vapour volumes: {ran} rows");
    assert!(ran >= 6, "{ran}");
}

/// The modified Burgess-Wheeler law (Zabetakis 1965, from memory): ethanol at 50 Cel is 3.036 % with its heat of
/// combustion; the general constant of the service gives a figure at most 1.5 % lower, never higher.
#[test]
fn the_lower_limit_falls_with_temperature_as_published() {
    for row in rows(PUBLISHED)
        .into_iter()
        .filter(|row| row.text("quantity").starts_with("LFL at elevated temperature") && !row.disputed())
    {
        let inputs = row.inputs();
        let (name, celsius) =
            (inputs["substance"].as_str().unwrap_or_default(), inputs["t_C"].as_f64().unwrap());
        if !in_catalogue(name) || celsius > 60.0 {
            continue;
        }
        let cold = room(name, 25.0)["lower_flammable_limit"]["value"].as_f64().unwrap();
        let hot = room(name, celsius)["lower_flammable_limit"]["value"].as_f64().unwrap();
        let expected = row.number("expected") / inputs["LFL25_vol_percent"].as_f64().unwrap();
        assert!((hot / cold / expected - 1.0).abs() < 0.015, "{name}: {} against {expected}", hot / cold);
    }
}
