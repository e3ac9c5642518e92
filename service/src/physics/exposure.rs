//! How does a concentration in air compare with an exposure limit?
//!
//! | figure | equation | source |
//! |---|---|---|
//! | mg/m3 from ppm | c = x M/Vm, Vm 24.055 L/mol at 20 Cel (UK, EU), 24.45 L/mol at 25 Cel (US) | EH40/2005, section on units; US convention (memory) |
//! | average of periods | sum(c t)/T, T 15 minutes or 8 hours | EH40/2005; 29 CFR 1910.1000(d)(1) |
//! | index of several vapours | sum(c/L): over 1 is over the limit | EH40/2005; 29 CFR 1910.1000(d)(2) |

use uom::si::f64::{MassDensity, MolarMass, Ratio, Time};
use uom::si::mass_density::milligram_per_cubic_meter;
use uom::si::molar_mass::gram_per_mole;
use uom::si::ratio::{part_per_million, ratio};
use uom::si::time::second;

/// At which temperature a list turns ppm into mg/m3.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Convention {
    /// 20 Cel: 24.055 L/mol.
    At20,
    /// 25 Cel: 24.45 L/mol.
    At25,
}

impl Convention {
    /// L/mol.
    const fn litres_per_mole(self) -> f64 {
        match self {
            Self::At20 => 24.055,
            Self::At25 => 24.45,
        }
    }

    /// The mass concentration that a list prints beside a volume fraction.
    #[must_use]
    pub fn as_mass(self, fraction: Ratio, molar_mass: MolarMass) -> MassDensity {
        let number =
            fraction.get::<part_per_million>() * molar_mass.get::<gram_per_mole>() / self.litres_per_mole();
        MassDensity::new::<milligram_per_cubic_meter>(number)
    }

    /// The volume fraction that a list means by a mass concentration.
    #[must_use]
    pub fn as_fraction(self, mass: MassDensity, molar_mass: MolarMass) -> Ratio {
        let number = mass.get::<milligram_per_cubic_meter>() * self.litres_per_mole()
            / molar_mass.get::<gram_per_mole>();
        Ratio::new::<part_per_million>(number)
    }
}

/// The average of periods over a reference time; what is left of it is free of vapour.
#[must_use]
pub fn average(periods: &[(Time, Ratio)], over: Time) -> Ratio {
    let sum: f64 =
        periods.iter().map(|(time, fraction)| time.get::<second>() * fraction.get::<ratio>()).sum();
    Ratio::new::<ratio>(sum / over.get::<second>())
}

/// The index of several vapours: the sum of their shares of their limits.
#[must_use]
pub fn index(shares: impl Iterator<Item = (Ratio, Ratio)>) -> Ratio {
    let sum: f64 = shares.map(|(found, limit)| (found / limit).get::<ratio>()).sum();
    Ratio::new::<ratio>(sum)
}
