//! Why a question was not answered.

use brimline_openapi::Problem;
use std::time::Duration;

/// Why a question was not answered.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// The service refused the request: the caller can mend it; every fault is listed with its pointer.
    #[error("refused: {}", .0.detail)]
    Refused(Box<Problem>),
    /// The service is busy, or this caller asks too often.
    #[error("the service is busy")]
    Busy {
        /// How long the service asks to wait.
        retry_after: Option<Duration>,
    },
    /// No reply came: wrong address, no connection, a time-out, a reply that broke off.
    #[error("the service cannot be reached: {0}")]
    Unreachable(#[source] reqwest::Error),
    /// The address is none.
    #[error("the address of the service is wrong: {0}")]
    WrongAddress(String),
    /// The token cannot be sent.
    #[error("the token holds what cannot stand in a header")]
    WrongToken,
    /// A reply that this client does not know, such as a proxy's page; its body is kept.
    #[error("an unexpected reply with status {status}")]
    Unexpected {
        /// The HTTP status.
        status: u16,
        /// The body as text.
        body: String,
    },
}

impl Error {
    pub(crate) fn wrong_address(error: &dyn std::fmt::Display) -> Self {
        Self::WrongAddress(error.to_string())
    }

    /// Whether the same request may be answered a moment later.
    #[must_use]
    pub fn is_retryable(&self) -> bool {
        match self {
            Self::Busy { .. } => true,
            Self::Unreachable(error) => !error.is_builder(),
            Self::Unexpected { status, .. } => matches!(status, 502 | 504),
            Self::Refused(_) | Self::WrongAddress(_) | Self::WrongToken => false,
        }
    }

    /// How long the service asks to wait.
    #[must_use]
    pub const fn retry_after(&self) -> Option<Duration> {
        match self {
            Self::Busy { retry_after } => *retry_after,
            _ => None,
        }
    }
}
