//! `gyle check`.

use std::collections::HashSet;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use rayon::prelude::*;
use recipe::{DefPlace, FileId};
use rules::{Finding, Group, Level};
use workspace::{Analysis, BoundedDisk, Config, Disk, FileState, Loaded, Source, Workspace};

use crate::args::{CheckArgs, FailOn, Report, ReportFormat};
use crate::output::{Output, complain};
use crate::render::{self, Shown};
use crate::{baseline, settings, since, watch};

/// Findings of a whole run, with what they refer to.
pub(crate) struct Checked {
    /// File by file, in the order of the text.
    pub(crate) findings: Vec<Shown>,
    /// The files asked for, and their paths as shown.
    pub(crate) files: Vec<(FileId, String)>,
    /// What the reader should know beside the findings, one sentence each.
    pub(crate) notes: Vec<String>,
    /// Whether everything asked for could be read.
    pub(crate) whole: bool,
}

/// How often a rule spoke.
pub(crate) struct Count {
    pub(crate) rule: &'static str,
    pub(crate) group: Group,
    pub(crate) findings: usize,
    /// Findings that have a safe fix.
    pub(crate) fixes: usize,
}

impl Checked {
    /// How many hints, warnings and errors.
    pub(crate) fn counts(&self) -> [usize; 3] {
        let mut counts = [0; 3];
        for one in &self.findings {
            counts[one.finding.severity as usize] += 1;
        }
        counts
    }

    /// How often each rule spoke, the most frequent first.
    pub(crate) fn statistics(&self) -> Vec<Count> {
        let mut rows: Vec<Count> = Vec::new();
        for Shown { finding, .. } in &self.findings {
            let fixes = usize::from(finding.fixes.iter().any(|fix| fix.safe));
            match rows.iter_mut().find(|row| row.rule == finding.rule) {
                Some(row) => {
                    row.findings += 1;
                    row.fixes += fixes;
                }
                None => rows.push(Count { rule: finding.rule, group: finding.group, findings: 1, fixes }),
            }
        }
        rows.sort_by_key(|row| (core::cmp::Reverse(row.findings), row.rule));
        rows
    }
}

/// Which rules are looked at.
#[derive(Default)]
pub(crate) struct Choice {
    only: Vec<String>,
    skip: Vec<String>,
}

impl Choice {
    /// From the rules and groups named.
    ///
    /// # Errors
    /// When nothing is called so: what to say.
    fn new(only: &[String], skip: &[String]) -> Result<Self, String> {
        for name in only.iter().chain(skip) {
            let groups = || Group::ALL.iter().map(|group| group.word());
            if rules::find(name).is_none() && !groups().any(|group| group == name) {
                let names = rules::RULES.iter().map(|rule| rule.id).chain(groups());
                return Err(match rules::nearest(name, names) {
                    Some(near) => {
                        format!("there is no rule and no group of rules `{name}`; did you mean `{near}`?")
                    }
                    None => format!(
                        "there is no rule and no group of rules `{name}`; `gyle rules` lists the rules and their groups"
                    ),
                });
            }
        }
        Ok(Self { only: only.to_vec(), skip: skip.to_vec() })
    }

    /// Whether a rule is looked at. A rule's own name goes before its group's.
    pub(crate) fn takes(&self, rule: &str, group: Group) -> bool {
        let names = |list: &[String], name: &str| list.iter().any(|one| one == name);
        if names(&self.skip, rule) {
            return false;
        }
        if names(&self.only, rule) {
            return true;
        }
        !names(&self.skip, group.word()) && (self.only.is_empty() || names(&self.only, group.word()))
    }
}

/// What standard input is called where it stands for no path. No file of recipes has such a name.
pub(crate) const STANDARD_INPUT: &str = "standard input";

/// An absolute path without `.` and `..`, without touching the file.
pub(crate) fn absolute(path: &Path) -> PathBuf {
    workspace::normal(&std::path::absolute(path).unwrap_or_else(|_| path.to_path_buf()))
}

/// Takes paths and standard input into a workspace. Says on standard error what could not be read; the
/// second value is whether everything could.
pub(crate) fn load(paths: &[PathBuf], stdin_path: Option<&Path>) -> (Workspace, Loaded, bool) {
    load_by(Arc::new(Disk), paths, stdin_path, Workspace::load)
}

/// The same from any source, with `load` to take the paths.
fn load_by(
    source: Arc<dyn Source>,
    paths: &[PathBuf],
    stdin_path: Option<&Path>,
    load: impl FnOnce(&mut Workspace, &[PathBuf]) -> Loaded,
) -> (Workspace, Loaded, bool) {
    let mut workspace = Workspace::new(source);
    let mut whole = true;
    let from_stdin = paths.iter().any(|path| path.as_os_str() == "-");
    let paths: Vec<PathBuf> =
        paths.iter().filter(|path| path.as_os_str() != "-").map(|path| absolute(path)).collect();
    let mut loaded = load(&mut workspace, &paths);
    if from_stdin {
        let mut text = String::new();
        match std::io::stdin().read_to_string(&mut text) {
            Ok(_) => {
                let path = absolute(stdin_path.unwrap_or(Path::new(STANDARD_INPUT)));
                loaded.files.push(workspace.load_text(&path, &text));
            }
            Err(error) => {
                complain(&format!("standard input cannot be read: {error}"));
                whole = false;
            }
        }
    }
    let here = absolute(Path::new("."));
    for skipped in &loaded.unreadable {
        complain(&format!("{}: {}", Workspace::shown_path(&skipped.path, &here), skipped.reason));
        whole = false;
    }
    (workspace, loaded, whole)
}

/// Says what is wrong with the configurations in force. False when something is.
pub(crate) fn sound_configs(workspace: &Workspace, files: &[FileId], here: &Path) -> bool {
    let mut seen: Vec<Arc<Config>> = Vec::new();
    for state in files.iter().filter_map(|id| workspace.file(*id)) {
        if !seen.iter().any(|config| Arc::ptr_eq(config, &state.config) || config.path == state.config.path) {
            seen.push(Arc::clone(&state.config));
        }
    }
    let mut sound = true;
    for config in &seen {
        sound &= complain_of(config, here);
    }
    sound
}

/// Says what is wrong with a configuration. False when something is.
pub(crate) fn complain_of(config: &Config, here: &Path) -> bool {
    let Some(path) = &config.path else { return true };
    let text = std::fs::read_to_string(path).unwrap_or_default();
    for error in &config.errors {
        let line = text.get(..error.span.start).map_or(0, |before| before.matches('\n').count()) + 1;
        complain(&format!("{}:{line}: {}; {}", Workspace::shown_path(path, here), error.message, error.help));
    }
    config.errors.is_empty()
}

/// Takes one file of recipes, with all that counts for it.
///
/// # Errors
/// When it is a folder or cannot be read, or its settings are wrong, which is also said on standard error.
pub(crate) fn one_file(path: &Path, here: &Path) -> Result<(Workspace, Arc<FileState>, Analysis), String> {
    let mut workspace = Workspace::new(Arc::new(Disk));
    let loaded = workspace.load(&[absolute(path)]);
    if let Some(skipped) = loaded.unreadable.first() {
        return Err(format!("{}: {}", Workspace::shown_path(&skipped.path, here), skipped.reason));
    }
    let [id] = *loaded.files else {
        return Err(format!("{} is a folder; name one file of recipes", path.display()));
    };
    let (Some(state), Some(analysis)) = (workspace.file(id).cloned(), workspace.analyse(id)) else {
        return Err(format!("{} cannot be read", path.display()));
    };
    if !complain_of(&state.config, here) {
        return Err("the settings decide what is computed, so they have to be mended first".into());
    }
    Ok((workspace, state, analysis))
}

pub(crate) fn run(args: &CheckArgs, output: &mut Output) -> u8 {
    if !args.watch {
        return once(args, output);
    }
    if args.paths.iter().any(|path| path.as_os_str() == "-") {
        complain("standard input does not change; name a file or folder to watch");
        return 2;
    }
    watch::run(args, output, |output| once(args, output))
}

/// What is found in a file, and the definitions of the house that it names.
type Look = (Vec<Finding>, Vec<DefPlace>);

/// Sees a file once, so that nothing of it need be kept but what it says and names.
fn look(workspace: &Workspace, id: FileId) -> Option<Look> {
    let analysis = workspace.analyse_in_passing(id)?;
    let named = workspace.named_in(&analysis);
    Some((analysis.findings, named))
}

fn once(args: &CheckArgs, output: &mut Output) -> u8 {
    if let Some(file) = &args.show_settings {
        return settings::run(file, output);
    }
    if args.fix && args.paths.iter().any(|path| path.as_os_str() == "-") {
        complain("standard input is no file that `--fix` could change; name a file");
        return 2;
    }
    let reports = match reports(args) {
        Ok(reports) => reports,
        Err(text) => {
            complain(&text);
            return 2;
        }
    };
    let choice = match Choice::new(&args.only, &args.skip) {
        Ok(choice) => choice,
        Err(text) => {
            complain(&text);
            return 2;
        }
    };
    let disk = Arc::new(BoundedDisk { largest: args.max_size * 1024, most: args.max_files });
    // Nothing is asked that would look at some files alone, change them, or look at them again.
    let in_one_go = args.since.is_none()
        && !args.fix
        && !args.show_files
        && args.edition.is_none()
        && args.paths.iter().all(|path| path.as_os_str() != "-");
    let mut looks = None;
    let (mut workspace, loaded, mut whole) =
        load_by(disk, &args.paths, args.stdin_path.as_deref(), |workspace, paths| {
            if !in_one_go {
                return workspace.load(paths);
            }
            let (loaded, seen) = workspace.load_and_look(paths, look);
            looks = Some(seen);
            loaded
        });
    let here = absolute(Path::new("."));
    if !sound_configs(&workspace, &loaded.files, &here) {
        return 2;
    }
    let mut asked = loaded.files.clone();
    if let Some(revision) = &args.since {
        match since::changed(&workspace, revision, &here) {
            Ok(changed) => asked.retain(|id| changed.contains(id)),
            Err(text) => {
                complain(&text);
                return 2;
            }
        }
    }
    let files: Vec<(FileId, String)> = asked
        .iter()
        .filter_map(|id| Some((*id, Workspace::shown_path(&workspace.file(*id)?.path, &here))))
        .collect();
    if args.show_files {
        for (_, path) in &files {
            output.line(path);
        }
        return if whole { 0 } else { 2 };
    }
    if args.fix {
        whole &= fix(&mut workspace, &asked, &choice);
    }
    let folders: Vec<PathBuf> = args.paths.iter().map(|path| absolute(path)).collect();
    let view = View { asked: &asked, loaded: &loaded.files, folders: &folders, since: args.since.is_some() };
    let mut findings = view.findings(&workspace, &choice, looks);
    let mut notes: Vec<String> = loaded.notes(&here).collect();
    if let Some(edition) = args.edition {
        let now = findings;
        workspace.look_by(edition);
        findings = view.findings(&workspace, &choice, None);
        findings.retain(|one| !now.iter().any(|other| told_by(other, one)));
        let what = if findings.is_empty() { "nothing else" } else { "this as well" };
        notes.push(format!("the rules of {} find {what}", edition.word()));
    }
    let order = |id: FileId| workspace.file(id).map(|state| state.path.clone());
    findings.sort_by_cached_key(|finding| {
        (order(finding.file), finding.span.start, finding.rule, finding.span.end)
    });
    let findings = render::shown(&workspace, findings, &here);
    let mut checked = Checked { findings, files, notes, whole };
    let covers = |entry: &baseline::Entry, path: &Path| {
        let checked = workspace.file_at(path).is_some_and(|id| asked.contains(&id));
        let chosen = rules::find(&entry.rule).is_none_or(|rule| choice.takes(rule.id, rule.group));
        let gone = || {
            args.since.is_none() && folders.iter().any(|folder| path.starts_with(folder)) && !path.exists()
        };
        chosen && (checked || gone())
    };
    if let Some(path) = &args.write_baseline {
        return baseline::write(path, &checked, &workspace, &covers, output);
    }
    if let Some(path) = &args.baseline
        && let Err(text) = baseline::apply(path, &mut checked, &workspace, &covers)
    {
        complain(&text);
        return 2;
    }
    let failed =
        args.edition.is_none() && checked.findings.iter().any(|one| args.fail_on.fails(one.finding.severity));
    if !reports.iter().any(|report| report.format == ReportFormat::Human && report.file.is_none()) {
        for note in &checked.notes {
            complain(note);
        }
    }
    for report in &reports {
        match &report.file {
            None => write(report, args, &checked, output),
            Some(path) => {
                let written = Output::file(path).and_then(|mut file| {
                    write(report, args, &checked, &mut file);
                    file.finish()
                });
                if let Err(error) = written {
                    complain(&format!("{} cannot be written: {error}", path.display()));
                    checked.whole = false;
                }
            }
        }
    }
    let code = if !checked.whole { 2 } else { u8::from(failed) };
    if !args.watch {
        // The process ends, and its memory with it; giving back each of many files first takes its time.
        core::mem::forget(workspace);
    }
    code
}

/// What a check looks at.
struct View<'a> {
    asked: &'a [FileId],
    loaded: &'a [FileId],
    folders: &'a [PathBuf],
    /// Whether only some of the files loaded are asked for.
    since: bool,
}

impl View<'_> {
    /// What is found in the files asked for, in no order. `looks` are those at all files, where they are taken.
    fn findings(&self, workspace: &Workspace, choice: &Choice, looks: Option<Vec<Look>>) -> Vec<Finding> {
        let mut findings = Vec::new();
        let mut used = HashSet::new();
        let looks = looks.unwrap_or_else(|| {
            // Which definitions nobody names is seen over all files alone.
            let all = self.asked.len() == self.loaded.len() || wants_used(workspace);
            let looked_at = if all { self.loaded } else { self.asked };
            looked_at.par_iter().filter_map(|id| look(workspace, *id)).collect()
        });
        for (found, names) in looks {
            findings.extend(found);
            used.extend(names);
        }
        findings.extend(workspace.check_repositories_naming(self.folders, &used));
        findings.retain(|finding| choice.takes(finding.rule, finding.group));
        if self.since {
            let asked: HashSet<FileId> = self.asked.iter().copied().collect();
            findings.retain(|finding| asked.contains(&finding.file));
        }
        findings
    }
}

/// Whether a finding says all that another says.
fn told_by(one: &Finding, other: &Finding) -> bool {
    (one.file, one.span, one.rule) == (other.file, other.span, other.rule) && one.severity >= other.severity
}

/// Whether some house asks for definitions that nobody names.
fn wants_used(workspace: &Workspace) -> bool {
    let Some(rule) = rules::find("unused-definition") else { return false };
    workspace.files().any(|state| state.config.rules.levels.of(rule) != Level::Off)
}

/// The reports asked for; one for people where none is.
///
/// # Errors
/// When two would stand on standard output, one in the other, or in one file: what to say.
fn reports(args: &CheckArgs) -> Result<Vec<Report>, String> {
    let mut reports = args.output.clone();
    reports.extend(args.format.map(|format| Report { format, file: None }));
    if reports.is_empty() {
        reports.push(Report { format: ReportFormat::Human, file: None });
    }
    for (at, report) in reports.iter().enumerate() {
        if reports[..at].iter().any(|other| other.file == report.file) {
            let place =
                report.file.as_ref().map_or("standard output".into(), |file| file.display().to_string());
            return Err(format!(
                "two reports for {place}; write one of them to a file, `--output FORMAT=FILE`"
            ));
        }
        if args.statistics && !matches!(report.format, ReportFormat::Human | ReportFormat::Json) {
            return Err("statistics are shown as human or json alone; leave out the other formats".into());
        }
    }
    Ok(reports)
}

fn write(report: &Report, args: &CheckArgs, checked: &Checked, output: &mut Output) {
    use render::{annotations, human, json, junit, line, sarif};
    match report.format {
        ReportFormat::Human if args.statistics => human::statistics(checked, output),
        ReportFormat::Json if args.statistics => json::statistics(checked, output),
        ReportFormat::Human => human::findings(checked, args.color, report.file.is_some(), output),
        ReportFormat::Line => line::findings(checked, output),
        ReportFormat::Json => json::findings(checked, output),
        ReportFormat::JsonLines => json::lines(checked, output),
        ReportFormat::Sarif => sarif::findings(checked, output),
        // What a later edition would find fails nothing yet.
        ReportFormat::Junit if args.edition.is_some() => junit::findings(checked, FailOn::Never, output),
        ReportFormat::Junit => junit::findings(checked, args.fail_on, output),
        ReportFormat::Github => annotations::github(checked, output),
        ReportFormat::Gitlab => annotations::gitlab(checked, output),
        ReportFormat::Azure => annotations::azure(checked, output),
        ReportFormat::Review => annotations::review(checked, output),
    }
}

/// Rounds of fixing: a fix may uncover what the next can mend.
const ROUNDS: usize = 4;

/// Applies the safe fixes to the files on disk. False when a file could not be written.
fn fix(workspace: &mut Workspace, files: &[FileId], choice: &Choice) -> bool {
    let mut whole = true;
    for id in files {
        let mut changed = false;
        for _ in 0..ROUNDS {
            let Some(analysis) = workspace.analyse(*id) else { break };
            let Some(state) = workspace.file(*id).cloned() else { break };
            let edits: Vec<syntax::Edit> = analysis
                .findings
                .iter()
                .filter(|finding| choice.takes(finding.rule, finding.group))
                .filter_map(|finding| finding.fixes.iter().find(|fix| fix.safe))
                .flat_map(|fix| fix.edits.iter().cloned())
                .collect();
            let text = syntax::apply(&state.text, &edits);
            if *text == *state.text {
                break;
            }
            changed = true;
            workspace.load_text(&state.path, &text);
        }
        if changed
            && let Some(state) = workspace.file(*id)
            && let Err(error) = std::fs::write(&state.path, state.text.as_bytes())
        {
            complain(&format!("{} cannot be written: {error}", state.path.display()));
            whole = false;
        }
    }
    whole
}
