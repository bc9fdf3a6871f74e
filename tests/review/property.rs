//! Any sequence of decisions, undone and redone in any way, replays to the same list.

use hoistnote::findings::Document;
use hoistnote::lexicon::{Position, UrgencyId, Verdict};
use hoistnote::review::{Edit, Entry, FinalList, Item, Loose, Marked};
use proptest::collection::vec;
use proptest::prelude::{Just, Strategy, any, prop_oneof};
use proptest::test_runner::Config;
use proptest::{prop_assert, prop_assert_eq, proptest};

use super::{DEMO, Review, change};

/// An edit of a list that is not known yet: findings by number.
#[derive(Debug, Clone)]
enum Step {
    Accept(usize),
    Correct(usize, u8),
    Drop(usize),
    Split(usize),
    Merge(usize, usize),
    Add(usize, u8),
    Note(usize),
    Pass(usize),
    PassWords(usize),
    Undo,
    Redo,
    Foreign,
}

fn step() -> impl Strategy<Value = Step> {
    let n = any::<u8>().prop_map(usize::from);
    prop_oneof![
        2 => n.clone().prop_map(Step::Accept),
        3 => (n.clone(), any::<u8>()).prop_map(|(a, b)| Step::Correct(a, b)),
        2 => n.clone().prop_map(Step::Drop),
        2 => n.clone().prop_map(Step::Split),
        2 => (n.clone(), n.clone()).prop_map(|(a, b)| Step::Merge(a, b)),
        1 => (n.clone(), any::<u8>()).prop_map(|(a, b)| Step::Add(a, b)),
        1 => n.clone().prop_map(Step::Note),
        1 => n.clone().prop_map(Step::Pass),
        1 => n.prop_map(Step::PassWords),
        5 => Just(Step::Undo),
        3 => Just(Step::Redo),
        1 => Just(Step::Foreign),
    ]
}

fn edit(step: &Step, list: &FinalList) -> Option<Edit> {
    let d = &list.document;
    let id = |n: usize| d.findings.get(n % d.findings.len().max(1)).map(|f| f.id.clone());
    let changed = |k: u8| {
        let mut c = change();
        match k % 6 {
            0 => c.verdict = Some(Verdict::ALL[k as usize % Verdict::ALL.len()]),
            1 => c.urgency = Some(UrgencyId::ALL.get(k as usize % 5).copied()),
            2 => c.place = Some(vec![Position::ALL[k as usize % Position::ALL.len()]]),
            3 => c.part = Some(["horn", "brake hose", "left thingamajig"][k as usize % 3].into()),
            4 => c.wording = Some(format!("wording {k}")),
            _ => (c.conditions, c.actions) = (Some(vec![]), Some(vec![])),
        }
        c
    };
    let reason = "heard otherwise".to_string();
    Some(match step {
        Step::Accept(n) => Edit::Accept { id: id(*n)? },
        Step::Correct(n, k) => Edit::Correct { id: id(*n)?, change: changed(*k), reason },
        Step::Drop(n) => Edit::Drop { id: id(*n)?, reason },
        Step::Split(n) => Edit::Split { id: id(*n)? },
        Step::Merge(a, b) => Edit::Merge { ids: vec![id(*a)?, id(*b)?] },
        Step::Add(n, k) => {
            let mut change = changed(*k);
            change.part = Some("horn".into());
            Edit::Add { words: vec![Marked { line: n % d.utterances.len() + 1, words: String::new() }], change }
        }
        Step::Note(n) => Edit::Note { id: id(*n)?, text: format!("note {n}") },
        Step::Pass(n) => Edit::Pass { id: id(*n)? },
        Step::PassWords(n) => Edit::PassWords { line: n % d.utterances.len() + 1, reason: String::new() },
        Step::Undo => Edit::Undo,
        Step::Redo => Edit::Redo,
        Step::Foreign => return None,
    })
}

/// All of a list that decisions make.
type Made = (Document, Vec<Item>, Vec<Loose>, usize, usize);

fn made(list: FinalList) -> Made {
    (list.document, list.items, list.loose, list.dropped.len(), list.lifted.len())
}

proptest! {
    #![proptest_config(Config { cases: 60, ..Config::default() })]

    /// Held against a model that keeps every list it has seen: undo gives the list before, redo the one after.
    #[test]
    fn undo_and_redo_give_the_lists_that_were(steps in vec(step(), 0..40)) {
        let mut r = Review::of(DEMO);
        let stops = r.list().document.findings.iter().filter(|f| f.urgency == Some(UrgencyId::Stop)).count();
        let (mut before, mut after): (Vec<Made>, Vec<Made>) = (Vec::new(), Vec::new());
        for step in &steps {
            let now = r.list();
            let Some(edit) = edit(step, &now) else {
                r.entries.push(Entry::Other(serde_json::json!({"what": "decline"})));
                continue;
            };
            let Ok(next) = r.edit(&edit) else { continue };
            match edit {
                Edit::Undo => {
                    prop_assert_eq!(Some(&made(next)), before.last());
                    before.pop();
                    after.push(made(now));
                }
                Edit::Redo => {
                    prop_assert_eq!(Some(&made(next)), after.last());
                    after.pop();
                    before.push(made(now));
                }
                _ => {
                    before.push(made(now));
                    after.clear();
                }
            }
        }
        let list = r.list();
        prop_assert_eq!(&list, &r.list());
        prop_assert_eq!(list.stale.len(), 0, "all was decided on this very list");
        for e in list.document.findings.iter().flat_map(|f| &f.evidence) {
            prop_assert_eq!(&list.document.utterances[e.utterance - 1].text[e.start..e.end], e.text.as_str());
        }
        let ids: std::collections::BTreeSet<&str> = list.document.findings.iter().map(|f| f.id.as_str()).collect();
        prop_assert_eq!(ids.len(), list.document.findings.len(), "ids tell findings apart");
        let still = list.document.findings.iter().filter(|f| f.urgency == Some(UrgencyId::Stop)).count();
        prop_assert!(stops == 0 || still + list.lifted.len() > 0, "a stop went without a word");
    }
}
