//! A change gives what a fresh look at the same texts would give, and builds no more than it has to.

// A case that cannot be set up fails the test.
#![allow(clippy::unwrap_used)]

mod support;

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

use figures::{Calc, FigureId};
use proptest::prelude::*;
use recipe::FileId;
use workspace::{Memory, Workspace};

use support::{id, loaded};

const CELLAR: &str = "malt Harbour malt\n  extract             80 %\n  colour              5 EBC\n\nhop Saltings\n  alpha               5 %\n";

const TWO: &str = "recipe \"A\"\n  batch     20 L\n\ngrist\n  4 kg      Harbour malt\n\nboil 60 min\n  30 g      Saltings at 60 min\n\nrecipe \"B\"\n  batch     10 L\n\ngrist\n  2 kg      Harbour malt\n";

fn house() -> String {
    format!(
        "//- /r/gyle.toml\nlibrary = [\"cellar/*.gyle\"]\n//- /r/cellar/c.gyle\n{CELLAR}//- /r/two.gyle\n{TWO}//- /r/three.gyle\nrecipe \"C\"\n  batch     20 L\n\ngrist\n  4 kg      pale malt\n"
    )
}

fn change(workspace: &Workspace, path: &str, from: &str, to: &str) -> Workspace {
    let state = workspace.file(id(workspace, path)).unwrap();
    assert!(state.text.contains(from), "{path} has no `{from}`");
    workspace.with_text(Path::new(path), &state.text.replacen(from, to, 1)).0
}

#[test]
fn what_a_change_does_not_touch_is_shared() {
    let (before, _) = loaded(&house(), &["/r"]);
    for state in before.files() {
        let _ = before.analyse(state.id);
    }
    let after = change(&before, "/r/two.gyle", "30 g", "40 g");
    let (two, three, cellar) =
        (id(&before, "/r/two.gyle"), id(&before, "/r/three.gyle"), id(&before, "/r/cellar/c.gyle"));
    for other in [three, cellar] {
        assert!(Arc::ptr_eq(before.file(other).unwrap(), after.file(other).unwrap()));
    }
    let (old, new) = (before.file(two).unwrap(), after.file(two).unwrap());
    let moved: Vec<usize> = (0..old.tree.blocks.len())
        .filter(|at| !Arc::ptr_eq(&old.tree.blocks[*at].block, &new.tree.blocks[*at].block))
        .collect();
    assert_eq!(moved, [2], "only the block of the boil is read again");
    assert!(Arc::ptr_eq(&old.shelf, &new.shelf) && Arc::ptr_eq(&old.units, &new.units));
    assert!(!Arc::ptr_eq(&before.recipe(two, 0).unwrap(), &after.recipe(two, 0).unwrap()));
    assert!(Arc::ptr_eq(&before.recipe(two, 1).unwrap(), &after.recipe(two, 1).unwrap()), "B is built again");
    // The snapshot before the change is as it was.
    assert!(before.file(two).unwrap().text.contains("30 g"));
}

#[test]
fn a_change_of_the_cellar_reaches_who_names_it() {
    let (before, _) = loaded(&house(), &["/r"]);
    let two = id(&before, "/r/two.gyle");
    assert_eq!(support::said(&before, two), Vec::<String>::new());
    let after = change(&before, "/r/cellar/c.gyle", "malt Harbour malt", "malt Other malt");
    let found = support::said(&after, two);
    assert_eq!(found.iter().filter(|one| one.contains("unknown-reference")).count(), 2, "{found:?}");
    // A change of the recipe in between, with nothing looked up yet, hides nothing.
    let typed = change(&before, "/r/two.gyle", "30 g", "31 g");
    let after = change(&typed, "/r/cellar/c.gyle", "malt Harbour malt", "malt Other malt");
    let found = support::said(&after, two);
    assert_eq!(found.iter().filter(|one| one.contains("unknown-reference")).count(), 2, "{found:?}");
}

#[test]
fn dependents_are_those_whose_names_may_come_from_a_file() {
    let files = "//- /r/gyle.toml\nlibrary = [\"lib.gyle\"]\n//- /r/lib.gyle\n//- /r/a.gyle\nuse \"b.gyle\"\n//- /r/b.gyle\nuse \"c.gyle\"\n//- /r/c.gyle\n//- /q/d.gyle\n";
    let (workspace, _) = loaded(files, &["/r", "/q"]);
    for (of, wanted) in [
        ("/r/lib.gyle", &["/r/a.gyle", "/r/b.gyle", "/r/c.gyle"][..]),
        ("/r/c.gyle", &["/r/a.gyle", "/r/b.gyle"]),
        ("/r/b.gyle", &["/r/a.gyle"]),
        ("/r/a.gyle", &[]),
        ("/q/d.gyle", &[]),
    ] {
        let mut found: Vec<String> = workspace
            .dependents(id(&workspace, of))
            .into_iter()
            .map(|id| support::path_of(&workspace, id))
            .collect();
        found.sort();
        assert_eq!(found, wanted, "{of}");
    }
}

#[test]
fn a_file_that_comes_goes_and_comes_back_is_found_each_time() {
    for (uses, toml) in
        [("use \"new.gyle\"\n", ""), ("", "library = [\"new.gyle\"]\n"), ("", "library = [\"n*.gyle\"]\n")]
    {
        let files = format!(
            "//- /r/gyle.toml\n{toml}//- /r/a.gyle\n{uses}recipe \"A\"\n  batch     20 L\n\ngrist\n  4 kg      Harbour malt\n"
        );
        let (mut workspace, _) = loaded(&files, &["/r"]);
        let a = id(&workspace, "/r/a.gyle");
        let unknown = |workspace: &Workspace| {
            support::said(workspace, a).iter().any(|one| one.contains("unknown-reference"))
        };
        assert!(unknown(&workspace), "{uses}{toml}");
        workspace.load_text(Path::new("/r/new.gyle"), CELLAR);
        assert!(!unknown(&workspace), "{uses}{toml}: it has come");
        workspace.forget(Path::new("/r/new.gyle"));
        assert!(unknown(&workspace), "{uses}{toml}: it has gone");
        assert!(workspace.file_at(Path::new("/r/new.gyle")).is_none());
        workspace.load_text(Path::new("/r/new.gyle"), CELLAR);
        assert!(!unknown(&workspace), "{uses}{toml}: it is back");
    }
}

#[test]
fn a_plan_that_comes_and_goes_is_found_by_its_log() {
    let files = "//- /r/gyle.toml\n//- /r/1.gyle\ngyle 1 \"A\" on 2026-03-14\n  10:05   mash in   66.8 C\n";
    let (mut workspace, _) = loaded(files, &["/r"]);
    let log = id(&workspace, "/r/1.gyle");
    let rules = |workspace: &Workspace| -> Vec<String> {
        support::said(workspace, log)
            .into_iter()
            .filter(|one| one.contains("unknown-reference") || one.contains("recipe-ambiguous"))
            .map(|one| one.split(':').next().unwrap().to_owned())
            .collect()
    };
    let plan = "recipe \"A\"\n  batch     20 L\n";
    assert_eq!(rules(&workspace), ["1 unknown-reference"]);
    workspace.load_text(Path::new("/r/a.gyle"), plan);
    assert_eq!(rules(&workspace), Vec::<String>::new());
    workspace.load_text(Path::new("/r/b.gyle"), plan);
    assert_eq!(rules(&workspace), ["1 recipe-ambiguous"]);
    workspace.load_text(Path::new("/r/b.gyle"), &plan.replace("\"A\"", "\"B\""));
    assert_eq!(rules(&workspace), Vec::<String>::new());
    workspace.forget(Path::new("/r/a.gyle"));
    assert_eq!(rules(&workspace), ["1 unknown-reference"]);
}

#[test]
fn another_configuration_holds_when_it_is_read_again() {
    let faulty = "recipe \"A\"\n  batch     20 L\n\ngrist\n  4,1 kg    pale malt\n";
    let off = "[check.rules]\ndecimal-comma = \"off\"\n";
    let source = Arc::new(Changing::default());
    source.set(&[("/r/gyle.toml", off), ("/r/a.gyle", faulty)]);
    let (mut workspace, _) = support::over(Arc::clone(&source) as Arc<dyn workspace::Source>, &["/r"]);
    let a = id(&workspace, "/r/a.gyle");
    let commas = |workspace: &Workspace| {
        support::said(workspace, a).iter().filter(|one| one.contains("decimal-comma")).count()
    };
    assert_eq!(commas(&workspace), 0);
    source.set(&[("/r/gyle.toml", ""), ("/r/a.gyle", faulty)]);
    assert_eq!(commas(&workspace), 0, "nothing is read behind the reader's back");
    workspace.reload_configs();
    assert_eq!(commas(&workspace), 1);
}

/// Files that change.
#[derive(Default)]
struct Changing(std::sync::Mutex<Memory>);

impl Changing {
    fn set(&self, files: &[(&str, &str)]) {
        *self.0.lock().unwrap() = Memory::new(files.iter().map(|(path, text)| (*path, *text)));
    }

    fn now(&self) -> Memory {
        self.0.lock().unwrap().clone()
    }
}

impl workspace::Source for Changing {
    fn read(&self, path: &Path) -> std::io::Result<String> {
        self.now().read(path)
    }
    fn exists(&self, path: &Path) -> bool {
        self.now().exists(path)
    }
    fn is_folder(&self, path: &Path) -> bool {
        self.now().is_folder(path)
    }
    fn walk(&self, folder: &Path) -> workspace::Walk {
        self.now().walk(folder)
    }
    fn list(&self, folder: &Path) -> Vec<std::path::PathBuf> {
        self.now().list(folder)
    }
}

/// Blocks a house is put together from.
const BLOCKS: &[&str] = &[
    "malt Harbour malt\n  extract             80 %\n  colour              5 EBC\n",
    "malt Harbour malt\n  extract             76 %\n  colour              9 EBC\n",
    "malt Quay malt\n  like                Harbour malt\n",
    "let m = 4 kg\n",
    "let m = 5 kg\n",
    "use \"b.gyle\"\n",
    "use \"c.gyle\"\n",
    "use \"nowhere.gyle\"\n",
    "recipe \"A\"\n  batch     20 L\n\ngrist\n  4 kg      Harbour malt\n\nmash\n  rest      66 C for 60 min\n  runnings  18 L at 1.060\n",
    "recipe \"A\"\n  batch     20 L\n\ngrist\n  (m)       Quay malt\n\nboil 60 min\n  20 g      Fuggle at 60 min\n",
    "recipe \"B\"\n  batch     20 L\n  from      \"A\"\n\nboil 60 min\n  20 g      Fuggle at 60 min\n",
    "gyle 1 \"A\" on 2026-03-14\n  10:05   mash in   66.8 C\n  12:00   og        1.040 with 20 L\n",
    "gyle 2 \"B\" of \"c.gyle\" on 2026-03-14\n  10:05   mash in   66.8 C\n",
    "tasting of 1 on 2026-04-11\n  score     30/50\n",
    "# allow unknown-reference: it is on order\ngrist\n  3 kg      Harbour malt\n",
];

/// Words that stand for one another, so that a block changes in its place.
const SWAPS: &[(&str, &str)] = &[
    ("4 kg", "3 kg"),
    ("Harbour malt", "Quay malt"),
    ("76 %", "81 %"),
    ("60 min", "30 min"),
    ("runnings", "# runnings"),
    ("\"A\"", "\"B\""),
    ("on 2026", "on 2025"),
];

const PATHS: [&str; 4] = ["/r/a.gyle", "/r/b.gyle", "/r/c.gyle", "/r/cellar/d.gyle"];
const TOML: (&str, &str) = ("/r/gyle.toml", "library = [\"cellar/*.gyle\"]\n");

#[derive(Clone, Copy, Debug)]
enum Step {
    /// A block is put in.
    Insert { at: usize, block: usize },
    /// A block is taken out.
    Remove { at: usize },
    /// Words of a block are swapped for others, or back.
    Swap { at: usize, words: usize },
    /// The file is taken away.
    Forget,
    /// Somebody looks at everything.
    Look,
}

fn step() -> impl Strategy<Value = (usize, Step)> {
    let step = prop_oneof![
        5 => (0usize..8, 0..BLOCKS.len()).prop_map(|(at, block)| Step::Insert { at, block }),
        1 => (0usize..8).prop_map(|at| Step::Remove { at }),
        3 => (0usize..8, 0..SWAPS.len()).prop_map(|(at, words)| Step::Swap { at, words }),
        1 => Just(Step::Forget),
        3 => Just(Step::Look),
    ];
    (0..PATHS.len(), step)
}

/// Does to the blocks of a file what a step says.
fn change_blocks(blocks: &mut Vec<String>, step: Step) {
    let within = |at: usize| at % blocks.len().max(1);
    match step {
        Step::Insert { at, block } => {
            let at = at.min(blocks.len());
            blocks.insert(at, BLOCKS[block].to_owned());
        }
        Step::Remove { at } if !blocks.is_empty() => {
            let at = within(at);
            blocks.remove(at);
        }
        Step::Swap { at, words } if !blocks.is_empty() => {
            let at = within(at);
            let (one, other) = SWAPS[words];
            let block = &mut blocks[at];
            *block = if block.contains(one) { block.replace(one, other) } else { block.replace(other, one) };
        }
        _ => {}
    }
}

/// Everything computed and found in every file, by path.
fn everything(workspace: &Workspace) -> BTreeMap<String, Vec<String>> {
    PATHS
        .iter()
        .filter_map(|path| {
            let id: FileId = workspace.file_at(Path::new(path))?;
            let (state, analysis) = (workspace.file(id)?, workspace.analyse(id)?);
            let settings = &state.config.figures;
            let figures = analysis.recipes.iter().map(|one| {
                let calc = Calc::new(&one.recipe, settings);
                let value = |id: FigureId| calc.value(id).ok();
                format!(
                    "{}: {:?}",
                    one.recipe.name,
                    [FigureId::Og, FigureId::Ibu, FigureId::Colour].map(value)
                )
            });
            let logs = analysis.logs.iter().map(|one| {
                format!("{}: {:?}", one.log.id, one.log.recipe.as_ref().map(|recipe| recipe.grist.len()))
            });
            let found = analysis.findings.iter().map(|one| {
                let related: Vec<String> = one
                    .related
                    .iter()
                    .map(|other| {
                        format!(
                            "{} {:?} {}",
                            support::path_of(workspace, other.file),
                            other.span,
                            other.message
                        )
                    })
                    .collect();
                format!(
                    "{:?} {} {} {} {related:?} {:?}",
                    one.span, one.rule, one.message, one.help, one.fixes
                )
            });
            Some(((*path).to_owned(), figures.chain(logs).chain(found).collect()))
        })
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    /// However the texts came to be what they are, what is computed and found is the same.
    #[test]
    fn any_way_leads_to_the_same_findings(steps in prop::collection::vec(step(), 1..40)) {
        let mut texts: BTreeMap<&str, Vec<String>> = BTreeMap::new();
        let mut workspace = Workspace::new(Arc::new(Memory::new([TOML])));
        for (file, step) in steps {
            let path = PATHS[file];
            match step {
                Step::Look => {
                    let _ = everything(&workspace);
                }
                Step::Forget => {
                    texts.remove(path);
                    workspace.forget(Path::new(path));
                }
                step => {
                    let blocks = texts.entry(path).or_default();
                    change_blocks(blocks, step);
                    workspace.load_text(Path::new(path), &blocks.join("\n"));
                }
            }
        }
        let now = texts.iter().map(|(path, blocks)| (*path, blocks.join("\n")));
        let files = [(TOML.0, TOML.1.to_owned())].into_iter().chain(now);
        let mut fresh = Workspace::new(Arc::new(Memory::new(files)));
        fresh.load(&["/r".into()]);
        prop_assert_eq!(everything(&workspace), everything(&fresh));
    }
}

#[test]
fn files_that_are_only_indexed_are_looked_at_as_if_they_were_held() {
    let mut text = house();
    for at in 0..20 {
        text.push_str(&format!("//- /r/log{at}.gyle\ngyle {at} \"B\" on 2026-03-14\n  09:00 og 1.046\n"));
    }
    text.push_str("//- /r/small.gyle\nrecipe \"Small\"\n  from \"A\"\n");
    let (held, _) = loaded(&text, &["/r"]);
    let mut indexed = Workspace::new(Arc::new(Memory::new(support::files(&text)))).indexing();
    indexed.load(&[Path::new("/r").to_path_buf()]);
    assert_eq!(indexed.awake(), 0);
    let found = |workspace: &Workspace, id: FileId| {
        let analysis = workspace.analyse_in_passing(id).unwrap();
        analysis.findings.iter().map(|one| format!("{:?} {one:?}", one.span)).collect::<Vec<_>>()
    };
    for state in held.files() {
        assert_eq!(found(&held, state.id), found(&indexed, state.id), "{:?}", state.path);
    }
    // Logs look into the recipe they are of, and leave nothing behind there; the cellar may stay at hand.
    assert!(indexed.awake() <= 2, "{}", indexed.awake());
    // A file that was opened is held, and indexed again when all have become many.
    let two = id(&indexed, "/r/two.gyle");
    let (mut opened, _) = indexed.with_text(Path::new("/r/two.gyle"), TWO);
    for state in opened.files() {
        let _ = state.tree.blocks.len();
    }
    let stamps: Vec<u64> = opened.files().map(|state| state.stamp).collect();
    opened.rest(|id| id == two);
    assert_eq!(opened.awake(), 1);
    assert_eq!(
        opened.files().map(|state| state.stamp).collect::<Vec<_>>(),
        stamps,
        "they are the same files"
    );
}

#[test]
fn many_files_looked_at_while_they_are_read_say_what_they_say_when_all_are_at_hand() {
    let mut text = house();
    for at in 0..600_usize {
        let next = format!("use \"a{:03}.gyle\"\n", if at % 14 == 4 { at + 7 } else { at.saturating_sub(7) });
        let used = match at % 7 {
            0 => "use \"../far.gyle\"\n",
            1 => "use \"../fax.gyle\"\n",
            2 => "use \"later.gyle\"\n",
            3 => "use \"large.gyle\"\n",
            // Two that use each other.
            4 => &next,
            _ => "",
        };
        let from = if at % 50 == 0 { "  from \"Many 1\"\n" } else { "" };
        text.push_str(&format!(
            "//- /r/many/a{at:03}.gyle\n{used}recipe \"Many {at}\"\n  batch 20 L\n{from}grist\n  4 kg pale ale malt\n  \
             1 kg beach malt\n"
        ));
    }
    for at in 0..30 {
        text.push_str(&format!(
            "//- /r/logs/{at}.gyle\ngyle {at} \"Many {at}\" on 2026-03-14\n  09:00 og 1.046\n"
        ));
    }
    // The last that is read is used by many that were read before.
    text.push_str("//- /r/many/later.gyle\nmalt \"beach malt\"\n  like pale ale malt\n");
    text.push_str(
        "//- /r/far.gyle\nuse \"farther.gyle\"\n//- /r/farther.gyle\nmalt \"beach malt\"\n  extract 79 %\n",
    );
    // One that is too large to be read stands among them.
    let files = || {
        support::files(&text).into_iter().chain([("/r/many/large.gyle".into(), "#".repeat((1 << 20) + 1))])
    };
    let (held, all) = support::over(Arc::new(Memory::new(files())), &["/r"]);
    let look = |workspace: &Workspace, id: FileId| {
        let analysis = workspace.analyse_in_passing(id)?;
        let found: Vec<String> = analysis
            .findings
            .iter()
            .map(|one| format!("{:?} {}: {}", one.span, one.rule, one.message))
            .collect();
        Some((workspace.file(id)?.path.clone(), found, workspace.uses_in(&analysis).len()))
    };
    let mut wanted: Vec<_> = all.files.iter().filter_map(|id| look(&held, *id)).collect();
    let mut passing = Workspace::new(Arc::new(Memory::new(files())));
    let (loaded, mut looks) = passing.load_and_look(&[Path::new("/r").to_path_buf()], look);
    assert_eq!((loaded.files.len(), looks.len()), (all.files.len(), all.files.len()));
    wanted.sort();
    looks.sort();
    assert_eq!(looks, wanted);
    assert_eq!((&loaded.left_out, loaded.left_out.len()), (&all.left_out, 1));
    for rule in ["import-missing", "import-cycle", "cannot be used"] {
        assert!(looks.iter().any(|(_, found, _)| found.iter().any(|one| one.contains(rule))), "{rule}");
    }
    // Those that hang on nothing else were let go when they had been seen.
    assert!(passing.awake() < 300, "{}", passing.awake());
    // Where the large one would stand it may come yet.
    let (mut later, large) =
        passing.with_text(Path::new("/r/many/large.gyle"), "malt \"beach malt\"\n  extract 79 %\n");
    assert_eq!(later.file_at(Path::new("/r/many/large.gyle")), Some(large));
    later.forget(Path::new("/r/many/large.gyle"));
    assert_eq!(later.file_at(Path::new("/r/many/large.gyle")), None);
    let names = |workspace: &Workspace| {
        let found = workspace.check_repositories(&[Path::new("/r").to_path_buf()]);
        found.iter().map(|one| (one.rule, one.message.clone())).collect::<Vec<_>>()
    };
    assert_eq!(names(&passing), names(&held));
}
