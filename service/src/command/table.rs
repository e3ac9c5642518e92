//! A reply for people: the sentence first, then figures with their ranges, checks and lists, aligned.
//!
//! Made from the reply as it is sent, so that a field that is new there is shown here. The width is fixed: the same reply gives the
//! same text on every terminal and in every file.

use crate::question::Refusal;
use comfy_table::{ContentArrangement, Table};
use indexmap::{IndexMap, IndexSet};
use serde::Deserialize;
use serde_json::Number;

/// Columns that a line takes at most.
const WIDTH: u16 = 110;
/// Fields that are told before all others, or at the end, or in words elsewhere.
const APART: [&str; 3] = ["sentence", "liquid", "record"];
/// Lists that stand at the end, in this order, with their headings; of each entry the first of these fields that it has is told.
const LISTS: [(&str, &str); 7] = [
    ("cautions", "Cautions"),
    ("remedies", "Changes that would mend it"),
    ("not_given", "Not given"),
    ("not_considered", "Not considered"),
    ("assumptions", "Assumed"),
    ("methods", "Methods"),
    ("sources", "Sources"),
];
const TELLING: [&str; 6] = ["sentence", "text", "reason", "title", "equation", "id"];

/// Columns that have room beside each other, and entries of what has more.
const MOST_COLUMNS: usize = 8;
const ENTRIES_A_LINE: usize = 4;
/// The field that says what a limit rests on.
const BASIS: &str = "basis";

/// JSON whose fields keep their order.
#[derive(Debug, Deserialize)]
#[serde(untagged)]
enum Json {
    Truth(bool),
    Number(Number),
    Text(String),
    List(Vec<Json>),
    Fields(IndexMap<String, Json>),
    Nothing(()),
}

/// The text of a reply.
///
/// # Errors
/// None that a reply causes.
pub fn text(reply: &[u8]) -> Result<Vec<u8>, Refusal> {
    let reply: IndexMap<String, Json> = serde_json::from_slice(reply)
        .map_err(|error| Refusal::whole("busy", format!("the reply cannot be shown: {error}")))?;
    let mut parts = Vec::new();
    if let Some(sentence) = reply.get("sentence") {
        parts.push(wrapped(&plain(sentence)));
    }
    let (mut figures, mut tables) = (Vec::new(), Vec::new());
    if let Some(liquid) = reply.get("liquid") {
        figures.push(vec!["Liquid".to_owned(), poured(liquid), String::new()]);
    }
    let apart = |name: &str| APART.contains(&name) || LISTS.iter().any(|(list, _)| *list == name);
    for (name, value) in reply.iter().filter(|(name, _)| !apart(name)) {
        rows(&words(name), value, &mut figures, &mut tables);
    }
    if !figures.is_empty() {
        parts.push(aligned(&[], figures));
    }
    for (heading, list) in tables {
        parts.push(format!("{heading}\n{}", of_list(list)));
    }
    for (name, heading) in LISTS {
        if let Some(Json::List(list)) = reply.get(name)
            && !list.is_empty()
        {
            parts.push(format!("{heading}\n{}", told(list)));
        }
    }
    if let Some(Json::Fields(record)) = reply.get("record") {
        parts.push(versions(record));
    }
    Ok((parts.join("\n\n") + "\n").into_bytes())
}

/// The rows of a field: a figure with its range, a word, or those of the fields in it. Lists of groups become tables of their own.
fn rows<'j>(
    heading: &str,
    value: &'j Json,
    figures: &mut Vec<Vec<String>>,
    tables: &mut Vec<(String, &'j [Json])>,
) {
    match value {
        Json::List(list) if list.is_empty() => {}
        Json::List(list)
            if list.iter().all(|one| matches!(one, Json::Fields(_))) || list.iter().any(is_sentence) =>
        {
            tables.push((capital(heading), list));
        }
        Json::Fields(fields) if quantity(fields).is_none() => {
            for (name, value) in fields {
                rows(&format!("{heading}, {}", words(name)), value, figures, tables);
            }
        }
        Json::Fields(fields) => {
            let (value, range) = quantity(fields).unwrap_or_default();
            figures.push(vec![capital(heading), value, range]);
        }
        // The sentence may not say so.
        Json::Truth(false) if heading == "complete" => {
            let why = "no: something could not be told or checked, see below";
            figures.push(vec![capital(heading), why.to_owned(), String::new()]);
        }
        _ => figures.push(vec![capital(heading), cell(value), String::new()]),
    }
}

/// A table of groups: a column for each field that is a figure or a word. What a limit rests on follows in lines of its own.
fn of_list(list: &[Json]) -> String {
    if list.iter().any(is_sentence) {
        return told(list);
    }
    let mut columns: IndexMap<&str, Vec<String>> = IndexMap::new();
    for (row, one) in list.iter().enumerate() {
        let Json::Fields(fields) = one else { continue };
        for (name, value) in fields.iter().filter(|(name, value)| *name != BASIS && is_cell(value)) {
            let column = columns.entry(name).or_default();
            column.resize(row, String::new());
            column.push(cell(value));
        }
    }
    // The question is told where there are several.
    let one_question = |column: &[String]| column.windows(2).all(|two| two.first() == two.get(1));
    columns.retain(|name, column| *name != "question" || !one_question(column));
    columns.retain(|_, column| column.iter().any(|cell| !cell.is_empty()));
    let names: Vec<String> = columns.keys().map(|name| capital(&words(name))).collect();
    let at = |column: &[String], row: usize| column.get(row).cloned().unwrap_or_default();
    let mut parts = Vec::new();
    if names.len() <= MOST_COLUMNS {
        let rows = (0..list.len()).map(|row| columns.values().map(|column| at(column, row)).collect());
        parts.push(aligned(&names, rows.collect()));
    } else {
        // Too many for a line: a column for each entry, as many as have room.
        for from in (0..list.len()).step_by(ENTRIES_A_LINE) {
            let entries = from..list.len().min(from + ENTRIES_A_LINE);
            let mut rows = names.iter().zip(columns.values()).map(|(name, column)| {
                std::iter::once(name.clone()).chain(entries.clone().map(|row| at(column, row))).collect()
            });
            let header: Vec<String> = rows.next().unwrap_or_default();
            parts.push(aligned(&header, rows.collect()));
        }
    }
    let bases: IndexSet<String> = list.iter().filter_map(basis).collect();
    parts.extend(bases.iter().map(|line| wrapped(line)));
    let remedies: IndexSet<String> = list.iter().filter_map(remedy).collect();
    parts.extend(remedies.iter().map(|line| wrapped(line)));
    let beside: IndexSet<String> = list.iter().flat_map(told_beside).collect();
    parts.extend(beside.iter().map(|line| wrapped(line)));
    parts.join("\n")
}

/// What an entry of a table has to say that is no cell, after its name: what is not given and why, notes, what governs it.
fn told_beside(of: &Json) -> Vec<String> {
    let Json::Fields(fields) = of else { return Vec::new() };
    let name = fields.values().next().map(cell).unwrap_or_default();
    let mut lines = Vec::new();
    for (field, value) in fields {
        let entries = match value {
            Json::List(list) => list.as_slice(),
            Json::Fields(one) if one.contains_key("sentence") => std::slice::from_ref(value),
            _ => continue,
        };
        let entries = entries.iter().filter(|one| matches!(one, Json::Fields(_)));
        let entries = entries.map(entry).filter(|text| !text.is_empty());
        lines.extend(entries.map(|text| format!("- {name}, {}: {text}", words(field))));
    }
    lines
}

/// Whether a value is a text of several words.
fn is_sentence(value: &Json) -> bool {
    matches!(value, Json::Text(text) if text.contains(' '))
}

/// Whether a value has room in a cell.
fn is_cell(value: &Json) -> bool {
    match value {
        Json::List(list) => list.iter().all(|one| !matches!(one, Json::List(_) | Json::Fields(_))),
        Json::Fields(fields) => quantity(fields).is_some(),
        _ => true,
    }
}

/// The liquid by its name, with its parts where it has several.
fn poured(liquid: &Json) -> String {
    let Json::Fields(fields) = liquid else { return cell(liquid) };
    let name = fields.get("name").map(cell).unwrap_or_default();
    let parts = match fields.get("components") {
        Some(Json::List(parts)) if parts.len() > 1 => parts.as_slice(),
        _ => return name,
    };
    let part = |part: &Json| match part {
        Json::Fields(part) => {
            let of = |name: &str| part.get(name).map(cell).unwrap_or_default();
            format!("{} (mole fraction {})", of("substance"), of("mole_fraction"))
        }
        other => cell(other),
    };
    format!("{name}: {}", parts.iter().map(part).collect::<Vec<_>>().join(", "))
}

/// The change that would mend a check, after its name.
fn remedy(of: &Json) -> Option<String> {
    let Json::Fields(fields) = of else { return None };
    let Json::Fields(remedy) = fields.get("remedy")? else { return None };
    let text = TELLING.iter().find_map(|name| remedy.get(*name)).map(cell)?;
    Some(format!("- {}, to mend it: {text}", fields.values().next().map(cell).unwrap_or_default()))
}

/// What a limit rests on, after the name of its check.
fn basis(of: &Json) -> Option<String> {
    let Json::Fields(fields) = of else { return None };
    let Json::Fields(basis) = fields.get(BASIS)? else { return None };
    let name = fields.values().next().map(cell).unwrap_or_default();
    let confirmed = matches!(basis.get("confirmed"), Some(Json::Truth(true)));
    let text = basis.get("text").map(cell)?;
    Some(format!("- {name}: {text}{}", if confirmed { "" } else { " (unconfirmed)" }))
}

/// Entries of a list, one under the other.
fn told(list: &[Json]) -> String {
    list.iter().map(|one| wrapped(&format!("- {}", entry(one)))).collect::<Vec<_>>().join("\n")
}

/// What an entry tells: after its id, if that says more, or after the pointer to what is not given.
fn entry(one: &Json) -> String {
    let Json::Fields(fields) = one else { return words(&cell(one)) };
    let Some(found) = TELLING.iter().find_map(|name| fields.get(*name)).map(cell) else {
        return String::new();
    };
    if let Some(pointer) = fields.get("pointer") {
        return format!("{}: {found}", plain(pointer));
    }
    match fields.get("id").filter(|_| !fields.contains_key("text")).map(cell) {
        Some(id) if id != found => format!("{}: {found}", words(&id)),
        _ => found,
    }
}

/// A text as it stands, without what a terminal would obey.
fn plain(value: &Json) -> String {
    match value {
        Json::Text(text) => printable(text),
        other => cell(other),
    }
}

fn printable(text: &str) -> String {
    text.chars().filter(|one| !one.is_control()).collect()
}

/// What the answer rests on, so that it can be asked again.
fn versions(record: &IndexMap<String, Json>) -> String {
    let part = |name: &str| record.get(name).map(cell).unwrap_or_default();
    let short = |name: &str| part(name).chars().take(12).collect::<String>();
    format!(
        "Brimline {}, catalogue {}, rules {}, question {}",
        part("service_version"),
        short("catalogue_version"),
        short("rules"),
        short("question_digest")
    )
}

/// Value and range of a quantity.
fn quantity(fields: &IndexMap<String, Json>) -> Option<(String, String)> {
    let (value, unit) = (fields.get("value")?, fields.get("unit")?);
    let unit = match cell(unit).as_str() {
        "1" => String::new(),
        unit => format!(" {unit}"),
    };
    let range = match (fields.get("low"), fields.get("high")) {
        (Some(low), Some(high)) => format!("{} to {}{unit}", cell(low), cell(high)),
        _ => String::new(),
    };
    Some((format!("{}{unit}", cell(value)), range))
}

fn cell(value: &Json) -> String {
    match value {
        Json::Truth(true) => "yes".to_owned(),
        Json::Truth(false) => "no".to_owned(),
        Json::Number(number) => {
            let text = number.to_string();
            text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
        }
        Json::Text(_) => {
            let text = plain(value);
            if text.contains(' ') { text } else { text.replace('_', " ") }
        }
        Json::List(list) => list.iter().map(cell).collect::<Vec<_>>().join(", "),
        Json::Fields(fields) => match quantity(fields) {
            Some((value, range)) if range.is_empty() => value,
            Some((value, range)) => format!("{value} ({range})"),
            None => fields.values().map(cell).collect::<Vec<_>>().join(", "),
        },
        Json::Nothing(()) => String::new(),
    }
}

/// A field's name in words.
fn words(name: &str) -> String {
    printable(name).replace('_', " ")
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

fn table() -> Table {
    let mut table = Table::new();
    table.load_preset(comfy_table::presets::NOTHING).set_width(WIDTH);
    table.set_content_arrangement(ContentArrangement::Dynamic);
    table
}

fn aligned(header: &[String], rows: Vec<Vec<String>>) -> String {
    let mut table = table();
    if !header.is_empty() {
        table.set_header(header);
    }
    table.add_rows(rows);
    for column in table.column_iter_mut() {
        column.set_padding((0, 2));
    }
    trimmed(&table)
}

fn wrapped(text: &str) -> String {
    let mut table = table();
    table.add_row([text]);
    for column in table.column_iter_mut() {
        column.set_padding((0, 0));
    }
    trimmed(&table)
}

/// The lines without the blanks that fill a table up.
fn trimmed(table: &Table) -> String {
    table.lines().map(|line| line.trim_end().to_owned()).collect::<Vec<_>>().join("\n")
}

#[cfg(test)]
mod tests;
