//! Runs the rules.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Arc, LazyLock};

use figures::{Actual, Calc};
use recipe::{Definition, FileId, Origin, Place, Problem, Recipe, Thing};
use syntax::Span;
use syntax::vocabulary::BlockKind;

use crate::cx::{DefinitionCx, FileCx, LogCx, RecipeCx, RepositoryCx};
use crate::finding::{Finding, Group, Severity};
use crate::hit::{At, Detail, Hit, Hits, Locate, Message};
use crate::level::{Grade, Level, Levels};
use crate::limits::Limits;
use crate::registry::{self, RULES};
use crate::rule::{Check, Rule, Stage};
use crate::rules;
use crate::say::Say;

/// What the house has set: levels and limits.
#[derive(Clone, Debug, Default)]
pub struct Config {
    /// Levels of rules and groups.
    pub levels: Levels,
    /// Limits.
    pub limits: Limits,
}

/// Checks a recipe: `calcs` are its figures, one for each part. What was found wrong with its names and
/// values is among the hits; what is wrong with the writing of its lines is a matter of [`check_file`].
#[must_use]
pub fn check_recipe(calcs: &[Calc<'_>], config: &Config) -> Vec<Hit> {
    let parts: Vec<RecipeCx<'_, '_>> = calcs.iter().map(|calc| RecipeCx::new(calc, &config.limits)).collect();
    let Some(first) = parts.first() else { return Vec::new() };
    let (mut run, kinds) = of_recipe(first.recipe, config);
    run.problems(&first.recipe.problems, At::Recipe);
    run.all(&RECIPE, &kinds, |rule, hits| on_recipe(&parts, rule, hits));
    run.finish()
}

/// A run over a recipe, and the kind of each of its blocks.
fn of_recipe<'c>(recipe: &'c Recipe, config: &'c Config) -> (Run<'c>, Vec<BlockKind>) {
    let kinds: Vec<BlockKind> = recipe.blocks.iter().map(|block| block.entries_as).collect();
    let mut run = Run::new(config, At::Recipe(recipe.name_place), &recipe.broken, |rule| {
        rule.exempt.iter().any(|tag| recipe.tagged(tag))
    });
    // What a name or a value found wrong leads to is not said again.
    for problem in &recipe.problems {
        let error = registry::find(problem.fault.rule).is_none_or(|rule| rule.level == Level::Error);
        if error {
            run.distrust(kinds.get(usize::from(problem.block)));
        }
    }
    let grist = recipe.grist.iter().map(|line| &line.thing);
    let water = recipe.liquor.source.iter().chain(recipe.liquor.blends.iter().map(|(_, thing)| thing));
    let yeast = recipe.parts.iter().flat_map(|part| &part.pitch.lines).map(|line| &line.thing);
    run.doubt_things(recipe.brewhouse.iter(), VOLUMES);
    run.doubt_things(grist, &[BlockKind::Grist]);
    run.doubt_things(water, &[BlockKind::Liquor]);
    run.doubt_things(yeast, &[BlockKind::Pitch, BlockKind::Ferment]);
    (run, kinds)
}

/// Blocks whose figures are reckoned with the numbers of the brewhouse.
const VOLUMES: &[BlockKind] = &[
    BlockKind::Recipe,
    BlockKind::Grist,
    BlockKind::Liquor,
    BlockKind::Mash,
    BlockKind::Boil,
    BlockKind::Stand,
];

/// Whether a thing is defined in the house's own library in a way that was found wrong there: what follows
/// from it in the recipes is not said again.
fn doubted(thing: &Thing, config: &Config) -> bool {
    thing.definition.as_ref().is_some_and(|definition| {
        matches!(definition.place.file, FileId::Workspace(_))
            && (rules::units::definition_implausible::doubtful(definition, &config.limits)
                || rules::liquor::ion_charge_unbalanced::is_error(thing, &config.limits))
    })
}

/// Lets a rule look at a recipe, or at each part of it.
fn on_recipe(parts: &[RecipeCx<'_, '_>], rule: &Rule, hits: &mut Hits<'_>) {
    match &rule.check {
        Check::Recipe(check) => {
            if let Some(cx) = parts.first() {
                check(cx, hits);
            }
        }
        Check::RecipeAndLog(check, _) | Check::Part(check) => {
            for cx in parts {
                check(cx, hits);
            }
        }
        _ => {}
    }
}

/// Checks a log: against itself, and against the plan of its recipe where that is known.
#[must_use]
pub fn check_log(actual: &Actual<'_>, config: &Config) -> Vec<Hit> {
    let log = actual.log;
    let plan = actual.plan.map(|calc| RecipeCx::new(calc, &config.limits));
    // A log is not compared with what is doubtful in its plan.
    let (doubtful, said) = plan.as_ref().map_or_else(Default::default, |plan| {
        let (mut run, kinds) = of_recipe(plan.recipe, config);
        run.causes(&RECIPE, &kinds, &|rule: &'static Rule, hits: &mut Hits<'_>| {
            on_recipe(core::slice::from_ref(plan), rule, hits)
        });
        let said = run.hits.iter().flat_map(|hit| hit.detail.absorbs()).copied().collect();
        (run.broken, said)
    });
    let mut run = Run::new(config, At::Log(log.name_place), &doubtful, |rule| {
        plan.as_ref().is_some_and(|plan| rule.exempt.iter().any(|tag| plan.tagged(tag)))
    });
    run.absorbed = said;
    run.problems(&log.problems, At::Log);
    let cx = LogCx { log, actual, plan: plan.as_ref(), limits: &config.limits };
    run.all(&LOG, &[], |rule, hits| match &rule.check {
        Check::Log(check) | Check::RecipeAndLog(_, check) => check(&cx, hits),
        _ => {}
    });
    run.finish()
}

/// Checks a definition of the library.
#[must_use]
pub fn check_definition(definition: &Arc<Definition>, config: &Config) -> Vec<Hit> {
    let thing = Thing {
        name: definition.name.clone(),
        place: Place { block: 0, span: Span::at(0) },
        definition: Some(Arc::clone(definition)),
        loose: false,
        own: Vec::new(),
        flags: Vec::new(),
        substitutes: Vec::new(),
    };
    let cx = DefinitionCx { definition, thing: &thing, limits: &config.limits };
    let mut run = Run::new(config, cx.at(Span::at(0)), &[], |_| false);
    run.all(&DEFINITION, &[], |rule, hits| {
        if let Check::Definition(check) = &rule.check {
            check(&cx, hits);
        }
    });
    run.finish()
}

/// Checks a file: what is wrong with the writing of its lines, and what concerns the file as one.
#[must_use]
pub fn check_file(cx: &FileCx<'_>, config: &Config) -> Vec<Hit> {
    let mut run = Run::new(config, At::File(cx.id, Span::at(0)), &[], |_| false);
    for placed in &cx.file.blocks {
        for fault in &placed.block.faults {
            let hit = Hit::of_fault(fault, Vec::new(), |span| At::File(cx.id, span.shift(placed.start)));
            run.keep(hit);
        }
    }
    run.all(&FILE, &[], |rule, hits| {
        if let Check::File(check) = &rule.check {
            check(cx, hits);
        }
    });
    run.finish()
}

/// Checks all files of a repository together.
#[must_use]
pub fn check_repository(cx: &RepositoryCx<'_>, config: &Config) -> Vec<Hit> {
    let mut run = Run::new(config, cx.home, &[], |_| false);
    run.all(&REPOSITORY, &[], |rule, hits| {
        if let Check::Repository(check) = &rule.check {
            check(cx, hits);
        }
    });
    run.finish()
}

/// A problem found outside the rules (a file that cannot be opened, a repository that repeats a name), as
/// a hit of the rule it names.
#[must_use]
pub fn of_problem(problem: &Problem, owner: fn(Place) -> At) -> Hit {
    let place = |span| owner(Place { block: problem.block, span });
    let related = problem
        .related
        .iter()
        .map(|(origin, message)| {
            let at = match origin {
                Origin::Here(place) => owner(*place),
                Origin::Library(place, span) => At::Library(*place, *span),
            };
            (at, message.clone())
        })
        .collect();
    Hit::of_fault(&problem.fault, related, place)
}

/// Puts hits into words at their places: findings of the level that the configuration leaves them, in the
/// order of the text. `owner` is the name of the recipe, or the id of the gyle, they belong to; `say` has the
/// units that its figures are shown in.
#[must_use]
pub fn findings(
    hits: &[Hit],
    owner: Option<&str>,
    config: &Config,
    say: Say,
    locate: &dyn Locate,
) -> Vec<Finding> {
    let mut out: Vec<Finding> = hits
        .iter()
        .filter_map(|hit| {
            let severity = config.levels.severity(hit.rule, hit.grade)?;
            catch_unwind(AssertUnwindSafe(|| hit.finding(severity, owner, say, locate))).unwrap_or_else(
                |_| {
                    let failed = failed(hit.rule, hit.at);
                    failed.finding(Severity::Warning, owner, say, locate)
                },
            )
        })
        .collect();
    sort(&mut out);
    out
}

/// The order findings are shown in: by file, place and rule.
pub fn sort(findings: &mut [Finding]) {
    findings.sort_by_key(|finding| (finding.file, finding.span.start, finding.rule, finding.span.end));
}

/// How many hits are left at each severity, without a word being made: hints, warnings, errors.
#[must_use]
pub fn count(hits: &[Hit], config: &Config) -> [usize; 3] {
    let mut counts = [0; 3];
    for hit in hits {
        if let Some(severity) = config.levels.severity(hit.rule, hit.grade) {
            counts[severity as usize] += 1;
        }
    }
    counts
}

/// The blocks that are judged by the volumes of the wort.
const BY_VOLUME: &[BlockKind] = &[BlockKind::Liquor, BlockKind::Mash, BlockKind::Pitch, BlockKind::Package];

/// The rules that look at one kind of thing, by their stage: three that find causes, then the others.
type Ordered = LazyLock<[Vec<&'static Rule>; 4]>;

static RECIPE: Ordered = LazyLock::new(|| {
    ordered(|check| matches!(check, Check::Recipe(_) | Check::Part(_) | Check::RecipeAndLog(..)))
});
static LOG: Ordered =
    LazyLock::new(|| ordered(|check| matches!(check, Check::Log(_) | Check::RecipeAndLog(..))));
static DEFINITION: Ordered = LazyLock::new(|| ordered(|check| matches!(check, Check::Definition(_))));
static FILE: Ordered = LazyLock::new(|| ordered(|check| matches!(check, Check::File(_))));
static REPOSITORY: Ordered = LazyLock::new(|| ordered(|check| matches!(check, Check::Repository(_))));

fn ordered(wanted: impl Fn(&Check) -> bool) -> [Vec<&'static Rule>; 4] {
    [Some(Stage::Values), Some(Stage::Figures), Some(Stage::Purpose), None].map(|stage| {
        let fits = |rule: &&'static Rule| rule.root.map(|root| root.stage) == stage && wanted(&rule.check);
        RULES.iter().copied().filter(fits).collect()
    })
}

/// One run of the rules over one thing.
struct Run<'c> {
    config: &'c Config,
    /// Where a rule that fails is reported.
    home: At,
    /// Blocks that are not known whole.
    broken: Vec<BlockKind>,
    exempt: Box<dyn Fn(&Rule) -> bool + 'c>,
    /// Rules that have nothing to add to what was said elsewhere.
    absorbed: Vec<&'static str>,
    hits: Vec<Hit>,
}

impl<'c> Run<'c> {
    fn new(config: &'c Config, home: At, broken: &[BlockKind], exempt: impl Fn(&Rule) -> bool + 'c) -> Self {
        Self {
            config,
            home,
            broken: broken.to_vec(),
            exempt: Box::new(exempt),
            absorbed: Vec::new(),
            hits: Vec::new(),
        }
    }

    /// Keeps a hit that something is left of.
    fn keep(&mut self, hit: Hit) {
        if self.config.levels.severity(hit.rule, hit.grade).is_some() {
            self.hits.push(hit);
        }
    }

    /// Doubts the blocks that are reckoned with some things where the library is wrong about one of them.
    fn doubt_things<'t>(&mut self, mut things: impl Iterator<Item = &'t Thing>, blocks: &[BlockKind]) {
        if things.any(|thing| doubted(thing, self.config)) {
            self.distrust(blocks);
        }
    }

    /// From now on these blocks are not known whole.
    fn distrust<'k>(&mut self, kinds: impl IntoIterator<Item = &'k BlockKind>) {
        for kind in kinds {
            if !self.broken.contains(kind) {
                self.broken.push(*kind);
            }
        }
    }

    fn problems(&mut self, problems: &[Problem], owner: fn(Place) -> At) {
        for problem in problems {
            self.keep(of_problem(problem, owner));
        }
    }

    /// Runs every rule that is on: first those that find causes, then the others, which keep quiet about
    /// blocks (`kinds`, by their index) in which a cause was found.
    fn all(&mut self, rules: &Ordered, kinds: &[BlockKind], check: impl Fn(&'static Rule, &mut Hits<'_>)) {
        self.causes(rules, kinds, &check);
        self.pass(&rules[3], kinds, &check);
    }

    /// Runs the rules that find causes.
    fn causes(
        &mut self,
        rules: &Ordered,
        kinds: &[BlockKind],
        check: &impl Fn(&'static Rule, &mut Hits<'_>),
    ) {
        for stage in &rules[..3] {
            self.pass(stage, kinds, check);
        }
    }

    fn pass(
        &mut self,
        rules: &[&'static Rule],
        kinds: &[BlockKind],
        check: &impl Fn(&'static Rule, &mut Hits<'_>),
    ) {
        for &rule in rules {
            let is_broken =
                !self.broken.is_empty() && rule.whole.iter().any(|kind| self.broken.contains(kind));
            let is_exempt = !rule.exempt.is_empty() && (self.exempt)(rule);
            if is_broken || is_exempt || self.config.levels.of(rule) == Level::Off {
                continue;
            }
            let from = self.hits.len();
            let hits = &mut self.hits;
            let done = catch_unwind(AssertUnwindSafe(|| check(rule, &mut Hits { rule, list: hits })));
            if done.is_err() {
                self.hits.truncate(from);
                self.hits.push(failed(rule, self.home));
            }
            if self.hits.len() == from {
                continue;
            }
            let mut found = self.hits.split_off(from);
            found.retain(|hit| self.config.levels.severity(hit.rule, hit.grade).is_some());
            for hit in &found {
                self.doubt(hit, kinds);
            }
            self.hits.append(&mut found);
        }
    }

    /// What a cause makes doubtful: the block it stands in, and what its rule says.
    fn doubt(&mut self, hit: &Hit, kinds: &[BlockKind]) {
        let Some(root) = hit.rule.root.filter(|_| is_cause(hit)) else { return };
        let own = match hit.at {
            At::Recipe(place) => kinds.get(usize::from(place.block)),
            _ => None,
        };
        // An amount that cannot be changes the volumes, and with them whatever is reckoned by them.
        let far = hit.rule.group == Group::Units
            && hit.grade.stated == Severity::Error
            && matches!(own, Some(BlockKind::Grist | BlockKind::Boil));
        let by_volume = if far { BY_VOLUME } else { &[] };
        self.distrust(own.into_iter().chain(root.taints).chain(hit.detail.taints()).chain(by_volume));
    }

    /// Leaves out what only repeats its cause.
    fn finish(mut self) -> Vec<Hit> {
        let causes: Vec<At> = self.hits.iter().filter(|hit| is_cause(hit)).map(|hit| hit.at).collect();
        let mut absorbed = core::mem::take(&mut self.absorbed);
        // One danger is said once: what speaks of the same closed container keeps quiet beside it.
        let mut dangers: Vec<(At, &'static str)> = Vec::new();
        for hit in &self.hits {
            let more = hit.rule.absorbs.iter().chain(hit.detail.absorbs()).copied();
            if hit.rule.safety {
                dangers.extend(more.clone().map(|id| (hit.at, id)));
            }
            absorbed.extend(more);
        }
        self.hits.retain(|hit| {
            let echoes = !is_cause(hit) && causes.iter().any(|at| at.meets(hit.at));
            if hit.rule.safety {
                // What can hurt somebody is said even beside its cause.
                return !dangers.iter().any(|(at, id)| *id == hit.rule.id && at.meets(hit.at));
            }
            !echoes && !absorbed.contains(&hit.rule.id)
        });
        self.hits
    }
}

/// Whether a hit is the cause of others.
fn is_cause(hit: &Hit) -> bool {
    hit.rule.root.is_some_and(|root| hit.grade.stated >= root.from) && hit.detail.is_cause()
}

/// A rule that panicked: it is named, the others go on.
fn failed(rule: &'static Rule, at: At) -> Hit {
    struct Failed(&'static str);
    impl Detail for Failed {
        fn message(&self, _say: Say) -> Message {
            Message::new(
                format!("the check {} could not be carried out", self.0),
                "this is a mistake in gyle, not in the file",
                "please report it with the file; `off` for the rule in gyle.toml silences it until then",
            )
        }
    }
    Hit { rule: registry::CHECK_FAILED, grade: Grade::WARNING, at, detail: Box::new(Failed(rule.id)) }
}

#[cfg(test)]
mod tests {
    use std::cell::Cell;

    use figures::ShownUnits;

    use super::*;
    use crate::hit::Texts;

    /// Everything stands where it says.
    struct Here;

    impl Locate for Here {
        fn locate(&self, at: At) -> Option<(FileId, Span)> {
            match at {
                At::File(file, span) => Some((file, span)),
                _ => None,
            }
        }
        fn texts(&self) -> Texts<'_> {
            Texts { recipe: &[], log: &[] }
        }
    }

    #[test]
    fn a_check_that_panics_is_named_and_the_others_go_on() {
        let config = Config::default();
        let runs = |rule: &&'static Rule| config.levels.of(rule) != Level::Off;
        let on: Vec<&'static Rule> = RECIPE.iter().flatten().copied().filter(runs).collect();
        assert!(on.len() > 50, "{}", on.len());
        for wrong in [on[0], on[on.len() / 2], on[on.len() - 1]] {
            let home = At::File(FileId::Workspace(0), Span::new(3, 5));
            let mut run = Run::new(&config, home, &[], |_| false);
            let others = Cell::new(0);
            run.all(&RECIPE, &[], |rule, _| {
                if rule.id == wrong.id {
                    std::panic::resume_unwind(Box::new("a mistake"));
                }
                others.set(others.get() + 1);
            });
            assert_eq!(others.get(), on.len() - 1, "{} stopped others", wrong.id);
            let say = Say { units: ShownUnits::Metric };
            let found = findings(&run.finish(), None, &config, say, &Here);
            assert_eq!(found.len(), 1, "{found:?}");
            assert_eq!((found[0].rule, found[0].severity), ("check-failed", Severity::Warning));
            assert!(found[0].message.contains(wrong.id), "{}", found[0].message);
            assert_eq!(found[0].span, Span::new(3, 5));
        }
    }
}
