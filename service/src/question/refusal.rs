//! Why a request is refused, and the problem document that says so.

use brimline_openapi::Text;
use brimline_openapi::problem::{Fault, Problem, ProblemType, problem_type};

/// Why a request cannot be answered: every independent fault, with its place.
///
/// # Design
/// A list, not the first fault: a script that plans lessons mends a request in one go. The kinds are the closed
/// table [`brimline_openapi::problem::PROBLEMS`], since three programs branch on them.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{} fault(s)", faults.len())]
pub struct Refusal {
    /// The faults, never empty.
    pub faults: Vec<Fault>,
}

impl Refusal {
    /// A refusal for one fault that concerns the whole request.
    #[must_use]
    pub fn whole(code: &'static str, detail: impl Into<String>) -> Self {
        Self::at("", code, detail)
    }

    /// A refusal for one fault at a JSON pointer.
    #[must_use]
    pub fn at(pointer: &str, code: &'static str, detail: impl Into<String>) -> Self {
        let code = Text::Borrowed(code);
        let fault = Fault {
            code,
            pointer: pointer.to_owned(),
            detail: detail.into(),
            expected: None,
            suggestion: None,
        };
        Self { faults: vec![fault] }
    }

    /// The kind of the document: that of its faults where they are of one kind, else `several-faults`.
    #[must_use]
    pub fn kind(&self) -> ProblemType {
        let several =
            ProblemType { code: "several-faults", status: 422, title: "The request has several faults" };
        let Some(first) = self.faults.first() else { return several };
        if self.faults.iter().any(|fault| fault.code != first.code) {
            return several;
        }
        problem_type(&first.code).copied().unwrap_or(several)
    }

    /// The problem document.
    #[must_use]
    pub fn problem(&self) -> Problem {
        let kind = self.kind();
        let detail = match self.faults.as_slice() {
            [] => kind.title.to_owned(),
            [one] => one.detail.clone(),
            [first, rest @ ..] => format!("{} (and {} more)", first.detail, rest.len()),
        };
        Problem {
            kind: Text::Owned(format!("/problems/{}", kind.code)),
            code: Text::Borrowed(kind.code),
            title: Text::Borrowed(kind.title),
            status: kind.status,
            detail,
            errors: self.faults.clone(),
        }
    }
}
