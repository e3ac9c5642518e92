//! The callers that may ask: a file of names and hashes of tokens.

use data_encoding::{HEXLOWER, HEXLOWER_PERMISSIVE};
use sha2::{Digest as _, Sha256};
use std::fs::{self, File};
use std::io::Read as _;
use std::os::unix::fs::PermissionsExt as _;
use std::path::Path;
use std::sync::Arc;
use subtle::{ConditionallySelectable as _, ConstantTimeEq as _};

/// Largest token file: some ten thousand callers.
const LARGEST_FILE: u64 = 1024 * 1024;
/// Longest name of a caller.
const LONGEST_NAME: usize = 64;
/// Random bytes in a token.
const TOKEN_BYTES: usize = 32;
/// What stands before a hash.
const HASHED_BY: &str = "sha256:";
/// Permission bits: others may write, others may read.
const OTHERS_WRITE: u32 = 0o002;
const OTHERS_READ: u32 = 0o004;

/// SHA-256 of a token.
type Hash = [u8; 32];

/// Who may ask.
#[derive(Debug, Clone, Default)]
pub struct Callers(Vec<(Arc<str>, Hash)>);

/// Why a token file is not taken.
#[derive(Debug, thiserror::Error)]
pub enum Fault {
    /// It cannot be read.
    #[error("it cannot be read: {0}")]
    Unreadable(#[from] std::io::Error),
    /// Whoever may write it decides who may ask.
    #[error("everybody on this machine may write it: take that away (`chmod o-w`)")]
    Writable,
    /// It is too large.
    #[error("it is larger than {LARGEST_FILE} bytes")]
    TooLarge,
    /// It is not text.
    #[error("it is not UTF-8 text")]
    NotText,
    /// Nobody could ask.
    #[error("it names no caller: `brimline token NAME` makes a line")]
    Empty,
    /// A line is not understood; it may hold a token by mistake and is not shown.
    #[error("line {0}: {1}")]
    Line(usize, &'static str),
}

impl Callers {
    /// Reads a file; whether others on the machine may read it, too.
    ///
    /// # Errors
    /// [`Fault`].
    pub fn read(file: &Path) -> Result<(Self, bool), Fault> {
        let file = File::open(file)?;
        let mode = file.metadata().map(|about| permissions(&about))?;
        if mode & OTHERS_WRITE != 0 {
            return Err(Fault::Writable);
        }
        let mut bytes = Vec::new();
        file.take(LARGEST_FILE + 1).read_to_end(&mut bytes)?;
        if bytes.len() as u64 > LARGEST_FILE {
            return Err(Fault::TooLarge);
        }
        let text = String::from_utf8(bytes).map_err(|_| Fault::NotText)?;
        Ok((Self::of(&text)?, mode & OTHERS_READ != 0))
    }

    /// The callers of a text: one a line; `#` begins a remark. A name may stand twice, while its token is being replaced.
    ///
    /// # Errors
    /// [`Fault`].
    pub fn of(text: &str) -> Result<Self, Fault> {
        let mut callers: Vec<(Arc<str>, Hash)> = Vec::new();
        for (number, line) in (1..).zip(text.trim_start_matches('\u{feff}').lines()) {
            let fault = |what| Fault::Line(number, what);
            let told = line.split('#').next().unwrap_or_default();
            let mut words = told.split_whitespace();
            let (name, hash) = match (words.next(), words.next(), words.next()) {
                (None, ..) => continue,
                (Some(name), Some(hash), None) => (name, hash),
                _ => return Err(fault("a line is a name and `sha256:` with 64 hexadecimal digits")),
            };
            if !is_name(name) {
                return Err(fault("a name has 1 to 64 letters, digits, `.`, `_` and `-`"));
            }
            let hash = hash.strip_prefix(HASHED_BY).and_then(from_hexadecimal);
            let hash =
                hash.ok_or_else(|| fault("after the name stands `sha256:` and 64 hexadecimal digits"))?;
            if callers.iter().any(|(_, other)| *other == hash) {
                return Err(fault("this token stands in an earlier line already"));
            }
            callers.push((name.into(), hash));
        }
        if callers.is_empty() { Err(Fault::Empty) } else { Ok(Self(callers)) }
    }

    /// Whose token it is. Every entry is looked at, and each in the same time, so that time tells nothing.
    #[must_use]
    pub fn known(&self, token: &str) -> Option<&Arc<str>> {
        let hash = hashed(token);
        let mut found = u32::MAX;
        for (place, (_, entry)) in (0..).zip(&self.0) {
            found.conditional_assign(&place, entry.as_slice().ct_eq(hash.as_slice()));
        }
        self.0.get(usize::try_from(found).ok()?).map(|(name, _)| name)
    }

    /// How many tokens there are.
    #[must_use]
    pub fn count(&self) -> usize {
        self.0.len()
    }
}

/// Whether a text can name a caller.
#[must_use]
pub fn is_name(text: &str) -> bool {
    let allowed = |byte: u8| byte.is_ascii_alphanumeric() || b"._-".contains(&byte);
    (1..=LONGEST_NAME).contains(&text.len()) && text.bytes().all(allowed)
}

/// A new token, and the line of the file for it.
///
/// # Errors
/// The system gives no random bytes.
pub fn new_token(name: &str) -> Result<(String, String), getrandom::Error> {
    let mut random = [0; TOKEN_BYTES];
    getrandom::fill(&mut random)?;
    let token = HEXLOWER.encode(&random);
    let line = format!("{name} {HASHED_BY}{}", HEXLOWER.encode(&hashed(&token)));
    Ok((token, line))
}

fn hashed(token: &str) -> Hash {
    Sha256::digest(token).into()
}

fn from_hexadecimal(text: &str) -> Option<Hash> {
    HEXLOWER_PERMISSIVE.decode(text.as_bytes()).ok()?.try_into().ok()
}

fn permissions(about: &fs::Metadata) -> u32 {
    about.permissions().mode()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_new_token_is_known_by_its_line_and_no_other_is() {
        let (token, line) = new_token("planning").unwrap();
        let (other, second) = new_token("dashboard").unwrap();
        assert_ne!(token, other);
        let callers = Callers::of(&format!("# Ottermoor High\n\n{line} # lab S3\r\n{second}\n")).unwrap();
        assert_eq!(callers.count(), 2);
        assert_eq!(callers.known(&token).map(|name| &**name), Some("planning"));
        assert_eq!(callers.known(&other).map(|name| &**name), Some("dashboard"));
        assert_eq!(callers.known(&token.to_uppercase()), None);
        assert_eq!(callers.known(""), None);
    }

    #[test]
    fn a_name_may_have_two_tokens_but_a_token_one_line() {
        let (first, second) = (new_token("planning").unwrap(), new_token("planning").unwrap());
        let callers = Callers::of(&format!("{}\n{}", first.1, second.1)).unwrap();
        assert!(callers.known(&first.0).is_some() && callers.known(&second.0).is_some());
        assert!(Callers::of(&format!("{}\n{}", first.1, first.1)).is_err());
    }

    #[test]
    fn a_broken_line_is_named_by_its_number_and_not_shown() {
        for (text, number) in [
            ("planning", 1),
            ("# two\nplanning sha256:abc", 2),
            ("planning secret-token-in-clear", 1),
            ("plan/ning sha256:00", 1),
            (&format!("planning sha256:{} more", "0".repeat(64)), 1),
            (&format!("planning sha256:{}", "+0".repeat(32)), 1),
            (&format!("planning sha256:{}", "é".repeat(32)), 1),
        ] {
            let fault = Callers::of(text).unwrap_err().to_string();
            assert!(fault.starts_with(&format!("line {number}: ")), "{fault}");
            assert!(!fault.contains("secret"), "{fault}");
        }
        assert!(matches!(Callers::of("# nobody\n\n"), Err(Fault::Empty)));
    }
}
