//! What a picture shows; how it is drawn is decided where it is sent.

use crate::quantity::Estimate;
use brimline_openapi::Outcome;

/// A picture.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    /// What it is of.
    pub title: String,
    /// What the answer says: it stands over the picture, so that no picture speaks more mildly than its answer. Empty where there is none.
    pub sentence: String,
    /// What it shows in words and figures: read aloud where the picture is not seen.
    pub said: Vec<String>,
    /// What is drawn.
    pub shown: Shown,
}

/// What is drawn.
#[derive(Debug, Clone, PartialEq)]
pub enum Shown {
    /// Curves over a linear axis.
    Curves(Curves),
    /// Bars on a logarithmic scale.
    Bars(Bars),
    /// A liquid against its flammable limits and its flash point.
    Margin(Box<Margin>),
    /// A plan seen from above.
    Above(Above),
    /// What an instrument shows of a coloured flame.
    Spectrum(Spectrum),
}

/// Curves with a linear horizontal and a logarithmic vertical axis.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Curves {
    /// Name and unit of the horizontal axis.
    pub across: String,
    /// Name and unit of the vertical axis.
    pub up: String,
    /// The curves.
    pub lines: Vec<Line>,
    /// Places on the horizontal axis.
    pub marks: Vec<Mark>,
    /// Single figures with their ranges: where, and what.
    pub dots: Vec<(f64, Estimate<f64>)>,
    /// Two lines, by their places in `lines`: what lies between them is hatched; without the second, all above the first.
    pub hatched: Option<(usize, Option<usize>)>,
}

/// A curve with its name beside its end.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// Its name; a curve without one belongs to the one before it.
    pub name: String,
    /// Its points.
    pub points: Vec<(f64, f64)>,
    /// How it is dashed; empty for a full line. Curves differ by this and not by colour.
    pub dashes: &'static str,
}

/// A place on the horizontal axis.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// Where it is.
    pub at: Estimate<f64>,
    /// Its name.
    pub name: String,
    /// How its line is dashed.
    pub dashes: &'static str,
}

/// Bars, each with its name and figure.
#[derive(Debug, Clone, PartialEq)]
pub struct Bars {
    /// Name and unit of the scale.
    pub across: String,
    /// The bars from above.
    pub rows: Vec<Bar>,
    /// A line across all of them with its name.
    pub mark: Option<(f64, String)>,
}

/// A bar.
#[derive(Debug, Clone, PartialEq)]
pub struct Bar {
    /// Its name.
    pub name: String,
    /// Its length on the scale.
    pub length: f64,
    /// What stands at its end.
    pub label: String,
    /// Whether it is the one that binds.
    pub binds: bool,
}

/// A liquid against its flammable limits and its flash point.
#[derive(Debug, Clone, PartialEq)]
pub struct Margin {
    /// Temperature of the liquid, Cel.
    pub liquid: f64,
    /// Vapour in saturated air, %.
    pub vapour: Option<Estimate<f64>>,
    /// Lower flammable limit, %.
    pub lower: Option<Estimate<f64>>,
    /// Upper flammable limit, %.
    pub upper: Option<Estimate<f64>>,
    /// What stands over the liquid, in words.
    pub condition: String,
    /// Flash point, Cel.
    pub flash: Option<Estimate<f64>>,
    /// The margin wanted, K.
    pub wanted: f64,
    /// What the check of the margin says, in words.
    pub judged: String,
}

/// A plan seen from above: only distances from the work are known, no directions.
#[derive(Debug, Clone, PartialEq)]
pub struct Above {
    /// The work in words.
    pub work: String,
    /// What stands or watches around it.
    pub around: Vec<Around>,
    /// What a distance does not show, in words.
    pub also: Vec<String>,
}

/// Something at a distance from the work.
#[derive(Debug, Clone, PartialEq)]
pub struct Around {
    /// What it is.
    pub kind: Kind,
    /// Its name.
    pub name: String,
    /// Its distance, m.
    pub given: f64,
    /// The distance wanted, m; the strictest.
    pub wanted: Option<f64>,
    /// Whether it is within every limit on it.
    pub status: Outcome,
    /// What is wanted of it, and whether it is so, in words.
    pub judged: String,
}

/// What an instrument shows of a coloured flame.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Spectrum {
    /// Range of the instrument, nm.
    pub range: (f64, f64),
    /// What the eye sees of it, nm.
    pub visible: (f64, f64),
    /// Wavelength, nm, and intensity relative to the highest peak; empty where bands dominate.
    pub curve: Vec<(f64, f64)>,
    /// Name of the vertical axis.
    pub up: String,
    /// Peaks that are labelled: where, nm, and with what.
    pub peaks: Vec<(f64, String)>,
    /// Bands by emitter.
    pub bands: Vec<(String, Vec<Band>)>,
    /// What else is said in the picture.
    pub note: Option<String>,
}

/// A band of a molecule.
#[derive(Debug, Clone, PartialEq)]
pub struct Band {
    /// Its ends, nm.
    pub from: f64,
    /// Its ends, nm.
    pub to: f64,
    /// Its middle, nm.
    pub centre: f64,
    /// Whether it shows with one kind of salt alone, or its strength is not known.
    pub weak: bool,
    /// What stands at it.
    pub label: String,
}

/// What stands around the work.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A person.
    Person,
    /// A stock bottle.
    Stock,
    /// A flame or another ignition source.
    Ignition,
}

/// A figure with its range in words: `3.1 % (2.8 to 3.4)`.
#[must_use]
pub fn ranged(figure: Estimate<f64>, unit: &str) -> String {
    let Estimate { value, low, high } = figure;
    if low < high { format!("{value} {unit} ({low} to {high})") } else { format!("{value} {unit}") }
}
