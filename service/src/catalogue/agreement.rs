//! How well the published figures of each substance agree: the table of `brimline agreement`.

use super::Catalogue;
use super::checks::{
    boiling_point_miss, findings, flash_point_gap, heat_of_vaporisation_gap, molar_mass_gap,
    stoichiometric_share,
};
use super::substance::Substance;
use crate::physics::vapour_pressure::Set;
use crate::quantity::si;
use std::io::Write;

/// Temperatures at which the sets in range are compared, Cel.
const COMPARED: [f64; 4] = [0.0, 20.0, 40.0, 60.0];

/// Writes the table as comma-separated text; which figure is checked against which limit stands in [`super::checks`].
///
/// # Errors
/// What cannot be read or written, in words.
pub fn write(catalogue: &Catalogue, out: impl Write) -> Result<(), String> {
    let mut writer = csv::Writer::from_writer(out);
    let header = [
        "substance",
        "vapour pressure: sets with the verdict use",
        "span at 0 Cel [%]",
        "span at 20 Cel [%]",
        "span at 40 Cel [%]",
        "span at 60 Cel [%]",
        "worst miss of the boiling point [K]",
        "worst gap to the heat of vaporisation [%]",
        "flash point above T* [K]",
        "lower limit / stoichiometric",
        "molar mass less that of the formula [g/mol]",
        "CAS check digit",
        "written exceptions",
    ];
    writer.write_record(header).map_err(|error| error.to_string())?;
    for substance in &catalogue.substances {
        let row = row(substance)?;
        writer.write_record(row).map_err(|error| error.to_string())?;
    }
    writer.flush().map_err(|error| error.to_string())
}

fn row(substance: &Substance) -> Result<Vec<String>, String> {
    let used: Vec<&Set> = substance.vapour.sets.iter().filter(|set| !set.doubtful).collect();
    let shown = |figure: Option<f64>, digits: usize| {
        figure.map_or_else(|| "none".to_owned(), |figure| format!("{figure:.digits$}"))
    };
    let worst = |figures: &mut dyn Iterator<Item = f64>| figures.max_by(|a, b| a.abs().total_cmp(&b.abs()));
    let found = findings(substance).map_err(|(key, reason)| format!("{}: {key}: {reason}", substance.id))?;
    let mut row = vec![substance.id.clone(), used.len().to_string()];
    row.extend(COMPARED.map(|number| shown(span(&used, number), 2)));
    row.push(shown(
        worst(&mut used.iter().filter_map(|set| boiling_point_miss(substance, set)).map(|(miss, _)| miss)),
        2,
    ));
    row.push(shown(
        worst(&mut used.iter().filter_map(|set| heat_of_vaporisation_gap(substance, set)))
            .map(|gap| gap * 100.0),
        1,
    ));
    row.push(shown(flash_point_gap(substance), 1));
    row.push(shown(stoichiometric_share(substance), 2));
    row.push(shown(molar_mass_gap(substance), 3));
    // A wrong digit stops the start.
    row.push("right".to_owned());
    let exceptions: Vec<_> = found
        .iter()
        .map(|finding| match &finding.set {
            Some(set) => format!("{} of {set}", finding.check),
            None => finding.check.to_owned(),
        })
        .collect();
    row.push(exceptions.join("; "));
    Ok(row)
}

/// Between the lowest and the highest of the sets in range, in per cent of the first; `None` with fewer than two.
fn span(sets: &[&Set], celsius: f64) -> Option<f64> {
    let temperature = si::celsius(celsius);
    let in_range = sets.iter().filter(|set| set.covers(temperature));
    let values: Vec<f64> = in_range.map(|set| si::in_pascal(set.form.at(temperature))).collect();
    let first = values.first().filter(|_| values.len() > 1)?;
    let (low, high) =
        values.iter().fold((f64::MAX, f64::MIN), |(low, high), value| (low.min(*value), high.max(*value)));
    Some((high - low) / first * 100.0)
}
