//! Every option of every command with every format, as the argument parser lists them: an option or a format
//! that is new and has no case here fails the test.
//!
//! The cases run below the house they are about, in a folder whose name has a space and an umlaut. Of each it is
//! kept what it says and what it does to the files; where an option changes nothing of what is said in a format,
//! that alone is said.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use clap::CommandFactory;

use super::{FAULTY, Folder, kept};

/// The parser itself, read once more.
#[path = "../../crates/gyle/src/args.rs"]
#[allow(dead_code, reason = "what the parser finds is of no interest here, only what it would take")]
mod args;

/// What a command is given besides its options, run in [`HERE`].
const GIVEN: &[(&str, &[&str])] = &[
    ("check", &["..", "--only", "decimal-comma,unused-definition"]),
    ("figures", &["sommer bier.gyle"]),
    ("compare", &["sommer bier.gyle", "fährhaus.gyle"]),
    ("why", &["sommer bier.gyle", "winter bier.gyle"]),
    ("fmt", &[".."]),
    ("stamp", &["winter bier.gyle"]),
    ("resize", &["sommer bier.gyle", "--batch", "40 L"]),
    ("explain", &["mash-ph-off"]),
    ("rules", &[]),
    ("new", &["haus & hof"]),
    ("needs", &["sommer bier.gyle", "winter bier.gyle"]),
    ("library list", &[".."]),
    ("library show", &["floor malt"]),
    ("library unused", &[".."]),
    ("library where-used", &["floor malt"]),
    ("index", &[".."]),
    ("bundle", &["sommer bier.gyle"]),
    ("completions", &["fish"]),
    ("man", &["pages"]),
];

/// What an option is given that takes a value and lists none: one row a value. A row may add what the option
/// needs beside it.
const VALUES: &[(&str, &str, &[&str])] = &[
    ("check", "output", &["FORMAT=out FORMAT.txt"]),
    ("check", "only", &["decimal-comma"]),
    ("check", "skip", &["units"]),
    ("check", "since", &["HEAD"]),
    ("check", "since", &["HEAD~1"]),
    ("check", "baseline", &["../known.json"]),
    ("check", "write-baseline", &["new baseline.json"]),
    ("check", "show-settings", &["fährhaus.gyle"]),
    ("check", "edition", &["next"]),
    ("check", "max-size", &["1"]),
    ("check", "max-files", &["2"]),
    ("check", "stdin-path", &["neu.gyle", "-", "--only", "decimal-comma"]),
    ("figures", "stdin-path", &["neu.gyle", "-"]),
    ("stamp", "stdin-path", &["neu.gyle", "-", "--line", "share"]),
    ("stamp", "stdin-path", &["neu.gyle", "-", "--remove"]),
    ("compare", "brewhouse", &["small kettle"]),
    ("why", "figure", &["og,ibu"]),
    ("stamp", "figure", &["og,ibu"]),
    ("resize", "recipe", &["Sommer & Bier"]),
    ("stamp", "line", &["share"]),
    ("library list", "kind", &["malt"]),
    ("library show", "within", &["../recipes süß"]),
    ("library where-used", "within", &[".."]),
    ("index", "to", &["../RECIPES.md"]),
    ("index", "check", &["--to", "../RECIPES.md"]),
];

/// Options whose cases stand elsewhere, and why.
const ELSEWHERE: &[(&str, &str)] = &[
    // It does not end.
    ("check", "watch"),
    // It is what the others are run with.
    ("check", "format"),
    ("resize", "batch"),
];

/// What is long and has tests of its own: of these only the ends are kept.
const LONG: &[(&str, &str)] = &[
    ("check", "show-settings"),
    ("rules", ""),
    ("rules", "format"),
    ("completions", ""),
    ("library list", "built-in"),
    ("figures", ""),
    ("figures", "why"),
];

/// Where the cases run.
const HERE: &str = "recipes süß";

const SUMMER: &str = "recipe \"Sommer & Bier\"
  style     11A
  batch     20 L
  brewhouse kettle

grist
  3.6 kg    floor malt
  200 g     crystal malt [150 EBC]

boil 60 min
  26 g      Challenger [7.4 %] at 60 min

expect
  og        1.042 ± 0.003
  ibu       24..30
";

const CELLAR: &str = "malt \"floor malt\"
  like      pale ale malt
  extract   81 %
  price     2 EUR/kg
  stock     2 kg

malt \"old malt\"
  like      pale ale malt

brewhouse kettle
  mash efficiency     75 %
  evaporation         3 L/h

brewhouse small kettle
  mash efficiency     68 %
  evaporation         2 L/h
";

/// A house with two commits and something changed since.
fn house() -> Folder {
    let folder = Folder::new("options süß & salzig");
    folder
        .write("gyle.toml", "library = [\"cellar/*.gyle\"]\n\n[check.rules]\nunused-definition = \"hint\"\n");
    folder.write("cellar/malze.gyle", CELLAR);
    folder.write("recipes süß/sommer bier.gyle", SUMMER);
    let known = r#"{"version":1,"findings":[]}"#;
    folder.write("known.json", known);
    folder.git(&["init", "-q", "-b", "main"]);
    folder.commit("A beer for the summer");
    let winter = SUMMER.replace("Sommer", "Winter").replace("3.6 kg", "4 kg").replace("26 g", "30 g");
    let winter = winter.replace("at 60 min", "at 60 min  #= 20 IBU");
    folder.write("recipes süß/winter bier.gyle", winter);
    folder.commit("A beer for the winter");
    folder.write("recipes süß/fährhaus.gyle", FAULTY);
    let below = Folder(folder.0.join(HERE));
    let args = ["check", "winter bier.gyle", "fährhaus.gyle", "--only", "unit-missing", "--write-baseline"];
    let done = below.gyle(&[&args[..], &["../known.json"]].concat(), "");
    assert_eq!(done.status.code(), Some(0), "{done:?}");
    core::mem::forget(below);
    folder
}

type Files = BTreeMap<PathBuf, Vec<u8>>;

/// All files below a folder but those of git.
fn files(folder: &Path) -> Files {
    let mut found = Files::new();
    let mut open = vec![folder.to_path_buf()];
    while let Some(folder) = open.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.ends_with(".git") {
                continue;
            }
            if path.is_dir() {
                open.push(path);
            } else {
                found.insert(path.clone(), fs::read(&path).unwrap());
            }
        }
    }
    found
}

/// What a command did to the files, which are put back as they were.
fn put_back(root: &Path, before: &Files) -> String {
    let after = files(root);
    let mut said = String::new();
    for (path, bytes) in &after {
        let name = path.strip_prefix(root).unwrap().display();
        match before.get(path) {
            Some(old) if old == bytes => continue,
            Some(old) => {
                said.push_str(&format!("--- changed {name}\n"));
                said.push_str(&changed_lines(&String::from_utf8_lossy(old), &String::from_utf8_lossy(bytes)));
                fs::write(path, old).unwrap();
            }
            None => {
                said.push_str(&format!("--- made {name}\n"));
                fs::remove_file(path).unwrap();
            }
        }
    }
    for (path, bytes) in before.iter().filter(|(path, _)| !after.contains_key(*path)) {
        said.push_str(&format!("--- took away {}\n", path.strip_prefix(root).unwrap().display()));
        fs::write(path, bytes).unwrap();
    }
    for made in ["haus & hof", "pages"] {
        let _ = fs::remove_dir_all(root.join(HERE).join(made));
    }
    said
}

fn changed_lines(old: &str, new: &str) -> String {
    let diff = similar::TextDiff::from_lines(old, new);
    let lines = diff.iter_all_changes().filter(|one| one.tag() != similar::ChangeTag::Equal);
    lines.map(|one| format!("{}{one}", one.tag())).collect()
}

/// The ends of a long text, and of its lines the beginning.
fn ends(text: &str) -> String {
    let short = |line: &str| match line.char_indices().nth(300) {
        Some((at, _)) => format!("{}...", &line[..at]),
        None => line.to_owned(),
    };
    let lines: Vec<String> = text.lines().map(short).collect();
    let shown = match lines.len() {
        0..=16 => lines.join("\n"),
        many => format!("{}\n...\n{}", lines[..8].join("\n"), lines[many - 4..].join("\n")),
    };
    format!("{shown}\n")
}

/// A command with its name as typed.
fn commands() -> Vec<(String, clap::Command)> {
    let mut all = Vec::new();
    for command in args::Cli::command().get_subcommands() {
        let name = command.get_name().to_owned();
        if command.has_subcommands() {
            all.extend(
                command.get_subcommands().map(|sub| (format!("{name} {}", sub.get_name()), sub.clone())),
            );
        } else {
            all.push((name, command.clone()));
        }
    }
    all
}

/// The values an option lists.
fn listed(arg: &clap::Arg) -> Vec<String> {
    if !arg.get_action().takes_values() {
        return Vec::new();
    }
    arg.get_possible_values().iter().map(|value| value.get_name().to_owned()).collect()
}

/// Each way an option is given.
fn ways(command: &str, arg: &clap::Arg) -> Vec<Vec<String>> {
    let name = arg.get_long().unwrap();
    let rows: Vec<&[&str]> = VALUES
        .iter()
        .filter(|(of, option, _)| *of == command && *option == name)
        .map(|(.., given)| *given)
        .collect();
    let option = || format!("--{name}");
    let owned = |list: &[&str]| list.iter().map(|text| (*text).to_owned()).collect::<Vec<String>>();
    if !arg.get_action().takes_values() {
        let beside = rows.first().map(|row| owned(row)).unwrap_or_default();
        return vec![[vec![option()], beside].concat()];
    }
    let known = listed(arg);
    if !known.is_empty() {
        return known.into_iter().map(|value| vec![option(), value]).collect();
    }
    assert!(!rows.is_empty(), "`gyle {command} --{name}` is tried with no value; add a row to VALUES");
    rows.into_iter().map(|row| [vec![option()], owned(row)].concat()).collect()
}

#[test]
fn every_option_with_every_format() {
    let folder = house();
    let below = Folder(folder.0.join(HERE));
    let before = files(&folder.0);
    let here = folder.0.to_string_lossy().into_owned();
    let (mut seen, mut cases) = (Vec::new(), 0);
    for (command, parsed) in commands().into_iter().filter(|(command, _)| command != "lsp") {
        let (_, given) = GIVEN
            .iter()
            .find(|(name, _)| *name == command)
            .unwrap_or_else(|| unreachable!("`gyle {command}` is not tried; add it to GIVEN"));
        let options: Vec<&clap::Arg> = parsed
            .get_arguments()
            .filter(|arg| arg.get_long().is_some_and(|long| long != "help") && !arg.is_hide_set())
            .collect();
        let of_format = options.iter().find(|arg| arg.get_long() == Some("format"));
        let formats = of_format.map_or_else(|| vec![String::new()], |arg| listed(arg));
        let words: Vec<&str> = command.split(' ').collect();
        let mut text = String::new();
        let mut bases: BTreeMap<String, String> = BTreeMap::new();
        let mut rows: Vec<(&str, Vec<String>)> = vec![("", Vec::new())];
        for arg in &options {
            let name = arg.get_long().unwrap();
            seen.push((command.clone(), name.to_owned()));
            if name != "format" && !ELSEWHERE.contains(&(&*command, name)) {
                rows.extend(ways(&command, arg).into_iter().map(|way| (name, way)));
            }
        }
        for (option, way) in rows {
            let mut last: Option<(String, String)> = None;
            for format in &formats {
                let way: Vec<String> = way.iter().map(|part| part.replace("FORMAT", format)).collect();
                let mut args: Vec<&str> = words.clone();
                // Standard input takes the place of the paths, and a choice of rules that of another.
                let instead = way.iter().any(|part| part == "-") || option == "only";
                let paths = if command == "check" && !instead { given } else { &given[..0] };
                let given = if command == "check" || instead { paths } else { given };
                args.extend(given.iter().chain(if option == "only" { &[".."][..] } else { &[] }));
                args.extend(way.iter().map(String::as_str));
                // A report in a file stands alone.
                if !format.is_empty() && option != "output" {
                    args.extend(["--format", format]);
                }
                let output = below.gyle(&args, FAULTY);
                let mut said = String::from_utf8(output.stdout).unwrap();
                let long = LONG.iter().any(|(of, name)| {
                    *of == command && (*name == option || *name == "format" && option.is_empty())
                });
                if long {
                    said = ends(&said);
                }
                if option == "output" {
                    // What goes to a file is what would have gone to standard output.
                    let written = fs::read_to_string(below.0.join(format!("out {format}.txt"))).unwrap();
                    let base = bases.get(format).and_then(|base| base.strip_suffix("--- code 1\n"));
                    assert_eq!(Some(&*written), base, "{format}");
                }
                let errors = String::from_utf8(output.stderr).unwrap();
                if !errors.is_empty() {
                    said.push_str(&format!("--- standard error\n{errors}"));
                }
                said.push_str(&put_back(&folder.0, &before));
                said.push_str(&format!("--- code {}\n", output.status.code().unwrap()));
                let said = said.replace(&here, "FOLDER");
                text.push_str(&format!("$ gyle {}\n", args.join(" ")));
                if option.is_empty() {
                    bases.insert(format.clone(), said.clone());
                    text.push_str(&said);
                } else if bases.get(format) == Some(&said) {
                    text.push_str("(as without it)\n");
                } else if let Some((other, _)) = last.as_ref().filter(|(_, last)| *last == said) {
                    text.push_str(&format!("(as with {other})\n"));
                } else {
                    // Of a long report the lines that are others.
                    let changed = bases.get(format).map(|base| changed_lines(base, &said));
                    match changed.filter(|changed| changed.len() < said.len()) {
                        Some(changed) => text.push_str(&format!("(against what it says without)\n{changed}")),
                        None => text.push_str(&said),
                    }
                    last = Some((format.clone(), said));
                }
                text.push('\n');
                cases += 1;
            }
        }
        kept(&format!("options-{}", command.replace(' ', "-")), &text);
    }
    core::mem::forget(below);
    for (command, option) in VALUES.iter().map(|row| (row.0, row.1)).chain(ELSEWHERE.iter().copied()) {
        assert!(
            seen.iter().any(|(of, name)| of == command && name == option),
            "there is no `gyle {command} --{option}` any more"
        );
    }
    assert!(cases > 250, "{cases} cases");
}

/// A file that cannot be read stands among good ones: in every format the rest is checked, and the code says
/// that something is missing.
#[test]
fn every_format_with_a_file_that_cannot_be_read() {
    let folder = Folder::new("unreadable süß");
    folder.write("a b/fährhaus.gyle", FAULTY);
    folder.write("a b/kaputt.gyle", [b'r', 0xff, 0xfe]);
    folder.write("a b/plain.gyle", super::PLAIN);
    let below = Folder(folder.0.join("a b"));
    let mut text = String::new();
    for format in formats() {
        let args = ["check", "--only", "decimal-comma", "--format", &format];
        let output = below.gyle(&args, "");
        assert_eq!(output.status.code(), Some(2), "{format}");
        let said = String::from_utf8_lossy(&output.stdout).into_owned();
        assert!(said.contains("decimal-comma"), "{format}: {said}");
        assert!(String::from_utf8_lossy(&output.stderr).contains("kaputt.gyle"), "{format}");
        text.push_str(&super::said(&args, &output));
        text.push('\n');
    }
    core::mem::forget(below);
    kept("unreadable-every-format", &text);
}

/// The forms of a report.
pub(super) fn formats() -> Vec<String> {
    let check = commands().into_iter().find(|(name, _)| name == "check").unwrap().1;
    let found: Vec<String> =
        check.get_arguments().find(|arg| arg.get_long() == Some("format")).map(listed).unwrap();
    assert!(found.len() >= 10, "{found:?}");
    found
}
