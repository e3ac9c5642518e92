//! What was computed of a composition, kept as long as it or a clone of it lives: a question asks for the same boiling point and
//! activities again and again, a plan asks many questions of the same liquid. Of pure substances the few figures that depend on the
//! air pressure alone are kept from question to question: they are the same bits each time, and most questions ask at one of two pressures.

use super::burning::{Away, NotBurning};
use super::evaporation::{Course, NotEvaporating, Start};
use super::flash::{FlashPoint, NoFlashPoint};
use super::vapour::{Activities, NoVapour, Phases};
use crate::quantity::{Estimate, si};
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;
use uom::si::f64::{Pressure, ThermodynamicTemperature};

/// Most figures of one kind that are kept: memory stays flat.
const MOST: usize = 500;
/// The same of all pure substances together: a few at each of some ten air pressures, some hundred kilobytes a thread.
const MOST_OF_SUBSTANCES: usize = 4000;

/// Figures by what they were asked for.
#[derive(Debug)]
pub(super) struct Figures<K, T> {
    kept: RefCell<BTreeMap<K, T>>,
    most: usize,
}

impl<K, T> Figures<K, T> {
    const fn at_most(most: usize) -> Self {
        Self { kept: RefCell::new(BTreeMap::new()), most }
    }
}

impl<K, T> Default for Figures<K, T> {
    fn default() -> Self {
        Self::at_most(MOST)
    }
}

impl<K: Ord, T: Clone> Figures<K, T> {
    /// The figure that is known, or that is found now.
    pub(super) fn get(&self, asked: K, find: impl FnOnce() -> T) -> T {
        if let Some(known) = self.kept.borrow().get(&asked) {
            return known.clone();
        }
        let found = find();
        let mut all = self.kept.borrow_mut();
        if all.len() >= self.most {
            all.clear();
        }
        all.insert(asked, found.clone());
        found
    }
}

/// A temperature of a pure substance that depends on the air pressure alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Sought {
    FlashPoint,
    LowerLimit,
    UpperLimit,
}

type OfSubstances = Figures<(&'static str, Sought, u64), Option<Estimate<ThermodynamicTemperature>>>;

thread_local! {
    static OF_SUBSTANCES: OfSubstances = const { Figures::at_most(MOST_OF_SUBSTANCES) };
}

/// A temperature of a pure substance, by its id and the air pressure; found where it is not known on this thread.
pub(super) fn of_substance(
    id: &'static str,
    sought: Sought,
    pressure: Pressure,
    find: impl FnOnce() -> Option<Estimate<ThermodynamicTemperature>>,
) -> Option<Estimate<ThermodynamicTemperature>> {
    OF_SUBSTANCES.with(|known| known.get((id, sought, si::in_pascal(pressure).to_bits()), find))
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
