//! `gyle new`: a house to begin with.

use std::fs;
use std::path::Path;

use crate::args::{Ci, NewArgs};
use crate::check::absolute;
use crate::output::{Output, complain};

/// What stands in a new house: its path, and its text.
const HOUSE: &[(&str, &str)] = &[
    ("gyle.toml", include_str!("../templates/house/gyle.toml")),
    ("cellar/house.gyle", include_str!("../templates/house/cellar/house.gyle")),
    ("recipes/first-bitter.gyle", include_str!("../templates/house/recipes/first-bitter.gyle")),
    ("logs/1-first-bitter.gyle", include_str!("../templates/house/logs/1-first-bitter.gyle")),
    (".gitattributes", include_str!("../templates/house/gitattributes")),
];

impl Ci {
    fn file(self) -> Option<(&'static str, &'static str)> {
        match self {
            Self::Github => Some((".github/workflows/gyle.yml", include_str!("../templates/ci/github.yml"))),
            Self::Gitlab => Some((".gitlab-ci.yml", include_str!("../templates/ci/gitlab.yml"))),
            Self::None => None,
        }
    }
}

pub(crate) fn run(args: &NewArgs, output: &mut Output) -> u8 {
    match make(args) {
        Ok(files) => {
            let shown = args.folder.display();
            let plain = |c: char| c.is_alphanumeric() || matches!(c, '/' | '.' | '-' | '_');
            let typed =
                if shown.to_string().chars().all(plain) { shown.to_string() } else { format!("\"{shown}\"") };
            for file in files {
                output.line(&format!("made {shown}/{file}"));
            }
            output.line("");
            output.line(&format!(
                "Next: put your kettle and your water into {shown}/cellar/house.gyle, then run \
                 `gyle check {typed}`."
            ));
            0
        }
        Err(text) => {
            complain(&text);
            2
        }
    }
}

/// Makes the files, or none when one of them is there already.
fn make(args: &NewArgs) -> Result<Vec<&'static str>, String> {
    let root = absolute(&args.folder);
    let files: Vec<(&str, &str)> = HOUSE.iter().copied().chain(args.ci.file()).collect();
    let there: Vec<&str> = files
        .iter()
        .map(|(path, _)| *path)
        .filter(|path| root.join(path).symlink_metadata().is_ok())
        .collect();
    if !there.is_empty() {
        return Err(format!(
            "{} holds {} already, so nothing was made; name another folder",
            args.folder.display(),
            there.join(", ")
        ));
    }
    for (path, text) in &files {
        write(&root.join(path), text)
            .map_err(|error| format!("{} cannot be written: {error}", args.folder.join(path).display()))?;
    }
    Ok(files.into_iter().map(|(path, _)| path).collect())
}

fn write(path: &Path, text: &str) -> std::io::Result<()> {
    if let Some(folder) = path.parent() {
        fs::create_dir_all(folder)?;
    }
    // Never over a file that came to be in between.
    let mut file = fs::OpenOptions::new().write(true).create_new(true).open(path)?;
    std::io::Write::write_all(&mut file, text.as_bytes())
}

#[cfg(test)]
mod tests {
    use crate::args::Cli;
    use clap::Parser as _;

    /// The commands of a script or of a workflow that begin with `gyle`.
    fn commands(text: &str) -> Vec<&str> {
        text.lines()
            .map(|line| line.trim().trim_start_matches("- ").trim_start_matches("run: "))
            .filter_map(|line| line.find("gyle ").map(|at| (line, at)))
            .filter(|(line, at)| {
                !line.starts_with('#') && (*at == 0 || line[..*at].ends_with("xargs -0 -r "))
            })
            .map(|(line, at)| line[at..].split(" >>").next().unwrap_or_default())
            .collect()
    }

    #[test]
    fn every_command_of_the_templates_is_one_there_is() {
        let texts = [
            (include_str!("../templates/ci/github.yml"), 3),
            (include_str!("../templates/ci/gitlab.yml"), 2),
            (include_str!("../templates/hooks/pre-commit"), 2),
        ];
        for (text, count) in texts {
            let commands = commands(text);
            assert_eq!(commands.len(), count, "{commands:?}");
            for command in commands {
                let words = command.split_whitespace().map(|word| word.trim_matches('"'));
                assert!(Cli::try_parse_from(words).is_ok(), "{command}");
            }
        }
    }
}
