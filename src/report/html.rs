//! Owns what every HTML page here begins and ends with; what is on it is up to whoever calls.

use maud::{DOCTYPE, Markup, html};

/// A whole page in English. `head` is what it needs there besides the title: policies, styles, scripts.
pub fn html_page(title: &str, head: &Markup, body: &Markup) -> String {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) }
                (head)
            }
            body { (body) }
        }
    }
    .into_string()
}
