//! Content codings of bodies, both ways: which one a reply is sent in, and packing it.
//!
//! Everything here is deterministic: the same text in the same coding gives the same bytes, so that a strong entity tag
//! of the text with the name of the coding is one of the coded bytes.

use actix_web::HttpRequest;
use actix_web::http::header::ACCEPT_ENCODING;
use actix_web::web::Bytes;
use flate2::Compression;
use flate2::write::GzEncoder;
use std::cell::RefCell;
use std::io::{self, Write};
use zstd::bulk::Compressor;

/// What is accepted, and sent, as the headers say it.
pub const ACCEPTED: &str = "gzip, zstd, identity";
/// Bodies shorter than this fit into one packet anyhow.
const WORTH_PACKING: usize = 1024;
/// Fast: a reply of some kilobytes must not cost more to pack than to compute.
const ZSTD_LEVEL: i32 = 1;

thread_local! {
    /// The tables of a zstd packer: setting them up costs more than packing a reply.
    static KEPT: RefCell<Option<Compressor<'static>>> = const { RefCell::new(None) };
}

/// A content coding.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Coding {
    /// As it is.
    Identity,
    /// RFC 1952.
    Gzip,
    /// RFC 8878.
    Zstd,
}

impl Coding {
    /// The coding that `Content-Encoding` names.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        match name {
            "" | "identity" => Some(Self::Identity),
            "gzip" | "x-gzip" => Some(Self::Gzip),
            "zstd" => Some(Self::Zstd),
            _ => None,
        }
    }

    /// Its name in headers.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Identity => "identity",
            Self::Gzip => "gzip",
            Self::Zstd => "zstd",
        }
    }

    /// The coding to answer a request in, if the body has this length; `None` where the caller takes none that there is.
    #[must_use]
    pub fn wanted(request: &HttpRequest, length: usize) -> Option<Self> {
        let mut values = request.headers().get_all(ACCEPT_ENCODING).filter_map(|value| value.to_str().ok());
        // Almost always there is one header or none.
        match (values.next(), values.next()) {
            (None, _) => Some(Self::Identity),
            (Some(one), None) => preferred(one, length),
            (Some(one), Some(two)) => {
                let all: Vec<&str> = [one, two].into_iter().chain(values).collect();
                preferred(&all.join(","), length)
            }
        }
    }

    /// A body in this coding.
    ///
    /// # Errors
    /// None that a body causes.
    pub fn packed(self, body: &[u8]) -> io::Result<Bytes> {
        match self {
            Self::Identity => Ok(Bytes::copy_from_slice(body)),
            Self::Gzip => {
                let room = Vec::with_capacity(body.len() / 2);
                let mut encoder = GzEncoder::new(room, Compression::fast());
                encoder.write_all(body)?;
                encoder.finish().map(Bytes::from)
            }
            Self::Zstd => KEPT.with(|kept| {
                let mut kept = kept.borrow_mut();
                let packer = match kept.take() {
                    Some(packer) => packer,
                    None => Compressor::new(ZSTD_LEVEL)?,
                };
                kept.insert(packer).compress(body).map(Bytes::from)
            }),
        }
    }
}

/// The coding with the highest quality; of equal ones the one that packs best, `*` counting as gzip.
fn preferred(accepted: &str, length: usize) -> Option<Coding> {
    let (mut gzip, mut zstd, mut identity, mut any) = (None, None, None, None);
    for part in accepted.split(',') {
        let mut parts = part.split(';').map(str::trim);
        let name = parts.next().unwrap_or_default();
        let weight = parts.find_map(|part| part.strip_prefix("q=").or_else(|| part.strip_prefix("Q=")));
        // A quality that is none, NaN among them, wants nothing.
        let weight = weight.map_or(1.0, |text| text.parse::<f64>().unwrap_or(0.0));
        let weight = if weight > 0.0 { weight.min(1.0) } else { 0.0 };
        let known = match name.to_ascii_lowercase().as_str() {
            "gzip" | "x-gzip" => &mut gzip,
            "zstd" => &mut zstd,
            "identity" => &mut identity,
            "*" => &mut any,
            _ => continue,
        };
        known.get_or_insert(weight);
    }
    let plain = identity.or(any.filter(|weight| *weight == 0.0));
    let packed = [(Coding::Zstd, zstd), (Coding::Gzip, gzip.or(any))]
        .into_iter()
        .filter_map(|(coding, weight)| Some((coding, weight.filter(|weight| *weight > 0.0)?)))
        .reduce(|best, next| if next.1 > best.1 { next } else { best });
    match (packed, plain) {
        (None, Some(0.0)) => None,
        (None, _) => Some(Coding::Identity),
        (Some((coding, _)), Some(0.0)) => Some(coding),
        (Some((_, weight)), Some(plain)) if plain > weight => Some(Coding::Identity),
        _ if length < WORTH_PACKING => Some(Coding::Identity),
        (Some((coding, _)), _) => Some(coding),
    }
}

enum Kind {
    Plain(Vec<u8>),
    Gzip(GzEncoder<Vec<u8>>),
    Zstd(zstd::stream::write::Encoder<'static, Vec<u8>>),
}

/// Packs a stream part by part.
pub struct Packer {
    packer: Kind,
}

impl Packer {
    /// A packer into a coding.
    ///
    /// # Errors
    /// No memory for its tables.
    pub fn new(coding: Coding) -> io::Result<Self> {
        let packer = match coding {
            Coding::Identity => Kind::Plain(Vec::new()),
            Coding::Gzip => Kind::Gzip(GzEncoder::new(Vec::new(), Compression::fast())),
            Coding::Zstd => Kind::Zstd(zstd::stream::write::Encoder::new(Vec::new(), ZSTD_LEVEL)?),
        };
        Ok(Self { packer })
    }

    /// Whether nothing is packed.
    #[must_use]
    pub const fn is_plain(&self) -> bool {
        matches!(self.packer, Kind::Plain(_))
    }

    /// A part, packed so that whoever reads it has all of it at once.
    ///
    /// # Errors
    /// None that a part causes.
    pub fn part(&mut self, part: &[u8]) -> io::Result<Vec<u8>> {
        self.packer.write_all(part)?;
        self.packer.flush()?;
        Ok(std::mem::take(match &mut self.packer {
            Kind::Plain(out) => out,
            Kind::Gzip(encoder) => encoder.get_mut(),
            Kind::Zstd(encoder) => encoder.get_mut(),
        }))
    }

    /// The end of the stream.
    ///
    /// # Errors
    /// None that a stream causes.
    pub fn ended(self) -> io::Result<Vec<u8>> {
        match self.packer {
            Kind::Plain(out) => Ok(out),
            Kind::Gzip(encoder) => encoder.finish(),
            Kind::Zstd(encoder) => encoder.finish(),
        }
    }
}

impl Write for Kind {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        match self {
            Self::Plain(out) => out.write(bytes),
            Self::Gzip(encoder) => encoder.write(bytes),
            Self::Zstd(encoder) => encoder.write(bytes),
        }
    }

    fn flush(&mut self) -> io::Result<()> {
        match self {
            Self::Plain(out) => out.flush(),
            Self::Gzip(encoder) => encoder.flush(),
            Self::Zstd(encoder) => encoder.flush(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_coding_with_the_highest_quality_is_sent() {
        use Coding::{Gzip, Identity, Zstd};
        for (accepted, long, short) in [
            ("", Some(Identity), Some(Identity)),
            ("gzip, deflate, br", Some(Gzip), Some(Identity)),
            ("gzip, deflate, br, zstd", Some(Zstd), Some(Identity)),
            ("GZip;q=0.8, zstd;Q=0.5", Some(Gzip), Some(Identity)),
            ("gzip;q=0.5, identity", Some(Identity), Some(Identity)),
            ("gzip, identity;q=0", Some(Gzip), Some(Gzip)),
            ("*", Some(Gzip), Some(Identity)),
            ("*, gzip;q=0", Some(Identity), Some(Identity)),
            ("*;q=0", None, None),
            ("*;q=0, zstd", Some(Zstd), Some(Zstd)),
            ("identity;q=0", None, None),
            ("br, identity;q=0", None, None),
            ("br", Some(Identity), Some(Identity)),
            ("gzip;q=nonsense", Some(Identity), Some(Identity)),
            ("zstd;q=NaN, x-gzip;q=0.001", Some(Gzip), Some(Identity)),
        ] {
            assert_eq!(preferred(accepted, 4096), long, "{accepted}");
            assert_eq!(preferred(accepted, 10), short, "{accepted}");
        }
    }

    #[test]
    fn the_same_text_gives_the_same_bytes_and_comes_out_again() {
        let text = "as much as a lesson needs, ".repeat(200);
        for coding in [Coding::Gzip, Coding::Zstd] {
            let packed = coding.packed(text.as_bytes()).unwrap();
            assert_eq!(packed, coding.packed(text.as_bytes()).unwrap());
            assert!(packed.len() < text.len() / 5);
            let out = super::super::unpack::unpacked(coding, &packed, 1 << 20).unwrap();
            assert_eq!(out, text.as_bytes());
        }
    }
}
