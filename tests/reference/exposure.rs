//! Exposure limits: units, averages, index.

use brimline_service::physics::exposure::{Convention, average, index};
use brimline_service::quantity::si;
use brimline_tests::rows;

/// Limits of lists as they print ppm and mg/m3, averages, indices; source in each row.
const LIMITS: &str = include_str!("data/exposure_limits.csv");

#[test]
fn lists_averages_and_indices_agree() {
    let (mut ran, mut disputed) = (0, 0);
    for row in rows(LIMITS) {
        if row.disputed() {
            disputed += 1;
            continue;
        }
        let inputs = row.inputs();
        let of = |name: &str| inputs[name].as_f64().unwrap_or(f64::NAN);
        let milligrams = |convention: Convention, ppm: f64| {
            let mass = convention.as_mass(si::parts_per_million(ppm), si::gram_per_mole(of("M")));
            si::in_gram_per_cubic_metre(mass) * 1000.0
        };
        let pairs = |name: &str| -> Vec<(f64, f64)> {
            let pair = |pair: &serde_json::Value| (pair[0].as_f64().unwrap(), pair[1].as_f64().unwrap());
            inputs[name].as_array().map(|all| all.iter().map(pair).collect()).unwrap_or_default()
        };
        let found = match row.text("id") {
            "EL-110" => 40.0 / (milligrams_of(Convention::At20, 40.0)),
            "EL-111" => {
                let periods: Vec<_> = pairs("segments_h_ppm")
                    .into_iter()
                    .map(|(hours, ppm)| (si::minute(hours * 60.0), si::parts_per_million(ppm)))
                    .collect();
                si::in_parts_per_million(average(&periods, si::minute(480.0)))
            }
            "EL-112" | "EL-113" => {
                let shares = pairs("C_over_L").into_iter();
                let shares = shares.map(|(c, l)| (si::parts_per_million(c), si::parts_per_million(l)));
                si::in_fraction(index(shares))
            }
            "EL-114" => milligrams(Convention::At25, 1.0),
            _ => milligrams(Convention::At20, of("ppm")),
        };
        // The constant of the lists is printed with five digits: 24.055 for 24.05526.
        let allowed = if row.text("id") == "EL-110" { 0.000_3 } else { row.number("tolerance") };
        assert!(
            (found - row.number("expected")).abs() <= allowed,
            "{} {}: {found} and not {}",
            row.text("id"),
            row.text("inputs"),
            row.text("expected")
        );
        ran += 1;
    }
    println!("exposure limits: {ran} rows, {disputed} disputed left out");
    assert_eq!((ran, disputed), (107, 7));
}

/// mg/m3 of one ppm of a molar mass.
fn milligrams_of(convention: Convention, molar_mass: f64) -> f64 {
    si::in_gram_per_cubic_metre(convention.as_mass(si::parts_per_million(1.0), si::gram_per_mole(molar_mass)))
        * 1000.0
}
