//! A missed gravity put right: water, extract or a longer boil, by mass balance. Volumes at 20 °C.
//!
//! Hops do not scale back with any of them: bitterness has to be computed again.

use quantity::typed::{Fraction, Gravity, Mass, Time, Volume, VolumeRate};

use crate::gravity::{self, density, extract_mass, plato};

/// Gravity of two worts or of wort and water mixed, and their volume: masses and extracts add.
/// Nothing where there is no volume. Source: [`crate::source::BALANCE`].
#[must_use]
pub fn mix(a: (Volume, Gravity), b: (Volume, Gravity)) -> Option<(Volume, Gravity)> {
    let mass = |(volume, gravity): (Volume, Gravity)| volume.litres() * density(gravity).kg_per_litre();
    let all = mass(a) + mass(b);
    let extract = extract_mass(a.0, a.1) + extract_mass(b.0, b.1);
    let mixed = gravity::gravity(quantity::typed::Plato::from_plato(100.0 * extract.kg() / all));
    let volume = Volume::from_litres(all / density(mixed).kg_per_litre());
    (all > 0.0 && mixed.is_finite() && volume.is_finite()).then_some((volume, mixed))
}

/// Water to add to wort to bring it down to a gravity. Nothing where the target is not between water and
/// the wort, or there is no wort. Source: [`crate::source::BALANCE`].
#[must_use]
pub fn dilution(wort: Volume, from: Gravity, to: Gravity) -> Option<Volume> {
    let (strong, weak) = (plato(from).plato(), plato(to).plato());
    // What dilutes is water as the cubic has it: its extract is -0.003 °P, not 0.
    let water = Gravity::from_sg(1.0);
    let none = plato(water).plato();
    if !(wort.litres() > 0.0 && none < weak && weak <= strong) {
        return None;
    }
    let mass = wort.litres() * density(from).kg_per_litre();
    let added = mass * (strong - weak) / (weak - none);
    let litres = Volume::from_litres(added / density(water).kg_per_litre());
    litres.is_finite().then_some(litres)
}

/// An addition of extract.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ExtractAddition {
    /// What to weigh in.
    pub mass: Mass,
    /// The volume afterwards: sugar takes room.
    pub volume: Volume,
}

/// Sugar or malt extract to dissolve in wort to bring it up to a gravity; `extract` is its share of extract,
/// 1 for sucrose, about 0.97 for a dry malt extract. Nothing where the target is below the wort, the extract
/// is weaker than the target, or there is no wort. Source: [`crate::source::BALANCE`].
#[must_use]
pub fn extract_to_add(
    wort: Volume,
    from: Gravity,
    to: Gravity,
    extract: Fraction,
) -> Option<ExtractAddition> {
    let (weak, strong, added) = (plato(from).plato(), plato(to).plato(), extract.parts() * 100.0);
    if !(wort.litres() > 0.0 && weak <= strong && strong < added && added <= 100.0) {
        return None;
    }
    let wort_mass = wort.litres() * density(from).kg_per_litre();
    let mass = wort_mass * (strong - weak) / (added - strong);
    let volume = Volume::from_litres((wort_mass + mass) / density(to).kg_per_litre());
    volume.is_finite().then_some(ExtractAddition { mass: Mass::from_kg(mass), volume })
}

/// A longer boil.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LongerBoil {
    /// The volume at which the gravity is reached.
    pub volume: Volume,
    /// How much longer it takes.
    pub time: Time,
}

/// How long to boil wort to bring it up to a gravity at an evaporation. Nothing where the target is below
/// the wort, the wort holds no extract, or nothing evaporates. Source: [`crate::source::BALANCE`].
#[must_use]
pub fn longer_boil(wort: Volume, from: Gravity, to: Gravity, evaporation: VolumeRate) -> Option<LongerBoil> {
    let volume = gravity::volume_of(extract_mass(wort, from), to)?;
    let off = wort - volume;
    let time = Time::from_hours(off.litres() / evaporation.litres_per_hour());
    let possible = volume.litres() > 0.0 && off.litres() >= 0.0 && evaporation.litres_per_hour() > 0.0;
    (possible && time.is_finite()).then_some(LongerBoil { volume, time })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sg(x: f64) -> Gravity {
        Gravity::from_sg(x)
    }
    fn litres(x: f64) -> Volume {
        Volume::from_litres(x)
    }

    #[test]
    fn diluting_by_the_answer_gives_the_target() {
        let water = dilution(litres(20.0), sg(1.060), sg(1.050)).unwrap();
        let (_, mixed) = mix((litres(20.0), sg(1.060)), (water, sg(1.0))).unwrap();
        assert!((mixed.sg() - 1.050).abs() < 1e-12, "{mixed:?}");
    }

    #[test]
    fn adding_and_boiling_close_the_balance() {
        let share = Fraction::from_parts(0.97);
        let add = extract_to_add(litres(20.0), sg(1.044), sg(1.050), share).unwrap();
        let extract = extract_mass(litres(20.0), sg(1.044)) + add.mass * 0.97;
        assert!((extract - extract_mass(add.volume, sg(1.050))).kg().abs() < 1e-12);
        let rate = VolumeRate::from_litres_per_hour(3.0);
        let boil = longer_boil(litres(25.0), sg(1.040), sg(1.048), rate).unwrap();
        assert!((litres(25.0) - rate * boil.time - boil.volume).litres().abs() < 1e-12);
    }

    #[test]
    fn each_way_is_refused_where_it_leads_away() {
        let rate = VolumeRate::from_litres_per_hour;
        let all = Fraction::from_parts(1.0);
        assert_eq!(dilution(litres(20.0), sg(1.040), sg(1.050)), None);
        assert_eq!(dilution(litres(20.0), sg(1.040), sg(1.0)), None);
        assert_eq!(dilution(litres(0.0), sg(1.060), sg(1.050)), None);
        assert_eq!(extract_to_add(litres(20.0), sg(1.050), sg(1.040), all), None);
        assert_eq!(extract_to_add(litres(20.0), sg(1.050), sg(1.060), Fraction::from_parts(0.1)), None);
        assert_eq!(longer_boil(litres(20.0), sg(1.050), sg(1.040), rate(3.0)), None);
        assert_eq!(longer_boil(litres(20.0), sg(1.040), sg(1.050), rate(0.0)), None);
        assert_eq!(longer_boil(litres(20.0), sg(1.0), sg(1.050), rate(3.0)), None);
        assert_eq!(mix((litres(0.0), sg(1.040)), (litres(0.0), sg(1.0))), None);
    }
}
