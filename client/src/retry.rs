//! How often, and after which pause, a request is sent again.

use std::time::Duration;

/// How often, and after which pause, a request is sent again.
///
/// The pause doubles with each try, up to the longest one. Where the service asks to wait longer (`Retry-After`), it is waited for
/// as long as it asks and never less. Where it asks for more than the longest pause, the request is not sent again: the error says
/// how long to wait, so that the caller decides and does not hang.
///
/// ```
/// use brimline_client::Retry;
/// use std::time::Duration;
/// let retry = Retry::default();
/// assert_eq!(retry.pause(1, None), Some(Duration::from_millis(100)));
/// assert_eq!(retry.pause(2, None), Some(Duration::from_millis(200)));
/// assert_eq!(retry.pause(3, None), None, "three tries altogether");
/// assert_eq!(retry.pause(1, Some(Duration::from_secs(2))), Some(Duration::from_secs(2)));
/// assert_eq!(retry.pause(1, Some(Duration::from_secs(60))), None, "longer than the longest pause");
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Retry {
    /// Tries altogether; 1 sends once only. In a batch: tries without a further answer.
    pub tries: u32,
    /// Pause after the first try; each later one is twice as long.
    pub first_pause: Duration,
    /// Longest pause.
    pub longest_pause: Duration,
}

impl Default for Retry {
    fn default() -> Self {
        Self { tries: 3, first_pause: Duration::from_millis(100), longest_pause: Duration::from_secs(5) }
    }
}

impl Retry {
    /// Every request is sent once only.
    ///
    /// ```
    /// assert_eq!(brimline_client::Retry::never().pause(1, None), None);
    /// ```
    #[must_use]
    pub fn never() -> Self {
        Self { tries: 1, ..Self::default() }
    }

    /// The pause after a try, or none where there is no further one.
    ///
    /// ```
    /// use brimline_client::Retry;
    /// use std::time::Duration;
    /// let patient = Retry { tries: 20, ..Retry::default() };
    /// assert_eq!(patient.pause(19, None), Some(patient.longest_pause));
    /// ```
    #[must_use]
    pub fn pause(&self, tried: u32, asked: Option<Duration>) -> Option<Duration> {
        let asked = asked.unwrap_or_default();
        if tried >= self.tries || asked > self.longest_pause {
            return None;
        }
        let doubled = self.first_pause.saturating_mul(2_u32.saturating_pow(tried.saturating_sub(1).min(16)));
        Some(doubled.min(self.longest_pause).max(asked))
    }
}
