//! The text of rate books, entry by entry, for every test that prices. All figures are invented.

/// Head of a rate book: one kind of labour at 60.00 an hour, no taxes, no supplies.
pub const HEAD: &str = "currency = \"USD\"\n[[labour]]\nid = \"mechanical\"\nrate = 60\n";

/// An operation that takes so many hours, with further lines of its own.
pub fn operation(id: &str, name: &str, hours: &str, lines: &str) -> String {
    format!("[[operation]]\nid = {id:?}\nname = {name:?}\nhours = {hours}\n{lines}\n")
}

/// A job that replaces a part, with further lines of its own.
pub fn job(id: &str, name: &str, part: &str, lines: &str) -> String {
    job_covering(id, name, &format!("{{ part = {part:?} }}"), lines)
}

/// A job with its covers written out.
pub fn job_covering(id: &str, name: &str, covers: &str, lines: &str) -> String {
    format!("[[job]]\nid = {id:?}\nname = {name:?}\ncovers = [{covers}]\n{lines}\n")
}
