//! A log of today, made from the recipe.

use recipe::FileId;
use syntax::vocabulary::BlockKind;
use workspace::Workspace;

use super::{ActionKind, Change, Cx, NewFile, Offered};

pub(super) const ACTION: Offered = Offered { id: "log", kind: ActionKind::Create, offer, change };

/// The folder logs are put in.
const FOLDER: &str = "logs";

fn offer(cx: &Cx<'_>, add: &mut dyn FnMut(String, String)) {
    let Some((placed, place)) = cx.entry() else { return };
    let block = placed.recipe.blocks.get(usize::from(place.block));
    // A buffer that lies in no file has no folder for its logs.
    if Workspace::is_gyle(&cx.state.path)
        && block.is_some_and(|block| block.kind == BlockKind::Recipe)
        && !placed.recipe.name.is_empty()
    {
        add(String::new(), format!("Begin gyle {} of this recipe today, in a log of its own", next_id(cx)));
    }
}

/// The number after the highest of the repository.
fn next_id(cx: &Cx<'_>) -> u64 {
    let files = cx.workspace.files().filter(|file| file.config.root == cx.state.config.root);
    let ids = files.flat_map(|file| file.units.logs.iter()).filter_map(|log| log.id.parse::<u64>().ok());
    ids.max().map_or(1, |last| last.saturating_add(1))
}

fn change(cx: &Cx<'_>, _: &str) -> Option<Change> {
    let (placed, _) = cx.entry()?;
    let (date, clock) = cx.now?.split_once(' ')?;
    let (hour, minute) = clock.split_once(':')?;
    let minute = hour.parse::<u32>().ok()? * 60 + minute.parse::<u32>().ok()?;
    let id = next_id(cx);
    let path = cx.state.config.root.join(FOLDER).join(format!("{id}-{}.gyle", slug(&placed.recipe.name)));
    if cx.workspace.file_at(&path).is_some() {
        return None;
    }
    // Where several recipes have the name, the log says which file it means.
    let same = cx.workspace.recipes_named(cx.state, &placed.recipe.name, None);
    let elsewhere = |(file, _): &(FileId, usize)| *file != cx.state.id;
    let of = same.iter().any(elsewhere).then(|| relative(cx, &path)).flatten();
    let start = edit::Start { date, minute };
    let text = edit::log_skeleton(placed, &cx.calc(placed), &id.to_string(), of.as_deref(), start);
    Some(Change { created: vec![NewFile { path, text }], ..Change::default() })
}

/// The path from a new file of the repository to this one.
fn relative(cx: &Cx<'_>, from: &std::path::Path) -> Option<String> {
    let root = &cx.state.config.root;
    let up = from.parent()?.strip_prefix(root).ok()?.components().count();
    let down = cx.state.path.strip_prefix(root).ok()?.to_str()?.replace('\\', "/");
    Some(format!("{}{down}", "../".repeat(up)))
}

/// A name as part of a file's name.
fn slug(name: &str) -> String {
    catalogue::fold(name).split_whitespace().collect::<Vec<_>>().join("-")
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use syntax::Span;

    use super::super::{action_change, tests::offered};
    use crate::fixture::Fixture;

    const BEER: &str = "\
recipe \"Größe, süß\"
  $0batch     20 L

grist
  4 kg      pale ale malt
  250 g     honey at 5 min

liquor
  source    reverse osmosis water
  add       3 g gypsum to all
  add       lactic acid [80 %] to mash to reach ph 5.3

mash
  rest      66 C for 60 min
  rest      76 C for 10 min

boil 60 min
  Golding [5 %] at 60 min to reach 30 IBU
  1 tablet  kettle finings at 10 min

stand 20 min at 80 C
  30 g      Golding [5 %]

pitch
  11 g      \"Hefe, eigene\"
  at        18 C
  oxygen    8 ppm

ferment
  hold      19 C until 1.012
  (2 g/L * batch) Golding on day 4 for 3 d

yeast \"Hefe, eigene\"
  attenuation         75 %
";

    #[test]
    fn a_log_that_is_filled_in_by_taking_the_marks_off() {
        let other = "gyle 41 \"Größe, süß\" on 2026-05-02\n  10:00   strike    71 C\n";
        let fixture = Fixture::with(BEER, &[("/r/logs/41.gyle", other)]);
        assert!(offered(&fixture).iter().any(|one| one.starts_with("log : Begin gyle 42")));
        let analysis = fixture.analysis();
        let at = Span::at(fixture.offset);
        let now = Some("2026-11-25 09:30");
        let change = action_change(&fixture.workspace, &analysis, at, "log", "", now);
        let made = change.map(|change| change.created).unwrap_or_default();
        let [file] = &made[..] else { unreachable!("{made:?}") };
        assert_eq!(file.path, Path::new("/r/logs/42-grosse-suss.gyle"));
        insta::assert_snapshot!(file.text);
        // As it is, and with every mark taken off, it says nothing wrong.
        let filled = file.text.replacen("  # Take", "  #- Take", 1).replace("  # ", "  ").replace("#-", "#");
        assert_ne!(filled, file.text);
        for text in [&file.text, &filled] {
            assert_eq!(edit::format(&syntax::parse(text)), [], "{text}");
            let (workspace, id) = fixture.workspace.with_text(&file.path, text);
            let analysis = workspace.analyse(id).unwrap_or_else(|| unreachable!());
            let wrong: Vec<_> = analysis.findings.iter().map(|one| (one.rule, &one.message)).collect();
            assert!(wrong.is_empty(), "{wrong:#?}\n{text}");
        }
    }
}
