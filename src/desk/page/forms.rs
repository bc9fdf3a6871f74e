//! Owns the dialogs of the review page. The script fills them and reads them.

use maud::{Markup, html};

use crate::lexicon::{ActionId, ConditionId, DegreeId, Position, UrgencyId, Verdict};
use crate::report;
use crate::review::symbol;
use crate::text::Unit;

/// All dialogs.
pub fn forms() -> Markup {
    html! { (finding()) (reason()) (teach()) (help()) datalist #parts {} }
}

fn finding() -> Markup {
    html! {
        dialog #finding-form aria-labelledby="finding-title" {
            form method="dialog" {
                h2 #finding-title { "Correct" }
                (marked_words())
                label { "Part" input name="part" list="parts" autocomplete="off" required; }
                fieldset {
                    legend { "Place" }
                    @for p in Position::ALL { label.box { input type="checkbox" name="place" value=(p.as_str()); (p.as_str()) } }
                }
                fieldset {
                    legend { "What is said of it" }
                    @for v in Verdict::ALL { label.box { input type="radio" name="verdict" value=(v.as_str()) required; (report::verdict(*v)) } }
                }
                fieldset {
                    legend { "Urgency" }
                    @for u in UrgencyId::ALL { label.box { input type="radio" name="urgency" value=(u.as_str()); (report::urgency(*u)) } }
                    label.box { input type="radio" name="urgency" value="none"; "not said" }
                }
                fieldset #conditions {
                    legend { "What is wrong" }
                    @for n in 0..3 {
                        div.row {
                            select name="condition" aria-label={ "What is wrong, " (n + 1) } {
                                option value="" { "–" }
                                @for c in ConditionId::ALL { option value=(c.as_str()) { (plain(*c)) } }
                            }
                            select name="degree" aria-label={ "How much, " (n + 1) } {
                                option value="" { "–" }
                                @for d in DegreeId::ALL { option value=(d.as_str()) { (d.as_str()) } }
                            }
                        }
                    }
                }
                fieldset {
                    legend { "What to do" }
                    @for a in ActionId::ALL { label.box { input type="checkbox" name="action" value=(a.as_str()); (report::action(*a)) } }
                }
                fieldset {
                    legend { "Measured" }
                    @for n in 0..2 {
                        div.row {
                            input name="value" inputmode="decimal" size="8" aria-label={ "Figure " (n + 1) };
                            select name="unit" aria-label={ "Unit " (n + 1) } {
                                @for u in Unit::ALL { option { (symbol(u)) } }
                            }
                        }
                    }
                }
                label { "Wording for the customer (added to the technician's words)" textarea name="wording" rows="2" {} }
                label #lift hidden { "Why it may be driven after all (the customer is told)" input name="reason" autocomplete="off"; }
                p.problem role="alert" {}
                div.end { button type="submit" value="save" { "Save" } button type="submit" value="cancel" formnovalidate { "Cancel " kbd { "Esc" } } }
            }
        }
    }
}

/// The words that a new finding rests on; the script fills it.
fn marked_words() -> Markup {
    html! {
        fieldset #marked-words hidden {
            legend { "Words that say it, " span #marked-line {} ": " q {} }
            div.words role="group" aria-label="Words of the line" {}
            div.row {
                button type="button" data-step="-1" tabindex="-1" { "Line before " kbd { "↑" } }
                button type="button" data-step="1" tabindex="-1" { "Line after " kbd { "↓" } }
            }
            p.aside { "Press the first word and the last one; nothing marked is the whole line. "
                span.keys { kbd { "←" } " " kbd { "→" } " go through them, " kbd { "Space" } " marks, with " kbd { "Shift" } " from one to another, " kbd { "Tab" } " goes on to the part." } }
        }
    }
}

fn plain(c: ConditionId) -> String {
    report::condition(&crate::findings::Condition { id: c, degree: None })
}

fn reason() -> Markup {
    html! {
        dialog #reason-form aria-labelledby="reason-title" {
            form method="dialog" {
                h2 #reason-title { "Reason" }
                label { span {} textarea name="text" rows="3" {} }
                p.problem role="alert" {}
                div.end { button type="submit" value="save" { "Save" } button type="submit" value="cancel" formnovalidate { "Cancel " kbd { "Esc" } } }
            }
        }
    }
}

fn teach() -> Markup {
    html! {
        dialog #teach-form aria-labelledby="teach-title" {
            form method="dialog" {
                h2 #teach-title { "Teach the lexicon?" }
                label { "These words" input name="words" autocomplete="off" required; }
                p { "mean: " strong {} }
                p { "This would be added to " code #teach-file {} ":" }
                pre tabindex="0" #teach-text {}
                ul #teach-effect {}
                p.problem role="alert" {}
                div.end { button type="submit" value="look" { "Show what would change" } button type="submit" value="write" { "Write it" } button type="submit" value="cancel" formnovalidate { "No " kbd { "Esc" } } }
            }
        }
    }
}

fn help() -> Markup {
    let keys = [
        ("j, ↓", "next finding"),
        ("k, ↑", "finding before"),
        ("a", "accept"),
        ("c", "correct"),
        ("d", "drop, with a reason"),
        ("p", "pass over: looked at, left as it is"),
        ("s", "split, one for each place or condition"),
        ("x", "mark for merging"),
        ("m", "merge the marked; the chosen one stays"),
        ("n", "note for the shop"),
        ("w", "add a finding: from words marked with the mouse, or mark them there"),
        ("Space", "play from the words of the chosen finding, or stop"),
        ("u", "undo"),
        ("r", "redo"),
        ("Esc", "show all again"),
        ("?", "this"),
    ];
    html! {
        dialog #help aria-labelledby="help-title" {
            form method="dialog" {
                h2 #help-title { "Keys" }
                dl { @for (key, what) in keys { dt { kbd { (key) } } dd { (what) } } }
                div.end { button { "Close" } }
            }
        }
    }
}
