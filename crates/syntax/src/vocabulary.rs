//! The words of the language as data: blocks, entries, clauses, flags, fields.
//!
//! The parser, the formatter, completion and the reference page all read these tables; a word that is
//! not here does not exist.

use Slot::{
    Chance, Clock as ClockSlot, Date as DateSlot, Day, Expr as ExprSlot, Id, Of, Ref, Score, Str, Text, Word,
    Words,
};

/// What a value measures, as the language's tables say; [`crate::accepts`] maps a unit to it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Kind {
    /// A mass.
    Mass,
    /// A volume.
    Volume,
    /// A point of temperature.
    Temperature,
    /// A length of time.
    Time,
    /// A proportion.
    Proportion,
    /// A gravity: specific gravity, °P or Brix.
    Gravity,
    /// Extract potential.
    Potential,
    /// Colour of malt or beer.
    Colour,
    /// Bitterness.
    Bitterness,
    /// Concentration of something dissolved.
    Concentration,
    /// Alkalinity or hardness on one of their scales.
    Alkalinity,
    /// Carbonation.
    Carbonation,
    /// Pressure.
    Pressure,
    /// Number of cells.
    Cells,
    /// Cells by volume.
    CellsPerVolume,
    /// Cells by mass.
    CellsPerMass,
    /// Pitching rate.
    PitchRate,
    /// Diastatic power.
    Diastatic,
    /// Power.
    Power,
    /// Heat capacity.
    HeatCapacity,
    /// Heat lost over temperature, or temperature lost over time.
    HeatLoss,
    /// Length or elevation.
    Length,
    /// A count of packs, tablets or pieces.
    Count,
    /// Money for an amount.
    Price,
    /// Volume by mass.
    VolumePerMass,
    /// Volume by time.
    Flow,
    /// Proportion by time.
    Rate,
    /// Energy by mass or volume, for cost and energy.
    Energy,
    /// Density.
    Density,
    /// Mass by volume of a dose.
    Dose,
    /// A step of temperature.
    Step,
    /// Buffering: mEq by mass (and pH).
    Buffer,
    /// Mass of one piece.
    UnitMass,
    /// Volume of oil by mass of hops.
    Oil,
    /// Ions by mass of a salt.
    IonContent,
    /// A bare number: pH.
    Ph,
    /// A bare number that is a factor.
    Factor,
    /// A bare number that is a year.
    Year,
}

/// What may stand at one place of an entry.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Slot {
    /// A quantity of one of these kinds, the likeliest first.
    Of(&'static [Kind]),
    /// A name looked up in the library.
    Ref(BlockKind),
    /// One of these words.
    Word(&'static [&'static str]),
    /// Words, each of its own.
    Words,
    /// The rest of the line as written.
    Text,
    /// Text in quotes.
    Str,
    /// One run of non-blank characters.
    Id,
    /// A date.
    Date,
    /// A time of day.
    Clock,
    /// `day N`, with a range where the entry says so.
    Day,
    /// `38/50`.
    Score,
    /// An expression.
    Expr,
    /// `yes`, `no` or `possible`.
    Chance,
}

/// A clause an entry may have.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ClauseSpec {
    /// The word.
    pub word: ClauseWord,
    /// What may follow: any of these.
    pub takes: &'static [Slot],
}

/// An entry of a block.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EntrySpec {
    /// Its first word or words.
    pub keyword: Keyword,
    /// What stands behind it, in order.
    pub takes: &'static [Slot],
    /// How many of `takes` may be left out, counted from the last.
    pub optional: u8,
    /// Whether an amount may lead the line (`8 L bottle 2.4 vol`).
    pub amount_leads: bool,
    /// Its clauses.
    pub clauses: &'static [ClauseSpec],
    /// What it says, one sentence.
    pub doc: &'static str,
}

impl EntrySpec {
    /// Whether the rest of the line is text as written.
    #[must_use]
    pub fn is_text(&self) -> bool {
        matches!(self.takes, [Slot::Text])
    }
    /// The clause with this word.
    #[must_use]
    pub fn clause(&self, word: ClauseWord) -> Option<&'static ClauseSpec> {
        self.clauses.iter().find(|clause| clause.word == word)
    }
    /// The clause without which the entry says nothing: `raise to 21 C`, `instead 20 g Fuggle for Golding`.
    #[must_use]
    pub fn needs(&self) -> Option<ClauseWord> {
        match self.keyword {
            Keyword::Raise | Keyword::Cool | Keyword::Return => Some(ClauseWord::To),
            Keyword::Instead => Some(ClauseWord::For),
            Keyword::Decoct => Some(ClauseWord::Boil),
            _ => None,
        }
    }
}

/// A kind of block.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BlockSpec {
    /// Which.
    pub kind: BlockKind,
    /// The first word of the header.
    pub word: &'static str,
    /// What stands behind it in the header, in order.
    pub takes: &'static [Slot],
    /// How many of `takes` may be left out, counted from the last.
    pub optional: u8,
    /// Clauses of the header.
    pub clauses: &'static [ClauseSpec],
    /// Its entries.
    pub entries: &'static [EntrySpec],
    /// Clauses of item lines; `None` where items do not stand.
    pub items: Option<&'static [ClauseSpec]>,
    /// Whether queries (`? …`) stand here.
    pub queries: bool,
    /// Whether it may stand more than once in a recipe.
    pub repeats: bool,
    /// What it is for, one sentence.
    pub doc: &'static str,
}

impl BlockSpec {
    /// The clause without which the header says nothing: `chill to 9 C`.
    #[must_use]
    pub fn needs(&self) -> Option<ClauseWord> {
        (self.kind == BlockKind::Chill).then_some(ClauseWord::To)
    }
}

macro_rules! words {
    ($(#[$doc:meta])* $name:ident { $($variant:ident = $word:literal),* $(,)? }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum $name { $(#[doc = concat!("`", $word, "`")] $variant),* }
        impl $name {
            /// All of them.
            pub const ALL: &'static [Self] = &[$(Self::$variant),*];
            /// As the formatter writes it.
            #[must_use]
            pub const fn word(self) -> &'static str {
                match self { $(Self::$variant => $word),* }
            }
        }
    };
}

words! {
    /// The kinds of block. `Preamble` is what stands above the first header, `Unknown` a header whose first word is none of these.
    BlockKind {
        Preamble = "", Unknown = "?",
        Use = "use", Let = "let", Recipe = "recipe", Grist = "grist", Liquor = "liquor", Mash = "mash",
        Cook = "cook", Steep = "steep", Sour = "sour", Boil = "boil", Stand = "stand", Chill = "chill",
        Split = "split", Pitch = "pitch", Ferment = "ferment", Package = "package", Expect = "expect",
        Notes = "notes", Gyle = "gyle", Tasting = "tasting",
        Malt = "malt", Sugar = "sugar", Hop = "hop", Yeast = "yeast", Water = "water", Addition = "addition",
        Style = "style", BrewhouseBlock = "brewhouse",
    }
}

impl BlockKind {
    /// Whether it is one of the eight kinds of definition.
    #[must_use]
    pub const fn is_definition(self) -> bool {
        matches!(
            self,
            Self::Malt
                | Self::Sugar
                | Self::Hop
                | Self::Yeast
                | Self::Water
                | Self::Addition
                | Self::Style
                | Self::BrewhouseBlock
        )
    }
    /// Whether it belongs to the recipe (or split) above it.
    #[must_use]
    pub const fn is_process(self) -> bool {
        matches!(
            self,
            Self::Grist
                | Self::Liquor
                | Self::Mash
                | Self::Cook
                | Self::Steep
                | Self::Sour
                | Self::Boil
                | Self::Stand
                | Self::Chill
                | Self::Split
                | Self::Pitch
                | Self::Ferment
                | Self::Package
                | Self::Expect
                | Self::Notes
        )
    }
    /// The table of this kind; the preamble and unknown blocks have none.
    #[must_use]
    pub fn spec(self) -> Option<&'static BlockSpec> {
        BLOCKS.iter().find(|spec| spec.kind == self)
    }
}

words! {
    /// Words that open a clause.
    ClauseWord {
        At = "at", To = "to", ToReach = "to reach", On = "on", From = "from", In = "in", Over = "over",
        For = "for", By = "by", Until = "until", Cap = "cap", With = "with", Boil = "boil", Of = "of",
        Planned = "planned",
    }
}

words! {
    /// Words that stand alone among properties.
    Flag {
        Leaf = "leaf", Pellet = "pellet", Powder = "powder", Extract = "extract", Iso = "iso", Hot = "hot",
        Refractometer = "refractometer", Stirred = "stirred", Still = "still", Boiled = "boiled", Limed = "limed",
        CarbonFiltered = "carbon filtered", Mash = "mash", Kettle = "kettle", Beer = "beer", Loose = "loose",
    }
}

words! {
    /// First words of entries and fields of definitions.
    Keyword {
        // recipe
        Style = "style", Batch = "batch", Brewhouse = "brewhouse", Fermenter = "fermenter",
        Customary = "customary", Currency = "currency", Version = "version", Date = "date", Link = "link",
        Licence = "licence", Brewer = "brewer", BasedOn = "based on", From = "from", Tag = "tag", Let = "let",
        Label = "label", Allergens = "allergens",
        // liquor, mash and what goes with it
        Source = "source", Blend = "blend", Mash = "mash", Sparge = "sparge", NoSparge = "no sparge",
        TopUp = "top up", Add = "add", Match = "match", Rest = "rest", Infuse = "infuse", Decoct = "decoct",
        Ph = "ph", Runnings = "runnings", Boil = "boil", Return = "return", Liquor = "liquor", Hold = "hold",
        // yeast and fermentation
        Starter = "starter", Rate = "rate", At = "at", Oxygen = "oxygen", Raise = "raise", Cool = "cool",
        FreeRise = "free rise", Until = "until", Spund = "spund", Rack = "rack", Pressure = "pressure",
        // package
        Keg = "keg", Cask = "cask", Bottle = "bottle", Can = "can", Store = "store",
        // log
        Strike = "strike", MashIn = "mash in", MashOut = "mash out", Instead = "instead", Weigh = "weigh",
        Iodine = "iodine", FirstRunnings = "first runnings", LastRunnings = "last runnings", Volume = "volume",
        PreBoil = "pre-boil", BoilStart = "boil start", BoilEnd = "boil end", Flameout = "flameout",
        PostBoil = "post-boil", Chilled = "chilled", Og = "og", Pitch = "pitch", Temp = "temp",
        Gravity = "gravity", Fg = "fg", HopsOut = "hops out", Lost = "lost", Package = "package",
        // tasting
        Score = "score", Appearance = "appearance", Aroma = "aroma", Flavour = "flavour",
        Mouthfeel = "mouthfeel", Next = "next",
        // fields of every definition
        Like = "like", Price = "price", Lot = "lot", Stock = "stock", Note = "note", Confidence = "confidence",
        Alias = "alias", Allergen = "allergen",
        // malt, sugar
        Extract = "extract", Moisture = "moisture", Colour = "colour", DiastaticPower = "diastatic power",
        Grain = "grain", Form = "form", Gelatinises = "gelatinises", MashPh = "mash ph", Buffer = "buffer",
        MaxShare = "max share", Fermentability = "fermentability", Density = "density",
        // hop
        Alpha = "alpha", Beta = "beta", Cohumulone = "cohumulone", Oil = "oil", Crop = "crop",
        Stored = "stored", Loss = "loss", Origin = "origin", Purpose = "purpose",
        // yeast
        Attenuation = "attenuation", Temperature = "temperature", Tolerance = "tolerance", Cells = "cells",
        Flocculation = "flocculation", Kind = "kind", Diastatic = "diastatic", Phenolic = "phenolic",
        Packed = "packed", Harvested = "harvested", Viability = "viability", Species = "species",
        // water
        Calcium = "calcium", Magnesium = "magnesium", Sodium = "sodium", Potassium = "potassium",
        Chloride = "chloride", Sulfate = "sulfate", Nitrate = "nitrate", Bicarbonate = "bicarbonate",
        Carbonate = "carbonate", Alkalinity = "alkalinity", Hardness = "hardness", Chlorine = "chlorine",
        Chloramine = "chloramine", Iron = "iron", Reported = "reported",
        // addition
        Role = "role", Strength = "strength", Ions = "ions", Dose = "dose", Timing = "timing",
        UnitMass = "unit mass",
        // style
        Name = "name", Group = "group", Abv = "abv", Ibu = "ibu", Carbonation = "carbonation",
        // brewhouse
        MashEfficiency = "mash efficiency", Evaporation = "evaporation", TrubLoss = "trub loss",
        MashDeadSpace = "mash dead space", GrainAbsorption = "grain absorption",
        HopAbsorption = "hop absorption", TunCapacity = "tun capacity", KettleCapacity = "kettle capacity",
        FermenterCapacity = "fermenter capacity", FermenterLoss = "fermenter loss", Heater = "heater",
        TunHeatCapacity = "tun heat capacity", BoilingPoint = "boiling point", Elevation = "elevation",
        GrainTemperature = "grain temperature", MashThickness = "mash thickness", StandFactor = "stand factor",
        PackagingLoss = "packaging loss", DryHopAbsorption = "dry hop absorption", SteepYield = "steep yield",
        Ambient = "ambient", HeatLoss = "heat loss", Hydrometer = "hydrometer",
        RefractometerFactor = "refractometer factor", ThermometerOffset = "thermometer offset",
        FermenterRating = "fermenter rating", KegRating = "keg rating", Room = "room",
        // properties that are no field
        Glass = "glass", Residual = "residual",
    }
}

const fn entry(keyword: Keyword, takes: &'static [Slot], doc: &'static str) -> EntrySpec {
    EntrySpec { keyword, takes, optional: 0, amount_leads: false, clauses: &[], doc }
}

impl EntrySpec {
    const fn optional(mut self, optional: u8) -> Self {
        self.optional = optional;
        self
    }
    const fn amount_leads(mut self) -> Self {
        self.amount_leads = true;
        self
    }
    const fn clauses(mut self, clauses: &'static [ClauseSpec]) -> Self {
        self.clauses = clauses;
        self
    }
}

const fn clause(word: ClauseWord, takes: &'static [Slot]) -> ClauseSpec {
    ClauseSpec { word, takes }
}

const AT_TEMP: ClauseSpec = clause(ClauseWord::At, &[Of(&[Kind::Temperature])]);
const AT_GRAVITY: ClauseSpec = clause(ClauseWord::At, &[Of(&[Kind::Gravity])]);
const FOR_TIME: ClauseSpec = clause(ClauseWord::For, &[Of(&[Kind::Time])]);
const OVER_TIME: ClauseSpec = clause(ClauseWord::Over, &[Of(&[Kind::Time])]);
const ON_DAY: ClauseSpec = clause(ClauseWord::On, &[Day, DateSlot]);
const TO_REACH_GRAVITY: ClauseSpec = clause(ClauseWord::ToReach, &[Of(&[Kind::Gravity])]);
const TO_REACH_PH: ClauseSpec = clause(ClauseWord::ToReach, &[Of(&[Kind::Ph])]);
const UNTIL_GRAVITY: ClauseSpec = clause(ClauseWord::Until, &[Of(&[Kind::Gravity])]);
const WITH_SUGAR: ClauseSpec =
    clause(ClauseWord::With, &[Of(&[Kind::Dose, Kind::Mass]), Ref(BlockKind::Sugar)]);
const BY_METHOD: &[&str] = &["infusion", "direct heat", "decoction"];
const BY_STEP: ClauseSpec =
    clause(ClauseWord::By, &[Word(&["infusion", "direct heat", "decoction", "cook"])]);
const TO_VESSEL_WATER: ClauseSpec = clause(ClauseWord::To, &[Word(&["mash", "sparge", "kettle", "all"])]);

/// Clauses of an item line of the grist.
const GRIST_ITEMS: &[ClauseSpec] = &[
    clause(ClauseWord::At, &[Of(&[Kind::Time]), Word(&["flameout", "first wort", "mash"])]),
    ON_DAY,
    clause(ClauseWord::In, &[Word(&["cook", "steep"])]),
    FOR_TIME,
];
const MASH_ITEMS: &[ClauseSpec] = &[clause(ClauseWord::At, &[Word(&["mash"]), Of(&[Kind::Time])]), FOR_TIME];
const BOIL_ITEMS: &[ClauseSpec] = &[
    clause(ClauseWord::At, &[Of(&[Kind::Time]), Word(&["flameout", "first wort"])]),
    clause(ClauseWord::ToReach, &[Of(&[Kind::Bitterness])]),
    FOR_TIME,
];
const STAND_ITEMS: &[ClauseSpec] = &[FOR_TIME];
const SOUR_ITEMS: &[ClauseSpec] = &[];
const PITCH_ITEMS: &[ClauseSpec] = &[ON_DAY, AT_TEMP];
const FERMENT_ITEMS: &[ClauseSpec] = &[ON_DAY, clause(ClauseWord::At, &[Of(&[Kind::Gravity])]), FOR_TIME];
const PACKAGE_ITEMS: &[ClauseSpec] = &[];

const AMOUNT: Slot = Of(&[Kind::Mass, Kind::Volume, Kind::Count]);
const VOLUME: Slot = Of(&[Kind::Volume]);
const TEMP: Slot = Of(&[Kind::Temperature]);
const GRAVITY: Slot = Of(&[Kind::Gravity]);
const TIME: Slot = Of(&[Kind::Time]);
const ION: Slot = Of(&[Kind::Concentration]);
const CO2: Slot = Of(&[Kind::Carbonation]);
const PROPORTION: Slot = Of(&[Kind::Proportion]);

const ADD_WATER: EntrySpec = entry(
    Keyword::Add,
    &[AMOUNT, Ref(BlockKind::Addition)],
    "A salt, acid or other addition; without an amount `to reach ph` says what it is solved for.",
)
.clauses(&[TO_VESSEL_WATER, TO_REACH_PH]);

macro_rules! common_fields {
    ($($own:expr),* $(,)?) => {
        &[
            $($own,)*
            entry(Keyword::Like, &[Words], "Starts from another definition of the kind."),
            entry(Keyword::Price, &[Of(&[Kind::Price])], "What it costs."),
            entry(Keyword::Lot, &[Text], "The lot or batch it came from."),
            entry(Keyword::Stock, &[Of(&[Kind::Mass, Kind::Volume, Kind::Count, Kind::Cells])], "How much is in the cellar."),
            entry(Keyword::Source, &[Text], "Where the figures come from."),
            entry(Keyword::Note, &[Text], "Anything worth remembering."),
            entry(Keyword::Confidence, &[Words], "How well the figures are founded: A, B or C."),
            entry(Keyword::Alias, &[Words], "Another name; `[loose]` when it may mean several things."),
            entry(Keyword::Allergen, &[Text], "What it may do to whom: an allergen it contains."),
        ]
    };
}

/// Every kind of block with its entries.
pub static BLOCKS: &[BlockSpec] = &[
    BlockSpec {
        kind: BlockKind::Use,
        word: "use",
        takes: &[Str],
        optional: 0,
        clauses: &[],
        entries: &[],
        items: None,
        queries: false,
        repeats: true,
        doc: "Takes the definitions and recipes of another file, by a path relative to this one.",
    },
    BlockSpec {
        kind: BlockKind::Let,
        word: "let",
        takes: &[Id, ExprSlot],
        optional: 0,
        clauses: &[],
        entries: &[],
        items: None,
        queries: false,
        repeats: true,
        doc: "Names a value for the whole file.",
    },
    BlockSpec {
        kind: BlockKind::Recipe,
        word: "recipe",
        takes: &[Str],
        optional: 0,
        clauses: &[],
        entries: &[
            entry(Keyword::Style, &[Text], "The style aimed at, by its code."),
            entry(
                Keyword::Batch,
                &[VOLUME],
                "Volume in the fermenter at pitching, top-up included; the design volume.",
            ),
            entry(
                Keyword::Brewhouse,
                &[Ref(BlockKind::BrewhouseBlock)],
                "The brewhouse whose efficiency and losses count; properties override them here.",
            ),
            entry(
                Keyword::Fermenter,
                &[Word(&["glass", "steel", "plastic"])],
                "What the fermenter is made of.",
            ),
            entry(
                Keyword::Customary,
                &[Word(&["us", "imperial"])],
                "Which gallon, quart, pint and fluid ounce are meant.",
            ),
            entry(
                Keyword::Currency,
                &[Word(&[])],
                "The currency that costs are shown in, by its ISO 4217 code.",
            ),
            entry(Keyword::Version, &[Text], "Version of the recipe."),
            entry(Keyword::Date, &[DateSlot], "When it was written."),
            entry(Keyword::Link, &[Text], "Where to read more."),
            entry(Keyword::Licence, &[Text], "Licence by its SPDX name."),
            entry(Keyword::Brewer, &[Text], "Who wrote it."),
            entry(Keyword::BasedOn, &[Text], "The recipe it grew from."),
            entry(Keyword::From, &[Str], "Takes the rest of that recipe's mash (parti-gyle)."),
            entry(Keyword::Tag, &[Words], "Words to sort by; some name a technique that the checks respect."),
            entry(Keyword::Let, &[Id, ExprSlot], "Names a value for this recipe."),
            entry(Keyword::Label, &[Text], "Claims made on the label."),
            entry(Keyword::Allergens, &[Text], "Allergens declared on the label."),
        ],
        items: None,
        queries: true,
        repeats: true,
        doc: "A beer: what it is called, how much of it, on which brewhouse.",
    },
    BlockSpec {
        kind: BlockKind::Grist,
        word: "grist",
        takes: &[],
        optional: 0,
        clauses: &[TO_REACH_GRAVITY],
        entries: &[],
        items: Some(GRIST_ITEMS),
        queries: false,
        repeats: false,
        doc: "Everything fermentable, by mass or as percentages of the mashed grist.",
    },
    BlockSpec {
        kind: BlockKind::Liquor,
        word: "liquor",
        takes: &[],
        optional: 0,
        clauses: &[],
        entries: &[
            entry(
                Keyword::Source,
                &[Ref(BlockKind::Water)],
                "The water everything starts from; `[boiled]`, `[limed]` or `[carbon filtered]` say how it is treated.",
            ),
            entry(
                Keyword::Blend,
                &[PROPORTION, Ref(BlockKind::Water)],
                "A share of the total volume that is another water.",
            ),
            entry(Keyword::Mash, &[VOLUME], "Mash liquor."),
            entry(Keyword::Sparge, &[VOLUME], "Sparge liquor and its temperature.").clauses(&[AT_TEMP]),
            entry(Keyword::NoSparge, &[], "All liquor goes into the mash."),
            entry(Keyword::TopUp, &[VOLUME], "Water added to the kettle or the fermenter.")
                .clauses(&[clause(ClauseWord::To, &[Word(&["kettle", "fermenter"])])]),
            ADD_WATER,
            entry(Keyword::Match, &[Ref(BlockKind::Water)], "The profile the salts aim for; checked."),
        ],
        items: None,
        queries: false,
        repeats: false,
        doc: "The brewing liquor: source, volumes, salts and acids before mash in.",
    },
    BlockSpec {
        kind: BlockKind::Mash,
        word: "mash",
        takes: &[],
        optional: 0,
        clauses: &[clause(ClauseWord::By, &[Word(BY_METHOD)])],
        entries: &[
            entry(Keyword::Rest, &[TEMP], "A rest and how it is reached.").clauses(&[FOR_TIME, BY_STEP]),
            entry(Keyword::Infuse, &[VOLUME], "Water added to reach the next rest.").clauses(&[AT_TEMP]),
            entry(
                Keyword::Decoct,
                &[VOLUME, Word(&["thick", "thin"])],
                "A part of the mash boiled and returned.",
            )
            .optional(2)
            .clauses(&[AT_TEMP, FOR_TIME, clause(ClauseWord::Boil, &[TIME])]),
            entry(Keyword::Ph, &[Of(&[Kind::Ph])], "The mash pH aimed at."),
            ADD_WATER,
            entry(Keyword::Runnings, &[VOLUME], "Wort taken for this beer (parti-gyle).")
                .clauses(&[AT_GRAVITY]),
        ],
        items: Some(MASH_ITEMS),
        queries: false,
        repeats: false,
        doc: "The mash: its rests in order, additions, runnings.",
    },
    BlockSpec {
        kind: BlockKind::Cook,
        word: "cook",
        takes: &[VOLUME],
        optional: 0,
        clauses: &[],
        entries: &[
            entry(Keyword::Rest, &[TEMP], "A rest of the cooked part.").clauses(&[FOR_TIME]),
            entry(Keyword::Boil, &[TIME], "How long it boils."),
            entry(Keyword::Return, &[], "Goes back into the mash.")
                .clauses(&[clause(ClauseWord::To, &[Word(&["mash"])])]),
        ],
        items: None,
        queries: false,
        repeats: true,
        doc: "Adjuncts cooked apart before they join the mash.",
    },
    BlockSpec {
        kind: BlockKind::Steep,
        word: "steep",
        takes: &[TIME],
        optional: 0,
        clauses: &[AT_TEMP],
        entries: &[entry(Keyword::Liquor, &[VOLUME], "Water the grain steeps in.")],
        items: None,
        queries: false,
        repeats: true,
        doc: "Grain steeped without mashing.",
    },
    BlockSpec {
        kind: BlockKind::Sour,
        word: "sour",
        takes: &[],
        optional: 0,
        clauses: &[],
        entries: &[
            entry(Keyword::Boil, &[TIME], "How long the wort boils before souring."),
            ADD_WATER,
            entry(Keyword::Hold, &[TEMP], "Where and how long it is held.")
                .clauses(&[FOR_TIME, clause(ClauseWord::Until, &[Of(&[Kind::Ph])])]),
        ],
        items: Some(SOUR_ITEMS),
        queries: false,
        repeats: false,
        doc: "Souring in the kettle before the boil.",
    },
    BlockSpec {
        kind: BlockKind::Boil,
        word: "boil",
        takes: &[TIME],
        optional: 0,
        clauses: &[],
        entries: &[entry(Keyword::TopUp, &[VOLUME], "Water added during or after the boil.").clauses(&[
            clause(ClauseWord::To, &[Word(&["kettle", "fermenter"])]),
            clause(ClauseWord::At, &[TIME, Word(&["flameout"])]),
        ])],
        items: Some(BOIL_ITEMS),
        queries: false,
        repeats: false,
        doc: "The boil and what goes into the kettle, by the minutes left.",
    },
    BlockSpec {
        kind: BlockKind::Stand,
        word: "stand",
        takes: &[TIME],
        optional: 0,
        clauses: &[AT_TEMP],
        entries: &[],
        items: Some(STAND_ITEMS),
        queries: false,
        repeats: true,
        doc: "A hop stand after the boil.",
    },
    BlockSpec {
        kind: BlockKind::Chill,
        word: "chill",
        takes: &[],
        optional: 0,
        clauses: &[clause(ClauseWord::To, &[TEMP]), OVER_TIME],
        entries: &[],
        items: None,
        queries: false,
        repeats: false,
        doc: "Chilling the wort.",
    },
    BlockSpec {
        kind: BlockKind::Split,
        word: "split",
        takes: &[Str, VOLUME],
        optional: 0,
        clauses: &[],
        entries: &[],
        items: None,
        queries: false,
        repeats: true,
        doc: "A part of the wort with a pitch, fermentation and package of its own below it.",
    },
    BlockSpec {
        kind: BlockKind::Pitch,
        word: "pitch",
        takes: &[],
        optional: 0,
        clauses: &[],
        entries: &[
            entry(Keyword::Starter, &[VOLUME], "A starter, step by step.").clauses(&[AT_GRAVITY]),
            entry(Keyword::Rate, &[Of(&[Kind::PitchRate])], "The pitching rate aimed at."),
            entry(Keyword::At, &[TEMP], "Wort temperature at pitching."),
            entry(
                Keyword::Oxygen,
                &[Of(&[Kind::Concentration, Kind::Flow])],
                "Oxygen in the wort, or a flow for a time.",
            )
            .clauses(&[FOR_TIME]),
        ],
        items: Some(PITCH_ITEMS),
        queries: false,
        repeats: false,
        doc: "The yeast, how much of it and into what.",
    },
    BlockSpec {
        kind: BlockKind::Ferment,
        word: "ferment",
        takes: &[],
        optional: 0,
        clauses: &[],
        entries: &[
            entry(Keyword::Hold, &[TEMP], "Holds a temperature.").clauses(&[FOR_TIME, UNTIL_GRAVITY]),
            entry(
                Keyword::Raise,
                &[],
                "Warms; `over` is the length of the change, `for` the length after it.",
            )
            .clauses(&[clause(ClauseWord::To, &[TEMP]), OVER_TIME, FOR_TIME, UNTIL_GRAVITY]),
            entry(
                Keyword::Cool,
                &[],
                "Cools; `over` is the length of the change, `for` the length after it.",
            )
            .clauses(&[clause(ClauseWord::To, &[TEMP]), OVER_TIME, FOR_TIME]),
            entry(Keyword::FreeRise, &[], "Lets the temperature rise by itself.")
                .clauses(&[clause(ClauseWord::Cap, &[TEMP])]),
            entry(Keyword::Until, &[GRAVITY], "Ends the step above at a gravity."),
            entry(Keyword::Spund, &[Of(&[Kind::Pressure])], "Closes the vessel under a set pressure.")
                .clauses(&[clause(ClauseWord::From, &[GRAVITY, Day])]),
            entry(Keyword::Rack, &[VOLUME], "Moves the beer.")
                .optional(1)
                .clauses(&[clause(ClauseWord::To, &[Words]), ON_DAY]),
            entry(Keyword::Pressure, &[Of(&[Kind::Pressure])], "Ferments under pressure."),
        ],
        items: Some(FERMENT_ITEMS),
        queries: false,
        repeats: false,
        doc: "Fermentation step by step, and what is added on the way.",
    },
    BlockSpec {
        kind: BlockKind::Package,
        word: "package",
        takes: &[],
        optional: 0,
        clauses: &[],
        entries: &[
            entry(Keyword::Keg, &[CO2], "A keg; `at` is the temperature under pressure.")
                .optional(1)
                .amount_leads()
                .clauses(&[AT_TEMP, WITH_SUGAR]),
            entry(Keyword::Cask, &[CO2], "A cask; `at` is the serving temperature.")
                .optional(1)
                .amount_leads()
                .clauses(&[AT_TEMP, WITH_SUGAR]),
            entry(Keyword::Bottle, &[CO2], "Bottles; `at` is the conditioning temperature.")
                .optional(1)
                .amount_leads()
                .clauses(&[AT_TEMP, WITH_SUGAR]),
            entry(Keyword::Can, &[CO2], "Cans; `at` is the conditioning temperature.")
                .optional(1)
                .amount_leads()
                .clauses(&[AT_TEMP, WITH_SUGAR]),
            entry(Keyword::Store, &[TEMP], "The warmest the packages are stored at."),
        ],
        items: Some(PACKAGE_ITEMS),
        queries: false,
        repeats: false,
        doc: "What the beer goes into and how it is carbonated.",
    },
    BlockSpec {
        kind: BlockKind::Expect,
        word: "expect",
        takes: &[],
        optional: 0,
        clauses: &[],
        entries: &[],
        items: None,
        queries: false,
        repeats: false,
        doc: "The brewer's own tests: a figure and the values it must have, or a condition.",
    },
    BlockSpec {
        kind: BlockKind::Notes,
        word: "notes",
        takes: &[],
        optional: 0,
        clauses: &[],
        entries: &[],
        items: None,
        queries: true,
        repeats: true,
        doc: "Prose and queries.",
    },
    BlockSpec {
        kind: BlockKind::Gyle,
        word: "gyle",
        takes: &[Id, Str],
        optional: 0,
        clauses: &[
            clause(ClauseWord::Of, &[Str]),
            clause(ClauseWord::On, &[DateSlot]),
            clause(ClauseWord::Planned, &[DateSlot, ClockSlot]),
        ],
        entries: &[
            entry(Keyword::Strike, &[TEMP], "Strike water temperature."),
            entry(Keyword::MashIn, &[TEMP], "Mash temperature after mashing in."),
            entry(Keyword::Rest, &[TEMP], "Temperature of a rest.").clauses(&[FOR_TIME]),
            entry(Keyword::MashOut, &[TEMP], "End of the mash.").optional(1),
            entry(Keyword::Ph, &[Of(&[Kind::Ph])], "A pH reading, with the temperature of the sample.")
                .clauses(&[AT_TEMP]),
            entry(
                Keyword::Add,
                &[Of(&[Kind::Mass, Kind::Volume, Kind::Count, Kind::Cells]), Ref(BlockKind::Addition)],
                "Something added.",
            )
            .clauses(&[clause(
                ClauseWord::To,
                &[Word(&["mash", "sparge", "kettle", "fermenter", "barrel"])],
            )]),
            entry(
                Keyword::Instead,
                &[AMOUNT, Ref(BlockKind::Addition)],
                "Something used in place of what the recipe says.",
            )
            .clauses(&[clause(ClauseWord::For, &[Words])]),
            entry(Keyword::Weigh, &[AMOUNT, Ref(BlockKind::Malt)], "What was weighed out."),
            entry(Keyword::Iodine, &[Text], "Iodine test and its result.").optional(1),
            entry(Keyword::FirstRunnings, &[GRAVITY], "Gravity of the first runnings."),
            entry(Keyword::LastRunnings, &[GRAVITY], "Gravity of the last runnings."),
            entry(Keyword::Volume, &[VOLUME], "A volume read.")
                .clauses(&[clause(ClauseWord::In, &[Word(&["kettle", "fermenter"])])]),
            entry(Keyword::PreBoil, &[VOLUME], "Volume and gravity before the boil.").clauses(&[AT_GRAVITY]),
            entry(Keyword::BoilStart, &[], "The boil begins."),
            entry(Keyword::BoilEnd, &[], "The boil ends."),
            entry(Keyword::Flameout, &[], "The heat is off."),
            entry(Keyword::PostBoil, &[VOLUME], "Volume and gravity after the boil.").clauses(&[AT_GRAVITY]),
            entry(Keyword::Chilled, &[TEMP], "Temperature after chilling."),
            entry(Keyword::Og, &[GRAVITY], "Original gravity and the volume in the fermenter.")
                .clauses(&[clause(ClauseWord::With, &[VOLUME])]),
            entry(Keyword::Starter, &[VOLUME], "The starter that was made.")
                .optional(1)
                .clauses(&[AT_GRAVITY]),
            entry(Keyword::Oxygen, &[Of(&[Kind::Concentration, Kind::Flow])], "Oxygen or air given.")
                .optional(1)
                .clauses(&[FOR_TIME]),
            entry(
                Keyword::Pitch,
                &[Of(&[Kind::Cells, Kind::Mass, Kind::Volume, Kind::Count]), Ref(BlockKind::Yeast)],
                "The yeast goes in; day 0.",
            )
            .optional(1)
            .clauses(&[AT_TEMP]),
            entry(Keyword::Temp, &[TEMP], "A temperature of the fermenting beer."),
            entry(Keyword::Gravity, &[GRAVITY], "A gravity, with the temperature of the sample.")
                .clauses(&[AT_TEMP]),
            entry(Keyword::Fg, &[GRAVITY], "Final gravity.").clauses(&[AT_TEMP]),
            entry(Keyword::Pressure, &[Of(&[Kind::Pressure])], "A pressure read."),
            entry(Keyword::HopsOut, &[], "Dry hops taken out."),
            entry(Keyword::Rack, &[VOLUME], "Beer moved.")
                .optional(1)
                .clauses(&[clause(ClauseWord::To, &[Words])]),
            entry(Keyword::Lost, &[VOLUME], "Beer or wort lost."),
            entry(
                Keyword::Package,
                &[VOLUME, Word(&["keg", "cask", "bottle", "can"]), CO2],
                "What was packaged, how carbonated.",
            )
            .optional(1)
            .clauses(&[
                AT_TEMP,
                clause(ClauseWord::With, &[Of(&[Kind::Mass, Kind::Dose]), Ref(BlockKind::Sugar)]),
            ]),
        ],
        items: None,
        queries: true,
        repeats: true,
        doc: "The log of one brewing: what happened when.",
    },
    BlockSpec {
        kind: BlockKind::Tasting,
        word: "tasting",
        takes: &[],
        optional: 0,
        clauses: &[clause(ClauseWord::Of, &[Id]), clause(ClauseWord::On, &[DateSlot])],
        entries: &[
            entry(Keyword::Score, &[Score], "Points given, of how many."),
            entry(Keyword::Appearance, &[Text], "How it looks."),
            entry(Keyword::Aroma, &[Text], "How it smells."),
            entry(Keyword::Flavour, &[Text], "How it tastes."),
            entry(Keyword::Mouthfeel, &[Text], "How it feels."),
            entry(Keyword::Next, &[Text], "What to do better next time."),
        ],
        items: None,
        queries: false,
        repeats: true,
        doc: "What the beer turned out like.",
    },
    BlockSpec {
        kind: BlockKind::Malt,
        word: "malt",
        takes: &[Words],
        optional: 0,
        clauses: &[],
        entries: common_fields![
            entry(
                Keyword::Extract,
                &[Of(&[Kind::Proportion, Kind::Potential])],
                "Extract, fine grind on dry basis."
            ),
            entry(Keyword::Moisture, &[PROPORTION], "Moisture."),
            entry(Keyword::Colour, &[Of(&[Kind::Colour])], "Colour of the malt."),
            entry(Keyword::DiastaticPower, &[Of(&[Kind::Diastatic])], "Diastatic power."),
            entry(Keyword::Diastatic, &[Of(&[Kind::Diastatic])], "Diastatic power."),
            entry(Keyword::Grain, &[Words], "Which cereal it is made of."),
            entry(Keyword::Form, &[Words], "What it is: base, caramel, roasted, flaked, raw and so on."),
            entry(Keyword::Gelatinises, &[TEMP], "Temperature at which its starch gelatinises."),
            entry(Keyword::MashPh, &[Of(&[Kind::Ph])], "pH of a mash of it alone in ion-free water."),
            entry(Keyword::Buffer, &[Of(&[Kind::Buffer])], "Buffering, mEq/kg a pH unit."),
            entry(Keyword::MaxShare, &[PROPORTION], "The share of a grist it is usually kept below."),
        ],
        items: None,
        queries: false,
        repeats: true,
        doc: "A malt, grain or anything else that is mashed.",
    },
    BlockSpec {
        kind: BlockKind::Sugar,
        word: "sugar",
        takes: &[Words],
        optional: 0,
        clauses: &[],
        entries: common_fields![
            entry(Keyword::Extract, &[Of(&[Kind::Proportion, Kind::Potential])], "Extract as is."),
            entry(Keyword::Fermentability, &[PROPORTION], "Share of the extract that ferments (real)."),
            entry(Keyword::Colour, &[Of(&[Kind::Colour])], "Colour."),
            entry(Keyword::Density, &[Of(&[Kind::Density])], "Density of a syrup."),
            entry(Keyword::Form, &[Words], "What it is: solid, syrup, malt-extract, fruit and so on."),
            entry(Keyword::Moisture, &[PROPORTION], "Water in it."),
        ],
        items: None,
        queries: false,
        repeats: true,
        doc: "A sugar, syrup, extract, fruit or honey.",
    },
    BlockSpec {
        kind: BlockKind::Hop,
        word: "hop",
        takes: &[Words],
        optional: 0,
        clauses: &[],
        entries: common_fields![
            entry(Keyword::Alpha, &[PROPORTION], "Alpha acids by mass."),
            entry(Keyword::Beta, &[PROPORTION], "Beta acids by mass."),
            entry(Keyword::Cohumulone, &[PROPORTION], "Share of cohumulone in the alpha acids."),
            entry(Keyword::Oil, &[Of(&[Kind::Oil])], "Oil."),
            entry(
                Keyword::Form,
                &[Word(&["leaf", "pellet", "powder", "extract", "iso"])],
                "How it is prepared."
            ),
            entry(Keyword::Crop, &[Of(&[Kind::Year])], "Year of the crop."),
            entry(Keyword::Stored, &[TEMP, Words], "How it has been stored.").optional(1),
            entry(Keyword::Loss, &[PROPORTION], "Alpha lost in six months at 20 C in air."),
            entry(Keyword::Origin, &[Words], "Where it grows."),
            entry(Keyword::Purpose, &[Words], "What it is mostly used for."),
        ],
        items: None,
        queries: false,
        repeats: true,
        doc: "A hop.",
    },
    BlockSpec {
        kind: BlockKind::Yeast,
        word: "yeast",
        takes: &[Words],
        optional: 0,
        clauses: &[],
        entries: common_fields![
            entry(Keyword::Attenuation, &[PROPORTION], "Apparent attenuation, from extract."),
            entry(Keyword::Temperature, &[TEMP], "Temperatures it likes."),
            entry(Keyword::Tolerance, &[PROPORTION], "Alcohol by volume it tolerates."),
            entry(
                Keyword::Cells,
                &[Of(&[Kind::Cells, Kind::CellsPerMass, Kind::CellsPerVolume])],
                "Cells in a pack, a gram or a millilitre."
            ),
            entry(Keyword::Flocculation, &[Words], "How well it settles."),
            entry(
                Keyword::Kind,
                &[Word(&["ale", "hybrid", "lager", "wild"])],
                "What it is, which sets the usual pitching rate."
            ),
            entry(Keyword::Diastatic, &[Chance], "Whether it ferments dextrins slowly."),
            entry(Keyword::Phenolic, &[Chance], "Whether it makes clove-like phenols."),
            entry(Keyword::Packed, &[DateSlot], "Date on the pack."),
            entry(Keyword::Harvested, &[DateSlot], "When the slurry was taken."),
            entry(Keyword::Viability, &[PROPORTION], "Share of living cells."),
            entry(Keyword::Form, &[Word(&["dry", "liquid", "slurry"])], "How it comes."),
            entry(Keyword::Species, &[Words], "Its species."),
        ],
        items: None,
        queries: false,
        repeats: true,
        doc: "A yeast, or bacteria that sour.",
    },
    BlockSpec {
        kind: BlockKind::Water,
        word: "water",
        takes: &[Words],
        optional: 0,
        clauses: &[],
        entries: common_fields![
            entry(Keyword::Calcium, &[ION], "Calcium."),
            entry(Keyword::Magnesium, &[ION], "Magnesium."),
            entry(Keyword::Sodium, &[ION], "Sodium."),
            entry(Keyword::Potassium, &[ION], "Potassium."),
            entry(Keyword::Chloride, &[ION], "Chloride."),
            entry(Keyword::Sulfate, &[ION], "Sulfate."),
            entry(Keyword::Nitrate, &[ION], "Nitrate."),
            entry(Keyword::Bicarbonate, &[ION], "Bicarbonate."),
            entry(Keyword::Carbonate, &[ION], "Carbonate, where a report gives it."),
            entry(Keyword::Alkalinity, &[Of(&[Kind::Alkalinity])], "Alkalinity."),
            entry(Keyword::Hardness, &[Of(&[Kind::Alkalinity])], "Total hardness."),
            entry(Keyword::Ph, &[Of(&[Kind::Ph])], "pH of the sample."),
            entry(Keyword::Chlorine, &[ION], "Free chlorine."),
            entry(Keyword::Chloramine, &[ION], "Chloramine, as chlorine."),
            entry(Keyword::Iron, &[ION], "Iron."),
            entry(Keyword::Reported, &[DateSlot], "Date of the report."),
            entry(Keyword::Kind, &[Words], "What it is: tap, well, historic, target and so on."),
        ],
        items: None,
        queries: false,
        repeats: true,
        doc: "A water, or a profile to aim for.",
    },
    BlockSpec {
        kind: BlockKind::Addition,
        word: "addition",
        takes: &[Words],
        optional: 0,
        clauses: &[],
        entries: common_fields![
            entry(
                Keyword::Role,
                &[Words],
                "What it does: salt, acid, fining, nutrient, enzyme, spice and so on."
            ),
            entry(Keyword::Strength, &[PROPORTION], "Strength of an acid by mass."),
            entry(Keyword::Density, &[Of(&[Kind::Density])], "Density."),
            entry(Keyword::Ions, &[Text], "Ions it brings, in mg/g: `calcium 232.8, sulfate 557.9`."),
            entry(Keyword::Dose, &[Of(&[Kind::Dose])], "The usual dose."),
            entry(Keyword::Timing, &[Text], "When it is usually added."),
            entry(Keyword::UnitMass, &[Of(&[Kind::UnitMass])], "Mass of one tablet or piece."),
        ],
        items: None,
        queries: false,
        repeats: true,
        doc: "A salt, acid, fining, nutrient, spice or other addition.",
    },
    BlockSpec {
        kind: BlockKind::BrewhouseBlock,
        word: "brewhouse",
        takes: &[Words],
        optional: 0,
        clauses: &[],
        entries: common_fields![
            entry(
                Keyword::MashEfficiency,
                &[PROPORTION],
                "Extract in the kettle over the laboratory extract."
            ),
            entry(Keyword::Evaporation, &[Of(&[Kind::Flow, Kind::Rate])], "Water that boils off."),
            entry(Keyword::TrubLoss, &[VOLUME], "Wort left in the kettle."),
            entry(Keyword::MashDeadSpace, &[VOLUME], "Wort that cannot be drawn from the tun."),
            entry(Keyword::GrainAbsorption, &[Of(&[Kind::VolumePerMass])], "Water the grain keeps."),
            entry(Keyword::HopAbsorption, &[Of(&[Kind::VolumePerMass])], "Wort the kettle hops keep."),
            entry(Keyword::TunCapacity, &[VOLUME], "What the mash tun holds."),
            entry(Keyword::KettleCapacity, &[VOLUME], "What the kettle holds."),
            entry(Keyword::FermenterCapacity, &[VOLUME], "What the fermenter holds."),
            entry(Keyword::FermenterLoss, &[VOLUME], "Beer left in the fermenter."),
            entry(Keyword::Heater, &[Of(&[Kind::Power])], "Heating power at the mash."),
            entry(Keyword::TunHeatCapacity, &[Of(&[Kind::HeatCapacity])], "Heat capacity of the tun."),
            entry(Keyword::BoilingPoint, &[TEMP], "Boiling point of water here."),
            entry(Keyword::Elevation, &[Of(&[Kind::Length])], "Height above the sea."),
            entry(Keyword::GrainTemperature, &[TEMP], "Temperature of the grain."),
            entry(
                Keyword::MashThickness,
                &[Of(&[Kind::VolumePerMass])],
                "Mash liquor to grist, where no volume is written."
            ),
            entry(
                Keyword::StandFactor,
                &[Of(&[Kind::Factor])],
                "How much more bitterness a stand gives here than the kinetics say."
            ),
            entry(Keyword::PackagingLoss, &[VOLUME], "Beer lost at packaging."),
            entry(Keyword::DryHopAbsorption, &[Of(&[Kind::VolumePerMass])], "Beer the dry hops keep."),
            entry(Keyword::SteepYield, &[PROPORTION], "Share of the laboratory extract that steeping gives."),
            entry(Keyword::Ambient, &[TEMP], "Temperature of the room."),
            entry(Keyword::HeatLoss, &[Of(&[Kind::HeatLoss])], "How fast the mash cools."),
            entry(Keyword::Hydrometer, &[TEMP], "Temperature the hydrometer is calibrated at."),
            entry(
                Keyword::RefractometerFactor,
                &[Of(&[Kind::Factor])],
                "Wort correction factor of the refractometer."
            ),
            entry(Keyword::ThermometerOffset, &[Of(&[Kind::Step])], "What the thermometer reads too high."),
            entry(
                Keyword::FermenterRating,
                &[Of(&[Kind::Pressure])],
                "Pressure the fermenter is rated for by its maker."
            ),
            entry(
                Keyword::KegRating,
                &[Of(&[Kind::Pressure])],
                "Pressure the keg is rated for by its maker."
            ),
            entry(Keyword::Room, &[Of(&[Kind::Volume])], "Volume of the room the beer ferments in."),
        ],
        items: None,
        queries: false,
        repeats: true,
        doc: "A brewhouse: its efficiency, losses, sizes and heat.",
    },
    BlockSpec {
        kind: BlockKind::Style,
        word: "style",
        takes: &[Str],
        optional: 0,
        clauses: &[],
        entries: common_fields![
            entry(Keyword::Name, &[Text], "What it is called."),
            entry(Keyword::Group, &[Text], "The group it belongs to."),
            entry(Keyword::Og, &[GRAVITY], "Original gravity."),
            entry(Keyword::Fg, &[GRAVITY], "Final gravity."),
            entry(Keyword::Abv, &[PROPORTION], "Alcohol by volume."),
            entry(Keyword::Ibu, &[Of(&[Kind::Bitterness])], "Bitterness."),
            entry(Keyword::Colour, &[Of(&[Kind::Colour])], "Colour of the beer."),
            entry(Keyword::Carbonation, &[CO2], "Carbonation."),
        ],
        items: None,
        queries: false,
        repeats: true,
        doc: "A style and the ranges most examples fall in; its code stands in quotes.",
    },
];

/// Fields whose value is text up to the next `, `, `]` or line end, in definitions and properties.
pub const TEXT_FIELDS: &[Keyword] = &[Keyword::Lot, Keyword::Source, Keyword::Note];

/// Field words that may stand in properties besides those of the definition of the thing named.
pub const PROPERTY_ONLY: &[Keyword] = &[Keyword::Glass, Keyword::Residual];

/// What the words of [`PROPERTY_ONLY`] take; nothing for a field.
#[must_use]
pub fn property_slots(keyword: Keyword) -> Option<&'static [Slot]> {
    match keyword {
        Keyword::Glass => Some(&[CO2]),
        Keyword::Residual => Some(&[TEMP]),
        _ => None,
    }
}

/// What the amount of an item line may be in a block, the likeliest first.
#[must_use]
pub const fn item_amounts(kind: BlockKind) -> &'static [Kind] {
    match kind {
        BlockKind::Grist => &[Kind::Mass, Kind::Proportion, Kind::Volume, Kind::Count],
        BlockKind::Pitch => &[Kind::Mass, Kind::Cells, Kind::Count, Kind::Volume],
        _ => &[Kind::Mass, Kind::Volume, Kind::Count, Kind::Cells],
    }
}
