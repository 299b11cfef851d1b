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
    let _ = writeln!(out, "\nvalidity\n  {}", about.validity);
    let _ = writeln!(out, "\nalternatives\n  {}", about.alternatives);
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
    const fn of(
        formula: &'static str,
        validity: &'static str,
        alternatives: &'static str,
        sources: &'static [&'static Source],
    ) -> Self {
        Self { formula, validity, alternatives, sources }
    }
}

/// Validity of what is true by its definition.
const ANY: &str = "a definition: it holds for all values, and is as sure as what goes in";
/// Where there is nothing to choose.
const NONE: &str = "none: the trade has one form of it";

#[allow(clippy::too_many_lines)] // one arm a figure, to be read as a table
fn about(id: FigureId) -> About {
    use FigureId as F;
    const CHAIN: &[&Source] = &[&volumes::VOLUME_CHAIN];
    const GRAVITY: &[&Source] = &[&gravity::WORT_DENSITY, &gravity::ASBC_CUBIC, &grist::MALT_ANALYSIS];
    const IONS: &[&Source] = &[&water::STOICHIOMETRY];
    match id {
        F::Og => About::of(
            "extract in the kettle × knock-out / post-boil, with what is added in the fermenter, is volume × density × °P / 100; the specific gravity follows from °P by the inverse of the ASBC cubic",
            "the ASBC table ends at 1.083; above it the cubic is carried on and the figure says so",
            "gravity by points is not used: it errs by up to 0.3 points. actual og is the measured one",
            GRAVITY,
        ),
        F::PitchingGravity => About::of(
            "as og, without what is added after pitching",
            "the ASBC table ends at 1.083; above it the cubic is carried on and the figure says so",
            "og counts what joins later as if it had been there",
            GRAVITY,
        ),
        F::PreBoilGravity => About::of(
            "extract in the kettle before the boil over the pre-boil volume; what is added after the start of the boil is left out",
            "the ASBC table ends at 1.083; above it the cubic is carried on and the figure says so",
            "gravity by points is not used: it errs by up to 0.3 points",
            GRAVITY,
        ),
        F::PostBoilGravity => About::of(
            "extract in the kettle over the post-boil volume",
            "the ASBC table ends at 1.083; above it the cubic is carried on and the figure says so",
            "gravity by points is not used: it errs by up to 0.3 points",
            GRAVITY,
        ),
        F::Fg => About::of(
            "share of the extract that ferments = 0.8192 × attenuation × wort + sugars by their fermentability; apparent extract = ((1 - share) - 0.1808) × OE / 0.8192; then the inverse ASBC cubic",
            "it may lie below 1.000, where the cubic is carried on; as sure as the attenuation of the yeast, about ± 3 points",
            "mash-effect = \"on\" moves the attenuation by the mash temperature; `until` and the log say what it came to",
            &[&attenuation::FERMENTED_SHARE, &alcohol::BALLING, &gravity::ASBC_CUBIC],
        ),
        F::Abv | F::ActualAbv => About::of(
            "RE = 0.1808 OE + 0.8192 AE; alcohol by mass = (OE - RE) / (2.0665 - 0.010665 OE); by volume × FG / 0.7907",
            "rms 0.06 % by mass on the means of 532 brews, 9.4 to 18 °P; outside that it is carried on and the figure says so",
            "alcohol = \"cutaia\" (532 brews, 2009) or \"uk-excise\" (the table of HMRC Notice 226, cut to one decimal)",
            &[&alcohol::BALLING, &alcohol::ETHANOL_GRAVITY, &alcohol::CUTAIA, &alcohol::UK_EXCISE],
        ),
        F::AbvPackaged => About::of(
            "abv and what the priming sugar makes: 1 g of alcohol of 2.0665 g of extract",
            "as abv; sugar is taken to ferment as far as its fermentability says",
            "as for abv; abv is the beer before priming",
            &[&alcohol::BALLING],
        ),
        F::AlcoholByWeight => About::of(
            "abv × 0.7907 / FG",
            "at 20 °C; 0.7907 is the gravity 20/20 of ethanol",
            "0.794 belongs to gravities at 60 °F and is not used",
            &[&alcohol::ETHANOL_GRAVITY],
        ),
        F::AlcoholMass => About::of(
            "100 mL × abv × 0.78924 g/mL",
            "at 20 °C; what a unit or a standard drink is differs from place to place",
            NONE,
            &[&alcohol::ETHANOL_GRAVITY],
        ),
        F::ApparentAttenuation | F::ActualApparentAttenuation => About::of(
            "(OE - AE) / OE, both in °P",
            ANY,
            "from points it reads 0.5 to 1.4 higher; that form is not used",
            &[&source::DEFINITION],
        ),
        F::RealAttenuation => About::of(
            "(OE - RE) / OE / (1 - 0.005161 RE), the degree of fermentation of ASBC Beer-6",
            "as sure as the real extract, which Balling puts 0.1 to 0.2 °P low",
            "0.82 × apparent attenuation leaves out the mass that goes as gas and is not used",
            &[&attenuation::ASBC_RDF, &alcohol::BALLING],
        ),
        F::Energy => About::of(
            "kcal/100 g = 6.9 × alcohol by mass + 4 × (RE - ash), ash 0.1; × density",
            "reproduces the 43 kcal/100 g of a food table for regular beer; no claim for a label, whose rules differ",
            "food labels may ask for factors of their own law",
            &[&alcohol::ASBC_ENERGY],
        ),
        F::Ibu => About::of(
            "mg/L of alpha × 1.65 × 0.000125^(SG - 1) × (1 - e^(-0.04 t)) / 4.15 for each hop, then knock-out / batch; a stand counts by its equivalent boil minutes",
            "table of 1.030 to 1.120 and up to 120 min; stands below 90 °C are carried on from data above it, and the figure says so",
            "bitterness = \"rager\" or \"garetz\"; bitterness-gravity = \"pre-boil\" or \"post-boil\"; `stand factor` of the brewhouse; chill-bitterness = \"on\" counts the time of the chill",
            &[
                &bitterness::TINSETH,
                &bitterness::RAGER,
                &bitterness::GARETZ,
                &bitterness::MALOWICKI,
                &bitterness::STAND,
            ],
        ),
        F::BitternessRatio => About::of(
            "ibu / og points",
            ANY,
            "none: other ratios of hop to malt are matters of taste",
            &[&source::DEFINITION],
        ),
        F::Colour => About::of(
            "MCU = 8.3454 × Σ kg × °L / L; SRM = 1.4922 × MCU^0.6859, never above MCU; EBC = 1.97 × SRM; °L = 0.375 × EBC + 0.56",
            "known to hold up to 50 SRM (98 EBC); beyond it the figure says so",
            "colour = \"daniels\" (from 10.5 MCU) or \"mosher\" (from 7 MCU), straight lines for amber and dark beers",
            &[
                &colour::MCU,
                &colour::MOREY,
                &colour::EBC_SRM,
                &colour::MALT_SCALES,
                &colour::spectrum::AVERAGE_SPECTRUM,
            ],
        ),
        F::GristWeight => About::of(
            "the sum of everything on the grist list; of a split, what this part gets",
            ANY,
            NONE,
            &[&source::DEFINITION],
        ),
        F::ExtractMass => About::of(
            "Σ mashed mass × extract × (1 - moisture) × mash efficiency + sugars × their extract + steeped mass × extract × (1 - moisture) × steep yield",
            "as sure as the mash efficiency, about ± 3 points; that of a strong beer is lower, as lauter efficiency shows",
            "potentials in ppg or L°/kg are read as they are, without moisture",
            &[&grist::MALT_ANALYSIS],
        ),
        F::DiastaticPower => About::of(
            "mean by mass of the mashed grist",
            "only where every mashed grain states its own",
            "°Lintner = (WK + 16) / 3.5",
            &[&source::DEFINITION],
        ),
        F::TotalLiquor
        | F::PreBoilVolume
        | F::PostBoilVolume
        | F::KnockOutVolume
        | F::BatchVolume
        | F::PackagedVolume => About::of(
            "total liquor - grain absorption - dead space = pre-boil; - evaporation + top-up = post-boil; - trub - hop absorption = knock-out; + top-up = batch; - fermenter loss - dry-hop absorption = packaged. Computed backwards from the batch, all cold",
            "grain keeps 0.6 to 1.9 L/kg and kettles lose 4 to 20 %/h; outside that the figure says so. Cold wort fills 4 % less than at the boil",
            "evaporation in L/h or as a share of the pre-boil volume; write `mash`, `sparge` and `batch` for volumes of your own",
            CHAIN,
        ),
        F::MashLiquor | F::SpargeLiquor => About::of(
            "as written; where one is written the other is the rest of the total liquor; where neither is, mash thickness × grist, and the rest",
            "never more than 90 % of the tun where its capacity is stated",
            "`mash 13 L`, `sparge 17 L`, `no sparge`; `mash thickness` of the brewhouse",
            CHAIN,
        ),
        F::MashVolume => About::of(
            "mash liquor + 0.67 L/kg × mashed grist",
            "0.65 to 0.67 L/kg in print, for milled malt",
            NONE,
            &[&mash::MASH_VOLUME],
        ),
        F::MashThickness => {
            About::of("mash liquor / mashed grist", ANY, "1 qt/lb is 2.086 L/kg", &[&source::DEFINITION])
        }
        F::StrikeTemperature => About::of(
            "T + [0.40 m (T - Tgrain) + C (T - Tambient)] / W; heated in its own vessel, T + 0.40 m (T - Tgrain) / (W + C)",
            "2.1 to 6.3 L/kg; outside that the figure says so. It cannot be above the boiling point of the place",
            "slaking-heat = \"on\" counts the heat that dry grain sets free, about 1.5 °C at 3 L/kg, which is left out by default: vessels usually lose as much. 0.41 in place of 0.40 moves it by 0.15 °C",
            &[&mash::MASH_HEAT, &mash::GRAIN_HEATS],
        ),
        F::MashPh => About::of(
            "the pH at which malts, liquor, calcium and magnesium, acids and bases balance: Σ m B (pHDI - pH) + water - Ca/3.5 - Mg/7 - acids = 0",
            "± 0.2 (95 %) with averages of malt classes, ± 0.1 with measured malts; 2 to 5 L/kg, outside that the figure says so",
            "`mash ph` and `buffer` of a malt replace the average of its class; mash acid correction starts from a reading",
            &[&ph::PROTON_BALANCE, &ph::MALTS, &ph::ADJUNCTS, &water::KOLBACH],
        ),
        F::ActualMashPh => About::of(
            "the last reading of the mash, as it was read",
            "of a sample at 20 to 25 °C; at mash temperature it reads about 0.3 lower",
            "mash ph is the planned one",
            &[&ph::HOT_WORT],
        ),
        F::SpargePh => About::of(
            "the pH at which alkalinity and acids balance in a closed vessel, found by trial",
            "pH 4.5 to 9.5 at 25 °C; closed: what a meter shows just after dosing. Open to the air it rises",
            "open to the air: not used, since hot liquor is not in balance with it",
            &[&brewing::carbonate::CARBONATE],
        ),
        F::Alkalinity | F::MashAlkalinity | F::SourceAlkalinity => About::of(
            "alkalinity of the source and of the salts by volume; acids take off their charge at pH 5.4",
            "as sure as the water report; below zero it is acid left over",
            "1 mEq/L is 50.04 ppm as CaCO3, 2.8 °dH and 5.0 °fH",
            IONS,
        ),
        F::ResidualAlkalinity => About::of(
            "alkalinity - calcium / 3.5 - magnesium / 7, in equivalents",
            "of pale grists in Kolbach's brews of 12 °P; mash ph counts the malts as well",
            "mash ph, for a given grist",
            &[&water::KOLBACH],
        ),
        F::SulfateToChloride => {
            About::of("mg/L over mg/L", "below 25 ppm of either it says little", NONE, &[&source::DEFINITION])
        }
        F::ChargeImbalance => About::of(
            "100 × (Σ cations - Σ anions) / (Σ cations + Σ anions), mEq/L",
            "a report is good within 0.2 mEq/L up to 3 mEq/L of anions, 2 % up to 10 and 5 % above",
            "the same over one side only gives twice the number",
            &[&water::STANDARD_METHODS_1030E],
        ),
        F::CellsNeeded => About::of(
            "pitching rate × litres × °P; 0.75 ale, 1.0 hybrid, 1.5 lager million/mL/P where none is written",
            "rates from 0.35 to 2 are brewed with; the rate is a rule of the trade, not a measurement",
            "`rate` under `pitch`; `kind` of the yeast",
            &[&yeast::PITCH_RATES],
        ),
        F::CellsPitched => About::of(
            "cells as counted × viability; a still starter multiplies them by 11.16 r^-0.4335, r million/mL at the start; a stirred one adds 1.4 billion a gram of extract, 2.33 - 0.67 r' where r' ≥ 1.4 billion/g start; step by step",
            "growth in starters scatters by 25 % and more; still ones 25 to 200 million/mL; dry yeast holds 5 to 18 billion/g",
            "`stirred` or `still`; cells of a pack, a gram or a millilitre of slurry, and viability, as written",
            &[&yeast::STILL_GROWTH, &yeast::STIRRED_GROWTH, &yeast::DRY_COUNTS, &yeast::AGEING],
        ),
        F::PitchRate => About::of(
            "cells / (mL × °P)",
            "as sure as the count: a fresh count is good to 20 %",
            "million/mL alone, without °P, is not used",
            &[&yeast::PITCH_RATES],
        ),
        F::StarterVolume => About::of("sum of its steps", ANY, NONE, &[&source::DEFINITION]),
        F::Carbonation | F::PrimingSugar | F::PrimingRate => About::of(
            "residual CO2 + sugar × yield / 1.977 g/L; yield 0.4886 anhydrous glucose, 0.4442 monohydrate, 0.5143 sucrose, other sugars by extract and fermentability",
            "stoichiometry: a few per cent of the sugar go into yeast. The rating of the bottle is the limit, whatever the figure says",
            "write a mass or g/L of sugar to see the carbonation, or the carbonation to see the sugar",
            &[&carbonation::PRIMING],
        ),
        F::ResidualCo2 => About::of(
            "1.711 - 0.05875 T + 0.000849 T² at the warmest temperature since pitching, up to 22 °C; above it the Henry form at no pressure; under a spunding valve what its pressure holds",
            "table of 0 to 22 °C; above it the figure says so. It stands 0.04 to 0.12 vol above the fits for beer",
            "`residual at` on the package line, where beer has rested warmer or colder than planned",
            &[&carbonation::HIBBERD, &carbonation::DELANGE],
        ),
        F::KegPressure => About::of(
            "V = (P + air) × (0.01821 + 0.090115 e^(-(T - 32) / 43.11)) - 0.003342, psi and °F, solved for P; the air's pressure by elevation",
            "within 0.05 vol of published cells from 0 to 13 °C, and of other fits up to 27 °C; beyond it the figure says so. Keep to the rating of the keg",
            "charts of regulator settings hold at sea level only",
            &[&carbonation::DELANGE],
        ),
        F::BrewhouseEfficiency | F::ActualBrewhouseEfficiency => About::of(
            "extract in the fermenter over the laboratory extract of the grist",
            ANY,
            "mash efficiency, into the kettle; by points it reads up to 0.2 % less",
            &[&source::DEFINITION],
        ),
        F::ActualMashEfficiency => About::of(
            "extract in the kettle before the boil, less what did not come through the mash, over the laboratory extract of what was mashed",
            ANY,
            "brewhouse efficiency, into the fermenter",
            &[&source::DEFINITION],
        ),
        F::FirstWortGravity => About::of(
            "100 e / (e + w) for e of extract and w of water in a mash of this thickness",
            "all extract dissolved; 2.1 to 6.3 L/kg, outside that the figure says so",
            "a measured first wort over this one is the conversion",
            &[&grist::FIRST_WORT],
        ),
        F::LauterEfficiency => About::of(
            "1 - (a / (a + V/n))^n for n equal runnings",
            "an estimate: it shows how more grain costs efficiency; a continuous sparge has no n",
            "the mash efficiency you have measured",
            &[&grist::LAUTER],
        ),
        F::MashEfficiencyEstimate => About::of(
            "mash efficiency of the brewhouse × lauter efficiency of this grist / lauter efficiency of a grist for 1.050 in the same kettle",
            "an estimate, for a brewhouse whose efficiency was found on beers of about 1.050; a continuous sparge has no number of runnings. og is computed with the efficiency as written",
            "`brewhouse NAME [mash efficiency 70 %]` on the recipe computes with another",
            &[&grist::LAUTER],
        ),
        F::Co2Released => About::of(
            "extract in the fermenter × real attenuation × 0.9565 / 2.0665; as a gas at 20 °C by its density",
            "what yeast keeps for itself is in it; that beer keeps dissolved what residual CO2 says is not taken off: an upper bound for the air of a room",
            "`room` of the brewhouse gives its share of the air",
            &[&carbonation::BALLING_CO2, &carbonation::CO2_LIMITS],
        ),
        F::FreeRiseCeiling => About::of(
            "pitching temperature + real attenuation × OE / 100 × 586 kJ/kg / 4.0 kJ/(kg K)",
            "no heat lost: real vessels stay below, small ones far below; 586 kJ/kg is second-hand",
            "`free rise cap TEMP` under `ferment` says where cooling sets in",
            &[&yeast::HEAT],
        ),
        F::ActualMashBuffering => About::of(
            "(acid given - acid taken by the liquor) / (mashed grain × change of pH), over the readings before and after",
            "20 to 70 mEq/kg are seen; outside that the figure says so and the correction does without it. A change below 0.05 says nothing: meters are no better",
            "`buffer` of a malt, where its own was measured",
            &[&ph::PROTON_BALANCE],
        ),
        F::MashAcidCorrection => About::of(
            "[Σ m B (pH read - pH aimed at) + what the liquor takes between the two] / charges of the acid; B from the log where it shows it, else of the malts",
            "the malts' own pH and the hardness drop out, so it is as sure as the buffering: 15 to 20 %, less once a first dose was read. For samples cooled to 20 °C",
            "baking soda where the reading is below the aim, which the reason then says. mash ph predicts before there is a reading",
            &[&ph::PROTON_BALANCE, &ph::MALTS],
        ),
        F::ActualPitchRate => About::of(
            "cells logged, else planned, by the share that lives at the yeast's age on that day / (litres × °P as measured)",
            "viability by age is a range, and a count is good to 20 %: low and high are given",
            "`viability` of the yeast, where you have counted",
            &[&yeast::AGEING],
        ),
        F::Cost | F::CostPerLitre => About::of(
            "Σ amount × price",
            "only where every ingredient has a price, all in one currency",
            "`gyle needs` prices what it can",
            &[&source::DEFINITION],
        ),
        F::ActualOg | F::ActualFg => About::of(
            "the reading, brought to 20 °C; of a refractometer divided by its factor and, after pitching, freed of the alcohol as far as a formula can",
            "hydrometers within 25 °C of their calibration; the refractometer formula from 60 % of apparent attenuation on, an older one before it; factors of 1.02 to 1.06. Outside that the figure says so",
            "a hydrometer in a degassed sample at 20 °C needs no correction",
            &[&measure::HYDROMETER, &measure::WORT_CORRECTION, &measure::TERRILL, &measure::BONHAM],
        ),
        F::ActualEvaporation => About::of(
            "(pre-boil - post-boil + top-up) / hours, cold volumes",
            "as sure as two readings of a sight glass: ± 2 % of the volume each",
            "as a share of the pre-boil volume",
            CHAIN,
        ),
        F::ActualPackagedVolume => About::of("the sum of what was packaged, cold", ANY, NONE, CHAIN),
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
            "as sure as the water report; salts are taken as pure and dissolved, hydrates as named",
            "1 mg/L is 1 ppm; equivalents and degrees of hardness are read as written",
            IONS,
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_figure_has_formula_source_validity_and_alternatives() {
        for id in FigureId::ALL {
            let about = about(*id);
            let text = explain(*id);
            assert!(!about.sources.is_empty(), "{id:?}");
            assert!(text.contains(id.id()), "{id:?}");
            for (part, said) in [
                ("formula", about.formula),
                ("validity", about.validity),
                ("alternatives", about.alternatives),
            ] {
                assert!(said.len() > 10, "{id:?} has no {part}");
                assert!(text.contains(&format!("\n{part}\n  {said}\n")), "{id:?} does not print its {part}");
            }
            for source in about.sources {
                assert!(text.contains(source.full), "{id:?}: {}", source.short);
            }
        }
    }
}
