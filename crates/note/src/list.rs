//! A list of a plan's text as its elements, each with what stands about it: the lines above it that are its own,
//! the comma, the note behind it. Elements are put in, taken out and moved with all of that; what is not touched
//! keeps its bytes.

use crate::near::quoted_like;
use std::ops::Range;

/// A list between brackets.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct List {
    blocks: Vec<Block>,
    /// What stands before the closing bracket.
    foot: String,
    /// Whether a comma follows the last element.
    comma_at_end: bool,
    /// Its first element as it is written: others that are put in stand between such quotes.
    model: String,
    /// What stands before the first element, and before the others, where nobody says otherwise.
    first_lead: String,
    lead: String,
    /// How lines end.
    newline: &'static str,
}

/// An element.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Block {
    /// What stands before it: white space, and notes on lines of their own.
    lead: String,
    value: String,
    /// What stands between it and its comma.
    gap: String,
    /// What stands behind the comma on the same line: a note.
    after: String,
}

fn is_blank(text: &str) -> bool {
    text.trim().is_empty()
}

impl List {
    /// Takes a list apart. `at` is the place of the list in the text, `elements` those of its elements.
    pub(crate) fn of(text: &str, at: Range<usize>, elements: &[Range<usize>]) -> Option<List> {
        let inner_end = at.end.checked_sub(1)?;
        let newline = if text.contains("\r\n") { "\r\n" } else { "\n" };
        let mut blocks = Vec::with_capacity(elements.len());
        let mut from = at.start + 1;
        let mut comma_at_end = false;
        for (k, element) in elements.iter().enumerate() {
            let lead = text.get(from..element.start)?.to_owned();
            let value = text.get(element.clone())?.to_owned();
            let until = elements.get(k + 1).map_or(inner_end, |next| next.start);
            let rest = text.get(element.end..until)?;
            let comma = comma_in(rest);
            comma_at_end = comma.is_some();
            let (gap, behind) = match comma {
                Some(comma) => (rest.get(..comma)?, rest.get(comma + 1..)?),
                None => ("", rest),
            };
            // The rest of the line belongs to this element if the line ends there.
            let line = behind.find(['\n', '\r']).map(|end| behind.get(..end).unwrap_or_default());
            let after = line.unwrap_or("");
            from = until - behind.len() + after.len();
            blocks.push(Block { lead, value, gap: gap.to_owned(), after: after.to_owned() });
        }
        let foot = text.get(from..inner_end)?.to_owned();
        let model = blocks.first().map_or(String::new(), |block| block.value.clone());
        let first_lead = blocks.first().map_or(String::new(), |block| layout(&block.lead));
        let lead = match blocks.get(1) {
            Some(second) => layout(&second.lead),
            None if first_lead.contains('\n') => first_lead.clone(),
            None => " ".to_owned(),
        };
        Some(List { blocks, foot, comma_at_end, model, first_lead, lead, newline })
    }

    pub(crate) fn len(&self) -> usize {
        self.blocks.len()
    }

    /// Whether any note stands in it.
    pub(crate) fn has_notes(&self) -> bool {
        let noted =
            |block: &Block| [&block.lead, &block.gap, &block.after].iter().any(|part| part.contains('#'));
        self.foot.contains('#') || self.blocks.iter().any(noted)
    }

    /// The list as text, with its brackets.
    pub(crate) fn text(&self) -> String {
        let mut text = String::from("[");
        let last = self.blocks.len().checked_sub(1);
        let mut open_note = false;
        let put = |text: &mut String, part: &str, open_note: &mut bool| {
            if part.is_empty() {
                return;
            }
            // What follows a note begins a line.
            if *open_note && !part.trim_start_matches([' ', '\t']).starts_with(['\n', '\r']) {
                text.push_str(self.newline);
            }
            text.push_str(part);
            *open_note = part.rsplit('\n').next().is_some_and(|line| line.contains('#'));
        };
        for (k, block) in self.blocks.iter().enumerate() {
            put(&mut text, &block.lead, &mut open_note);
            if open_note {
                text.push_str(self.newline);
                open_note = false;
            }
            text.push_str(&block.value);
            put(&mut text, &block.gap, &mut open_note);
            if Some(k) != last || self.comma_at_end {
                if open_note {
                    text.push_str(self.newline);
                    open_note = false;
                }
                text.push(',');
            }
            put(&mut text, &block.after, &mut open_note);
        }
        put(&mut text, &self.foot, &mut open_note);
        if open_note {
            text.push_str(self.newline);
        }
        text.push(']');
        text
    }

    /// Another value in the place of one, a text between the quotes of the old one.
    pub(crate) fn replace(&mut self, at: usize, value: String) -> Option<()> {
        let block = self.blocks.get_mut(at)?;
        block.value = quoted_like(&block.value, &value);
        Some(())
    }

    /// A new element before the one at a place, or at the end.
    pub(crate) fn insert(&mut self, at: usize, value: String) -> Option<()> {
        let value = quoted_like(&self.model, &value);
        self.put(at, Block { lead: self.lead.clone(), value, gap: String::new(), after: String::new() })
    }

    /// An element goes, and its line with it; notes on lines of their own stay.
    pub(crate) fn remove(&mut self, at: usize) -> Option<()> {
        let block = self.take(at)?;
        if is_blank(&block.lead) {
            return Some(());
        }
        let kept = block.lead.trim_end().to_owned();
        match self.blocks.get_mut(at) {
            Some(next) => next.lead.insert_str(0, &kept),
            None => self.foot.insert_str(0, &kept),
        }
        Some(())
    }

    /// The element at `from` goes to `to`, as it counts when the first is gone.
    pub(crate) fn shift(&mut self, from: usize, to: usize) -> Option<()> {
        let block = self.take(from)?;
        let lead = block.lead.clone();
        self.put(to, block)?;
        if from > 0 && to > 0 {
            self.blocks.get_mut(to)?.lead = lead;
        }
        Some(())
    }

    /// An element with all that stands about it, to be put into another list.
    pub(crate) fn take(&mut self, at: usize) -> Option<Block> {
        if at >= self.blocks.len() {
            return None;
        }
        let block = self.blocks.remove(at);
        if let (0, Some(first)) = (at, self.blocks.first_mut())
            && is_blank(&first.lead)
        {
            first.lead.clone_from(&self.first_lead);
        }
        Some(block)
    }

    /// An element of another list before the one at a place, or at the end.
    pub(crate) fn put(&mut self, at: usize, mut block: Block) -> Option<()> {
        if at > self.blocks.len() {
            return None;
        }
        if is_blank(&block.lead) {
            block.lead = if at == 0 { self.first_lead.clone() } else { self.lead.clone() };
        }
        if let (0, Some(first)) = (at, self.blocks.first_mut())
            && is_blank(&first.lead)
        {
            first.lead.clone_from(&self.lead);
        }
        self.blocks.insert(at, block);
        Some(())
    }

    /// So many elements from `at` on become a group that is woven `times` times.
    pub(crate) fn wrap(&mut self, at: usize, count: usize, times: u32) -> Option<()> {
        let end = at.checked_add(count).filter(|&end| end <= self.blocks.len())?;
        let open = self.comma_at_end || end < self.blocks.len();
        let mut inner: Vec<Block> = self.blocks.drain(at..end).collect();
        let first = inner.first()?;
        let indent = layout(&first.lead);
        let plain = |block: &Block| {
            is_blank(&block.lead)
                && is_blank(&block.gap)
                && is_blank(&block.after)
                && !block.value.contains('\n')
        };
        let (lead, list) = if inner.iter().all(plain) {
            let lead = first.lead.clone();
            for (k, block) in inner.iter_mut().enumerate() {
                block.lead = if k == 0 { String::new() } else { " ".to_owned() };
                block.gap.clear();
                block.after.clear();
            }
            let list = List { comma_at_end: false, foot: String::new(), ..self.with(inner) };
            (lead, list)
        } else {
            // The group begins where its first element did, also within a line.
            let lead = indent.clone();
            let indent = if indent.contains('\n') { indent } else { self.newline.to_owned() };
            for block in &mut inner {
                if !block.lead.contains('\n') {
                    block.lead = format!("{indent}{}", block.lead.trim_start());
                }
                for part in [&mut block.lead, &mut block.value, &mut block.gap] {
                    *part = part.replace('\n', "\n  ");
                }
            }
            let list = List { comma_at_end: open, foot: indent, ..self.with(inner) };
            (lead, list)
        };
        let value = format!("{{ times = {times}, bands = {} }}", list.text());
        self.blocks.insert(at, Block { lead, value, gap: String::new(), after: String::new() });
        Some(())
    }

    fn with(&self, blocks: Vec<Block>) -> List {
        List { blocks, ..self.clone() }
    }

    /// The element at `at` gives way to the elements of a list within it.
    pub(crate) fn unwrap(&mut self, at: usize, mut inner: List) -> Option<()> {
        let outer = self.take(at)?;
        let outer_indent = if at == 0 { self.first_lead.clone() } else { layout(&outer.lead) };
        let inner_indent = inner.first_lead.clone();
        let on_lines = inner_indent.contains('\n');
        let count = inner.blocks.len();
        let deeper = width_after_newline(&inner_indent).saturating_sub(width_after_newline(&outer_indent));
        let space = format!("\n{}", " ".repeat(deeper));
        for (k, block) in inner.blocks.iter_mut().enumerate() {
            if on_lines {
                if outer_indent.contains('\n') && deeper > 0 {
                    for part in [&mut block.lead, &mut block.value, &mut block.gap] {
                        *part = part.replace(&space, "\n");
                    }
                } else if k == 0 && !outer_indent.contains('\n') && is_blank(&block.lead) {
                    block.lead.clone_from(&outer_indent);
                }
            } else if is_blank(&block.lead) {
                block.lead = if k == 0 || outer_indent.contains('\n') {
                    outer_indent.clone()
                } else {
                    self.lead.clone()
                };
            }
            if k == 0 && !is_blank(&outer.lead) {
                block.lead = format!("{}{}", outer.lead.trim_end(), or_newline(&block.lead, self.newline));
            }
            if k + 1 == count {
                block.after.push_str(&outer.after);
                block.gap.push_str(&outer.gap);
            }
        }
        let foot = inner.foot.trim_end().to_owned();
        for (k, block) in inner.blocks.into_iter().enumerate() {
            let lead = block.lead.clone();
            self.put(at + k, block)?;
            if at + k > 0 {
                self.blocks.get_mut(at + k)?.lead = lead;
            }
        }
        if !foot.trim().is_empty() {
            match self.blocks.get_mut(at + count) {
                Some(next) => next.lead.insert_str(0, &foot),
                None => self.foot.insert_str(0, &foot),
            }
        }
        Some(())
    }
}

fn or_newline(lead: &str, newline: &str) -> String {
    if lead.contains('\n') { lead.to_owned() } else { newline.to_owned() }
}

/// The white space before an element: its line's start, or the space after a comma.
fn layout(lead: &str) -> String {
    if is_blank(lead) {
        return lead.to_owned();
    }
    let start = lead.rfind('\n').unwrap_or(0);
    let start =
        if lead.get(..start).is_some_and(|before| before.ends_with('\r')) { start - 1 } else { start };
    let tail = lead.get(start..).unwrap_or_default();
    if is_blank(tail) { tail.to_owned() } else { String::new() }
}

fn width_after_newline(lead: &str) -> usize {
    lead.rsplit_once('\n').map_or(0, |(_, rest)| rest.len())
}

/// Where the comma stands that follows an element: not one in a note.
fn comma_in(rest: &str) -> Option<usize> {
    let mut in_note = false;
    for (at, c) in rest.char_indices() {
        match c {
            '#' => in_note = true,
            '\n' => in_note = false,
            ',' if !in_note => return Some(at),
            _ => {}
        }
    }
    None
}
