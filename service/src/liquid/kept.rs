//! What was computed of a composition, kept as long as it or a clone of it lives: a question asks for the same boiling point and
//! activities again and again, a plan asks many questions of the same liquid.

use super::burning::{Away, NotBurning};
use super::evaporation::{Course, NotEvaporating, Start};
use super::flash::{FlashPoint, NoFlashPoint};
use super::vapour::{Activities, NoVapour, Phases};
use crate::quantity::Estimate;
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;
use uom::si::f64::ThermodynamicTemperature;

/// Most figures of one kind that are kept: memory stays flat.
const MOST: usize = 500;

/// Figures by what they were asked for.
#[derive(Debug)]
pub(super) struct Figures<K, T>(RefCell<BTreeMap<K, T>>);

impl<K, T> Default for Figures<K, T> {
    fn default() -> Self {
        Self(RefCell::default())
    }
}

impl<K: Ord, T: Clone> Figures<K, T> {
    /// The figure that is known, or that is found now.
    pub(super) fn get(&self, asked: K, find: impl FnOnce() -> T) -> T {
        if let Some(known) = self.0.borrow().get(&asked) {
            return known.clone();
        }
        let found = find();
        let mut all = self.0.borrow_mut();
        if all.len() >= MOST {
            all.clear();
        }
        all.insert(asked, found.clone());
        found
    }
}

/// What is kept of one composition.
#[derive(Debug, Default)]
pub(super) struct Found {
    /// By the bits of the temperature.
    pub(super) activities: Figures<(u64, Phases), Result<Rc<Activities>, NoVapour>>,
    /// By the bits of the pressure.
    pub(super) boiling_points: Figures<u64, Result<Option<Estimate<ThermodynamicTemperature>>, NoVapour>>,
    /// By the bits of the pressure.
    pub(super) flash_points: Figures<(u64, Phases), Result<FlashPoint, NoFlashPoint>>,
    /// By the bits of the pressure.
    pub(super) away: Figures<u64, Result<Away, NotBurning>>,
    /// By the bits of all that decides them.
    pub(super) starts: Figures<Vec<u64>, Result<Start, NotEvaporating>>,
    /// By the bits of all that decides them.
    pub(super) courses: Figures<Vec<u64>, Result<Course, NotEvaporating>>,
}

/// The same, shared by the clones of a composition.
#[derive(Debug, Default, Clone)]
pub struct Kept(pub(super) Rc<Found>);
