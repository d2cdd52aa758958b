//! The word that somebody most likely meant.

/// The candidate most like a word, if it is like enough to be meant.
///
/// Case, hyphens and underscores do not count. A candidate that holds the whole word, or is held by it,
/// counts as like: `radius` for `ring_radius`.
pub(crate) fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let wanted = plain(word);
    let mut best: Option<(f64, &str)> = None;
    for candidate in candidates {
        let likeness = likeness(&wanted, &plain(candidate));
        if best.is_none_or(|(known, _)| likeness > known) {
            best = Some((likeness, candidate));
        }
    }
    best.filter(|(likeness, _)| *likeness >= LEAST_LIKENESS).map(|(_, candidate)| candidate)
}

/// Below this a suggestion would be a guess. Chosen on the mistakes in `examples/errors`.
const LEAST_LIKENESS: f64 = 0.6;
/// Longer words are not compared: the distance costs the product of the lengths.
const LONGEST_WORD: usize = 80;

fn likeness(wanted: &str, candidate: &str) -> f64 {
    if wanted.len() > LONGEST_WORD {
        return 0.0;
    }
    let distance = strsim::normalized_damerau_levenshtein(wanted, candidate);
    let shorter = wanted.len().min(candidate.len());
    let held = shorter >= 4 && (wanted.contains(candidate) || candidate.contains(wanted));
    if held { distance.max(LEAST_LIKENESS) } else { distance }
}

fn plain(word: &str) -> String {
    word.trim().to_lowercase().replace(['-', '_', ' '], "")
}

#[cfg(test)]
mod tests {
    use super::nearest;

    #[test]
    fn identity_slips_find_their_word_and_strangers_none() {
        let keys = ["ring_radius", "roller_radius", "ring_roller_count", "eccentricity"];
        assert_eq!(nearest("ring_radus", keys), Some("ring_radius"));
        assert_eq!(nearest("Eccentricity", keys), Some("eccentricity"));
        assert_eq!(nearest("excentricity", keys), Some("eccentricity"));
        assert_eq!(nearest("roller_count", keys), Some("ring_roller_count"));
        assert_eq!(nearest("colour", keys), None);
        assert_eq!(nearest("", keys), None);
    }
}
