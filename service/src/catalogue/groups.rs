//! The published table of modified UNIFAC (Dortmund), as it is written.

use crate::physics::activity::{Subgroup, Table};
use serde::Deserialize;

/// `groups.toml`.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GroupsFile {
    /// The publication.
    pub publication: String,
    /// The data set in which it was read.
    pub read_in: String,
    /// How it was seen.
    pub seen: String,
    /// The subgroups.
    pub subgroups: Vec<SubgroupFile>,
    /// From and to main group; a in K, b, c in 1/K, as stored.
    pub interactions: Vec<(u16, u16, String, String, String)>,
}

/// A subgroup.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SubgroupFile {
    /// Its number.
    pub subgroup: u16,
    /// Its name.
    pub name: String,
    /// Number of its main group.
    pub main: u16,
    /// Name of its main group.
    pub main_name: String,
    /// Relative volume.
    pub r: String,
    /// Relative surface.
    pub q: String,
}

/// The table in numbers.
///
/// # Errors
/// The key and what is wrong.
pub fn table(file: &GroupsFile) -> Result<Table, (String, String)> {
    let number = |key: &str, text: &str| {
        let wrong = || (key.to_owned(), format!("`{text}` is no number"));
        text.parse::<f64>().ok().filter(|number| number.is_finite()).ok_or_else(wrong)
    };
    let mut table = Table::default();
    for group in &file.subgroups {
        let (r, q) = (number("r", &group.r)?, number("q", &group.q)?);
        let known = Subgroup { main: group.main, main_name: group.main_name.clone(), r, q };
        if table.subgroups.insert(group.subgroup, known).is_some() {
            return Err(("subgroups".into(), format!("subgroup {} stands twice", group.subgroup)));
        }
    }
    for (from, to, a, b, c) in &file.interactions {
        let values = [number("a", a)?, number("b", b)?, number("c", c)?];
        if table.interactions.insert((*from, *to), values).is_some() {
            return Err(("interactions".into(), format!("the pair {from}, {to} stands twice")));
        }
    }
    if let Some((from, to)) =
        table.interactions.keys().find(|(from, to)| !table.interactions.contains_key(&(*to, *from)))
    {
        return Err(("interactions".into(), format!("the pair {from}, {to} is known in one direction only")));
    }
    Ok(table)
}
