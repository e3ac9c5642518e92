//! `/docs/substances` and `/docs/substances/{name}`: what is known of a substance, to read and to print.

use super::method_page;
use super::pages::{escape, page, shown};
use super::picture;
use super::reply::{self, HTML, Tagged};
use super::server::State;
use crate::catalogue::view::{self, SubstanceQuery};
use crate::quantity::round::{four_digits, significant};
use crate::question::picture::{Curves, Line, Picture, Shown};
use actix_web::{HttpRequest, HttpResponse, web};
use brimline_openapi::catalogue::{Datum, Substance};
use std::fmt::Write as _;

/// The order in which figures are read; others follow by name.
const FIRST: [&str; 8] = [
    "flash_point",
    "lower_flammable_limit",
    "upper_flammable_limit",
    "autoignition_temperature",
    "boiling_point",
    "melting_point",
    "density",
    "relative_vapour_density",
];
/// Standard pressure, kPa: a limit in per cent times this is the vapour pressure at which the limit is reached.
const STANDARD_PRESSURE: f64 = 101.325;

/// Methods that compute with figures and equations of every substance.
const METHODS: [&str; 6] = [
    "vapour_pressure",
    "boiling_point",
    "flash_point_at_pressure",
    "lower_limit_at_temperature",
    "vapour_volume",
    "film_evaporation",
];

/// `/docs/substances`: every substance with its page.
pub async fn list(request: HttpRequest, state: web::Data<State>) -> HttpResponse {
    let query = SubstanceQuery { limit: usize::MAX, ..SubstanceQuery::default() };
    let list = match view::substances(&query) {
        Ok(list) => list,
        Err(refusal) => return reply::problem(&refusal),
    };
    let mut body = String::from(
        "<h1>Substances</h1><table><tr><th scope=\"col\">name</th><th scope=\"col\">CAS</th><th scope=\"col\">formula</th><th scope=\"col\">flash point, Cel</th><th scope=\"col\">other names</th></tr>",
    );
    for item in &list.items {
        let flash =
            item.flash_point.as_ref().map_or_else(|| "none published".into(), |f| f.value.to_string());
        let _ = write!(
            body,
            "<tr><th scope=\"row\"><a href=\"{}/docs/substances/{}\">{}</a></th><td>{}</td><td>{}</td><td>{flash}</td><td>{}</td></tr>",
            escape(&state.settings.public_path),
            escape(&item.id),
            escape(&item.name),
            escape(&item.cas),
            escape(&item.formula),
            escape(&item.names.join(", "))
        );
    }
    body.push_str("</table>");
    shown(&request, &Tagged::new(HTML, page("Substances", &body)))
}

/// `/docs/substances/{name}`: the page of a substance, by id, name, synonym or CAS number.
pub async fn one(request: HttpRequest, name: web::Path<String>, state: web::Data<State>) -> HttpResponse {
    match view::substance(&name) {
        Ok(substance) => {
            let body = made(&substance, &state.settings.public_path);
            shown(&request, &Tagged::new(HTML, page(&substance.name, &body)))
        }
        Err(refusal) => reply::problem_of_path(&refusal),
    }
}

fn made(substance: &Substance, public_path: &str) -> String {
    let mut body = format!("<h1>{}</h1>", escape(&substance.name));
    if let Some(reason) = &substance.not_for_school_use {
        let _ = write!(body, "<p><strong>Not for school use:</strong> {}.</p>", escape(reason));
    }
    identity(&mut body, substance);
    cautions(&mut body, substance);
    figures(&mut body, substance);
    if let Some(svg) = curve(substance).as_ref().and_then(|picture| picture::in_page(picture, picture::WIDTH))
    {
        let _ = write!(
            body,
            "<h2>Vapour pressure</h2><figure>{svg}<figcaption>Where the curve meets a limit, the still air over the liquid holds that much vapour (at 101.325 kPa). Class {}: {}.</figcaption></figure>",
            escape(&substance.vapour_pressure_class.class),
            escape(&substance.vapour_pressure_class.reason)
        );
    }
    hazards(&mut body, substance);
    exposure_limits(&mut body, substance);
    conflicts(&mut body, substance);
    equations(&mut body, substance);
    let links: Vec<String> = METHODS.iter().map(|id| method_page::link(public_path, id)).collect();
    let _ = write!(body, "<p>What replies compute with them: {}.</p>", links.join(", "));
    let path = escape(public_path);
    let _ = write!(
        body,
        "<p>The same as JSON: <a href=\"{path}/v1/substances/{0}\">{path}/v1/substances/{0}</a>. All substances: <a href=\"{path}/docs/substances\">{path}/docs/substances</a>.</p>",
        escape(&substance.id)
    );
    body
}

fn identity(body: &mut String, substance: &Substance) {
    body.push_str("<table>");
    let mut row = |name: &str, text: &str| {
        let _ = write!(body, "<tr><th scope=\"row\">{name}</th><td>{}</td></tr>", escape(text));
    };
    row("Other names", &substance.names.join(", "));
    row("CAS number", &substance.cas);
    row("Formula", &substance.formula);
    if let Some(key) = &substance.inchikey {
        row("InChIKey", key);
    }
    if let Some(category) = substance.flammable_liquid_category {
        row("Flammable liquid", &format!("category {category}, from flash and boiling point"));
    }
    if !substance.unifac_groups.is_empty() {
        let groups: Vec<String> =
            substance.unifac_groups.iter().map(|group| format!("{} {}", group.count, group.name)).collect();
        row("Groups, modified UNIFAC (Dortmund)", &groups.join(", "));
    }
    body.push_str("</table>");
}

/// A key in words: `flash_point` as "flash point".
fn words(key: &str) -> String {
    escape(&key.replace('_', " "))
}

fn figures(body: &mut String, substance: &Substance) {
    body.push_str("<h2>Figures</h2><table><tr><th scope=\"col\">what</th><th scope=\"col\">value</th><th scope=\"col\">95 % range</th><th scope=\"col\">source</th><th scope=\"col\">note</th></tr>");
    for (name, datum) in ordered(substance) {
        let unit = datum.unit.as_deref().filter(|unit| *unit != "1").unwrap_or_default();
        let shown = |value| format!("{} {unit}", significant(value, 6));
        let value = datum.value.map_or_else(|| "not known".to_owned(), shown);
        let range = match (datum.low, datum.high) {
            (Some(low), Some(high)) => format!("{low} to {high}"),
            _ => String::new(),
        };
        let estimated = if datum.estimated { "estimated; " } else { "" };
        let _ = write!(
            body,
            "<tr><th scope=\"row\">{}</th><td>{}</td><td>{range}</td><td>{} ({})</td><td>{estimated}{}</td></tr>",
            words(name),
            escape(&value),
            escape(datum.source.as_deref().unwrap_or("none")),
            seen(datum),
            escape(datum.note.as_deref().unwrap_or_default())
        );
    }
    body.push_str("</table>");
}

fn ordered(substance: &Substance) -> Vec<(&String, &Datum)> {
    let place = |name: &str| FIRST.iter().position(|first| *first == name).unwrap_or(FIRST.len());
    let mut all: Vec<_> = substance.data.iter().collect();
    all.sort_by_key(|(name, _)| place(name));
    all
}

fn seen(datum: &Datum) -> String {
    serde_json::to_value(datum.seen)
        .ok()
        .and_then(|word| word.as_str().map(str::to_owned))
        .unwrap_or_default()
}

fn curve(substance: &Substance) -> Option<Picture> {
    let points = view::vapour_pressure_curve(&substance.id);
    let ((first, least), (last, most)) = (*points.first()?, *points.last()?);
    let mut lines = vec![Line { name: "vapour pressure".into(), points, dashes: "" }];
    for (key, name, dashes) in [
        ("lower_flammable_limit", "lower flammable limit", "8 4"),
        ("upper_flammable_limit", "upper flammable limit", "2 4"),
    ] {
        if let Some(percent) = substance.data.get(key).and_then(|datum| datum.value) {
            let pressure = percent / 100.0 * STANDARD_PRESSURE;
            let points = vec![(first, pressure), (last, pressure)];
            lines.push(Line { name: format!("{name}, {percent} %"), points, dashes });
        }
    }
    let levels = lines.iter().skip(1).map(|line| format!("{}.", line.name));
    let range = format!(
        "The curve runs from {} kPa at {first} Cel to {} kPa at {last} Cel.",
        four_digits(least),
        four_digits(most)
    );
    let said = std::iter::once(range).chain(levels).collect();
    let curves = Curves {
        across: "temperature [°C]".into(),
        up: "vapour pressure [kPa], each line ten times the one below".into(),
        lines,
        ..Curves::default()
    };
    Some(Picture {
        title: format!("Vapour pressure of {} with its flammable limits", substance.name),
        sentence: String::new(),
        said,
        shown: Shown::Curves(curves),
    })
}

fn conflicts(body: &mut String, substance: &Substance) {
    let conflicting: Vec<_> =
        ordered(substance).into_iter().filter(|(_, datum)| !datum.instead_of.is_empty()).collect();
    if conflicting.is_empty() {
        return;
    }
    body.push_str("<h2>Other published values</h2><table><tr><th scope=\"col\">what</th><th scope=\"col\">value</th><th scope=\"col\">source</th><th scope=\"col\">why it was not chosen</th></tr>");
    for (name, datum) in conflicting {
        for other in &datum.instead_of {
            let _ = write!(
                body,
                "<tr><th scope=\"row\">{}</th><td>{}</td><td>{}</td><td>{}</td></tr>",
                words(name),
                escape(&other.value),
                escape(&other.source),
                escape(&other.reason)
            );
        }
    }
    body.push_str("</table>");
}

fn equations(body: &mut String, substance: &Substance) {
    body.push_str("<h2>Equations</h2><p>In the order in which they are used: the first that is in range answers.</p><table><tr><th scope=\"col\">what, set</th><th scope=\"col\">form</th><th scope=\"col\">coefficients</th><th scope=\"col\">range</th><th scope=\"col\">source, verdict</th></tr>");
    for (name, list) in &substance.equations {
        for equation in list {
            let _ = write!(
                body,
                "<tr><th scope=\"row\">{}, {}</th><td>{}</td><td>{}</td><td>{}</td><td>{}; {}: {}</td></tr>",
                words(name),
                escape(&equation.set),
                escape(&equation.form),
                escape(&equation.coefficients.join(", ")),
                escape(&equation.valid_range),
                escape(&equation.source),
                escape(&equation.verdict),
                escape(&equation.reason)
            );
        }
    }
    for (name, list) in &substance.not_used {
        for wrong in list {
            let _ = write!(
                body,
                "<tr><th scope=\"row\">{}, {}</th><td colspan=\"3\">known to be wrong, never used</td><td>{}; {}</td></tr>",
                words(name),
                escape(&wrong.set),
                escape(&wrong.source),
                escape(&wrong.reason)
            );
        }
    }
    body.push_str("</table>");
}

fn hazards(body: &mut String, substance: &Substance) {
    let Some(hazard) = &substance.hazard else { return };
    body.push_str("<h2>Hazards</h2><p>From memory: confirm on the supplier's data sheet.</p><table>");
    let statements = hazard.statements.join(" ");
    for (name, text) in [
        ("Classification", hazard.classification.as_deref()),
        ("Statements", Some(statements.as_str()).filter(|text| !text.is_empty())),
        ("Keep apart as", hazard.family.as_deref()),
        ("Peroxides", hazard.peroxides.as_deref()),
        ("Conductivity", hazard.static_conductivity.as_deref()),
        ("Soot", hazard.soot.as_deref()),
        ("Flame", hazard.flame_visibility.as_deref()),
        ("Smell", hazard.odour.as_deref()),
        ("Waste", hazard.waste_group.as_deref()),
        ("Basis", Some(hazard.basis.as_str())),
    ] {
        let text = text.unwrap_or("not known");
        let _ = write!(body, "<tr><th scope=\"row\">{name}</th><td>{}</td></tr>", escape(text));
    }
    body.push_str("</table>");
}

fn exposure_limits(body: &mut String, substance: &Substance) {
    body.push_str("<h2>Exposure limits</h2>");
    if substance.exposure_limits.is_empty() {
        body.push_str("<p>None is known here: see the supplier's data sheet.</p>");
        return;
    }
    body.push_str("<p>Only these rows are stored here: another list may hold a lower limit, and a row without a skin notation is not one that has none.</p>");
    body.push_str("<table><tr><th scope=\"col\">list</th><th scope=\"col\">kind</th><th scope=\"col\">limit</th><th scope=\"col\">note</th></tr>");
    for limit in &substance.exposure_limits {
        let values: Vec<&str> =
            limit.volume_fraction.iter().chain(&limit.mass_concentration).map(String::as_str).collect();
        let seen = serde_json::to_value(limit.seen).unwrap_or_default();
        let _ = write!(
            body,
            "<tr><th scope=\"row\">{}, {} {}</th><td>{} {}</td><td>{}</td><td>{} {} ({})</td></tr>",
            escape(&limit.jurisdiction),
            escape(&limit.list),
            escape(limit.edition.as_deref().unwrap_or_default()),
            escape(&limit.kind),
            escape(limit.averaging_time.as_deref().unwrap_or_default()),
            escape(&values.join("; ")),
            escape(&format!("skin: {};", limit.skin.as_deref().unwrap_or("not recorded here"))),
            escape(limit.note.as_deref().unwrap_or_default()),
            escape(seen.as_str().unwrap_or_default())
        );
    }
    body.push_str("</table>");
}

fn cautions(body: &mut String, substance: &Substance) {
    body.push_str("<h2>Cautions</h2><ul>");
    for text in substance.cautions.iter().filter_map(|caution| caution.text.as_ref()) {
        let _ = write!(body, "<li>{}</li>", escape(text));
    }
    body.push_str("<li>Local codes, the supplier's data sheet and a competent person decide; these figures do not replace them.</li></ul>");
}
