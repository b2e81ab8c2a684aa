//! What a forecast assumes, in words.

use super::Question;
use crate::stat::convolution::ShiftDoses;

/// What a forecast takes for granted; `shifts` are the draws, if there are enough.
pub fn assumptions(question: &Question, shifts: Option<&ShiftDoses>) -> Vec<String> {
    let mut words = vec![
        "a rate carries on as it was: the same work, sources and crew".to_string(),
        "so far is the safe-side figure; what is undetermined is not in it".to_string(),
    ];
    let Some(shifts) = shifts else { return words };
    let seen = question.recent.len();
    let largest = question.recent.iter().max().copied().unwrap_or_default();
    words.push(format!(
        "each of {} shifts to come brings the dose of one of the last {seen} shifts, each as \
         likely as the others, whatever the shift before brought",
        question.shifts_to_come
    ));
    words.push(format!(
        "the shifts to come are spread evenly over the days after {} up to {}",
        question.on, question.until
    ));
    words.push(format!(
        "no shift brings more than the largest of them, {}; after {seen} shifts a larger one \
         may still come as often as once in {} shifts (95 % bound)",
        largest.display(question.unit),
        unseen_once_in(seen)
    ));
    let finer = question
        .recent
        .iter()
        .filter(|d| d.nsv() > 0 && d.nsv() % 1_000 != 0)
        .count();
    if finer > 0 {
        words.push(format!(
            "{finer} doses finer than 1 uSv are rounded up to the next uSv"
        ));
    }
    let negative = question.recent.iter().filter(|dose| dose.nsv() < 0).count();
    if negative > 0 {
        words.push(format!("{negative} doses below zero count as zero"));
    }
    if shifts.rounds_up() {
        let bin = shifts.bin_usv();
        words.push(format!(
            "doses are rounded up to {bin} uSv, since the sum would be too long"
        ));
    }
    words
}

// What was not seen in n draws may still have a chance of up to 1 - 0.05^(1/n): the
// one-sided 95 % Clopper-Pearson limit for none out of n. Rounded down to a whole number
// of shifts, so that it reads rather too often.
fn unseen_once_in(seen: usize) -> u64 {
    let chance = 1.0 - 0.05f64.powf(1.0 / seen.max(1) as f64);
    (1.0 / chance).floor() as u64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_not_seen_in_few_shifts_may_still_be_frequent() {
        // 1 - 0.05^(1/20) = 0.139, once in 7.2; 1 - 0.05^(1/200) = 0.0149, once in 67.3.
        assert_eq!((unseen_once_in(20), unseen_once_in(200)), (7, 67));
    }
}
