//! Expressions: amounts, queries and conditions that are computed.

use quantity::display::{Places, format_places};
use quantity::{Dimension, Quantity, UnitId, Value};
use recipe::{Amount, Expectation, Place, Test, Thing};
use syntax::Span;
use syntax::ast::{Block, Expr, ExprKind, Relation};
use syntax::vocabulary::BlockKind;

use crate::calc::Calc;
use crate::calc::amounts::Measured;
use crate::figure::Missing;
use crate::id::FigureId;
use crate::settings::ShownUnits;
use crate::show::Show;

/// Why an expression has no value.
#[derive(Clone, Debug, PartialEq)]
pub struct ExprError {
    /// The part of it that is to blame, relative to the block it stands in.
    pub span: Span,
    /// The reason.
    pub missing: Missing,
    /// What is to blame.
    pub blame: Blame,
}

/// What is to blame when an expression has no value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Blame {
    /// A figure that cannot be computed: the expression is sound.
    Figure,
    /// A name that nobody knows.
    Name,
    /// What is done with its values.
    Expression,
}

/// How deep one named value may lead to another.
const DEEPEST: usize = 64;

impl Calc<'_> {
    /// The value of an expression that stands in a block.
    ///
    /// # Errors
    /// Where a figure in it cannot be computed, a name is not known, or the units do not go together.
    pub fn evaluate(&self, expr: &Expr, block: &Block) -> Result<Value, ExprError> {
        let customary = self.recipe.customary.or(self.settings.customary);
        recipe::evaluate(expr, &block.text, customary, &mut Figures(self)).map_err(|error| {
            error.reason().map_or_else(
                |error| error,
                |(reason, span)| ExprError {
                    span,
                    missing: Missing::since(reason),
                    blame: Blame::Expression,
                },
            )
        })
    }

    /// The value of a question as it is shown: a figure asked for by its name with the figure's own digits.
    ///
    /// # Errors
    /// As for [`Calc::evaluate`]; the value is also missing where its unit has no name.
    pub fn answer(&self, expr: &Expr, block: &Block, units: ShownUnits) -> Result<String, ExprError> {
        if let Some(id) = FigureId::from_words(block.slice(expr.span)) {
            let asked = |missing| ExprError { span: expr.span, missing, blame: Blame::Figure };
            return Ok(id.show().shown(self.value(id).map_err(asked)?, units));
        }
        let unnamed = || ExprError {
            span: expr.span,
            missing: Missing::because("its unit is none that amounts are written in"),
            blame: Blame::Expression,
        };
        let quantity = self.evaluate(expr, block)?.quantity().ok_or_else(unnamed)?;
        if quantity.unit == UnitId::BARE {
            let finite = quantity.value.is_finite();
            return finite.then(|| format_places(quantity.value, Places::Significant(4))).ok_or_else(unnamed);
        }
        quantity::display::show(quantity, units.table()).map_err(|_| unnamed())
    }

    /// The value of a name: of the recipe's and the file's own first, then of a figure.
    fn named_value(&self, name: &str, span: Span) -> Result<Value, ExprError> {
        let own = self.recipe.lets.iter().position(|value| same_name(&value.name, name));
        if let Some(at) = own {
            return self.let_value(at, span);
        }
        let (figure, points) = match name.strip_suffix(".points").or_else(|| name.strip_suffix("-points")) {
            Some(figure) => (figure, true),
            None => (name, false),
        };
        if let Some(id) = FigureId::from_words(figure) {
            let value =
                self.value(id).map_err(|missing| ExprError { span, missing, blame: Blame::Figure })?;
            return if points {
                Ok(Value::number((value - 1.0) * 1000.0))
            } else {
                Ok(figure_value(id, value))
            };
        }
        let folded = catalogue_fold(name);
        let known = match folded.as_str() {
            "batch" => Some(FigureId::BatchVolume),
            "grist" => Some(FigureId::GristWeight),
            _ => None,
        };
        if let Some(id) = known {
            let value =
                self.value(id).map_err(|missing| ExprError { span, missing, blame: Blame::Figure })?;
            return Ok(figure_value(id, value));
        }
        if folded == "boil time" {
            return Ok(Value::of(Dimension::Time, self.boil_time()));
        }
        Err(ExprError {
            span,
            missing: Missing::since(format!("`{name}` is no figure and no named value of this recipe")),
            blame: Blame::Name,
        })
    }

    fn let_value(&self, at: usize, span: Span) -> Result<Value, ExprError> {
        let value = &self.recipe.lets[at];
        let circle = self.lets_busy.borrow().contains(&at);
        if circle || self.lets_busy.borrow().len() > DEEPEST {
            let way: Vec<String> =
                self.lets_busy.borrow().iter().map(|at| self.recipe.lets[*at].name.to_string()).collect();
            return Err(ExprError {
                span,
                missing: Missing {
                    reason: format!("`{}` depends on itself: {} and back", value.name, way.join(", then "))
                        .into(),
                    cycle: true,
                    place: value.place,
                },
                blame: Blame::Expression,
            });
        }
        self.lets_busy.borrow_mut().push(at);
        let made = self.evaluate(&value.expr, &value.block);
        self.lets_busy.borrow_mut().pop();
        // What is wrong inside it stands elsewhere; here the name is to blame.
        made.map_err(|error| ExprError { span, ..error })
    }

    /// What is wrong with the expressions of the recipe themselves: names nobody knows, and values that do not
    /// go together or are no amount. A figure that is missing for another reason is not among them.
    #[must_use]
    pub fn expression_errors(&self) -> Vec<(u16, ExprError)> {
        let recipe = self.recipe;
        let own = recipe.lets.iter().filter_map(|value| Some((value.place?.block, &value.expr, None)));
        let asked = recipe.queries.iter().map(|query| (query.place.block, &query.expr, None));
        let amounts = self.amounts().filter_map(|(place, amount, dimensions)| match amount {
            Amount::Expr(expr) => Some((place.block, expr, Some(dimensions))),
            _ => None,
        });
        let mut errors: Vec<(u16, ExprError)> = Vec::new();
        for (at, expr, dimensions) in own.chain(asked).chain(amounts) {
            let Some(block) = recipe.blocks.get(usize::from(at)) else { continue };
            let error = match (self.evaluate(expr, block), dimensions) {
                (Err(error), _) if error.blame != Blame::Figure && !error.missing.cycle => error,
                (Ok(value), Some(dimensions)) => {
                    let found = value.named().map(|(dimension, _)| dimension);
                    if found.is_some_and(|found| dimensions.contains(&found)) {
                        continue;
                    }
                    let wanted: Vec<&str> = dimensions.iter().map(|one| one.name()).collect();
                    let reason = format!(
                        "{} comes out, and the amount here is {}",
                        value.kind.describe(),
                        wanted.join(" or ")
                    );
                    ExprError { span: expr.span, missing: Missing::since(reason), blame: Blame::Expression }
                }
                _ => continue,
            };
            errors.push((at, error));
        }
        let expected = self.part().expect.iter();
        errors.extend(expected.filter_map(|one| Some((one.place.block, self.expectation_error(one)?))));
        errors
    }

    /// What is wrong with an expectation itself: a name nobody knows, or values that do not go together. One
    /// that cannot be checked for another reason is sound.
    #[must_use]
    pub fn expectation_error(&self, expectation: &Expectation) -> Option<ExprError> {
        let block = self.recipe.blocks.get(usize::from(expectation.place.block))?;
        match &expectation.test {
            Test::Within { figure, figure_place, low, high, .. } => {
                let Some(id) = FigureId::from_words(figure) else {
                    let missing = Missing::since(format!("`{figure}` is no figure"));
                    return Some(ExprError { span: figure_place.span, missing, blame: Blame::Name });
                };
                let wrong = [low, high].into_iter().flatten().find_map(|bound| {
                    let found = bound.unit.map_or(Dimension::Number, UnitId::dimension);
                    let fits = found == Dimension::Number || id.show().dimensions().contains(&found);
                    (!fits).then_some(found)
                })?;
                let wanted = id.show().dimensions().first().unwrap_or(&Dimension::Number);
                let reason = format!("{} is {}, and {} is written", id.words(), wanted.name(), wrong.name());
                let entry = block
                    .entries()
                    .map(|(_, entry)| entry)
                    .find(|entry| entry.span == expectation.place.span);
                let span =
                    entry.and_then(|entry| entry.value()).map_or(expectation.place.span, |value| value.span);
                Some(ExprError { span, missing: Missing::since(reason), blame: Blame::Expression })
            }
            Test::Condition { sides } => {
                let mut left: Option<Value> = None;
                for (relation, expr) in sides {
                    let ends = match &expr.kind {
                        ExprKind::Range(low, high) => [*low, *high]
                            .map(|one| Expr { span: one.span, kind: ExprKind::Measure(one) })
                            .to_vec(),
                        _ => vec![Expr::clone(expr)],
                    };
                    let mut last = None;
                    for expr in &ends {
                        let value = match self.evaluate(expr, block) {
                            Ok(value) => value,
                            Err(error) if error.blame != Blame::Figure && !error.missing.cycle => {
                                return Some(error);
                            }
                            // What cannot be computed can be compared with anything.
                            Err(_) => continue,
                        };
                        if let Some(left) = left
                            && *relation != Some(Relation::And)
                            && left.compare(value).is_err()
                        {
                            let reason = format!(
                                "{} cannot be compared with {}",
                                left.kind.describe(),
                                value.kind.describe()
                            );
                            return Some(ExprError {
                                span: expr.span,
                                missing: Missing::since(reason),
                                blame: Blame::Expression,
                            });
                        }
                        last = Some(value);
                    }
                    left = last;
                }
                None
            }
        }
    }

    /// The amounts of the recipe's lines, each with what it may measure.
    fn amounts(&self) -> impl Iterator<Item = (Place, &Amount, &'static [Dimension])> {
        use Dimension as D;
        fn of(thing: &Thing) -> &'static [Dimension] {
            match thing.kind() {
                Some(BlockKind::Malt | BlockKind::Hop) => &[D::Mass],
                Some(BlockKind::Sugar) => &[D::Mass, D::Volume],
                Some(BlockKind::Yeast) => &[D::Mass, D::Volume, D::Cells],
                _ => &[D::Mass, D::Volume, D::Concentration, D::Cells],
            }
        }
        let (recipe, part) = (self.recipe, self.part());
        let liquor = &recipe.liquor;
        let volumes = [&liquor.mash, &liquor.sparge, &liquor.top_up_kettle, &liquor.top_up_fermenter];
        let volumes = volumes.into_iter().flatten();
        let pitches = recipe.sour.iter().flat_map(|sour| &sour.pitches).chain(&part.pitch.lines);
        let later = part.ferment.additions.iter().chain(&part.package.additions);
        (recipe.grist.iter().map(|line| (line.place, &line.amount, of(&line.thing))))
            .chain(recipe.additions.iter().map(|line| (line.place, &line.amount, of(&line.thing))))
            .chain(liquor.additions.iter().map(|line| (line.place, &line.amount, of(&line.thing))))
            .chain(volumes.map(|line| (line.place, &line.amount, &[D::Volume][..])))
            .chain(pitches.map(|line| (line.place, &line.amount, of(&line.thing))))
            .chain(later.map(|line| (line.place, &line.amount, of(&line.thing))))
    }

    /// The value of an amount's expression.
    pub(crate) fn eval(&self, expr: &Expr, block: &Block) -> Result<Option<Measured>, Missing> {
        let value = self.evaluate(expr, block).map_err(|error| error.missing)?;
        Ok(match value.named() {
            Some((Dimension::Mass, kg)) => Some(Measured::Mass(kg)),
            Some((Dimension::Volume, litres)) => Some(Measured::Volume(litres)),
            Some((Dimension::Cells, billions)) => Some(Measured::Cells(billions)),
            Some((Dimension::Concentration, mg)) => Some(Measured::Dose(mg)),
            _ => None,
        })
    }
}

/// The names of a recipe's expressions: its own values and its figures.
struct Figures<'c, 'r>(&'c Calc<'r>);

impl recipe::Names for Figures<'_, '_> {
    type Error = ExprError;

    fn name(&mut self, name: &str, span: Span) -> Result<Value, ExprError> {
        self.0.named_value(name, span)
    }

    /// Gravities are plain numbers on the specific-gravity scale.
    fn gravity(&mut self, gravity: Quantity) -> Option<f64> {
        let quant = recipe::Quant { value: gravity.value, unit: Some(gravity.unit), spread: 0.0 };
        Some(crate::calc::gravity_of(quant).sg())
    }
}

/// A figure as an expression sees it: with its dimension where it has one.
fn figure_value(id: FigureId, value: f64) -> Value {
    match id.show() {
        Show::Percent => Value::number(value / 100.0),
        Show::Mass => Value::of(Dimension::Mass, value),
        Show::Grams => Value::of(Dimension::Mass, value / 1000.0),
        Show::Volume => Value::of(Dimension::Volume, value),
        Show::Thickness => Value::of(Dimension::VolumePerMass, value),
        Show::Temperature => Value::point(value),
        Show::Ion => Value::of(Dimension::Concentration, value),
        Show::Alkalinity => Value::of(Dimension::Concentration, value),
        Show::Dose => Value::of(Dimension::Concentration, value * 1000.0),
        Show::Cells => Value::of(Dimension::Cells, value),
        Show::Pressure => Value::of(Dimension::Pressure, value),
        Show::Evaporation => Value::of(Dimension::VolumeRate, value / 60.0),
        _ => Value::number(value),
    }
}

/// Names of values fold separators and case, as names of figures do.
fn same_name(known: &str, written: &str) -> bool {
    catalogue_fold(known) == catalogue_fold(written)
}

fn catalogue_fold(name: &str) -> String {
    name.chars()
        .map(|c| if matches!(c, '-' | '.' | '_') { ' ' } else { c })
        .collect::<String>()
        .to_lowercase()
}
