//! A way to call off long work from outside: between two steps it looks whether anybody still wants the result.

/// Tells whether the result is wanted no more.
///
/// It is asked often and from the thread that computes, so it must be quick and must not compute itself.
pub type Watch<'a> = &'a dyn Fn() -> bool;

/// The work was called off before its end; nothing of it holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("the computation was called off")]
pub struct CalledOff;

/// For work that nobody calls off.
#[must_use]
pub fn to_the_end() -> bool {
    false
}

/// Goes on, or ends the work if it was called off.
///
/// # Errors
/// [`CalledOff`].
pub fn look(watch: Watch<'_>) -> Result<(), CalledOff> {
    if watch() { Err(CalledOff) } else { Ok(()) }
}
