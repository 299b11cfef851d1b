//! What is said of what stands at a place.

use figures::{Actual, Calc, Figure, FigureId, Missing, Scope, ShownUnits};
use recipe::{Definition, Recipe, Thing, named_kinds};
use rules::{Doc, Rule};
use std::fmt::Write as _;
use syntax::Span;
use syntax::ast::{
    Block, Body, Clause, ClausePart, Entry, Expr, ExprKind, Form, Line, Measure, Name, Part, Prop, PropKind,
    Value, ValueKind,
};
use syntax::vocabulary::{BlockKind, ClauseWord, Keyword};
use workspace::{AnalysedLog, AnalysedRecipe, Analysis, FileState, Workspace};

use crate::explain::Explanation;
use crate::facts;
use crate::hints::line_values;

/// What is said of a place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hover {
    /// What it is said of, in bytes of the file.
    pub span: Span,
    /// Markdown.
    pub text: String,
}

/// What is said of a byte of a file: of a figure, a name, a quantity, a word of the language, and of the
/// rules that found fault with it.
#[must_use]
pub fn hover(workspace: &Workspace, analysis: &Analysis, offset: u32) -> Option<Hover> {
    let state = workspace.file(analysis.file)?;
    let at = state.tree.blocks.partition_point(|placed| placed.start <= offset).checked_sub(1)?;
    let placed = state.tree.blocks.get(at)?;
    let (block, inside) = (&*placed.block, offset - placed.start);
    let line = block.lines.get(block.lines.partition_point(|line| line.end <= inside))?;
    let cursor = Cursor { workspace, analysis, state, block, start: placed.start, inside };
    let main = match line.comment.filter(|comment| comment.touches(inside)) {
        Some(comment) => cursor.allowed(comment),
        None => cursor.line(line),
    };
    let (span, mut text) = match main {
        Some((span, text)) => (Some(span.shift(placed.start)), text),
        None => (None, String::new()),
    };
    let mut found = None;
    let mut named: Vec<&str> = Vec::new();
    for finding in analysis.findings.iter().filter(|finding| finding.span.touches(offset)) {
        let Some(rule) = rules::find(finding.rule).filter(|rule| !named.contains(&rule.id)) else { continue };
        named.push(rule.id);
        found.get_or_insert(finding.span);
        if !text.is_empty() {
            text.push_str("\n\n---\n\n");
        }
        text.push_str(&cursor.rule_in_brief(rule));
    }
    Some(Hover { span: span.or(found)?, text })
}

/// A span relative to the block, and what is said of it.
type Said = Option<(Span, String)>;

struct Cursor<'a> {
    workspace: &'a Workspace,
    analysis: &'a Analysis,
    state: &'a FileState,
    block: &'a Block,
    /// Start of the block in the file.
    start: u32,
    /// The place, relative to the block.
    inside: u32,
}

impl<'a> Cursor<'a> {
    fn line(&self, line: &Line) -> Said {
        let (Body::Header(entry) | Body::Entry(entry)) = &line.body else { return None };
        let end = self.start + line.span.end;
        self.parts(entry, end).or_else(|| self.word(entry, end))
    }

    /// The part of an entry under the cursor.
    fn parts(&self, entry: &Entry, line_end: u32) -> Said {
        let here = |span: Span| span.touches(self.inside);
        let keyword = entry.keyword.map(|keyword| keyword.node);
        let kinds = self.kinds(entry);
        for part in &entry.parts {
            let said = match part {
                Part::Name(name) if here(name.span) && entry.form == Form::Expectation => {
                    self.figure(name.span)
                }
                Part::Name(name) if here(name.span) && entry.form == Form::Let => self.named_value(name.span),
                Part::Name(name) if here(name.span) => self.name(kinds, *name, Some(entry)),
                Part::Text(span) if here(*span) && keyword == Some(Keyword::Style) => {
                    let name = Name { span: *span, quoted: false };
                    self.name(kinds, name, Some(entry))
                }
                Part::Value(Value { kind: ValueKind::Str(span), .. })
                    if here(*span) && self.block.kind.is_definition() =>
                {
                    self.name(kinds, Name { span: *span, quoted: true }, Some(entry))
                }
                Part::Value(value) if here(value.span) => self.value(value).map(|(span, mut text)| {
                    // What the whole line comes to belongs to its amount.
                    if entry.form == Form::Item {
                        self.append_line(line_end, &mut text);
                    }
                    (span, text)
                }),
                Part::Props(props) if here(props.span) => {
                    props.list.iter().find(|prop| here(prop.span)).and_then(|prop| self.prop(prop, kinds))
                }
                Part::Clause(clause) if here(clause.span) => self.clause(clause, keyword),
                _ => None,
            };
            if said.is_some() {
                return said;
            }
        }
        None
    }

    /// The kinds of thing that the name of an entry may be of.
    fn kinds(&self, entry: &Entry) -> &'static [BlockKind] {
        const DEFINED: [[BlockKind; 1]; 8] = [
            [BlockKind::Malt],
            [BlockKind::Sugar],
            [BlockKind::Hop],
            [BlockKind::Yeast],
            [BlockKind::Water],
            [BlockKind::Addition],
            [BlockKind::Style],
            [BlockKind::BrewhouseBlock],
        ];
        let keyword = entry.keyword.map(|keyword| keyword.node);
        let block = self.block.entries_as;
        if block.is_definition() {
            let named = entry.form == Form::Header || matches!(keyword, Some(Keyword::Like | Keyword::Alias));
            return DEFINED.iter().find(|kinds| named && kinds[0] == block).map_or(&[], |kinds| kinds);
        }
        named_kinds(block, keyword)
    }

    fn clause(&self, clause: &Clause, keyword: Option<Keyword>) -> Said {
        let kinds: &[BlockKind] = match (keyword, clause.word) {
            (_, ClauseWord::With) => &[BlockKind::Sugar],
            (Some(Keyword::Instead), ClauseWord::For) => named_kinds(BlockKind::Gyle, None),
            _ => &[],
        };
        clause.parts.iter().find_map(|part| match part {
            ClausePart::Value(value) if value.span.touches(self.inside) => self.value(value),
            ClausePart::Name(name) if name.span.touches(self.inside) => self.name(kinds, *name, None),
            ClausePart::Props(props) if props.span.touches(self.inside) => props
                .list
                .iter()
                .find(|prop| prop.span.touches(self.inside))
                .and_then(|prop| self.prop(prop, kinds)),
            _ => None,
        })
    }

    fn prop(&self, prop: &Prop, kinds: &[BlockKind]) -> Said {
        match &prop.kind {
            PropKind::Value(value) | PropKind::Keyed { value: Some(value), .. }
                if value.span.touches(self.inside) =>
            {
                self.value(value)
            }
            PropKind::Keyed { key, key_span, .. } if key_span.touches(self.inside) => {
                let doc = BlockKind::ALL.iter().filter(|kind| kind.is_definition()).find_map(|kind| {
                    let entries = kind.spec()?.entries;
                    entries.iter().find(|entry| entry.keyword == *key).map(|entry| entry.doc)
                })?;
                Some((*key_span, said_of_word(key.word(), doc)))
            }
            PropKind::Or(name) if name.span.touches(self.inside) => self.name(kinds, *name, None),
            _ => None,
        }
    }

    /// The first word of a line: what it says, and what the line comes to.
    fn word(&self, entry: &Entry, line_end: u32) -> Said {
        if !entry.span.touches(self.inside) {
            return None;
        }
        if entry.form == Form::Query {
            let mut text = String::new();
            self.append_line(line_end, &mut text);
            return (!text.is_empty()).then_some((entry.span, text));
        }
        if entry.form == Form::Header {
            let spec = self.block.kind.spec()?;
            let start = entry.span.start;
            let word = Span::new(start, start + u32::try_from(spec.word.len()).ok()?);
            let mut text = String::new();
            if word.touches(self.inside) {
                text = said_of_word(spec.word, spec.doc);
            }
            self.append_line(line_end, &mut text);
            return (!text.is_empty()).then_some((entry.span, text));
        }
        let keyword = entry.keyword.filter(|keyword| keyword.span.touches(self.inside))?;
        let entries = self.block.entries_as.spec()?.entries;
        let mut text = entries
            .iter()
            .find(|spec| spec.keyword == keyword.node)
            .map(|spec| said_of_word(keyword.node.word(), spec.doc))
            .unwrap_or_default();
        self.append_line(line_end, &mut text);
        (!text.is_empty()).then_some((keyword.span, text))
    }

    /// What the values beside the line say, each with its explanation.
    fn append_line(&self, line_end: u32, text: &mut String) {
        for one in line_values(self.workspace, self.analysis, line_end) {
            if !text.is_empty() {
                text.push_str("\n\n");
            }
            text.push_str(&one);
        }
    }

    // ---- quantities and expressions -------------------------------------------------------------------------

    fn value(&self, value: &Value) -> Said {
        match &value.kind {
            ValueKind::Plain(measure) => self.measures(value.span, &[*measure]),
            ValueKind::Range(low, high) => {
                let unit = low.unit.or(high.unit);
                let whole = |measure: &Measure| Measure { unit: measure.unit.or(unit), ..*measure };
                self.measures(value.span, &[whole(low), whole(high)])
            }
            ValueKind::Tolerance(middle, plus) => {
                let unit = middle.unit.or(plus.unit);
                self.measures(value.span, &[Measure { unit, ..*middle }])
            }
            ValueKind::Expr(expr) => self.expression(expr),
            _ => None,
        }
    }

    fn measures(&self, span: Span, measures: &[Measure]) -> Said {
        let customary = self.recipe().and_then(|(one, _)| one.recipe.customary);
        let customary = customary.or(self.state.config.figures.customary);
        let text = facts::in_other_units(self.block.slice(span), measures, customary)?;
        Some((span, text))
    }

    /// The name in an expression, or the quantity, else the value of the whole.
    fn expression(&self, expr: &Expr) -> Said {
        if let Some(inner) = innermost(expr, self.inside) {
            match &inner.kind {
                ExprKind::Ident => {
                    return self.figure(inner.span).or_else(|| self.named_value(inner.span));
                }
                ExprKind::Measure(measure) => return self.measures(measure.span, &[*measure]),
                _ => {}
            }
        }
        let (one, part) = self.recipe()?;
        let settings = &self.state.config.figures;
        let calc = Calc::of_part(&one.recipe, settings, part);
        let label = calc.answer(expr, self.block, settings.units_for(Some(&one.recipe))).ok()?;
        let mut out = Explanation::default();
        out.formula([format!("{} = {label}", self.block.slice(expr.span).trim())]);
        Some((expr.span, out.markdown()))
    }

    /// A named value.
    fn named_value(&self, span: Span) -> Said {
        let (one, part) = self.recipe()?;
        let settings = &self.state.config.figures;
        let name = self.block.slice(span);
        let folded = catalogue::fold(name);
        let value = one.recipe.lets.iter().find(|value| catalogue::fold(&value.name) == folded)?;
        let calc = Calc::of_part(&one.recipe, settings, part);
        let written = value.block.slice(value.expr.span).trim();
        let mut out = Explanation::default();
        out.title(name);
        match calc.answer(&value.expr, &value.block, settings.units_for(Some(&one.recipe))) {
            Ok(label) if label != written => out.formula([format!("{name} = {written} = {label}")]),
            _ => out.formula([format!("{name} = {written}")]),
        };
        Some((span, out.markdown()))
    }

    /// A figure by its words.
    fn figure(&self, span: Span) -> Said {
        let id = FigureId::from_words(self.block.slice(span))?;
        let settings = &self.state.config.figures;
        let mut out = Explanation::default();
        let mut put = |figure: Result<Figure, Missing>, units: ShownUnits| {
            match figure {
                Ok(figure) => out.figure(&figure, units),
                Err(missing) => {
                    out.title(&id.words()).say(&format!("It cannot be computed: {}.", missing.reason))
                }
            };
        };
        if let Some((one, part)) = self.recipe() {
            let calc = Calc::of_part(&one.recipe, settings, part);
            put(calc.explained(id), settings.units_for(Some(&one.recipe)));
        } else if let Some(one) = self.log() {
            let plan = one.log.recipe.as_deref().map(|recipe| Calc::new(recipe, settings));
            let actual = Actual::new(&one.log, plan.as_ref(), settings);
            let units = settings.units_for(one.log.recipe.as_deref());
            match (&plan, id.scope()) {
                (Some(plan), Scope::Plan) => put(plan.explained(id), units),
                _ => put(actual.explain(id), units),
            }
        } else {
            out.title(&id.words());
        }
        out.say(id.doc());
        Some((span, out.markdown()))
    }

    // ---- names ----------------------------------------------------------------------------------------------

    fn name(&self, kinds: &[BlockKind], name: Name, entry: Option<&Entry>) -> Said {
        let written = self.block.slice(name.span);
        let scope = self.workspace.scope(self.state);
        let folded = catalogue::fold(written);
        let found = kinds.iter().find_map(|kind| scope.find_folded(*kind, &folded))?;
        let definition: &Definition = &found.definition;
        let mut out = Explanation::default();
        let thing = self.thing(name.span).filter(|_| entry.is_some());
        let beer = self.recipe().filter(|_| definition.kind == BlockKind::Style);
        let ranges: Vec<Keyword> = rules::STYLE_FIGURES.iter().map(|(_, key)| *key).collect();
        let told: &[Keyword] = if beer.is_some() { &ranges } else { &[] };
        facts::definition(self.workspace, self.state, definition, thing, told, &mut out);
        if let Some((one, _)) = beer {
            facts::standing(&one.recipe, &self.state.config.figures, &mut out);
        }
        Some((name.span, out.markdown()))
    }

    /// The recipe that the block belongs to, and which of its parts.
    fn recipe(&self) -> Option<(&'a AnalysedRecipe, usize)> {
        self.analysis.recipes.iter().find_map(|one| {
            let at = one.starts.iter().position(|start| *start == self.start)?;
            let splits = one.recipe.blocks.iter().take(at + 1).filter(|block| block.kind == BlockKind::Split);
            Some((one, splits.count().saturating_sub(1)))
        })
    }

    fn log(&self) -> Option<&'a AnalysedLog> {
        self.analysis.logs.iter().find(|one| one.starts.contains(&self.start))
    }

    /// What the recipe has read at a name, with what its line states otherwise.
    fn thing(&self, span: Span) -> Option<&'a Thing> {
        let (one, _) = self.recipe()?;
        let recipe: &'a Recipe = &one.recipe;
        let at = one.starts.iter().position(|start| *start == self.start)?;
        recipe
            .things()
            .into_iter()
            .find(|thing| usize::from(thing.place.block) == at && thing.place.span == span)
    }

    // ---- rules ----------------------------------------------------------------------------------------------

    /// A rule named in an allowance: its page.
    fn allowed(&self, comment: Span) -> Said {
        let names = rules::allowed_names(self.block.slice(comment));
        let (span, name) = names
            .into_iter()
            .map(|(span, name)| (span.shift(comment.start), name))
            .find(|(span, _)| span.touches(self.inside))?;
        let rule = rules::find(name)?;
        let mut text = self.rule_in_brief(rule);
        for (heading, section) in Doc::HEADINGS.iter().zip(rule.doc.sections()) {
            let rest = matches!(*heading, "Limits" | "Sources");
            if rest && !section.is_empty() {
                let _ = write!(text, "\n\n*{heading}*: {}", section.trim());
            }
        }
        Some((span, text))
    }

    /// What a rule catches and why, and how it is set here.
    fn rule_in_brief(&self, rule: &Rule) -> String {
        let level = self.state.config.rules.levels.of(rule);
        format!(
            "**{}** ({}, {} here)\n\n{}\n\n{}\n\n`gyle explain {}` says more.",
            rule.id,
            rule.group.word(),
            level.word(),
            rule.doc.catches.trim(),
            rule.doc.matters.trim(),
            rule.id
        )
    }
}

fn said_of_word(word: &str, doc: &str) -> String {
    let mut out = Explanation::default();
    out.title(word).say(doc);
    out.markdown()
}

/// The innermost expression at a place.
fn innermost(expr: &Expr, inside: u32) -> Option<&Expr> {
    if !expr.span.touches(inside) {
        return None;
    }
    let below = match &expr.kind {
        ExprKind::Call(_, arguments) => arguments.iter().find_map(|one| innermost(one, inside)),
        ExprKind::Negate(one) => innermost(one, inside),
        ExprKind::Binary(left, _, right) => innermost(left, inside).or_else(|| innermost(right, inside)),
        _ => None,
    };
    Some(below.unwrap_or(expr))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture::Fixture;

    const CELLAR: &str = "# the sack at the door\nmalt SM-ale\n  # certificate of 2 March\n  \
        like pale ale malt\n  colour 5.5 EBC\n";

    const BEER: &str = "# ä\nrecipe \"É\"\n  batch 20 L\n  style 14B\n\ngrist\n  4 kg SM-ale\n\nliquor\n  \
        source reverse osmosis water [alkalinity 20 ppm as CaCO3]\n\nboil 60 min\n  40 g Fuggle [alpha 4.6 %, or Golding] at 60 min\n\npitch\n  \
        1 pack English ale yeast\n\npackage\n  bottle 2.2 vol at 18 C with dextrose\n\nexpect\n  mash ph 5.2..5.4\n  og > 1.04\n";

    fn at_cursor(text: &str) -> Option<(String, String)> {
        let fixture = Fixture::with(text, &[("/r/cellar/malts.gyle", CELLAR)]);
        let text = fixture.text();
        let found = hover(&fixture.workspace, &fixture.analysis(), fixture.offset)?;
        Some((found.span.of(&text).to_owned(), found.text))
    }

    /// The beer with the cursor behind the first place where a piece stands.
    fn behind(text: &str, piece: &str) -> String {
        let at = text.find(piece).map_or(0, |at| at + piece.len());
        format!("{}$0{}", &text[..at], &text[at..])
    }

    #[test]
    fn says_what_stands_there() {
        let log = format!(
            "{BEER}gyle 7 \"É\" on 2026-03-14\n  09:00 og 1.046\n  ? og - actual-og\n  10:00 pitch 1 pack English ale yeast\n"
        );
        let lets = format!("let strong = 1.050\n{BEER}  og < (strong - 0.001)\n");
        let brewed = format!("{BEER}notes\n  ? og\n");
        // Text, behind what, what it is said of, what is said in its order.
        let cases: &[(&str, &str, &str, &[&str])] = &[
            // A figure: formula with its numbers, doubt, assumptions, sources.
            (
                BEER,
                "\n  og",
                "og",
                &[
                    "**og 1.044 (11.0 P), likely ",
                    "```text\n",
                    "SM-ale: 4.000 kg × ",
                    "- assumed mash efficiency 75.0 %",
                    "- source: ",
                ],
            ),
            (BEER, "mash p", "mash ph", &["pH of the mash"]),
            (&log, "? o", "og", &["**og 1.044", "source: "]),
            (&log, "actual", "actual-og", &["**actual og 1.046"]),
            (&lets, "(stro", "strong", &["**strong**", "strong = 1.050"]),
            (&brewed, "? o", "og", &["**og 1.044"]),
            // An ingredient: what it states, where it stands, where the numbers come from.
            (
                BEER,
                "SM-a",
                "SM-ale",
                &[
                    "**malt SM-ale**",
                    "cellar/malts.gyle, like pale ale malt",
                    "- colour 5.5 EBC\n",
                    "- extract 80.5 % (as pale ale malt)",
                    "the sack at the door; certificate of 2 March",
                ],
            ),
            (
                BEER,
                "Fug",
                "Fuggle",
                &[
                    "**hop Fuggle**",
                    "built in",
                    "- alpha 5.1 %; on this line 4.6 %",
                    "USDA-ARS hop cultivar page",
                    "confidence A",
                ],
            ),
            (BEER, "or Gold", "Golding", &["**hop Golding**"]),
            (
                BEER,
                "English",
                "English ale yeast",
                &["**yeast English ale, fruity**", "- attenuation 66 to 76 %"],
            ),
            (BEER, "dext", "dextrose", &["**sugar ", "built in"]),
            (BEER, "reverse", "reverse osmosis water", &["**water "]),
            (CELLAR, "like pal", "pale ale malt", &["**malt pale ale malt**", "built in"]),
            (CELLAR, "malt SM", "SM-ale", &["**malt SM-ale**", "this file"]),
            (&log, "10:00 pitch 1 pack Eng", "English ale yeast", &["**yeast English ale, fruity**"]),
            // A style: where this beer stands.
            (
                BEER,
                "style 14",
                "14B",
                &[
                    "**style 14B**",
                    "- name Scottish Heavy",
                    "**this beer**",
                    "- og 1.035 to 1.040: 1.044 (11.0 P), 0.004 above",
                    "inside, near the middle",
                    "- ibu 10 to 20 IBU: 23 IBU, 2.",
                    " above",
                ],
            ),
            // Quantities in other units; an amount also says what its line comes to.
            (BEER, "batch 2", "20 L", &["**20 L**", "- 5.3 usgal", "- 4.4 impgal"]),
            (
                BEER,
                "\n  4 k",
                "4 kg",
                &["- 8.82 lb", "**100.0 %", "4.000 kg × ", " extract × (1 - ", "75 % mash efficiency"],
            ),
            (BEER, "at 18", "18 C", &["- 64 F"]),
            (BEER, "2.2 v", "2.2 vol", &["- 4.3 g/L CO2"]),
            (BEER, "og > 1.0", "1.04", &[]),
            (&lets, "let strong = 1.0", "1.050", &[]),
            (BEER, "CaC", "20 ppm as CaCO3", &["dH", "fH"]),
            (CELLAR, "5.5 E", "5.5 EBC", &["- 2.8 SRM", "- 2.6 lov"]),
            // Words of the language.
            (BEER, "\n  sty", "style", &["**style**", "by its code"]),
            (BEER, "\nboi", "boil 60 min", &["**boil**"]),
            (BEER, "[alph", "alpha", &["**alpha**"]),
            (BEER, "\nreci", "recipe \"É\"", &["**recipe**", "11.0 P to 3.2 P, 4.2 %"]),
        ];
        for (text, piece, of, said) in cases {
            let found = at_cursor(&behind(text, piece));
            if said.is_empty() {
                // A bare number has no other units.
                assert!(found.is_none_or(|(_, text)| !text.starts_with("**1.0")), "{piece}");
                continue;
            }
            let (span, text) = found.unwrap_or_else(|| panic!("nothing is said behind {piece}"));
            assert_eq!(span, *of, "{piece}: {text}");
            let mut rest = text.as_str();
            for one in *said {
                let at = rest.find(one).unwrap_or_else(|| panic!("{piece}: no {one:?} in\n{text}"));
                rest = &rest[at + one.len()..];
            }
        }
    }

    #[test]
    fn a_rule_is_explained_on_what_it_found_and_in_an_allowance() {
        // On the finding.
        let (_, text) =
            at_cursor(&behind("# ä\nrecipe \"É\"\n  batch 20 L\ngrist\n  4,5 kg pale ale malt\n", "4,"))
                .unwrap();
        assert!(text.contains("**decimal-comma** (units, error here)"), "{text}");
        assert!(text.contains("`gyle explain decimal-comma` says more."), "{text}");
        // In the allowance, whether or not it silences anything.
        let (span, text) =
            at_cursor("# ä\nrecipe \"É\"\n  batch 20 L # allow name-file-mismatch, style-o$0g: wanted\n")
                .unwrap();
        assert_eq!(span, "style-og");
        assert!(text.starts_with("**style-og** (style, warning here)"), "{text}");
        assert!(text.contains("*Sources*: "), "{text}");
        // A comment that allows nothing says nothing.
        assert_eq!(at_cursor("# ä to be al$0lowed\n"), None);
    }

    #[test]
    fn parts_of_a_split_stand_by_themselves() {
        let text = format!(
            "{}split \"dry\" 10 L\n\npitch\n  1 pack saison yeast\n\nsplit \"mild\" 10 L\n\npitch\n  1 pack English ale yeast\n\nexpect\n  fg < 1.02\n",
            &BEER[..BEER.find("pitch").unwrap()]
        );
        let (_, said) = at_cursor(&behind(&text, "style 14")).unwrap();
        assert!(said.contains("**this beer, dry**") && said.contains("**this beer, mild**"), "{said}");
        let (_, said) = at_cursor(&behind(&text, "\n  f")).unwrap();
        assert!(said.contains("English ale yeast"), "{said}");
    }

    #[test]
    fn every_place_of_any_text_is_taken() {
        let broken = "recipe\n  batch ( L\ngrist\n  [[ # allow x\n  4 kg é[alpha, or ]\nlet a = (1 +\n";
        for text in [BEER, CELLAR, broken] {
            let fixture = Fixture::new(text);
            let analysis = fixture.analysis();
            for offset in 0..=u32::try_from(text.len()).unwrap() + 3 {
                if let Some(found) = hover(&fixture.workspace, &analysis, offset) {
                    assert!(found.span.touches(offset), "{offset} of {text}");
                    assert!(!found.text.contains("NaN") && !found.text.trim().is_empty());
                }
            }
        }
    }
}
