//! A branch of a repository of recipes, from the first check to a clean one, as the README tells it; and which
//! files a check since a revision looks at.

use super::{Folder, demo, kept, said};

const BITTER: &str = "saltmarsh/recipes/whin-bank-bitter.gyle";
const CELLAR: &str = "saltmarsh/cellar/malts.gyle";

fn told(folder: &Folder, text: &mut String, heading: &str, commands: &[&[&str]]) {
    text.push_str(&format!("\n== {heading}\n"));
    for args in commands {
        text.push_str(&said(args, &folder.gyle(args, "")));
    }
}

#[test]
fn a_branch_from_its_first_check_to_a_clean_one() {
    let folder = demo("story");
    folder.git(&["init", "-q", "-b", "main"]);
    let mut text = String::new();
    let known = ["check", "--write-baseline", "known.json"];
    told(&folder, &mut text, "on main: what is known is written down", &[&known]);
    folder.commit("The recipes, and what is known of them");
    let check = ["check", "--since", "main", "--baseline", "known.json", "--format", "line"];
    told(&folder, &mut text, "on main: nothing has changed", &[&check]);

    folder.git(&["checkout", "-q", "-b", "later-hop"]);
    folder.change(CELLAR, &[("extract             81.5 %", "extract             79.5 %")]);
    folder.change(
        BITTER,
        &[
            ("[5.2 %] at 15 min", "[5.2 %] at 5 min"),
            (
                "  rest      66 C for 60 min\n",
                "  rest      66 C for 60 min\nrest 76 C for 10 min by direct heat\n",
            ),
        ],
    );
    folder.commit("Move a hop, take the next lot of malt, rest before the sparge");
    told(
        &folder,
        &mut text,
        "on the branch: a lot of malt, a hop moved, a rest without its indent",
        &[&check],
    );
    let beer = ["compare", &format!("main:{BITTER}"), BITTER];
    told(
        &folder,
        &mut text,
        "what it does to the beer",
        &[&beer, &["compare", "main", "--format", "markdown"]],
    );
    let why = ["why", &format!("main:{BITTER}"), BITTER, "--format", "markdown"];
    told(&folder, &mut text, "and why", &[&why]);

    let fix = ["check", BITTER, "--fix", "--baseline", "known.json", "--format", "line"];
    told(&folder, &mut text, "what can be mended safely is mended", &[&fix, &["fmt", BITTER]]);
    folder.change(BITTER, &[("ibu       28..36", "ibu       24..30")]);
    let stamp = ["stamp", BITTER, "--figure", "og,ibu", "--line", "ibu"];
    told(
        &folder,
        &mut text,
        "the bitterness is meant, so the recipe says so; and its figures are stamped",
        &[&stamp],
    );
    folder.commit("Expect the bitterness of the later hop");
    let changes = folder.diff(&["main", "--", BITTER]);
    text.push_str(&format!("\n== the recipe against main\n{changes}"));
    told(
        &folder,
        &mut text,
        "and the branch is clean",
        &[&check, &["stamp", "--check"], &["fmt", "--check", BITTER]],
    );
    kept("story", &text);
    in_the_readme(&text);
}

/// What the README shows of the story is what is said.
fn in_the_readme(story: &str) {
    let readme = std::fs::read_to_string(super::tests().join("../README.md")).unwrap();
    let section = readme.split("\n## ").find(|section| section.starts_with("In CI")).unwrap();
    let blocks = section
        .split("```")
        .skip(1)
        .step_by(2)
        .filter(|block| block.contains("\n$ ") || block.contains("\n+"));
    let mut lines = 0;
    for line in blocks.flat_map(str::lines).filter(|line| !line.is_empty() && *line != "...") {
        assert!(story.lines().any(|said| said == line), "the README shows what is not said:\n{line}");
        lines += 1;
    }
    assert!(lines > 15, "{lines} lines of the README are of the story");
}

/// The files that a check since a revision looks at.
#[test]
fn what_changed_and_what_depends_on_it() {
    type Change = fn(&Folder);
    let cases: &[(&str, Change)] = &[
        ("nothing", |_| {}),
        ("a recipe, and its log", |folder| {
            folder.change(BITTER, &[("at 15 min", "at 10 min")]);
        }),
        ("a comment is a change too", |folder| {
            folder
                .change("saltmarsh/recipes/lantern-tripel.gyle", &[("recipe ", "# for the feast\nrecipe ")]);
        }),
        ("the recipe whose mash another takes", |folder| {
            folder.change("saltmarsh/recipes/breakwater-strong.gyle", &[("9.8 kg", "9.9 kg")]);
        }),
        ("a new file", |folder| folder.write("saltmarsh/recipes/new.gyle", super::PLAIN)),
        ("the cellar: everything that may name it", |folder| {
            folder.change(CELLAR, &[("81.5 %", "80 %")]);
        }),
        ("a file of the cellar is gone", |folder| {
            std::fs::remove_file(folder.0.join("saltmarsh/cellar/yeasts.gyle")).unwrap();
        }),
        ("a recipe is gone: its log misses it", |folder| {
            std::fs::remove_file(folder.0.join(BITTER)).unwrap();
        }),
        ("the settings", |folder| {
            folder.write("saltmarsh/gyle.toml", "library = [\"cellar/*.gyle\"]\n");
        }),
        ("the settings are gone", |folder| {
            std::fs::remove_file(folder.0.join("saltmarsh/gyle.toml")).unwrap();
        }),
    ];
    let folder = demo("since");
    folder.git(&["init", "-q", "-b", "main"]);
    folder.commit("The recipes");
    let mut text = String::new();
    for (name, change) in cases {
        folder.git(&["checkout", "-q", "-f", "main"]);
        folder.git(&["clean", "-q", "-f", "-d"]);
        change(&folder);
        told(&folder, &mut text, name, &[&["check", "--since", "HEAD", "--show-files"]]);
    }
    // What others did on main meanwhile is no change of the branch.
    folder.git(&["checkout", "-q", "-f", "main"]);
    folder.git(&["checkout", "-q", "-b", "branch"]);
    folder.change(BITTER, &[("at 15 min", "at 10 min")]);
    folder.commit("Move a hop");
    folder.git(&["checkout", "-q", "main"]);
    folder.change("saltmarsh/recipes/lantern-tripel.gyle", &[("800 g", "700 g")]);
    folder.commit("Less sugar");
    folder.git(&["checkout", "-q", "branch"]);
    told(
        &folder,
        &mut text,
        "main has moved on",
        &[
            &["check", "--since", "main", "--show-files"],
            &["check", "saltmarsh/recipes", "--since", "main", "--show-files"],
            &["check", "--since", "nowhere"],
        ],
    );
    kept("since", &text);
}

#[test]
fn since_needs_a_repository() {
    let folder = Folder::new("since-nowhere");
    folder.write("a.gyle", super::PLAIN);
    let args = ["check", "--since", "main"];
    let output = folder.gyle(&args, "");
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("git repository"), "{output:?}");
}
