//! What a figure is, apart from any recipe: `gyle explain FIGURE`.

use std::fmt::Write as _;

use brewing::source::Source;
use brewing::{
    alcohol, attenuation, bitterness, carbonation, colour, gravity, grist, mash, measure, ph, source,
    volumes, water, yeast,
};

use crate::calc::INPUT_SPREADS;
use crate::id::{FigureId, Scope};

/// The text that explains a figure: what it says, how it is computed, where that comes from, what else there is.
#[must_use]
pub fn explain(id: FigureId) -> String {
    let about = about(id);
    let mut out = String::new();
    let unit = id.show().unit();
    let _ = writeln!(out, "{} ({})", id.words(), id.id());
    let _ = writeln!(out, "  {}", id.doc());
    let _ = writeln!(out, "\nunit: {}", if unit.is_empty() { "none" } else { unit });
    let from = match id.scope() {
        Scope::Plan => "the recipe",
        Scope::Log => "what a log has measured",
    };
    let _ = writeln!(out, "computed from {from}");
    let _ = writeln!(out, "\nformula\n  {}", about.formula);
    if !about.validity.is_empty() {
        let _ = writeln!(out, "\nvalidity\n  {}", about.validity);
    }
    if !about.alternatives.is_empty() {
        let _ = writeln!(out, "\nalternatives\n  {}", about.alternatives);
    }
    let _ = writeln!(out, "\nsources");
    for one in about.sources {
        let _ = writeln!(out, "  {one}");
    }
    if id.scope() == Scope::Plan {
        let _ = writeln!(out, "\nuncertainty\n  {INPUT_SPREADS}");
    }
    let _ = writeln!(out, "\n`gyle figures --why FILE` shows it with the numbers of a recipe put in.");
    out
}

struct About {
    formula: &'static str,
    validity: &'static str,
    alternatives: &'static str,
    sources: &'static [&'static Source],
}

impl About {
    const fn of(formula: &'static str, sources: &'static [&'static Source]) -> Self {
        Self { formula, validity: "", alternatives: "", sources }
    }
    const fn valid(mut self, validity: &'static str) -> Self {
        self.validity = validity;
        self
    }
    const fn or(mut self, alternatives: &'static str) -> Self {
        self.alternatives = alternatives;
        self
    }
}

#[allow(clippy::too_many_lines)] // one arm a figure, to be read as a table
fn about(id: FigureId) -> About {
    use FigureId as F;
    const CHAIN: &[&Source] = &[&volumes::VOLUME_CHAIN];
    const GRAVITY: &[&Source] = &[&gravity::WORT_DENSITY, &gravity::ASBC_CUBIC, &grist::MALT_ANALYSIS];
    const IONS: &[&Source] = &[&water::STOICHIOMETRY];
    match id {
        F::Og => About::of(
            "extract in the kettle × knock-out / post-boil, with what is added in the fermenter, is volume × density × °P / 100; the specific gravity follows from °P by the inverse of the ASBC cubic",
            GRAVITY,
        )
        .valid("the ASBC table ends at 1.083; above it the cubic is carried on and the figure says so")
        .or("gravity by points is not used: it errs by up to 0.3 points"),
        F::PitchingGravity => About::of("as og, without what is added after pitching", GRAVITY),
        F::PreBoilGravity => About::of(
            "extract in the kettle before the boil over the pre-boil volume; what is added after the start of the boil is left out",
            GRAVITY,
        ),
        F::PostBoilGravity => About::of("extract in the kettle over the post-boil volume", GRAVITY),
        F::Fg => About::of(
            "share of the extract that ferments = 0.8192 × attenuation × wort + sugars by their fermentability; apparent extract = ((1 - share) - 0.1808) × OE / 0.8192; then the inverse ASBC cubic",
            &[&attenuation::FERMENTED_SHARE, &alcohol::BALLING, &gravity::ASBC_CUBIC],
        )
        .valid("it may lie below 1.000; the mash temperature does not move it unless `mash-effect = \"on\"`")
        .or("mash-effect = \"on\" moves the attenuation by the mash temperature"),
        F::Abv | F::ActualAbv => About::of(
            "RE = 0.1808 OE + 0.8192 AE; alcohol by mass = (OE - RE) / (2.0665 - 0.010665 OE); by volume × FG / 0.7907",
            &[&alcohol::BALLING, &alcohol::ETHANOL_GRAVITY],
        )
        .valid("rms 0.06 % by mass on the means of 532 brews, 9 to 18 °P; carried on above")
        .or("alcohol = \"cutaia\" (532 brews, 2009) or \"uk-excise\" (the table of HMRC Notice 226, cut to one decimal)"),
        F::AbvPackaged => About::of("abv and what the priming sugar makes: 1 g of alcohol of 2.0665 g of extract", &[&alcohol::BALLING]),
        F::AlcoholByWeight => About::of("abv × 0.7907 / FG", &[&alcohol::ETHANOL_GRAVITY]),
        F::AlcoholMass => About::of("100 mL × abv × 0.789 g/mL", &[&alcohol::ETHANOL_GRAVITY]),
        F::ApparentAttenuation | F::ActualApparentAttenuation => {
            About::of("(OE - AE) / OE, both in °P", &[&source::DEFINITION])
                .or("from points it reads 0.5 to 1.4 higher; that form is not used")
        }
        F::RealAttenuation => About::of(
            "(OE - RE) / OE / (1 - 0.005161 RE), the degree of fermentation of ASBC Beer-6",
            &[&attenuation::ASBC_RDF, &alcohol::BALLING],
        ),
        F::Energy => About::of(
            "kcal/100 g = 6.9 × alcohol by mass + 4 × (RE - ash), ash 0.1; × density",
            &[&alcohol::ASBC_ENERGY],
        ),
        F::Ibu => About::of(
            "mg/L of alpha × 1.65 × 0.000125^(SG - 1) × (1 - e^(-0.04 t)) / 4.15 for each hop, then knock-out / batch; a stand counts by its equivalent boil minutes",
            &[&bitterness::TINSETH, &bitterness::MALOWICKI, &bitterness::STAND],
        )
        .valid("table of 1.030 to 1.120 and up to 120 min; stands below 90 C are carried on from data above it")
        .or("bitterness = \"rager\" or \"garetz\"; bitterness-gravity = \"pre-boil\" or \"post-boil\""),
        F::BitternessRatio => About::of("ibu / og points", &[&source::DEFINITION]),
        F::Colour => About::of(
            "MCU = 8.3454 × Σ kg × °L / L; SRM = 1.4922 × MCU^0.6859, never above MCU; EBC = 1.97 × SRM; °L = 0.375 × EBC + 0.56",
            &[&colour::MCU, &colour::MOREY, &colour::EBC_SRM, &colour::MALT_SCALES],
        )
        .valid("known to hold up to 50 SRM (98 EBC)")
        .or("colour = \"daniels\" or \"mosher\", straight lines for amber and dark beers"),
        F::GristWeight => About::of("the sum of everything on the grist list", &[&source::DEFINITION]),
        F::ExtractMass => About::of(
            "Σ mashed mass × extract × (1 - moisture) × mash efficiency + sugars × their extract + steeped mass × extract × (1 - moisture) × steep yield",
            &[&grist::MALT_ANALYSIS],
        ),
        F::DiastaticPower => About::of("mean by mass of the mashed grist", &[&source::DEFINITION]),
        F::TotalLiquor | F::PreBoilVolume | F::PostBoilVolume | F::KnockOutVolume | F::BatchVolume | F::PackagedVolume => {
            About::of(
                "total liquor - grain absorption - dead space = pre-boil; - evaporation + top-up = post-boil; - trub - hop absorption = knock-out; + top-up = batch; - fermenter loss - dry-hop absorption = packaged. Computed backwards from the batch, all cold",
                CHAIN,
            )
        }
        F::MashLiquor | F::SpargeLiquor => About::of(
            "as written; where one is written the other is the rest of the total liquor; where neither is, mash thickness × grist, and the rest",
            CHAIN,
        ),
        F::MashVolume => About::of("mash liquor + 0.67 L/kg × mashed grist", &[&mash::MASH_VOLUME]),
        F::MashThickness => About::of("mash liquor / mashed grist", &[&source::DEFINITION]),
        F::StrikeTemperature => About::of(
            "T + [0.40 m (T - Tgrain) + C (T - Tambient)] / W; heated in its own vessel, T + 0.40 m (T - Tgrain) / (W + C)",
            &[&mash::MASH_HEAT],
        )
        .or("the heat that dry grain sets free is left out: vessels usually lose as much"),
        F::MashPh | F::ActualMashPh => About::of(
            "the pH at which malts, liquor, calcium and magnesium, acids and bases balance: Σ m B (pHDI - pH) + water - Ca/3.5 - Mg/7 - acids = 0",
            &[&ph::PROTON_BALANCE, &ph::MALTS],
        )
        .valid("± 0.2 (95 %) with averages of malt classes, ± 0.1 with measured malts; 2 to 5 L/kg"),
        F::SpargePh => About::of("alkalinity and acid balance in a closed vessel", &[&brewing::carbonate::CARBONATE]),
        F::Alkalinity | F::MashAlkalinity | F::SourceAlkalinity => About::of(
            "alkalinity of the source and of the salts by volume; acids take off their charge at pH 5.4",
            IONS,
        ),
        F::ResidualAlkalinity => About::of("alkalinity - calcium / 3.5 - magnesium / 7, in equivalents", &[&water::KOLBACH]),
        F::SulfateToChloride => About::of("mg/L over mg/L", &[&source::DEFINITION]).valid("below 25 ppm of either it says little"),
        F::ChargeImbalance => About::of(
            "100 × (Σ cations - Σ anions) / (Σ cations + Σ anions), mEq/L",
            &[&water::STANDARD_METHODS_1030E],
        ),
        F::CellsNeeded => About::of("pitching rate × litres × °P; 0.75 ale, 1.0 hybrid, 1.5 lager million/mL/P where none is written", &[&yeast::PITCH_RATES]),
        F::CellsPitched => About::of(
            "cells as counted × viability; a starter grows them step by step",
            &[&yeast::STILL_GROWTH, &yeast::STIRRED_GROWTH, &yeast::DRY_COUNTS],
        )
        .valid("growth in starters scatters by 25 % and more"),
        F::PitchRate => About::of("cells / (mL × °P)", &[&yeast::PITCH_RATES]),
        F::StarterVolume => About::of("sum of its steps", &[&source::DEFINITION]),
        F::Carbonation | F::PrimingSugar | F::PrimingRate => About::of(
            "residual CO2 + sugar × yield / 1.977 g/L; yield 0.4886 anhydrous glucose, 0.4442 monohydrate, 0.5143 sucrose",
            &[&carbonation::PRIMING],
        )
        .valid("stoichiometry: a few per cent of the sugar go into yeast"),
        F::ResidualCo2 => About::of(
            "1.711 - 0.05875 T + 0.000849 T² at the warmest temperature since pitching, up to 22 C; above it the Henry form at no pressure; under a spunding valve what its pressure holds",
            &[&carbonation::HIBBERD, &carbonation::DELANGE],
        ),
        F::KegPressure => About::of(
            "V = (P + air) × (0.01821 + 0.090115 e^(-(T - 32) / 43.11)) - 0.003342, psi and °F, solved for P; the air's pressure by elevation",
            &[&carbonation::DELANGE],
        )
        .valid("within 0.05 vol of published cells from 0 to 13 C, and of other fits up to 27 C"),
        F::BrewhouseEfficiency | F::ActualBrewhouseEfficiency => {
            About::of("extract in the fermenter over the laboratory extract of the grist", &[&source::DEFINITION])
        }
        F::ActualMashEfficiency => About::of(
            "extract in the kettle before the boil, less what did not come through the mash, over the laboratory extract of what was mashed",
            &[&source::DEFINITION],
        ),
        F::FirstWortGravity => About::of("100 e / (e + w) for e of extract and w of water in a mash of this thickness", &[&grist::FIRST_WORT]),
        F::LauterEfficiency => About::of("1 - (a / (a + V/n))^n for n equal runnings", &[&grist::LAUTER]).valid("an estimate: it shows how more grain costs efficiency"),
        F::Cost | F::CostPerLitre => About::of("Σ amount × price", &[&source::DEFINITION]),
        F::ActualOg | F::ActualFg => About::of(
            "the reading, brought to 20 °C; of a refractometer divided by its factor and, after pitching, freed of the alcohol as far as a formula can",
            &[&measure::HYDROMETER, &measure::WORT_CORRECTION, &measure::TERRILL, &measure::BONHAM],
        ),
        F::ActualEvaporation => About::of("(pre-boil - post-boil + top-up) / hours, cold volumes", CHAIN),
        F::ActualPackagedVolume => About::of("the sum of what was packaged, cold", CHAIN),
        F::Calcium
        | F::Magnesium
        | F::Sodium
        | F::Chloride
        | F::Sulfate
        | F::Bicarbonate
        | F::MashCalcium
        | F::MashMagnesium
        | F::MashSodium
        | F::MashChloride
        | F::MashSulfate
        | F::MashBicarbonate
        | F::SpargeCalcium
        | F::SpargeMagnesium
        | F::SpargeSodium
        | F::SpargeChloride
        | F::SpargeSulfate
        | F::SpargeBicarbonate
        | F::SourceCalcium
        | F::SourceMagnesium
        | F::SourceSodium
        | F::SourceChloride
        | F::SourceSulfate
        | F::SourceBicarbonate => About::of(
            "source and blend by volume + Σ mass × factor / volume of the vessel; the whole is the mean of mash and sparge by volume",
            IONS,
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_figure_has_formula_and_source() {
        for id in FigureId::ALL {
            let text = explain(*id);
            let about = about(*id);
            assert!(about.formula.len() > 10, "{id:?}");
            assert!(!about.sources.is_empty(), "{id:?}");
            assert!(text.contains(id.id()), "{id:?}");
        }
    }
}
