//! The vessel of a request: capacity, mouth, material.

use super::draft::Draft;
use super::field;
use super::reader::{Asked, Fields};
use super::record::Group;
use crate::catalogue::Catalogue;
use crate::catalogue::material::{Kind, Material};
use crate::physics::vessel;
use crate::quantity::si;
use uom::si::f64::{Length, Volume};

/// A vessel whose height, capacity over mouth, exceeds this many times the mouth's width was not described right.
const TALLEST: f64 = 400.0;

/// A vessel as it was asked.
#[derive(Debug, Clone, Copy)]
pub struct VesselAsked<'a> {
    /// What it holds when brim-full.
    pub capacity: Asked<Volume>,
    /// Inner width of its mouth.
    pub mouth: Asked<Length>,
    /// What it is made of, in the caller's words.
    pub material: Option<&'a str>,
}

impl<'a> VesselAsked<'a> {
    /// Reads capacity, mouth and material of a group; `more` reads what else stands there.
    pub fn read<T>(group: &Fields<'a>, more: impl FnOnce(&Fields<'a>) -> T) -> (Option<Self>, T) {
        let capacity = group.required_quantity("capacity", &field::CAPACITY);
        let mouth = group.required_quantity("mouth_diameter", &field::MOUTH);
        let material = group.text("material", 200);
        let more = more(group);
        group.finish();
        let (Some(capacity), Some(mouth)) = (capacity, mouth) else { return (None, more) };
        let asked = Self { capacity, mouth, material };
        let (height, width) = (si::in_centimetre(asked.height()), mouth.number);
        if height > TALLEST * width || height * TALLEST < width {
            let detail = "capacity and mouth do not fit together: a straight-sided vessel would be absurdly tall or flat";
            group.faults().add("implausible-value", group.at("mouth_diameter"), detail, None);
            return (None, more);
        }
        (Some(asked), more)
    }

    /// Its height, straight-sided.
    #[must_use]
    pub fn height(&self) -> Length {
        self.capacity.quantity / vessel::mouth_area(self.mouth.quantity)
    }

    /// What is recorded of it.
    #[must_use]
    pub fn record(&self) -> Group {
        let mut group = Group::default();
        group.quantity("capacity", &self.capacity);
        group.quantity("mouth_diameter", &self.mouth);
        if let Some(material) = self.material {
            group.word("material", material.to_owned());
        }
        group
    }
}

/// The material that a text names, said where it had to be guessed.
pub fn material(
    text: Option<&str>,
    catalogue: &'static Catalogue,
    draft: &mut Draft,
) -> Option<&'static Material> {
    let (material, named) = catalogue.materials.named(text?)?;
    if !named {
        draft.assume("unknown_glass", "What the vessel is made of is not named or not known: it is taken as soda-lime glass, the weakest.");
    }
    Some(material)
}

/// A material that melts or burns is a fault where something hot is in it.
pub fn stands_heat(material: Option<&Material>, fields: &Fields<'_>, pointer: String) {
    if let Some(material) = material
        && material.kind == Kind::MeltsOrBurns
    {
        let detail = format!("{} melts or burns: take borosilicate glass, porcelain or metal", material.name);
        let suggestion = Some("borosilicate glass".to_owned());
        fields.faults().add("impossible-value", pointer, detail, suggestion);
    }
}
