//! Reference values, row by row, and the closing count of what they rest on.

mod catalogue;
mod demo_figures;
#[path = "brewing.rs"]
mod of_brewing;
mod process;
mod units;
mod water;

use std::fmt::Write as _;

use gyle_tests::{Basis, Tally, current};

/// What may be called a published value.
const PUBLISHED: [Basis; 2] = [Basis::Printed, Basis::Library];

/// Every row of every table is compared or stands aside with its reason; the count of both is a committed file.
#[test]
fn rows_by_basis() {
    let mut tallies = of_brewing::accounts();
    tallies.extend([
        water::account(),
        process::account(),
        process::mash_account(),
        units::account(),
        demo_figures::account(),
    ]);
    let bases = [Basis::Printed, Basis::Library, Basis::Recomputed];
    let count = |tally: &Tally, basis| tally.checked.get(&basis).copied().unwrap_or(0);
    let sum = |of: &dyn Fn(&Tally) -> usize| tallies.iter().map(of).sum::<usize>();
    let mut text = String::from(
        "# What the reference values rest on\n\n\
         Made by `GYLE_WRITE=1 cargo test -p gyle-tests --test reference`. Each row is compared through the public\n\
         functions, with the tolerance and the source that stand beside it. A value quoted from memory counts as\n\
         an own recomputation: only the first two columns may be called published.\n\n\
         | table | rows | printed source | independent library | own recomputation | set aside |\n\
         |---|---|---|---|---|---|\n",
    );
    for tally in &tallies {
        let compared = bases.map(|basis| count(tally, basis).to_string()).join(" | ");
        let _ =
            writeln!(text, "| `{}` | {} | {compared} | {} |", tally.title, tally.rows, tally.set_aside.len());
    }
    let all = bases.map(|basis| sum(&|tally| count(tally, basis)).to_string()).join(" | ");
    let _ = writeln!(
        text,
        "| together | {} | {all} | {} |\n",
        sum(&|tally| tally.rows),
        sum(&|tally| tally.set_aside.len())
    );
    let published: usize = PUBLISHED.iter().map(|basis| sum(&|tally| count(tally, *basis))).sum();
    let _ = writeln!(text, "Published: {published} rows.\n\nSet aside, each with its reason:\n");
    for (tally, (id, reason)) in
        tallies.iter().flat_map(|tally| tally.set_aside.iter().map(move |it| (tally, it)))
    {
        let _ = writeln!(text, "- `{}`, {id}: {reason}", tally.title);
    }
    current("tests/reference/rows.md", &text, "reference");
}
