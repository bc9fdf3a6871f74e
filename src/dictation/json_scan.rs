//! Owns scanning JSON with the place of each value, forgiving what recognisers get wrong.
//!
//! It takes `NaN` and `Infinity` as numbers, commas too many, line breaks inside strings, and a file
//! that is cut off: what stands before the cut is given, a cut string as far as it goes.

/// A value and the byte offset where it begins.
#[derive(Debug)]
pub(super) struct Node<'a> {
    pub(super) at: usize,
    pub(super) value: Value<'a>,
}

#[derive(Debug)]
pub(super) enum Value<'a> {
    Null,
    Bool,
    /// A number as written.
    Number(&'a str),
    Text(String),
    Array(Vec<Node<'a>>),
    Object(Vec<(String, Node<'a>)>),
}

impl<'a> Node<'a> {
    /// A member of an object; the last of several with one name, as is usual; never null.
    pub(super) fn get(&self, name: &str) -> Option<&Node<'a>> {
        let Value::Object(members) = &self.value else {
            return None;
        };
        members.iter().rev().find(|(key, node)| key == name && !matches!(node.value, Value::Null)).map(|(_, node)| node)
    }

    /// Whether an object has a member of that name, null or not.
    pub(super) fn has(&self, name: &str) -> bool {
        matches!(&self.value, Value::Object(members) if members.iter().any(|(key, _)| key == name))
    }

    /// An array member of an object.
    pub(super) fn list(&self, name: &str) -> Option<&[Node<'a>]> {
        match &self.get(name)?.value {
            Value::Array(items) => Some(items),
            _ => None,
        }
    }
}

/// Where and why a text is no JSON.
#[derive(Debug)]
pub(super) struct Fault {
    pub(super) at: usize,
    pub(super) what: &'static str,
}

/// A scanned value, where it ends, and whether the text was cut off inside it.
#[derive(Debug)]
pub(super) struct Scanned<'a> {
    pub(super) node: Node<'a>,
    pub(super) end: usize,
    pub(super) cut: bool,
}

/// Deeper nesting than this is no recogniser's.
const DEEPEST: usize = 64;

/// Scans the value that begins at or after `from`.
pub(super) fn value(text: &str, from: usize) -> Result<Scanned<'_>, Fault> {
    let mut scanner = Scanner { text, at: from, cut: false };
    let node = scanner.node(0)?;
    Ok(Scanned { node, end: scanner.at, cut: scanner.cut })
}

struct Scanner<'a> {
    text: &'a str,
    at: usize,
    cut: bool,
}

impl<'a> Scanner<'a> {
    fn rest(&self) -> &'a str {
        self.text.get(self.at..).unwrap_or_default()
    }

    /// The next byte after white space; at the end of the text the scan counts as cut.
    fn peek(&mut self) -> Option<u8> {
        let rest = self.rest();
        self.at += rest.len() - rest.trim_start().len();
        let next = self.text.as_bytes().get(self.at).copied();
        self.cut |= next.is_none();
        next
    }

    fn fault<T>(&self, what: &'static str) -> Result<T, Fault> {
        Err(Fault { at: self.at, what })
    }

    fn node(&mut self, depth: usize) -> Result<Node<'a>, Fault> {
        let next = self.peek();
        let at = self.at;
        let value = match next {
            None => Value::Null,
            Some(b'{' | b'[') if depth > DEEPEST => return self.fault("nested too deep"),
            Some(b'{') => Value::Object(self.object(depth + 1)?),
            Some(b'[') => Value::Array(self.array(depth + 1)?),
            Some(b'"') => Value::Text(self.string()),
            Some(_) => self.bare()?,
        };
        Ok(Node { at, value })
    }

    fn array(&mut self, depth: usize) -> Result<Vec<Node<'a>>, Fault> {
        self.at += 1;
        let mut items = Vec::new();
        loop {
            match self.peek() {
                None => return Ok(items),
                Some(b']') => {
                    self.at += 1;
                    return Ok(items);
                }
                Some(b',') => self.at += 1,
                Some(_) => {
                    items.push(self.node(depth)?);
                    self.expect_separator(b']')?;
                }
            }
        }
    }

    fn object(&mut self, depth: usize) -> Result<Vec<(String, Node<'a>)>, Fault> {
        self.at += 1;
        let mut members = Vec::new();
        loop {
            match self.peek() {
                None => return Ok(members),
                Some(b'}') => {
                    self.at += 1;
                    return Ok(members);
                }
                Some(b',') => self.at += 1,
                Some(b'"') => {
                    let name = self.string();
                    match self.peek() {
                        None => return Ok(members),
                        Some(b':') => self.at += 1,
                        Some(_) => return self.fault("a colon is missing after a name"),
                    }
                    members.push((name, self.node(depth)?));
                    self.expect_separator(b'}')?;
                }
                Some(_) => return self.fault("a name in double quotes is missing"),
            }
        }
    }

    fn expect_separator(&mut self, close: u8) -> Result<(), Fault> {
        match self.peek() {
            None | Some(b',') => Ok(()),
            Some(next) if next == close => Ok(()),
            Some(_) => self.fault("a comma or closing bracket is missing"),
        }
    }

    fn string(&mut self) -> String {
        self.at += 1;
        let rest = self.rest();
        let mut escaped = false;
        for (length, byte) in rest.bytes().enumerate() {
            match byte {
                _ if escaped => escaped = false,
                b'\\' => escaped = true,
                b'"' => {
                    self.at += length + 1;
                    return unescape(rest.get(..length).unwrap_or_default());
                }
                _ => {}
            }
        }
        self.cut = true;
        self.at = self.text.len();
        unescape(rest)
    }

    fn bare(&mut self) -> Result<Value<'a>, Fault> {
        let rest = self.rest();
        let is_part = |c: char| c.is_ascii_alphanumeric() || matches!(c, '+' | '-' | '.');
        let length = rest.find(|c| !is_part(c)).unwrap_or(rest.len());
        let token = rest.get(..length).unwrap_or_default();
        let value = match token {
            // A number that the end of the file touches may lack digits.
            _ if length == rest.len() => {
                self.cut = true;
                Value::Null
            }
            "null" | "None" => Value::Null,
            "true" | "false" | "True" | "False" => Value::Bool,
            _ if token.parse::<f64>().is_ok() => Value::Number(token),
            _ => return self.fault("neither a value nor a closing bracket"),
        };
        self.at += length;
        Ok(value)
    }
}

/// The characters of a string; what is no proper escape is taken as it stands.
fn unescape(raw: &str) -> String {
    let mut units: Vec<u16> = Vec::new();
    let mut text = String::with_capacity(raw.len());
    let mut rest = raw;
    while let Some(c) = rest.chars().next() {
        if let Some((unit, length)) = unicode_escape(rest) {
            units.push(unit);
            rest = rest.get(length..).unwrap_or_default();
            continue;
        }
        flush(&mut units, &mut text);
        let escape = if c == '\\' { rest.chars().nth(1) } else { None };
        let (sign, length) = match escape {
            None => (c, c.len_utf8()),
            Some('n') => ('\n', 2),
            Some('t') => ('\t', 2),
            Some('r') => ('\r', 2),
            Some('b') => ('\u{8}', 2),
            Some('f') => ('\u{c}', 2),
            Some(sign @ ('"' | '\\' | '/')) => (sign, 2),
            Some(_) => ('\\', 1),
        };
        text.push(sign);
        rest = rest.get(length..).unwrap_or_default();
    }
    flush(&mut units, &mut text);
    text
}

/// Characters beyond the first 65536 are written as two escapes, so escapes are decoded in runs.
fn flush(units: &mut Vec<u16>, text: &mut String) {
    text.push_str(&String::from_utf16_lossy(units));
    units.clear();
}

fn unicode_escape(text: &str) -> Option<(u16, usize)> {
    let digits = text.strip_prefix("\\u")?.get(..4)?;
    let hex = digits.bytes().all(|b| b.is_ascii_hexdigit());
    let unit = if hex {
        u16::from_str_radix(digits, 16).ok()?
    } else {
        return None;
    };
    Some((unit, 6))
}
