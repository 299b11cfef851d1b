//! Compile-time quantities: one type a dimension, so that grams cannot be passed as ounces.
//!
//! Each type holds one `f64` in the unit its name states. They are plain values: no range is enforced
//! here, the functions that take them say what they accept.

use core::ops::{Add, AddAssign, Div, Mul, Neg, Sub};

macro_rules! measure {
    ($(#[$doc:meta])* $name:ident in $unit:literal, $make:ident, $get:ident) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            #[doc = concat!("A value in ", $unit, ".")]
            #[must_use]
            pub const fn $make(value: f64) -> Self {
                Self(value)
            }
            #[doc = concat!("The value in ", $unit, ".")]
            #[must_use]
            pub const fn $get(self) -> f64 {
                self.0
            }
            /// Neither infinite nor not-a-number.
            #[must_use]
            pub const fn is_finite(self) -> bool {
                self.0.is_finite()
            }
            /// The smaller of two.
            #[must_use]
            pub const fn min(self, other: Self) -> Self {
                Self(self.0.min(other.0))
            }
            /// The larger of two.
            #[must_use]
            pub const fn max(self, other: Self) -> Self {
                Self(self.0.max(other.0))
            }
        }
    };
}

/// Arithmetic for quantities that add: everything but points on a scale.
macro_rules! additive {
    ($($name:ident),* $(,)?) => {$(
        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self { Self(self.0 + other.0) }
        }
        impl AddAssign for $name {
            fn add_assign(&mut self, other: Self) { self.0 += other.0; }
        }
        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self { Self(self.0 - other.0) }
        }
        impl Neg for $name {
            type Output = Self;
            fn neg(self) -> Self { Self(-self.0) }
        }
        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self { Self(self.0 * factor) }
        }
        impl Div<f64> for $name {
            type Output = Self;
            fn div(self, divisor: f64) -> Self { Self(self.0 / divisor) }
        }
        impl Div for $name {
            type Output = f64;
            fn div(self, other: Self) -> f64 { self.0 / other.0 }
        }
        impl core::iter::Sum for $name {
            fn sum<I: Iterator<Item = Self>>(all: I) -> Self { all.fold(Self(0.0), Add::add) }
        }
    )*};
}

measure!(/// A mass.
    Mass in "kg", from_kg, kg);
measure!(/// A volume.
    Volume in "L", from_litres, litres);
measure!(/// A length of time.
    Time in "min", from_minutes, minutes);
measure!(/// A point of temperature.
    Temperature in "°C", from_celsius, celsius);
measure!(/// A step of temperature: the difference of two points.
    TemperatureStep in "K", from_kelvin, kelvin);
measure!(/// A specific gravity at 20 °C against water at 20 °C (SG 20/20).
    Gravity in "SG 20/20", from_sg, sg);
measure!(/// An extract content by mass.
    Plato in "°P (g in 100 g)", from_plato, plato);
measure!(/// A proportion; 1 is the whole.
    Fraction in "parts of one", from_parts, parts);
measure!(/// Colour of beer or malt on the EBC scale.
    Ebc in "EBC", from_ebc, ebc);
measure!(/// Colour of beer by the ASBC spectrophotometric method.
    Srm in "SRM", from_srm, srm);
measure!(/// Colour of malt on the Lovibond comparator scale.
    Lovibond in "°Lovibond", from_lovibond, lovibond);
measure!(/// Bitterness.
    Ibu in "IBU", from_ibu, ibu);
measure!(/// Mass of a dissolved substance by volume.
    Concentration in "mg/L", from_mg_per_litre, mg_per_litre);
measure!(/// Charge or alkalinity by volume.
    Equivalents in "mEq/L", from_meq_per_litre, meq_per_litre);
measure!(/// Amount of substance.
    Amount in "mmol", from_mmol, mmol);
measure!(/// Acidity of a sample at room temperature unless said otherwise.
    Ph in "pH", from_ph, ph);
measure!(/// Pressure above the surrounding air.
    GaugePressure in "bar (gauge)", from_bar, bar);
measure!(/// Pressure above vacuum.
    AbsolutePressure in "bar (absolute)", from_bar, bar);
measure!(/// Dissolved carbon dioxide in volumes of gas (at 0 °C and 1 atm) per volume of beer.
    Carbonation in "vol", from_volumes, volumes);
measure!(/// A number of yeast cells.
    Cells in "billion cells", from_billions, billions);
measure!(/// Pitching rate by volume and extract.
    PitchRate in "million cells/mL/°P", from_million_per_ml_plato, million_per_ml_plato);
measure!(/// Diastatic power.
    DiastaticPower in "°WK (Windisch-Kolbach)", from_wk, wk);
measure!(/// Heating power.
    Power in "kW", from_kw, kw);
measure!(/// Heat capacity of a vessel.
    HeatCapacity in "kJ/K", from_kj_per_kelvin, kj_per_kelvin);
measure!(/// Energy.
    Energy in "kJ", from_kj, kj);
measure!(/// Length, or elevation above the sea.
    Length in "m", from_metres, metres);
measure!(/// Density.
    Density in "kg/L", from_kg_per_litre, kg_per_litre);
measure!(/// Volume held or given by a mass: liquor to grist, absorption.
    VolumePerMass in "L/kg", from_litres_per_kg, litres_per_kg);
measure!(/// Volume given off or passed in a time.
    VolumeRate in "L/h", from_litres_per_hour, litres_per_hour);
measure!(/// Extract a mass can give, as gravity points of the volume it is dissolved in.
    ExtractPotential in "L·°/kg (points x litres a kilogram)", from_point_litres_per_kg, point_litres_per_kg);
measure!(/// Malt colour brought into a volume, before any colour model.
    MaltColourUnits in "MCU (lb x °Lovibond / US gal)", from_mcu, mcu);
measure!(/// Heat that a vessel gives to the air, by the difference of their temperatures.
    HeatLoss in "W/K", from_watts_per_kelvin, watts_per_kelvin);
measure!(/// Energy by mass.
    SpecificEnergy in "kJ/kg", from_kj_per_kg, kj_per_kg);
measure!(/// An amount of charge: acid, base.
    Charge in "mEq", from_meq, meq);
measure!(/// Charge by mass: the acid in a malt.
    ChargePerMass in "mEq/kg", from_meq_per_kg, meq_per_kg);
measure!(/// Buffering of a malt.
    Buffering in "mEq/(kg·pH)", from_meq_per_kg_ph, meq_per_kg_ph);
measure!(/// Cells by volume of slurry or wort.
    CellDensity in "million cells/mL", from_million_per_ml, million_per_ml);
measure!(/// Cells by mass of dry yeast.
    CellsPerMass in "billion cells/g", from_billions_per_gram, billions_per_gram);
measure!(/// Electric conductivity at 25 °C.
    Conductivity in "µS/cm", from_microsiemens_per_cm, microsiemens_per_cm);

additive!(
    Mass,
    Volume,
    Time,
    TemperatureStep,
    Plato,
    Fraction,
    Ebc,
    Srm,
    Ibu,
    Concentration,
    Equivalents,
    Amount,
    GaugePressure,
    AbsolutePressure,
    Carbonation,
    Cells,
    PitchRate,
    DiastaticPower,
    Power,
    HeatCapacity,
    Energy,
    Length,
    Density,
    VolumePerMass,
    VolumeRate,
    ExtractPotential,
    MaltColourUnits,
    HeatLoss,
    SpecificEnergy,
    Charge,
    ChargePerMass,
    Buffering,
    CellDensity,
    CellsPerMass,
    Conductivity,
);

impl Sub for Temperature {
    type Output = TemperatureStep;
    fn sub(self, other: Self) -> TemperatureStep {
        TemperatureStep(self.0 - other.0)
    }
}
impl Add<TemperatureStep> for Temperature {
    type Output = Self;
    fn add(self, step: TemperatureStep) -> Self {
        Self(self.0 + step.0)
    }
}
impl Sub<TemperatureStep> for Temperature {
    type Output = Self;
    fn sub(self, step: TemperatureStep) -> Self {
        Self(self.0 - step.0)
    }
}
impl Temperature {
    /// A point in °F.
    #[must_use]
    pub const fn from_fahrenheit(value: f64) -> Self {
        Self((value - 32.0) / 1.8)
    }
    /// The point in °F.
    #[must_use]
    pub const fn fahrenheit(self) -> f64 {
        self.0 * 1.8 + 32.0
    }
}
impl Gravity {
    /// Gravity points: thousandths above 1.
    #[must_use]
    pub const fn points(self) -> f64 {
        (self.0 - 1.0) * 1000.0
    }
    /// From gravity points.
    #[must_use]
    pub const fn from_points(points: f64) -> Self {
        Self(1.0 + points / 1000.0)
    }
}
impl Mass {
    /// A mass in g.
    #[must_use]
    pub const fn from_grams(value: f64) -> Self {
        Self(value / 1000.0)
    }
    /// The mass in g.
    #[must_use]
    pub const fn grams(self) -> f64 {
        self.0 * 1000.0
    }
}
impl Volume {
    /// A volume in mL.
    #[must_use]
    pub const fn from_millilitres(value: f64) -> Self {
        Self(value / 1000.0)
    }
    /// The volume in mL.
    #[must_use]
    pub const fn millilitres(self) -> f64 {
        self.0 * 1000.0
    }
}
impl Energy {
    /// An energy in thermochemical kcal.
    #[must_use]
    pub const fn from_kcal(value: f64) -> Self {
        Self(value * 4.184)
    }
    /// The energy in thermochemical kcal.
    #[must_use]
    pub const fn kcal(self) -> f64 {
        self.0 / 4.184
    }
}
impl Time {
    /// A length of time in h.
    #[must_use]
    pub const fn from_hours(value: f64) -> Self {
        Self(value * 60.0)
    }
    /// The length of time in h.
    #[must_use]
    pub const fn hours(self) -> f64 {
        self.0 / 60.0
    }
    /// A length of time in days of 24 h.
    #[must_use]
    pub const fn from_days(value: f64) -> Self {
        Self(value * 1440.0)
    }
    /// The length of time in days of 24 h.
    #[must_use]
    pub const fn days(self) -> f64 {
        self.0 / 1440.0
    }
}
impl Mul<Time> for VolumeRate {
    type Output = Volume;
    fn mul(self, time: Time) -> Volume {
        Volume(self.0 * time.hours())
    }
}
impl Div<Mass> for Volume {
    type Output = VolumePerMass;
    fn div(self, mass: Mass) -> VolumePerMass {
        VolumePerMass(self.0 / mass.0)
    }
}
impl Mul<Mass> for VolumePerMass {
    type Output = Volume;
    fn mul(self, mass: Mass) -> Volume {
        Volume(self.0 * mass.0)
    }
}
