//! What a picture shows; how it is drawn is decided where it is sent.

/// A picture.
#[derive(Debug, Clone, PartialEq)]
pub enum Picture {
    /// Curves over a linear axis.
    Curves(Curves),
    /// Bars on a logarithmic scale.
    Bars(Bars),
}

/// Curves with a linear horizontal and a logarithmic vertical axis.
#[derive(Debug, Clone, PartialEq)]
pub struct Curves {
    /// What it shows, in a sentence: read aloud where the picture is not seen.
    pub title: String,
    /// Name and unit of the horizontal axis.
    pub across: String,
    /// Name and unit of the vertical axis.
    pub up: String,
    /// The curves.
    pub lines: Vec<Line>,
}

/// A curve with its name beside its end.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// Its name.
    pub name: String,
    /// Its points.
    pub points: Vec<(f64, f64)>,
    /// How it is dashed; empty for a full line. Curves differ by this and not by colour.
    pub dashes: &'static str,
}

/// Bars, each with its name and figure.
#[derive(Debug, Clone, PartialEq)]
pub struct Bars {
    /// What it shows, in a sentence.
    pub title: String,
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
