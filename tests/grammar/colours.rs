//! The classes of colour, letter by letter, as the tree of tree-sitter and the tree of the reader say.

use syntax::Span;
use syntax::ast::{Body, ClausePart, Expr, ExprKind, Measure, Part, PropKind, Props, Value, ValueKind};
use tree_sitter::{Node, TreeCursor};

/// One letter for each byte: comment `c`, stamp `s`, prose `p`, string `q`, number `n`, unit `u`, block keyword
/// `b`, entry keyword `k`, property `f`; `.` for the rest.
pub(crate) fn of_tree(text: &str, root: Node<'_>) -> Vec<u8> {
    let mut colours = vec![b'.'; text.len()];
    paint_node(&mut root.walk(), &mut colours);
    colours
}

fn paint_node(cursor: &mut TreeCursor<'_>, colours: &mut [u8]) {
    let node = cursor.node();
    let class = match node.kind() {
        "comment" => b'c',
        "stamp" => b's',
        "prose" => b'p',
        "string" | "label" => b'q',
        "number" | "date" | "clock" | "day" | "score" => b'n',
        "unit" => b'u',
        "block_keyword" => b'b',
        "entry_keyword" => b'k',
        "property" => b'f',
        _ => b'.',
    };
    if class != b'.' {
        colours[node.byte_range()].fill(class);
    }
    if cursor.goto_first_child() {
        loop {
            paint_node(cursor, colours);
            if !cursor.goto_next_sibling() {
                break;
            }
        }
        cursor.goto_parent();
    }
}

/// The same of the reader's tree. `?` where it keeps no places: behind the first part of a sum, and `or`.
pub(crate) fn of_reader(text: &str) -> Vec<u8> {
    let mut paint = Paint { colours: vec![b'.'; text.len()], text, base: 0 };
    for placed in syntax::parse(text).blocks {
        paint.base = placed.start as usize;
        for line in &placed.block.lines {
            paint.span(line.comment, b'c');
            paint.span(line.stamp, b's');
            match &line.body {
                Body::Prose(span) => paint.span(Some(*span), b'p'),
                Body::Header(entry) | Body::Entry(entry) => {
                    if matches!(line.body, Body::Header(_)) {
                        let length = placed.block.kind.word().len() as u32;
                        paint.span(Some(Span::new(entry.span.start, entry.span.start + length)), b'b');
                    } else {
                        paint.span(entry.keyword.as_ref().map(|word| word.span), b'k');
                    }
                    paint.span(entry.when.as_ref().map(|when| when.span), b'n');
                    for part in &entry.parts {
                        paint.part(part);
                    }
                }
                _ => {}
            }
        }
    }
    paint.colours
}

struct Paint<'t> {
    colours: Vec<u8>,
    text: &'t str,
    base: usize,
}

impl Paint<'_> {
    fn span(&mut self, span: Option<Span>, class: u8) {
        let Some(span) = span else { return };
        self.colours[self.base + span.start as usize..self.base + span.end as usize].fill(class);
    }

    /// The range inside quotes, with the quotes.
    fn quotes(&mut self, inner: Span) {
        self.span(Some(Span::new(inner.start - 1, inner.end + 1)), b'q');
    }

    fn part(&mut self, part: &Part) {
        match part {
            Part::Value(value) => self.value(value),
            Part::Name(name) if name.quoted => self.quotes(name.span),
            Part::Label(span) => self.quotes(*span),
            Part::Props(props) => self.props(props),
            Part::Clause(clause) => {
                for part in &clause.parts {
                    match part {
                        ClausePart::Value(value) => self.value(value),
                        ClausePart::Name(name) if name.quoted => self.quotes(name.span),
                        ClausePart::Name(_) => {}
                        ClausePart::Props(props) => self.props(props),
                    }
                }
            }
            Part::Name(_) | Part::Text(_) | Part::Relation(_) => {}
        }
    }

    fn props(&mut self, props: &Props) {
        for prop in &props.list {
            match &prop.kind {
                PropKind::Keyed { key_span, value, words, .. } => {
                    self.span(Some(*key_span), b'f');
                    if let Some(value) = value {
                        self.value(value);
                    }
                    if let Some(words) = words.filter(|words| words.quoted) {
                        self.quotes(words.span);
                    }
                }
                PropKind::Value(value) => self.value(value),
                PropKind::Or(name) => {
                    self.span(Some(Span::new(prop.span.start, prop.span.start + 2)), b'f');
                    if name.quoted {
                        self.quotes(name.span);
                    }
                }
                PropKind::Flag(_) | PropKind::Words(_) => {}
            }
        }
    }

    fn value(&mut self, value: &Value) {
        match &value.kind {
            ValueKind::Plain(measure) => self.measure(measure),
            ValueKind::Range(first, second) | ValueKind::Tolerance(first, second) => {
                self.measure(first);
                self.measure(second);
            }
            ValueKind::Expr(expr) => self.expr(expr),
            ValueKind::Str(inner) => self.quotes(*inner),
            ValueKind::Date(_) | ValueKind::Clock(_) | ValueKind::Day(..) | ValueKind::Score(..) => {
                self.span(Some(value.span), b'n');
            }
        }
    }

    fn measure(&mut self, measure: &Measure) {
        self.span(Some(measure.span), b'?');
        let number_end = if measure.unit.is_some() { measure.unit_span.start } else { measure.span.end };
        self.span(Some(Span::new(measure.span.start, number_end)), b'n');
        if measure.unit.is_some() {
            self.span(Some(measure.unit_span), b'u');
        }
    }

    fn expr(&mut self, expr: &Expr) {
        match &expr.kind {
            ExprKind::Measure(measure) => self.measure(measure),
            ExprKind::Range(first, second) => {
                self.measure(first);
                self.measure(second);
            }
            ExprKind::Ident => {}
            ExprKind::Call(_, arguments) => arguments.iter().for_each(|argument| self.expr(argument)),
            ExprKind::Negate(operand) => self.expr(operand),
            ExprKind::Binary(left, _, right) => {
                self.expr(left);
                self.expr(right);
            }
        }
        debug_assert!(self.base + expr.span.end as usize <= self.text.len());
    }
}
