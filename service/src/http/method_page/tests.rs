#![allow(
    clippy::disallowed_methods,
    reason = "the results are told apart from the mathematics of the program"
)]

use super::*;
use std::f64::consts::PI;

/// Gas constant, J/(mol K).
const R: f64 = 8.314_462_618;
/// Standard pressure, kPa.
const STANDARD: f64 = 101.325;

/// Vapour pressure of ethanol, kPa, by an Antoine equation of a textbook that is none of the catalogue's.
fn ethanol(celsius: f64) -> f64 {
    10_f64.powf(8.204_17 - 1_642.89 / (celsius + 230.3)) * 0.133_322
}

/// What an equation with numbers gives, from the numbers of its page by their names, and what it must give.
type Told = fn(&dyn Fn(&str) -> f64) -> (f64, f64);

/// Each equation with numbers, computed apart: the method, how near it must come, and how.
const TOLD: &[(&str, f64, Told)] = &[
    ("vapour_pressure", 1e-4, |n| (10_f64.powf(n("a") - n("b") / (n("T") + n("c"))) / 1000.0, n("p"))),
    ("boiling_point", 0.02, |n| (ethanol(n("Tb")), n("P"))),
    ("saturated_vapour", 1e-3, |n| (n("p") / n("P") * 100.0, n("x"))),
    ("saturated_vapour", 1e-3, |n| (n("p") * 1000.0 * n("M") / (R * n("T")), n("c"))),
    ("flash_point_at_pressure", 0.02, |n| (ethanol(n("T")), ethanol(n("Tf")) * n("P") / STANDARD)),
    ("headspace", 0.0, |n| (n("x").clamp(n("L"), n("U")), n("x"))),
    ("activity_coefficients", 1e-3, |n| (n("p1") + n("p2"), n("p"))),
    // Measured coefficients of ethanol in water at this mole fraction are 1.3 to 1.5.
    ("flash_point_of_mixture", 0.1, |n| (ethanol(n("Tf")) / (n("x") * ethanol(n("T"))), 1.4)),
    ("flash_point_bound", 0.0, |n| (n("Tf") - 10.0, n("T"))),
    ("le_chatelier", 2e-3, |n| (1.0 / (n("y1") / n("L1") + n("y2") / n("L2")), n("L"))),
    ("two_liquids", 1e-3, |n| (n("b1") / 100.0 * n("x1") + n("b2") / 100.0 * n("x2"), n("z"))),
    ("limit_temperature", 0.02, |n| (ethanol(n("TL")), n("L") / 100.0 * n("P"))),
    ("limit_temperature", 0.02, |n| (ethanol(n("TU")), n("U") / 100.0 * n("P"))),
    ("lower_limit_at_temperature", 1e-3, |n| (n("L25") * (1.0 - (n("t") - 25.0) / 1275.0), n("L"))),
    ("category", 0.0, |n| (if n("Tf") < 23.0 && n("Tb") > 35.0 { 2.0 } else { 0.0 }, n("k"))),
    ("limit_as_mass", 1e-3, |n| (n("L") * 10.0 * n("M") * n("P") / (R * n("T")), n("Lm"))),
    ("vapour_volume", 1e-3, |n| (n("rho") * R * n("T") / (n("M") * n("P")), n("V"))),
    ("mixed_room", 1e-3, |n| (n("v") / 1e6 * n("Vl") / (n("f") * n("Vr")) * 100.0, n("x"))),
    ("mixed_room", 1e-3, |n| (n("x") / n("L") * 100.0, n("s"))),
    ("floor_layer", 1e-3, |n| (n("v") / 1e6 * n("Vl") / (n("L") / 100.0 * n("f") * n("A")), n("d"))),
    ("decay", 2e-3, |n| (n("c0") * (-n("E") * n("n") * n("t") / 60.0).exp(), n("q"))),
    ("film_evaporation", 1e-3, |n| (n("flux") / 60.0 * PI / 4.0 * (n("l") / 100.0).powi(2), n("rate"))),
    ("ignition_reach", 2e-3, |n| {
        let volume = n("v") / 1e6 * n("rho") * 1000.0 * R * n("T") / (n("M") * n("P") * 1000.0);
        ((volume / (n("s") / 100.0 * n("L") / 100.0 * PI * n("h"))).sqrt(), n("r"))
    }),
    ("hot_surface", 0.0, |n| (n("Ta") - n("ts"), n("d"))),
    ("two_zones", 1e-3, |n| (n("far") + n("G") * 1000.0 / 60.0 / (PI * n("r").powi(2) * n("u")), n("near"))),
    ("exposure_averages", 1e-3, |n| (n("c1") / n("L1") + n("c2") / n("L2"), n("I"))),
    ("spill_pool", 1e-3, |n| (n("v") / 1000.0 / n("d"), n("A"))),
    ("spill_pool", 1e-3, |n| (n("v") / 1000.0 / n("dl"), n("Ah"))),
    ("vessel_fill", 1e-3, |n| (n("f") / 100.0 * n("c"), n("v"))),
    ("heat_release", 2e-3, |n| (n("m") * PI / 4.0 * (n("D") / 100.0).powi(2) * n("H") / n("M"), n("Q"))),
    ("flame_height", 1e-3, |n| ((0.235 * n("Q").powf(0.4) - 1.02 * n("D") / 100.0) * 100.0, n("l"))),
    ("radiant_flux", 1e-3, |n| (0.3 * n("Q") / (4.0 * PI * n("R").powi(2)), n("q"))),
    ("burning_time", 2e-3, |n| (n("m") / (PI / 4.0 * (n("D") / 100.0).powi(2) * n("rate")) / 60.0, n("t"))),
    ("stoichiometry", 2e-3, |n| {
        let gas = n("m") / n("M") * 3.0 * R * n("T") / (n("P") * 1000.0 * n("f") * n("V"));
        (n("x0") * 1e4 + gas * 1e6, n("x"))
    }),
    ("degree_of_filling", 0.0, |n| (if (60.0..100.0).contains(&n("Tb")) { 92.0 } else { 0.0 }, n("f"))),
    ("vapour_in_refrigerator", 2e-3, |n| {
        (n("v") / 1000.0 * n("rho") * R * n("T") / (n("M") * n("P")) / n("Vi") * 100.0, n("x"))
    }),
];

fn worked(example: &Example) -> Worked {
    Worked::asked(&example.question, &example.request).unwrap()
}

#[test]
fn every_method_has_a_page_and_every_page_its_method() {
    let mut methods: Vec<&str> = METHODS.iter().map(|method| method.id).collect();
    let mut pages: Vec<&str> = PAGES.keys().map(String::as_str).collect();
    methods.sort_unstable();
    pages.sort_unstable();
    assert_eq!(methods, pages);
    let table = table("/tools");
    assert!(methods.iter().all(|id| table.contains(&format!("href=\"/tools/docs/methods/{id}\""))));
}

#[test]
fn every_example_rests_on_its_method_and_shows_figures_of_its_reply() {
    for (id, page) in PAGES.iter() {
        let worked = worked(&page.example);
        assert!(worked.methods().any(|method| method == id), "{id}");
        assert!(page.example.request.contains("Ottermoor High"), "{id}");
        assert!(!page.example.figures.is_empty(), "{id}");
        for [place, what] in &page.example.figures {
            assert!(worked.figure(&format!("reply{place}")).is_some(), "{id}: {place}");
            assert!(!what.is_empty(), "{id}: {place}");
        }
    }
}

#[test]
fn every_equation_with_numbers_gives_what_its_page_says() {
    for (id, page) in PAGES.iter() {
        let told = TOLD.iter().any(|(method, ..)| method == id);
        assert_eq!(told, !page.example.put_in.is_empty(), "{id} is put in and told apart");
    }
    for (id, nearness, told) in TOLD {
        let example = &PAGES[*id].example;
        let worked = worked(example);
        let number = |name: &str| -> f64 {
            let figure = worked.figure(&example.values[name]).unwrap_or_else(|| panic!("{id}: {name}"));
            figure.number.parse().unwrap_or_else(|_| panic!("{id}: {name}"))
        };
        let (given, said) = told(&number);
        assert!((given - said).abs() <= nearness * said.abs(), "{id}: {given} is not {said}");
    }
}

#[test]
fn a_liquid_boils_off_as_its_heat_of_vaporisation_at_the_boiling_point_says() {
    let worked = worked(&PAGES["boiling_rate"].example);
    let rate: f64 = worked.figure("reply/rate").unwrap().number.parse().unwrap();
    let power: f64 = worked.figure("request/heater_power").unwrap().number.parse().unwrap();
    // Ethanol, as handbooks print it: 46.07 g/mol, 38.56 kJ/mol at its boiling point.
    let told = power * 60.0 * 46.07 / 38_560.0;
    assert!((rate / told - 1.0).abs() < 0.03, "{rate} {told}");
}

#[test]
fn every_page_renders_whole() {
    for method in METHODS {
        let page = &PAGES[method.id];
        let text = body(method, page, "/tools");
        assert!(!text.contains('@'), "{}: a number is missing", method.id);
        assert!(!text.contains("&amp;nbsp"), "{}", method.id);
        assert!(!text.contains("<merror") && !text.contains("style="), "{}", method.id);
        assert!(text.contains(&format!("aria-label=\"{}\"", escape(method.equation))), "{}", method.id);
        assert!(
            text.contains(&escape(method.valid_range)) && text.contains(&escape(method.source)),
            "{}",
            method.id
        );
        assert_eq!(method.source.contains("memory"), text.contains("From memory:"), "{}", method.id);
        let rows = text.matches("<th scope=\"row\">").count();
        assert_eq!(rows, page.symbols.len() + page.example.figures.len(), "{}", method.id);
        assert!(!page.symbols.is_empty() && !page.equations.is_empty(), "{}", method.id);
        let opened = text.matches("<math").count();
        assert_eq!(opened, text.matches("</math>").count(), "{}", method.id);
        assert_eq!(
            opened,
            page.equations.len() + page.symbols.len() + page.example.put_in.len(),
            "{}",
            method.id
        );
        for name in page.example.values.keys() {
            let used = page.example.put_in.iter().any(|equation| equation.contains(&format!("@{name}@")));
            assert!(used, "{}: {name} is found and not put in", method.id);
        }
    }
}

#[test]
fn each_letter_of_an_equation_is_among_its_symbols() {
    // Numbers of a method that have a name of their own.
    const CONSTANTS: [&str; 3] = ["π", "e", "d"];
    let letters = |mathml: &str| -> Vec<String> {
        let parts = mathml.split("<mi").skip(1).filter_map(|part| part.split_once('>'));
        parts.filter_map(|(_, rest)| rest.split_once("</mi>")).map(|(letter, _)| letter.to_owned()).collect()
    };
    for (id, page) in PAGES.iter() {
        let listed: String = page.symbols.iter().map(|[symbol, ..]| symbol.as_str()).collect();
        let listed = letters(&listed);
        for equation in &page.equations {
            for letter in letters(equation) {
                // One italic letter is a symbol; upright ones are units and names.
                let symbol = letter.chars().count() == 1 && letter.chars().all(char::is_alphabetic);
                let upright = equation.contains(&format!("<mi mathvariant=\"normal\">{letter}</mi>"));
                assert!(
                    !symbol || upright || CONSTANTS.contains(&letter.as_str()) || listed.contains(&letter),
                    "{id}: {letter} is not listed"
                );
            }
        }
    }
}
