//! Owns the pages with which a phone is let in.

use maud::html;

use super::{Frame, STYLES};
use crate::report::html_page;

/// Style of the page for those who have nothing but a code: they are given no file of the desk.
const PLAIN: &str = "body{font:1.2rem/1.5 Georgia,serif;margin:1.5rem}input,button{font-size:1.4rem;padding:.5rem}";

/// On the desk: the code, and where to type it.
pub fn code(token: &str, address: &str, code: &str, is_secure: bool) -> String {
    let header = html! { header.top { a href="/" { "Inspections" } h1 { "Let a phone in" } } };
    let main = html! {
        main.plain #main {
            p { "Open " strong { (address) } " on the phone, in the same network, and type" }
            p.code { (code) }
            p.aside { "It lets one device in and is good for five minutes. Open this page again for another one." }
            @if is_secure {
                p.aside { "If the phone warns that it does not know the certificate: the desk made it itself. Go on only if the phone is in your own network." }
            } @else {
                p.problem { "What is sent is not encrypted, and browsers let nobody record this way. Start the desk with --tls to record on a phone." }
            }
        }
    };
    Frame { title: "Let a phone in", token, styles: STYLES, scripts: &[] }.around(&header, &main, &html! {})
}

/// On the phone: where the code is typed.
pub fn ask(is_wrong: bool) -> String {
    let head = html! { style { (PLAIN) } };
    let body = html! {
        main.plain {
            h1 { "Let this device in" }
            @if is_wrong { p.problem { "That code is not good, or no longer. Open \"Let a phone in\" on the desk for another one." } }
            form action="/pair" method="get" {
                p { label for="code" { "Code shown on the desk" } }
                p { input #code name="code" inputmode="numeric" autocomplete="one-time-code" required maxlength="6"; " " button { "Let in" } }
            }
        }
    };
    html_page("Let this device in", &head, &body)
}
