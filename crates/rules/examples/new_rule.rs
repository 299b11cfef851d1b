//! Writes the file of a new rule and puts it into the registry:
//! `cargo run -p rules --example new_rule -- ID GROUP`.
//!
//! Then fill the file, add its facts to `facts.tsv`, and run
//! `GYLE_WRITE=1 cargo test -p gyle-tests --test rules`, which renews the reference page and the table of levels.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use rules::{Group, find};

fn main() -> ExitCode {
    let args: Vec<String> = std::env::args().skip(1).collect();
    match add(&args, &Path::new(env!("CARGO_MANIFEST_DIR")).join("src/rules")) {
        Ok(path) => {
            println!("{} is written and registered; it is a hint until it has proved quiet", path.display());
            ExitCode::SUCCESS
        }
        Err(reason) => {
            eprintln!("{reason}");
            ExitCode::from(2)
        }
    }
}

fn add(args: &[String], folder: &Path) -> Result<PathBuf, String> {
    let [id, group] = args else { return Err("usage: new_rule ID GROUP".into()) };
    let kebab = id.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-');
    if !kebab || !id.contains('-') || id.starts_with('-') || id.ends_with('-') {
        return Err(format!(
            "{id}: an id is kebab-case with at least one hyphen, and reads well after `allow`"
        ));
    }
    if find(id).is_some() {
        return Err(format!("{id} is there already"));
    }
    let Some(known) = Group::ALL.iter().find(|known| known.word() == group) else {
        let words: Vec<&str> = Group::ALL.iter().map(|group| group.word()).collect();
        return Err(format!("{group} is no group: {}", words.join(", ")));
    };
    let file = id.replace('-', "_");
    let path = folder.join(group).join(format!("{file}.rs"));
    if path.exists() {
        return Err(format!("{} is there already", path.display()));
    }
    let registry = folder.join("mod.rs");
    let text = std::fs::read_to_string(&registry).map_err(|error| error.to_string())?;
    let text = registered(&text, group, &file).ok_or("the registry has no list for this group")?;
    std::fs::create_dir_all(folder.join(group)).map_err(|error| error.to_string())?;
    std::fs::write(&path, template(id, *known)).map_err(|error| error.to_string())?;
    std::fs::write(&registry, text).map_err(|error| error.to_string())?;
    Ok(path)
}

/// The registry with one more line, in its place of the alphabet.
fn registered(text: &str, group: &str, file: &str) -> Option<String> {
    let head = format!("    {group} {{\n");
    let start = text.find(&head)? + head.len();
    let end = start + text[start..].find("    }\n")?;
    let line = format!("        {file},\n");
    let mut lines: Vec<&str> = text[start..end].split_inclusive('\n').chain([line.as_str()]).collect();
    lines.sort_unstable();
    Some(format!("{}{}{}", &text[..start], lines.concat(), &text[end..]))
}

fn template(id: &str, group: Group) -> String {
    format!(
        r###"//! What it catches, in one sentence.

use crate::prelude::*;

// A new rule enters at hint or off, in the edition that is not frozen yet.
pub(crate) static RULE: Rule = Rule::new("{id}", Group::{group:?}, Level::Hint, Check::Recipe(check), DOC)
    .since(Edition::NEXT)
    .limits(&[&LIMIT]);

static LIMIT: Limit =
    Limit::at_most("{id}-most", 120.0, "min", "what it limits", "where the number comes from, or: common practice, no source");

const DOC: Doc = Doc {{
    catches: "What it catches, in one sentence.",
    matters: "Why it matters to the beer or the brewer.",
    example: r#"recipe "Harbour Bitter"
  batch     20 L
boil 150 min"#,
    instead: r#"recipe "Harbour Bitter"
  batch     20 L
boil 60 min"#,
    limits: "What it does not see, and when it keeps quiet.",
    sources: "Where the limits come from.",
}};

/// The numbers of a finding.
struct Found {{
    value: f64,
}}

fn check(cx: &RecipeCx, hits: &mut Hits) {{
    let Some(boil) = &cx.recipe.boil else {{ return }};
    let Some(time) = &boil.time else {{ return }};
    if let Some(grade) = Grade::above(time.value, || 0.0, &[(cx.limit(&LIMIT), Severity::Hint)]) {{
        hits.recipe(grade, boil.place, Found {{ value: time.value }});
    }}
}}

impl Detail for Found {{
    fn message(&self, say: Say) -> Message {{
        Message::new(format!("what the numbers are: {{}}", say.time(self.value)), "why it matters", "what to do")
    }}
}}
"###
    )
}
