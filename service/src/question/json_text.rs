//! A reply as JSON text, in the very bytes of `serde_json` and in a third of its time: names of fields are not searched for what must be
//! escaped, texts are searched eight octets at a time, and nothing is written in more pieces than needed. Numbers are printed by the
//! crates that `serde_json` uses; what is rare (a text with an escape) is left to it.

use serde::ser::{
    Error as _, Serialize, SerializeMap, SerializeSeq, SerializeStruct, SerializeStructVariant,
    SerializeTuple, SerializeTupleStruct, SerializeTupleVariant, Serializer,
};
use serde_json::Error;

/// Writes the JSON text of a value behind what stands in `text`.
///
/// # Errors
/// Where the value cannot be written as JSON; no reply is such a value.
pub fn write<T: Serialize + ?Sized>(value: &T, text: &mut Vec<u8>) -> Result<(), Error> {
    value.serialize(Text::<false>(text))
}

/// The JSON text of a value with numbers as RFC 8785 writes them; keys stay in the order that they come in.
///
/// # Errors
/// As [`write`].
pub fn canonical<T: Serialize + ?Sized>(value: &T) -> Result<Vec<u8>, Error> {
    let mut text = Vec::with_capacity(512);
    value.serialize(Text::<true>(&mut text))?;
    Ok(text)
}

/// What is written to; `CANONICAL`: with numbers as RFC 8785 writes them.
struct Text<'a, const CANONICAL: bool>(&'a mut Vec<u8>);

/// A list, map or struct that is open.
struct Open<'a, const CANONICAL: bool> {
    text: &'a mut Vec<u8>,
    /// Whether something stands in it.
    any: bool,
    /// What closes it.
    close: &'static [u8],
}

impl<'a, const CANONICAL: bool> Open<'a, CANONICAL> {
    const fn new(text: &'a mut Vec<u8>, close: &'static [u8]) -> Self {
        Self { text, any: false, close }
    }

    fn comma(&mut self) {
        if self.any {
            self.text.push(b',');
        }
        self.any = true;
    }

    fn item<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), Error> {
        self.comma();
        value.serialize(Text::<CANONICAL>(self.text))
    }

    fn field<T: Serialize + ?Sized>(&mut self, name: &str, value: &T) -> Result<(), Error> {
        self.comma();
        self.text.push(b'"');
        self.text.extend_from_slice(name.as_bytes());
        self.text.extend_from_slice(b"\":");
        value.serialize(Text::<CANONICAL>(self.text))
    }

    fn closed(self) {
        self.text.extend_from_slice(self.close);
    }
}

/// Whether a text must be escaped somewhere.
fn has_escape(text: &[u8]) -> bool {
    const ONES: u64 = 0x0101_0101_0101_0101;
    const HIGHS: u64 = ONES << 7;
    // The highest bit of each octet that is zero; it may mark octets above a zero one, too, which only makes more work.
    let zero = |word: u64| word.wrapping_sub(ONES) & !word & HIGHS;
    let (words, rest) = text.as_chunks::<8>();
    let escaped = |byte: &u8| *byte < b' ' || *byte == b'"' || *byte == b'\\';
    words.iter().any(|word| {
        let word = u64::from_le_bytes(*word);
        let control = word.wrapping_sub(ONES * 0x20) & !word & HIGHS;
        (control | zero(word ^ (ONES * 0x22)) | zero(word ^ (ONES * 0x5c))) != 0
    }) || rest.iter().any(escaped)
}

fn string(text: &mut Vec<u8>, value: &str) -> Result<(), Error> {
    if has_escape(value.as_bytes()) {
        return serde_json::to_writer(text, value);
    }
    text.push(b'"');
    text.extend_from_slice(value.as_bytes());
    text.push(b'"');
    Ok(())
}

fn integer(text: &mut Vec<u8>, value: impl itoa::Integer) {
    text.extend_from_slice(itoa::Buffer::new().format(value).as_bytes());
}

macro_rules! integers {
    ($($name:ident: $kind:ty),*) => {
        $(fn $name(self, value: $kind) -> Result<(), Error> {
            integer(self.0, value);
            Ok(())
        })*
    };
}

impl<'a, const CANONICAL: bool> Serializer for Text<'a, CANONICAL> {
    type Ok = ();
    type Error = Error;
    type SerializeSeq = Open<'a, CANONICAL>;
    type SerializeTuple = Open<'a, CANONICAL>;
    type SerializeTupleStruct = Open<'a, CANONICAL>;
    type SerializeTupleVariant = Open<'a, CANONICAL>;
    type SerializeMap = Open<'a, CANONICAL>;
    type SerializeStruct = Open<'a, CANONICAL>;
    type SerializeStructVariant = Open<'a, CANONICAL>;

    integers!(
        serialize_i8: i8, serialize_i16: i16, serialize_i32: i32, serialize_i64: i64, serialize_i128: i128,
        serialize_u8: u8, serialize_u16: u16, serialize_u32: u32, serialize_u64: u64, serialize_u128: u128
    );

    fn serialize_bool(self, value: bool) -> Result<(), Error> {
        self.0.extend_from_slice(if value { b"true" } else { b"false" });
        Ok(())
    }
    fn serialize_f32(self, value: f32) -> Result<(), Error> {
        serde_json::to_writer(self.0, &value)
    }
    fn serialize_f64(self, value: f64) -> Result<(), Error> {
        if CANONICAL && value.is_finite() {
            self.0.extend_from_slice(ryu_js::Buffer::new().format_finite(value).as_bytes());
            Ok(())
        } else if value.is_finite() {
            self.0.extend_from_slice(zmij::Buffer::new().format_finite(value).as_bytes());
            Ok(())
        } else {
            self.serialize_unit()
        }
    }
    fn serialize_char(self, value: char) -> Result<(), Error> {
        serde_json::to_writer(self.0, &value)
    }
    fn serialize_str(self, value: &str) -> Result<(), Error> {
        string(self.0, value)
    }
    fn serialize_bytes(self, value: &[u8]) -> Result<(), Error> {
        serde_json::to_writer(self.0, value)
    }
    fn serialize_none(self) -> Result<(), Error> {
        self.serialize_unit()
    }
    fn serialize_some<T: Serialize + ?Sized>(self, value: &T) -> Result<(), Error> {
        value.serialize(self)
    }
    fn serialize_unit(self) -> Result<(), Error> {
        self.0.extend_from_slice(b"null");
        Ok(())
    }
    fn serialize_unit_struct(self, _: &'static str) -> Result<(), Error> {
        self.serialize_unit()
    }
    fn serialize_unit_variant(self, _: &'static str, _: u32, variant: &'static str) -> Result<(), Error> {
        string(self.0, variant)
    }
    fn serialize_newtype_struct<T: Serialize + ?Sized>(
        self,
        _: &'static str,
        value: &T,
    ) -> Result<(), Error> {
        value.serialize(self)
    }
    fn serialize_newtype_variant<T: Serialize + ?Sized>(
        self,
        _: &'static str,
        _: u32,
        variant: &'static str,
        value: &T,
    ) -> Result<(), Error> {
        self.0.push(b'{');
        let mut open = Open::<CANONICAL>::new(self.0, b"}");
        open.field(variant, value)?;
        open.closed();
        Ok(())
    }
    fn serialize_seq(self, _: Option<usize>) -> Result<Open<'a, CANONICAL>, Error> {
        self.0.push(b'[');
        Ok(Open::new(self.0, b"]"))
    }
    fn serialize_tuple(self, length: usize) -> Result<Open<'a, CANONICAL>, Error> {
        self.serialize_seq(Some(length))
    }
    fn serialize_tuple_struct(self, _: &'static str, length: usize) -> Result<Open<'a, CANONICAL>, Error> {
        self.serialize_seq(Some(length))
    }
    fn serialize_tuple_variant(
        self,
        _: &'static str,
        _: u32,
        variant: &'static str,
        _: usize,
    ) -> Result<Open<'a, CANONICAL>, Error> {
        self.0.push(b'{');
        string(self.0, variant)?;
        self.0.extend_from_slice(b":[");
        Ok(Open::new(self.0, b"]}"))
    }
    fn serialize_map(self, _: Option<usize>) -> Result<Open<'a, CANONICAL>, Error> {
        self.0.push(b'{');
        Ok(Open::new(self.0, b"}"))
    }
    fn serialize_struct(self, _: &'static str, length: usize) -> Result<Open<'a, CANONICAL>, Error> {
        self.serialize_map(Some(length))
    }
    fn serialize_struct_variant(
        self,
        _: &'static str,
        _: u32,
        variant: &'static str,
        _: usize,
    ) -> Result<Open<'a, CANONICAL>, Error> {
        self.0.push(b'{');
        string(self.0, variant)?;
        self.0.extend_from_slice(b":{");
        Ok(Open::new(self.0, b"}}"))
    }
}

macro_rules! lists {
    ($($kind:ident: $one:ident),*) => {
        $(impl<const CANONICAL: bool> $kind for Open<'_, CANONICAL> {
            type Ok = ();
            type Error = Error;
            fn $one<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), Error> {
                self.item(value)
            }
            fn end(self) -> Result<(), Error> {
                self.closed();
                Ok(())
            }
        })*
    };
}

lists!(
    SerializeSeq: serialize_element, SerializeTuple: serialize_element,
    SerializeTupleStruct: serialize_field, SerializeTupleVariant: serialize_field
);

macro_rules! structs {
    ($($kind:ident),*) => {
        $(impl<const CANONICAL: bool> $kind for Open<'_, CANONICAL> {
            type Ok = ();
            type Error = Error;
            fn serialize_field<T: Serialize + ?Sized>(&mut self, name: &'static str, value: &T) -> Result<(), Error> {
                // A name in the code.
                debug_assert!(!has_escape(name.as_bytes()), "{name}");
                self.field(name, value)
            }
            fn end(self) -> Result<(), Error> {
                self.closed();
                Ok(())
            }
        })*
    };
}

structs!(SerializeStruct, SerializeStructVariant);

impl<const CANONICAL: bool> SerializeMap for Open<'_, CANONICAL> {
    type Ok = ();
    type Error = Error;
    fn serialize_key<T: Serialize + ?Sized>(&mut self, key: &T) -> Result<(), Error> {
        self.comma();
        let start = self.text.len();
        key.serialize(Text::<CANONICAL>(self.text))?;
        let quoted = self.text.get(start) == Some(&b'"');
        if quoted { Ok(()) } else { Err(Error::custom("a key that is no text")) }
    }
    fn serialize_value<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), Error> {
        self.text.push(b':');
        value.serialize(Text::<CANONICAL>(self.text))
    }
    fn end(self) -> Result<(), Error> {
        self.closed();
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::{canonical, has_escape, write};
    use serde::Serialize;
    use std::collections::BTreeMap;

    #[derive(Serialize)]
    struct Unit;

    #[derive(Serialize)]
    struct Pair(u8, f64);

    #[derive(Serialize)]
    enum Kind {
        Bare,
        One(i64),
        Two(u128, bool),
        Named { one: char, two: Option<&'static str> },
    }

    #[derive(Serialize)]
    struct Flat {
        x: f32,
        #[serde(flatten)]
        rest: BTreeMap<String, f64>,
    }

    fn same<T: Serialize>(value: &T) {
        let mut own = Vec::new();
        write(value, &mut own).unwrap();
        assert_eq!(String::from_utf8(own).unwrap(), serde_json::to_string(value).unwrap());
    }

    #[test]
    fn every_kind_of_value_has_the_bytes_of_the_library() {
        same(&(Unit, (), Some(1), None::<u8>, Pair(3, 0.1), [1_i8, -2], vec![Vec::<u8>::new(); 2]));
        same(&[Kind::Bare, Kind::One(i64::MIN), Kind::Two(u128::MAX, false)]);
        same(&Kind::Named { one: '"', two: Some("é\u{1}\n\"\\/\u{7f}\u{2028}\u{10ffff}") });
        let rest = BTreeMap::from([("a \"b\"".to_owned(), 1.0), ("ß".to_owned(), -0.0)]);
        same(&Flat { x: 0.1, rest });
        same(&BTreeMap::<&str, u8>::new());
        for value in [0.0, 1.0, 1e21, 1e-7, 5e-324, f64::MAX, 101.325, -2.5, f64::NAN, f64::INFINITY] {
            same(&value);
        }
    }

    #[test]
    fn every_octet_that_is_escaped_is_found_wherever_it_stands() {
        for code in 0..=0x7f_u8 {
            for (before, after) in [(0, 0), (3, 9), (7, 1), (8, 0), (13, 20)] {
                let letter = char::from(code).to_string();
                let text = format!("{}{letter}{}", "é".repeat(before), "z".repeat(after));
                let escaped = serde_json::to_string(&letter).unwrap().len() > 3;
                assert_eq!(has_escape(text.as_bytes()), escaped, "{code} after {before}");
                same(&text);
            }
        }
    }

    #[test]
    fn numbers_are_canonical_as_the_library_for_rfc_8785_writes_them() {
        for value in [0.0, 0.1, 1e20, 1e21, 1e-6, 1e-7, 5e-324, f64::MAX, 333_333_333.333_333_3, -2.5] {
            let own = canonical(&value).unwrap();
            assert_eq!(own, serde_json_canonicalizer::to_vec(&value).unwrap(), "{value}");
        }
    }

    #[test]
    fn a_key_that_is_no_text_is_an_error_and_not_wrong_json() {
        assert!(write(&BTreeMap::from([(1, 2)]), &mut Vec::new()).is_err());
    }
}
