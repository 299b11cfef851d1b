//! The order in which the figures of a plan follow from one another.

use crate::id::FigureId;

/// Every figure of a plan, each after those it is computed from, in steps of the brewing day.
pub const DERIVATION: &[(&str, &[FigureId])] = {
    use FigureId as F;
    &[
        (
            "grist and volumes",
            &[
                F::GristWeight,
                F::BatchVolume,
                F::KnockOutVolume,
                F::PostBoilVolume,
                F::PreBoilVolume,
                F::TotalLiquor,
                F::MashLiquor,
                F::SpargeLiquor,
                F::PackagedVolume,
            ],
        ),
        ("mash", &[F::MashThickness, F::MashVolume, F::StrikeTemperature, F::DiastaticPower]),
        (
            "extract and gravity",
            &[
                F::ExtractMass,
                F::FirstWortGravity,
                F::LauterEfficiency,
                F::MashEfficiencyEstimate,
                F::PreBoilGravity,
                F::PostBoilGravity,
                F::PitchingGravity,
                F::Og,
                F::BrewhouseEfficiency,
            ],
        ),
        (
            "source",
            &[
                F::SourceCalcium,
                F::SourceMagnesium,
                F::SourceSodium,
                F::SourceChloride,
                F::SourceSulfate,
                F::SourceBicarbonate,
                F::SourceAlkalinity,
                F::ChargeImbalance,
            ],
        ),
        (
            "mash liquor and mash pH",
            &[
                F::MashCalcium,
                F::MashMagnesium,
                F::MashSodium,
                F::MashChloride,
                F::MashSulfate,
                F::MashBicarbonate,
                F::Alkalinity,
                F::MashAlkalinity,
                F::ResidualAlkalinity,
                F::MashPh,
            ],
        ),
        (
            "sparge liquor",
            &[
                F::SpargeCalcium,
                F::SpargeMagnesium,
                F::SpargeSodium,
                F::SpargeChloride,
                F::SpargeSulfate,
                F::SpargeBicarbonate,
                F::SpargePh,
            ],
        ),
        (
            "all liquor",
            &[
                F::Calcium,
                F::Magnesium,
                F::Sodium,
                F::Chloride,
                F::Sulfate,
                F::Bicarbonate,
                F::SulfateToChloride,
            ],
        ),
        ("colour and bitterness", &[F::Colour, F::Ibu, F::BitternessRatio]),
        ("yeast", &[F::CellsNeeded, F::StarterVolume, F::CellsPitched, F::PitchRate]),
        (
            "beer",
            &[
                F::Fg,
                F::ApparentAttenuation,
                F::RealAttenuation,
                F::Abv,
                F::AlcoholByWeight,
                F::AlcoholMass,
                F::Energy,
                F::Co2Released,
                F::FreeRiseCeiling,
            ],
        ),
        (
            "package",
            &[
                F::ResidualCo2,
                F::PrimingRate,
                F::PrimingSugar,
                F::Carbonation,
                F::KegPressure,
                F::AbvPackaged,
            ],
        ),
        ("cost", &[F::Cost, F::CostPerLitre]),
    ]
};

#[cfg(test)]
mod tests {
    use super::*;
    use crate::id::Scope;

    #[test]
    fn every_figure_of_a_plan_has_its_place_once() {
        let mut placed: Vec<FigureId> = DERIVATION.iter().flat_map(|(_, ids)| *ids).copied().collect();
        placed.sort_unstable();
        let all: Vec<FigureId> =
            FigureId::ALL.iter().copied().filter(|id| id.scope() == Scope::Plan).collect();
        let mut sorted = all;
        sorted.sort_unstable();
        assert_eq!(placed, sorted);
    }
}
