//! The unit table, as data.
//!
//! A [`UnitId`] is two bytes. It is either a row of [`UNITS`], a ratio of two rows (`g/L`), a currency
//! (`EUR`) or a price (`EUR/kg`). Rows carry their spellings, dimension, system and scale; ratios and
//! prices are computed from their parts, so that no ratio has to be listed to be understood.

use core::fmt;

use crate::dimension::{Base, Dim, Dimension};

/// Which of the two customary systems an otherwise ambiguous unit is read in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Customary {
    /// United States customary units.
    Us,
    /// Imperial units of the United Kingdom.
    Imperial,
}

/// The family a unit belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum System {
    /// SI and the units used with it.
    Metric,
    /// United States and imperial units.
    Customary,
    /// Used with either: time, proportions, the scales of the trade, money.
    Neutral,
}

/// How a value in a unit becomes one in the canonical unit of its dimension.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Scale {
    /// `canonical = value × times / over`.
    Factor {
        /// Numerator of the factor.
        times: f64,
        /// Denominator of the factor.
        over: f64,
    },
    /// Points of temperature: °C = (°F − 32) / 1.8.
    Fahrenheit,
    /// °L = 0.375 · EBC + 0.56 ([`crate::scale::ebc_from_lovibond`]).
    Lovibond,
    /// °L = (°WK + 16) / 3.5 ([`crate::scale::wk_from_lintner`]).
    Lintner,
    /// Convertible to nothing but itself.
    Own,
    /// One of two units, depending on the customary system in force.
    Customary {
        /// The unit meant under US customary.
        us: UnitId,
        /// The unit meant under imperial.
        imperial: UnitId,
    },
}

/// How strictly the case of the formatter's spelling is read. Long forms are read without case always.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Case {
    Free,
    /// The first letter is a prefix (m against M, k against K) and has to be small.
    SmallFirst,
    /// All capitals, since in small letters it also means week.
    Capitals,
}

/// Where a unit may be written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Written {
    Anywhere,
    /// Only below the bar of a ratio: `mL/100 g`.
    Below,
    /// Never: a bare number is its spelling.
    Never,
}

/// A row of the unit table.
#[derive(Clone, Copy, Debug)]
pub struct UnitSpec {
    /// The id.
    pub id: UnitId,
    /// The formatter's spelling; empty for the bare number.
    pub symbol: &'static str,
    /// Other accepted spellings. One that ends in `/` is accepted only above the bar of a ratio.
    pub aliases: &'static [&'static str],
    /// What the unit measures.
    pub dimension: Dimension,
    /// The family it belongs to.
    pub system: System,
    /// Its conversion to the canonical unit of the dimension.
    pub scale: Scale,
    /// Whether `°` may stand before it.
    pub degree: bool,
    /// What the unit is, for documentation and completion.
    pub description: &'static str,
    pub(crate) case: Case,
    pub(crate) written: Written,
}

/// A unit: two bytes, cheap to copy and compare.
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct UnitId(u16);

const MONEY: u16 = 0x4000;
const RATIO: u16 = 0x8000;

/// A unit taken apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Parts {
    Row(usize),
    Ratio(usize, usize),
    /// A currency (index into [`CURRENCIES`]), by a row or on its own (row 0).
    Money(usize, usize),
}

/// A linear factor as a quotient, so that common conversions round once only.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Factor {
    pub(crate) times: f64,
    pub(crate) over: f64,
}

impl Factor {
    const ONE: Self = Self { times: 1.0, over: 1.0 };

    pub(crate) const fn by(self, other: Self) -> Self {
        Self { times: self.times * other.times, over: self.over * other.over }
    }
    pub(crate) const fn inverse(self) -> Self {
        Self { times: self.over, over: self.times }
    }
    pub(crate) const fn apply(self, value: f64) -> f64 {
        // One operation wherever one of the two is 1, and no product that leaves the range on the way.
        if self.times == self.over {
            value
        } else if self.over == 1.0 {
            value * self.times
        } else if self.times == 1.0 {
            value / self.over
        } else {
            let whole = self.times / self.over;
            if whole * self.over == self.times { value * whole } else { value * self.times / self.over }
        }
    }
}

const fn row(dimension: Dimension, system: System, scale: Scale) -> UnitSpec {
    UnitSpec {
        id: UnitId(0),
        symbol: "",
        aliases: &[],
        dimension,
        system,
        scale,
        degree: false,
        description: "",
        case: Case::Free,
        written: Written::Anywhere,
    }
}

const fn factor(times: f64, over: f64) -> Scale {
    Scale::Factor { times, over }
}

const fn metric(dimension: Dimension, times: f64, over: f64) -> UnitSpec {
    row(dimension, System::Metric, factor(times, over))
}

const fn customary(dimension: Dimension, times: f64, over: f64) -> UnitSpec {
    row(dimension, System::Customary, factor(times, over))
}

const fn neutral(dimension: Dimension, times: f64, over: f64) -> UnitSpec {
    row(dimension, System::Neutral, factor(times, over))
}

const fn own(dimension: Dimension) -> UnitSpec {
    row(dimension, System::Neutral, Scale::Own)
}

const fn either(us: UnitId, imperial: UnitId) -> UnitSpec {
    row(Dimension::Volume, System::Customary, Scale::Customary { us, imperial })
}

impl UnitSpec {
    const fn named(mut self, id: UnitId, symbol: &'static str, description: &'static str) -> Self {
        self.id = id;
        self.symbol = symbol;
        self.description = description;
        self
    }
    const fn also(mut self, aliases: &'static [&'static str]) -> Self {
        self.aliases = aliases;
        self
    }
    const fn degree(mut self) -> Self {
        self.degree = true;
        self
    }
    const fn small_first(mut self) -> Self {
        self.case = Case::SmallFirst;
        self
    }
    const fn capitals(mut self) -> Self {
        self.case = Case::Capitals;
        self
    }
    const fn below(mut self) -> Self {
        self.written = Written::Below;
        self
    }
    const fn never(mut self) -> Self {
        self.written = Written::Never;
        self
    }

    /// Whether the unit may be written at all; the bare number and pH have no unit in text.
    #[must_use]
    pub const fn is_written(&self) -> bool {
        matches!(self.written, Written::Anywhere)
    }
}

macro_rules! units {
    ($($name:ident $symbol:literal $description:literal = $spec:expr;)*) => {
        #[allow(non_camel_case_types, clippy::upper_case_acronyms)]
        #[repr(u16)]
        enum Row { $($name),* }

        impl UnitId {
            $(
                #[doc = concat!("`", $symbol, "`: ", $description, ".")]
                pub const $name: Self = Self(Row::$name as u16);
            )*
        }

        pub(crate) const TABLE: &[UnitSpec] = &[
            $($spec.named(UnitId::$name, $symbol, $description)),*
        ];
    };
}

const LB: f64 = 0.453_592_37;
const US_GAL: f64 = 3.785_411_784;
const IMP_GAL: f64 = 4.546_09;
/// A pound-force by square inch in kPa, from the pound, standard gravity and the inch.
const PSI: f64 = LB * 9.806_65 / (0.0254 * 0.0254) / 1000.0;
/// A grain in mg.
const GRAIN: f64 = 64.798_91;
/// Calcium carbonate in mg by mEq (IUPAC 2021 masses: Ca 40.078, C 12.011, O 15.999).
const CACO3: f64 = (40.078 + 12.011 + 3.0 * 15.999) / 2.0;
/// Calcium oxide in mg by mEq.
const CAO: f64 = (40.078 + 15.999) / 2.0;

use Dimension as D;

// Rows up to EACH may stand below a currency, which has six bits for them.
units! {
    BARE "" "a number without a unit" = own(D::Number).never();

    G "g" "gram" = metric(D::Mass, 1.0, 1000.0).also(&["gram", "grams", "gramme", "grammes"]);
    KG "kg" "kilogram" = metric(D::Mass, 1.0, 1.0)
        .also(&["kgs", "kilo", "kilos", "kilogram", "kilograms", "kilogramme", "kilogrammes"]);
    MG "mg" "milligram" = metric(D::Mass, 1.0, 1e6)
        .also(&["milligram", "milligrams", "milligramme", "milligrammes"]).small_first();
    OZ "oz" "ounce (avoirdupois)" = customary(D::Mass, LB, 16.0).also(&["ounce", "ounces"]);
    LB "lb" "pound (avoirdupois)" = customary(D::Mass, LB, 1.0).also(&["lbs", "pound", "pounds"]);
    HUNDRED_G "100 g" "hundred grams, below the bar" = metric(D::Mass, 1.0, 10.0).below();

    L "L" "litre" = metric(D::Volume, 1.0, 1.0).also(&["litre", "litres", "liter", "liters"]);
    ML "mL" "millilitre" = metric(D::Volume, 1.0, 1000.0)
        .also(&["millilitre", "millilitres", "milliliter", "milliliters"]).small_first();
    HL "hL" "hectolitre" = metric(D::Volume, 100.0, 1.0)
        .also(&["hectolitre", "hectolitres", "hectoliter", "hectoliters"]);
    M3 "m3" "cubic metre" = metric(D::Volume, 1000.0, 1.0)
        .also(&["m³", "m^3", "cubic metre", "cubic metres", "cubic meter", "cubic meters"]).small_first();
    HUNDRED_ML "100 mL" "hundred millilitres, below the bar" = metric(D::Volume, 1.0, 10.0).below();

    TSP "tsp" "teaspoon, US or imperial" = either(UnitId::US_TSP, UnitId::IMP_TSP)
        .also(&["teaspoon", "teaspoons"]);
    TBSP "tbsp" "tablespoon, US or imperial" = either(UnitId::US_TBSP, UnitId::IMP_TBSP)
        .also(&["tablespoon", "tablespoons"]);
    FLOZ "floz" "fluid ounce, US or imperial" = either(UnitId::US_FLOZ, UnitId::IMP_FLOZ)
        .also(&["fl oz", "fl. oz", "fluid ounce", "fluid ounces"]);
    PT "pt" "pint, US or imperial" = either(UnitId::US_PT, UnitId::IMP_PT).also(&["pint", "pints"]);
    QT "qt" "quart, US or imperial" = either(UnitId::US_QT, UnitId::IMP_QT)
        .also(&["qts", "quart", "quarts"]);
    GAL "gal" "gallon, US or imperial" = either(UnitId::US_GAL, UnitId::IMP_GAL)
        .also(&["gals", "gallon", "gallons"]);
    BBL "bbl" "beer barrel, US or imperial" = either(UnitId::US_BBL, UnitId::IMP_BBL)
        .also(&["bbls", "barrel", "barrels"]);

    US_TSP "ustsp" "US teaspoon, 1/6 US fluid ounce" = customary(D::Volume, US_GAL, 768.0)
        .also(&["us tsp", "us teaspoon", "us teaspoons"]);
    US_TBSP "ustbsp" "US tablespoon, 1/2 US fluid ounce" = customary(D::Volume, US_GAL, 256.0)
        .also(&["us tbsp", "us tablespoon", "us tablespoons"]);
    US_FLOZ "usfloz" "US fluid ounce" = customary(D::Volume, US_GAL, 128.0)
        .also(&["us floz", "us fl oz", "us fluid ounce", "us fluid ounces"]);
    US_PT "uspt" "US liquid pint" = customary(D::Volume, US_GAL, 8.0)
        .also(&["us pt", "us pint", "us pints"]);
    US_QT "usqt" "US liquid quart" = customary(D::Volume, US_GAL, 4.0)
        .also(&["us qt", "us quart", "us quarts"]);
    US_GAL "usgal" "US gallon" = customary(D::Volume, US_GAL, 1.0)
        .also(&["us gal", "us gallon", "us gallons"]);
    US_BBL "usbbl" "US beer barrel, 31 US gallons" = customary(D::Volume, US_GAL * 31.0, 1.0)
        .also(&["us bbl", "us barrel", "us barrels"]);

    IMP_TSP "imptsp" "British teaspoon, 5 mL" = customary(D::Volume, 5.0, 1000.0)
        .also(&["imp tsp", "imperial teaspoon", "imperial teaspoons"]);
    IMP_TBSP "imptbsp" "British tablespoon, 15 mL" = customary(D::Volume, 15.0, 1000.0)
        .also(&["imp tbsp", "imperial tablespoon", "imperial tablespoons"]);
    IMP_FLOZ "impfloz" "imperial fluid ounce" = customary(D::Volume, IMP_GAL, 160.0)
        .also(&["imp floz", "imp fl oz", "imperial fluid ounce", "imperial fluid ounces"]);
    IMP_PT "imppt" "imperial pint" = customary(D::Volume, IMP_GAL, 8.0)
        .also(&["imp pt", "imperial pint", "imperial pints"]);
    IMP_QT "impqt" "imperial quart" = customary(D::Volume, IMP_GAL, 4.0)
        .also(&["imp qt", "imperial quart", "imperial quarts"]);
    IMP_GAL "impgal" "imperial gallon" = customary(D::Volume, IMP_GAL, 1.0)
        .also(&["imp gal", "imperial gallon", "imperial gallons"]);
    IMP_BBL "impbbl" "British beer barrel, 36 imperial gallons" = customary(D::Volume, IMP_GAL * 36.0, 1.0)
        .also(&["imp bbl", "imperial barrel", "imperial barrels"]);

    PACK "pack" "pack, as sold" = own(D::Count).also(&["packs", "packet", "packets"]);
    TABLET "tablet" "tablet" = own(D::Count).also(&["tablets"]);
    EACH "each" "piece" = own(D::Count);

    C "C" "degree Celsius, a point" = metric(D::Temperature, 1.0, 1.0)
        .also(&["celsius", "centigrade"]).degree();
    F "F" "degree Fahrenheit, a point" = row(D::Temperature, System::Customary, Scale::Fahrenheit)
        .also(&["fahrenheit"]).degree();
    K "K" "kelvin, a step only" = metric(D::TemperatureStep, 1.0, 1.0).also(&["kelvin", "kelvins"]);

    S "s" "second" = neutral(D::Time, 1.0, 60.0).also(&["sec", "secs", "second", "seconds"]);
    MIN "min" "minute" = neutral(D::Time, 1.0, 1.0).also(&["mins", "minute", "minutes"]);
    H "h" "hour" = neutral(D::Time, 60.0, 1.0).also(&["hr", "hrs", "hour", "hours"]);
    D "d" "day" = neutral(D::Time, 1440.0, 1.0).also(&["day", "days"]);
    WEEK "week" "week" = neutral(D::Time, 10_080.0, 1.0).also(&["weeks", "wks"]);

    PERCENT "%" "per cent" = neutral(D::Proportion, 1.0, 100.0).also(&["percent", "per cent"]);
    PERCENT_WV "% w/v" "per cent by mass and volume, 10 g/L" = neutral(D::Concentration, 10_000.0, 1.0)
        .also(&["%w/v"]);

    SG "sg" "specific gravity 20/20" = own(D::Gravity);
    P "P" "degree Plato, g of extract in 100 g" = own(D::Gravity).also(&["plato"]).degree();
    BX "Bx" "degree Brix" = own(D::Gravity).also(&["brix"]).degree();

    PPG "ppg" "gravity points of one pound in one US gallon"
        = row(D::ExtractPotential, System::Customary, factor(US_GAL, LB));
    L_DEGREES_PER_KG "L°/kg" "litre-degrees of one kilogram" = metric(D::ExtractPotential, 1.0, 1.0);

    EBC "EBC" "colour by EBC" = neutral(D::Colour, 1.0, 1.0);
    SRM "SRM" "colour of beer by ASBC, 1.97 EBC" = neutral(D::Colour, crate::scale::EBC_PER_SRM, 1.0);
    LOV "lov" "degree Lovibond, colour of malt" = row(D::Colour, System::Neutral, Scale::Lovibond)
        .also(&["lovibond"]).degree();

    IBU "IBU" "international bitterness unit" = neutral(D::Bitterness, 1.0, 1.0).also(&["ibus"]);
    PH "pH" "acidity" = neutral(D::Acidity, 1.0, 1.0).never();

    PPM "ppm" "milligrams by litre" = metric(D::Concentration, 1.0, 1.0);
    MMOL "mmol" "millimole" = metric(D::Amount, 1.0, 1.0).also(&["millimole", "millimoles"]).small_first();
    MEQ "mEq" "milliequivalent" = metric(D::Charge, 1.0, 1.0).small_first();
    PPM_CACO3 "ppm as CaCO3" "alkalinity or hardness as calcium carbonate"
        = metric(D::Equivalents, 1.0, CACO3).also(&["ppm CaCO3", "mg/L as CaCO3", "mg/L CaCO3", "ppm as CaCO₃", "mg/L as CaCO₃"]);
    DH "dH" "German degree of hardness, 10 mg/L CaO" = metric(D::Equivalents, 10.0, CAO).degree();
    FH "fH" "French degree of hardness, 10 mg/L CaCO3" = metric(D::Equivalents, 10.0, CACO3).degree();
    CLARK "clark" "English degree of hardness, a grain of CaCO3 in an imperial gallon"
        = customary(D::Equivalents, GRAIN, IMP_GAL * CACO3).degree();

    VOL "vol" "volume of carbon dioxide (0 °C, 1 atm) in a volume of beer" = neutral(D::Carbonation, 1.0, 1.0)
        .also(&["vols", "volumes", "vol CO2", "vols CO2", "volumes CO2", "volumes of CO2", "vol CO₂"]);
    G_CO2_PER_L "g/L CO2" "grams of carbon dioxide by litre, 1/1.977 vol"
        = metric(D::Carbonation, 1.0, crate::scale::CO2_G_PER_L_AT_ONE_VOLUME).also(&["g/L of CO2", "g/L CO₂"]);
    BAR "bar" "bar above the surrounding air" = metric(D::Pressure, 1.0, 1.0).also(&["bars"]);
    KPA "kPa" "kilopascal above the surrounding air" = metric(D::Pressure, 1.0, 100.0)
        .also(&["kilopascal", "kilopascals"]);
    PSI "psi" "pound-force by square inch above the surrounding air" = customary(D::Pressure, PSI, 100.0)
        .also(&["psig"]);

    BILLION_CELLS "billion cells" "thousand million cells" = neutral(D::Cells, 1.0, 1.0)
        .also(&["bn cells", "billion cell", "billion/", "bn/"]);
    MILLION_CELLS "million cells" "million cells" = neutral(D::Cells, 1.0, 1000.0)
        .also(&["million cell", "million/"]);
    CELLS "cells" "cells" = neutral(D::Cells, 1.0, 1e9);
    MILLION_PER_ML_P "million/mL/P" "million cells in a millilitre for each degree Plato"
        = neutral(D::PitchRate, 1.0, 1.0)
        .also(&["million/mL/°P", "million cells/mL/P", "million cells/mL/°P"]);

    WK "WK" "degree Windisch-Kolbach" = neutral(D::DiastaticPower, 1.0, 1.0).degree().capitals();
    LINTNER "lintner" "degree Lintner" = row(D::DiastaticPower, System::Neutral, Scale::Lintner).degree();

    W "W" "watt" = metric(D::Power, 1.0, 1000.0).also(&["watt", "watts"]);
    KW "kW" "kilowatt" = metric(D::Power, 1.0, 1.0).also(&["kilowatt", "kilowatts"]).small_first();
    KJ "kJ" "kilojoule" = metric(D::Energy, 1.0, 1.0).also(&["kilojoule", "kilojoules"]);
    KCAL "kcal" "kilocalorie (thermochemical), 4.184 kJ" = metric(D::Energy, 4.184, 1.0)
        .also(&["kilocalorie", "kilocalories"]);

    M "m" "metre" = metric(D::Length, 1.0, 1.0).also(&["metre", "metres", "meter", "meters"]).small_first();
    FT "ft" "foot" = customary(D::Length, 0.3048, 1.0).also(&["foot", "feet"]);
}

/// The unit table.
pub static UNITS: &[UnitSpec] = TABLE;

/// Rows that may stand below a currency are numbered below this.
const MONEY_ROWS: u16 = 64;
const _: () = assert!(TABLE.len() <= 128, "ratios keep seven bits for each side");
const _: () = assert!((Row::EACH as u16) < MONEY_ROWS);

const fn ratio(over: UnitId, under: UnitId) -> UnitId {
    UnitId(RATIO | (over.0 << 7) | under.0)
}

macro_rules! ratios {
    ($($name:ident = $over:ident / $under:ident, $description:literal;)*) => {
        impl UnitId {
            $(
                #[doc = concat!($description, ".")]
                pub const $name: Self = ratio(Self::$over, Self::$under);
            )*
        }

        /// The ratios that documentation and completion name; any other sensible one is read as well.
        pub static RATIOS: &[(UnitId, &str)] = &[$((UnitId::$name, $description)),*];
    };
}

ratios! {
    MG_PER_L = MG / L, "milligrams by litre";
    G_PER_L = G / L, "grams by litre";
    G_PER_HL = G / HL, "grams by hectolitre";
    G_PER_ML = G / ML, "grams by millilitre, for a density";
    KG_PER_L = KG / L, "kilograms by litre, for a density";
    KG_PER_HL = KG / HL, "kilograms by hectolitre";
    OZ_PER_GAL = OZ / GAL, "ounces by gallon, US or imperial";
    LB_PER_BBL = LB / BBL, "pounds by barrel, US or imperial";
    L_PER_KG = L / KG, "litres by kilogram: liquor to grist, absorption";
    QT_PER_LB = QT / LB, "quarts by pound, US or imperial: liquor to grist";
    US_QT_PER_LB = US_QT / LB, "US quarts by pound: liquor to grist";
    IMP_QT_PER_LB = IMP_QT / LB, "imperial quarts by pound: liquor to grist";
    ML_PER_100_G = ML / HUNDRED_G, "millilitres in a hundred grams: hop oil";
    ML_PER_L = ML / L, "millilitres by litre";
    ML_PER_HL = ML / HL, "millilitres by hectolitre";
    MG_PER_G = MG / G, "milligrams by gram";
    MG_PER_KG = MG / KG, "milligrams by kilogram";
    G_PER_KG = G / KG, "grams by kilogram";
    MMOL_PER_L = MMOL / L, "millimoles by litre";
    MEQ_PER_L = MEQ / L, "milliequivalents by litre";
    MEQ_PER_KG = MEQ / KG, "milliequivalents by kilogram";
    MILLION_CELLS_PER_ML = MILLION_CELLS / ML, "million cells by millilitre";
    BILLION_CELLS_PER_ML = BILLION_CELLS / ML, "billion cells by millilitre";
    BILLION_CELLS_PER_G = BILLION_CELLS / G, "billion cells by gram";
    CELLS_PER_ML = CELLS / ML, "cells by millilitre";
    CELLS_PER_G = CELLS / G, "cells by gram";
    C_PER_MIN = C / MIN, "degrees Celsius by minute";
    C_PER_H = C / H, "degrees Celsius by hour";
    F_PER_MIN = F / MIN, "degrees Fahrenheit by minute";
    L_PER_MIN = L / MIN, "litres by minute";
    L_PER_H = L / H, "litres by hour";
    GAL_PER_H = GAL / H, "gallons by hour, US or imperial";
    US_GAL_PER_H = US_GAL / H, "US gallons by hour";
    IMP_GAL_PER_H = IMP_GAL / H, "imperial gallons by hour";
    PERCENT_PER_H = PERCENT / H, "per cent by hour";
    PERCENT_PER_D = PERCENT / D, "per cent by day";
    KJ_PER_C = KJ / C, "kilojoules by degree Celsius";
    KCAL_PER_C = KCAL / C, "kilocalories by degree Celsius";
    KJ_PER_L = KJ / L, "kilojoules by litre";
    KCAL_PER_100_ML = KCAL / HUNDRED_ML, "kilocalories in a hundred millilitres";
    KJ_PER_100_ML = KJ / HUNDRED_ML, "kilojoules in a hundred millilitres";
    TABLET_PER_HL = TABLET / HL, "tablets by hectolitre";
}

/// A currency of ISO 4217: its code and its number of decimals.
pub(crate) struct Currency {
    pub(crate) code: &'static str,
    pub(crate) decimals: u8,
}

macro_rules! currencies {
    ($($decimals:literal: $($code:ident)*;)*) => {
        pub(crate) const CURRENCIES: &[Currency] = &[$($(
            Currency { code: stringify!($code), decimals: $decimals },
        )*)*];
    };
}

// ISO 4217 as of 2026, without funds, metals and testing codes; BGN, withdrawn in 2026, for older prices.
currencies! {
    2: AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BGN BMD BND BOB BRL BSD BTN BWP BYN BZD CAD CDF
       CHF CNY COP CRC CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GTQ GYD HKD
       HNL HTG HUF IDR ILS INR IRR JMD KES KGS KHR KPW KYD KZT LAK LBP LKR LRD LSL MAD MDL MGA MKD MMK
       MNT MOP MRU MUR MVR MWK MXN MYR MZN NAD NGN NIO NOK NPR NZD PAB PEN PGK PHP PKR PLN QAR RON RSD
       RUB SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TOP TRY TTD TWD TZS
       UAH USD UYU UZS VED VES WST XCD XCG YER ZAR ZMW ZWG;
    0: BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX VND VUV XAF XOF XPF;
    3: BHD IQD JOD KWD LYD OMR TND;
}
const _: () = assert!(CURRENCIES.len() < 255, "a price keeps eight bits for the currency");

impl UnitId {
    pub(crate) const fn of_row(index: usize) -> Self {
        Self(index as u16)
    }

    /// The row of a unit that is one; 0, the bare number, for any other.
    pub(crate) const fn row_index(self) -> usize {
        match self.parts() {
            Parts::Row(index) => index,
            _ => 0,
        }
    }

    pub(crate) const fn of_currency(index: usize) -> Self {
        Self(MONEY | ((index as u16) << 6))
    }

    pub(crate) const fn parts(self) -> Parts {
        let raw = self.0;
        if raw & RATIO != 0 {
            Parts::Ratio(((raw >> 7) & 0x7f) as usize, (raw & 0x7f) as usize)
        } else if raw & MONEY != 0 {
            Parts::Money(((raw >> 6) & 0xff) as usize, (raw & 0x3f) as usize)
        } else {
            Parts::Row(raw as usize)
        }
    }

    /// The unit of one currency: three capital letters of ISO 4217.
    #[must_use]
    pub fn currency(code: &str) -> Option<Self> {
        CURRENCIES.iter().position(|currency| currency.code == code).map(Self::of_currency)
    }

    /// The currency of a sum of money or a price.
    #[must_use]
    pub const fn currency_code(self) -> Option<&'static str> {
        match self.parts() {
            Parts::Money(currency, _) => Some(CURRENCIES[currency].code),
            _ => None,
        }
    }

    /// The ratio of two units, where it measures something that brewers write; `None` otherwise.
    #[must_use]
    pub const fn per(self, under: Self) -> Option<Self> {
        let Parts::Row(below) = under.parts() else { return None };
        if matches!(TABLE[below].written, Written::Never) {
            return None;
        }
        match self.parts() {
            Parts::Row(above) => {
                if !matches!(TABLE[above].written, Written::Anywhere)
                    || Dimension::ratio(TABLE[above].dimension, TABLE[below].dimension).is_none()
                {
                    return None;
                }
                // 'mg of something in a litre as something else' is a row of its own, no ratio.
                Some(ratio(self, under))
            }
            Parts::Money(_, 0) => {
                if Dimension::ratio(Dimension::Money, TABLE[below].dimension).is_none() {
                    return None;
                }
                Some(Self(self.0 | under.0))
            }
            _ => None,
        }
    }

    /// The row of the table, for a unit that is no ratio and no money.
    #[must_use]
    pub const fn spec(self) -> Option<&'static UnitSpec> {
        match self.parts() {
            Parts::Row(index) => Some(&TABLE[index]),
            _ => None,
        }
    }

    /// What the unit measures.
    #[must_use]
    pub const fn dimension(self) -> Dimension {
        let found = match self.parts() {
            Parts::Row(index) => return TABLE[index].dimension,
            Parts::Ratio(over, under) => Dimension::ratio(TABLE[over].dimension, TABLE[under].dimension),
            Parts::Money(_, 0) => return Dimension::Money,
            Parts::Money(_, under) => Dimension::ratio(Dimension::Money, TABLE[under].dimension),
        };
        match found {
            Some(dimension) => dimension,
            None => Dimension::Number,
        }
    }

    /// The exponents with which expressions compute.
    #[must_use]
    pub const fn dim(self) -> Dim {
        match self.parts() {
            Parts::Row(index) => row_dim(index, 1, Dim::NONE),
            Parts::Ratio(over, under) => {
                let dim = self.dimension().dim();
                if matches!(TABLE[over].dimension, Dimension::Count) {
                    row_dim(over, 1, dim)
                } else if matches!(TABLE[under].dimension, Dimension::Count) {
                    row_dim(under, -1, dim)
                } else {
                    dim
                }
            }
            Parts::Money(currency, under) => {
                let dim = self.dimension().dim().with_currency(currency as u8);
                if matches!(TABLE[under].dimension, Dimension::Count) { row_dim(under, -1, dim) } else { dim }
            }
        }
    }

    /// The family of the unit; a ratio is customary if either side is, else metric if either side is.
    #[must_use]
    pub const fn system(self) -> System {
        match self.parts() {
            Parts::Row(index) => TABLE[index].system,
            Parts::Ratio(over, under) => match (TABLE[over].system, TABLE[under].system) {
                (System::Customary, _) | (_, System::Customary) => System::Customary,
                (System::Metric, _) | (_, System::Metric) => System::Metric,
                _ => System::Neutral,
            },
            Parts::Money(_, under) => TABLE[under].system,
        }
    }

    /// Whether the unit means one thing under US customary and another under imperial.
    #[must_use]
    pub const fn needs_customary(self) -> bool {
        match self.parts() {
            Parts::Row(index) => is_either(index),
            Parts::Ratio(over, under) => is_either(over) || is_either(under),
            Parts::Money(_, under) => is_either(under),
        }
    }

    /// The exact unit: `gal` becomes `usgal` or `impgal`, also inside a ratio; any other stays.
    #[must_use]
    pub const fn resolve(self, customary: Customary) -> Self {
        match self.parts() {
            Parts::Row(index) => resolve_row(index, customary),
            Parts::Ratio(over, under) => ratio(resolve_row(over, customary), resolve_row(under, customary)),
            Parts::Money(_, 0) => self,
            Parts::Money(_, under) => Self((self.0 & !0x3f) | resolve_row(under, customary).0),
        }
    }

    /// The unit's everyday form: `gal` for `usgal` or `impgal`, also inside a ratio; any other stays.
    #[must_use]
    pub const fn everyday(self) -> Self {
        match self.parts() {
            Parts::Row(index) => everyday_row(index),
            Parts::Ratio(over, under) => ratio(everyday_row(over), everyday_row(under)),
            Parts::Money(_, 0) => self,
            Parts::Money(_, under) => Self((self.0 & !0x3f) | everyday_row(under).0),
        }
    }

    /// Whether quantities in this unit may be neighbours that add, as in `2 lb 4 oz` or `1 h 15 min`.
    #[must_use]
    pub const fn is_plain(self) -> bool {
        matches!(self.parts(), Parts::Row(_))
            && matches!(
                self.dimension(),
                Dimension::Mass | Dimension::Volume | Dimension::Time | Dimension::Length
            )
    }

    /// The linear factor to the canonical unit, for units that have one.
    pub(crate) const fn factor(self) -> Option<Factor> {
        match self.parts() {
            Parts::Row(index) => match TABLE[index].scale {
                Scale::Factor { times, over } => Some(Factor { times, over }),
                Scale::Own => Some(Factor::ONE),
                _ => None,
            },
            Parts::Ratio(over, under) => {
                let (Some(above), Some(below)) = (coherent_row(over), coherent_row(under)) else {
                    return None;
                };
                let (times, over) = self.dimension().coherent();
                // The canonical unit's size goes in first: 1e6 / 1000 is exact where 1e-3 / 1e-6 is not.
                Some(above.by(below.inverse()).by(Factor { times: over, over: times }))
            }
            Parts::Money(_, 0) => Some(Factor::ONE),
            Parts::Money(_, under) => match coherent_row(under) {
                Some(below) => Some(below.inverse()),
                None => None,
            },
        }
    }

    /// What the unit is, for documentation and completion; `None` for a ratio that is not in [`RATIOS`].
    #[must_use]
    pub fn description(self) -> Option<&'static str> {
        match self.parts() {
            Parts::Row(index) => Some(TABLE[index].description),
            Parts::Ratio(..) => RATIOS.iter().find(|(id, _)| *id == self).map(|(_, text)| *text),
            Parts::Money(..) => None,
        }
    }

    /// The number of decimals of the currency, for money and prices.
    #[must_use]
    pub const fn currency_decimals(self) -> Option<u8> {
        match self.parts() {
            Parts::Money(currency, _) => Some(CURRENCIES[currency].decimals),
            _ => None,
        }
    }
}

const fn is_either(index: usize) -> bool {
    matches!(TABLE[index].scale, Scale::Customary { .. })
}

const fn resolve_row(index: usize, customary: Customary) -> UnitId {
    match (TABLE[index].scale, customary) {
        (Scale::Customary { us, .. }, Customary::Us) => us,
        (Scale::Customary { imperial, .. }, Customary::Imperial) => imperial,
        _ => UnitId::of_row(index),
    }
}

const fn everyday_row(index: usize) -> UnitId {
    let mut at = 0;
    while at < TABLE.len() {
        if let Scale::Customary { us, imperial } = TABLE[at].scale
            && (us.0 as usize == index || imperial.0 as usize == index)
        {
            return TABLE[at].id;
        }
        at += 1;
    }
    UnitId::of_row(index)
}

const fn row_dim(index: usize, exponent: i8, dim: Dim) -> Dim {
    match TABLE[index].id {
        UnitId::PACK => dim.with(Base::Pack, exponent),
        UnitId::TABLET => dim.with(Base::Tablet, exponent),
        UnitId::EACH => dim.with(Base::Each, exponent),
        _ => TABLE[index].dimension.dim(),
    }
}

/// The size of a row's unit in coherent units; for temperatures the size of the degree.
const fn coherent_row(index: usize) -> Option<Factor> {
    let spec = &TABLE[index];
    let canonical = match spec.scale {
        Scale::Factor { times, over } => Factor { times, over },
        Scale::Fahrenheit => Factor { times: 1.0, over: 1.8 },
        Scale::Own => Factor::ONE,
        Scale::Lovibond | Scale::Lintner | Scale::Customary { .. } => return None,
    };
    let (times, over) = spec.dimension.coherent();
    Some(canonical.by(Factor { times, over }))
}

impl fmt::Display for UnitId {
    /// The formatter's spelling; nothing for a bare number.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.parts() {
            Parts::Row(index) => f.write_str(TABLE[index].symbol),
            Parts::Ratio(over, under) => write!(f, "{}/{}", TABLE[over].symbol, TABLE[under].symbol),
            Parts::Money(currency, 0) => f.write_str(CURRENCIES[currency].code),
            Parts::Money(currency, under) => {
                write!(f, "{}/{}", CURRENCIES[currency].code, TABLE[under].symbol)
            }
        }
    }
}

impl fmt::Debug for UnitId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "UnitId({self})")
    }
}

/// Every unit that may be written, ratios of [`RATIOS`] included, with its description; money apart.
pub fn units() -> impl Iterator<Item = (UnitId, &'static str)> {
    UNITS
        .iter()
        .filter(|spec| spec.is_written())
        .map(|spec| (spec.id, spec.description))
        .chain(RATIOS.iter().copied())
}

/// Every currency's unit.
pub fn currencies() -> impl Iterator<Item = UnitId> {
    (0..CURRENCIES.len()).map(UnitId::of_currency)
}
