//! The chain of volumes from total liquor to packaged beer, both ways. All volumes are at 20 °C.
//!
//! Total liquor, less what grain and vessel keep, is pre-boil; less evaporation it is post-boil; less trub
//! and what the hops keep it is knock-out; with the top-up it is the batch in the fermenter; less the
//! fermenter's loss and what dry hops keep it is packaged.

use quantity::typed::{Fraction, Mass, Time, Volume, VolumePerMass, VolumeRate};

use crate::source::{Basis, Source};
use crate::validity::Range;

/// Order of the steps.
pub const VOLUME_CHAIN: Source = Source::new(
    "volume chain",
    "Volumes at 20 °C: total liquor - grain absorption - dead space = pre-boil; - evaporation = post-boil; \
     - trub - hop absorption = knock-out; + top-up = batch; - fermenter loss - dry-hop absorption = packaged.",
    Basis::Computed,
);
/// What a grain bed keeps.
pub const GRAIN_ABSORPTION: Source = Source::new(
    "grain absorption",
    "Measured at home scale 0.83 to 1.25 L/kg typically (0.6 to 0.8 from a pressed bag, up to 1.9 of wet \
     spent grain); reports differ by a factor of two, so it belongs to the brewhouse.",
    Basis::CommonPractice,
);
/// Common boil-off of a kettle.
pub const EVAPORATION: Source = Source::new(
    "evaporation",
    "10 to 15 % in 90 min historically, 6 to 8 % in all today; small kettles lose more, up to about 20 %/h.",
    Basis::CommonPractice,
);

/// L/kg that grain is reported to keep.
pub const GRAIN_ABSORPTION_RANGE: Range = Range::new(0.6, 1.9, GRAIN_ABSORPTION);
/// Share of the pre-boil volume that evaporates in an hour.
pub const EVAPORATION_RANGE: Range = Range::new(0.04, 0.20, EVAPORATION);

/// How much a kettle boils off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Evaporation {
    /// A volume an hour, whatever is in the kettle.
    Rate(VolumeRate),
    /// A share of the pre-boil volume an hour.
    ShareOfPreBoil(Fraction),
}

impl Default for Evaporation {
    fn default() -> Self {
        Self::Rate(VolumeRate::default())
    }
}

/// What is lost and added on the way from the liquor tank to the package. Everything is 0 by default.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Route {
    /// Grain that goes through the mash; steeped grain and sugar keep nothing here.
    pub mashed_grain: Mass,
    /// Liquor that grain keeps.
    pub grain_absorption: VolumePerMass,
    /// Wort that stays in the mash vessel.
    pub dead_space: Volume,
    /// Boil-off.
    pub evaporation: Evaporation,
    /// Length of the boil.
    pub boil: Time,
    /// Water, and the own volume of syrups, added to the kettle during or after the boil.
    pub kettle_top_up: Volume,
    /// Wort that stays in the kettle with the trub.
    pub trub: Volume,
    /// Every hop in the kettle, those of the stand too.
    pub kettle_hops: Mass,
    /// Wort that kettle hops keep.
    pub hop_absorption: VolumePerMass,
    /// Water added in the fermenter.
    pub fermenter_top_up: Volume,
    /// Beer that stays in the fermenter.
    pub fermenter_loss: Volume,
    /// Hops in the fermenter.
    pub dry_hops: Mass,
    /// Beer that dry hops keep.
    pub dry_hop_absorption: VolumePerMass,
}

/// A place in the chain.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Stage {
    /// All brewing liquor.
    TotalLiquor,
    /// Wort in the kettle before the boil.
    PreBoil,
    /// Wort in the kettle after the boil, top-up included.
    PostBoil,
    /// Wort that leaves the kettle.
    KnockOut,
    /// Wort in the fermenter.
    Batch,
    /// Beer in the package.
    Packaged,
}

/// The volumes of one brew, at 20 °C. A negative one says that the losses exceed what there is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Volumes {
    /// All brewing liquor, without the top-ups.
    pub total_liquor: Volume,
    /// Wort in the kettle before the boil.
    pub pre_boil: Volume,
    /// What boils off.
    pub evaporated: Volume,
    /// Wort in the kettle after the boil, top-up included.
    pub post_boil: Volume,
    /// Wort that leaves the kettle.
    pub knock_out: Volume,
    /// Wort in the fermenter.
    pub batch: Volume,
    /// Beer in the package.
    pub packaged: Volume,
}

impl Route {
    fn kept_by_mash(&self) -> Volume {
        self.grain_absorption * self.mashed_grain + self.dead_space
    }

    fn kept_by_kettle(&self) -> Volume {
        self.hop_absorption * self.kettle_hops + self.trub
    }

    fn kept_by_fermenter(&self) -> Volume {
        self.dry_hop_absorption * self.dry_hops + self.fermenter_loss
    }

    fn boiled_off(&self, pre_boil: Volume) -> Volume {
        match self.evaporation {
            Evaporation::Rate(rate) => rate * self.boil,
            Evaporation::ShareOfPreBoil(share) => pre_boil * (share.parts() * self.boil.hours()),
        }
    }

    fn pre_boil_for(&self, post_boil: Volume) -> Option<Volume> {
        let boiled = post_boil - self.kettle_top_up;
        match self.evaporation {
            Evaporation::Rate(rate) => Some(boiled + rate * self.boil),
            Evaporation::ShareOfPreBoil(share) => {
                let left = 1.0 - share.parts() * self.boil.hours();
                (left > 0.0).then(|| boiled / left)
            }
        }
    }

    /// All volumes (L at 20 °C) from one that is known, backwards and forwards.
    ///
    /// Nothing if a number is not finite, or if a share of the pre-boil volume boils off that leaves none
    /// of it. Source: [`VOLUME_CHAIN`].
    #[must_use]
    pub fn volumes(&self, known: Stage, volume: Volume) -> Option<Volumes> {
        use Stage::{Batch, KnockOut, Packaged, PostBoil, PreBoil, TotalLiquor};

        let batch_for_packaged = volume + self.kept_by_fermenter();
        let knock_out = match known {
            TotalLiquor | PreBoil | PostBoil => None,
            KnockOut => Some(volume),
            Batch => Some(volume - self.fermenter_top_up),
            Packaged => Some(batch_for_packaged - self.fermenter_top_up),
        };
        let pre_boil = match (known, knock_out) {
            (TotalLiquor, _) => volume - self.kept_by_mash(),
            (PreBoil, _) => volume,
            (_, None) => self.pre_boil_for(volume)?,
            (_, Some(knock_out)) => self.pre_boil_for(knock_out + self.kept_by_kettle())?,
        };
        let evaporated = self.boiled_off(pre_boil);
        let post_boil = pre_boil - evaporated + self.kettle_top_up;
        let knock_out = post_boil - self.kept_by_kettle();
        let batch = knock_out + self.fermenter_top_up;
        let packaged = batch - self.kept_by_fermenter();
        let total_liquor = pre_boil + self.kept_by_mash();
        let all = Volumes { total_liquor, pre_boil, evaporated, post_boil, knock_out, batch, packaged };
        [total_liquor, evaporated, packaged].iter().all(|v| v.is_finite()).then_some(all)
    }
}

/// Evaporation (L/h) between two volumes at 20 °C, of which the later includes a top-up. Nothing without a
/// length of time. Source: [`VOLUME_CHAIN`].
#[must_use]
pub fn evaporation_rate(
    pre_boil: Volume,
    post_boil: Volume,
    top_up: Volume,
    boil: Time,
) -> Option<VolumeRate> {
    let lost = pre_boil + top_up - post_boil;
    let rate = VolumeRate::from_litres_per_hour(lost.litres() / boil.hours());
    (boil.minutes() > 0.0 && rate.is_finite()).then_some(rate)
}

/// Evaporation as a share of the pre-boil volume an hour, from volumes at 20 °C. Nothing without a volume
/// or a length of time. Source: [`VOLUME_CHAIN`].
#[must_use]
pub fn evaporation_share(
    pre_boil: Volume,
    post_boil: Volume,
    top_up: Volume,
    boil: Time,
) -> Option<Fraction> {
    let rate = evaporation_rate(pre_boil, post_boil, top_up, boil)?;
    let share = Fraction::from_parts(rate.litres_per_hour() / pre_boil.litres());
    (pre_boil.litres() > 0.0 && share.is_finite()).then_some(share)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn litres(x: f64) -> Volume {
        Volume::from_litres(x)
    }

    fn route(evaporation: Evaporation) -> Route {
        Route {
            mashed_grain: Mass::from_kg(5.0),
            grain_absorption: VolumePerMass::from_litres_per_kg(1.0),
            dead_space: litres(1.0),
            evaporation,
            boil: Time::from_minutes(75.0),
            kettle_top_up: litres(0.7),
            trub: litres(1.5),
            kettle_hops: Mass::from_kg(0.1),
            hop_absorption: VolumePerMass::from_litres_per_kg(5.0),
            fermenter_top_up: litres(2.0),
            fermenter_loss: litres(0.8),
            dry_hops: Mass::from_kg(0.06),
            dry_hop_absorption: VolumePerMass::from_litres_per_kg(8.0),
        }
    }

    fn both_kinds() -> [Evaporation; 2] {
        [
            Evaporation::Rate(VolumeRate::from_litres_per_hour(3.5)),
            Evaporation::ShareOfPreBoil(Fraction::from_parts(0.11)),
        ]
    }

    #[test]
    fn nothing_is_lost_or_made() {
        for evaporation in both_kinds() {
            let r = route(evaporation);
            let v = r.volumes(Stage::PreBoil, litres(27.0)).unwrap();
            let left = v.total_liquor + r.kettle_top_up + r.fermenter_top_up;
            let gone = litres(5.0 + 1.0 + 1.5 + 0.5 + 0.8 + 0.48) + v.evaporated + v.packaged;
            assert!((left - gone).litres().abs() < 1e-12, "{v:?}");
        }
    }

    #[test]
    fn what_boils_off_is_measured_back() {
        for evaporation in both_kinds() {
            let r = route(evaporation);
            let v = r.volumes(Stage::Batch, litres(20.0)).unwrap();
            let rate = evaporation_rate(v.pre_boil, v.post_boil, r.kettle_top_up, r.boil).unwrap();
            let share = evaporation_share(v.pre_boil, v.post_boil, r.kettle_top_up, r.boil).unwrap();
            match evaporation {
                Evaporation::Rate(given) => assert!((rate - given).litres_per_hour().abs() < 1e-12),
                Evaporation::ShareOfPreBoil(given) => assert!((share - given).parts().abs() < 1e-12),
            }
        }
        assert_eq!(evaporation_rate(litres(1.0), litres(1.0), litres(0.0), Time::from_minutes(0.0)), None);
        assert_eq!(evaporation_share(litres(0.0), litres(0.0), litres(0.0), Time::from_minutes(60.0)), None);
    }

    #[test]
    fn no_kettle_boils_dry_backwards() {
        let all = Evaporation::ShareOfPreBoil(Fraction::from_parts(0.8));
        assert_eq!(route(all).volumes(Stage::Batch, litres(20.0)), None);
        assert_eq!(route(both_kinds()[0]).volumes(Stage::Batch, litres(f64::NAN)), None);
    }
}
