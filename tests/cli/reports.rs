//! The reports of `gyle check`: formats, files, choice of rules, baseline.

use serde_json::Value;

use super::{FAULTY, Folder, PLAIN, kept, said, tests};

/// A folder with a recipe at fault and a sound one, their paths with blanks and accents.
fn faulty(name: &str) -> Folder {
    let folder = Folder::new(name);
    folder.write("a b/fährhaus.gyle", FAULTY);
    folder.write("a b/plain.gyle", PLAIN);
    folder
}

#[test]
fn every_format() {
    let folder = faulty("formats");
    for (name, args) in [
        ("report-line", &["check", "--format", "line"][..]),
        ("report-json-lines", &["check", "--format", "json-lines"]),
        ("report-sarif", &["check", "--format", "sarif", "--only", "decimal-comma"]),
        ("report-junit", &["check", "--format", "junit"]),
        ("report-junit-never", &["check", "--format", "junit", "--fail-on", "never", "--only", "boil"]),
        ("report-github", &["check", "--output", "github"]),
        ("report-gitlab", &["check", "--output", "gitlab"]),
        ("report-azure", &["check", "--output", "azure"]),
        ("report-review", &["check", "--output", "review"]),
        ("report-statistics", &["check", "--statistics"]),
        ("report-statistics-json", &["check", "--statistics", "--format", "json"]),
        ("report-statistics-line", &["check", "--statistics", "--format", "line"]),
        ("report-two-on-standard-output", &["check", "--output", "line", "--format", "json"]),
        ("report-unknown", &["check", "--output", "xml=out.xml"]),
        ("report-no-file", &["check", "--output", "json="]),
        ("report-nowhere", &["check", "--output", "json=no/such/folder.json", "--output", "line"]),
    ] {
        kept(name, &said(args, &folder.gyle(args, "")));
    }
}

#[test]
fn reports_go_to_files_side_by_side() {
    let folder = faulty("files");
    let args = [
        "check",
        "--output",
        "line",
        "--output",
        "line=out line.txt",
        "--output",
        "json=out.json",
        "--output",
        "sarif=out.sarif",
        "--output",
        "human=out.txt",
    ];
    let output = folder.gyle(&args, "");
    assert_eq!(output.status.code(), Some(1));
    assert_eq!(folder.read("out line.txt"), String::from_utf8(output.stdout).unwrap());
    let json: Value = serde_json::from_str(&folder.read("out.json")).unwrap();
    let sarif: Value = serde_json::from_str(&folder.read("out.sarif")).unwrap();
    let rules = |list: &Value, key: &str| -> Vec<String> {
        list.as_array().unwrap().iter().map(|one| one[key].as_str().unwrap().to_owned()).collect()
    };
    let found = rules(&json["findings"], "rule");
    assert_eq!(found.len(), 3);
    assert_eq!(found, rules(&sarif["runs"][0]["results"], "ruleId"));
    assert!(folder.read("out.txt").ends_with("2 files checked: 3 errors, no warnings, no hints\n"));
}

#[test]
fn sarif_is_valid_by_its_schema() {
    let schema = std::fs::read_to_string(tests().join("schemas/sarif-2.1.0.json")).unwrap();
    // The pattern of language codes, as published, is no regular expression; gyle writes none.
    let schema = schema.replace("^[a-zA-Z]{2}|^[a-zA-Z]{2}-[a-zA-Z]{2}]?$", "^[a-zA-Z]{2}(-[a-zA-Z]{2})?$");
    let schema: Value = serde_json::from_str(&schema).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    let folder = super::demo("sarif");
    folder.write("a b/fährhaus.gyle", FAULTY);
    folder.write(
        "other/names.gyle",
        "recipe \"X\"\n  batch 20 L\n\ngrist\n  4 kg crystal malt\n  1 kg pael malt\n",
    );
    for args in [
        &["check", ".", "--format", "sarif"][..],
        &["check", "saltmarsh/logs", "--format", "sarif"],
        &["check", "nowhere", "--format", "sarif"],
    ] {
        let output = folder.gyle(args, "");
        let report: Value = serde_json::from_slice(&output.stdout).unwrap();
        let faults: Vec<String> = validator
            .iter_errors(&report)
            .map(|error| format!("{}: {error}", error.instance_path()))
            .collect();
        assert_eq!(faults, Vec::<String>::new(), "{args:?}");
    }
    // The validator finds fault where there is some.
    let output = folder.gyle(&["check", ".", "--format", "sarif"], "");
    let mut report: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert!(report["runs"][0]["results"].as_array().unwrap().len() > 5);
    report["runs"][0]["results"][0]["level"] = "dreadful".into();
    assert!(!validator.is_valid(&report));
}

#[test]
fn rules_are_chosen_by_name_and_by_group() {
    let folder = faulty("choice");
    let mut text = String::new();
    for args in [
        &["check", "--format", "line", "--only", "units"][..],
        &["check", "--format", "line", "--only", "boil,decimal-comma"],
        &["check", "--format", "line", "--skip", "units"],
        &["check", "--format", "line", "--only", "units", "--skip", "decimal-comma"],
        &["check", "--format", "line", "--skip", "units", "--only", "decimal-comma"],
        &["check", "--only", "decimal-coma"],
        &["check", "--skip", "everything"],
    ] {
        text.push_str(&said(args, &folder.gyle(args, "")));
        text.push('\n');
    }
    kept("report-choice", &text);
    folder.gyle(&["check", "--fix", "--skip", "decimal-comma"], "");
    assert_eq!(folder.read("a b/fährhaus.gyle"), FAULTY);
}

#[test]
fn files_and_settings_are_shown() {
    let folder = faulty("shown");
    folder.write(
        "a b/gyle.toml",
        "customary = \"us\"\n[check]\nexclude = [\"plain*\"]\n[check.rules]\nstyle = \"off\"\n[check.limits]\nmash-ph = \"5.3..5.5\"\n",
    );
    let args = ["check", "--show-files"];
    kept("show-files", &said(&args, &folder.gyle(&args, "")));
    // Of the settings, those that a configuration changed, and the same lines without one.
    let mut text = String::new();
    for file in ["a b/new.gyle", "elsewhere.gyle"] {
        let args = ["check", "--show-settings", file];
        let said = said(&args, &folder.gyle(&args, ""));
        assert!(said.lines().filter(|line| line.starts_with("# ") && line.ends_with("# boil")).count() > 5);
        let parts =
            ["settings of", "no gyle.toml", "customary", "exclude", "# style", "mash-ph = ", "--- code"];
        for line in said.lines().filter(|line| parts.iter().any(|part| line.contains(part))) {
            text.push_str(line);
            text.push('\n');
        }
    }
    kept("show-settings", &text);
}

#[test]
fn a_baseline_lets_old_findings_be_and_new_ones_through() {
    let folder = faulty("baseline");
    let mut text = String::new();
    let mut run = |args: &[&str]| {
        text.push_str(&said(args, &folder.gyle(args, "")));
        text.push('\n');
    };
    run(&["check", "--baseline", "known.json"]);
    run(&["check", "--write-baseline", "known.json"]);
    run(&["check", "--baseline", "known.json"]);
    run(&["check", "--baseline", "known.json", "--format", "json"]);
    // Lines move, one fault is mended, a new one comes, a file gets another name.
    let mended =
        FAULTY.replace("4,1 kg ", "4.1 kg ").replace("grist\n", "# more\n\ngrist\n  1,5 kg    wheat malt\n");
    folder.write("a b/ferry.gyle", &mended);
    std::fs::remove_file(folder.0.join("a b/fährhaus.gyle")).unwrap();
    run(&["check", "--baseline", "known.json", "--format", "line"]);
    run(&["check", "--baseline", "known.json", "--format", "line", "--only", "boil"]);
    // What this run does not look at stays.
    run(&["check", "a b/plain.gyle", "--write-baseline", "known.json"]);
    run(&["check", "--write-baseline", "known.json"]);
    text.push_str(&folder.read("known.json"));
    kept("baseline", &text);
    folder.write("known.json", "[]");
    let args = ["check", "--baseline", "known.json"];
    kept("baseline-foreign", &said(&args, &folder.gyle(&args, "")));
}

#[test]
fn a_baseline_holds_from_every_folder() {
    let folder = faulty("below");
    assert_eq!(folder.gyle(&["check", "--write-baseline", "known.json"], "").status.code(), Some(0));
    let written = folder.read("known.json");
    folder.write("a b/c/x.txt", "");
    let below = Folder(folder.0.join("a b/c"));
    folder.write("a b/c/d/known.json", r#"{"version":1,"findings":[]}"#);
    let output = below.gyle(&["check", "../fährhaus.gyle", "--write-baseline", "d/known.json"], "");
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    assert!(folder.read("a b/c/d/known.json").contains("\"../../fährhaus.gyle\""));
    let output = folder.gyle(&["check", "--baseline", "a b/c/d/known.json"], "");
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    let output = below.gyle(&["check", "..", "--baseline", "../../known.json"], "");
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    below.gyle(&["check", "..", "--write-baseline", "../../known.json"], "");
    assert_eq!(folder.read("known.json"), written);
}

#[test]
fn what_can_hurt_somebody_is_in_no_baseline() {
    let folder = Folder::new("safety");
    folder.write(
        "bottles.gyle",
        "recipe \"Bottles\"\n  batch 20 L\n\ngrist\n  2 kg wheat malt\n  2 kg pilsner malt\n\npackage\n  bottle 3.6 vol at 20 C with table sugar\n",
    );
    let mut text = String::new();
    for args in [
        &["check", "--write-baseline", "known.json", "--only", "package"][..],
        &["check", "--baseline", "known.json", "--format", "line", "--only", "package"],
    ] {
        text.push_str(&said(args, &folder.gyle(args, "")));
    }
    text.push_str(&folder.read("known.json"));
    kept("baseline-safety", &text);
}
