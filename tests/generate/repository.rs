//! Writes repositories of varied recipes from a fixed seed, for benches and for counting findings.
//!
//! The beers are plausible: masses come from a gravity aimed at, volumes from the brewhouse, hops from a
//! usual rate. A fifth of the files carry definitions of their own, a `use` chain is three deep, and a tenth
//! of the recipes has one planted fault, named in the file's first comment.

use std::fmt::Write as _;
use std::path::Path;

/// The seed that benches and counts use.
pub const SEED: u64 = 2026;

/// A file of the repository.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Made {
    /// Path below the root, with `/`.
    pub path: String,
    /// Its text.
    pub text: String,
    /// The fault planted in it.
    pub planted: Option<Planted>,
}

/// Faults that are planted, each with the rule that has to find it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Planted {
    /// A malt misspelt.
    UnknownMalt,
    /// A decimal comma.
    DecimalComma,
    /// A hop boiled longer than the boil.
    HopLongerThanBoil,
    /// Rests in the wrong order, the cooler after the hotter.
    RestsSwapped,
    /// A unit left out.
    UnitMissing,
    /// A bottle filled beyond its rating.
    OverCarbonated,
    /// A tenth of the yeast.
    UnderPitched,
    /// Hops in kilograms.
    HopsInKilograms,
}

impl Planted {
    /// All of them.
    pub const ALL: [Self; 8] = [
        Self::UnknownMalt,
        Self::DecimalComma,
        Self::HopLongerThanBoil,
        Self::RestsSwapped,
        Self::UnitMissing,
        Self::OverCarbonated,
        Self::UnderPitched,
        Self::HopsInKilograms,
    ];

    /// The rule that has to find it.
    #[must_use]
    pub const fn rule(self) -> &'static str {
        match self {
            Self::UnknownMalt => "unknown-reference",
            Self::DecimalComma => "decimal-comma",
            Self::HopLongerThanBoil => "hop-time-exceeds-boil",
            Self::RestsSwapped => "rest-destroys-needed-enzyme",
            Self::UnitMissing => "unit-missing",
            Self::OverCarbonated => "container-over-limit",
            Self::UnderPitched => "pitch-rate-low",
            Self::HopsInKilograms => "suspicious-magnitude",
        }
    }
}

/// `SplitMix64` (Steele, Lea, Flood 2014): small, and the same on every machine.
#[derive(Clone, Debug)]
pub struct Dice(u64);

impl Dice {
    /// Dice that fall the same for the same seed.
    #[must_use]
    pub const fn new(seed: u64) -> Self {
        Self(seed)
    }
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }
    /// A number below `n`; 0 where `n` is 0.
    pub fn below(&mut self, n: usize) -> usize {
        usize::try_from(self.next() % n.max(1) as u64).unwrap_or(0)
    }
    /// One of several, of which there must be one.
    pub fn pick<'a, T>(&mut self, from: &'a [T]) -> &'a T {
        &from[self.below(from.len())]
    }
    /// A number between two.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        #[allow(clippy::cast_precision_loss)] // 53 bits are kept
        let unit = (self.next() >> 11) as f64 / (1u64 << 53) as f64;
        low + (high - low) * unit
    }
    /// Once in so many.
    pub fn chance(&mut self, one_in: usize) -> bool {
        self.below(one_in) == 0
    }
}

/// A shape of beer.
struct Shape {
    name: &'static str,
    base: &'static [&'static str],
    specials: &'static [(&'static str, f64)],
    og: (f64, f64),
    ibu: (f64, f64),
    hops: &'static [(&'static str, f64)],
    yeast: &'static str,
    rate: f64,
    ferment: (f64, f64),
    mash: Mash,
    package: Package,
    boil: u32,
}

#[derive(Clone, Copy, PartialEq)]
enum Mash {
    Single,
    Steps,
    Decoction,
    Bag,
    Extract,
    Percent,
}

#[derive(Clone, Copy, PartialEq)]
enum Package {
    Keg,
    Bottle,
    Cask,
}

const ENGLISH: &[(&str, f64)] = &[("Fuggle", 4.5), ("Golding", 5.0), ("Challenger", 7.1), ("Northdown", 8.5)];
const NOBLE: &[(&str, f64)] =
    &[("Saaz", 3.4), ("Tettnanger", 4.2), ("Perle", 7.5), ("Hallertauer Tradition", 6.0)];
const NEW_WORLD: &[(&str, f64)] =
    &[("Cascade", 6.3), ("Centennial", 10.0), ("Amarillo", 9.0), ("Simcoe", 12.5)];

const SHAPES: &[Shape] = &[
    Shape {
        name: "Bitter",
        base: &["British pale ale malt", "pale ale malt"],
        specials: &[("medium crystal malt", 0.06), ("torrefied wheat", 0.04)],
        og: (1.036, 1.044),
        ibu: (25.0, 38.0),
        hops: ENGLISH,
        yeast: "English ale, fruity",
        rate: 0.8,
        ferment: (18.0, 20.0),
        mash: Mash::Single,
        package: Package::Cask,
        boil: 60,
    },
    Shape {
        name: "Porter",
        base: &["British pale ale malt"],
        specials: &[("brown malt", 0.09), ("medium crystal malt", 0.07), ("chocolate malt", 0.04)],
        og: (1.046, 1.054),
        ibu: (22.0, 32.0),
        hops: ENGLISH,
        yeast: "English ale, fruity",
        rate: 0.8,
        ferment: (18.0, 20.0),
        mash: Mash::Single,
        package: Package::Cask,
        boil: 60,
    },
    Shape {
        name: "Stout",
        base: &["pale ale malt"],
        specials: &[("roasted barley", 0.08), ("flaked barley", 0.1)],
        og: (1.038, 1.044),
        ibu: (28.0, 40.0),
        hops: ENGLISH,
        yeast: "Irish ale",
        rate: 0.8,
        ferment: (18.0, 20.0),
        mash: Mash::Single,
        package: Package::Keg,
        boil: 60,
    },
    Shape {
        name: "Pale Ale",
        base: &["two-row pale malt", "pale ale malt"],
        specials: &[("caramel 40 malt", 0.05), ("wheat malt", 0.05)],
        og: (1.047, 1.056),
        ibu: (32.0, 46.0),
        hops: NEW_WORLD,
        yeast: "American ale, clean",
        rate: 0.8,
        ferment: (18.0, 20.0),
        mash: Mash::Single,
        package: Package::Keg,
        boil: 60,
    },
    Shape {
        name: "Pils",
        base: &["pilsner malt"],
        specials: &[("dextrin malt", 0.03)],
        og: (1.045, 1.050),
        ibu: (26.0, 36.0),
        hops: NOBLE,
        yeast: "German lager",
        rate: 1.6,
        ferment: (10.0, 12.0),
        mash: Mash::Steps,
        package: Package::Keg,
        boil: 90,
    },
    Shape {
        name: "Dark Lager",
        base: &["Munich malt"],
        specials: &[("pilsner malt", 0.3), ("dehusked roasted malt, medium", 0.02)],
        og: (1.048, 1.055),
        ibu: (18.0, 26.0),
        hops: NOBLE,
        yeast: "Bavarian lager",
        rate: 1.6,
        ferment: (10.0, 12.0),
        mash: Mash::Decoction,
        package: Package::Keg,
        boil: 90,
    },
    Shape {
        name: "Wheat Beer",
        base: &["wheat malt"],
        specials: &[("pilsner malt", 0.45)],
        og: (1.046, 1.052),
        ibu: (10.0, 15.0),
        hops: NOBLE,
        yeast: "Bavarian wheat",
        rate: 0.8,
        ferment: (18.0, 20.0),
        mash: Mash::Steps,
        package: Package::Bottle,
        boil: 90,
    },
    Shape {
        name: "Mild",
        base: &["mild ale malt"],
        specials: &[("dark crystal malt", 0.08), ("chocolate malt", 0.02)],
        og: (1.031, 1.037),
        ibu: (15.0, 22.0),
        hops: ENGLISH,
        yeast: "English ale, fruity",
        rate: 0.8,
        ferment: (18.0, 20.0),
        mash: Mash::Bag,
        package: Package::Bottle,
        boil: 60,
    },
    Shape {
        name: "Session Ale",
        base: &["pale ale malt"],
        specials: &[("flaked oats", 0.05), ("caramel 20 malt", 0.04)],
        og: (1.036, 1.042),
        ibu: (25.0, 34.0),
        hops: NEW_WORLD,
        yeast: "American ale, clean",
        rate: 0.8,
        ferment: (18.0, 20.0),
        mash: Mash::Percent,
        package: Package::Keg,
        boil: 60,
    },
    Shape {
        name: "Amber",
        base: &["dry malt extract, light"],
        specials: &[("caramel 60 malt", 0.1)],
        og: (1.045, 1.052),
        ibu: (25.0, 35.0),
        hops: NEW_WORLD,
        yeast: "American ale, clean",
        rate: 0.8,
        ferment: (18.0, 20.0),
        mash: Mash::Extract,
        package: Package::Bottle,
        boil: 60,
    },
    Shape {
        name: "Brown Ale",
        base: &["British pale ale malt"],
        specials: &[("amber malt", 0.08), ("chocolate malt", 0.03)],
        og: (1.042, 1.050),
        ibu: (20.0, 28.0),
        hops: ENGLISH,
        yeast: "English ale, dry",
        rate: 0.8,
        ferment: (18.0, 20.0),
        mash: Mash::Single,
        package: Package::Bottle,
        boil: 60,
    },
    Shape {
        name: "Cream Ale",
        base: &["two-row pale malt"],
        specials: &[("flaked corn", 0.15)],
        og: (1.044, 1.050),
        ibu: (12.0, 18.0),
        hops: NEW_WORLD,
        yeast: "American ale, clean",
        rate: 0.8,
        ferment: (17.0, 19.0),
        mash: Mash::Single,
        package: Package::Keg,
        boil: 75,
    },
];

const PLACES: &[&str] = &[
    "Breakwater",
    "Samphire",
    "Ferry Slip",
    "Saltpan",
    "Curlew",
    "Mudlark",
    "Groyne",
    "Kelp",
    "Lantern",
    "Slipway",
    "Spindrift",
    "Sandbar",
    "Tidewrack",
    "Withy",
    "Oyster Bed",
    "Harbour Bell",
    "Gull",
    "Marram",
];

/// The files of a repository with so many recipes. The same seed and number give the same bytes.
#[must_use]
pub fn repository(recipes: usize, seed: u64) -> Vec<Made> {
    let mut files = vec![
        Made {
            path: "gyle.toml".into(),
            text: "rules   = \"2026\"\nlibrary = [\"cellar/*.gyle\"]\n".into(),
            planted: None,
        },
        Made { path: "cellar/house.gyle".into(), text: HOUSE.into(), planted: None },
        Made { path: "shared/waters.gyle".into(), text: WATERS.into(), planted: None },
        Made { path: "shared/salts.gyle".into(), text: SALTS.into(), planted: None },
        Made {
            path: "shared/all.gyle".into(),
            text: "# what every recipe may take\nuse \"waters.gyle\"\n".into(),
            planted: None,
        },
    ];
    let mut dice = Dice(seed);
    for at in 0..recipes {
        files.push(recipe(at, &mut dice));
    }
    files
}

/// Writes the files below a folder, and says how many.
///
/// # Errors
/// Where a folder or a file cannot be written.
pub fn write(recipes: usize, seed: u64, folder: &Path) -> std::io::Result<usize> {
    let files = repository(recipes, seed);
    for file in &files {
        let path = folder.join(&file.path);
        if let Some(parent) = path.parent() {
            std::fs::create_dir_all(parent)?;
        }
        std::fs::write(path, &file.text)?;
    }
    Ok(files.len())
}

const HOUSE: &str = "\
brewhouse shed-30
  mash efficiency     78 %
  evaporation         3.2 L/h
  trub loss           1.5 L
  mash dead space     0.8 L
  grain absorption    0.95 L/kg
  hop absorption      5 L/kg
  tun capacity        40 L
  kettle capacity     45 L
  fermenter capacity  32 L
  fermenter loss      1.5 L
  heater              2.8 kW
  tun heat capacity   1.6 kJ/C
  boiling point       100 C
  grain temperature   18 C
";

const WATERS: &str = "\
use \"salts.gyle\"

water harbour-tap
  calcium             40 ppm
  magnesium           5 ppm
  sodium              14 ppm
  chloride            36 ppm
  sulfate             38 ppm
  alkalinity          50 ppm as CaCO3
  ph                  7.6
";

const SALTS: &str = "\
addition \"house finings\"
  like                kettle finings
  unit mass           1.25 g
";

fn number(value: f64, digits: usize) -> String {
    let text = format!("{value:.digits$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

fn line(out: &mut String, first: &str, rest: &str) {
    let width = first.chars().count();
    let blanks = if width < 10 { 10 - width } else { 2 };
    if rest.is_empty() {
        let _ = writeln!(out, "  {first}");
    } else {
        let _ = writeln!(out, "  {first}{}{rest}", " ".repeat(blanks));
    }
}

/// °P of a gravity, near enough for choosing masses.
fn plato(sg: f64) -> f64 {
    -616.868 + sg * (1111.14 + sg * (-630.272 + sg * 135.997))
}

#[allow(clippy::too_many_lines)] // one recipe top to bottom, as a brewer reads it
fn recipe(at: usize, dice: &mut Dice) -> Made {
    let shape = &SHAPES[at % SHAPES.len()];
    let planted = dice.chance(10).then(|| *dice.pick(&Planted::ALL)).filter(|fault| applies(*fault, shape));
    let name = format!("{} {} {}", dice.pick(PLACES), shape.name, at + 1);
    let batch = number(dice.between(18.0, 24.0), 0);
    let litres: f64 = batch.parse().unwrap_or(20.0);
    let og = dice.between(shape.og.0, shape.og.1);
    let extract = (litres + 1.5) * (0.997 * og + 0.0012) * plato(og) / 100.0;
    let mut out = String::with_capacity(1800);
    if let Some(fault) = planted {
        let _ = writeln!(out, "# planted: {}", fault.rule());
    }
    let own = dice.chance(5);
    let _ = writeln!(out, "use \"../../shared/all.gyle\"\n");
    if own {
        let _ = writeln!(
            out,
            "malt \"lot {at} pale malt\"\n  like                {}\n  colour              {} EBC\n  lot                 L-{at}\n",
            quoted("pale ale malt"),
            number(dice.between(4.5, 7.0), 1)
        );
    }
    let _ = writeln!(out, "recipe \"{name}\"");
    line(&mut out, "batch", &format!("{batch} L"));
    line(&mut out, "brewhouse", "shed-30");
    if shape.mash == Mash::Bag {
        line(&mut out, "tag", "no-sparge bag");
    }
    out.push('\n');
    // Grist: extract of the shares, back to masses by an average as-is yield.
    let efficiency = if shape.mash == Mash::Extract { 1.0 } else { 0.78 };
    let yield_as_is = if shape.mash == Mash::Extract { 0.95 } else { 0.775 };
    let weight = extract / efficiency / yield_as_is;
    let base = *dice.pick(shape.base);
    let base = if planted == Some(Planted::UnknownMalt) { misspelt(base) } else { base.to_owned() };
    let special_share: f64 = shape.specials.iter().map(|(_, share)| share).sum();
    let mut grain = 0.0;
    if shape.mash == Mash::Percent {
        let _ = writeln!(out, "grist to reach {og:.3}");
        line(&mut out, &format!("{} %", number((1.0 - special_share) * 100.0, 1)), &base);
        for (malt, share) in shape.specials {
            line(&mut out, &format!("{} %", number(share * 100.0, 1)), malt);
        }
        grain = weight;
    } else {
        let _ = writeln!(out, "grist");
        let first = (weight * (1.0 - special_share) * 20.0).round() / 20.0;
        let spelt = match planted {
            Some(Planted::DecimalComma) => format!("{} kg", number(first + 0.05, 2).replace('.', ",")),
            Some(Planted::UnitMissing) => number(first, 2),
            _ => format!("{} kg", number(first, 2)),
        };
        grain += first;
        let named = if own && shape.base.contains(&"pale ale malt") && planted.is_none() {
            format!("\"lot {at} pale malt\"")
        } else {
            base
        };
        line(&mut out, &spelt, &named);
        for (malt, share) in shape.specials {
            let grams = (weight * share * 100.0).round() * 10.0;
            let amount = if grams >= 1000.0 {
                format!("{} kg", number(grams / 1000.0, 2))
            } else {
                format!("{grams:.0} g")
            };
            let place =
                if shape.mash == Mash::Extract { format!("{malt} in steep") } else { (*malt).to_owned() };
            line(&mut out, &amount, &place);
            grain += grams / 1000.0;
        }
    }
    out.push('\n');
    if shape.mash == Mash::Extract {
        let _ = writeln!(out, "steep 30 min at 68 C");
        line(&mut out, "liquor", "4 L");
        out.push('\n');
    }
    let _ = writeln!(out, "liquor");
    line(&mut out, "source", "harbour-tap");
    if shape.mash != Mash::Extract {
        if shape.mash == Mash::Bag {
            line(&mut out, "no sparge", "");
        } else {
            line(&mut out, "mash", &format!("{} L", number(grain * 2.8, 1)));
        }
        line(
            &mut out,
            "add",
            &format!("{} g calcium chloride dihydrate to mash", number(dice.between(1.0, 3.0), 1)),
        );
        line(
            &mut out,
            "add",
            &format!("{} mL lactic acid [88 %] to mash", number(dice.between(1.0, 3.0), 1)),
        );
    }
    out.push('\n');
    match shape.mash {
        Mash::Single | Mash::Percent => {
            let _ = writeln!(out, "mash by infusion");
            if planted == Some(Planted::RestsSwapped) {
                line(&mut out, "rest", "72 C for 20 min");
                line(&mut out, "rest", "63 C for 40 min by direct heat");
            } else {
                line(&mut out, "rest", &format!("{} C for 60 min", number(dice.between(65.0, 68.0), 0)));
            }
            line(&mut out, "rest", "76 C for 10 min by direct heat");
            out.push('\n');
        }
        Mash::Bag => {
            let _ = writeln!(out, "mash");
            line(&mut out, "rest", "67 C for 60 min");
            out.push('\n');
        }
        Mash::Steps => {
            let _ = writeln!(out, "mash by infusion");
            let (first, second) = if planted == Some(Planted::RestsSwapped) {
                ("72 C for 20 min", "63 C for 35 min by direct heat")
            } else {
                ("63 C for 35 min", "72 C for 20 min by direct heat")
            };
            line(&mut out, "rest", first);
            line(&mut out, "rest", second);
            line(&mut out, "rest", "76 C for 10 min by direct heat");
            out.push('\n');
        }
        Mash::Decoction => {
            let _ = writeln!(out, "mash by decoction");
            line(&mut out, "rest", "63 C for 30 min \"maltose\"");
            line(&mut out, "decoct", "thick boil 15 min");
            line(&mut out, "rest", "72 C for 20 min by decoction");
            line(&mut out, "rest", "76 C for 10 min by direct heat");
            out.push('\n');
        }
        Mash::Extract => {}
    }
    let boil = shape.boil;
    let _ = writeln!(out, "boil {boil} min");
    let ibu = dice.between(shape.ibu.0, shape.ibu.1);
    let (bitter, alpha) = *dice.pick(shape.hops);
    // A utilisation of about a fifth at 60 min sets the mass; half again for late hops.
    let bittering = (ibu * 0.75 * litres / (10.0 * alpha * 0.225)).round();
    let bitter_amount = if planted == Some(Planted::HopsInKilograms) {
        format!("{} kg", number(bittering / 10.0, 1))
    } else {
        format!("{bittering:.0} g")
    };
    let minutes = if planted == Some(Planted::HopLongerThanBoil) { boil + 30 } else { 60 };
    line(&mut out, &bitter_amount, &format!("{bitter} [alpha {} %] at {minutes} min", number(alpha, 1)));
    let (late, late_alpha) = *dice.pick(shape.hops);
    let late_grams = (ibu * 0.25 * litres / (10.0 * late_alpha * 0.10)).round().max(5.0);
    line(
        &mut out,
        &format!("{late_grams:.0} g"),
        &format!("{late} [alpha {} %] at 15 min", number(late_alpha, 1)),
    );
    if dice.chance(2) {
        line(&mut out, "1 tablet", "\"house finings\" at 10 min");
    }
    out.push('\n');
    let dry = shape.hops == NEW_WORLD && dice.chance(2);
    if dry {
        let _ = writeln!(out, "stand 15 min at 80 C");
        line(&mut out, "25 g", "Cascade [6.3 %]");
        out.push('\n');
    }
    let _ = writeln!(out, "pitch");
    let cells = shape.rate * litres * plato(og);
    let cells = if planted == Some(Planted::UnderPitched) { cells * 0.1 } else { cells };
    line(&mut out, &format!("{:.0} billion cells", (cells / 5.0).ceil() * 5.0), &quoted(shape.yeast));
    let degrees = dice.between(shape.ferment.0, shape.ferment.1).round();
    line(&mut out, "at", &format!("{degrees:.0} C"));
    line(&mut out, "oxygen", "9 ppm");
    out.push('\n');
    let _ = writeln!(out, "ferment");
    line(&mut out, "hold", &format!("{degrees:.0} C for {} d", if shape.rate > 1.0 { 12 } else { 6 }));
    if shape.rate > 1.0 {
        line(&mut out, "raise", "to 16 C over 1 d for 3 d");
        line(&mut out, "cool", "to 1 C over 8 d for 4 week");
    } else {
        line(&mut out, "raise", &format!("to {:.0} C for 4 d", degrees + 1.0));
    }
    if dry {
        line(&mut out, "50 g", "Amarillo on day 5 for 3 d");
    }
    out.push('\n');
    let _ = writeln!(out, "package");
    match shape.package {
        _ if planted == Some(Planted::OverCarbonated) => {
            line(&mut out, "bottle", "5.6 vol [glass 3.0 vol] at 20 C with sucrose")
        }
        Package::Keg => line(&mut out, "keg", "2.4 vol at 5 C"),
        Package::Cask => line(&mut out, "cask", "1.6 vol at 12 C"),
        Package::Bottle => line(&mut out, "bottle", "2.4 vol [glass 3.5 vol] at 20 C with sucrose"),
    }
    out.push('\n');
    let _ = writeln!(out, "notes\n  | {name}: written for {batch} L.");
    let folder = at / 200;
    Made {
        path: format!("recipes/{folder:03}/{}.gyle", name.to_lowercase().replace(' ', "-")),
        text: out,
        planted,
    }
}

fn applies(fault: Planted, shape: &Shape) -> bool {
    match fault {
        Planted::RestsSwapped => matches!(shape.mash, Mash::Single | Mash::Percent | Mash::Steps),
        Planted::DecimalComma | Planted::UnitMissing => shape.mash != Mash::Percent,
        _ => true,
    }
}

/// A name with two letters swapped.
fn misspelt(name: &str) -> String {
    let mut letters: Vec<char> = name.chars().collect();
    let middle = letters.len() / 2;
    if letters.len() > 3 {
        letters.swap(middle, middle + 1);
        if letters[middle] == letters[middle + 1] {
            letters.remove(middle);
        }
    }
    letters.into_iter().collect()
}

/// A name in quotes where a comma would end it.
fn quoted(name: &str) -> String {
    if name.contains(',') { format!("\"{name}\"") } else { name.to_owned() }
}
