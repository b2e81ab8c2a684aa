//! What a sheet cannot mean, and what it means of a dosimeter.

use super::{Doubt, DoubtType, Problem, Reading, Sheet};
use crate::calendar::parse_time;
use crate::quantity::{DoseRate, Length};

impl Sheet {
    /// Whether a dosimeter was off its scale: the sheet says so, or has more than the dosimeter
    /// can show. `person` and `nth` count from 1, `nth` among the readings of that person.
    pub fn is_off_scale(&self, person: i64, nth: i64, reading: &Reading) -> bool {
        let beyond = |it: &Doubt| {
            it.kind == DoubtType::AboveRange
                && it.person == Some(person)
                && it.part.is_none_or(|part| part == reading.part)
                && it.reading.is_none_or(|at| at == nth)
        };
        reading.off_scale || self.held.iter().any(beyond)
    }

    /// Everything in which it contradicts itself.
    pub(super) fn found_wrong(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        self.time_problems(&mut problems);
        self.rate_problems(&mut problems);
        self.storage_problems(&mut problems);
        self.count_problems(&mut problems);
        self.people_problems(&mut problems);
        if let Some(digest) = self.paper.as_ref().and_then(|it| it.image_sha256.as_ref())
            && (digest.len() != 64 || !digest.bytes().all(|b| b.is_ascii_hexdigit()))
        {
            problems.push(Problem::new(
                "image_sha256",
                digest,
                "is not a SHA-256 digest",
                "64 hexadecimal digits",
            ));
        }
        problems
    }

    fn time_problems(&self, problems: &mut Vec<Problem>) {
        let times = [
            ("begins", &self.begins),
            ("ends", &self.ends),
            ("device_out", &self.device_out),
            ("device_back", &self.device_back),
            ("first_exposure", &self.first_exposure),
        ];
        for (field, time) in times {
            let Some(time) = time else { continue };
            if let Err(error) = parse_time(time) {
                problems.push(Problem::new(
                    field,
                    time,
                    error.to_string(),
                    "a time such as `06:40`",
                ));
            }
        }
    }

    fn rate_problems(&self, problems: &mut Vec<Problem>) {
        for (field, rate) in [
            ("boundary", &self.boundary),
            ("storage_survey", &self.storage_survey),
        ] {
            let Some(rate) = rate else { continue };
            if let Err(error) = DoseRate::parse_meter_rate(rate, None) {
                problems.push(Problem::new(
                    field,
                    rate,
                    error.to_string(),
                    "a rate with its unit such as `1.8 mR/h`",
                ));
            }
        }
    }

    fn storage_problems(&self, problems: &mut Vec<Problem>) {
        let Some(distance) = &self.storage_distance else {
            return;
        };
        // At the surface of the device there is no distance.
        if distance != "surface"
            && let Err(error) = Length::parse(distance, None)
        {
            let right = "a distance such as `1 m`, or `surface`";
            problems.push(Problem::new(
                "storage_distance",
                distance,
                error.to_string(),
                right,
            ));
        }
    }

    fn count_problems(&self, problems: &mut Vec<Problem>) {
        const MOST_EXPOSURES: i64 = 10_000;
        const TWO_DAYS_S: i64 = 48 * 3600;
        if let Some(count) = self.exposures
            && !(0..=MOST_EXPOSURES).contains(&count)
        {
            problems.push(Problem::new(
                "exposures",
                count.to_string(),
                "cannot be the exposures of one shift",
                "a count from 0 to 10000",
            ));
        }
        if let Some(seconds) = self.source_out_s
            && !(0..=TWO_DAYS_S).contains(&seconds)
        {
            problems.push(Problem::new(
                "source_out_min",
                (seconds / 60).to_string(),
                "cannot be the minutes of one shift",
                "the total minutes with the source out, 0 to 2880",
            ));
        }
    }

    fn people_problems(&self, problems: &mut Vec<Problem>) {
        if self.people.is_empty() {
            problems.push(Problem::missing("worker", "at least one person"));
        }
        for (at, person) in self.people.iter().enumerate() {
            if self
                .people
                .iter()
                .take(at)
                .any(|other| other.worker == person.worker)
            {
                problems.push(Problem::new(
                    "worker",
                    "",
                    format!("person {} is on this sheet twice", at + 1),
                    "one line for each dosimeter or part, all with the same role, ratemeter and \
                     badge",
                ));
            }
            for (at, reading) in person.readings.iter().enumerate() {
                let again = person.readings.iter().take(at).any(|other| {
                    other.dosimeter == reading.dosimeter && other.part == reading.part
                });
                if again {
                    problems.push(Problem::new(
                        "part",
                        reading.part.to_string(),
                        "stands twice for the same dosimeter and person",
                        "number the parts 1, 2, 3 when the dosimeter was set back to zero",
                    ));
                }
                if !(1..=99).contains(&reading.part) {
                    problems.push(Problem::new(
                        "part",
                        reading.part.to_string(),
                        "is not a part",
                        "1 to 99",
                    ));
                }
            }
        }
    }
}
