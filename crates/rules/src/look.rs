//! Questions that several rules ask of a recipe.

use recipe::{GristLine, Joins, LetterPairs, MashStep, Place, Recipe, Thing};
use syntax::vocabulary::{BlockKind, Keyword};

use crate::cx::RecipeCx;

/// A word to look for, with what most texts can be told by to be without it.
#[derive(Clone, Copy)]
pub(crate) struct Word {
    letters: &'static str,
    pairs: LetterPairs,
}

/// Words to look for, in lower case: `const { &any_of(["wheat", "rye"]) }` is made by the compiler.
pub(crate) const fn any_of<const COUNT: usize>(words: [&'static str; COUNT]) -> [Word; COUNT] {
    let mut made = [Word { letters: "", pairs: LetterPairs::of("") }; COUNT];
    let mut at = 0;
    while at < COUNT {
        made[at] = Word { letters: words[at], pairs: LetterPairs::of(words[at]) };
        at += 1;
    }
    made
}

/// Texts to look for words in, whatever their case.
#[derive(Clone, Copy)]
pub(crate) struct Words<'a> {
    /// What stands on the line.
    own: &'a str,
    /// What its definition says, and that has these pairs of letters.
    defined: [&'a str; 2],
    pairs: LetterPairs,
}

impl<'a> Words<'a> {
    fn new(thing: &'a Thing, own: &'a str, defined: [&'a str; 2]) -> Self {
        let pairs = thing.definition.as_ref().map_or_else(LetterPairs::default, |found| found.letter_pairs());
        debug_assert!(
            defined.iter().all(|text| pairs.may_hold(LetterPairs::of(text))),
            "{defined:?} is no text whose letters the definition knows"
        );
        Self { own, defined, pairs }
    }

    /// Whether one of the texts has these letters in it; `letters` are in lower case.
    // Always inlined, so that the pairs of a word that stands in the source are found by the compiler.
    #[inline(always)]
    pub(crate) fn contains(self, letters: &str) -> bool {
        self.find(letters, LetterPairs::of(letters), |_, _| true)
    }

    /// Whether one of the texts has one of these words in it.
    pub(crate) fn contains_any(self, words: &[Word]) -> bool {
        words.iter().any(|word| self.find(word.letters, word.pairs, |_, _| true))
    }

    /// Whether one of the texts has a word that begins with these letters.
    pub(crate) fn begins_word(self, letters: &str) -> bool {
        self.find(letters, LetterPairs::of(letters), |text, at| {
            !at.checked_sub(1).is_some_and(|before| text[before].is_ascii_alphanumeric())
        })
    }

    #[inline(always)]
    fn find(self, letters: &str, pairs: LetterPairs, fits: impl Fn(&[u8], usize) -> bool + Copy) -> bool {
        // Most words are in none of the texts, and have a pair of letters that is in none.
        stands_in(self.own, letters, fits)
            || self.pairs.may_hold(pairs)
                && self.defined.into_iter().any(|text| stands_in(text, letters, fits))
    }
}

fn stands_in(text: &str, letters: &str, fits: impl Fn(&[u8], usize) -> bool) -> bool {
    let (text, letters) = (text.as_bytes(), letters.as_bytes());
    let Some(&first) = letters.first() else { return false };
    text.windows(letters.len()).enumerate().any(|(at, window)| {
        // Capitals differ from small letters by one bit.
        window[0] | 0x20 == first && window.eq_ignore_ascii_case(letters) && fits(text, at)
    })
}

fn words(thing: &Thing, key: Keyword) -> Words<'_> {
    let said = thing.words(key).unwrap_or("");
    if thing.own.iter().any(|fact| fact.key == key) {
        Words::new(thing, said, ["", ""])
    } else {
        Words::new(thing, "", [said, ""])
    }
}

/// What the `form` of a thing says; nothing where it says nothing.
pub(crate) fn form(thing: &Thing) -> Words<'_> {
    words(thing, Keyword::Form)
}

/// What the `grain` of a malt says.
pub(crate) fn grain(thing: &Thing) -> Words<'_> {
    words(thing, Keyword::Grain)
}

/// What the `role` of an addition says.
pub(crate) fn role(thing: &Thing) -> Words<'_> {
    words(thing, Keyword::Role)
}

/// Its names: as written, of its definition, of what that goes back to.
pub(crate) fn names(thing: &Thing) -> Words<'_> {
    let mut names = thing.names();
    let mut next = || names.next().unwrap_or("");
    let (written, defined) = (next(), [next(), next()]);
    // As it is called by its definition it is looked through once.
    Words::new(thing, if defined.contains(&written) { "" } else { written }, defined)
}

/// The name as it stands in a sentence: in quotes where it has a comma of its own.
pub(crate) fn spoken(thing: &Thing) -> Box<str> {
    if thing.name.contains(',') { format!("\"{}\"", thing.name).into() } else { thing.name.clone() }
}

/// Whether a brewhouse is named that is known, or the recipe states something of its own.
pub(crate) fn names_house(recipe: &Recipe) -> bool {
    recipe.brewhouse.as_ref().is_some_and(|house| house.definition.is_some() || !house.own.is_empty())
}

/// The hop that brings most of the bitterness, and how much, IBU.
pub(crate) fn bitterest(cx: &RecipeCx) -> Option<(Place, f64)> {
    let lines = cx.calc.hop_lines().ok()?;
    lines.iter().max_by(|a, b| a.ibu.total_cmp(&b.ibu)).map(|line| (line.place, line.ibu))
}

/// Whether a line goes through the mash.
pub(crate) fn is_mashed(line: &GristLine) -> bool {
    matches!(line.joins, Joins::Mash | Joins::Cook) && line.thing.kind() == Some(BlockKind::Malt)
}

/// Whether a malt was never malted: raw, flaked, torrefied.
pub(crate) fn is_unmalted(thing: &Thing) -> bool {
    let form = form(thing);
    form.contains_any(const { &any_of(["raw", "flaked", "torrefied", "torrified", "adjunct"]) })
}

/// Whether a malt is roasted, by its form or its colour.
pub(crate) fn is_roasted(thing: &Thing) -> bool {
    colour(thing).is_some_and(|ebc| ebc >= 500.0)
        || (form(thing).contains("roast") && colour(thing).is_none_or(|ebc| ebc >= 300.0))
}

/// Colour of a malt, EBC.
pub(crate) fn colour(thing: &Thing) -> Option<f64> {
    Some(thing.number(Keyword::Colour)?.value.value)
}

/// Hulls and the like: no starch, no extract.
pub(crate) fn is_hulls(thing: &Thing) -> bool {
    names(thing).contains("hull") || names(thing).contains("husk")
}

/// Whether something is an enzyme.
pub(crate) fn is_enzyme(thing: &Thing) -> bool {
    role(thing).contains("enzyme")
}

/// Whether anything added to mash, kettle or beer is an enzyme.
pub(crate) fn has_enzyme(recipe: &Recipe) -> bool {
    let water = recipe.liquor.additions.iter().map(|line| &line.thing);
    let kettle = recipe.additions.iter().map(|line| &line.thing);
    let cold = recipe.parts.iter().flat_map(|part| part.ferment.additions.iter().map(|line| &line.thing));
    water.chain(kettle).chain(cold).any(is_enzyme)
}

/// Mass of the mashed lines for which something holds, over that of all mashed lines, parts of one, and the
/// heaviest such line.
pub(crate) fn mashed_share(cx: &RecipeCx, wanted: impl Fn(&GristLine) -> bool) -> Option<(f64, Place)> {
    let (mut all, mut some) = (0.0, 0.0);
    let mut heaviest: Option<(f64, Place)> = None;
    for (line, part) in cx.recipe.grist.iter().zip(cx.grist()) {
        if !is_mashed(line) {
            continue;
        }
        let kg = part.mass?;
        all += kg;
        if wanted(line) {
            some += kg;
            if heaviest.is_none_or(|(most, _)| kg > most) {
                heaviest = Some((kg, line.place));
            }
        }
    }
    let (_, place) = heaviest?;
    (all > 0.0).then_some((some / all, place))
}

/// The rests of the main mash: place, °C, minutes.
pub(crate) fn rests(recipe: &Recipe) -> impl Iterator<Item = (Place, f64, Option<f64>)> {
    recipe.mash.steps.iter().filter_map(|step| match step {
        MashStep::Rest { place, temperature, time, .. } => {
            Some((*place, temperature.value, time.as_ref().map(|time| time.value)))
        }
        _ => None,
    })
}

/// Whether any malt is mashed.
pub(crate) fn mashes(recipe: &Recipe) -> bool {
    recipe.grist.iter().any(is_mashed)
}

/// A number of the brewhouse, with what the recipe overrides.
pub(crate) fn house(recipe: &Recipe, key: Keyword) -> Option<f64> {
    Some(recipe.brewhouse.as_ref()?.number(key)?.value.value)
}

/// Whether the yeast is of a kind (`ale`, `hybrid`, `lager`, `wild`).
pub(crate) fn yeast_is(cx: &RecipeCx, kind: &str) -> bool {
    cx.part().pitch.lines.iter().any(|line| line.thing.words(Keyword::Kind) == Some(kind))
}

/// Whether the beer is meant to have little alcohol: by its tag, or by a yeast that leaves most of the sugar.
pub(crate) fn is_low_alcohol(cx: &RecipeCx) -> bool {
    let leaves_most = |line: &recipe::PitchLine| {
        line.thing.number(Keyword::Attenuation).is_some_and(|given| given.value.value < 0.4)
    };
    let lines = &cx.part().pitch.lines;
    cx.tagged("low-alcohol") || (!lines.is_empty() && lines.iter().all(leaves_most))
}

/// Mass of an amount written as one, kg.
pub(crate) fn kg(amount: &recipe::Amount) -> Option<f64> {
    match amount {
        recipe::Amount::Of(quant) if quant.unit?.dimension() == quantity::Dimension::Mass => {
            Some(quant.value)
        }
        _ => None,
    }
}

/// Volume of an amount written as one, L.
pub(crate) fn litres(amount: &recipe::Amount) -> Option<f64> {
    match amount {
        recipe::Amount::Of(quant) if quant.unit?.dimension() == quantity::Dimension::Volume => {
            Some(quant.value)
        }
        _ => None,
    }
}
