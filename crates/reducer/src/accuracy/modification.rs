//! Profile modification for a wanted backlash: closed forms, exact gaps, and what shares the load best.

pub mod closed_form;
pub mod exact;
