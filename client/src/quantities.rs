//! Quantities that cannot be mixed up: each has a type of its own and is written in UCUM.
//!
//! A number that is not finite is no quantity; making one of it is an error, here and not at the service. Whether a value makes
//! sense is judged by the service alone.
//!
//! ```
//! use brimline_client::quantities::{Pressure, Temperature};
//! use brimline_client::FlashPointMargin;
//! let request = FlashPointMargin::of("ethanol")
//!     .room_temperature(Temperature::celsius(21)?)
//!     .pressure(Pressure::kilopascals(100.8)?);
//! assert_eq!(request.room_temperature.as_deref(), Some("21 Cel"));
//! assert_eq!(request.pressure.as_deref(), Some("100.8 kPa"));
//! # Ok::<(), brimline_client::NotFinite>(())
//! ```
//!
//! What measures something else does not compile:
//!
//! ```compile_fail,E0277
//! use brimline_client::quantities::Volume;
//! use brimline_client::FlashPointMargin;
//! # fn example() -> Result<(), brimline_client::NotFinite> {
//! FlashPointMargin::of("ethanol").room_temperature(Volume::millilitres(21)?);
//! # Ok(()) }
//! ```

use brimline_openapi::given::{Given, kind};
use std::fmt;

/// A number that is no quantity: not a number at all, or infinite.
///
/// ```
/// use brimline_client::quantities::Volume;
/// let why = Volume::millilitres(f64::NAN).unwrap_err();
/// assert_eq!(why.to_string(), "NaN mL is no quantity: the number must be finite");
/// ```
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error("{value} {unit} is no quantity: the number must be finite")]
pub struct NotFinite {
    value: f64,
    unit: &'static str,
}

/// A finite number with its unit.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Figure {
    value: f64,
    unit: &'static str,
}

impl Figure {
    fn of(value: f64, unit: &'static str) -> Result<Self, NotFinite> {
        // 0 + -0 is 0: "-0 Cel" would only puzzle a reader.
        let value = value + 0.0;
        if value.is_finite() { Ok(Self { value, unit }) } else { Err(NotFinite { value, unit }) }
    }
}

impl fmt::Display for Figure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // A number of any size is written out by its shortest digits; far from one with an exponent, to stay short.
        let far = self.value != 0.0 && !(1e-6..1e15).contains(&self.value.abs());
        if far {
            write!(f, "{:e} {}", self.value, self.unit)
        } else {
            write!(f, "{} {}", self.value, self.unit)
        }
    }
}

/// A quantity: its type, its doc, the kinds of fields that take it, and a constructor for each unit.
macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident for $($kind:ident),+: $($(#[$unit_doc:meta])* $unit:ident $code:literal),+ $(,)?) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq)]
        pub struct $name(Figure);

        impl $name {
            $($(#[$unit_doc])*
            ///
            #[doc = "# Errors"]
            #[doc = "[`NotFinite`]."]
            #[doc = ""]
            #[doc = "```"]
            #[doc = concat!("use brimline_client::quantities::", stringify!($name), ";")]
            #[doc = concat!("assert_eq!(", stringify!($name), "::", stringify!($unit), "(2.5)?.to_string(), \"2.5 ", $code, "\");")]
            #[doc = "# Ok::<(), brimline_client::NotFinite>(())"]
            #[doc = "```"]
            pub fn $unit(value: impl Into<f64>) -> Result<Self, NotFinite> {
                Figure::of(value.into(), $code).map(Self)
            })+
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                self.0.fmt(f)
            }
        }

        impl From<$name> for String {
            fn from(quantity: $name) -> Self {
                quantity.to_string()
            }
        }

        $(impl From<$name> for Given<kind::$kind> {
            fn from(quantity: $name) -> Self {
                quantity.to_string().into()
            }
        })+
    };
}

quantity! {
    /// A temperature.
    ///
    /// ```
    /// use brimline_client::{Room, quantities::{Temperature, Volume}};
    /// let lab = Room::of(Volume::cubic_metres(190)?).temperature(Temperature::celsius(21)?);
    /// # assert_eq!(lab.temperature.as_deref(), Some("21 Cel"));
    /// # Ok::<(), brimline_client::NotFinite>(())
    /// ```
    Temperature for Temperature:
        /// In degrees Celsius.
        celsius "Cel",
        /// In kelvin.
        kelvin "K",
}
quantity! {
    /// A pressure.
    ///
    /// ```
    /// use brimline_client::{Room, quantities::{Pressure, Volume}};
    /// let lab = Room::of(Volume::cubic_metres(190)?).pressure(Pressure::hectopascals(1008)?);
    /// # assert_eq!(lab.pressure.as_deref(), Some("1008 hPa"));
    /// # Ok::<(), brimline_client::NotFinite>(())
    /// ```
    Pressure for Pressure:
        /// In kilopascals.
        kilopascals "kPa",
        /// In hectopascals, which are millibars.
        hectopascals "hPa",
        /// In pascals.
        pascals "Pa",
}
quantity! {
    /// A volume; of a liquid at 20 Cel.
    ///
    /// ```
    /// use brimline_client::{Doing, PlanStep, quantities::Volume};
    /// let step = PlanStep::of(Doing::Pour).liquid("ethanol", Volume::millilitres(20)?);
    /// # assert_eq!(step.amount.as_deref(), Some("20 mL"));
    /// # Ok::<(), brimline_client::NotFinite>(())
    /// ```
    Volume for Volume, Amount, Poured:
        /// In millilitres.
        millilitres "mL",
        /// In litres.
        litres "L",
        /// In cubic metres.
        cubic_metres "m3",
}
quantity! {
    /// A mass.
    ///
    /// ```
    /// use brimline_client::{LiquidMixture, quantities::{Mass, Volume}};
    /// let rub = LiquidMixture::poured("ethanol", Mass::grams(55)?).and("water", Volume::millilitres(30)?);
    /// # assert_eq!(rub.mixture[0].quantity.as_deref(), Some("55 g"));
    /// # Ok::<(), brimline_client::NotFinite>(())
    /// ```
    Mass for Amount, Poured:
        /// In grams.
        grams "g",
        /// In kilograms.
        kilograms "kg",
}
quantity! {
    /// An amount of substance.
    ///
    /// ```
    /// use brimline_client::{LiquidMixture, quantities::AmountOfSubstance};
    /// let equal = AmountOfSubstance::moles(1)?;
    /// let mixture = LiquidMixture::poured("ethanol", equal).and("water", equal);
    /// # assert_eq!(mixture.mixture[1].quantity.as_deref(), Some("1 mol"));
    /// # Ok::<(), brimline_client::NotFinite>(())
    /// ```
    AmountOfSubstance for Poured:
        /// In moles.
        moles "mol",
}
quantity! {
    /// A length or a distance.
    ///
    /// ```
    /// use brimline_client::{Vessel, quantities::{Length, Volume}};
    /// let dish = Vessel::of(Volume::millilitres(100)?, Length::centimetres(7)?).made_of("porcelain");
    /// # assert_eq!(dish.mouth_diameter, "7 cm");
    /// # Ok::<(), brimline_client::NotFinite>(())
    /// ```
    Length for Length:
        /// In metres.
        metres "m",
        /// In centimetres.
        centimetres "cm",
        /// In millimetres.
        millimetres "mm",
}
quantity! {
    /// An area.
    ///
    /// ```
    /// use brimline_client::{Room, quantities::{Area, Volume}};
    /// let lab = Room::of(Volume::cubic_metres(190)?).floor_area(Area::square_metres(70)?);
    /// # assert_eq!(lab.floor_area.as_deref(), Some("70 m2"));
    /// # Ok::<(), brimline_client::NotFinite>(())
    /// ```
    Area for Area:
        /// In square metres.
        square_metres "m2",
        /// In square centimetres.
        square_centimetres "cm2",
}
quantity! {
    /// A time.
    ///
    /// ```
    /// use brimline_client::{Doing, PlanStep, quantities::Time};
    /// let wait = PlanStep::of(Doing::Wait).lasting(Time::minutes(20)?);
    /// # assert_eq!(wait.duration.as_deref(), Some("20 min"));
    /// # Ok::<(), brimline_client::NotFinite>(())
    /// ```
    Time for Time:
        /// In seconds.
        seconds "s",
        /// In minutes.
        minutes "min",
        /// In hours.
        hours "h",
}
quantity! {
    /// How often the air of a room is changed.
    ///
    /// ```
    /// use brimline_client::{Room, quantities::{AirChanges, Volume}};
    /// let lab = Room::of(Volume::cubic_metres(190)?).air_changes(AirChanges::per_hour(3)?);
    /// # assert_eq!(lab.air_changes.as_deref(), Some("3 /h"));
    /// # Ok::<(), brimline_client::NotFinite>(())
    /// ```
    AirChanges for AirChanges:
        /// In an hour.
        per_hour "/h",
}
quantity! {
    /// A share of a whole, such as a relative humidity.
    ///
    /// ```
    /// use brimline_client::{Room, quantities::{Share, Volume}};
    /// let lab = Room::of(Volume::cubic_metres(190)?).relative_humidity(Share::per_cent(60)?);
    /// # assert_eq!(lab.relative_humidity.as_deref(), Some("60 %"));
    /// # Ok::<(), brimline_client::NotFinite>(())
    /// ```
    Share for Share:
        /// In per cent.
        per_cent "%",
}
quantity! {
    /// What a vessel loses while it burns.
    ///
    /// ```
    /// use brimline_client::{BurningVessel, quantities::{Length, MassRate, Volume}};
    /// let dish = BurningVessel::of(Volume::millilitres(80)?, Length::centimetres(7)?)
    ///     .losing(MassRate::grams_per_minute(0.9)?);
    /// # assert_eq!(dish.burning_rate.as_deref(), Some("0.9 g/min"));
    /// # Ok::<(), brimline_client::NotFinite>(())
    /// ```
    MassRate for MassRate:
        /// In grams in a minute.
        grams_per_minute "g/min",
}
quantity! {
    /// A power.
    ///
    /// ```
    /// use brimline_client::{Room, SafeFill, Use, Vessel, quantities::Power};
    /// let beaker = Vessel::of("100 mL", "5 cm");
    /// let fill = SafeFill::of("ethanol", Room::of("190 m3"), 1, beaker, Use::Heated)
    ///     .heater_power(Power::watts(300)?);
    /// # assert_eq!(fill.heater_power.as_deref(), Some("300 W"));
    /// # Ok::<(), brimline_client::NotFinite>(())
    /// ```
    Power for Power:
        /// In watts.
        watts "W",
}

/// From quantities of the crate `uom`, which keeps them in SI base units.
#[cfg(feature = "uom")]
mod from_uom {
    use super::{
        AmountOfSubstance, Area, Length, Mass, MassRate, NotFinite, Power, Pressure, Temperature, Time,
        Volume,
    };
    use uom::si::{f64 as si, mass_rate};

    macro_rules! from {
        ($($there:ident $here:ident $unit:ident),+ $(,)?) => {
            $(impl TryFrom<si::$there> for $here {
                type Error = NotFinite;

                fn try_from(quantity: si::$there) -> Result<Self, NotFinite> {
                    Self::$unit(quantity.value)
                }
            })+
        };
    }

    from! {
        ThermodynamicTemperature Temperature kelvin,
        Pressure Pressure pascals,
        Volume Volume cubic_metres,
        Mass Mass kilograms,
        AmountOfSubstance AmountOfSubstance moles,
        Length Length metres,
        Area Area square_metres,
        Time Time seconds,
        Power Power watts,
    }

    impl TryFrom<si::MassRate> for MassRate {
        type Error = NotFinite;

        fn try_from(quantity: si::MassRate) -> Result<Self, NotFinite> {
            Self::grams_per_minute(quantity.get::<mass_rate::gram_per_minute>())
        }
    }
}
