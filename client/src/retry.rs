//! How often, and after which pause, a request is sent again.

use std::time::Duration;

/// How often, and after which pause, a request is sent again.
///
/// ```
/// use brimline_client::Retry;
/// use std::time::Duration;
/// let retry = Retry::default();
/// assert_eq!(retry.pause(1, None), Duration::from_millis(100));
/// assert_eq!(retry.pause(3, None), Duration::from_millis(400));
/// assert_eq!(retry.pause(1, Some(Duration::from_secs(2))), Duration::from_secs(2));
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Retry {
    /// Tries altogether; 1 sends once only.
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
    /// The pause after a try: what the service asks for, else twice the last one; never more than the longest.
    #[must_use]
    pub fn pause(&self, tried: u32, asked: Option<Duration>) -> Duration {
        let doubled = self.first_pause.saturating_mul(2_u32.saturating_pow(tried.saturating_sub(1).min(16)));
        asked.unwrap_or(doubled).min(self.longest_pause)
    }
}
