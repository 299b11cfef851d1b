//! An expectation that cannot be checked.

use recipe::Test;

use crate::prelude::*;
use crate::rules::liquor::water_profile_missed;

pub(crate) static RULE: Rule =
    Rule::new("expectation-not-checked", Group::Expect, Level::Hint, Check::Part(check), DOC).whole(&[
        BlockKind::Recipe,
        BlockKind::Grist,
        BlockKind::Liquor,
        BlockKind::Mash,
        BlockKind::Boil,
        BlockKind::Stand,
        BlockKind::Pitch,
    ]);

const DOC: Doc = Doc {
    catches: "A line of `expect` whose figure is not known or cannot be computed.",
    matters: "A test that cannot be made must not pass in silence.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
expect
  fg        1.010..1.014"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
grist
  4 kg      pale ale malt
pitch
  170 billion cells  English ale yeast [72 %]
expect
  fg        1.010..1.014"#,
    limits: "Silent while a line that the figure depends on cannot be read: that line is reported instead.",
    sources: "Logic; no outside source.",
};

struct NotChecked {
    figure: Box<str>,
    reason: String,
    nearest: Option<String>,
    place: Place,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    for (expectation, named) in cx.part().expect.iter().zip(cx.expected()) {
        match &expectation.test {
            Test::Within { figure, figure_place, .. } => {
                let Some(id) = *named else {
                    let wanted = figure.to_lowercase();
                    let near = FigureId::ALL
                        .iter()
                        .map(|id| (strsim::damerau_levenshtein(&wanted, &id.words()), id.words()))
                        .filter(|(distance, _)| *distance <= (wanted.chars().count() / 3).clamp(1, 4))
                        .min_by_key(|(distance, _)| *distance)
                        .map(|(_, words)| words);
                    let reason = format!("no figure is called {figure}");
                    hits.recipe(
                        Grade::HINT,
                        *figure_place,
                        NotChecked { figure: figure.clone(), reason, nearest: near, place: *figure_place },
                    );
                    continue;
                };
                if let Err(missing) = cx.calc.value(id)
                    && !(missing.cycle || water_profile_missed::judges(id) && cx.recipe.liquor.source.is_some())
                {
                    hits.recipe(
                        Grade::HINT,
                        expectation.place,
                        NotChecked {
                            figure: figure.clone(),
                            reason: missing.reason.into_owned(),
                            nearest: None,
                            place: *figure_place,
                        },
                    );
                }
            }
            Test::Condition { sides } => {
                if let Err(missing) = crate::expected::condition(cx, expectation.place, sides)
                    && !missing.cycle
                {
                    hits.recipe(
                        Grade::HINT,
                        expectation.place,
                        NotChecked {
                            figure: "this condition".into(),
                            reason: missing.reason.into_owned(),
                            nearest: None,
                            place: expectation.place,
                        },
                    );
                }
            }
        }
    }
}

impl Detail for NotChecked {
    fn message(&self, _say: Say) -> Message {
        match &self.nearest {
            Some(near) => Message::new(
                self.reason.clone(),
                "so this expectation is not checked",
                format!("did you mean {near}?"),
            ),
            None => Message::new(
                format!("{} cannot be checked: {}", self.figure, self.reason),
                "a test that is not made says nothing about the beer",
                "write what is missing, or take the line out of `expect`",
            ),
        }
    }
    fn fixes(&self, _texts: &Texts<'_>, _say: Say) -> Vec<Mend> {
        let near = self.nearest.as_ref();
        near.map(|near| Mend::proposed(format!("write {near}"), At::Recipe(self.place), near.clone()))
            .into_iter()
            .collect()
    }
}
