//! The value of an expression, once somebody says what its names stand for.

use quantity::{AlgebraError, Customary, Quantity, UnitId};
use syntax::Span;
use syntax::ast::{Expr, ExprKind, Function, Measure, Operator};

type Value = quantity::Value;

/// Expressions nested deeper than this are no recipe; they are refused rather than followed.
const DEEPEST: usize = 200;

/// Why an expression has no value.
#[derive(Clone, Debug, PartialEq)]
pub enum EvalError<E> {
    /// A name has none.
    Name(E),
    /// Two things do not go together, at this place of the text.
    Algebra(AlgebraError, Span),
    /// It is nested too deeply, or a function has the wrong number of arguments.
    Malformed(Span),
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

/// The value of an expression of a text. `name` gives the value of each name as it is written; `customary`
/// says which gallon is meant.
///
/// # Errors
/// Where a name has no value, where things do not go together, and where no number comes out.
pub fn evaluate<E>(
    expr: &Expr,
    text: &str,
    customary: Option<Customary>,
    name: &mut dyn FnMut(&str) -> Result<Value, E>,
) -> Result<Value, EvalError<E>> {
    Evaluator { text, customary, name }.value(expr, DEEPEST)
}

struct Evaluator<'a, E> {
    text: &'a str,
    customary: Option<Customary>,
    name: &'a mut dyn FnMut(&str) -> Result<Value, E>,
}

impl<E> Evaluator<'_, E> {
    fn value(&mut self, expr: &Expr, left: usize) -> Result<Value, EvalError<E>> {
        let left = left.checked_sub(1).ok_or(EvalError::Malformed(expr.span))?;
        let at = |span: Span| move |error: AlgebraError| EvalError::Algebra(error, span);
        match &expr.kind {
            ExprKind::Measure(measure) => self.measure(measure).map_err(at(measure.span)),
            ExprKind::Range(..) => Err(EvalError::Malformed(expr.span)),
            ExprKind::Ident => (self.name)(expr.span.of(self.text)).map_err(EvalError::Name),
            ExprKind::Negate(inner) => self.value(inner, left)?.negated().map_err(at(expr.span)),
            ExprKind::Binary(first, operator, second) => {
                let (a, b) = (self.value(first, left)?, self.value(second, left)?);
                match operator.node {
                    Operator::Add => a.plus(b),
                    Operator::Subtract => a.minus(b),
                    Operator::Multiply => a.times(b),
                    Operator::Divide => a.over(b),
                    Operator::Power => match &second.kind {
                        ExprKind::Measure(Measure { number, unit: None, .. })
                            if number.fract() == 0.0 && number.abs() <= 127.0 =>
                        {
                            a.power(*number as i32)
                        }
                        _ => return Err(EvalError::Malformed(second.span)),
                    },
                }
                .map_err(at(operator.span))
            }
            ExprKind::Call(function, arguments) => self.call(*function, arguments, expr.span, left),
        }
    }

    fn measure(&self, measure: &Measure) -> Result<Value, AlgebraError> {
        let unit = measure.unit.unwrap_or(UnitId::BARE);
        let unit = match self.customary {
            Some(customary) => unit.resolve(customary),
            None => unit,
        };
        if unit.is_bare() {
            return Ok(Value::number(measure.number));
        }
        Value::of_quantity(Quantity::new(measure.number, unit))
    }

    fn call(
        &mut self,
        function: Function,
        arguments: &[Expr],
        span: Span,
        left: usize,
    ) -> Result<Value, EvalError<E>> {
        let at = |error: AlgebraError| EvalError::Algebra(error, span);
        let [first, rest @ ..] = arguments else { return Err(EvalError::Malformed(span)) };
        let value = self.value(first, left)?;
        match (function, rest) {
            (Function::Min | Function::Max, _) => {
                let wanted = if function == Function::Min {
                    core::cmp::Ordering::Less
                } else {
                    core::cmp::Ordering::Greater
                };
                let mut best = value;
                for argument in rest {
                    let other = self.value(argument, left)?;
                    if other.compare(best).map_err(at)? == wanted {
                        best = other;
                    }
                }
                Ok(best)
            }
            (Function::Round, []) => value.rounded(Value::number(1.0)).map_err(at),
            (Function::Round, [to]) => value.rounded(self.value(to, left)?).map_err(at),
            (Function::Abs, []) => value.absolute().map_err(at),
            (Function::Sqrt, []) => value.root().map_err(at),
            (Function::Step, []) => {
                let fahrenheit =
                    matches!(first.kind, ExprKind::Measure(Measure { unit: Some(UnitId::F), .. }));
                value.step(fahrenheit).map_err(at)
            }
            _ => Err(EvalError::Malformed(span)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantity::Dimension;

    fn value(text: &str) -> Result<(Dimension, f64), EvalError<String>> {
        let file = syntax::parse(&format!("let x = {text}\n"));
        let block = &file.blocks[0].block;
        let entry = block.header().unwrap_or_else(|| panic!("{text}: {:?}", block.faults));
        let Some(syntax::ast::ValueKind::Expr(expr)) = entry.value().map(|value| &value.kind) else {
            panic!("{text} is no expression")
        };
        evaluate(expr, &block.text, Some(Customary::Us), &mut |name| match name {
            "batch" => Ok(Value::of(Dimension::Volume, 20.0)),
            _ => Err(name.to_owned()),
        })
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
        assert!(matches!(value(&deep), Err(EvalError::Malformed(_))));
    }
}
