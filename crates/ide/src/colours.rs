//! The colours of beer and malt as a screen shows them.

use brewing::colour::{self, spectrum};
use figures::{Calc, FigureId};
use quantity::typed::{Ebc, Length};
use quantity::{UnitId, format_value};
use recipe::Place;
use syntax::Span;
use syntax::vocabulary::{BlockKind, Keyword};
use workspace::{AnalysedRecipe, Analysis, Workspace};

use crate::hints::HintKind;

/// How much of it the light passes, in metres: a small glass. Common practice, no source; the published
/// tables have 1 cm and 5 cm.
const DEPTH: f64 = 0.05;

/// A colour beside a name.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Swatch {
    /// The name of a malt, a sugar or a beer, in bytes of the file.
    pub span: Span,
    /// Its colour in EBC.
    pub ebc: f64,
    /// Red, green and blue of the screen (sRGB).
    pub channels: [u8; 3],
}

impl Swatch {
    /// The colour as a brewer says it: `12 EBC`.
    #[must_use]
    pub fn label(&self) -> String {
        format!("{} {}", format_value(self.ebc, UnitId::EBC), UnitId::EBC)
    }
}

/// The colours of a file, in the order of the text: of each malt or sugar of a grist the colour of a
/// laboratory wort of it, of each recipe that of its beer, both through 5 cm before white. Nothing where a colour
/// is not known, or a line it depends on cannot be read.
#[must_use]
pub fn swatches(workspace: &Workspace, analysis: &Analysis) -> Vec<Swatch> {
    let Some(state) = workspace.file(analysis.file) else { return Vec::new() };
    let mut found = Vec::new();
    for one in &analysis.recipes {
        let recipe = &one.recipe;
        if HintKind::Colour.is_whole(recipe)
            && let Ok(ebc) = Calc::new(recipe, &state.config.figures).value(FigureId::Colour)
        {
            found.extend(swatch(one, recipe.name_place, ebc));
        }
        for line in &recipe.grist {
            let fermentable = matches!(line.thing.kind(), Some(BlockKind::Malt | BlockKind::Sugar));
            if let Some(given) = line.thing.number(Keyword::Colour).filter(|_| fermentable) {
                found.extend(swatch(one, line.thing.place, given.value.value));
            }
        }
    }
    found.sort_by_key(|swatch| swatch.span.start);
    found
}

fn swatch(one: &AnalysedRecipe, place: Place, ebc: f64) -> Option<Swatch> {
    let start = one.starts.get(usize::from(place.block))?;
    let span = place.span.shift(*start);
    let channels = spectrum::srgb(colour::srm(Ebc::from_ebc(ebc)), Length::from_metres(DEPTH)).channels;
    (!span.is_empty()).then_some(Swatch { span, ebc, channels })
}

#[cfg(test)]
mod tests {
    use crate::fixture::{CELLAR, Fixture};

    use super::*;

    #[test]
    fn malts_and_beers_have_colours() {
        let text = "# é\nrecipe \"Größe 🌾\"\n  batch 20 L\ngrist\n  4 kg floor malt\n  200 g é malt [1000 EBC]\n  \
            300 g nothing known\n  4 g Fuggle [5 EBC]\n";
        let fixture = Fixture::with(text, &[CELLAR]);
        let seen: Vec<(&str, f64, [u8; 3])> = swatches(&fixture.workspace, &fixture.analysis())
            .into_iter()
            .map(|one| (one.span.of(text), one.ebc, one.channels))
            .collect();
        // A malt of 5 EBC has the 2.54 SRM between the two rows of the published table, 2 SRM (244, 209, 128)
        // and 3 SRM (238, 189, 85).
        let (name, ebc, [red, green, blue]) =
            seen.iter().find(|one| one.0 == "floor malt").copied().unwrap_or_default();
        assert_eq!((name, ebc), ("floor malt", 5.0));
        assert!(
            (238..244).contains(&red) && (189..209).contains(&green) && (85..128).contains(&blue),
            "{seen:?}"
        );
        assert!(!seen.iter().any(|one| one.0.contains("Fuggle") || one.0.contains("nothing")), "{seen:?}");
    }

    #[test]
    fn a_line_that_cannot_be_read_hides_the_beer() {
        let beer = "recipe \"É\"\n  batch 20 L\n  brewhouse b\ngrist\n  4 kg pale ale malt\n";
        let house = "boil 60 min\nbrewhouse b\n  mash efficiency 75 %\n  evaporation 3 L/h\n";
        for (line, beers) in [("", 1), ("  1 kg é [[3\n", 0)] {
            let text = format!("{beer}{line}{house}");
            let fixture = Fixture::new(&text);
            let seen = swatches(&fixture.workspace, &fixture.analysis());
            assert_eq!(seen.iter().filter(|one| one.span.of(&text) == "É").count(), beers, "{text}");
        }
    }
}
