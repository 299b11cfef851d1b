//! What helps to keep a house of recipes: `new`, `needs`, `library`, `index`, `bundle`, `resize`, `completions`, `man`.

use std::fs;
use std::process::Command;

use super::{Folder, demo, kept, said, tests};

#[test]
fn a_new_house_is_clean_and_is_never_made_over_an_old_one() {
    let folder = Folder::new("new");
    let made = folder.gyle(&["new", "käse & bier"], "");
    kept("new", &said(&["new", "käse & bier"], &made));
    let check = folder.gyle(&["check", "käse & bier", "--fail-on", "hint"], "");
    assert_eq!(said(&["check"], &check).lines().last(), Some("--- code 0"), "{}", said(&["check"], &check));
    let format = folder.gyle(&["fmt", "--check", "käse & bier"], "");
    assert_eq!(format.status.code(), Some(0), "{}", said(&["fmt"], &format));
    // The log's lines are comments to fill in; with their marks taken off they are a log without a fault
    // of writing.
    let log = "käse & bier/logs/1-first-bitter.gyle";
    let filled = folder.read(log).replace("  # ", "  ").replace("planned 2030-01-01 10:00", "on 2026-03-14");
    folder.write(log, filled);
    let check = folder.gyle(&["check", log, "--only", "syntax,units,names"], "");
    assert_eq!(check.status.code(), Some(0), "{}", said(&["check"], &check));

    folder.write("käse & bier/gyle.toml", "# mine\n");
    let again = folder.gyle(&["new", "käse & bier"], "");
    kept("new-again", &said(&["new", "käse & bier"], &again));
    assert_eq!(folder.read("käse & bier/gyle.toml"), "# mine\n");
    for (ci, path) in
        [("github", Some(".github/workflows/gyle.yml")), ("gitlab", Some(".gitlab-ci.yml")), ("none", None)]
    {
        let made = folder.gyle(&["new", ci, "--ci", ci], "");
        assert_eq!(made.status.code(), Some(0));
        for other in [".github/workflows/gyle.yml", ".gitlab-ci.yml"] {
            assert_eq!(folder.0.join(ci).join(other).exists(), path == Some(other), "{ci} {other}");
        }
    }
}

#[test]
fn the_git_hook_is_a_script_that_the_shell_can_read() {
    let hook = tests().join("../crates/gyle/templates/hooks/pre-commit");
    let read = Command::new("sh").arg("-n").arg(hook).output().unwrap();
    assert!(read.status.success(), "{read:?}");
}

#[test]
fn lists_of_the_demo() {
    let folder = demo("house");
    let [porter, lager, amber, sour] =
        ["estuary-porter", "seawall-lager", "ferry-slip-amber", "samphire-sour"]
            .map(|name| format!("saltmarsh/recipes/{name}.gyle"));
    for (name, args) in [
        ("needs", &["needs", &porter, &lager][..]),
        ("needs-after-stock", &["needs", "saltmarsh/recipes", "--after-stock"]),
        ("needs-customary", &["needs", &amber]),
        ("needs-unknown-markdown", &["needs", &sour, "--after-stock", "--format", "markdown"]),
        ("needs-json", &["needs", &porter, "--format", "json"]),
        ("library-list", &["library", "list", "saltmarsh"]),
        ("library-list-kind", &["library", "list", "saltmarsh", "--kind", "brewhouse", "--built-in"]),
        ("library-list-no-kind", &["library", "list", "saltmarsh", "--kind", "grain"]),
        ("library-show", &["library", "show", "wall Fuggle", "--within", "saltmarsh"]),
        ("library-show-nothing", &["library", "show", "wall Fugle", "--within", "saltmarsh"]),
        ("library-where-used", &["library", "where-used", "Fuggle", "--within", "saltmarsh"]),
        ("index", &["index", "saltmarsh"]),
        ("index-markdown", &["index", "saltmarsh", "--format", "markdown"]),
        ("index-json", &["index", "saltmarsh/recipes", "--format", "json"]),
        ("bundle", &["bundle", "saltmarsh/recipes/breakwater-small.gyle"]),
        ("bundle-folder", &["bundle", "saltmarsh/recipes"]),
    ] {
        kept(name, &said(args, &folder.gyle(args, "")));
    }
    folder.write("saltmarsh/cellar/odd.gyle", "malt \"nobody's malt\"\n  like  pale malt\n");
    let args = ["library", "unused", "saltmarsh"];
    kept("library-unused", &said(&args, &folder.gyle(&args, "")));
}

#[test]
fn a_recipe_for_another_batch() {
    let folder = demo("resize");
    let bitter = "saltmarsh/recipes/whin-bank-bitter.gyle";
    for (name, args) in [
        ("resize-diff", &["resize", bitter, "--batch", "50 L", "--diff"][..]),
        ("resize-refused", &["resize", bitter, "--batch", "50 kg"]),
        ("resize-unknown", &["resize", bitter, "--batch", "50 L", "--recipe", "Größe"]),
    ] {
        kept(name, &said(args, &folder.gyle(args, "")));
    }
    let before = folder.read(bitter);
    let shown = folder.gyle(&["resize", bitter, "--batch", "50 L"], "");
    assert_eq!(folder.read(bitter), before, "without --write the file stays");
    let written = folder.gyle(&["resize", bitter, "--batch", "50 L", "--write"], "");
    assert_eq!(written.status.code(), Some(0));
    assert_eq!(folder.read(bitter), String::from_utf8(shown.stdout).unwrap());
    // The gravity of the larger batch is that of the one it was made from.
    let og = |text: &str| {
        folder.write("saltmarsh/recipes/one.gyle", text);
        let output = folder.gyle(&["figures", "saltmarsh/recipes/one.gyle", "--format", "json"], "");
        let value: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
        value["files"][0]["recipes"][0]["figures"]["og"]["value"].as_f64().unwrap()
    };
    assert!((og(&before) - og(&folder.read(bitter))).abs() < 0.0005);
}

#[test]
fn the_index_page_is_written_and_checked() {
    let folder = demo("index");
    let args = ["index", "saltmarsh", "--format", "markdown", "--to", "saltmarsh/RECIPES.md"];
    let check = [&args[..], &["--check"]].concat();
    assert_eq!(folder.gyle(&check, "").status.code(), Some(1));
    assert_eq!(folder.gyle(&args, "").status.code(), Some(0));
    assert_eq!(folder.gyle(&check, "").status.code(), Some(0));
    assert!(folder.read("saltmarsh/RECIPES.md").contains("[Estuary Porter](<recipes/estuary-porter.gyle>)"));
    let bitter = folder.read("saltmarsh/recipes/estuary-porter.gyle").replace("4.8 %", "5.8 %");
    folder.write("saltmarsh/recipes/estuary-porter.gyle", bitter.replace("48 g ", "60 g "));
    assert_eq!(folder.gyle(&check, "").status.code(), Some(1));
}

#[test]
fn every_recipe_of_the_demo_can_be_bundled() {
    let folder = demo("bundles");
    for entry in fs::read_dir(folder.0.join("saltmarsh/recipes")).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        let path = format!("saltmarsh/recipes/{name}");
        let bundle = folder.gyle(&["bundle", &path], "");
        assert_eq!(bundle.status.code(), Some(0), "{}", said(&["bundle", &path], &bundle));
        // Outside the house, with nothing beside it, it computes the same.
        folder.write("alone/one.gyle", &bundle.stdout);
        let figures = |path: &str| {
            let output = folder.gyle(&["figures", path, "--format", "json"], "");
            let value: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
            value["files"][0]["recipes"][0]["figures"].clone()
        };
        let values = |figures: &serde_json::Value| -> Vec<(String, serde_json::Value)> {
            figures.as_object().unwrap().iter().map(|(id, one)| (id.clone(), one["value"].clone())).collect()
        };
        assert_eq!(values(&figures("alone/one.gyle")), values(&figures(&path)), "{name}");
    }
}

#[test]
fn shells_and_man_know_every_command() {
    let folder = Folder::new("manual");
    let help = String::from_utf8(folder.gyle(&["--help"], "").stdout).unwrap();
    let commands: Vec<&str> = help
        .lines()
        .skip_while(|line| *line != "Commands:")
        .skip(1)
        .take_while(|line| !line.is_empty())
        .filter_map(|line| line.strip_prefix("  ")?.split_whitespace().next())
        .collect();
    assert!(commands.contains(&"check"), "{help}");
    assert_eq!(folder.gyle(&["man", "pages"], "").status.code(), Some(0));
    for shell in ["bash", "fish", "zsh"] {
        let text = String::from_utf8(folder.gyle(&["completions", shell], "").stdout).unwrap();
        for command in &commands {
            assert!(text.contains(command), "{shell} does not know {command}");
            assert!(folder.read(&format!("pages/gyle-{command}.1")).starts_with(".ie"), "{command}");
        }
    }
}
