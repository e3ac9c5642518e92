//! The headings *Figures* of CHANGELOG.md as a list. `build.rs` reads it with this file: a point without a valid lead stops the build.
//!
//! A point begins with its lead, `- **method: spill, storage.**`: a kind, a colon and names. Of `method` and `default` the names are
//! questions (or `every question`), of `catalogue` ids of substances (or `every substance`), of `rule` names of rules.
//! What moves a question moves `practical`, which asks it, and `comparison`, which asks most: a point need not name them.

use brimline_openapi::recheck::{Change, ChangeKind};

/// The names that a lead may use.
#[derive(Debug)]
pub struct Known {
    /// Questions.
    pub questions: Vec<String>,
    /// Ids of substances.
    pub substances: Vec<String>,
    /// Names of rules.
    pub rules: Vec<String>,
}

/// The three numbers of a version such as `0.1.0`.
#[must_use]
pub fn version(text: &str) -> Option<(u32, u32, u32)> {
    let mut parts = text.split('.').map(|part| {
        let plain = !part.is_empty() && part.bytes().all(|byte| byte.is_ascii_digit());
        part.parse::<u32>().ok().filter(|_| plain)
    });
    let found = (parts.next()??, parts.next()??, parts.next()??);
    parts.next().is_none().then_some(found)
}

/// Reads the change log.
///
/// # Errors
/// The first point that has no valid lead, with its line.
pub fn read(text: &str, known: &Known) -> Result<Vec<Change>, String> {
    let mut changes: Vec<Change> = Vec::new();
    let (mut current, mut in_figures, mut in_point) = (String::new(), false, false);
    for (line, number) in text.lines().zip(1_usize..) {
        let fault = |what: String| format!("CHANGELOG.md:{number}: {what}");
        if let Some(heading) = line.strip_prefix("## ") {
            heading.split_whitespace().next().unwrap_or_default().clone_into(&mut current);
            if version(&current).is_none() {
                return Err(fault(format!("`{current}` is no version such as 0.1.0")));
            }
        }
        if line.starts_with('#') {
            in_figures = line.trim_end() == "### Figures";
            in_point = false;
        } else if in_figures && let Some(point) = line.strip_prefix("- ") {
            changes.push(change(&current, point, known).map_err(fault)?);
            in_point = true;
        } else if line.trim().is_empty() {
            in_point = false;
        } else if in_point && let Some(last) = changes.last_mut() {
            if !last.text.is_empty() {
                last.text.push(' ');
            }
            last.text.push_str(line.trim());
        }
    }
    Ok(changes)
}

fn change(version: &str, point: &str, known: &Known) -> Result<Change, String> {
    let lead = point.strip_prefix("**").and_then(|rest| rest.split_once(".**"));
    let (lead, text) = lead.ok_or("a point begins with its lead, such as `**method: spill, storage.**`")?;
    let (kind, names) =
        lead.split_once(": ").ok_or_else(|| format!("`{lead}` is not a kind, a colon and names"))?;
    let names: Vec<&str> = names.split(", ").collect();
    let mut change = Change {
        version: version.to_owned(),
        kind: ChangeKind::Method,
        questions: known.questions.clone(),
        substances: Vec::new(),
        rules: Vec::new(),
        text: text.trim().to_owned(),
    };
    match kind {
        "method" | "default" => {
            change.kind = if kind == "method" { ChangeKind::Method } else { ChangeKind::Default };
            if names != ["every question"] {
                change.questions = all(&names, &known.questions, "a question, nor `every question`")?;
                add_asking(&mut change.questions);
            }
        }
        "catalogue" => {
            change.kind = ChangeKind::Catalogue;
            if names != ["every substance"] {
                change.substances =
                    all(&names, &known.substances, "the id of a substance, nor `every substance`")?;
            }
        }
        "rule" => {
            change.kind = ChangeKind::Rule;
            change.rules = all(&names, &known.rules, "the name of a rule")?;
        }
        other => return Err(format!("`{other}` is not a kind: catalogue, method, rule or default")),
    }
    Ok(change)
}

/// Adds the questions that ask others. `comparison` asks `safe-fill`, which counts what most of the others tell.
fn add_asking(questions: &mut Vec<String>) {
    let own = |name: &str| ["practical", "comparison"].contains(&name);
    let compared = questions
        .iter()
        .any(|name| !own(name) && !["storage", "cooling", "vapour-pressure"].contains(&name.as_str()));
    let asked = questions.iter().any(|name| !own(name));
    for (name, asks) in [("comparison", compared), ("practical", asked)] {
        if asks && questions.iter().all(|known| known != name) {
            questions.push(name.to_owned());
        }
    }
}

fn all(names: &[&str], known: &[String], what: &str) -> Result<Vec<String>, String> {
    for name in names {
        if known.iter().all(|known| known != name) {
            return Err(format!("`{name}` is not {what}"));
        }
    }
    Ok(names.iter().map(|name| (*name).to_owned()).collect())
}

#[cfg(test)]
mod tests {
    use super::{Known, read, version};
    use brimline_openapi::recheck::ChangeKind;

    fn known() -> Known {
        let list = |names: &[&str]| names.iter().map(|name| (*name).to_owned()).collect();
        Known {
            questions: list(&["spill", "storage"]),
            substances: list(&["ethanol", "1,4-dioxane"]),
            rules: list(&["bench_amount"]),
        }
    }

    #[test]
    fn points_are_read_with_their_version_and_their_names() {
        let log = "# Changes\n\n## 0.2.0\n\nText\n- no point of figures\n\n### Figures\n\nIntro\n\n- **catalogue: ethanol, 1,4-dioxane.** One\n  goes on.\n\
                   - **method: storage.**\n  Two.\n### Other\n- three\n## 0.1.0 (first)\n### Figures\n- **default: every question.** Four.\n- **rule: bench_amount.** Five.\n- **catalogue: every substance.** Six.\n";
        let found = read(log, &known()).unwrap();
        let versions: Vec<&str> = found.iter().map(|change| change.version.as_str()).collect();
        assert_eq!(versions, ["0.2.0", "0.2.0", "0.1.0", "0.1.0", "0.1.0"]);
        let [one, two, four, five, six] = found.try_into().unwrap();
        assert_eq!((one.kind, one.text.as_str()), (ChangeKind::Catalogue, "One goes on."));
        assert_eq!(
            (one.questions.len(), one.substances),
            (2, vec!["ethanol".to_owned(), "1,4-dioxane".to_owned()])
        );
        assert_eq!((two.kind, two.text.as_str()), (ChangeKind::Method, "Two."));
        assert_eq!(
            (two.kind, two.questions),
            (ChangeKind::Method, vec!["storage".to_owned(), "practical".to_owned()])
        );
        assert_eq!((four.kind, four.questions.len()), (ChangeKind::Default, 2));
        assert_eq!((five.kind, five.rules), (ChangeKind::Rule, vec!["bench_amount".to_owned()]));
        assert!(six.substances.is_empty());
    }

    #[test]
    fn a_point_without_a_valid_lead_is_said_with_its_line() {
        for (point, said) in [
            (
                "Text alone.",
                "CHANGELOG.md:3: a point begins with its lead, such as `**method: spill, storage.**`",
            ),
            ("**method spill.** x", "CHANGELOG.md:3: `method spill` is not a kind, a colon and names"),
            (
                "**figure: spill.** x",
                "CHANGELOG.md:3: `figure` is not a kind: catalogue, method, rule or default",
            ),
            ("**method: spil.** x", "CHANGELOG.md:3: `spil` is not a question, nor `every question`"),
            (
                "**catalogue: water.** x",
                "CHANGELOG.md:3: `water` is not the id of a substance, nor `every substance`",
            ),
            ("**rule: bench.** x", "CHANGELOG.md:3: `bench` is not the name of a rule"),
        ] {
            let log = format!("## 0.1.0\n### Figures\n- {point}\n");
            assert_eq!(read(&log, &known()).unwrap_err(), said);
        }
        assert_eq!(
            read("## next\n", &known()).unwrap_err(),
            "CHANGELOG.md:1: `next` is no version such as 0.1.0"
        );
    }

    #[test]
    fn versions_are_three_numbers_and_compare_as_such() {
        assert!(version("0.10.0") > version("0.9.12"));
        for odd in ["", "1", "1.0", "1.0.0.0", "1.0.x", "1..0", "+1.0.0", "-1.0.0", "99999999999.0.0"] {
            assert_eq!(version(odd), None, "{odd}");
        }
    }
}
