//! What a brewer sees of each kind of mistake.
//!
//! A case is a file of `tests/faulty`, called after its mistake, or a folder with a `gyle.toml` of its own where it
//! takes a repository: checking it prints what stands in the snapshot of its name.

use std::collections::BTreeSet;
use std::fs;

use crate::{Folder, copy, said, tests};

#[test]
fn each_kind_of_mistake_is_explained() {
    let folder = Folder::new("mistakes");
    copy(&tests().join("faulty"), &folder.0);
    let mut names: Vec<String> = fs::read_dir(tests().join("faulty"))
        .unwrap()
        .filter_map(|entry| {
            entry.unwrap().file_name().into_string().unwrap().strip_suffix(".gyle").map(str::to_owned)
        })
        .collect();
    let folders = fs::read_dir(tests().join("faulty")).unwrap().map(|entry| entry.unwrap());
    let folders = folders.filter(|entry| entry.path().join("gyle.toml").exists());
    names.extend(folders.map(|entry| entry.file_name().into_string().unwrap()));
    names.sort();
    let mut wrong = Vec::new();
    for name in &names {
        let file = format!("{name}.gyle");
        let path = if folder.0.join(&file).exists() { &file } else { name };
        let args = ["check", path, "--fail-on", "never"];
        let text = said(&args, &folder.gyle(&args, ""));
        let first = text.lines().nth(1).unwrap_or_default();
        if first.starts_with('[') == (name == "sound") {
            wrong.push(format!("{name}: {first}"));
        }
        insta::with_settings!({snapshot_path => tests().join("faulty/seen"), prepend_module_to_snapshot => false, omit_expression => true}, {
            insta::assert_snapshot!(name.as_str(), text);
        });
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    // A snapshot whose file is gone shows nobody anything.
    let seen: BTreeSet<String> = fs::read_dir(tests().join("faulty/seen"))
        .unwrap()
        .filter_map(|entry| {
            entry.unwrap().file_name().into_string().unwrap().strip_suffix(".snap").map(str::to_owned)
        })
        .collect();
    assert_eq!(seen, names.into_iter().collect());
}
