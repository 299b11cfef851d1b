//! Lines held together: first those that say the same, then those about the same thing.

use recipe::Recipe;
use syntax::vocabulary::BlockKind;

use crate::item::{Item, items};
use crate::{Change, LineChange, Section, Turn};

/// How alike two recipes are: the share of their lines that say the same, 0 to 1.
#[must_use]
pub fn likeness(before: &Recipe, after: &Recipe) -> f64 {
    let (old, new) = (items(before, None), items(after, None));
    let most = old.len().max(new.len());
    if most == 0 {
        return 0.0;
    }
    let mut pairs = Pairs::new(&old, &new);
    pairs.take(|a, b| a.kind == b.kind && a.same(b));
    let same = pairs.of_new.iter().flatten().count();
    // Fewer lines than 2^52.
    same as f64 / most as f64
}

/// Which line of the first recipe belongs to each line of the second.
struct Pairs<'i> {
    old: &'i [Item],
    new: &'i [Item],
    of_new: Vec<Option<usize>>,
    free: Vec<bool>,
}

impl<'i> Pairs<'i> {
    fn new(old: &'i [Item], new: &'i [Item]) -> Self {
        Self { old, new, of_new: vec![None; new.len()], free: vec![true; old.len()] }
    }

    /// Pairs lines that belong together by this test, each with the first that is free.
    fn take(&mut self, belong: impl Fn(&Item, &Item) -> bool) {
        self.take_where(|_, _, _| true, belong);
    }

    /// The same, but steps that come in an order keep to that of the pairs there are.
    fn take_in_order(&mut self, belong: impl Fn(&Item, &Item) -> bool) {
        let keeps = |pairs: &Self, old: usize, new: usize| {
            let kind = pairs.new[new].kind;
            !IN_ORDER.contains(&kind)
                || pairs.of_new.iter().enumerate().all(|(at, other)| {
                    other.is_none_or(|other| pairs.new[at].kind != kind || (other < old) == (at < new))
                })
        };
        self.take_where(keeps, belong);
    }

    fn take_where(
        &mut self,
        may: impl Fn(&Self, usize, usize) -> bool,
        belong: impl Fn(&Item, &Item) -> bool,
    ) {
        for (at, new) in self.new.iter().enumerate() {
            if self.of_new[at].is_some() {
                continue;
            }
            let found = self
                .old
                .iter()
                .enumerate()
                .position(|(other, old)| self.free[other] && belong(old, new) && may(self, other, at));
            if let Some(found) = found {
                self.of_new[at] = Some(found);
                self.free[found] = false;
            }
        }
    }
}

/// Blocks in which the order of the lines is the order of the work.
pub(crate) const IN_ORDER: &[BlockKind] = &[BlockKind::Mash, BlockKind::Cook, BlockKind::Ferment];

/// Lines that differ; where the litres of both batches are given, masses and volumes are those for one litre.
pub(crate) fn sections(before: &Recipe, after: &Recipe, litres: Option<(f64, f64)>) -> Vec<Section> {
    let (old, new) = litres.unzip();
    let (old, new) = (items(before, old), items(after, new));
    let mut pairs = Pairs::new(&old, &new);
    let beside = |a: &Item, b: &Item| a.kind == b.kind && same_part(a, b);
    pairs.take(|a, b| beside(a, b) && a.same(b));
    // Of several lines about one thing, those of one time belong together, then those of one length, then those
    // of one amount.
    let alike = |a: &Item, b: &Item| beside(a, b) && a.key == b.key;
    for what in ["at", "for", ""] {
        pairs.take_in_order(|a, b| alike(a, b) && a.meant(what).is_some() && a.meant(what) == b.meant(what));
    }
    pairs.take_in_order(alike);
    // What goes into the beer may move to another block.
    pairs.take(|a, b| a.is_thing && b.is_thing && a.key == b.key);
    let mut sections: Vec<Section> = Vec::new();
    let mut put = |item: &Item, line: LineChange| {
        let section = sections.iter_mut().find(|one| one.kind == item.kind && one.part == item.part);
        match section {
            Some(section) => section.lines.push(line),
            None => sections.push(Section { kind: item.kind, part: item.part.clone(), lines: vec![line] }),
        }
    };
    for (at, item) in new.iter().enumerate() {
        let line = |change, before: Option<&Item>| LineChange {
            subject: item.subject.clone(),
            change,
            before: before.map(|one| one.place),
            after: Some(item.place),
        };
        match pairs.of_new[at].map(|other| &old[other]) {
            None => put(item, line(Change::Added(item.text.clone()), None)),
            Some(other) => {
                let turns = turns(other, item);
                if !beside(other, item) {
                    put(item, line(Change::Moved { from: other.kind, turns }, Some(other)));
                } else if !turns.is_empty() {
                    put(item, line(Change::Changed(turns), Some(other)));
                }
            }
        }
    }
    for (at, item) in old.iter().enumerate() {
        if pairs.free[at] {
            let line = LineChange {
                subject: item.subject.clone(),
                change: Change::Removed(item.text.clone()),
                before: Some(item.place),
                after: None,
            };
            put(item, line);
        }
    }
    for (kind, at) in reordered(&pairs) {
        let item = &new[at];
        let line = LineChange {
            subject: kind.word().to_owned(),
            change: Change::Reordered,
            before: None,
            after: Some(item.place),
        };
        put(item, line);
    }
    sections.sort_by_key(|section| (section.part.is_some(), section.part.clone(), section.kind));
    sections
}

fn same_part(a: &Item, b: &Item) -> bool {
    let label = |item: &Item| item.part.as_ref().map(|label| catalogue::fold(label));
    label(a) == label(b)
}

/// Kinds of block whose paired lines stand in another order, with the first line that does.
fn reordered(pairs: &Pairs<'_>) -> Vec<(BlockKind, usize)> {
    let mut out = Vec::new();
    let mut last: Vec<(BlockKind, Option<&str>, usize)> = Vec::new();
    for (at, item) in pairs.new.iter().enumerate() {
        let Some(other) = pairs.of_new[at].filter(|_| IN_ORDER.contains(&item.kind)) else { continue };
        if pairs.old[other].kind != item.kind {
            continue;
        }
        let part = item.part.as_deref();
        match last.iter_mut().find(|(kind, of, _)| *kind == item.kind && *of == part) {
            Some((kind, _, before)) => {
                if other < *before && !out.iter().any(|(known, _)| known == kind) {
                    out.push((*kind, at));
                }
                *before = other.max(*before);
            }
            None => last.push((item.kind, part, other)),
        }
    }
    out
}

/// The values of two lines that differ.
fn turns(old: &Item, new: &Item) -> Vec<Turn> {
    let mut out = Vec::new();
    for field in &new.fields {
        let before = old.fields.iter().find(|one| one.what == field.what);
        if before.is_none_or(|before| before.meant != field.meant) {
            out.push(Turn {
                what: field.what.clone(),
                from: before.map(|before| before.shown.clone()),
                to: Some(field.shown.clone()),
            });
        }
    }
    for field in &old.fields {
        if new.fields.iter().all(|one| one.what != field.what) {
            out.push(Turn { what: field.what.clone(), from: Some(field.shown.clone()), to: None });
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use recipe::{FileId, Scope, Settings, Shelf, Units};

    use super::*;

    fn recipe(text: &str) -> Recipe {
        let file = syntax::parse(text);
        let units = Units::of(&file);
        let unit = units.recipes.first().expect("a recipe");
        let blocks =
            |list: &[u32]| list.iter().map(|at| file.blocks[*at as usize].block.clone()).collect::<Vec<_>>();
        let scope = Scope::new([Arc::new(Shelf::new(FileId::Workspace(0), &file, None))]);
        recipe::build_recipe(&blocks(&unit.blocks), &blocks(&units.lets), &scope, &Settings::default())
    }

    /// The differences of two recipes, a line each.
    fn said(before: &str, after: &str) -> Vec<String> {
        let whole = |body: &str| recipe(&format!("recipe \"X\"\n  batch 20 L\n\n{body}\n"));
        let mut out = Vec::new();
        for section in sections(&whole(before), &whole(after), None) {
            for line in section.lines {
                let turns = |list: &[Turn]| {
                    let list: Vec<String> = list
                        .iter()
                        .map(|turn| {
                            format!(
                                "{}: {:?} > {:?}",
                                turn.what,
                                turn.from.as_deref().unwrap_or("-"),
                                turn.to.as_deref().unwrap_or("-")
                            )
                        })
                        .collect();
                    list.join(", ")
                };
                let text = match &line.change {
                    Change::Added(text) => format!("+ {text}"),
                    Change::Removed(text) => format!("- {text}"),
                    Change::Changed(list) => format!("~ {} {}", line.subject, turns(list)),
                    Change::Moved { from, turns: list } => {
                        format!("> {} from {} {}", line.subject, from.word(), turns(list))
                    }
                    Change::Reordered => "order".into(),
                };
                out.push(format!("{} {}", section.kind.word(), text.trim_end()));
            }
        }
        out
    }

    #[test]
    fn lines_are_held_together_by_what_they_are_about() {
        for (before, after, expected) in [
            ("grist\n  4 kg pale malt", "grist\n  4 kg pale malt", &[][..]),
            // The spelling of an amount, blanks and the case of a name make no difference.
            ("grist\n  4 kg pale malt", "# more\n\ngrist\n    4000 g   Pale  Malt   # sacks", &[]),
            (
                "grist\n  4 kg pale malt",
                "grist\n  9 lb pale malt",
                &["grist ~ pale malt : \"4 kg\" > \"9 lb\""],
            ),
            (
                "grist\n  4 kg pale malt\n  1 kg wheat malt",
                "grist\n  4 kg pale malt\n  200 g oat malt",
                &["grist + 200 g oat malt", "grist - 1 kg wheat malt"],
            ),
            (
                "boil 60 min\n  20 g Fuggle [4.9 %] at 60 min\n  20 g Fuggle [4.9 %] at 10 min",
                "boil 75 min\n  25 g Fuggle [5.2 %] at 10 min\n  20 g Fuggle [4.9 %] at 75 min",
                &[
                    "boil ~ boil : \"60 min\" > \"75 min\"",
                    "boil ~ Fuggle : \"20 g\" > \"25 g\", [proportion]: \"4.9 %\" > \"5.2 %\"",
                    "boil ~ Fuggle at: \"at 60 min\" > \"at 75 min\"",
                ],
            ),
            (
                "boil 60 min\n  20 g Fuggle at 5 min\n\nstand 20 min at 80 C\n  20 g Golding",
                "boil 60 min\n\nstand 20 min at 80 C\n  20 g Golding\n  20 g Fuggle leaf",
                &["boil - 20 g Fuggle at 5 min", "stand + 20 g Fuggle leaf"],
            ),
            (
                "boil 60 min\n  20 g Fuggle at 5 min\n\nstand 20 min at 80 C",
                "boil 60 min\n\nstand 20 min at 80 C\n  20 g Fuggle",
                &["stand > Fuggle from boil at: \"at 5 min\" > \"-\""],
            ),
            (
                "mash\n  rest 52 C for 10 min\n  rest 66 C for 60 min",
                "mash\n  rest 66 C for 60 min\n  rest 76 C for 5 min",
                &["mash + rest 76 C for 5 min", "mash - rest 52 C for 10 min"],
            ),
            (
                "mash\n  rest 66 C for 60 min",
                "mash\n  rest 52 C for 15 min\n  rest 68 C for 60 min",
                &["mash + rest 52 C for 15 min", "mash ~ rest : \"66 C\" > \"68 C\""],
            ),
            (
                "mash\n  rest 62 C for 30 min\n  rest 72 C for 30 min",
                "mash\n  rest 72 C for 30 min\n  rest 62 C for 30 min",
                &["mash order"],
            ),
            (
                "liquor\n  add 4 g gypsum to all\n  add 1 g table salt to mash",
                "liquor\n  add 1 g table salt to all\n  add 5 g gypsum to all",
                &["liquor ~ table salt to: \"to mash\" > \"to all\"", "liquor ~ gypsum : \"4 g\" > \"5 g\""],
            ),
            (
                "boil 60 min\n  20 g Fuggle [4.9 %] at 5 min",
                "boil 60 min\n  20 g Fuggle [4.9 %, leaf] at 5 min",
                &["boil ~ Fuggle leaf: \"-\" > \"leaf\""],
            ),
            ("notes\n  | sweet", "notes\n  | dry\n  ? og", &[]),
            (
                "expect\n  og 1.044 ± 0.002",
                "expect\n  og 1.050",
                &["expect ~ og : \"1.044 ± 0.002\" > \"1.050\""],
            ),
            (
                "expect\n  sulfate / chloride > 1.5",
                "expect\n  sulfate / chloride > 2",
                &["expect + sulfate / chloride > 2", "expect - sulfate / chloride > 1.5"],
            ),
            (
                "split \"a\" 10 L\n\nferment\n  hold 20 C for 5 d\n\nsplit \"b\" 10 L\n\nferment\n  hold 20 C for 5 d",
                "split \"a\" 10 L\n\nferment\n  hold 20 C for 5 d\n\nsplit \"b\" 10 L\n\nferment\n  hold 22 C for 5 d",
                &["ferment ~ hold : \"20 C\" > \"22 C\""],
            ),
        ] {
            assert_eq!(said(before, after), expected, "{before}\n->\n{after}");
        }
    }

    #[test]
    fn likeness_is_the_share_of_lines_that_stay() {
        let one = recipe("recipe \"A\"\n  batch 20 L\n\ngrist\n  4 kg pale malt\n  1 kg wheat malt\n");
        let other = recipe("recipe \"B\"\n  batch 20 L\n\ngrist\n  4 kg pale malt\n  2 kg wheat malt\n");
        assert!((likeness(&one, &one) - 1.0).abs() < 1e-12);
        // Of header, batch, grist and two malts, one malt differs.
        assert!((likeness(&one, &other) - 0.8).abs() < 1e-12);
    }
}
