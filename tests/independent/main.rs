//! Prints what the project computes for seeded cases of an area, one JSON object a line, for comparison
//! with libraries written elsewhere: `cargo run -q -p gyle-tests --bin independent -- AREA [SEED]`.

use std::io::{self, Write as _};
use std::process::ExitCode;

use gyle_tests::generate::Dice;
use serde_json::{Value, json};

mod carbonate;
mod kinetics;
mod salts;
mod steam;
mod swatch;
mod units;

/// A case: what kind, what went in, what came out.
type Case = (&'static str, Value, Value);

/// An area and what makes its cases.
type Area = (&'static str, fn(&mut Dice) -> Vec<Case>);

const AREAS: [Area; 6] = [
    ("carbonate", carbonate::cases),
    ("steam", steam::cases),
    ("units", units::cases),
    ("salts", salts::cases),
    ("kinetics", kinetics::cases),
    ("swatch", swatch::cases),
];

/// The seed where none is given.
const SEED: u64 = 20;

fn main() -> ExitCode {
    let mut arguments = std::env::args().skip(1);
    let name = arguments.next().unwrap_or_default();
    let seed = arguments.next().map_or(Ok(SEED), |text| text.parse());
    let (Some((_, cases)), Ok(seed)) = (AREAS.iter().find(|(area, _)| *area == name), seed) else {
        let known: Vec<&str> = AREAS.iter().map(|(area, _)| *area).collect();
        eprintln!("usage: independent AREA [SEED]; areas: {}", known.join(" "));
        return ExitCode::FAILURE;
    };
    let mut out = io::stdout().lock();
    let lines = std::iter::once(json!({ "area": name, "seed": seed })).chain(
        cases(&mut Dice::new(seed))
            .into_iter()
            .map(|(kind, given, gyle)| json!({ "kind": kind, "given": given, "gyle": gyle })),
    );
    for line in lines {
        if writeln!(out, "{line}").is_err() {
            return ExitCode::FAILURE;
        }
    }
    ExitCode::SUCCESS
}
