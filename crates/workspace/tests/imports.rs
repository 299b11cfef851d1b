//! What a file names elsewhere: other files, recipes, logs, definitions.

// A case that cannot be set up fails the test.
#![allow(clippy::panic)]

mod support;

use support::{id, loaded, path_of, said};

/// A malt that only a cellar has.
const CELLAR: &str = "malt Harbour malt\n  extract             80 %\n  colour              5 EBC\n";

struct Case {
    name: &'static str,
    files: String,
    /// The file that is loaded and looked at.
    file: &'static str,
    /// Findings that are no hints, each by how it begins.
    said: &'static [&'static str],
}

fn check(cases: &[Case]) {
    for case in cases {
        let (workspace, loaded) = loaded(&case.files, &[case.file]);
        assert_eq!(loaded.unreadable, [], "{}", case.name);
        let found = said(&workspace, id(&workspace, case.file));
        let fits = found.len() == case.said.len()
            && found.iter().zip(case.said).all(|(found, begins)| found.starts_with(begins));
        assert!(fits, "{}: found {found:#?}, wanted {:#?}", case.name, case.said);
    }
}

fn recipe(name: &str, malt: &str) -> String {
    format!("recipe \"{name}\"\n  batch     20 L\n\ngrist\n  4 kg      {malt}\n")
}

#[test]
fn names_come_from_this_file_then_used_ones_then_the_library() {
    let plain = recipe("A", "Harbour malt");
    check(&[
        Case {
            name: "nowhere",
            files: format!("//- /r/gyle.toml\n//- /r/cellar.gyle\n{CELLAR}//- /r/a.gyle\n{plain}"),
            file: "/r/a.gyle",
            said: &["5 unknown-reference: 'Harbour malt' is no malt"],
        },
        Case {
            name: "in the file itself",
            files: format!("//- /r/gyle.toml\n//- /r/a.gyle\n{plain}{CELLAR}"),
            file: "/r/a.gyle",
            said: &[],
        },
        Case {
            name: "used",
            files: format!(
                "//- /r/gyle.toml\n//- /r/cellar.gyle\n{CELLAR}//- /r/b/a.gyle\nuse \"../cellar.gyle\"\n{plain}"
            ),
            file: "/r/b/a.gyle",
            said: &[],
        },
        Case {
            name: "used by what is used",
            files: format!(
                "//- /r/gyle.toml\n//- /r/c/d.gyle\n{CELLAR}//- /r/c/b.gyle\nuse \"d.gyle\"\n//- /r/a.gyle\nuse \"c/b.gyle\"\n{plain}"
            ),
            file: "/r/a.gyle",
            said: &[],
        },
        Case {
            name: "library of one file",
            files: format!(
                "//- /r/gyle.toml\nlibrary = [\"cellar.gyle\"]\n//- /r/cellar.gyle\n{CELLAR}//- /r/b/a.gyle\n{plain}"
            ),
            file: "/r/b/a.gyle",
            said: &[],
        },
        Case {
            name: "library by a pattern, one level",
            files: format!(
                "//- /r/gyle.toml\nlibrary = [\"cellar/*.gyle\"]\n//- /r/cellar/malts.gyle\n{CELLAR}//- /r/b/a.gyle\n{plain}"
            ),
            file: "/r/b/a.gyle",
            said: &[],
        },
        Case {
            name: "a star reaches no further than a folder",
            files: format!(
                "//- /r/gyle.toml\nlibrary = [\"cellar/*.gyle\"]\n//- /r/cellar/old/malts.gyle\n{CELLAR}//- /r/a.gyle\n{plain}"
            ),
            file: "/r/a.gyle",
            said: &["5 unknown-reference"],
        },
        Case {
            name: "two stars reach every folder",
            files: format!(
                "//- /r/gyle.toml\nlibrary = [\"./cellar/**/*.gyle\"]\n//- /r/cellar/old/malts.gyle\n{CELLAR}//- /r/a.gyle\n{plain}"
            ),
            file: "/r/a.gyle",
            said: &[],
        },
        Case {
            name: "the library of a nearer gyle.toml, and no other",
            files: format!(
                "//- /r/gyle.toml\nlibrary = [\"cellar.gyle\"]\n//- /r/cellar.gyle\n{CELLAR}//- /r/guest/gyle.toml\n//- /r/guest/a.gyle\n{plain}"
            ),
            file: "/r/guest/a.gyle",
            said: &["5 unknown-reference"],
        },
        Case {
            name: "a library file outside, named in full",
            files: format!(
                "//- /r/gyle.toml\nlibrary = [\"../shared/cellar.gyle\"]\n//- /shared/cellar.gyle\n{CELLAR}//- /r/a.gyle\n{plain}"
            ),
            file: "/r/a.gyle",
            said: &[],
        },
    ]);
}

#[test]
fn the_nearest_definition_wins() {
    let malt = |ebc: u32| {
        format!("malt Harbour malt\n  extract             80 %\n  colour              {ebc} EBC\n")
    };
    let all = format!(
        "//- /r/gyle.toml\nlibrary = [\"library.gyle\"]\n//- /r/library.gyle\n{}//- /r/used.gyle\n{}//- /r/own.gyle\nuse \"used.gyle\"\n{}{}//- /r/uses.gyle\nuse \"used.gyle\"\n{}//- /r/neither.gyle\n{}",
        malt(30),
        malt(20),
        recipe("Own", "Harbour malt"),
        malt(10),
        recipe("Uses", "Harbour malt"),
        recipe("Neither", "Harbour malt"),
    );
    let (workspace, _) = loaded(&all, &["/r"]);
    for (file, ebc) in [("/r/own.gyle", 10.0), ("/r/uses.gyle", 20.0), ("/r/neither.gyle", 30.0)] {
        let recipe =
            workspace.recipe(id(&workspace, file), 0).unwrap_or_else(|| panic!("no recipe in {file}"));
        let colour = recipe.grist[0].thing.definition.as_ref().and_then(|definition| {
            let fact = definition.fact(syntax::vocabulary::Keyword::Colour)?;
            Some(format!("{:?}", fact.value))
        });
        let colour = colour.unwrap_or_default();
        assert!(colour.contains(&format!("{ebc:?}")), "{file}: {colour}");
    }
}

#[test]
fn files_that_cannot_be_used_say_why() {
    let plain = recipe("A", "pale malt");
    check(&[
        Case {
            name: "missing, with one of nearly that name",
            files: format!("//- /r/gyle.toml\n//- /r/cellar.gyle\n{CELLAR}//- /r/a.gyle\nuse \"celar.gyle\"\n{plain}"),
            file: "/r/a.gyle",
            said: &["1 import-missing: there is no file `celar.gyle`"],
        },
        Case {
            name: "outside a configured folder, though it is there",
            files: format!("//- /r/gyle.toml\n//- /x.gyle\n{CELLAR}//- /r/a.gyle\nuse \"../x.gyle\"\n{plain}"),
            file: "/r/a.gyle",
            said: &["1 import-missing: `../x.gyle` lies outside the folder of gyle.toml"],
        },
        Case {
            name: "outside, by a path from the top",
            files: format!("//- /r/.git/HEAD\n//- /etc/x.gyle\n{CELLAR}//- /r/a.gyle\nuse \"/etc/x.gyle\"\n{plain}"),
            file: "/r/a.gyle",
            said: &["1 import-missing: `/etc/x.gyle` lies outside the git repository"],
        },
        Case {
            name: "outside the folder of a loose file",
            files: format!("//- /cellar.gyle\n{CELLAR}//- /r/a.gyle\nuse \"../cellar.gyle\"\n{plain}"),
            file: "/r/a.gyle",
            said: &["1 import-missing: `../cellar.gyle` lies outside the folder of this file"],
        },
        Case {
            name: "the same in a working tree, where .git is a file",
            files: format!("//- /r/.git\ngitdir: /elsewhere\n//- /r/cellar.gyle\n{CELLAR}//- /r/b/a.gyle\nuse \"../cellar.gyle\"\n{}", recipe("A", "Harbour malt")),
            file: "/r/b/a.gyle",
            said: &[],
        },
        Case {
            name: "a circle of two",
            files: format!("//- /r/gyle.toml\n//- /r/b.gyle\nuse \"a.gyle\"\n//- /r/a.gyle\nuse \"b.gyle\"\n{plain}"),
            file: "/r/a.gyle",
            said: &["1 import-cycle: this file and `b.gyle` use each other: a.gyle uses b.gyle uses a.gyle"],
        },
        Case {
            name: "a file that uses itself",
            files: format!("//- /r/gyle.toml\n//- /r/a.gyle\nuse \"a.gyle\"\n{plain}"),
            file: "/r/a.gyle",
            said: &["1 import-cycle: this file and `a.gyle` use each other"],
        },
        Case {
            name: "a circle further down is said there",
            files: format!(
                "//- /r/gyle.toml\n//- /r/c.gyle\nuse \"b.gyle\"\n//- /r/b.gyle\nuse \"c.gyle\"\n//- /r/a.gyle\nuse \"b.gyle\"\n{plain}"
            ),
            file: "/r/a.gyle",
            said: &[],
        },
        Case {
            name: "the plan of a log, in a file that is not there",
            files: "//- /r/gyle.toml\n//- /r/a.gyle\ngyle 1 \"A\" of \"b.gyle\" on 2026-03-14\n  10:05   mash in   66.8 C\n".into(),
            file: "/r/a.gyle",
            said: &["1 import-missing: there is no file `b.gyle`"],
        },
        Case {
            name: "the plan of a log, outside",
            files: format!("//- /r/gyle.toml\n//- /b.gyle\n{plain}//- /r/a.gyle\ngyle 1 \"A\" of \"../b.gyle\" on 2026-03-14\n  10:05   mash in   66.8 C\n"),
            file: "/r/a.gyle",
            said: &["1 import-missing: `../b.gyle` lies outside the folder of gyle.toml"],
        },
    ]);
}

#[test]
fn a_missing_file_is_suggested_by_its_nearest_path() {
    for (written, there, near) in [
        ("celar.gyle", "/r/b/cellar.gyle", Some("cellar.gyle")),
        ("cellar.gyle", "/r/cellar/cellar.gyle", Some("../cellar/cellar.gyle")),
        ("../cellar/malt.gyle", "/r/cellar/malts.gyle", Some("../cellar/malts.gyle")),
        ("Cellar.gyle", "/r/b/cellar.gyle", Some("cellar.gyle")),
        ("hops.gyle", "/r/b/yeasts.gyle", None),
    ] {
        let files = format!(
            "//- /r/gyle.toml\nlibrary = [\"cellar/*.gyle\"]\n//- {there}\n{CELLAR}//- /r/b/a.gyle\nuse \"{written}\"\n"
        );
        let (workspace, _) = loaded(&files, &["/r/b/a.gyle"]);
        let analysis = workspace.analyse(id(&workspace, "/r/b/a.gyle"));
        let findings = analysis.map(|analysis| analysis.findings).unwrap_or_default();
        let missing: Vec<_> = findings.iter().filter(|finding| finding.rule == "import-missing").collect();
        assert_eq!(missing.len(), 1, "{written}: {findings:?}");
        let proposed = missing[0].fixes.first().map(|fix| fix.edits[0].text.as_str());
        assert_eq!(proposed, near, "{written}");
        assert!(missing[0].fixes.iter().all(|fix| !fix.safe), "a guess is no safe fix");
    }
}

#[test]
fn logs_and_shared_mashes_find_their_recipe_by_name() {
    let log = |name: &str| format!("gyle 1 \"{name}\" on 2026-03-14\n  10:05   mash in   66.8 C\n");
    let a = recipe("A", "pale malt");
    let shared = "recipe \"Small\"\n  batch     10 L\n  from      \"A\"\n";
    check(&[
        Case {
            name: "in another folder of the repository",
            files: format!("//- /r/gyle.toml\n//- /r/recipes/a.gyle\n{a}//- /r/logs/1.gyle\n{}", log("A")),
            file: "/r/logs/1.gyle",
            said: &[],
        },
        Case {
            name: "in another folder of a git repository without configuration",
            files: format!("//- /r/.git/HEAD\n//- /r/recipes/a.gyle\n{a}//- /r/logs/1.gyle\n{}", log("A")),
            file: "/r/logs/1.gyle",
            said: &[],
        },
        Case {
            name: "beside a loose file",
            files: format!("//- /r/a.gyle\n{a}//- /r/1.gyle\n{}", log("A")),
            file: "/r/1.gyle",
            said: &[],
        },
        Case {
            name: "below a loose file is not looked",
            files: format!("//- /r/deeper/a.gyle\n{a}//- /r/1.gyle\n{}", log("A")),
            file: "/r/1.gyle",
            said: &["1 unknown-reference: no recipe is called `A`"],
        },
        Case {
            name: "in another repository is not looked",
            files: format!(
                "//- /r/gyle.toml\n//- /r/guest/gyle.toml\n//- /r/guest/a.gyle\n{a}//- /r/1.gyle\n{}",
                log("A")
            ),
            file: "/r/1.gyle",
            said: &["1 unknown-reference: no recipe is called `A`"],
        },
        Case {
            name: "whatever the spelling",
            files: format!(
                "//- /r/gyle.toml\n//- /r/a.gyle\n{}//- /r/1.gyle\n{}",
                recipe("Fährhaus-Bitter", "pale malt"),
                log("fahrhaus bitter")
            ),
            file: "/r/1.gyle",
            said: &[],
        },
        Case {
            name: "two of the name",
            files: format!(
                "//- /r/gyle.toml\n//- /r/a.gyle\n{a}//- /r/b.gyle\n{a}//- /r/1.gyle\n{}",
                log("A")
            ),
            file: "/r/1.gyle",
            said: &[
                "1 recipe-ambiguous: 2 recipes are called `A`, so it is open which one is meant: a.gyle, b.gyle",
            ],
        },
        Case {
            name: "two of the name, and which is said",
            files: format!(
                "//- /r/gyle.toml\n//- /r/a.gyle\n{a}//- /r/b.gyle\n{a}//- /r/1.gyle\ngyle 1 \"A\" of \"b.gyle\" on 2026-03-14\n"
            ),
            file: "/r/1.gyle",
            said: &[],
        },
        Case {
            name: "two of the name, one of them in this file",
            files: format!("//- /r/gyle.toml\n//- /r/a.gyle\n{a}//- /r/1.gyle\n{a}{}", log("A")),
            file: "/r/1.gyle",
            said: &[],
        },
        Case {
            name: "two of the name, one of them in a used file",
            files: format!(
                "//- /r/gyle.toml\n//- /r/a.gyle\n{a}//- /r/b.gyle\n{a}//- /r/1.gyle\nuse \"b.gyle\"\n{}",
                log("A")
            ),
            file: "/r/1.gyle",
            said: &[],
        },
        Case {
            name: "two of the name in one file",
            files: format!("//- /r/gyle.toml\n//- /r/1.gyle\n{a}{a}{}", log("A")),
            file: "/r/1.gyle",
            said: &["11 recipe-ambiguous: 2 recipes in this file are called `A`"],
        },
        Case {
            name: "the mash of a recipe elsewhere",
            files: format!("//- /r/gyle.toml\n//- /r/recipes/a.gyle\n{a}//- /r/small.gyle\n{shared}"),
            file: "/r/small.gyle",
            said: &[],
        },
        Case {
            name: "the mash of a recipe that is not there",
            files: format!("//- /r/gyle.toml\n//- /r/small.gyle\n{shared}"),
            file: "/r/small.gyle",
            said: &["3 unknown-reference: no recipe is called `A`"],
        },
        Case {
            name: "a tasting of a gyle logged elsewhere",
            files: format!(
                "//- /r/gyle.toml\n//- /r/a.gyle\n{a}//- /r/logs/1.gyle\n{}//- /r/t.gyle\ntasting of 1 on 2026-04-11\n  score     38/50\n",
                log("A")
            ),
            file: "/r/t.gyle",
            said: &[],
        },
        Case {
            name: "a tasting of no gyle",
            files: "//- /r/gyle.toml\n//- /r/t.gyle\ntasting of 7 on 2026-04-11\n  score     38/50\n".into(),
            file: "/r/t.gyle",
            said: &["1 unknown-reference: no log of gyle 7 is in this repository"],
        },
    ]);
}

#[test]
fn an_ambiguous_recipe_proposes_of() {
    let a = recipe("A", "pale malt");
    let files = format!(
        "//- /r/gyle.toml\n//- /r/x/a.gyle\n{a}//- /r/y/a.gyle\n{a}//- /r/logs/1.gyle\ngyle 1 \"A\" on 2026-03-14\n"
    );
    let (workspace, _) = loaded(&files, &["/r/logs/1.gyle"]);
    let log = id(&workspace, "/r/logs/1.gyle");
    let (Some(state), Some(analysis)) = (workspace.file(log), workspace.analyse(log)) else {
        panic!("the log is not at hand")
    };
    let finding = analysis.findings.iter().find(|finding| finding.rule == "recipe-ambiguous");
    let fixes = finding.map(|finding| &finding.fixes[..]).unwrap_or_default();
    let mended: Vec<String> = fixes.iter().map(|fix| syntax::apply(&state.text, &fix.edits)).collect();
    assert_eq!(
        mended,
        [
            "gyle 1 \"A\" of \"../x/a.gyle\" on 2026-03-14\n",
            "gyle 1 \"A\" of \"../y/a.gyle\" on 2026-03-14\n",
        ]
    );
    for text in mended {
        let (next, log) = workspace.with_text(std::path::Path::new("/r/logs/1.gyle"), &text);
        assert_eq!(said(&next, log), Vec::<String>::new());
    }
}

#[test]
fn what_is_needed_is_taken_and_nothing_else() {
    let a = recipe("A", "pale malt");
    let files = format!(
        "//- /r/gyle.toml\nlibrary = [\"cellar/*.gyle\"]\n//- /r/cellar/c.gyle\n//- /r/a.gyle\nuse \"u.gyle\"\n{a}//- /r/u.gyle\n//- /r/other.gyle\n{}//- /r/1.gyle\ngyle 1 \"A\" on 2026-03-14\n//- /q/elsewhere.gyle\n",
        recipe("B", "pale malt")
    );
    for (asked, taken) in [
        ("/r/a.gyle", &["/r/a.gyle", "/r/cellar/c.gyle", "/r/u.gyle"][..]),
        ("/r/1.gyle", &["/r/1.gyle", "/r/a.gyle", "/r/cellar/c.gyle", "/r/other.gyle", "/r/u.gyle"]),
        ("/q", &["/q/elsewhere.gyle"]),
    ] {
        let (workspace, loaded) = loaded(&files, &[asked]);
        let mut all: Vec<String> = workspace.files().map(|state| state.path.display().to_string()).collect();
        all.sort();
        assert_eq!(all, taken, "{asked}");
        // Only what was asked for is looked at.
        let first: Vec<String> = loaded.files.iter().map(|id| path_of(&workspace, *id)).collect();
        assert_eq!(first.len(), 1, "{asked}: {first:?}");
    }
}
