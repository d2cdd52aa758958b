//! temporary
#![allow(dead_code)]
mod exit;
mod interrupt;
mod output;
fn main() {}
