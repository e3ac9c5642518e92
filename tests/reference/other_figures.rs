//! Densities and saturation concentrations.

use brimline_service::quantity::si;
use brimline_tests::{ask, in_catalogue, rows};
use serde_json::json;

/// Densities by equations of state (CoolProp 8.0.0) and Perry; source in each row.
const DENSITY: &str = include_str!("data/density.csv");
/// Saturation concentrations; source in each row.
const SATURATION: &str = include_str!("data/saturation_concentration.csv");

/// 0.3 % in each row: what the better public correlations meet; the set that a substance uses is asked at the row's
/// temperature.
#[test]
fn densities_agree_with_reference_equations() {
    let catalogue = brimline_service::catalogue::catalogue().unwrap();
    let mut ran = 0;
    for row in rows(DENSITY).into_iter().filter(|row| in_catalogue(row.text("cas"))) {
        let substance =
            catalogue.substances.iter().find(|substance| substance.file.cas == row.text("cas")).unwrap();
        let density = substance.density_set.at(si::kelvin(row.number("T_K")));
        let found = si::in_kilogram_per_cubic_metre(density);
        let off = found / row.number("rho_kg_m3") - 1.0;
        assert!(
            off.abs() <= row.number("rel_tol"),
            "{} at {} K: {:.2} %",
            row.text("substance"),
            row.text("T_K"),
            off * 100.0
        );
        ran += 1;
    }
    println!("densities: {ran} rows");
    assert_eq!(ran, 26);
}

/// Each row's tolerance (1-2 %, that of the vapour pressure behind it).
#[test]
fn saturation_concentrations_agree() {
    let mut ran = 0;
    for row in rows(SATURATION).into_iter().filter(|row| in_catalogue(row.text("cas"))) {
        let request = json!({
            "liquid": row.text("cas"), "temperature": format!("{} K", row.text("T_K")), "pressure": format!("{} kPa", row.text("P_total_kPa"))
        });
        let reply = ask("vapour-pressure", &request).unwrap();
        let point = &reply["points"][0];
        for (field, column) in [
            ("saturated_mass_concentration", "conc_g_m3_ideal_gas"),
            ("saturated_volume_fraction", "vol_pct"),
        ] {
            let off = point[field]["value"].as_f64().unwrap() / row.number(column) - 1.0;
            assert!(
                off.abs() <= row.number("rel_tol") + 5e-4,
                "{} {field}: {:.2} %",
                row.text("substance"),
                off * 100.0
            );
        }
        ran += 1;
    }
    println!("saturation: {ran} rows");
    assert_eq!(ran, 26);
}
