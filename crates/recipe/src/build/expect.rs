//! The `expect` block: the brewer's own tests.

use std::sync::Arc;

use syntax::ast::{Entry, Expr, ExprKind, Form, Part as EntryPart, Relation, Value, ValueKind};

use super::context::Cx;
use crate::model::{Expectation, Part, Test};

pub(crate) fn read(cx: &mut Cx<'_>, part: &mut Part) {
    for entry in cx.entries() {
        let test = match entry.form {
            Form::Expectation => figure(cx, entry),
            Form::Condition => condition(cx, entry),
            _ => continue,
        };
        match test {
            Some(test) => part.expect.push(Expectation { place: cx.place(entry.span), test }),
            None => cx.mark_broken(),
        }
    }
}

fn relation(entry: &Entry) -> Option<Relation> {
    entry.parts.iter().find_map(|part| match part {
        EntryPart::Relation(relation) => Some(relation.node),
        _ => None,
    })
}

/// `og 1.051 ± 0.003`, `ibu 24..32`, `abv < 4.2 %`.
fn figure(cx: &mut Cx<'_>, entry: &Entry) -> Option<Test> {
    let name = entry.name()?;
    let value = entry.value()?;
    let relation = relation(entry);
    if matches!(value.kind, ValueKind::Expr(_)) {
        // `ibu (og.points / 2)` compares the figure with the expression.
        let figure = Arc::new(Expr { span: name.span, kind: ExprKind::Ident });
        let other = cx.expr(value)?;
        return Some(Test::Condition {
            sides: vec![(None, figure), (Some(relation.unwrap_or(Relation::Equal)), other)],
        });
    }
    let (middle, low, high) = cx.ends(value)?;
    let (low, high, middle, strict) = match relation {
        None | Some(Relation::Equal | Relation::Within | Relation::And) => {
            (Some(low), Some(high), Some(middle), false)
        }
        Some(Relation::Less) => (None, Some(high), None, true),
        Some(Relation::LessOrEqual) => (None, Some(high), None, false),
        Some(Relation::Greater) => (Some(low), None, None, true),
        Some(Relation::GreaterOrEqual) => (Some(low), None, None, false),
    };
    Some(Test::Within {
        figure: cx.text(name.span).into(),
        figure_place: cx.place(name.span),
        low,
        high,
        middle,
        strict,
    })
}

/// `ibu / og.points in 0.45..0.65`.
fn condition(cx: &mut Cx<'_>, entry: &Entry) -> Option<Test> {
    let mut sides: Vec<(Option<Relation>, Arc<Expr>)> = Vec::new();
    let mut before = None;
    for part in &entry.parts {
        match part {
            EntryPart::Relation(relation) => before = Some(relation.node),
            EntryPart::Value(value) => sides.push((before.take(), side(cx, value)?)),
            _ => {}
        }
    }
    (sides.len() > 1).then_some(Test::Condition { sides })
}

/// One side of a comparison; a range stands only to the right of `in`.
fn side(cx: &Cx<'_>, value: &Value) -> Option<Arc<Expr>> {
    let kind = match &value.kind {
        ValueKind::Expr(_) => return cx.expr(value),
        ValueKind::Plain(one) => ExprKind::Measure(*one),
        ValueKind::Range(low, high) => ExprKind::Range(*low, *high),
        _ => return None,
    };
    Some(Arc::new(Expr { span: value.span, kind }))
}
