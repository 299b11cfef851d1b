//! The ids of figures: public interface, never renamed.

use crate::show::Show;

macro_rules! figures {
    ($($(#[$cfg:meta])* $variant:ident = $id:literal, $show:ident, $scope:ident, $doc:literal;)*) => {
        /// A figure of a recipe or a log.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
        #[repr(u8)]
        pub enum FigureId { $(#[doc = $doc] $variant),* }

        impl FigureId {
            /// All of them, in the order they are shown.
            pub const ALL: &'static [Self] = &[$(Self::$variant),*];
            /// How many there are.
            pub const COUNT: usize = Self::ALL.len();
            /// The id in JSON and in `gyle explain`.
            #[must_use]
            pub const fn id(self) -> &'static str {
                match self { $(Self::$variant => $id),* }
            }
            /// How it is shown: unit and digits.
            #[must_use]
            pub const fn show(self) -> Show {
                match self { $(Self::$variant => Show::$show),* }
            }
            /// What it is of.
            #[must_use]
            pub const fn scope(self) -> Scope {
                match self { $(Self::$variant => Scope::$scope),* }
            }
            /// What it says, one sentence.
            #[must_use]
            pub const fn doc(self) -> &'static str {
                match self { $(Self::$variant => $doc),* }
            }
        }
    };
}

/// What a figure is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scope {
    /// The recipe, computed from the plan.
    Plan,
    /// A log, computed from what was measured.
    Log,
}

figures! {
    Og = "og", Gravity, Plan, "Original gravity: of the wort in the fermenter, fermenter additions included.";
    PitchingGravity = "pitching-gravity", Gravity, Plan, "Gravity of the wort the yeast meets, without what joins after pitching.";
    PreBoilGravity = "pre-boil-gravity", Gravity, Plan, "Gravity before the boil, without what is added later.";
    PostBoilGravity = "post-boil-gravity", Gravity, Plan, "Gravity at the end of the boil.";
    Fg = "fg", Gravity, Plan, "Final gravity from the yeast's attenuation.";
    Abv = "abv", Percent, Plan, "Alcohol by volume before priming.";
    AbvPackaged = "abv-packaged", Percent, Plan, "Alcohol by volume with what the priming sugar makes.";
    AlcoholByWeight = "alcohol-by-weight", Percent, Plan, "Alcohol by mass.";
    ApparentAttenuation = "apparent-attenuation", Percent, Plan, "Apparent attenuation, from extract, not from points.";
    RealAttenuation = "real-attenuation", Percent, Plan, "Real degree of fermentation by the ASBC method.";
    Ibu = "ibu", Ibu, Plan, "Bitterness of the beer.";
    BitternessRatio = "bitterness-ratio", Ratio, Plan, "Bitterness over gravity points.";
    Colour = "colour", Colour, Plan, "Colour of the beer.";
    Energy = "energy", Energy, Plan, "Energy of the beer.";
    GristWeight = "grist-weight", Mass, Plan, "Mass of everything on the grist list.";
    ExtractMass = "extract-mass", Mass, Plan, "Extract in the kettle.";
    DiastaticPower = "diastatic-power", Diastatic, Plan, "Mean diastatic power of the mashed grist.";
    TotalLiquor = "total-liquor", Volume, Plan, "All water before the boil.";
    MashLiquor = "mash-liquor", Volume, Plan, "Mash liquor.";
    SpargeLiquor = "sparge-liquor", Volume, Plan, "Sparge liquor.";
    PreBoilVolume = "pre-boil-volume", Volume, Plan, "Volume before the boil, cold.";
    PostBoilVolume = "post-boil-volume", Volume, Plan, "Volume at the end of the boil, cold.";
    KnockOutVolume = "knock-out-volume", Volume, Plan, "Wort into the fermenter, without top-up.";
    BatchVolume = "batch-volume", Volume, Plan, "Volume in the fermenter at pitching.";
    PackagedVolume = "packaged-volume", Volume, Plan, "Beer packaged.";
    MashVolume = "mash-volume", Volume, Plan, "What the mash fills in the tun.";
    MashThickness = "mash-thickness", Thickness, Plan, "Mash liquor to mashed grist.";
    StrikeTemperature = "strike-temperature", Temperature, Plan, "Temperature of the strike water.";
    MashPh = "mash-ph", Ph, Plan, "pH of the mash at room temperature.";
    Alkalinity = "alkalinity", Alkalinity, Plan, "Alkalinity of the mash liquor after salts, before acids.";
    MashAlkalinity = "mash-alkalinity", Alkalinity, Plan, "Alkalinity of the mash liquor after acids; may be negative.";
    ResidualAlkalinity = "residual-alkalinity", Alkalinity, Plan, "Residual alkalinity of the mash liquor (Kolbach).";
    Calcium = "calcium", Ion, Plan, "Calcium in the total liquor.";
    Magnesium = "magnesium", Ion, Plan, "Magnesium in the total liquor.";
    Sodium = "sodium", Ion, Plan, "Sodium in the total liquor.";
    Chloride = "chloride", Ion, Plan, "Chloride in the total liquor.";
    Sulfate = "sulfate", Ion, Plan, "Sulfate in the total liquor.";
    Bicarbonate = "bicarbonate", Ion, Plan, "Bicarbonate in the total liquor after salts, before acids.";
    MashCalcium = "mash-calcium", Ion, Plan, "Calcium in the mash liquor.";
    MashMagnesium = "mash-magnesium", Ion, Plan, "Magnesium in the mash liquor.";
    MashSodium = "mash-sodium", Ion, Plan, "Sodium in the mash liquor.";
    MashChloride = "mash-chloride", Ion, Plan, "Chloride in the mash liquor.";
    MashSulfate = "mash-sulfate", Ion, Plan, "Sulfate in the mash liquor.";
    MashBicarbonate = "mash-bicarbonate", Ion, Plan, "Bicarbonate in the mash liquor after salts, before acids.";
    SpargeCalcium = "sparge-calcium", Ion, Plan, "Calcium in the sparge liquor.";
    SpargeMagnesium = "sparge-magnesium", Ion, Plan, "Magnesium in the sparge liquor.";
    SpargeSodium = "sparge-sodium", Ion, Plan, "Sodium in the sparge liquor.";
    SpargeChloride = "sparge-chloride", Ion, Plan, "Chloride in the sparge liquor.";
    SpargeSulfate = "sparge-sulfate", Ion, Plan, "Sulfate in the sparge liquor.";
    SpargeBicarbonate = "sparge-bicarbonate", Ion, Plan, "Bicarbonate in the sparge liquor after salts, before acids.";
    SourceCalcium = "source-calcium", Ion, Plan, "Calcium in the untreated blend.";
    SourceMagnesium = "source-magnesium", Ion, Plan, "Magnesium in the untreated blend.";
    SourceSodium = "source-sodium", Ion, Plan, "Sodium in the untreated blend.";
    SourceChloride = "source-chloride", Ion, Plan, "Chloride in the untreated blend.";
    SourceSulfate = "source-sulfate", Ion, Plan, "Sulfate in the untreated blend.";
    SourceBicarbonate = "source-bicarbonate", Ion, Plan, "Bicarbonate in the untreated blend.";
    SourceAlkalinity = "source-alkalinity", Alkalinity, Plan, "Alkalinity of the untreated blend.";
    SulfateToChloride = "sulfate-to-chloride", Ratio, Plan, "Sulfate over chloride, by mass.";
    ChargeImbalance = "charge-imbalance", Percent, Plan, "Charge imbalance of the untreated source.";
    SpargePh = "sparge-ph", Ph, Plan, "pH of the sparge liquor after acids.";
    CellsNeeded = "cells-needed", Cells, Plan, "Cells the pitching rate asks for.";
    CellsPitched = "cells-pitched", Cells, Plan, "Living cells pitched.";
    PitchRate = "pitch-rate", PitchRate, Plan, "Living cells by volume and extract.";
    StarterVolume = "starter-volume", Volume, Plan, "Volume of the starter, all steps.";
    Carbonation = "carbonation", Carbonation, Plan, "Carbonation of the packaged beer.";
    KegPressure = "keg-pressure", Pressure, Plan, "Regulator setting that holds the carbonation.";
    PrimingSugar = "priming-sugar", Grams, Plan, "Priming sugar for the packaged volume.";
    PrimingRate = "priming-rate", Dose, Plan, "Priming sugar by volume.";
    ResidualCo2 = "residual-co2", Carbonation, Plan, "CO2 left from fermentation.";
    BrewhouseEfficiency = "brewhouse-efficiency", Percent, Plan, "Extract in the fermenter over the laboratory extract.";
    Cost = "cost", Money, Plan, "What the ingredients cost, when prices are known.";
    CostPerLitre = "cost-per-litre", Money, Plan, "What a litre of packaged beer costs.";
    FirstWortGravity = "first-wort-gravity", Gravity, Plan, "Gravity of the first wort at full conversion.";
    LauterEfficiency = "lauter-efficiency", Percent, Plan, "Estimate of the share of dissolved extract that lautering yields.";
    MashEfficiencyEstimate = "mash-efficiency-estimate", Percent, Plan, "Estimate of the mash efficiency of this grist, from the brewhouse's and how much more or less grain it drains.";
    Co2Released = "co2-released", Mass, Plan, "CO2 that the fermentation sets free.";
    FreeRiseCeiling = "free-rise-ceiling", Temperature, Plan, "Temperature the beer would reach by the heat of its fermentation if none were lost.";
    AlcoholMass = "alcohol-mass", Grams, Plan, "Ethanol in 100 mL.";
    ActualOg = "actual-og", Gravity, Log, "Original gravity as measured.";
    ActualFg = "actual-fg", Gravity, Log, "Final gravity as measured.";
    ActualAbv = "actual-abv", Percent, Log, "Alcohol by volume from the measured gravities.";
    ActualMashEfficiency = "actual-mash-efficiency", Percent, Log, "Extract measured in the kettle over the laboratory extract of what was mashed.";
    ActualBrewhouseEfficiency = "actual-brewhouse-efficiency", Percent, Log, "Extract measured in the fermenter over the laboratory extract.";
    ActualApparentAttenuation = "actual-apparent-attenuation", Percent, Log, "Apparent attenuation from the measured gravities.";
    ActualEvaporation = "actual-evaporation", Evaporation, Log, "Water boiled off an hour, cold volumes.";
    ActualPackagedVolume = "actual-packaged-volume", Volume, Log, "Beer packaged.";
    ActualMashPh = "actual-mash-ph", Ph, Log, "The last pH reading of the mash.";
    ActualMashBuffering = "actual-mash-buffering", Buffering, Log, "Buffering of the grist as a correction of its pH showed it.";
    MashAcidCorrection = "mash-acid-correction", Millilitres, Log, "Acid that brings the mash from its last reading to the pH aimed at.";
    ActualPitchRate = "actual-pitch-rate", PitchRate, Log, "Living cells by the volume and extract measured.";
}

impl FigureId {
    /// The figure as words in a file: `mash ph`, `pre-boil gravity`.
    #[must_use]
    pub fn words(self) -> String {
        let id = self.id();
        match self {
            Self::PreBoilGravity | Self::PostBoilGravity => id.replace("-gravity", " gravity"),
            Self::PreBoilVolume | Self::PostBoilVolume | Self::KnockOutVolume => {
                id.replace("-volume", " volume")
            }
            _ => id.replace('-', " "),
        }
    }

    /// Whether it is a sum of money.
    #[must_use]
    pub fn is_money(self) -> bool {
        self.show() == Show::Money
    }

    /// The figure of the plan that a figure of the log is compared with.
    #[must_use]
    pub const fn planned(self) -> Option<Self> {
        match self {
            Self::ActualOg => Some(Self::PitchingGravity),
            Self::ActualFg => Some(Self::Fg),
            Self::ActualAbv => Some(Self::Abv),
            Self::ActualApparentAttenuation => Some(Self::ApparentAttenuation),
            Self::ActualBrewhouseEfficiency => Some(Self::BrewhouseEfficiency),
            Self::ActualPackagedVolume => Some(Self::PackagedVolume),
            Self::ActualMashPh => Some(Self::MashPh),
            Self::ActualPitchRate => Some(Self::PitchRate),
            _ => None,
        }
    }

    /// The figure these words name: case, blanks, hyphens, dots and underscores fold.
    #[must_use]
    pub fn from_words(words: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|figure| same_words(figure.id(), words))
    }
}

/// Compares folding separators and case, without allocating.
pub(crate) fn same_words(id: &str, words: &str) -> bool {
    fn folded(text: &str) -> impl Iterator<Item = char> + '_ {
        let mut gap = false;
        let mut started = false;
        text.chars().flat_map(move |c| {
            let separator = c.is_whitespace() || matches!(c, '-' | '.' | '_');
            let mut out = [None, None];
            if separator {
                gap = started;
            } else {
                if gap {
                    out[0] = Some(' ');
                    gap = false;
                }
                started = true;
                out[1] = c.to_lowercase().next();
            }
            out.into_iter().flatten()
        })
    }
    folded(id).eq(folded(words))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_name_their_figure() {
        for figure in FigureId::ALL {
            assert_eq!(FigureId::from_words(&figure.words()), Some(*figure));
            assert_eq!(FigureId::from_words(figure.id()), Some(*figure));
        }
        assert_eq!(FigureId::from_words("Mash pH"), Some(FigureId::MashPh));
        assert_eq!(FigureId::from_words("grist.weight"), Some(FigureId::GristWeight));
        assert_eq!(FigureId::from_words("pre_boil-gravity"), Some(FigureId::PreBoilGravity));
        assert_eq!(FigureId::from_words("mashph"), None);
        assert_eq!(FigureId::from_words(""), None);
    }
}
