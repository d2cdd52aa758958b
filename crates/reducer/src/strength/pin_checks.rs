//! Safety of bending pins as findings, alike for output pins and ring pins.

use crate::finding::{Check, Finding, Sense, Standing, Subject};
use crate::model::Drive;
use crate::pin::PinSafety;
use crate::results::LoadCase;

/// What one kind of pin is called in its checks: fatigue under the rated torque, yield under peak and emergency.
pub(super) struct PinChecks {
    pub(super) ids: [&'static str; 3],
    pub(super) titles: [&'static str; 3],
    pub(super) hint: &'static str,
    pub(super) key: &'static str,
}

impl PinChecks {
    /// The check that belongs to a load case; yield in an emergency needs no margin.
    pub(super) fn finding(
        &self,
        drive: &Drive,
        case: &LoadCase,
        safety: PinSafety,
        place: String,
    ) -> Finding {
        let fatigue = ("pin_fatigue_safety", safety.fatigue, "pin-fatigue-safety");
        let yields = ("pin_yield_safety", safety.yield_, "pin-yield-safety");
        let (index, (quantity, value, formula), limit) = match case.id.as_str() {
            "rated" => (0, fatigue, drive.model.least_pin_safety),
            "peak" => (1, yields, drive.model.least_pin_safety),
            _ => (2, yields, 1.0),
        };
        Check {
            id: self.ids[index],
            subject: Subject::Strength,
            title: self.titles[index],
            quantity,
            value,
            limit,
            sense: Sense::AtLeast,
            scale: limit,
            when_broken: Standing::Fails,
            place,
            formula,
            hint: self.hint.to_owned(),
            key: self.key,
        }
        .finding()
    }
}
