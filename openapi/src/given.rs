//! A quantity as a request takes it: text, of a known kind.

use std::marker::PhantomData;

/// A quantity as it stands in a request, for example `"21 Cel"`, for a field of one kind `K`.
///
/// Text goes in as it is and is read by the service; a quantity with a type of its own goes only where its kind is asked for.
///
/// ```
/// use brimline_openapi::given::{Given, kind};
/// let temperature: Given<kind::Temperature> = "21 Cel".into();
/// assert_eq!(String::from(temperature), "21 Cel");
/// ```
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Given<K>(String, PhantomData<fn() -> K>);

impl<K> From<String> for Given<K> {
    fn from(text: String) -> Self {
        Self(text, PhantomData)
    }
}

impl<K> From<&str> for Given<K> {
    fn from(text: &str) -> Self {
        text.to_owned().into()
    }
}

impl<K> From<&String> for Given<K> {
    fn from(text: &String) -> Self {
        text.clone().into()
    }
}

impl<K> From<Given<K>> for String {
    fn from(given: Given<K>) -> Self {
        given.0
    }
}

/// What fields measure.
pub mod kind {
    /// A temperature.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum Temperature {}
    /// A pressure.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum Pressure {}
    /// The volume of a room or vessel.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum Volume {}
    /// How much of a liquid: a volume at 20 Cel or a mass.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum Amount {}
    /// What was poured of a part of a mixture: a volume at 20 Cel, a mass or an amount of substance.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum Poured {}
    /// A length or distance.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum Length {}
    /// An area.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum Area {}
    /// A time.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum Time {}
    /// Air changes of a room.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum AirChanges {}
    /// A share of a whole.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum Share {}
    /// What a vessel loses while it burns, a mass in a time.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum MassRate {}
    /// A power.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum Power {}
}
