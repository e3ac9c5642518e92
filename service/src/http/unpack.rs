//! A coded body, decoded within its bound.
//!
//! The framework's decoder unpacks a whole chunk before anybody can count; here what comes out is counted while it comes
//! out, and a zstd frame cannot ask for a large window.

use super::coding::{ACCEPTED, Coding};
use crate::question::Refusal;
use flate2::bufread::GzDecoder;
use std::io::{self, Read};

/// Log2 of the largest zstd window: 8 MB, what RFC 9659 lets a sender use over HTTP.
const LARGEST_WINDOW: u32 = 23;
/// Most gzip members in a body: each costs a decoder, and a member of nothing has twenty octets.
const MOST_MEMBERS: usize = 256;
/// Coded bodies up to this are decoded where they were read; longer ones on another thread.
const SHORT: usize = 4 * 1024;

/// The coding of a body.
///
/// # Errors
/// `unsupported-coding`, with what is accepted.
pub fn coding(content_encoding: &str) -> Result<Coding, Refusal> {
    Coding::named(content_encoding).ok_or_else(|| {
        let detail = format!(
            "the body is coded as `{content_encoding}`; send one of {ACCEPTED}, and one coding at a time"
        );
        Refusal::whole("unsupported-coding", detail)
    })
}

/// A body decoded; at most `largest` octets.
///
/// # Errors
/// `too-large`, `not-decoded`.
pub async fn decoded(coding: Coding, body: Vec<u8>, largest: usize) -> Result<Vec<u8>, Refusal> {
    if coding == Coding::Identity {
        return Ok(body);
    }
    if body.len() <= SHORT && largest <= super::read::LARGEST_BODY {
        return unpacked(coding, &body, largest);
    }
    tokio::task::spawn_blocking(move || unpacked(coding, &body, largest))
        .await
        .unwrap_or_else(|_| Err(Refusal::whole("busy", "the body could not be decoded just now")))
}

/// What a coded body holds; at most `largest` octets.
///
/// # Errors
/// `too-large`, `not-decoded`.
pub fn unpacked(coding: Coding, body: &[u8], largest: usize) -> Result<Vec<u8>, Refusal> {
    let mut out = Vec::new();
    let read = match coding {
        Coding::Identity => {
            out.extend_from_slice(body);
            Ok(())
        }
        Coding::Gzip => gzip(body, largest, &mut out),
        Coding::Zstd => zstd_frames(body, largest, &mut out),
    };
    if out.len() > largest {
        return Err(Refusal::whole("too-large", format!("the body is larger than {largest} bytes decoded")));
    }
    read.map(|()| out).map_err(|error| {
        let why = match error.kind() {
            io::ErrorKind::UnexpectedEof => "it breaks off".to_owned(),
            _ => error.to_string(),
        };
        let detail = format!(
            "the body is declared as {0} and is not valid {0}: {why}; send it whole, or as it is",
            coding.name()
        );
        Refusal::whole("not-decoded", detail)
    })
}

/// One octet more than there may be, so that too much is seen.
fn room(largest: usize, out: &[u8]) -> u64 {
    u64::try_from(largest.saturating_sub(out.len())).unwrap_or(u64::MAX).saturating_add(1)
}

fn gzip(mut body: &[u8], largest: usize, out: &mut Vec<u8>) -> io::Result<()> {
    for member in 0..MOST_MEMBERS {
        if body.is_empty() {
            return Ok(());
        }
        if member > 0 && !body.starts_with(&[0x1f, 0x8b]) {
            return Err(io::Error::new(io::ErrorKind::InvalidData, "something follows after its end"));
        }
        GzDecoder::new(&mut body).take(room(largest, out)).read_to_end(out)?;
        if out.len() > largest {
            return Ok(());
        }
    }
    if body.is_empty() { Ok(()) } else { Err(io::Error::other("it has too many members")) }
}

fn zstd_frames(body: &[u8], largest: usize, out: &mut Vec<u8>) -> io::Result<()> {
    let mut decoder = zstd::stream::read::Decoder::with_buffer(body)?;
    decoder.window_log_max(LARGEST_WINDOW)?;
    decoder.take(room(largest, out)).read_to_end(out)?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn code(coding: Coding, body: &[u8]) -> &'static str {
        unpacked(coding, body, 1000).unwrap_err().kind().code
    }

    #[test]
    fn what_breaks_off_is_wrong_or_is_followed_by_more_is_refused() {
        for coding in [Coding::Gzip, Coding::Zstd] {
            let whole = coding.packed(&[b'x'; 900]).unwrap();
            assert_eq!(unpacked(coding, &whole, 1000).unwrap(), [b'x'; 900]);
            for length in 1..whole.len() {
                assert_eq!(code(coding, &whole[..length]), "not-decoded", "{} {length}", coding.name());
            }
            assert_eq!(code(coding, &[&whole[..], b"rubbish"].concat()), "not-decoded");
            assert_eq!(code(coding, b"{\"liquid\": \"ethanol\"}"), "not-decoded");
            let mut changed = whole.to_vec();
            let last = changed.len() - 1;
            changed[last] ^= 1;
            // The check sum of gzip ends with a length; a zstd frame as it is packed here has none.
            if coding == Coding::Gzip {
                assert_eq!(code(coding, &changed), "not-decoded");
            }
        }
    }

    #[test]
    fn members_follow_one_another_and_the_sum_is_bounded() {
        for coding in [Coding::Gzip, Coding::Zstd] {
            let one = coding.packed(&[b'x'; 400]).unwrap();
            assert_eq!(unpacked(coding, &[&one[..], &one].concat(), 1000).unwrap().len(), 800);
            assert_eq!(code(coding, &[&one[..], &one, &one].concat()), "too-large");
        }
        let nothing = Coding::Gzip.packed(b"").unwrap();
        assert_eq!(code(Coding::Gzip, &nothing.repeat(MOST_MEMBERS + 1)), "not-decoded");
    }

    #[test]
    fn a_window_larger_than_http_allows_is_refused() {
        let mut encoder = zstd::stream::write::Encoder::new(Vec::new(), 1).unwrap();
        encoder.window_log(27).unwrap();
        std::io::Write::write_all(&mut encoder, &[b'x'; 100]).unwrap();
        std::io::Write::flush(&mut encoder).unwrap();
        std::io::Write::write_all(&mut encoder, &[b'x'; 100]).unwrap();
        assert_eq!(code(Coding::Zstd, &encoder.finish().unwrap()), "not-decoded");
    }
}
