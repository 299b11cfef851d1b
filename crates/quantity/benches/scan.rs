//! Values of a recipe, scanned as the line parser does, with the allocations counted.

use divan::counter::ItemsCount;
use divan::{AllocProfiler, Bencher, black_box};
use quantity::{scan_number, scan_unit};

#[global_allocator]
static ALLOC: AllocProfiler = AllocProfiler::system();

const VALUES: &[&str] = &[
    "3.6 kg    maris otter malt",
    "450 g     brown malt",
    "150 EBC]",
    "67 C for 60 min",
    "60 min",
    "1 1/2 oz  Cluster",
    "4.6 %]",
    "200 billion cells  english ale yeast",
    "0.75 million/mL/P",
    "130 ppm as CaCO3",
    "1.90 EUR/kg",
    "0.95 L/kg",
];

fn main() {
    divan::main();
}

#[divan::bench]
fn values(bencher: Bencher) {
    bencher.counter(ItemsCount::new(VALUES.len())).bench(|| {
        for text in VALUES {
            let (number, len) = scan_number(black_box(text)).unwrap_or_else(|| unreachable!());
            black_box((number, scan_unit(text[len..].trim_start())));
        }
    });
}

#[divan::bench]
fn words_that_are_no_units(bencher: Bencher) {
    let words = ["malt", "Fuggle [alpha 4.6 %] at 60 min", "day 2 gravity", "to fermenter", "at flameout"];
    bencher.counter(ItemsCount::new(words.len())).bench(|| {
        for text in words {
            black_box(scan_unit(black_box(text)));
        }
    });
}
