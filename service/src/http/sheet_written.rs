//! A sheet as a page to print and as Markdown, both from the one [`Sheet`].

use super::pages::escape;
use super::sheet::{Cell, Part, Section, Sheet, Table};
use std::fmt::Write as _;

const STYLE: &str = include_str!("../../pages/sheet.css");
/// Characters that mean something in Markdown wherever they stand.
const MARKS: &str = "\\`*_{}[]|~#$@";

/// The sheet as a page: no scripts, nothing from outside.
#[must_use]
pub fn html(sheet: &Sheet) -> String {
    let title = escape(&readable(&sheet.title)).replace('\'', "&#39;");
    // Version and digest are our own: letters, digits, full stops.
    let mut page = format!(
        "<!DOCTYPE html>\n<html lang=\"en-GB\"><head><meta charset=\"utf-8\"><title>{title}</title>\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"><style>{STYLE}\
         @page {{ @bottom-left {{ content: \"{}\" }} }}</style></head><body><main>\n<h1>{}</h1>\n",
        escape(&sheet.foot),
        html_text(&sheet.title)
    );
    for section in &sheet.sections {
        html_section(&mut page, section);
    }
    page.push_str("</main></body></html>\n");
    page
}

fn html_section(page: &mut String, section: &Section) {
    let _ = writeln!(page, "<section class=\"{}\">\n<h2>{}</h2>", section.class, html_text(&section.heading));
    for part in &section.parts {
        match part {
            Part::Said(text) => {
                let _ = writeln!(page, "<p>{}</p>", html_text(text));
            }
            Part::Strong(text) => {
                let _ = writeln!(page, "<p><strong>{}</strong></p>", html_text(text));
            }
            Part::List(items) => html_list(page, "<ul>", items, "</ul>"),
            Part::Numbered(items) => html_list(page, "<ol>", items, "</ol>"),
            Part::Ticked(items) => html_list(page, "<ul class=\"ticked\">", items, "</ul>"),
            Part::Table(table) => html_table(page, table),
            Part::Picture { svg, .. } => {
                let _ = writeln!(page, "{svg}");
            }
        }
    }
    page.push_str("</section>\n");
}

fn html_list(page: &mut String, open: &str, items: &[String], close: &str) {
    page.push_str(open);
    for item in items {
        let _ = write!(page, "<li>{}</li>", html_text(item));
    }
    page.push_str(close);
    page.push('\n');
}

fn html_table(page: &mut String, table: &Table) {
    let _ = write!(
        page,
        "<table class=\"{}\"><caption>{}</caption><thead><tr>",
        table.class,
        html_text(table.caption)
    );
    for head in table.heads {
        let _ = write!(page, "<th scope=\"col\">{}</th>", html_text(head));
    }
    page.push_str("</tr></thead><tbody>\n");
    for row in &table.rows {
        // A long note has a row of its own, as wide as the table, with the one that it belongs to.
        let below = row.first().filter(|cell| table.notes_below && !cell.note.is_empty());
        page.push_str("<tr>");
        for (place, cell) in row.iter().enumerate() {
            let (open, close) = if place == 0 { ("<th scope=\"row\">", "</th>") } else { ("<td>", "</td>") };
            let _ = write!(page, "{open}{}", html_text(&cell.text));
            if !(cell.note.is_empty() || place == 0 && below.is_some()) {
                let _ = write!(page, " <small>{}</small>", html_text(&cell.note));
            }
            page.push_str(close);
        }
        page.push_str("</tr>\n");
        if let Some(cell) = below {
            let note = html_text(&cell.note);
            let _ = writeln!(page, "<tr class=\"note\"><td colspan=\"{}\">{note}</td></tr>", row.len());
        }
    }
    page.push_str("</tbody></table>\n");
}

fn html_text(text: &str) -> String {
    let mut made = String::with_capacity(text.len());
    for (leftward, run) in runs(&readable(text)) {
        let escaped = escape(&run).replace('\'', "&#39;");
        let _ = if leftward { write!(made, "<bdi>{escaped}</bdi>") } else { write!(made, "{escaped}") };
    }
    made
}

/// The sheet as Markdown with tables and lists to tick.
#[must_use]
pub fn markdown(sheet: &Sheet) -> String {
    let mut page = format!("# {}\n", markdown_text(&sheet.title));
    for section in &sheet.sections {
        let _ = write!(page, "\n## {}\n", markdown_text(&section.heading));
        for part in &section.parts {
            page.push('\n');
            match part {
                Part::Said(text) => {
                    let _ = writeln!(page, "{}", markdown_text(text));
                }
                Part::Strong(text) => {
                    let _ = writeln!(page, "**{}**", markdown_text(text));
                }
                Part::List(items) => markdown_list(&mut page, |_| "- ".to_owned(), items),
                Part::Numbered(items) => markdown_list(&mut page, |place| format!("{}. ", place + 1), items),
                Part::Ticked(items) => markdown_list(&mut page, |_| "- [ ] ".to_owned(), items),
                Part::Table(table) => markdown_table(&mut page, table),
                Part::Picture { said, .. } => {
                    let _ = writeln!(page, "{}", markdown_text(said));
                }
            }
        }
    }
    let _ = write!(page, "\n{}\n", markdown_text(&sheet.foot));
    page
}

fn markdown_list(page: &mut String, mark: impl Fn(usize) -> String, items: &[String]) {
    for (place, item) in items.iter().enumerate() {
        let _ = writeln!(page, "{}{}", mark(place), markdown_text(item));
    }
}

fn markdown_table(page: &mut String, table: &Table) {
    let _ = writeln!(page, "{}:\n", markdown_text(table.caption));
    let heads: Vec<String> = table.heads.iter().map(|head| markdown_text(head)).collect();
    let _ = writeln!(page, "| {} |\n|{}", heads.join(" | "), "---|".repeat(heads.len()));
    for row in &table.rows {
        let cells: Vec<String> = row.iter().map(markdown_cell).collect();
        let _ = writeln!(page, "| {} |", cells.join(" | "));
    }
}

fn markdown_cell(cell: &Cell) -> String {
    if cell.note.is_empty() {
        return markdown_text(&cell.text);
    }
    markdown_text(&format!("{} [{}]", cell.text.trim_end_matches('.'), cell.note))
}

fn markdown_text(text: &str) -> String {
    let mut made = String::with_capacity(text.len());
    for (leftward, run) in runs(&readable(text)) {
        // First strong isolate and its end: Markdown has no element of its own for it.
        if leftward {
            made.push('\u{2068}');
        }
        for letter in run.chars() {
            match letter {
                // As in a page: they stay text whatever reads them.
                '<' => made.push_str("&lt;"),
                '>' => made.push_str("&gt;"),
                '&' => made.push_str("&amp;"),
                letter if MARKS.contains(letter) => made.extend(['\\', letter]),
                letter => made.push(letter),
            }
        }
        if leftward {
            made.push('\u{2069}');
        }
    }
    // An address is not made into a link.
    let made = made.replace("://", ":\\//").replace("www.", "www\\.");
    // At its start a line could become a list or a heading.
    let digits = made.len() - made.trim_start_matches(|letter: char| letter.is_ascii_digit()).len();
    let (number, rest) = made.split_at(digits);
    let numbered = !number.is_empty()
        && rest.strip_prefix(['.', ')']).is_some_and(|after| after.is_empty() || after.starts_with(' '));
    if numbered || (number.is_empty() && rest.starts_with(['-', '+', '='])) {
        return format!("{number}\\{rest}");
    }
    made
}

/// A text as it is read: degrees as on a thermometer; nothing that breaks the line or turns the order of what follows.
pub(super) fn readable(text: &str) -> String {
    let plain: String = text
        .chars()
        .map(|letter| match letter {
            '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' => {
                '\u{fffd}'
            }
            '\u{2028}' | '\u{2029}' => ' ',
            letter if letter.is_control() => ' ',
            letter => letter,
        })
        .collect();
    let mut pieces = plain.split(" Cel");
    let mut made = pieces.next().unwrap_or_default().to_owned();
    for piece in pieces {
        let degrees = made.ends_with(|letter: char| letter.is_ascii_digit())
            && !piece.starts_with(|letter: char| letter.is_alphanumeric());
        made.push_str(if degrees { " °C" } else { " Cel" });
        made.push_str(piece);
    }
    made.trim().to_owned()
}

/// The parts of a text that are written from right to left, marked, and those between them.
pub(super) fn runs(text: &str) -> Vec<(bool, String)> {
    let mut found = Vec::new();
    let (mut run, mut held, mut inside) = (String::new(), String::new(), false);
    for letter in text.chars() {
        if leftward(letter) {
            if !inside {
                found.push((false, std::mem::take(&mut run)));
                inside = true;
            }
            run.push_str(&std::mem::take(&mut held));
            run.push(letter);
        } else if !inside {
            run.push(letter);
        } else if letter.is_alphabetic() {
            found.push((true, std::mem::replace(&mut run, std::mem::take(&mut held))));
            run.push(letter);
            inside = false;
        } else {
            held.push(letter);
        }
    }
    found.push((inside, run));
    found.push((false, held));
    found
}

/// Whether a letter is of a script that is written from right to left.
const fn leftward(letter: char) -> bool {
    matches!(letter, '\u{590}'..='\u{8ff}' | '\u{fb1d}'..='\u{fdff}' | '\u{fe70}'..='\u{fefe}' | '\u{10800}'..='\u{10fff}' | '\u{1e800}'..='\u{1efff}')
}

#[cfg(test)]
mod tests {
    use super::{html_text, markdown_text};

    #[test]
    fn markup_stays_text_in_both_formats() {
        assert_eq!(html_text("<b a='1'>&\"x\""), "&lt;b a=&#39;1&#39;&gt;&amp;&quot;x&quot;");
        assert_eq!(markdown_text("<b>|`*_# &amp;"), "&lt;b&gt;\\|\\`\\*\\_\\# &amp;amp;");
        for (text, written) in [
            ("- a", "\\- a"),
            ("+ a", "\\+ a"),
            ("12. a", "12\\. a"),
            ("1) a", "1\\) a"),
            ("12.5 mL", "12.5 mL"),
            ("a\n# b", "a \\# b"),
            ("http://x www.y", "http:\\//x www\\.y"),
        ] {
            assert_eq!(markdown_text(text), written);
        }
    }

    #[test]
    fn what_runs_from_right_to_left_turns_nothing_around_it() {
        assert_eq!(html_text("a שלום 5 אבא 6 mL"), "a <bdi>שלום 5 אבא</bdi> 6 mL");
        assert_eq!(html_text("שלום!"), "<bdi>שלום</bdi>!");
        assert_eq!(markdown_text("a שלום b"), "a \u{2068}שלום\u{2069} b");
        assert_eq!(html_text("5 \u{202e}Lm 6"), "5 \u{fffd}Lm 6");
    }

    #[test]
    fn degrees_are_written_as_on_a_thermometer() {
        assert_eq!(html_text("at 5 Cel, 6 Cel. Cel 7 Celsius"), "at 5 °C, 6 °C. Cel 7 Celsius");
    }
}
