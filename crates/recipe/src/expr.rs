//! The value of an expression, once somebody says what its names stand for.

use quantity::{AlgebraError, Customary, Dimension, Quantity, UnitId, Value};
use syntax::Span;
use syntax::ast::{Expr, ExprKind, Function, Measure, Operator};

/// Expressions nested deeper than this are no recipe; they are refused rather than followed.
const DEEPEST: usize = 200;

/// What the names in an expression stand for.
pub trait Names {
    /// Why a name has no value.
    type Error;

    /// The value of a name as it is written, which stands at this place.
    ///
    /// # Errors
    /// Where it has none.
    fn name(&mut self, name: &str, span: Span) -> Result<Value, Self::Error>;

    /// The specific gravity of a gravity on another scale, where somebody knows the way there.
    fn gravity(&mut self, gravity: Quantity) -> Option<f64> {
        let _ = gravity;
        None
    }
}

/// Why an expression has no value, with the place in the text.
#[derive(Clone, Debug, PartialEq)]
pub enum EvalError<E> {
    /// A name has none.
    Name(E),
    /// Two things do not go together.
    Algebra(AlgebraError, Span),
    /// A range stands where one value is wanted.
    Range(Span),
    /// A power is no whole number.
    Power(Span),
    /// A function has not the number of values it wants.
    Arguments(Span),
    /// It is nested too deeply to be followed.
    Deep(Span),
}

impl<E> EvalError<E> {
    /// What does not go together, in a brewer's words, and its place; a name's own error where a name has no
    /// value.
    ///
    /// # Errors
    /// That of the name.
    pub fn reason(self) -> Result<(String, Span), E> {
        Ok(match self {
            Self::Name(error) => return Err(error),
            Self::Algebra(error, span) => (algebra(error), span),
            Self::Range(span) => ("a range stands where one value is wanted".into(), span),
            Self::Power(span) => ("a power is a whole number".into(), span),
            Self::Arguments(span) => (
                "a function has not the number of values it wants: `round(x, 5 g)`, `min(a, b)`".into(),
                span,
            ),
            Self::Deep(span) => ("this is nested too deeply to be followed".into(), span),
        })
    }
}

fn algebra(error: AlgebraError) -> String {
    match error {
        AlgebraError::Unlike { left, right } => {
            format!("{} and {} do not go together", left.describe(), right.describe())
        }
        AlgebraError::PointOfTemperature => {
            "a temperature is a point on a scale; add a step to it, such as `step(2 C)`".into()
        }
        AlgebraError::NeedsCustomary(unit) => {
            format!("`{unit}` is one measure in US and another in imperial units: say which")
        }
        AlgebraError::Currencies => "two currencies do not add".into(),
        AlgebraError::NotFinite => "no number comes out of this".into(),
        _ => "the units of this cannot be computed".into(),
    }
}

/// Whether an expression is nested no deeper than can be followed.
pub(crate) fn is_shallow(expr: &Expr) -> bool {
    fn within(expr: &Expr, left: usize) -> bool {
        let Some(left) = left.checked_sub(1) else { return false };
        match &expr.kind {
            ExprKind::Measure(_) | ExprKind::Range(..) | ExprKind::Ident => true,
            ExprKind::Negate(inner) => within(inner, left),
            ExprKind::Binary(first, _, second) => within(first, left) && within(second, left),
            ExprKind::Call(_, arguments) => arguments.iter().all(|argument| within(argument, left)),
        }
    }
    within(expr, DEEPEST)
}

/// Calls back with the place of every name in an expression.
pub fn each_name(expr: &Expr, found: &mut dyn FnMut(Span)) {
    match &expr.kind {
        ExprKind::Measure(_) | ExprKind::Range(..) => {}
        ExprKind::Ident => found(expr.span),
        ExprKind::Negate(inner) => each_name(inner, found),
        ExprKind::Binary(first, _, second) => {
            each_name(first, found);
            each_name(second, found);
        }
        ExprKind::Call(_, arguments) => arguments.iter().for_each(|argument| each_name(argument, found)),
    }
}

/// The value of an expression of a text. `customary` says which gallon is meant.
///
/// # Errors
/// Where a name has no value, where things do not go together, and where no number comes out.
pub fn evaluate<N: Names>(
    expr: &Expr,
    text: &str,
    customary: Option<Customary>,
    names: &mut N,
) -> Result<Value, EvalError<N::Error>> {
    Evaluator { text, customary, names }.value(expr, DEEPEST)
}

struct Evaluator<'a, N> {
    text: &'a str,
    customary: Option<Customary>,
    names: &'a mut N,
}

type Evaluated<N> = Result<Value, EvalError<<N as Names>::Error>>;

impl<N: Names> Evaluator<'_, N> {
    fn value(&mut self, expr: &Expr, left: usize) -> Evaluated<N> {
        let left = left.checked_sub(1).ok_or(EvalError::Deep(expr.span))?;
        let at = |span: Span| move |error: AlgebraError| EvalError::Algebra(error, span);
        match &expr.kind {
            ExprKind::Measure(measure) => self.measure(measure).map_err(at(measure.span)),
            ExprKind::Range(..) => Err(EvalError::Range(expr.span)),
            ExprKind::Ident => self.names.name(expr.span.of(self.text), expr.span).map_err(EvalError::Name),
            ExprKind::Negate(inner) => self.value(inner, left)?.negated().map_err(at(expr.span)),
            ExprKind::Binary(base, operator, exponent) if operator.node == Operator::Power => {
                let base = self.value(base, left)?;
                match &exponent.kind {
                    ExprKind::Measure(Measure { number, unit: None, .. })
                        if number.fract() == 0.0 && number.abs() <= 127.0 =>
                    {
                        base.power(*number as i32).map_err(at(operator.span))
                    }
                    _ => Err(EvalError::Power(exponent.span)),
                }
            }
            ExprKind::Binary(first, operator, second) => {
                let (first, second) = (self.value(first, left)?, self.value(second, left)?);
                match operator.node {
                    Operator::Add => first.plus(second),
                    Operator::Subtract => first.minus(second),
                    Operator::Multiply => first.times(second),
                    Operator::Divide | Operator::Power => first.over(second),
                }
                .map_err(at(operator.span))
            }
            ExprKind::Call(function, arguments) => self.call(*function, arguments, expr.span, left),
        }
    }

    fn measure(&mut self, measure: &Measure) -> Result<Value, AlgebraError> {
        let Some(unit) = measure.unit else { return Ok(Value::number(measure.number)) };
        let exact = self.customary.map_or(unit, |customary| unit.resolve(customary));
        let quantity = Quantity::new(measure.number, exact);
        if exact.dimension() == Dimension::Gravity
            && let Some(sg) = self.names.gravity(quantity)
        {
            return Ok(Value::number(sg));
        }
        Value::of_quantity(quantity)
    }

    fn call(&mut self, function: Function, arguments: &[Expr], span: Span, left: usize) -> Evaluated<N> {
        let at = |error: AlgebraError| EvalError::Algebra(error, span);
        let [first, rest @ ..] = arguments else { return Err(EvalError::Arguments(span)) };
        let value = self.value(first, left)?;
        match (function, rest) {
            (Function::Min | Function::Max, _) => {
                let mut best = value;
                for argument in rest {
                    let other = self.value(argument, left)?;
                    let order = other.compare(best).map_err(at)?;
                    if if function == Function::Min { order.is_lt() } else { order.is_gt() } {
                        best = other;
                    }
                }
                Ok(best)
            }
            // To whole numbers of what it is: kg, L, minutes.
            (Function::Round, []) => value.rounded(Value { number: 1.0, kind: value.kind }).map_err(at),
            (Function::Round, [to]) => value.rounded(self.value(to, left)?).map_err(at),
            (Function::Abs, []) => value.absolute().map_err(at),
            (Function::Sqrt, []) => value.root().map_err(at),
            (Function::Step, []) => {
                let fahrenheit =
                    matches!(first.kind, ExprKind::Measure(Measure { unit: Some(UnitId::F), .. }));
                value.step(fahrenheit).map_err(at)
            }
            _ => Err(EvalError::Arguments(span)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    struct Batch;

    impl Names for Batch {
        type Error = String;

        fn name(&mut self, name: &str, _: Span) -> Result<Value, String> {
            if name == "batch" { Ok(Value::of(Dimension::Volume, 20.0)) } else { Err(name.to_owned()) }
        }
    }

    fn value(text: &str) -> Result<(Dimension, f64), EvalError<String>> {
        let file = syntax::parse(&format!("let x = {text}\n"));
        let block = &file.blocks[0].block;
        let entry = block.header().unwrap_or_else(|| panic!("{text}: {:?}", block.faults));
        let Some(syntax::ast::ValueKind::Expr(expr)) = entry.value().map(|value| &value.kind) else {
            panic!("{text} is no expression")
        };
        evaluate(expr, &block.text, Some(Customary::Us), &mut Batch)
            .map(|value| value.named().expect("a dimension with a name"))
    }

    #[test]
    fn expressions_have_the_value_they_should() {
        for (text, dimension, wanted) in [
            ("2.7 L/kg * 5 kg", Dimension::Volume, 13.5),
            ("batch / 2", Dimension::Volume, 10.0),
            ("1 gal", Dimension::Volume, 3.785_411_784),
            ("round(17.3 g, 5 g)", Dimension::Mass, 0.015),
            ("min(3 kg, 2500 g, 4 kg)", Dimension::Mass, 2.5),
            ("max(3 kg, 2500 g)", Dimension::Mass, 3.0),
            ("66 C - step(2 F)", Dimension::Temperature, 66.0 - 2.0 / 1.8),
            ("68 F - 20 C", Dimension::TemperatureStep, 0.0),
            ("-(2 ^ 3) + sqrt(9) - abs(0 - 1)", Dimension::Number, -6.0),
            ("50 % * 8 kg", Dimension::Mass, 4.0),
            ("round(2.6 kg)", Dimension::Mass, 3.0),
        ] {
            let (found, number) = value(text).unwrap_or_else(|error| panic!("{text}: {error:?}"));
            assert_eq!(found, dimension, "{text}");
            assert!((number - wanted).abs() < 1e-9, "{text}: {number}");
        }
    }

    #[test]
    fn what_has_no_value_says_why() {
        assert_eq!(value("og * 2"), Err(EvalError::Name("og".into())));
        assert!(matches!(value("1 kg + 1 L"), Err(EvalError::Algebra(AlgebraError::Unlike { .. }, _))));
        assert!(matches!(value("1 / 0"), Err(EvalError::Algebra(AlgebraError::NotFinite, _))));
        let deep = format!("1{}", " + 1".repeat(1000));
        assert!(matches!(value(&deep), Err(EvalError::Deep(_))));
        assert!(matches!(value("abs(1, 2)"), Err(EvalError::Arguments(_))));
        // From °P to a specific gravity only a brewing model leads.
        assert!(matches!(value("12 P + 1"), Err(EvalError::Algebra(AlgebraError::NeedsModel(_), _))));
    }
}
