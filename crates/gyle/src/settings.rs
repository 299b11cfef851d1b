//! `gyle check --show-settings`.

use std::path::Path;
use std::sync::Arc;

use workspace::{Disk, Workspace};

use crate::check::{absolute, complain_of};
use crate::output::{Output, complain};

/// Shows the settings in force for a file, which need not exist yet.
pub(crate) fn run(file: &Path, output: &mut Output) -> u8 {
    let (file, here) = (absolute(file), absolute(Path::new(".")));
    let workspace = Workspace::new(Arc::new(Disk));
    // A folder stands for the files in it.
    let within = if file.is_dir() { file.join("recipe.gyle") } else { file.clone() };
    let config = workspace.config_for(&within);
    let shown = Workspace::shown_path(&file, &here);
    if !complain_of(&config, &here) {
        complain("these settings hold without the lines named above");
    }
    let shown = if shown.is_empty() { "this folder".to_owned() } else { shown };
    match &config.path {
        Some(path) => output.line(&format!(
            "# {shown}: the settings of {}, the rest by default",
            Workspace::shown_path(path, &here)
        )),
        None => output.line(&format!("# {shown}: no gyle.toml above it, all settings by default")),
    }
    output.text(&config.in_force());
    u8::from(!config.errors.is_empty()) * 2
}
