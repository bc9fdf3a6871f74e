//! Owns the arguments of a recogniser: text with placeholders, filled in for one recording. No shell ever sees them.

use std::ffi::OsString;

/// What a placeholder stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Placeholder {
    /// The recording itself.
    Recording,
    /// What is to be recognised: the file that `prepare` writes, else the recording.
    Audio,
    /// The folder that the audio is in.
    Folder,
    /// A file with one line: the name of the audio without its extension, as batch recognisers want it.
    List,
    /// Names that the recogniser should expect.
    Hint,
    /// A file with these names.
    HintFile,
    /// The file that the recogniser writes to.
    Output,
}

impl Placeholder {
    /// All of them.
    pub const ALL: [Placeholder; 7] = [
        Placeholder::Recording,
        Placeholder::Audio,
        Placeholder::Folder,
        Placeholder::List,
        Placeholder::Hint,
        Placeholder::HintFile,
        Placeholder::Output,
    ];

    /// As it is written between braces.
    pub fn name(self) -> &'static str {
        match self {
            Placeholder::Recording => "recording",
            Placeholder::Audio => "audio",
            Placeholder::Folder => "folder",
            Placeholder::List => "list",
            Placeholder::Hint => "hint",
            Placeholder::HintFile => "hint_file",
            Placeholder::Output => "output",
        }
    }
}

/// One argument as the configuration has it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Template {
    pieces: Vec<Piece>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
enum Piece {
    Text(String),
    Filled(Placeholder),
}

impl Template {
    /// Reads an argument; `{{` and `}}` stand for braces.
    ///
    /// # Errors
    /// What stands between braces and is no placeholder, or the brace that is left open.
    pub fn parse(text: &str) -> Result<Template, String> {
        let mut pieces = Vec::new();
        let mut plain = String::new();
        let mut rest = text;
        while let Some(at) = rest.find(['{', '}']) {
            let (before, from) = rest.split_at(at);
            plain.push_str(before);
            if let Some(after) = from.strip_prefix("{{").or_else(|| from.strip_prefix("}}")) {
                plain.push_str(&from[..1]);
                rest = after;
                continue;
            }
            let inner = from.strip_prefix('{').and_then(|f| f.split_once('}'));
            let (name, after) = inner.ok_or_else(|| from.to_string())?;
            let known = Placeholder::ALL.into_iter().find(|p| p.name() == name).ok_or_else(|| name.to_string())?;
            if !plain.is_empty() {
                pieces.push(Piece::Text(std::mem::take(&mut plain)));
            }
            pieces.push(Piece::Filled(known));
            rest = after;
        }
        plain.push_str(rest);
        if !plain.is_empty() {
            pieces.push(Piece::Text(plain));
        }
        Ok(Template { pieces })
    }

    /// The placeholders in it.
    pub fn placeholders(&self) -> impl Iterator<Item = Placeholder> {
        self.pieces.iter().filter_map(|p| match p {
            Piece::Filled(p) => Some(*p),
            Piece::Text(_) => None,
        })
    }

    fn fill(&self, filling: &Filling) -> OsString {
        let mut out = OsString::new();
        for piece in &self.pieces {
            match piece {
                Piece::Text(text) => out.push(text),
                Piece::Filled(p) => out.push(filling.of(*p)),
            }
        }
        out
    }
}

/// What the placeholders stand for in one run; paths are whole ones.
#[derive(Debug, Clone, Default)]
#[allow(missing_docs)] // as in [`Placeholder`]
pub struct Filling {
    pub recording: OsString,
    pub audio: OsString,
    pub folder: OsString,
    pub list: OsString,
    pub hint: OsString,
    pub hint_file: OsString,
    pub output: OsString,
}

impl Filling {
    fn of(&self, p: Placeholder) -> &OsString {
        match p {
            Placeholder::Recording => &self.recording,
            Placeholder::Audio => &self.audio,
            Placeholder::Folder => &self.folder,
            Placeholder::List => &self.list,
            Placeholder::Hint => &self.hint,
            Placeholder::HintFile => &self.hint_file,
            Placeholder::Output => &self.output,
        }
    }
}

/// A program and its arguments, ready to be run.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Filled {
    /// The program.
    pub program: OsString,
    /// Its arguments.
    pub arguments: Vec<OsString>,
}

impl Filled {
    /// Fills in a list of arguments, the first being the program; `None` where there is none.
    pub fn of(templates: &[Template], filling: &Filling) -> Option<Filled> {
        let (program, arguments) = templates.split_first()?;
        let arguments = arguments.iter().map(|t| t.fill(filling)).collect();
        Some(Filled { program: program.fill(filling), arguments })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn placeholders_are_filled_and_nothing_else_is_touched() {
        let filling = Filling { audio: "/a b/$(x).wav".into(), hint: "sway bar; `rm`".into(), ..Filling::default() };
        let table = [
            ("-i", Ok("-i")),
            ("{audio}", Ok("/a b/$(x).wav")),
            ("--in={audio}:{hint}", Ok("--in=/a b/$(x).wav:sway bar; `rm`")),
            ("{{audio}}", Ok("{audio}")),
            ("", Ok("")),
            ("{sound}", Err("sound")),
            ("{audio", Err("{audio")),
            ("audio}", Err("}")),
        ];
        for (text, wanted) in table {
            let filled = Template::parse(text).map(|t| t.fill(&filling));
            assert_eq!(filled, wanted.map(OsString::from).map_err(str::to_string), "{text}");
        }
    }
}
