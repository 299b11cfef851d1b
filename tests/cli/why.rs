//! `gyle why`.

use super::{Folder, demo, kept, said};

const BITTER: &str = "saltmarsh/recipes/whin-bank-bitter.gyle";
const LOG: &str = "saltmarsh/logs/31-whin-bank-bitter.gyle";
const PORTER: &str = "saltmarsh/logs/27-estuary-porter.gyle";

#[test]
fn between_commits() {
    let folder = demo("why");
    folder.git(&["init", "-q", "-b", "main"]);
    folder.commit("The recipes");
    folder.change(
        "saltmarsh/cellar/malts.gyle",
        &[("extract             81.5 %", "extract             79.5 %")],
    );
    folder.change(
        "saltmarsh/cellar/brewhouses.gyle",
        &[("evaporation         3.2 L/h", "evaporation         2.8 L/h")],
    );
    folder.change(
        BITTER,
        &[
            ("[5.2 %] at 15 min", "[5.2 %] at 5 min"),
            ("  30 g      chocolate malt", "  45 g      chocolate malt"),
        ],
    );
    let settings = folder.read("saltmarsh/gyle.toml");
    let settings = format!("{settings}\n[figures]\nalcohol = \"uk-excise\"\n");
    folder.write("saltmarsh/gyle.toml", settings);
    for (name, args) in [
        ("why", &["why", "HEAD", "--figure", "og,ibu,abv,pre-boil-gravity"][..]),
        ("why-main", &["why", &format!("HEAD:{BITTER}"), BITTER]),
        ("why-markdown", &["why", &format!("HEAD:{BITTER}"), BITTER, "--format", "markdown"]),
        ("why-json", &["why", BITTER, "--format", "json", "--figure", "og,ibu"]),
    ] {
        kept(name, &said(args, &folder.gyle(args, "")));
    }
}

#[test]
fn plans_and_gyles() {
    let folder = demo("why-gyles");
    for (name, args) in [
        ("why-plan", &["why", LOG][..]),
        ("why-plan-named", &["why", LOG, BITTER, "--figure", "og"]),
        ("why-gyles", &["why", LOG, PORTER, "--figure", "fg", "--format", "markdown"]),
    ] {
        kept(name, &said(args, &folder.gyle(args, "")));
    }
}

/// The parts in JSON are not rounded: they add up.
#[test]
fn parts_in_json_add_up() {
    let folder = demo("why-sums");
    let other = "saltmarsh/recipes/other.gyle";
    folder.write(other, folder.read(BITTER));
    // More than eight changes, so that they are held together.
    folder.change(
        other,
        &[
            ("Whin Bank Bitter", "Whin Bank Best"),
            ("  batch     20 L", "  batch     22 L"),
            ("3.65 kg", "3.9 kg"),
            ("260 g", "300 g"),
            ("  150 g     torrefied wheat\n", ""),
            ("11.5 L", "12.5 L"),
            ("6.8 g gypsum", "5 g gypsum"),
            ("66 C for 60 min", "67 C for 75 min"),
            ("26 g      Challenger", "30 g      Challenger"),
            ("at 15 min", "at 10 min"),
            ("boil 60 min", "boil 70 min"),
        ],
    );
    for args in [["why", BITTER, other, "--format", "json"], ["why", BITTER, LOG, "--format", "json"]] {
        let output = folder.gyle(&args, "");
        assert_eq!(String::from_utf8_lossy(&output.stderr), "");
        let value: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
        let mut figures = 0;
        for one in value["differences"].as_array().unwrap() {
            for figure in one["figures"].as_array().unwrap() {
                let number = |key: &str| figure[key].as_f64().unwrap();
                let parts = figure["parts"].as_array().unwrap().iter();
                let sum: f64 = parts.map(|part| part["part"].as_f64().unwrap()).sum();
                let off = (sum - (number("to") - number("from"))).abs();
                assert!(off < 1e-9, "{figure}");
                figures += 1;
            }
        }
        assert!(figures > 5, "{figures} figures differ");
    }
}

#[test]
fn what_cannot_be_told() {
    let folder = Folder::new("why-not");
    folder.write("a.gyle", super::PLAIN);
    folder.write("log.gyle", "gyle 1 \"Nobody's Beer\" on 2026-03-14\n  10:05   mash in   66 C\n");
    let mut text = String::new();
    for args in [
        &["why", "a.gyle", "nowhere.gyle"][..],
        &["why", "a.gyle", "a.gyle", "--figure", "ibbu"],
        &["why", "log.gyle"],
        &["why", "a.gyle", "log.gyle"],
        &["why", "a.gyle", "a.gyle"],
    ] {
        text.push_str(&said(args, &folder.gyle(args, "")));
    }
    // Where the target folder stands is no matter of the test.
    let here = folder.0.to_string_lossy().into_owned();
    kept("why-not", &text.replace(&here, "FOLDER"));
}
