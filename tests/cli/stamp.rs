//! `gyle stamp`.

use super::{Folder, demo, kept, said};

const BITTER: &str = "saltmarsh/recipes/whin-bank-bitter.gyle";
const SPLIT: &str = "saltmarsh/recipes/two-moorings.gyle";
const LOG: &str = "saltmarsh/logs/31-whin-bank-bitter.gyle";

/// Runs commands one after the other and shows what each did to the stamps of a file.
fn story(folder: &Folder, path: &str, commands: &[&[&str]]) -> String {
    let mut text = String::new();
    for args in commands {
        text.push_str(&said(args, &folder.gyle(args, "")));
        for line in folder.read(path).lines().filter(|line| line.contains("#=")) {
            text.push_str(&format!("    {line}\n"));
        }
    }
    text
}

#[test]
fn stamps_are_written_refreshed_checked_and_removed() {
    let folder = demo("stamp");
    let write = ["stamp", BITTER, "--figure", "og,ibu,mash-ph", "--line", "ibu"];
    let mut text = story(&folder, BITTER, &[&write, &write, &["stamp", BITTER, "--check"]]);
    let recipe = folder.read(BITTER).replace("26 g      Challenger", "32 g      Challenger");
    folder.write(BITTER, recipe);
    text.push_str("(6 g more of the first hop)\n");
    text.push_str(&story(
        &folder,
        BITTER,
        &[
            &["stamp", BITTER, "--check"],
            &["check", BITTER, "--only", "stale-stamp", "--format", "line"],
            &["stamp", BITTER, "--figure", "og"],
            &["stamp", BITTER],
            &["stamp", BITTER, "--remove", "--figure", "mash-ph"],
            &["stamp", BITTER, "--remove"],
        ],
    ));
    kept("stamp", &text);
}

#[test]
fn parts_share_what_is_the_same() {
    let folder = demo("stamp-parts");
    kept("stamp-parts", &story(&folder, SPLIT, &[&["stamp", SPLIT, "--figure", "og,fg,abv,ibu"]]));
}

#[test]
fn a_pin_stays_until_it_is_taken_away() {
    let folder = demo("stamp-pin");
    let write = ["stamp", LOG, "--figure", "recipe"];
    let mut text = story(&folder, LOG, &[&write, &write]);
    let recipe = folder.read(BITTER).replace("26 g      Challenger", "32 g      Challenger");
    folder.write(BITTER, recipe);
    text.push_str("(6 g more of the first hop)\n");
    let only = ["check", LOG, "--only", "recipe-changed-since-brewed", "--format", "line"];
    text.push_str(&story(
        &folder,
        LOG,
        &[&["stamp", LOG], &write, &only, &["stamp", LOG, "--remove", "--figure", "recipe"], &write, &only],
    ));
    kept("stamp-pin", &text);
}

#[test]
fn what_cannot_be_stamped() {
    let folder = Folder::new("stamp-not");
    folder.write(
        "a.gyle",
        "recipe \"A\"\n  batch     20 L\n\ngrist\n  4 kg      pale malt\n\nboil 60 min\n  30 g      \"Fuggle at 60 min\n",
    );
    folder.write(
        "b.gyle",
        "recipe \"B\"  # a comment   \r\n  batch     20 L\r\n\r\ngrist\r\n  4 kg      pale malt\r\n",
    );
    let mut text = String::new();
    for args in [
        &["stamp", "a.gyle", "--figure", "og", "--line", "ibu,share"][..],
        &["stamp", "b.gyle", "--figure", "og"],
        &["stamp", "--figure", "oog"],
        &["stamp", "--figure", "actual-og"],
        &["stamp", "--line", "abv"],
        &["stamp", "nowhere.gyle"],
    ] {
        text.push_str(&said(args, &folder.gyle(args, "")));
    }
    for path in ["a.gyle", "b.gyle"] {
        text.push_str(&format!("--- {path}\n{}", folder.read(path).replace('\r', "<cr>")));
    }
    let piped = ["stamp", "-", "--figure", "og"];
    text.push_str(&said(&piped, &folder.gyle(&piped, super::PLAIN)));
    kept("stamp-not", &text);
}
