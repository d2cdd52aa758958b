//! The steps that led to a text, for undo and redo.

use super::values::differences;
use crate::api::ValueChange;
use schema::DriveFile;
use std::collections::VecDeque;
use std::sync::Arc;

/// Most steps that can be taken back.
const MOST_STEPS: usize = 500;
/// Most bytes of text that they hold together.
const MOST_BYTES: usize = 32 << 20;

/// A state of the text and what led to it.
#[derive(Debug)]
struct State {
    file: Arc<DriveFile>,
    /// What led here, in words; empty at the beginning.
    words: String,
    /// What the edit that led here was about; empty where it was no edit.
    paths: Vec<String>,
}

/// States of a text, and which one holds.
#[derive(Debug)]
pub(super) struct History {
    states: VecDeque<State>,
    here: usize,
}

impl History {
    pub(super) fn begin(file: Arc<DriveFile>) -> Self {
        let first = State { file, words: String::new(), paths: Vec::new() };
        Self { states: VecDeque::from([first]), here: 0 }
    }

    pub(super) fn file(&self) -> &Arc<DriveFile> {
        &self.states[self.here].file
    }

    /// A state that an edit led to; an edit that goes on with the last one takes its place.
    pub(super) fn edit(&mut self, file: Arc<DriveFile>, paths: Vec<String>, continues: bool) {
        let is_last = self.here + 1 == self.states.len();
        let goes_on = continues && is_last && self.here > 0 && self.states[self.here].paths == paths;
        if goes_on {
            let words = edit_words(&differences(&self.states[self.here - 1].file, &file));
            self.states[self.here] = State { file, words, paths };
        } else {
            let words = edit_words(&differences(self.file(), &file));
            self.push(State { file, words, paths });
        }
    }

    /// A state that something else led to.
    pub(super) fn step(&mut self, file: Arc<DriveFile>, words: String) {
        self.push(State { file, words, paths: Vec::new() });
    }

    fn push(&mut self, state: State) {
        self.states.truncate(self.here + 1);
        self.states.push_back(state);
        self.here += 1;
        let mut bytes: usize = self.states.iter().map(|state| state.file.text.len()).sum();
        while self.here > 1 && (self.states.len() > MOST_STEPS || bytes > MOST_BYTES) {
            bytes -= self.states.pop_front().map_or(0, |state| state.file.text.len());
            self.here -= 1;
        }
    }

    pub(super) fn undo(&mut self) -> bool {
        let can = self.here > 0;
        self.here -= usize::from(can);
        can
    }

    pub(super) fn redo(&mut self) -> bool {
        let can = self.here + 1 < self.states.len();
        self.here += usize::from(can);
        can
    }

    pub(super) fn undo_words(&self) -> Option<String> {
        (self.here > 0).then(|| self.states[self.here].words.clone())
    }

    pub(super) fn redo_words(&self) -> Option<String> {
        self.states.get(self.here + 1).map(|state| state.words.clone())
    }
}

/// What an edit does, in words.
fn edit_words(changes: &[ValueChange]) -> String {
    match changes {
        [] => "remarks".to_owned(),
        [ValueChange { path, before: Some(before), after: Some(after) }] => {
            format!("{path} from {before} to {after}")
        }
        [ValueChange { path, after: Some(after), .. }] => format!("{path} = {after}"),
        [ValueChange { path, .. }] => format!("{path} taken out"),
        many => format!("{} values, {} first", many.len(), many[0].path),
    }
}
