//! What a check means for a crew and what to do about it, in Spanish: the sentence above each STOP.
//! The finding itself, with its figures, its rule and its remedy, stands below in English.

use crate::rule::CheckKey::{self, *};
use crate::rule::{Finding, Severity};
use crate::show::report::Report;
use crate::text::Language;

/// What stops somebody or has to be done, in another language than the findings.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SaidOfStops {
    /// The most urgent first.
    pub each: Vec<SaidOfOne>,
    /// What closes each of them.
    pub close: &'static str,
}

/// All that is as urgent.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SaidOfOne {
    /// How urgent it is.
    pub severity: Severity,
    /// Its word.
    pub word: &'static str,
    /// Whom or what it is about, and what to do.
    pub lines: Vec<(String, &'static str)>,
}

/// What stops somebody or has to be done, once for each subject and check; nothing in the language
/// in which findings are written, or where there is none.
pub fn said_of_stops<'a>(
    language: Language,
    found: impl IntoIterator<Item = &'a Finding>,
) -> Option<SaidOfStops> {
    if language == Language::English {
        return None;
    }
    let mut told: Vec<(Severity, &str, &'static str)> = Vec::new();
    for it in found {
        let one = (it.severity, it.subject.as_str(), stop_words(&it.check));
        if !told.contains(&one) {
            told.push(one);
        }
    }
    let each = [(Severity::Stop, "ALTO"), (Severity::Act, "HAGA")];
    let each = each.into_iter().map(|(severity, word)| {
        let of = told.iter().filter(|it| it.0 == severity);
        let lines = of.map(|it| (it.1.to_owned(), it.2)).collect();
        SaidOfOne {
            severity,
            word,
            lines,
        }
    });
    let each: Vec<SaidOfOne> = each.filter(|it| !it.lines.is_empty()).collect();
    (!each.is_empty()).then_some(SaidOfStops { each, close: CALL })
}

/// The same at a terminal: a report above that of the findings; blank where there is nothing.
pub fn said_of_stops_report<'a>(
    language: Language,
    found: impl IntoIterator<Item = &'a Finding>,
) -> Report {
    let mut report = Report::new("");
    let Some(said) = said_of_stops(language, found) else {
        return report;
    };
    for one in &said.each {
        for (subject, words) in &one.lines {
            report.line(format!("{} {subject}: {words}", one.word));
        }
    }
    report.line(said.close);
    report
}

/// What a check means and what to do; nothing in the language in which rules are written.
pub(super) fn said_of_check(language: Language, key: CheckKey) -> Option<&'static str> {
    (language == Language::Spanish).then(|| stop_words(key.key()))
}

/// What a finding's check means and what to do, in Spanish.
fn stop_words(check: &str) -> &'static str {
    let key = CheckKey::of(check);
    let found = STOPS.iter().find(|it| Some(it.0) == key);
    found.map_or(OTHERS, |it| it.1)
}

/// Of a check that has no sentence here.
const OTHERS: &str = "No siga con esto. Avise al RSO antes de continuar.";

/// What closes every STOP.
const CALL: &str = "Valen primero su licencia, el procedimiento de emergencia de su empresa y el \
     RSO. Los detalles están abajo, en inglés.";

/// Each check with what it means and what to do.
const STOPS: &[(CheckKey, &str)] = &[
    (
        OffScale,
        "El dosímetro se salió de escala y no se conoce la dosis. Deje de trabajar, avise al RSO \
         ahora y entregue el dosímetro personal. Solo el RSO o su designado determina la dosis.",
    ),
    (
        OffScaleResult,
        "Falta el resultado del dosímetro personal después de una lectura fuera de escala. No \
         trabaje hasta que el RSO acepte el resultado o determine la dosis.",
    ),
    (
        ElectronicOverShiftLimit,
        "La lectura del turno pasa el límite por turno. Deje de trabajar, avise al RSO ahora y \
         entregue el dosímetro personal.",
    ),
    (
        LevelReached,
        "La dosis llegó a un nivel fijado. Avise al RSO y planee con él los próximos turnos.",
    ),
    (
        LimitExceeded,
        "La dosis pasó el límite. Deje todo trabajo con radiación y avise al RSO ahora.",
    ),
    (
        MissingQuarter,
        "Falta la dosis de un trimestre con otro empleador. Lo que queda del límite es menor hasta \
         que llegue.",
    ),
    (
        Minor,
        "Esta persona es menor de edad. Pregunte al RSO antes de que trabaje cerca de fuentes.",
    ),
    (
        NoDosimeter,
        "Sin dosímetro de lectura directa nadie trabaja. El RSO determina la dosis del turno.",
    ),
    (
        BadgeNotWorn,
        "Sin dosímetro personal nadie trabaja. El RSO determina la dosis de los turnos sin él.",
    ),
    (
        LostBadge,
        "Se perdió el dosímetro personal. Deje de trabajar, avise al RSO y pida otro; la dosis se \
         determina.",
    ),
    (
        BadgeExchange,
        "Cambie el dosímetro personal antes del próximo turno y avise al RSO.",
    ),
    (
        BadgeRead,
        "Lea el dosímetro personal antes del próximo turno y avise al RSO.",
    ),
    (
        Undetermined,
        "Hay días cuya dosis no se conoce. No trabaje hasta que el RSO la determine.",
    ),
    (
        EventDose,
        "La dosis de un evento no se conoce. Deje de trabajar y avise al RSO ahora.",
    ),
    (
        EventLensExtremity,
        "Diga al RSO dónde estaban la cabeza, las manos y los pies, y quién más estuvo cerca.",
    ),
    (
        ContradictingDoses,
        "Dos registros de la dosis se contradicen. El RSO decide cuál vale.",
    ),
    (
        NotRecharged,
        "Recargue el dosímetro antes de la próxima exposición y anote la lectura inicial.",
    ),
    (
        TwoPerson,
        "Pare la radiografía hasta que haya una segunda persona calificada. Avise al RSO.",
    ),
    (
        RatemeterNotWorn,
        "Póngase una alarma de radiación probada antes de la próxima exposición. Avise al RSO.",
    ),
    (
        RatemeterNotTested,
        "Pruebe la alarma antes de la próxima exposición. No trabaje con una alarma que no suena.",
    ),
    (
        RatemeterCalibration,
        "La alarma de radiación no tiene calibración vigente. No la use; avise al RSO.",
    ),
    (
        MeterCalibration,
        "El medidor de radiación no tiene calibración vigente. No lo use; avise al RSO.",
    ),
    (
        ResponseCheck,
        "El dosímetro no tiene una verificación vigente. No lo use; entréguelo al RSO.",
    ),
    (
        WithdrawnUsed,
        "Este equipo está fuera de servicio. No lo use y avise al RSO.",
    ),
    (
        UsedWithDefect,
        "Este equipo tiene un defecto anotado y no está reparado. No lo use y avise al RSO.",
    ),
    (
        PassedBeyondLimit,
        "Una medida pasa su límite. Saque la pieza de servicio y avise al RSO.",
    ),
    (
        LeakingSource,
        "La fuente tiene una fuga. Póngala fuera de servicio, aleje a todos y avise al RSO ahora.",
    ),
    (
        EquipmentInspection,
        "La inspección periódica está vencida. No lo use hasta que esté hecha y anotada.",
    ),
    (
        DailyCheck,
        "Falta la revisión del día. Diga quién la hizo y cuándo; si nadie la hizo, avise al RSO.",
    ),
    (
        CheckedAfterUse,
        "La revisión se anotó después del uso. Diga al RSO cuándo se hizo.",
    ),
    (
        NoSurveyAtStorage,
        "Mida ahora el equipo guardado y avise al RSO que falta el registro.",
    ),
    (
        NotLocked,
        "Cierre el equipo con llave ahora y mida para confirmar que la fuente está blindada. Avise \
         al RSO.",
    ),
    (
        StorageSurveyLimit,
        "Alto. Aleje a todos, mida otra vez desde la manivela hasta el equipo y avise al RSO \
         ahora. \
         Mientras no se sepa lo contrario, la fuente no está en su blindaje.",
    ),
    (
        StorageSurveyDistance,
        "Mida otra vez a la distancia en que vale el límite y anote la distancia.",
    ),
    (
        StorageSurveyRise,
        "La medida es más alta que antes. Mida otra vez con un medidor vigente antes de que el \
         equipo salga, y avise al RSO.",
    ),
    (
        BoundaryRate,
        "La tasa en el límite del área es alta. Diga al RSO quién estuvo dónde y cuánto tiempo.",
    ),
    (
        SourceOutTooLong,
        "El tiempo con la fuente afuera no puede ser. Corrija la hoja con el motivo.",
    ),
    (
        HoursAtOdds,
        "Las horas se contradicen. Corrija la que no es, con el motivo.",
    ),
    (
        SourceNotInDevice,
        "La placa del equipo y el registro no dicen la misma fuente. Lea la placa hoy y avise al \
         RSO.",
    ),
    (
        HoursAhead,
        "Se anotó una hora que aún no había llegado. Si nadie vio volver el equipo, mídalo ahora.",
    ),
    (
        SignedByNoRadiographer,
        "Firma quien no es radiógrafo. Debe firmar el radiógrafo que tuvo el equipo.",
    ),
    (
        RecordedLate,
        "El inicio se anotó tarde. Anótelo cuando se hace.",
    ),
    (
        NotAsStarted,
        "El inicio y la hoja no dicen lo mismo. Diga cuál es correcto.",
    ),
    (
        LateEntry,
        "Se anotó tarde. Si se copió de papel, dígalo en la hoja.",
    ),
    (
        NotAttested,
        "Falta que el radiógrafo a cargo confirme la hoja.",
    ),
    (
        Qualification,
        "A esta persona le falta un requisito vigente. No sale a trabajar hasta que esté hecho.",
    ),
    (
        MayNot,
        "Esta persona no puede trabajar con fuentes. El RSO sabe por qué.",
    ),
    (AskRso, "Pregunte al RSO antes de trabajar con fuentes."),
    (
        PrivateLost,
        "Falta una parte privada de los registros. El RSO la busca antes de que esta persona \
         trabaje.",
    ),
    (
        ClockDoubted,
        "El reloj de la computadora no está bien. Avise al RSO.",
    ),
    (HeldItem, "Un dato quedó pendiente. El RSO lo resuelve."),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_check_that_a_crew_meets_has_its_own_sentence() {
        use crate::rule::Section;
        for key in CheckKey::ALL {
            let of_crew = matches!(
                key.section(),
                Section::OpenDoses | Section::Daily | Section::Levels | Section::Sheets
            );
            let there = STOPS.iter().filter(|it| it.0 == *key).count();
            assert!(there <= 1, "{}", key.key());
            assert!(there == 1 || !of_crew, "{} has no sentence", key.key());
        }
    }
}
