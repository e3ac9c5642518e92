//! Burning, radiation, hot glass: published tables, worked figures, measured pans.

use brimline_service::catalogue::burning::Family;
use brimline_service::catalogue::{Catalogue, catalogue};
use brimline_service::liquid::Liquid;
use brimline_service::liquid::burning::Vessel;
use brimline_service::physics::{cooling, flame};
use brimline_service::quantity::{Estimate, si};
use brimline_tests::{Row, ask, rows};
use serde_json::{Value, json};

/// Burning rates, heat release, flame heights, pans, pain, touch, heats of combustion; source in each row.
const FIRE: &str = include_str!("data/fire.csv");
/// Filling, thermal stress, amounts; source in each row.
const STORAGE: &str = include_str!("data/published_vessel_storage.csv");
/// Rates of small pans as far as they were found; source in each row.
const PANS: &str = include_str!("data/small_pan_burning.csv");
/// Heats of combustion, computed from formation enthalpies of the CRC handbook (2014) by another program; where the catalogue
/// rests on the same enthalpies they show that it was carried over rightly.
const HEATS: &str = include_str!("data/heat_of_combustion.csv");

fn of(row: &Row, name: &str, inputs: &Value) -> f64 {
    inputs[name].as_f64().unwrap_or_else(|| panic!("{} has no {name}", row.text("id")))
}

fn liquid(catalogue: &'static Catalogue, name: &str) -> Option<Liquid> {
    // The table's names; "xylene" stands for its three isomers, which burn alike in it.
    let id = match name {
        "diethyl ether" => "ethoxyethane",
        "xylene" => "1,3-dimethylbenzene",
        "ethyl acetate" => "ethyl-ethanoate",
        "toluene" => "methylbenzene",
        other => other,
    };
    catalogue.by_id(id).map(Liquid::pure)
}

fn close(row: &Row, found: f64) {
    let expected = row.number("expected");
    assert!(
        (found - expected).abs() <= row.number("tolerance") * (1.0 + 1e-9),
        "{} {} {}: {found} and not {expected}",
        row.text("id"),
        row.text("quantity"),
        row.text("inputs")
    );
}

/// The rate of an open steel pan filled to its rim, g/(m2 s).
fn rate(catalogue: &'static Catalogue, liquid: &Liquid, metres: f64) -> Estimate<f64> {
    let vessel = Vessel { mouth: si::metre(metres), freeboard: si::metre(0.0), metal: false };
    liquid
        .burning_rate(catalogue, vessel)
        .rising(|flux| si::in_kilogram_per_square_metre_second(flux) * 1000.0)
}

#[test]
fn burning_radiation_pain_and_touch_agree() {
    let catalogue = catalogue().unwrap();
    let (mut ran, mut disputed, mut absent, mut not_answered, mut replaced) = (0, 0, 0, 0, 0);
    for row in rows(FIRE) {
        if row.disputed() {
            disputed += 1;
            continue;
        }
        let inputs = row.inputs();
        let input = |name: &str| of(&row, name, &inputs);
        let fuel = inputs["fuel"].as_str().or_else(|| inputs["substance"].as_str());
        let liquid = fuel.and_then(|fuel| liquid(catalogue, fuel));
        let pool = || {
            let id = &liquid.as_ref().unwrap().substance().unwrap().id;
            catalogue.burning.pool.iter().find(|row| row.substance == *id)
        };
        let flux = |number: f64| si::kilogram_per_square_metre_second(number);
        match row.text("quantity") {
            // Butane and petrol are not in the catalogue.
            _ if fuel.is_some() && liquid.is_none() => {
                absent += 1;
                continue;
            }
            "asymptotic mass burning rate m_inf" => close(&row, pool().unwrap().m_inf / 1000.0),
            "empirical constant k*beta" => close(&row, pool().unwrap().k_beta),
            "effective heat of combustion used with it" => {
                // The net heat of the catalogue is used in its place (propanone 28.5, not 25.8 MJ/kg): within 12 %.
                let substance = liquid.as_ref().unwrap().substance().unwrap();
                let heat =
                    si::in_joule_per_mole(substance.heat_of_combustion.as_ref().unwrap().estimate.value)
                        / si::in_gram_per_mole(substance.molar_mass);
                assert!((heat / row.number("expected") - 1.0).abs() < 0.12, "{}: {heat}", row.text("id"));
                replaced += 1;
                continue;
            }
            "steady burning rate of a 1 m pool" => {
                close(&row, rate(catalogue, liquid.as_ref().unwrap(), input("D_m")).value / 1000.0);
            }
            "measured mass flux of a 30 cm pool" => {
                let found = rate(catalogue, liquid.as_ref().unwrap(), input("D_m"));
                close(&row, found.value);
                assert!(found.low <= row.number("expected") && row.number("expected") <= found.high);
            }
            "radiative fraction of a 30 cm pool" => {
                let family = liquid.as_ref().unwrap().family(&catalogue.burning);
                let row_of = catalogue.burning.flame.iter().find(|row| row.family == family).unwrap();
                close(&row, f64::midpoint(row_of.radiated_low, row_of.radiated_high));
            }
            "pool-fire heat release rate" | "heat release rate of a pan fire" => {
                let (width, area) = inputs["D_m"].as_f64().map_or_else(
                    || ((input("A_m2") * 4.0 / std::f64::consts::PI).sqrt(), input("A_m2")),
                    |width| (width, width * width * std::f64::consts::FRAC_PI_4),
                );
                let burns = flame::pool_flux(flux(input("m_inf")), input("k_beta"), si::metre(width));
                close(&row, si::in_kilogram_per_square_metre_second(burns) * area * input("dHc_kJ_kg"));
            }
            "mean flame height, Heskestad" => {
                let height = flame::height_by_heat(si::kilowatt(input("Q_kW")), si::metre(input("D_m")));
                close(&row, si::in_metre(height));
            }
            "flame height, Thomas" => {
                let height = flame::height_by_flux(flux(input("m_kg_m2_s")), si::metre(input("D_m")));
                close(&row, si::in_metre(height));
            }
            "time to pain on bare skin" | "time to pain threshold" => {
                let time = flame::time_to_pain(si::kilowatt_per_square_metre(input("flux_kW_m2")));
                close(&row, si::in_second(time));
            }
            "burn threshold surface temperature" if inputs["contact"] == "1 min" => {
                let rule = match inputs["material"].as_str().unwrap() {
                    "uncoated metal" => "touch_temperature_metal",
                    "ceramics, glass, stone" => "touch_temperature",
                    _ => {
                        not_answered += 1;
                        continue;
                    }
                };
                close(&row, catalogue.rules.iter().find(|known| known.name == rule).unwrap().number);
            }
            "standard gross heat of combustion, liquid, 25 degC" => {
                let datum = &liquid.as_ref().unwrap().substance().unwrap().file.heat_of_combustion_higher;
                let text = datum.as_ref().unwrap().value.as_deref().unwrap();
                close(&row, text.trim_end_matches(" kJ/mol").parse().unwrap());
            }
            // Second-degree burns, other contacts, plastics and wood: no answer rests on them.
            _ => {
                not_answered += 1;
                continue;
            }
        }
        ran += 1;
    }
    println!(
        "fire: {ran} rows, {disputed} disputed, {absent} of liquids that the catalogue lacks, {replaced} replaced by net heats, {not_answered} that no answer rests on"
    );
    assert_eq!((ran, disputed, absent, replaced, not_answered), (57, 1, 7, 6, 17));
}

/// Step of glass and its ratio.
#[test]
fn what_step_glass_bears() {
    let catalogue = catalogue().unwrap();
    let mut ran = 0;
    for row in rows(STORAGE) {
        let inputs = row.inputs();
        let material = |text: &str| catalogue.materials.named(text).unwrap().0;
        let step = |text: &str, strength: f64| {
            let glass = material(text);
            let step = cooling::step_borne(strength, glass.modulus, glass.poisson, glass.expansion);
            si::in_kelvin_difference(step)
        };
        match row.text("quantity") {
            "biaxial thermal stress per kelvin E*alpha/(1-nu), borosilicate 3.3" => {
                close(&row, 1.0 / step("borosilicate glass", 1.0));
            }
            "biaxial thermal stress per kelvin E*alpha/(1-nu), soda-lime" => {
                close(&row, 1.0 / step("soda-lime glass", 1.0));
            }
            "temperature step for 7 MPa surface tension, borosilicate 3.3" => {
                assert!(
                    (inputs["sigma_MPa"].as_f64().unwrap() - material("borosilicate").strength_scratched)
                        .abs()
                        < 1e-9
                );
                close(&row, step("borosilicate glass", 7.0));
            }
            "ratio of permissible temperature steps, borosilicate to soda-lime at equal strength" => {
                close(&row, step("borosilicate glass", 15.0) / step("soda-lime glass", 15.0));
            }
            "linear expansion coefficient of soda-lime glass" => close(&row, material("soda-lime").expansion),
            _ => continue,
        }
        ran += 1;
    }
    println!("glass: {ran} rows");
    assert_eq!(ran, 5);
}

/// The range of a vessel holds what was measured or is remembered of one of its width. Rates that are limits of infinite pools,
/// square pans in wind and mixtures of hydrocarbons are not compared.
#[test]
fn measured_pans_lie_within_the_range() {
    let catalogue = catalogue().unwrap();
    let (mut within, mut beside) = (0, 0);
    for row in rows(PANS) {
        let known = catalogue.substances.iter().find(|substance| substance.file.cas == row.text("cas"));
        let (Some(substance), "g/(m2 s)") = (known, row.text("unit")) else { continue };
        let text = row.text("diameter_cm").trim_start_matches("about ");
        let ends: Vec<f64> = text.split('-').filter_map(|end| end.parse().ok()).collect();
        let liquid = Liquid::pure(substance);
        let ends_of = |column: &str| row.text(column).parse().ok();
        let value: Option<f64> = ends_of("value");
        let (low, high): (f64, f64) = (ends_of("low").or(value).unwrap(), ends_of("high").or(value).unwrap());
        assert!(!ends.is_empty(), "{text}");
        for width in ends {
            let found = rate(catalogue, &liquid, width / 100.0);
            // Every published range at least meets the answered one, and those of vessels below 20 cm lie in it.
            assert!(found.low <= high && low <= found.high, "{} {width} cm: {found:?}", substance.id);
            if found.low <= low && high <= found.high {
                within += 1;
            } else {
                beside += 1;
                assert!(width > 20.0, "{} {width} cm: {found:?} and {low} to {high}", substance.id);
            }
        }
    }
    println!("small pans: {within} within, {beside} overlapping");
    assert_eq!((within, beside), (13, 2));
}

/// Net and gross heats against formation enthalpies of another handbook; each row's own tolerance.
#[test]
fn heats_of_combustion_agree() {
    let catalogue = catalogue().unwrap();
    let (mut ran, mut worst, mut missing) = (0, 0.0_f64, 0);
    for row in rows(HEATS) {
        let known = catalogue.substances.iter().find(|substance| substance.file.cas == row.text("cas"));
        let Some(figure) = known.and_then(|substance| substance.heat_of_combustion.as_ref()) else {
            missing += 1;
            continue;
        };
        let found = si::in_joule_per_mole(figure.estimate.value) / 1000.0;
        let off = (found / row.number("LHV_kJ_mol") - 1.0).abs();
        // What both call doubtful differs by more; the stated range covers it.
        let range = si::in_joule_per_mole(figure.estimate.high) / 1000.0 / found - 1.0;
        assert!(off <= row.number("rel_tol").max(range), "{}: {found}, off by {off}", row.text("substance"));
        worst = worst.max(off);
        ran += 1;
    }
    println!("heats of combustion: {ran} rows, worst {worst:.4}, {missing} without");
    assert_eq!((ran, missing), (22, 0));
}

/// What burns is made of the same atoms as what is left: the masses agree, for every formula of C, H, O, N, S.
#[test]
fn the_masses_of_combustion_balance() {
    // Standard atomic weights, IUPAC abridged 2021 (memory).
    let (oxygen, water, dioxide, sulfur) = (31.998, 18.015, 44.009, 64.058);
    let mut ran = 0;
    for substance in &catalogue().unwrap().substances {
        let formula = &substance.file.formula;
        if !formula.chars().all(|letter| letter.is_ascii_digit() || "CHONS".contains(letter)) {
            continue;
        }
        let nitrogen = formula.split('N').nth(1).map_or(0.0, |rest| {
            let digits: String = rest.chars().take_while(char::is_ascii_digit).collect();
            digits.parse().unwrap_or(1.0)
        });
        let burnt = substance.combustion;
        let taken = si::in_gram_per_mole(substance.molar_mass) + burnt.oxygen * oxygen;
        let left = burnt.carbon_dioxide * dioxide
            + burnt.water * water
            + burnt.sulfur_dioxide * sulfur
            + nitrogen * 14.007;
        assert!((taken / left - 1.0).abs() < 2e-4, "{formula}: {taken} and {left}");
        ran += 1;
    }
    println!("combustion balances for {ran} formulas");
    assert!(ran > 100, "{ran}");
}

/// By hand: 20 mL of ethanol, 0.789 g/mL, 46.07 g/mol: 0.3425 mol, C2H6O + 3 O2 = 2 CO2 + 3 H2O; at 20 Cel and 101.325 kPa a
/// mole of gas fills 24.06 L. In 100 m3 of free air: 0.685 mol of CO2 are 165 ppm, 1.028 mol of O2 0.0247 %.
#[test]
fn carbon_dioxide_and_oxygen_by_hand() {
    let request = json!({
        "liquid": "ethanol", "amount": "20 mL", "vessel": { "capacity": "60 mL", "mouth_diameter": "6 cm" },
        "room": { "volume": "100 m3", "volume_is": "free", "temperature": "20 Cel", "pressure": "101.325 kPa", "air_changes": "0 /h" },
    });
    let reply = ask("burning", &request).unwrap();
    let after = reply["carbon_dioxide_after"]["value"].as_f64().unwrap();
    assert!((after - 1165.0).abs() < 2.0, "{after}");
    let oxygen = reply["oxygen_after"]["value"].as_f64().unwrap();
    assert!((oxygen - (20.95 - 0.0247)).abs() < 0.006, "{oxygen}");
}

/// 20 mL of carbon disulfide, 1.263 g/mL, 76.14 g/mol: 0.3318 mol, CS2 + 3 O2 = CO2 + 2 SO2; in 32 m3 at 20 Cel and
/// 101.325 kPa 499 ppm of sulfur dioxide (worked by hand).
#[test]
fn sulfur_dioxide_by_hand() {
    let request = json!({
        "liquid": "carbon disulfide", "amount": "20 mL", "vessel": { "capacity": "60 mL", "mouth_diameter": "6 cm" },
        "room": { "volume": "40 m3", "temperature": "20 Cel", "pressure": "101.325 kPa" },
    });
    let reply = ask("burning", &request).unwrap();
    let sulfur = reply["sulfur_dioxide_after"]["value"].as_f64().unwrap();
    assert!((sulfur / 499.0 - 1.0).abs() < 0.01, "{sulfur}");
    assert_eq!(reply["outcome"], "over_limit");
}

/// A glass fire screen 0.71 m high at 232 Cel before a room of 23 Cel loses 7.0 W/(m2 K) by natural convection: worked example
/// of a textbook of heat transfer with the same correlation (memory).
#[test]
fn natural_convection_from_a_fire_screen() {
    let film = cooling::convection(si::celsius(232.0), si::celsius(23.0), si::metre(0.71));
    assert!((film / 7.0 - 1.0).abs() < 0.03, "{film}");
}

/// 110 g of borosilicate glass from 250 Cel: 56 Cel after 3 to 15 min (derived for walls of 2 to 4.5 mm). The same order as the
/// 15 minutes of common practice (no source), which decides after a flame where it is longer.
#[test]
fn a_beaker_cools_in_the_order_of_a_quarter_of_an_hour() {
    let request = json!({
        "vessel": { "material": "borosilicate glass", "mass": "110 g" }, "mat": true, "start_temperature": "250 Cel", "room_temperature": "20 Cel",
    });
    let reply = ask("cooling", &request).unwrap();
    let touch = reply["time_to_touch"]["value"].as_f64().unwrap();
    assert!((12.0..=15.0).contains(&touch), "{touch}");
    // By hand at the slow end: C = 91.3 J/K; sides and mouth 0.010 96 m2 at 17 W/(m2 K), base a fifth of it at 6; ln(230/36).
    let hand = 91.3 / (0.010_96 * (17.0 + 0.2 * 6.0)) * 1.8545 / 60.0;
    assert!((touch / hand - 1.0).abs() < 0.1, "{touch} and {hand}");
    assert_eq!((&reply["governed_by"], &reply["waiting_time"]), (&json!("touch"), &reply["time_to_touch"]));
    assert!(reply["biot_number"]["value"].as_f64().unwrap() < 0.3);
}

/// Common practice, no source: 6 mL of ethanol in a 250 mL beaker burns for minutes; six of them at 3 m stay far below the
/// radiant limit; the practice's quarter of an hour decides where it is longer.
#[test]
fn the_usual_demonstration() {
    let request = json!({
        "liquid": "ethanol", "amount": "6 mL", "vessel": { "capacity": "250 mL", "mouth_diameter": "7 cm", "material": "borosilicate glass" },
        "vessels": 6, "nearest_person": "3 m", "room": { "volume": "190 m3", "temperature": "21 Cel", "pressure": "101.325 kPa" },
    });
    let reply = ask("burning", &request).unwrap();
    let time = &reply["burning_time"];
    assert!(time["low"].as_f64().unwrap() > 0.5 && time["high"].as_f64().unwrap() < 15.0, "{time}");
    assert!(reply["radiant_flux"]["high"].as_f64().unwrap() < 0.1);
    let light = json!({
        "vessel": { "material": "borosilicate glass", "mass": "20 g", "wall": "1 mm" }, "burnt": { "liquid": "ethanol", "amount": "1 mL" }, "room_temperature": "20 Cel",
    });
    let reply = ask("cooling", &light).unwrap();
    assert_eq!(reply["waiting_time_to_clear"]["value"], 15.0);
    assert!(reply["time_to_touch"]["value"].as_f64().unwrap() < 15.0);
}

/// Six dishes of 20 mL swept off a bench at 1 m: 1.6 times the pain dose, while the radiant check says 0.33 kW/m2; a bottle of
/// 19 L with 20 mL of ethanol holds some 75 kJ of vapour (worked by hand in the project's methods, at 25 Cel).
#[test]
fn worked_figures_of_the_methods() {
    let room = json!({ "volume": "190 m3", "temperature": "21 Cel", "pressure": "101.325 kPa" });
    let dishes = json!({
        "liquid": "ethanol", "amount": "20 mL", "vessel": { "capacity": "60 mL", "mouth_diameter": "6 cm", "material": "borosilicate glass" },
        "vessels": 6, "nearest_person": "1 m", "room": room,
    });
    let reply = ask("burning", &dishes).unwrap();
    let spill =
        reply["checks"].as_array().unwrap().iter().find(|check| check["check"] == "burning_spill").unwrap();
    let dose = spill["value"]["value"].as_f64().unwrap();
    assert!((dose / (1.6 * flame::PAIN_DOSE) - 1.0).abs() < 0.03, "{dose}");
    let flux = reply["radiant_flux"]["high"].as_f64().unwrap();
    assert!((flux / 0.33 - 1.0).abs() < 0.02, "{flux}");
    let bottle = json!({
        "liquid": "ethanol", "amount": "20 mL", "vessel": { "capacity": "19 L", "mouth_diameter": "5 cm" },
        "room_temperature": "25 Cel", "pressure": "101.325 kPa",
    });
    let flash = ask("burning", &bottle).unwrap()["flash_in_vessel"]["value"].as_f64().unwrap();
    assert!((flash / 75.0 - 1.0).abs() < 0.03, "{flash}");
}

/// The statements are those of the harmonised classification in Annex VI of Regulation (EC) 1272/2008 (from memory); which fuels
/// are usual is common practice, no source.
#[test]
fn a_liquid_that_is_no_usual_fuel_is_said_to_be_none_with_its_statements() {
    let mixed = |one: &str, other: &str| json!({ "mixture": [{ "substance": one, "quantity": "7 mL" }, { "substance": other, "quantity": "3 mL" }] });
    let said = |liquid: &Value| -> Vec<(String, String)> {
        let request = json!({ "liquid": liquid, "amount": "4 mL", "vessel": { "capacity": "60 mL", "mouth_diameter": "7 cm" } });
        let reply = ask("burning", &request).unwrap_or_else(|problem| panic!("{liquid}: {problem}"));
        let cautions = reply["cautions"].as_array().unwrap().iter();
        let text = |caution: &Value, name: &str| caution[name].as_str().unwrap().to_owned();
        cautions
            .map(|caution| (text(caution, "id"), text(caution, "text")))
            .filter(|(id, _)| id.starts_with("unusual_fuel"))
            .collect()
    };
    for usual in [
        json!("ethanol"),
        json!("propan-2-ol"),
        json!("denatured alcohol"),
        json!("meths"),
        json!("ethanol 96 %"),
        mixed("ethanol", "water"),
        mixed("denatured alcohol", "water"),
        mixed("ethanol", "propan-2-ol"),
    ] {
        assert!(said(&usual).is_empty(), "{usual}");
    }
    for (other, part, statements) in [
        (json!("methanol"), "methanol", "H301, H311, H331, H370"),
        (json!("methylbenzene"), "methylbenzene", "H361d, H373"),
        (json!("1,4-dioxane"), "1,4-dioxane", "H350"),
        (mixed("ethanol", "methanol"), "methanol", "H301, H311, H331, H370"),
        (mixed("denatured alcohol", "methanol"), "methanol", "H301, H311, H331, H370"),
        (json!("phenylethene"), "phenylethene", "H361d, H372"),
        (json!("decane"), "decane", "no hazard statements"),
    ] {
        let said = said(&other);
        assert_eq!(said[0].0, "unusual_fuel", "{other}");
        let own = said.iter().find(|(id, _)| *id == format!("unusual_fuel_{part}"));
        let text = &own.unwrap_or_else(|| panic!("{other}: {said:?}")).1;
        assert!(text.contains(statements), "{text}");
    }
    // Neither poison nor a lasting harm is stated of propanone: the general caution alone.
    assert_eq!(said(&json!("propanone")).len(), 1);
}

/// The short alcohols are a family of their own; the longer ones span both.
#[test]
fn families() {
    let catalogue = catalogue().unwrap();
    let of = |id: &str| Liquid::pure(catalogue.by_id(id).unwrap()).family(&catalogue.burning);
    assert_eq!(
        (of("methanol"), of("butan-1-ol"), of("hexane")),
        (Family::Alcohol, Family::Other, Family::Other)
    );
}
