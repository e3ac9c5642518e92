//! The rules in force for one request: those of the catalogue, with what the request replaced.

use super::reader::Fields;
use super::record::Group;
use crate::catalogue::Catalogue;
use crate::catalogue::rule::{NAMES, Rule, field, figure};
use crate::quantity::parse;
use brimline_openapi::catalogue::Direction;
use brimline_openapi::problem::{Expected, Fault};
use brimline_openapi::{Grounds, Text};

/// The rules in force for one request.
#[derive(Debug, Clone)]
pub struct Rules {
    catalogue: &'static Catalogue,
    replaced: Vec<(&'static str, f64)>,
    relaxed_by: Option<(String, String)>,
    relaxed: bool,
    may_be_relaxed: bool,
}

impl Rules {
    /// Reads `rules` and `relaxed_by` of a request; faults are gathered there.
    #[must_use]
    pub fn read(fields: &Fields<'_>, catalogue: &'static Catalogue, relaxed_allowed: bool) -> Self {
        let relaxed_by = fields.group("relaxed_by").map(|by| {
            let role = by
                .required("role", "who answers for it")
                .and_then(|_| by.text("role", 200))
                .unwrap_or_default();
            let reason =
                by.required("reason", "why").and_then(|_| by.text("reason", 1000)).unwrap_or_default();
            by.finish();
            (role.to_owned(), reason.to_owned())
        });
        let mut rules = Self {
            catalogue,
            replaced: Vec::new(),
            relaxed_by,
            relaxed: false,
            may_be_relaxed: relaxed_allowed,
        };
        if let Some(group) = fields.group("rules") {
            for (name, value) in group.entries() {
                rules.replace(&group, name, value, relaxed_allowed);
            }
        }
        rules.replaced.sort_by_key(|(name, _)| *name);
        rules
    }

    fn replace(&mut self, group: &Fields<'_>, name: &str, value: &serde_json::Value, relaxed_allowed: bool) {
        let pointer = group.at(name);
        let Some(&(name, dimension, unit)) = NAMES.iter().find(|(known, ..)| *known == name) else {
            let names = NAMES.iter().map(|(known, ..)| *known);
            let near = group.faults().suggests().then(|| super::reader::nearest(name, names)).flatten();
            let near = near.map(str::to_owned);
            let shown: String = name.chars().take(60).collect();
            group.faults().add(
                "unknown-rule",
                pointer,
                format!("`{shown}` is not a rule; see /v1/rules"),
                near,
            );
            return;
        };
        let field = field(dimension, unit);
        let number = match parse::read(value, &field) {
            Ok(number) => number,
            Err(fault) => {
                let examples = field.examples.iter().map(|&example| example.to_owned()).collect();
                group.faults().push(Fault {
                    code: Text::Borrowed(fault.code),
                    pointer,
                    detail: fault.detail,
                    expected: Some(Expected { dimension: Text::Borrowed(dimension.name()), examples }),
                    suggestion: fault.suggestion,
                });
                return;
            }
        };
        let Some(rule) = self.rule(name) else { return };
        let laxer = match rule.stricter {
            Direction::Lower => number > rule.number,
            _ => number < rule.number,
        };
        if laxer && !(relaxed_allowed && self.relaxed_by.is_some()) {
            let why = if relaxed_allowed {
                "the request does not name `relaxed_by` with `role` and `reason`"
            } else {
                "this service was not started with --allow-relaxed-rules"
            };
            let detail = format!("{number} {unit} is laxer than {} {unit}, and {why}", rule.number);
            group.faults().add("relaxed-rule", pointer, detail, Some(format!("{} {unit}", rule.number)));
            return;
        }
        self.relaxed |= laxer;
        if number.to_bits() != rule.number.to_bits() {
            self.replaced.push((name, number));
        }
    }

    fn rule(&self, name: &str) -> Option<&'static Rule> {
        self.catalogue.rule(name)
    }

    /// The figure of a rule, in its unit. Every name that the program uses is in the catalogue: loading checks it.
    #[must_use]
    pub fn number(&self, name: &str) -> f64 {
        let replaced = self.replaced.iter().find(|(known, _)| *known == name).map(|(_, number)| *number);
        replaced.or_else(|| self.rule(name).map(|rule| rule.number)).unwrap_or(f64::NAN)
    }

    /// The figure of a rule with its unit.
    #[must_use]
    pub fn figure(&self, name: &str) -> String {
        figure(self.number(name), self.rule(name).map_or("", |rule| rule.unit))
    }

    /// What a rule rests on; a replaced one rests on the request.
    #[must_use]
    pub fn grounds(&self, name: &str) -> Grounds {
        let mut grounds = self.rule(name).map_or_else(
            || Grounds {
                kind: brimline_openapi::BasisKind::Judgement,
                text: Text::Borrowed(""),
                source: None,
                confirmed: false,
            },
            |rule| Grounds {
                kind: rule.grounds.kind,
                text: Text::Borrowed(&rule.text),
                source: rule.grounds.source.as_deref().map(Text::Borrowed),
                confirmed: rule.grounds.confirmed,
            },
        );
        if self.replaced.iter().any(|(known, _)| *known == name) {
            grounds.text =
                Text::Owned(format!("{} Replaced by the request: {}.", grounds.text, self.number(name)));
        }
        grounds
    }

    /// The text of a rule.
    #[must_use]
    pub fn text(&self, name: &str) -> &'static str {
        self.rule(name).map_or("", |rule| rule.text.as_str())
    }

    /// The text of a rule with its figure.
    #[must_use]
    pub fn stated(&self, name: &str) -> &'static str {
        self.rule(name).map_or("", |rule| rule.stated.as_str())
    }

    /// Whether a rule may be made laxer.
    #[must_use]
    pub const fn may_be_relaxed(&self) -> bool {
        self.may_be_relaxed
    }

    /// Whether a rule was made laxer, and by whom and why.
    #[must_use]
    pub fn relaxed(&self) -> Option<&(String, String)> {
        self.relaxed_by.as_ref().filter(|_| self.relaxed)
    }

    /// The replaced rules with their figures and units.
    pub fn replaced(&self) -> impl Iterator<Item = (&'static str, f64, &'static str)> {
        self.replaced.iter().filter_map(|(name, number)| Some((*name, *number, self.rule(name)?.unit)))
    }

    /// Records what was replaced.
    pub fn record(&self, request: &mut Group) {
        let mut group = Group::default();
        for (name, number, unit) in self.replaced() {
            group.number_with_unit(name, number, unit);
        }
        request.group("rules", group);
        if let Some((role, reason)) = self.relaxed() {
            let mut by = Group::default();
            by.word("role", role.clone());
            by.word("reason", reason.clone());
            request.group("relaxed_by", by);
        }
    }
}
