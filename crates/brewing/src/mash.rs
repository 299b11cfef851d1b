//! Heat in the mash: strike, infusions, decoctions, heating, cooling.
//!
//! Heat balances of water, grain and vessel. Temperatures are points in °C; liquor volumes are at 20 °C.

use quantity::typed::{
    Energy, Fraction, HeatCapacity, HeatLoss, Mass, Power, SpecificEnergy, Temperature, TemperatureStep,
    Time, Volume, VolumePerMass,
};

use crate::source::{Basis, Source};
use crate::table::interpolate;
use crate::validity::Range;

/// Heat balances of strike and infusion.
pub const MASH_HEAT: Source = Source::new(
    "heat balance of the mash",
    "Heat balance of grain, liquor and vessel with a specific heat of grain of 0.40 of water's; checked \
     against the infusion examples of Palmer, How to Brew, ch. 16.",
    Basis::Computed,
);
/// Volume of a decoction.
pub const DECOCTION: Source = Source::new(
    "decoction heat balance",
    "Heat balance of a decoction by its own parts of grain and liquor: How to Brew, later edition, as quoted; \
     here with the vessel and by mass of water.",
    Basis::Published,
);
/// Volume of a decoction by mixing.
pub const MIXING: Source = Source::new(
    "mixing rule",
    "Mixing of two volumes of equal heat capacity, as on a university's formula sheet.",
    Basis::Published,
);
/// Volume of grain in the mash.
pub const MASH_VOLUME: Source = Source::new(
    "grain displacement",
    "Grain takes up 0.32 US qt/lb (0.67 L/kg) in the mash: a constant in How to Brew, later edition, as quoted.",
    Basis::Published,
);
/// Properties of water.
pub const IAPWS: Source = Source::new(
    "IAPWS-IF97",
    "Specific heat, enthalpy and saturation temperature of water by the IAPWS Industrial Formulation 1997.",
    Basis::IndependentLibrary,
);
/// Cooling of a vessel.
pub const COOLING: Source = Source::new(
    "Newton cooling",
    "Newton's law of cooling: the mash loses heat in proportion to how much warmer it is than the air.",
    Basis::Computed,
);
/// Specific heat and slaking heat of grain.
pub const GRAIN_HEATS: Source = Source::new(
    "brewing-room handbook 1984/85",
    "Specific heat of malt by moisture (0.38 to 0.42 for 0 to 8 %) and the rise of temperature when it is \
     wetted, from a brewing-room handbook of 1984/85, as reprinted.",
    Basis::Published,
);
/// The heater's share of its rating.
pub const HEATER: Source = Source::new(
    "heater efficiency",
    "A heater brings 90 % of its rating into the mash when nothing is written: common practice, no source.",
    Basis::CommonPractice,
);

/// Mass of a litre of liquor at 20 °C, kg/L.
pub const LIQUOR_DENSITY: f64 = 0.9982;

/// Specific heat of grain over that of water, at about 4 % moisture.
pub const GRAIN_HEAT: f64 = 0.40;

/// Specific heat of water in the mash balances, kJ/(kg·K): one international calorie by gram and kelvin.
pub const WATER_HEAT: f64 = 4.1868;

/// Volume that wet grain takes up in the mash: 0.32 US qt/lb.
pub const GRAIN_DISPLACEMENT: VolumePerMass = VolumePerMass::from_litres_per_kg(0.67);

/// Share of a heater's rating that reaches the mash when nothing is written. Source: [`HEATER`].
pub const HEATER_EFFICIENCY: Fraction = Fraction::from_parts(0.90);

/// Liquor to grain in a thick decoction when nothing is written: the middle of 0.6 and 0.9 US qt/lb.
pub const THICK_DECOCTION: VolumePerMass = VolumePerMass::from_litres_per_kg(1.56);

/// °C of the table of water's heat.
pub const WATER_HEAT_RANGE: Range = Range::new(0.0, 100.0, IAPWS);
/// Moisture, parts of one, of the table of slaking heat.
pub const MOISTURE_RANGE: Range = Range::new(0.0, 0.08, GRAIN_HEATS);

/// Temperature of grain and air when nothing is written (common practice, no source).
pub const ROOM: Temperature = Temperature::from_celsius(20.0);

/// What is in the mash tun.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mash {
    /// Mashed grain.
    pub grist: Mass,
    /// Liquor, measured at 20 °C.
    pub liquor: Volume,
    /// Heat capacity of the vessel that is warmed with the mash; 0 to leave it out.
    pub vessel: HeatCapacity,
}

impl Mash {
    /// Heat capacity of grain, liquor and vessel in kg of water.
    fn water_equivalent(&self) -> f64 {
        GRAIN_HEAT * self.grist.kg() + self.liquor_kg() + self.vessel_kg()
    }

    fn liquor_kg(&self) -> f64 {
        self.liquor.litres() * LIQUOR_DENSITY
    }

    fn vessel_kg(&self) -> f64 {
        self.vessel.kj_per_kelvin() / WATER_HEAT
    }

    /// Heat capacity of grain, liquor and vessel at a temperature.
    ///
    /// Sources: [`MASH_HEAT`] for the grain, [`IAPWS`] for the water. For masses that are not negative.
    #[must_use]
    pub fn heat_capacity(&self, at: Temperature) -> HeatCapacity {
        HeatCapacity::from_kj_per_kelvin(
            self.liquor_kg() * water_specific_heat(at)
                + GRAIN_HEAT * WATER_HEAT * self.grist.kg()
                + self.vessel.kj_per_kelvin(),
        )
    }
}

/// How warm the vessel is when grain meets liquor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Vessel {
    /// The vessel stands at a temperature of its own and is warmed by the liquor: mashes by infusion or
    /// decoction in a tun.
    Cold {
        /// Its temperature before mashing in.
        at: Temperature,
    },
    /// The liquor was heated in it: mashes by direct heat, and brewing in one vessel without sparge.
    AsHotAsLiquor,
}

fn finite(value: f64) -> Option<f64> {
    value.is_finite().then_some(value)
}

fn celsius(value: f64) -> Option<Temperature> {
    finite(value).map(Temperature::from_celsius)
}

/// A divisor that means something.
fn positive(value: f64) -> Option<f64> {
    (value.is_finite() && value > 0.0).then_some(value)
}

/// Temperature of the liquor that brings the mash to `target`.
///
/// Source: [`MASH_HEAT`] (exact treatment: Barth 2024, MBAA TQ 61(1), abstract only):
/// cold vessel `T + [0.40·m·(T − Tg) + C·(T − Ta) − h·m] / W`, vessel as hot as its liquor
/// `T + [0.40·m·(T − Tg) − h·m] / (W + C)`, with W the mass of liquor. `slaking` is the heat that dry grain
/// sets free when wetted, 0 by default (it is usually offset by losses; see [`slaking_heat`]).
/// `None` without liquor or with values that are no numbers. The result may lie above the boiling point:
/// then the mash cannot be reached with this much liquor, and the caller says so.
#[must_use]
pub fn strike_temperature(
    mash: &Mash,
    grain: Temperature,
    vessel: Vessel,
    target: Temperature,
    slaking: SpecificEnergy,
) -> Option<Temperature> {
    let t = target.celsius();
    let m = mash.grist.kg();
    let grain_heat = GRAIN_HEAT * m * (t - grain.celsius()) - slaking.kj_per_kg() / WATER_HEAT * m;
    let (heat, water) = match vessel {
        Vessel::Cold { at } => (grain_heat + mash.vessel_kg() * (t - at.celsius()), mash.liquor_kg()),
        Vessel::AsHotAsLiquor => (grain_heat, mash.liquor_kg() + mash.vessel_kg()),
    };
    celsius(t + heat / positive(water)?)
}

/// Temperature at which the mash settles when liquor of `strike` meets the grain: the inverse of
/// [`strike_temperature`], by the same balance, with the same range.
#[must_use]
pub fn initial_temperature(
    mash: &Mash,
    grain: Temperature,
    vessel: Vessel,
    strike: Temperature,
    slaking: SpecificEnergy,
) -> Option<Temperature> {
    let m = GRAIN_HEAT * mash.grist.kg();
    let vessel_from = match vessel {
        Vessel::Cold { at } => at,
        Vessel::AsHotAsLiquor => strike,
    };
    let heat = m * grain.celsius()
        + mash.liquor_kg() * strike.celsius()
        + mash.vessel_kg() * vessel_from.celsius()
        + slaking.kj_per_kg() / WATER_HEAT * mash.grist.kg();
    celsius(heat / positive(mash.water_equivalent())?)
}

/// Volume of liquor of `liquor_at` that raises the mash from `from` to `to`, measured at 20 °C.
///
/// Source: [`MASH_HEAT`], with the vessel and by mass:
/// `(0.40·m + W + C)·(T2 − T1) / (Tw − T2)`. 0 when `to` is not above `from`. `None` when the liquor is not
/// hotter than `to`: no amount of it will do.
#[must_use]
pub fn infusion_volume(
    mash: &Mash,
    from: Temperature,
    to: Temperature,
    liquor_at: Temperature,
) -> Option<Volume> {
    let rise = (to - from).kelvin().max(0.0);
    let excess = positive((liquor_at - to).kelvin())?;
    finite(mash.water_equivalent() * rise / excess / LIQUOR_DENSITY).map(Volume::from_litres)
}

/// Temperature of the mash after an infusion: the inverse of [`infusion_volume`].
///
/// `None` for an empty mash or values that are no numbers.
#[must_use]
pub fn infusion_temperature(
    mash: &Mash,
    from: Temperature,
    infused: Volume,
    liquor_at: Temperature,
) -> Option<Temperature> {
    let held = mash.water_equivalent();
    let added = infused.litres() * LIQUOR_DENSITY;
    let total = positive(held + added)?;
    celsius((held * from.celsius() + added * liquor_at.celsius()) / total)
}

/// Temperature that a given volume of liquor must have to raise the mash from `from` to `to`.
///
/// By the balance of [`infusion_volume`]. `None` when nothing is infused.
#[must_use]
pub fn infusion_liquor_temperature(
    mash: &Mash,
    from: Temperature,
    to: Temperature,
    infused: Volume,
) -> Option<Temperature> {
    let added = positive(infused.litres() * LIQUOR_DENSITY)?;
    celsius(to.celsius() + mash.water_equivalent() * (to - from).kelvin() / added)
}

/// What is drawn for a decoction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Decoction {
    /// Grain with liquor, in this ratio of liquor to grain (see [`THICK_DECOCTION`]).
    Thick(VolumePerMass),
    /// Liquid alone.
    Thin,
}

impl Decoction {
    /// Heat capacity of one litre in kg of water, and its grain in kg.
    fn by_litre(self) -> Option<(f64, f64)> {
        match self {
            Self::Thin => Some((LIQUOR_DENSITY, 0.0)),
            Self::Thick(ratio) => {
                let liquor = ratio.litres_per_kg();
                if !(liquor.is_finite() && liquor >= 0.0) {
                    return None;
                }
                let grain = 1.0 / (liquor + GRAIN_DISPLACEMENT.litres_per_kg());
                Some((grain * (GRAIN_HEAT + liquor * LIQUOR_DENSITY), grain))
            }
        }
    }
}

/// Volume to draw, heat to `boiled_at` and return so that the mash rises from `from` to `to`.
///
/// Source: [`DECOCTION`]: `(0.40·m + W + C)·(T2 − T1) / [c_d·(Td − T1 − X)]`, c_d from the decoction's own thickness.
/// `loss` is X, what the return loses as a step of temperature: 0 by default; 10 K is attributed to a
/// decoction text of the 1990s (from memory). Evaporation while boiling is left out.
/// 0 when `to` is not above `from`; `None` when the decoction is not hotter than `from` by more than `loss`.
/// The result may exceed the mash: the caller compares it.
#[must_use]
pub fn decoction_volume(
    mash: &Mash,
    from: Temperature,
    to: Temperature,
    boiled_at: Temperature,
    kind: Decoction,
    loss: TemperatureStep,
) -> Option<Volume> {
    let rise = (to - from).kelvin().max(0.0);
    let gain = positive((boiled_at - from).kelvin() - loss.kelvin())?;
    let (by_litre, _) = kind.by_litre()?;
    finite(mash.water_equivalent() * rise / (gain * by_litre)).map(Volume::from_litres)
}

/// Temperature of the mash after a decoction of this volume is returned: the inverse of
/// [`decoction_volume`].
///
/// `None` for an empty mash or a decoction that cannot be.
#[must_use]
pub fn decoction_temperature(
    mash: &Mash,
    from: Temperature,
    drawn: Volume,
    boiled_at: Temperature,
    kind: Decoction,
    loss: TemperatureStep,
) -> Option<Temperature> {
    let (by_litre, _) = kind.by_litre()?;
    let gain = (boiled_at - from).kelvin() - loss.kelvin();
    let total = positive(mash.water_equivalent())?;
    celsius(from.celsius() + drawn.litres() * by_litre * gain / total)
}

/// Volume of a decoction by mixing alone, as if mash and decoction held the same heat by litre.
///
/// Source: [`MIXING`]. A check on [`decoction_volume`], not a replacement: it comes
/// out about 6 % lower for a thick decoction. The same range.
#[must_use]
pub fn decoction_volume_by_mixing(
    mash: Volume,
    from: Temperature,
    to: Temperature,
    boiled_at: Temperature,
    loss: TemperatureStep,
) -> Option<Volume> {
    let rise = (to - from).kelvin().max(0.0);
    let gain = positive((boiled_at - from).kelvin() - loss.kelvin())?;
    finite(mash.litres() * rise / gain).map(Volume::from_litres)
}

/// Volume that grain and liquor fill in the tun, cold.
///
/// Source: [`MASH_VOLUME`]. Any mass and volume that are not negative.
#[must_use]
pub fn mash_volume(grist: Mass, liquor: Volume) -> Volume {
    liquor + GRAIN_DISPLACEMENT * grist
}

/// Time to heat the mash from `from` to `to` in the vessel.
///
/// `C·ΔT / (η·P − loss)` (computed), C at the middle of the step. 0 when `to` is not above
/// `from`; `None` when the heater does not overcome the loss.
#[must_use]
pub fn heating_time(
    mash: &Mash,
    from: Temperature,
    to: Temperature,
    heater: Power,
    efficiency: Fraction,
    loss: Power,
) -> Option<Time> {
    let rise = (to - from).kelvin().max(0.0);
    let middle = Temperature::from_celsius((from.celsius() + to.celsius()) / 2.0);
    let net = positive(heater.kw() * efficiency.parts() - loss.kw())?;
    finite(mash.heat_capacity(middle).kj_per_kelvin() * rise / net / 60.0).map(Time::from_minutes)
}

/// Heat that brings liquor from one temperature to another: mass × difference of enthalpy.
///
/// Source: [`IAPWS`]. The volume is at 20 °C. Valid in [`WATER_HEAT_RANGE`]; outside it the specific heat of the nearer end is used.
#[must_use]
pub fn heat_of_liquor(liquor: Volume, from: Temperature, to: Temperature) -> Energy {
    Energy::from_kj(liquor.litres() * LIQUOR_DENSITY * (water_enthalpy(to) - water_enthalpy(from)))
}

/// Time to heat liquor from one temperature to another.
///
/// [`heat_of_liquor`] over the power that reaches it. 0 when `to` is not above `from`; `None` without power.
#[must_use]
pub fn liquor_heating_time(
    liquor: Volume,
    from: Temperature,
    to: Temperature,
    heater: Power,
    efficiency: Fraction,
) -> Option<Time> {
    let net = positive(heater.kw() * efficiency.parts())?;
    finite(heat_of_liquor(liquor, from, to).kj().max(0.0) / net / 60.0).map(Time::from_minutes)
}

/// Temperature of the mash after standing.
///
/// Newton cooling `Ta + (T − Ta)·e^(−UA·t/C)` with C at the starting temperature.
/// Source: [`COOLING`]. `None` for an empty mash, a negative time or values that are no numbers.
#[must_use]
pub fn temperature_after(
    mash: &Mash,
    from: Temperature,
    ambient: Temperature,
    loss: HeatLoss,
    time: Time,
) -> Option<Temperature> {
    let capacity = positive(mash.heat_capacity(from).kj_per_kelvin())?;
    if time.minutes() < 0.0 {
        return None;
    }
    let decay = (-loss.watts_per_kelvin() / 1000.0 * time.minutes() * 60.0 / capacity).exp();
    celsius(ambient.celsius() + (from - ambient).kelvin() * decay)
}

/// Heat loss of a vessel from a rest that was watched: the inverse of [`temperature_after`].
///
/// `None` when the mash did not cool, or not towards the air, or no time went by.
#[must_use]
pub fn heat_loss_from_rest(
    mash: &Mash,
    from: Temperature,
    to: Temperature,
    ambient: Temperature,
    time: Time,
) -> Option<HeatLoss> {
    let before = positive((from - ambient).kelvin())?;
    let after = positive((to - ambient).kelvin())?;
    let seconds = positive(time.minutes() * 60.0)?;
    let capacity = positive(mash.heat_capacity(from).kj_per_kelvin())?;
    let watts = capacity * 1000.0 * positive((before / after).ln())? / seconds;
    finite(watts).map(HeatLoss::from_watts_per_kelvin)
}

/// Specific heat of grain by moisture, kcal/(kg·K): `0.38·(1 − w) + w`.
///
/// Source: [`GRAIN_HEATS`], whose table this mixing rule gives within 0.01. Valid in [`MOISTURE_RANGE`]. The balances use 0.40 (4 %).
#[must_use]
pub fn grain_specific_heat(moisture: Fraction) -> f64 {
    0.38 * (1.0 - moisture.parts()) + moisture.parts()
}

/// Heat that grain sets free when it is wetted, by its moisture.
///
/// Source: [`GRAIN_HEATS`], from the rises of 5.5, 5, 4, 3.5, 3, 2.5, 2 °F printed for 0, 1, 2, 3, 4, 6, 8 %
/// moisture in a mash of 2.68 kg of water to a kg: about 21 kJ/kg at 4 %. Linear between the rows; outside
/// [`MOISTURE_RANGE`] the end row. No number gives `None`.
/// Off by default: it lowers the strike by about 1.5 K and is usually offset by losses.
#[must_use]
pub fn slaking_heat(moisture: Fraction) -> Option<SpecificEnergy> {
    const RISE_F: [(f64, f64); 7] =
        [(0.0, 5.5), (0.01, 5.0), (0.02, 4.0), (0.03, 3.5), (0.04, 3.0), (0.06, 2.5), (0.08, 2.0)];
    const WATER_TO_GRAIN: f64 = 2.68;
    let rise = interpolate(&RISE_F, finite(moisture.parts())?) / 1.8;
    Some(SpecificEnergy::from_kj_per_kg(rise * (GRAIN_HEAT + WATER_TO_GRAIN) * WATER_HEAT))
}

/// Specific heat (kJ/kg·K) and enthalpy (kJ/kg) of water at 1 atm, each 10 °C .
const WATER: [(f64, f64, f64); 11] = [
    (0.0, 4.2194, 0.06),
    (10.0, 4.1954, 42.12),
    (20.0, 4.1848, 84.01),
    (30.0, 4.1800, 125.83),
    (40.0, 4.1786, 167.62),
    (50.0, 4.1796, 209.41),
    (60.0, 4.1828, 251.22),
    (70.0, 4.1881, 293.08),
    (80.0, 4.1955, 334.99),
    (90.0, 4.2050, 376.99),
    (100.0, 4.2166, 419.10),
];

/// Specific heat of water at atmospheric pressure, kJ/(kg·K).
///
/// Source: [`IAPWS`], linear in a table of each 10 °C. Valid in [`WATER_HEAT_RANGE`]; outside it the end of the
/// table.
#[must_use]
pub fn water_specific_heat(at: Temperature) -> f64 {
    interpolate(&WATER.map(|(t, cp, _)| (t, cp)), at.celsius())
}

/// Enthalpy of water, kJ/kg; beyond the table with the specific heat of its end.
fn water_enthalpy(at: Temperature) -> f64 {
    let t = at.celsius();
    let within = interpolate(&WATER.map(|(t, _, h)| (t, h)), t);
    let beyond = t - t.clamp(0.0, 100.0);
    within + beyond * water_specific_heat(at)
}
