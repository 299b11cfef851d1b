//! `gyle.toml`: which one holds, what it says, and what is wrong with it.

mod support;

use std::path::Path;

use figures::{AlcoholModel, BitternessGravity, BitternessModel, ColourModel, Settings, ShownUnits};
use quantity::Customary;
use workspace::{Config, Root};

use support::{loaded, over, said};

fn read(text: &str) -> Config {
    Config::read("/r".into(), "/r/gyle.toml".into(), text)
}

/// Errors as `line: message; help`.
fn errors(config: &Config) -> Vec<String> {
    config.errors.iter().map(|error| format!("{}: {}; {}", error.line, error.message, error.help)).collect()
}

#[test]
fn every_setting_of_the_figures_is_read() {
    type Change = fn(&mut Settings);
    let cases: [(&str, Change); 21] = [
        ("customary = \"us\"", |it| it.customary = Some(Customary::Us)),
        ("customary = \"imperial\"", |it| it.customary = Some(Customary::Imperial)),
        ("[figures]\nbitterness = \"rager\"", |it| it.bitterness = BitternessModel::Rager),
        ("[figures]\nbitterness = \"garetz\"", |it| it.bitterness = BitternessModel::Garetz),
        ("[figures]\nbitterness-gravity = \"pre-boil\"", |it| {
            it.bitterness_gravity = BitternessGravity::PreBoil
        }),
        ("[figures]\nbitterness-gravity = \"post-boil\"", |it| {
            it.bitterness_gravity = BitternessGravity::PostBoil;
        }),
        ("[figures]\npellet-factor = 1.1", |it| it.pellet_factor = 1.1),
        ("[figures]\nfirst-wort-factor = 1.10", |it| it.first_wort_factor = 1.1),
        ("[figures]\nmash-hop-factor = 1", |it| it.mash_hop_factor = 1.0),
        ("[figures]\ncolour = \"daniels\"", |it| it.colour = ColourModel::Daniels),
        ("[figures]\ncolour = \"mosher\"", |it| it.colour = ColourModel::Mosher),
        ("[figures]\nalcohol = \"cutaia\"", |it| it.alcohol = AlcoholModel::Cutaia),
        ("[figures]\nalcohol = \"uk-excise\"", |it| it.alcohol = AlcoholModel::UkExcise),
        ("[figures]\nmash-effect = \"on\"", |it| it.mash_effect = true),
        ("[figures]\nchill-bitterness = \"on\"", |it| it.chill_bitterness = true),
        ("[figures]\nslaking-heat = \"on\"", |it| it.slaking_heat = true),
        ("[figures]\ndecoction-loss = 10", |it| it.decoction_loss = 10.0),
        ("[figures]\nunits = \"us\"", |it| it.units = Some(ShownUnits::Us)),
        ("[figures]\nunits = \"imperial\"", |it| it.units = Some(ShownUnits::Imperial)),
        ("[figures]\nunits = \"metric\"", |it| it.units = Some(ShownUnits::Metric)),
        ("", |_| {}),
    ];
    for (text, change) in cases {
        let config = read(text);
        let mut wanted = Settings::default();
        change(&mut wanted);
        assert_eq!(config.figures, wanted, "{text}");
        assert_eq!(errors(&config), Vec::<String>::new(), "{text}");
        assert!(text.is_empty() || config.figures != Settings::default(), "{text} says nothing");
    }
}

#[test]
fn the_example_of_the_language_is_sound() {
    let config = read(
        "rules     = \"2026\"\nlibrary   = [\"cellar/*.gyle\"]\ncustomary = \"us\"\n[figures]\nbitterness = \"tinseth\"\ncolour     = \"morey\"\nalcohol    = \"balling\"\nunits      = \"metric\"\n[check]\nexclude = [\"archive/**\"]\n[check.rules]\nmixed-unit-systems = \"off\"\n[check.limits]\nmash-ph = \"5.2..5.6\"\n",
    );
    assert_eq!(errors(&config), Vec::<String>::new());
    assert_eq!(config.edition(), rules::Edition::Y2026);
    assert_eq!(config.library.len(), 1);
    assert!(config.excludes(Path::new("/r/archive/2019/a.gyle")));
    assert!(!config.excludes(Path::new("/r/recipes/a.gyle")));
    assert!(!config.excludes(Path::new("/elsewhere/archive/a.gyle")));
}

#[test]
fn mistakes_are_said_with_their_line_and_what_to_write() {
    for (text, wanted) in [
        (
            "\n\nedition = \"2026\"",
            "3: `edition` is no setting of gyle.toml; gyle.toml knows rules, library, customary, figures, check",
        ),
        ("libary = []", "1: `libary` is no setting of gyle.toml; did you mean `library`?"),
        ("rules = \"2031\"", "1: `2031` is no value of `rules`; write one of 2026"),
        ("customary = \"uk\"", "1: `uk` is no value of `customary`; did you mean `us`?"),
        ("library = \"cellar.gyle\"", "1: `library` wants a list; write `library = [\"…\"]`"),
        ("library = [\n  \"a.gyle\",\n  3,\n]", "3: `library` wants text in quotes; write `library = \"…\"`"),
        (
            "library = [\"[\"]",
            "1: `[` is no pattern of files: its `[` is not closed; write a pattern such as `cellar/*.gyle`",
        ),
        (
            "library = [\"../*.gyle\"]",
            "1: `../*.gyle` looks for files outside the folder of this gyle.toml; a pattern stays below that folder; outside it, name each file",
        ),
        (
            "library = [\"a/../../b/*.gyle\"]",
            "1: `a/../../b/*.gyle` looks for files outside the folder of this gyle.toml; a pattern stays below that folder; outside it, name each file",
        ),
        ("figures = 1", "1: `figures` is a section; write `[figures]` on a line of its own"),
        (
            "[figures]\nbiterness = \"tinseth\"",
            "2: `biterness` is no setting of [figures]; did you mean `bitterness`?",
        ),
        (
            "[figures]\nbitterness = \"tinsth\"",
            "2: `tinsth` is no value of `bitterness`; did you mean `tinseth`?",
        ),
        ("[figures]\nbitterness = 3", "2: `bitterness` wants text in quotes; write `bitterness = \"…\"`"),
        (
            "[figures]\npellet-factor = -1",
            "2: `pellet-factor` wants a number that is not negative; write `pellet-factor = 1.0`",
        ),
        (
            "[figures]\npellet-factor = nan",
            "2: `pellet-factor` wants a number that is not negative; write `pellet-factor = 1.0`",
        ),
        (
            "[figures]\npellet-factor = inf",
            "2: `pellet-factor` wants a number that is not negative; write `pellet-factor = 1.0`",
        ),
        ("[check]\nexcludes = []", "2: `excludes` is no setting of [check]; did you mean `exclude`?"),
        (
            "[check]\nexclude = [\"a{\"]",
            "2: `a{` is no pattern of files: its `{` is not closed; write a pattern such as `cellar/*.gyle`",
        ),
        (
            "[check.rules]\nhop-time-exceeds-boi = \"off\"",
            "2: `hop-time-exceeds-boi` is no rule and no group of rules; did you mean `hop-time-exceeds-boil`?",
        ),
        (
            "[check.rules]\nhop-time-exceeds-boil = \"info\"",
            "2: `info` is no value of `hop-time-exceeds-boil`; write one of off, hint, warning, error",
        ),
        ("[check.limits]\nmash-p = \"5.2..5.6\"", "2: `mash-p` is no limit; did you mean `mash-ph`?"),
        (
            "[check.limits]\nmash-ph = \"low\"",
            "2: `low` cannot be read as the limit `mash-ph`; write it like its default, `5.2..5.6`",
        ),
        (
            "[check.limits]\nmash-ph = []",
            "2: the limit `mash-ph` wants text in quotes; write `mash-ph = \"…\"`",
        ),
        (
            "rules = \"2027\"",
            "1: the edition 2027 of the rules may still change; `gyle check --edition 2027` shows what it will find; until then keep to the one before",
        ),
        ("[[check.overide]]\nfiles = []", "1: `overide` is no setting of [check]; did you mean `override`?"),
        (
            "[check.override]\nfiles = []",
            "1: `check.override` wants a list of sections; write `[[check.override]]` above its `files` and `rules`",
        ),
        (
            "[[check.override]]\nrules.boil = \"off\"",
            "1: this `check.override` names no files; write `files = [\"recipes/sour/**\"]`, or set the levels in `[check.rules]`",
        ),
        (
            "[[check.override]]\nfiles = [\"a{\"]\nfile = 1",
            "2: `a{` is no pattern of files: its `{` is not closed; write a pattern such as `cellar/*.gyle` | 3: `file` is no setting of [check.override]; did you mean `files`?",
        ),
        (
            "[[check.override]]\nfiles = []\nrules.boill = \"off\"",
            "3: `boill` is no rule and no group of rules; did you mean `boil`?",
        ),
        (
            "[[check.override]]\nfiles = []\nrules.container-over-limit = \"off\"",
            "3: `container-over-limit` guards against what can hurt somebody; it is not silenced for whole files; write `# allow` above the line it is about, with the reason",
        ),
        (
            "\na = ",
            "2: this line cannot be read, so nothing of the file is used; a line is `key = value`, a `[section]` or a `# comment`, and text stands in quotes",
        ),
    ] {
        let config = read(text);
        assert_eq!(errors(&config).join(" | "), wanted, "{text}");
    }
}

#[test]
fn all_mistakes_are_said_at_once_and_the_rest_holds() {
    let config = read(
        "colour = 1\n[figures]\nalcohol = \"cutaia\"\ncolour = \"pale\"\n[check.rules]\nno-such-rule-at-all = \"off\"\nmash = \"off\"\n",
    );
    let lines: Vec<usize> = config.errors.iter().map(|error| error.line).collect();
    assert_eq!(lines, [1, 4, 6]);
    assert_eq!(config.figures.alcohol, AlcoholModel::Cutaia);
}

#[test]
fn the_nearest_configuration_holds_alone() {
    let files = "//- /r/gyle.toml\ncustomary = \"us\"\n[figures]\ncolour = \"daniels\"\n//- /r/a.gyle\n//- /r/deep/down/b.gyle\n//- /r/guest/gyle.toml\n[figures]\ncolour = \"mosher\"\n//- /r/guest/c.gyle\n//- /git/.git/HEAD\n//- /git/deep/d.gyle\n//- /loose/e.gyle\n";
    let (workspace, _) = loaded(files, &["/r", "/git", "/loose"]);
    for (path, root, kind, colour, customary) in [
        ("/r/a.gyle", "/r", Root::Configured, ColourModel::Daniels, Some(Customary::Us)),
        ("/r/deep/down/b.gyle", "/r", Root::Configured, ColourModel::Daniels, Some(Customary::Us)),
        // Nothing is taken over from the one above.
        ("/r/guest/c.gyle", "/r/guest", Root::Configured, ColourModel::Mosher, None),
        ("/git/deep/d.gyle", "/git", Root::Git, ColourModel::Morey, None),
        ("/loose/e.gyle", "/loose", Root::Folder, ColourModel::Morey, None),
    ] {
        let config = workspace.config_for(Path::new(path));
        assert_eq!((config.root.to_str(), config.kind), (Some(root), kind), "{path}");
        assert_eq!((config.figures.colour, config.figures.customary), (colour, customary), "{path}");
    }
}

#[test]
fn a_configuration_that_cannot_be_read_is_said_and_none_further_up_takes_its_place() {
    let source = support::files("//- /r/gyle.toml\n[figures]\ncolour = \"daniels\"\n//- /r/b/a.gyle\n");
    let large = "#".repeat((1 << 20) + 1);
    let files = source.into_iter().chain([("/r/b/gyle.toml".to_owned(), large)]);
    let (workspace, loaded) = over(std::sync::Arc::new(workspace::Memory::new(files)), &["/r/b/a.gyle"]);
    assert_eq!(loaded.files.len(), 1);
    let config = workspace.config_for(Path::new("/r/b/a.gyle"));
    assert_eq!(config.figures.colour, ColourModel::Morey);
    assert_eq!(
        errors(&config),
        ["1: it is larger than 1024 KiB; mend the file, or take it away to go by the defaults"]
    );
}

#[test]
fn levels_and_excluded_files_hold_for_what_is_checked() {
    let faulty = "recipe \"A\"\n  batch     20 L\n\ngrist\n  4,1 kg    pale malt\n";
    for (toml, found) in [
        ("", &["5 decimal-comma"][..]),
        ("[check.rules]\ndecimal-comma = \"off\"\n", &[]),
        ("[check.rules]\nunits = \"off\"\n", &[]),
        ("[check.rules]\nunits = \"off\"\ndecimal-comma = \"error\"\n", &["5 decimal-comma"]),
    ] {
        let files = format!("//- /r/gyle.toml\n{toml}//- /r/a.gyle\n{faulty}");
        let (workspace, _) = loaded(&files, &["/r/a.gyle"]);
        let all = said(&workspace, support::id(&workspace, "/r/a.gyle"));
        let commas: Vec<&str> =
            all.iter().filter(|one| one.contains("decimal-comma")).map(|one| &one[..15]).collect();
        assert_eq!(commas, found, "{toml}");
    }
    let files = format!(
        "//- /r/gyle.toml\n[check]\nexclude = [\"archive/**\"]\n//- /r/a.gyle\n{faulty}//- /r/archive/b.gyle\n{faulty}"
    );
    // A folder leaves out what is excluded; a file that is asked for by name is looked at.
    for (asked, files_taken) in [("/r", 1), ("/r/archive", 0), ("/r/archive/b.gyle", 1)] {
        let (_, loaded) = loaded(&files, &[asked]);
        assert_eq!(loaded.files.len(), files_taken, "{asked}");
    }
}

#[test]
fn levels_hold_for_the_files_they_are_set_for() {
    let faulty = "recipe \"A\"\n  batch     20 L\n\ngrist\n  4,1 kg    pale malt\n";
    let files = format!(
        "//- /r/gyle.toml\nlibrary = [\"cellar/*.gyle\"]\n[check.rules]\ndecimal-comma = \"warning\"\n\
         [[check.override]]\nfiles = [\"old/**\", \"*.draft.gyle\"]\nrules.units = \"hint\"\n\
         [[check.override]]\nfiles = [\"old/worst/**\"]\nrules = {{ decimal-comma = \"off\", unused-definition = \"hint\" }}\n\
         //- /r/a.gyle\n{faulty}//- /r/b.draft.gyle\n{faulty}//- /r/old/c.gyle\n{faulty}//- /r/old/worst/d.gyle\n{faulty}\
         //- /r/old/guest/gyle.toml\n//- /r/old/guest/e.gyle\n{faulty}\
         //- /r/cellar/x.gyle\nmalt \"X\"\n  like pale malt\n//- /r/old/worst/y.gyle\nmalt \"Y\"\n  like pale malt\n"
    );
    let (workspace, loaded) = loaded(&files, &["/r"]);
    assert_eq!(loaded.left_out, []);
    for (path, severity) in [
        ("/r/a.gyle", "warning"),
        ("/r/b.draft.gyle", "hint"),
        ("/r/old/c.gyle", "hint"),
        ("/r/old/worst/d.gyle", ""),
        // The nearest configuration holds alone.
        ("/r/old/guest/e.gyle", "error"),
    ] {
        let analysis = workspace.analyse(support::id(&workspace, path)).unwrap();
        let comma = analysis.findings.iter().find(|one| one.rule == "decimal-comma");
        assert_eq!(comma.map_or("", |one| one.severity.word()), severity, "{path}");
    }
    // What shows across files is judged by the levels of the file it is shown in.
    let found = workspace.check_repositories(&["/r".into()]);
    let unused: Vec<_> =
        found.iter().filter(|one| one.rule == "unused-definition").map(|one| one.file).collect();
    assert_eq!(unused, [support::id(&workspace, "/r/old/worst/y.gyle")]);
    // What holds for a file is written out for it.
    for (path, line) in
        [("/r/a.gyle", "decimal-comma = \"warning\""), ("/r/old/c.gyle", "decimal-comma = \"hint\"")]
    {
        let text = workspace.config_for(Path::new(path)).in_force();
        assert!(text.contains(line), "{path}: {text}");
    }
}

#[test]
fn files_are_looked_at_by_the_levels_of_another_edition() {
    let files = "//- /r/gyle.toml\n[check.rules]\nmash-temp-contradicts-fg = \"off\"\n//- /r/a.gyle\nrecipe \"A\"\n  batch     20 L\n\ngrist\n  4 kg      pale malt\n\npitch\n  11 g      dry English ale yeast\n  at        18 C\n\nferment\n  hold      19 C for 7 d\n  cool      to 2 C over 3 h\n";
    let (mut workspace, _) = loaded(files, &["/r"]);
    let cooling = |workspace: &workspace::Workspace| {
        let analysis = workspace.analyse(support::id(workspace, "/r/a.gyle")).unwrap();
        analysis.findings.iter().filter(|one| one.rule == "cooling-too-fast").count()
    };
    assert_eq!(cooling(&workspace), 0);
    workspace.look_by(rules::Edition::NEXT);
    assert_eq!(cooling(&workspace), 1);
    let level = |id| {
        let rule = rules::find(id).unwrap();
        workspace.config_for(Path::new("/r/a.gyle")).rules.levels.of(rule)
    };
    // What the house sets holds in every edition.
    assert_eq!(level("mash-temp-contradicts-fg"), rules::Level::Off);
    assert_eq!(level("cooling-too-fast"), rules::Level::Hint);
}

#[test]
fn a_library_that_means_no_file_is_noted() {
    let files = "//- /r/gyle.toml\nlibrary = [\"celar/*.gyle\", \"hops.gyle\", \"cellar/*.gyle\"]\n//- /r/cellar/a.gyle\n//- /r/b.gyle\n";
    let (_, loaded) = loaded(files, &["/r/b.gyle"]);
    let notes: Vec<&str> = loaded.left_out.iter().map(|one| one.reason.as_str()).collect();
    assert_eq!(
        notes,
        ["no file is meant by the library `celar/*.gyle`", "no file is meant by the library `hops.gyle`"]
    );
}
