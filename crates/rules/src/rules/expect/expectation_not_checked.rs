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
    catches: "A line of `expect` whose figure cannot be computed.",
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
    limits: "Silent while a line that the figure depends on cannot be read: that line is reported instead. A name that no figure has, and values \
             that do not go together, are errors of their own: `unknown-reference`, `unit-wrong-dimension`.",
    sources: "Logic; no outside source.",
};

struct NotChecked {
    figure: Box<str>,
    reason: String,
}

fn check(cx: &RecipeCx, hits: &mut Hits) {
    for (expectation, named) in cx.part().expect.iter().zip(cx.expected()) {
        match &expectation.test {
            Test::Within { figure, .. } => {
                let Some(id) = *named else { continue };
                if let Err(missing) = cx.calc.value(id)
                    && !(missing.cycle || water_profile_missed::judges(id) && cx.recipe.liquor.source.is_some())
                {
                    hits.recipe(
                        Grade::HINT,
                        expectation.place,
                        NotChecked { figure: figure.clone(), reason: missing.reason.into_owned() },
                    );
                }
            }
            Test::Condition { sides } => {
                if let Err(missing) = crate::expected::condition(cx, expectation.place, sides)
                    && !missing.cycle
                    && cx.calc.expectation_error(expectation).is_none()
                {
                    hits.recipe(
                        Grade::HINT,
                        expectation.place,
                        NotChecked { figure: "this condition".into(), reason: missing.reason.into_owned() },
                    );
                }
            }
        }
    }
}

impl Detail for NotChecked {
    fn message(&self, _say: Say) -> Message {
        Message::new(
            format!("{} cannot be checked: {}", self.figure, self.reason),
            "a test that is not made says nothing about the beer",
            "write what is missing, or take the line out of `expect`",
        )
    }
}
