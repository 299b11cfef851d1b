//! Bitterness of hops: three utilisation models, isomerisation in a hop stand, ageing of alpha acids.

use quantity::typed::{
    Concentration, Fraction, Gravity, Ibu, Length, Mass, Temperature, TemperatureStep, Time, Volume,
};

use crate::source::{Basis, Source};
use crate::validity::Range;

/// The default model.
pub const TINSETH: Source = Source::new(
    "Tinseth 1997",
    "Tinseth 1997: utilisation = 1.65 x 0.000125^(SG - 1) x (1 - e^(-0.04 min)) / 4.15.",
    Basis::Published,
);
/// An older table.
pub const RAGER: Source = Source::new(
    "Rager 1990",
    "Rager, Zymurgy special hops issue 1990: utilisation by a table of boil minutes, divided by \
     1 + (SG - 1.050) / 0.2 above 1.050.",
    Basis::FromMemory,
);
/// The table as a smooth curve.
pub const RAGER_CURVE: Source = Source::new(
    "Rager, smoothed",
    "Curve through Rager's table: 18.11 + 13.86 tanh((min - 31.32) / 18.27) percent; rms 0.45 against the \
     middles of its steps.",
    Basis::FromMemory,
);
/// A table with corrections for gravity, hopping rate and elevation.
pub const GARETZ: Source = Source::new(
    "Garetz 1994",
    "Garetz, Using Hops, 1994: utilisation by a table of boil minutes, divided by factors for boil gravity, \
     hopping rate (1 + IBU / 260) and elevation (2 % each 550 ft).",
    Basis::FromMemory,
);
/// Isomerisation and loss of alpha acids.
pub const MALOWICKI: Source = Source::new(
    "Malowicki and Shellhammer 2005",
    "Malowicki and Shellhammer 2005, J. Agric. Food Chem. 53, 4434-4439, at pH 5.2: \
     k1 = 7.9e11 e^(-11858/T), k2 = 4.1e12 e^(-12994/T) per minute, T in K.",
    Basis::Published,
);
/// Hop stands as boil minutes.
pub const STAND: Source = Source::new(
    "equivalent boil minutes",
    "A hop stand as the boil minutes that isomerise as much: the rate k1 of Malowicki and Shellhammer 2005 \
     at the stand over that at 100 °C, times the minutes, times the brewhouse's factor.",
    Basis::Computed,
);
/// Loss of alpha acids in storage.
pub const GARETZ_AGEING: Source = Source::new(
    "Garetz 1994, storage",
    "Garetz, Brewing Techniques 2(1), 1994: A = A0 e^(-k TF SF days), k from the loss in 180 days at 20 °C, \
     TF = 2^((T - 20) / 15). The storage factors SF are quoted from memory.",
    Basis::Published,
);

/// SG of Tinseth's printed table.
pub const TINSETH_GRAVITY_RANGE: Range = Range::new(1.030, 1.120, TINSETH);
/// Boil minutes of Tinseth's printed table.
pub const TINSETH_MINUTES_RANGE: Range = Range::new(0.0, 120.0, TINSETH);
/// Boil minutes of Rager's table.
pub const RAGER_MINUTES_RANGE: Range = Range::new(0.0, 60.0, RAGER);
/// Boil minutes of Garetz's table.
pub const GARETZ_MINUTES_RANGE: Range = Range::new(0.0, 90.0, GARETZ);
/// °C of the kinetic data; Jaskula et al. 2008 confirm the form down to 80.
pub const MALOWICKI_RANGE: Range = Range::new(90.0, 130.0, MALOWICKI);
/// Hop storage index for which the loss is given: from fresh to spoilt.
pub const HSI_RANGE: Range = Range::new(0.25, 1.0, GARETZ_AGEING);

/// Mass of alpha acids (kg) in a mass of hops. Source: [`crate::source::DEFINITION`].
#[must_use]
pub fn alpha_mass(hops: Mass, alpha: Fraction) -> Mass {
    hops * alpha.parts()
}

/// Alpha acids (mg/L) a mass of them (kg) would make in a volume. Nothing without a volume.
/// Source: [`crate::source::DEFINITION`].
#[must_use]
pub fn alpha_concentration(alpha: Mass, volume: Volume) -> Option<Concentration> {
    let mg_per_litre = Concentration::from_mg_per_litre(alpha.kg() * 1e6 / volume.litres());
    (volume.litres() > 0.0 && mg_per_litre.is_finite()).then_some(mg_per_litre)
}

/// Bitterness from alpha acids added (mg/L) and the share of them that is utilised: an IBU is a mg/L.
/// Source: [`crate::source::DEFINITION`].
#[must_use]
pub fn ibu(alpha: Concentration, utilisation: Fraction) -> Ibu {
    Ibu::from_ibu(alpha.mg_per_litre() * utilisation.parts())
}

/// Alpha acids (kg) that give a bitterness in a volume at a utilisation. Nothing where the utilisation is
/// not above 0. Source: [`crate::source::DEFINITION`].
#[must_use]
pub fn alpha_for(target: Ibu, volume: Volume, utilisation: Fraction) -> Option<Mass> {
    let alpha = Mass::from_kg(target.ibu() * volume.litres() / utilisation.parts() / 1e6);
    (utilisation.parts() > 0.0 && alpha.is_finite()).then_some(alpha)
}

/// Bitterness after wort of a volume has been made up to another; the same for colour-like properties that
/// dilute. Nothing without a final volume. Source: [`crate::source::BALANCE`].
#[must_use]
pub fn diluted(in_wort: Ibu, wort: Volume, made_up: Volume) -> Option<Ibu> {
    let ibu = in_wort * (wort / made_up);
    (made_up.litres() > 0.0 && ibu.is_finite()).then_some(ibu)
}

/// The gravity utilisation is taken at by default: the mean of pre-boil and post-boil. Sources disagree on
/// which to take. Source: [`crate::source::COMMON_PRACTICE`].
#[must_use]
pub fn mean_gravity(pre_boil: Gravity, post_boil: Gravity) -> Gravity {
    Gravity::from_sg(f64::midpoint(pre_boil.sg(), post_boil.sg()))
}

/// Utilisation by gravity and boil minutes. Tabulated for [`TINSETH_GRAVITY_RANGE`] and
/// [`TINSETH_MINUTES_RANGE`]; a smooth formula outside them; 0 for no or negative time.
/// Source: [`TINSETH`].
#[must_use]
pub fn tinseth(gravity: Gravity, boil: Time) -> Fraction {
    let bigness = 1.65 * 0.000_125_f64.powf(gravity.sg() - 1.0);
    let time = -f64::exp_m1(-0.04 * boil.minutes().max(0.0)) / 4.15;
    Fraction::from_parts(bigness * time)
}

/// Last minute of a step, and its utilisation in percent.
const RAGER_STEPS: [(f64, f64); 11] = [
    (5.0, 5.0),
    (10.0, 6.0),
    (15.0, 8.0),
    (20.0, 10.1),
    (25.0, 12.1),
    (30.0, 15.3),
    (35.0, 18.8),
    (40.0, 22.8),
    (45.0, 26.9),
    (50.0, 28.1),
    (60.0, 30.0),
];

const GARETZ_STEPS: [(f64, f64); 13] = [
    (10.0, 0.0),
    (15.0, 2.0),
    (20.0, 5.0),
    (25.0, 8.0),
    (30.0, 11.0),
    (35.0, 14.0),
    (40.0, 16.0),
    (45.0, 18.0),
    (50.0, 19.0),
    (60.0, 20.0),
    (70.0, 21.0),
    (80.0, 22.0),
    (90.0, 23.0),
];

/// The step a time falls in; the last one beyond the table.
fn step_at(steps: &[(f64, f64)], boil: Time) -> Fraction {
    let found = steps.iter().find(|(until, _)| boil.minutes() <= *until).or(steps.last());
    Fraction::from_parts(found.map_or(0.0, |(_, percent)| percent / 100.0))
}

/// Utilisation by gravity and boil minutes. Tabulated for [`RAGER_MINUTES_RANGE`]; beyond it the last step
/// stays. Source: [`RAGER`].
#[must_use]
pub fn rager(gravity: Gravity, boil: Time) -> Fraction {
    step_at(&RAGER_STEPS, boil) / rager_gravity_factor(gravity)
}

/// Utilisation by the smooth curve through the table of [`rager`], for [`RAGER_MINUTES_RANGE`].
/// Source: [`RAGER_CURVE`].
#[must_use]
pub fn rager_curve(gravity: Gravity, boil: Time) -> Fraction {
    let percent = 18.11 + 13.86 * ((boil.minutes() - 31.32) / 18.27).tanh();
    Fraction::from_parts(percent / 100.0) / rager_gravity_factor(gravity)
}

/// What utilisation is divided by above 1.050. Source: [`RAGER`].
fn rager_gravity_factor(gravity: Gravity) -> f64 {
    1.0 + ((gravity.sg() - 1.050) / 0.2).max(0.0)
}

/// Utilisation by boil minutes in a wort of a bitterness and a gravity, both as they are in the kettle
/// (for a concentrated boil they are those of the finished wort times final over boiled volume), at an
/// elevation. It depends on the bitterness it leads to, so it is found by iteration or from
/// [`Model::bitterness`].
///
/// Tabulated for [`GARETZ_MINUTES_RANGE`], the last step stays beyond it; nothing up to 10 min. Nothing
/// also where a factor is not above 0, as far below water. Source: [`GARETZ`].
#[must_use]
pub fn garetz(gravity: Gravity, boil: Time, in_kettle: Ibu, elevation: Length) -> Option<Fraction> {
    let hopping_rate = in_kettle.ibu() / 260.0 + 1.0;
    let others = garetz_factor(gravity, elevation)?;
    (hopping_rate > 0.0).then(|| step_at(&GARETZ_STEPS, boil) / (others * hopping_rate))
}

/// The factors for gravity and elevation together.
fn garetz_factor(gravity: Gravity, elevation: Length) -> Option<f64> {
    let feet = elevation.metres() / 0.3048;
    let factor = ((gravity.sg() - 1.050) / 0.2 + 1.0) * (feet / 550.0 * 0.02 + 1.0);
    (factor > 0.0 && factor.is_finite()).then_some(factor)
}

/// Rate (per minute) at which alpha acids become iso-alpha acids. Measured in [`MALOWICKI_RANGE`],
/// extrapolated below it; 0 at and below absolute zero. Source: [`MALOWICKI`].
#[must_use]
pub fn isomerisation_rate(at: Temperature) -> f64 {
    arrhenius(7.9e11, 11_858.0, at)
}

/// Rate (per minute) at which iso-alpha acids are lost again; ranges and source as
/// [`isomerisation_rate`].
#[must_use]
pub fn degradation_rate(at: Temperature) -> f64 {
    arrhenius(4.1e12, 12_994.0, at)
}

fn arrhenius(factor: f64, activation: f64, at: Temperature) -> f64 {
    let kelvin = at.celsius() + 273.15;
    if kelvin > 0.0 { factor * (-activation / kelvin).exp() } else { 0.0 }
}

/// Share of dissolved alpha acids that is iso-alpha acids after a time at a temperature, without losses to
/// trub or yeast. Measured in [`MALOWICKI_RANGE`]; 0 for no or negative time. Source: [`MALOWICKI`].
#[must_use]
pub fn iso_alpha_fraction(time: Time, at: Temperature) -> Fraction {
    let (k1, k2) = (isomerisation_rate(at), degradation_rate(at));
    let minutes = time.minutes().max(0.0);
    // k1 / (k2 - k1) (e^(-k1 t) - e^(-k2 t)), written so that equal rates are no division by 0.
    let x = (k2 - k1) * minutes;
    let mean = if x == 0.0 { 1.0 } else { x.exp_m1() / x };
    let fraction = k1 * minutes * (-k2 * minutes).exp() * mean;
    Fraction::from_parts(if fraction.is_finite() { fraction } else { 0.0 })
}

const BOIL: Temperature = Temperature::from_celsius(100.0);

/// Rate of isomerisation at a temperature over that at 100 °C. Source: [`MALOWICKI`], with the range of
/// [`isomerisation_rate`].
#[must_use]
pub fn relative_rate(at: Temperature) -> f64 {
    isomerisation_rate(at) / isomerisation_rate(BOIL)
}

/// Boil minutes that isomerise as much as a time at a constant temperature. Measured in
/// [`MALOWICKI_RANGE`], extrapolated below. Commercial whirlpools measure two to four times as much
/// bitterness: hence the brewhouse's factor. Source: [`STAND`].
#[must_use]
pub fn equivalent_minutes(time: Time, at: Temperature) -> Time {
    time * relative_rate(at)
}

/// Boil minutes that isomerise as much as a time of cooling by itself, from a temperature towards the
/// surroundings with a time constant (the time in which the difference falls to 37 %).
///
/// Nothing unless the time constant is above 0. Source: [`STAND`], Newton's law of cooling.
#[must_use]
pub fn equivalent_minutes_cooling(
    time: Time,
    from: Temperature,
    surroundings: Temperature,
    time_constant: Time,
) -> Option<Time> {
    let tau = time_constant.minutes();
    if !(tau > 0.0 && tau.is_finite()) {
        return None;
    }
    // After ten time constants it is as warm as the surroundings; Simpson's rule until then.
    let cooling = time.minutes().clamp(0.0, 10.0 * tau);
    let rate = |minutes: f64| {
        let above = TemperatureStep::from_kelvin((from - surroundings).kelvin() * (-minutes / tau).exp());
        relative_rate(surroundings + above)
    };
    const PAIRS: u16 = 200;
    let step = cooling / f64::from(2 * PAIRS);
    let sum: f64 = (0..PAIRS)
        .map(|i| {
            let at = |n: u16| rate(step * f64::from(2 * i + n));
            at(0) + 4.0 * at(1) + at(2)
        })
        .sum();
    let after = (time.minutes() - cooling).max(0.0) * relative_rate(surroundings);
    let minutes = Time::from_minutes(sum * step / 3.0 + after);
    minutes.is_finite().then_some(minutes)
}

/// A utilisation model.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Model {
    /// [`TINSETH`].
    #[default]
    Tinseth,
    /// [`RAGER`], its table.
    Rager,
    /// [`GARETZ`].
    Garetz,
}

/// One charge of hops in the kettle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Charge {
    /// Alpha acids it brings, aged if they have aged.
    pub alpha: Mass,
    /// Minutes of boil it sees.
    pub boil: Time,
    /// Equivalent boil minutes of every stand it sees, the brewhouse's factor included.
    pub stand: Time,
    /// What its bitterness is multiplied by for its form or the way it is used; 1 as a rule, 0 for a mash
    /// hop of which nothing is known.
    pub factor: f64,
}

/// What the hops are boiled in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Kettle {
    /// The gravity utilisation is taken at, see [`mean_gravity`].
    pub gravity: Gravity,
    /// Wort after the boil, at 20 °C.
    pub post_boil: Volume,
    /// Elevation above the sea; only [`Model::Garetz`] asks for it.
    pub elevation: Length,
}

impl Model {
    /// Where the model comes from.
    #[must_use]
    pub const fn source(self) -> Source {
        match self {
            Self::Tinseth => TINSETH,
            Self::Rager => RAGER,
            Self::Garetz => GARETZ,
        }
    }

    /// Bitterness that each charge brings to the post-boil wort, in their order; their sum is the wort's.
    /// The beer's follows by [`diluted`] from knock-out to batch volume.
    ///
    /// Nothing without a volume, or for gravities at which the model has no answer.
    #[must_use]
    pub fn bitterness(self, charges: &[Charge], kettle: &Kettle) -> Option<Vec<Ibu>> {
        let at_once = |utilisation: &dyn Fn(Time) -> Option<Fraction>| {
            charges
                .iter()
                .map(|c| {
                    let alpha = alpha_concentration(c.alpha, kettle.post_boil)?;
                    let bitterness = ibu(alpha, utilisation(c.boil + c.stand)?) * c.factor;
                    bitterness.is_finite().then_some(bitterness)
                })
                .collect::<Option<Vec<Ibu>>>()
        };
        match self {
            Self::Tinseth => at_once(&|minutes| Some(tinseth(kettle.gravity, minutes))),
            Self::Rager => at_once(&|minutes| Some(rager(kettle.gravity, minutes))),
            Self::Garetz => {
                // Without its hopping rate factor the wort would have `free`; with it, I = free / (1 + I/260).
                let none = Ibu::from_ibu(0.0);
                let free = at_once(&|minutes| garetz(kettle.gravity, minutes, none, kettle.elevation))?;
                let all: Ibu = free.iter().copied().sum();
                let factor = f64::midpoint(1.0, (1.0 + 4.0 * all.ibu().max(0.0) / 260.0).sqrt());
                Some(free.into_iter().map(|one| one / factor).collect())
            }
        }
    }
}

/// How well hops are kept from air.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Packing {
    /// Open to air.
    #[default]
    Open,
    /// Closed in a barrier, with air.
    Barrier,
    /// Closed in a barrier, in vacuum or inert gas.
    Inert,
}

impl Packing {
    /// The storage factor. Source: [`GARETZ_AGEING`], these numbers from memory.
    #[must_use]
    pub const fn factor(self) -> f64 {
        match self {
            Self::Open => 1.0,
            Self::Barrier => 0.75,
            Self::Inert => 0.5,
        }
    }
}

/// Share of the alpha acids lost in 180 days at 20 °C, from the hop storage index: 1.10 log10(HSI / 0.25),
/// 0 for a fresh hop. Given for [`HSI_RANGE`]. Nothing where the index is not above 0.
/// Source: [`GARETZ_AGEING`].
#[must_use]
pub fn loss_from_storage_index(hsi: f64) -> Option<Fraction> {
    let loss = 1.10 * (hsi / 0.25).log10();
    (hsi > 0.0 && loss.is_finite()).then(|| Fraction::from_parts(loss.max(0.0)))
}

/// Alpha acids left in a hop after an age at a temperature, from what it had when fresh and the share it
/// loses in 180 days at 20 °C. Nothing for a loss below 0 or of all and more. Source: [`GARETZ_AGEING`].
#[must_use]
pub fn aged_alpha(
    fresh: Fraction,
    loss_in_180_days: Fraction,
    age: Time,
    at: Temperature,
    packing: Packing,
) -> Option<Fraction> {
    let loss = loss_in_180_days.parts();
    if !(0.0..1.0).contains(&loss) {
        return None;
    }
    let rate = -f64::ln_1p(-loss) / 180.0;
    let temperature_factor = f64::exp2((at.celsius() - 20.0) / 15.0);
    let left = fresh * (-rate * temperature_factor * packing.factor() * age.days().max(0.0)).exp();
    left.is_finite().then_some(left)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn minutes(x: f64) -> Time {
        Time::from_minutes(x)
    }
    fn celsius(x: f64) -> Temperature {
        Temperature::from_celsius(x)
    }
    fn charge(grams_of_alpha: f64, boil: f64, stand: f64) -> Charge {
        Charge {
            alpha: Mass::from_grams(grams_of_alpha),
            boil: minutes(boil),
            stand: minutes(stand),
            factor: 1.0,
        }
    }
    fn kettle() -> Kettle {
        Kettle {
            gravity: Gravity::from_sg(1.050),
            post_boil: Volume::from_litres(20.0),
            elevation: Length::from_metres(0.0),
        }
    }

    #[test]
    fn a_stand_adds_to_every_hop_already_in() {
        let stand = equivalent_minutes(minutes(20.0), celsius(90.0)).minutes();
        let without = Model::Tinseth.bitterness(&[charge(3.0, 60.0, 0.0), charge(6.0, 0.0, 0.0)], &kettle());
        let with = Model::Tinseth.bitterness(&[charge(3.0, 60.0, stand), charge(6.0, 0.0, stand)], &kettle());
        let (without, with) = (without.unwrap(), with.unwrap());
        assert_eq!(without[1].ibu(), 0.0);
        // 50 g of 12 % at flameout, 20 min at 90 °C.
        assert!((with[1].ibu() - 21.6).abs() < 0.05, "{with:?}");
        // A 60 min charge gains only 0.0065 of utilisation.
        assert!(((with[0] - without[0]).ibu() / 150.0 - 0.0065).abs() < 5e-5, "{with:?}");
    }

    #[test]
    fn cooling_slowly_is_standing_and_surroundings_end_it() {
        let slow = equivalent_minutes_cooling(minutes(20.0), celsius(90.0), celsius(20.0), minutes(1e9));
        let still = equivalent_minutes(minutes(20.0), celsius(90.0));
        assert!((slow.unwrap() - still).minutes().abs() < 1e-5);
        let cool = |t: f64| {
            equivalent_minutes_cooling(minutes(t), celsius(100.0), celsius(20.0), minutes(30.0))
                .unwrap()
                .minutes()
        };
        assert!(cool(20.0) < cool(60.0) && cool(60.0) < cool(600.0));
        // Once cold, what is left of the time runs at the rate of the surroundings.
        let cold = 99_400.0 * relative_rate(celsius(20.0));
        assert!((cool(100_000.0) - cool(600.0) - cold).abs() < 1e-3);
        assert_eq!(
            equivalent_minutes_cooling(minutes(20.0), celsius(90.0), celsius(20.0), minutes(0.0)),
            None
        );
    }

    #[test]
    fn garetz_meets_the_bitterness_it_assumes() {
        let charges = [charge(3.0, 60.0, 0.0), charge(1.5, 20.0, 0.0)];
        let each = Model::Garetz.bitterness(&charges, &kettle()).unwrap();
        let total: Ibu = each.iter().copied().sum();
        for (one, c) in each.iter().zip(charges) {
            let utilisation = garetz(kettle().gravity, c.boil, total, kettle().elevation).unwrap();
            let alpha = alpha_concentration(c.alpha, kettle().post_boil).unwrap();
            assert!((ibu(alpha, utilisation) - *one).ibu().abs() < 1e-12);
        }
    }

    #[test]
    fn alpha_for_a_target_gives_the_target() {
        let utilisation = tinseth(Gravity::from_sg(1.050), minutes(60.0));
        let volume = Volume::from_litres(20.0);
        let alpha = alpha_for(Ibu::from_ibu(30.0), volume, utilisation).unwrap();
        let back = ibu(alpha_concentration(alpha, volume).unwrap(), utilisation);
        assert!((back.ibu() - 30.0).abs() < 1e-12);
        assert_eq!(alpha_for(Ibu::from_ibu(30.0), volume, Fraction::from_parts(0.0)), None);
    }

    #[test]
    fn any_temperature_gives_a_finite_share() {
        for t in [-1e9, -273.15, -100.0, 0.0, 416.76, 2000.0, 1e9] {
            for time in [-5.0, 0.0, 60.0, 1e9] {
                let fraction = iso_alpha_fraction(minutes(time), celsius(t)).parts();
                assert!((0.0..=1.0).contains(&fraction), "{t} °C {time} min: {fraction}");
            }
        }
    }

    #[test]
    fn no_volume_no_bitterness() {
        let dry = Kettle { post_boil: Volume::from_litres(0.0), ..kettle() };
        for model in [Model::Tinseth, Model::Rager, Model::Garetz] {
            assert_eq!(model.bitterness(&[charge(3.0, 60.0, 0.0)], &dry), None, "{model:?}");
            assert_eq!(model.bitterness(&[], &kettle()), Some(vec![]), "{model:?}");
        }
    }

    #[test]
    fn fresh_and_spoilt_hops() {
        let left = |loss: f64| {
            aged_alpha(
                Fraction::from_parts(0.09),
                Fraction::from_parts(loss),
                Time::from_days(0.0),
                celsius(20.0),
                Packing::Open,
            )
        };
        assert_eq!(left(0.3), Some(Fraction::from_parts(0.09)));
        assert_eq!(left(1.0), None);
        assert_eq!(left(-0.1), None);
        assert_eq!(loss_from_storage_index(0.2), Some(Fraction::from_parts(0.0)));
        assert_eq!(loss_from_storage_index(0.0), None);
    }
}
