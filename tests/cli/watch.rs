//! `gyle check --watch`.

use std::fs;
use std::io::{BufRead, BufReader};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

use super::Folder;

const GOOD: &str = "recipe \"Plain\"\n  batch     20 L\n";
const BAD: &str = "recipe \"Plain\"\n  batch     20\n";

/// A running check whose summaries come one by one.
struct Watching {
    child: Child,
    lines: Receiver<String>,
}

impl Watching {
    fn new(folder: &Folder, args: &[&str]) -> Self {
        let mut child = Command::new(env!("CARGO_BIN_EXE_gyle"))
            .args(args)
            .current_dir(&folder.0)
            .env("NO_COLOR", "1")
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let (sender, lines) = channel();
        let stdout = BufReader::new(child.stdout.take().unwrap());
        std::thread::spawn(move || {
            for line in stdout.lines().map_while(Result::ok) {
                let _ = sender.send(line);
            }
        });
        Self { child, lines }
    }

    /// Waits until a line begins with this text.
    fn says(&self, text: &str) {
        loop {
            let line = self.lines.recv_timeout(Duration::from_secs(60));
            let line = line.unwrap_or_else(|_| panic!("it never said `{text}`"));
            if line.starts_with(text) {
                return;
            }
        }
    }
}

impl Drop for Watching {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

#[test]
fn it_survives_what_editors_and_brewers_do_to_files() {
    let folder = Folder::new("watch");
    folder.write("house/gyle.toml", "library = [\"cellar/*.gyle\"]\n");
    folder.write("house/cellar/kettle.gyle", "brewhouse shed\n  evaporation  3 L/h\n");
    folder.write("house/recipes/plain.gyle", GOOD);
    let watching = Watching::new(&folder, &["check", "house", "--watch", "--only", "units"]);
    watching.says("2 files checked: no errors");
    // Written in place.
    folder.write("house/recipes/plain.gyle", BAD);
    watching.says("2 files checked: 1 error");
    // Saved beside and moved over, as many editors do.
    folder.write("house/recipes/plain.gyle.tmp", GOOD);
    fs::rename(folder.0.join("house/recipes/plain.gyle.tmp"), folder.0.join("house/recipes/plain.gyle"))
        .unwrap();
    watching.says("2 files checked: no errors");
    // A new file in a new folder.
    folder.write("house/more/new.gyle", BAD);
    watching.says("3 files checked: 1 error");
    // A folder goes away and comes back.
    fs::remove_dir_all(folder.0.join("house/more")).unwrap();
    watching.says("2 files checked: no errors");
    fs::rename(folder.0.join("house"), folder.0.join("elsewhere")).unwrap();
    watching.says("no files checked");
    fs::rename(folder.0.join("elsewhere"), folder.0.join("house")).unwrap();
    watching.says("2 files checked: no errors");
}
