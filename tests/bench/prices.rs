//! Times estimates and follow-up lists: 40 findings against the sample rate book and against books in which everything competes, and
//! the follow-ups of 2,000 inspections.
//!
//! Run with `cargo bench --bench prices`.

use std::path::Path;
use std::time::{Duration, Instant};

use hoistnote::diagnostic::SourceFile;
use hoistnote::findings::{Component, Finding, Vehicle};
use hoistnote::history;
use hoistnote::lexicon::{ActionId, Lexicon, Position, UrgencyId, Verdict};
use hoistnote::pricing::{Goal, Problem, RateBook, Visit, Wishes, cheapest, estimate};
use hoistnote::review::Log;
use jiff::tz::TimeZone;

type Done<T> = Result<T, Box<dyn std::error::Error>>;

const FINDINGS: usize = 40;
const BOOKS: u64 = 25;
const INSPECTIONS: usize = 2_000;

/// Numbers from a fixed seed.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % n
    }
}

const PLACES: [&[Position]; 6] = [
    &[],
    &[Position::Front],
    &[Position::Front, Position::Left],
    &[Position::Rear, Position::Left, Position::Right],
    &[Position::Front, Position::Rear, Position::Left, Position::Right],
    &[Position::Right],
];

fn finding(n: usize, part: &str, dice: &mut Dice) -> Finding {
    let urgency = [Some(UrgencyId::Stop), Some(UrgencyId::Now), Some(UrgencyId::Soon), None, Some(UrgencyId::Watch)];
    Finding {
        id: format!("f{n}"),
        component: Component { id: part.into(), name: part.into(), system: String::new(), aliases: Vec::new() },
        position: PLACES[dice.below(PLACES.len())].to_vec(),
        verdict: Verdict::Defect,
        conditions: Vec::new(),
        urgency: urgency[dice.below(urgency.len())],
        actions: vec![ActionId::Replace],
        alternatives: Vec::new(),
        measurements: Vec::new(),
        confidence: 1.0,
        evidence: Vec::new(),
        why: Vec::new(),
        review: None,
    }
}

fn sample(parts: &[&str]) -> Done<RateBook> {
    let mut files = Vec::new();
    for entry in std::fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/rates/larkfield"))? {
        let path = entry?.path();
        files.push(SourceFile::new(path.display().to_string(), std::fs::read_to_string(&path)?));
    }
    RateBook::read(&files, parts.iter().copied()).map_err(|p| format!("{} problems in the sample", p.len()).into())
}

/// 150 jobs over 34 parts, each for up to three of them, with up to three of 40 steps that need one another.
fn competing(parts: &[&str], dice: &mut Dice) -> Done<RateBook> {
    const PER: [&str; 4] = ["vehicle", "end", "side", "corner"];
    let mut text = String::from(
        "currency = \"USD\"\n[supplies]\npercent = 7.5\nof = [\"labour\"]\ncap = 180\n[[labour]]\nid = \"m\"\nrate = 96.4\n\
         [[tax]]\nname = \"goods\"\npercent = 7.25\non = [\"parts\", \"supplies\"]\n",
    );
    for n in 0..40 {
        let needs =
            if n > 0 && dice.below(2) == 0 { format!("needs = [\"o{}\"]\n", dice.below(n)) } else { String::new() };
        let (hours, per) = (dice.below(150), PER[dice.below(4)]);
        text += &format!(
            "[[operation]]\nid = \"o{n}\"\nname = \"o\"\nhours = {}\nper = \"{per}\"\n{needs}",
            hours as f64 / 100.0
        );
    }
    for n in 0..150 {
        let covers: Vec<String> =
            (0..=dice.below(3)).map(|_| format!("{{ part = \"{}\" }}", parts[dice.below(34)])).collect();
        let steps: Vec<String> = (0..dice.below(4)).map(|_| format!("\"o{}\"", dice.below(40))).collect();
        let (per, hours, price) = (PER[dice.below(4)], dice.below(250), dice.below(15_000));
        text += &format!(
            "[[job]]\nid = \"j{n}\"\nname = \"j\"\nper = \"{per}\"\ncovers = [{}]\noperations = [{}]\nhours = {}\nparts = [{{ name = \"p{n}\", price = {} }}]\n",
            covers.join(", "),
            steps.join(", "),
            hours as f64 / 100.0,
            price as f64 / 100.0
        );
    }
    RateBook::read(&[SourceFile::new("made", text)], parts.iter().copied())
        .map_err(|p| p.first().map(|p| p.render(100)).unwrap_or_default().into())
}

fn timed<T>(what: &str, times: &mut Vec<(String, Duration)>, run: impl FnOnce() -> T) -> T {
    let start = Instant::now();
    let out = std::hint::black_box(run());
    times.push((what.to_string(), start.elapsed()));
    out
}

fn shown(title: &str, times: &[(String, Duration)]) {
    let mut names: Vec<&str> = times.iter().map(|t| t.0.as_str()).collect();
    names.sort_unstable();
    names.dedup();
    for name in names {
        let mut all: Vec<f64> = times.iter().filter(|t| t.0 == name).map(|t| t.1.as_secs_f64() * 1e3).collect();
        all.sort_by(f64::total_cmp);
        println!("{title}, {name}: median {:.1} ms, worst {:.1} ms", all[all.len() / 2], all[all.len() - 1]);
    }
}

fn prices(title: &str, parts: &[&str], book: impl Fn(&mut Dice) -> Done<RateBook>) -> Done<()> {
    let mut times = Vec::new();
    for seed in 0..BOOKS {
        let mut dice = Dice(seed);
        let book = book(&mut dice)?;
        let findings: Vec<Finding> =
            (0..FINDINGS).map(|n| finding(n, parts[dice.below(parts.len())], &mut dice)).collect();
        let refs: Vec<&Finding> = findings.iter().collect();
        timed("cheapest set", &mut times, || {
            let problem = Problem::new(&book, &refs, &Wishes::default());
            cheapest(&problem, &Goal::all(&problem))
        })?;
        let visit = Visit {
            vehicle: Vehicle::default(),
            sources: Vec::new(),
            answers: Vec::new(),
            findings: refs.clone(),
            open: 0,
            cautions: Vec::new(),
        };
        timed("whole estimate, every other way priced", &mut times, || estimate(&book, &visit, &Wishes::default()))?;
        let problem = Problem::new(&book, &refs, &Wishes::default());
        timed("budget", &mut times, || hoistnote::pricing::within_budget(&problem, 2_000.into()))?;
        timed("two visits", &mut times, || hoistnote::pricing::over_visits(&problem, 2))?;
    }
    shown(title, &times);
    Ok(())
}

fn follow_ups() -> Done<()> {
    let home = tempfile::tempdir()?;
    let line = r#"{"when":"2026-03-02T12:00:00Z","what":"customer","answer":"later","finding":{"id":"ID","part":"tire","place":["front","left"],"said":"tire","around":"left front tire is worn"},"part":"tire","verdict":"defect","urgency":"soon","horizon":{"count":2,"unit":"week"},"horizon_from":"said","vehicle":"unit 14","odometer":{"value":66200.0,"unit":"mi"},"words":["left front tire is worn"]}"#;
    for n in 0..INSPECTIONS {
        let folder = home.path().join(format!("visit-{n:04}"));
        std::fs::create_dir(&folder)?;
        let lines: Vec<String> = (0..6).map(|k| line.replace("ID", &format!("f{n}-{k}"))).collect();
        std::fs::write(folder.join("decisions.ndjson"), lines.join("\n") + "\n")?;
    }
    let mut times = Vec::new();
    for _ in 0..3 {
        let found = timed("listed", &mut times, || -> Done<usize> {
            let mut list = Vec::new();
            for entry in std::fs::read_dir(home.path())? {
                let entry = entry?;
                let contents = Log::of(&entry.path()).read()?;
                let name = entry.file_name().to_string_lossy().into_owned();
                list.extend(history::follow_ups(&name, &contents.entries, &TimeZone::UTC));
            }
            history::in_order(&mut list);
            Ok(history::calendar(&list).len().min(list.len()))
        })?;
        assert_eq!(found, 6 * INSPECTIONS);
    }
    shown("follow-ups of 2,000 inspections", &times);
    Ok(())
}

fn main() -> Done<()> {
    let lexicon = Lexicon::builtin()?;
    let ids: Vec<&str> = lexicon.parts.iter().map(|p| p.id.as_str()).collect();
    let sampled = sample(&ids)?;
    let mut covered: Vec<&str> = sampled.jobs.iter().flat_map(|j| &j.covers).map(|c| c.part.as_str()).collect();
    covered.sort_unstable();
    covered.dedup();
    prices("sample book", &covered, |_| Ok(sampled.clone()))?;
    let few: Vec<&str> = ids.iter().take(34).copied().collect();
    prices("150 competing jobs", &few, |dice| competing(&few, dice))?;
    follow_ups()
}
