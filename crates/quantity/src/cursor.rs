//! A place in a cut line, moving forward.

use std::ops::Range;

use crate::problem::Problem;
use crate::token::Token;

#[derive(Clone, Debug)]
pub(crate) struct Cursor<'a> {
    line: &'a str,
    tokens: &'a [Token<'a>],
    next: usize,
}

impl<'a> Cursor<'a> {
    pub(crate) fn new(line: &'a str, tokens: &'a [Token<'a>]) -> Cursor<'a> {
        Cursor { line, tokens, next: 0 }
    }

    pub(crate) fn peek(&self) -> Option<&'a Token<'a>> {
        self.tokens.get(self.next)
    }

    pub(crate) fn peek_at(&self, ahead: usize) -> Option<&'a Token<'a>> {
        self.tokens.get(self.next + ahead)
    }

    pub(crate) fn advance(&mut self) {
        self.next = (self.next + 1).min(self.tokens.len());
    }

    /// How many tokens lie behind.
    pub(crate) fn passed(&self) -> usize {
        self.next
    }

    /// Takes the next token if it is this word, in any case.
    pub(crate) fn take(&mut self, word: &str) -> bool {
        let is = self.peek().is_some_and(|token| token.text.eq_ignore_ascii_case(word));
        if is {
            self.advance();
        }
        is
    }

    /// Takes the next two tokens if they are these words.
    pub(crate) fn take_both(&mut self, first: &str, second: &str) -> bool {
        let before = self.next;
        let both = self.take(first) && self.take(second);
        if !both {
            self.next = before;
        }
        both
    }

    /// The place of the next token, or the end of the line.
    pub(crate) fn here(&self) -> Range<usize> {
        self.peek().map_or_else(|| self.line.trim_end().len()..self.line.trim_end().len(), |token| token.at.clone())
    }

    /// Where the token before this place ended.
    pub(crate) fn last_end(&self) -> usize {
        self.next.checked_sub(1).and_then(|last| self.tokens.get(last)).map_or(0, |token| token.at.end)
    }

    /// All that is left of the line.
    pub(crate) fn rest(&self) -> &'a str {
        self.line[self.here().start..].trim_end()
    }

    pub(crate) fn finish(&mut self) {
        self.next = self.tokens.len();
    }

    pub(crate) fn expected(&self, expected: &str, message: &str) -> Problem {
        Problem::new(self.here(), message, format!("expected {expected}"))
    }
}
