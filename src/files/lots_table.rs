//! Lots from a table: a CSV file, or cells pasted from a spreadsheet.
//!
//! The first row names the columns, in any order; units stand in the heading or in the cell. Rows
//! that cannot be read are told one by one, and the others are taken.

use crate::catalogue::when;
use crate::load::{Bath, Lot, LotId, Plan, check_lot};
use crate::part::MassState;
use crate::text::lots_table as say;
use crate::text::{called, nearest};
use crate::units::{Quantity, parse};

/// Most rows that are read (assumed: a month of a shop).
const MOST_ROWS: usize = 10_000;

/// A row of the table that was not taken, or a column that was not understood.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RowFault {
    /// The line on which the row begins, as an editor counts: empty lines and those within a cell are
    /// lines as well.
    pub row: usize,
    /// What is wrong, where, and what to do.
    pub sentence: String,
}

/// What a table of lots held.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LotsTable {
    /// Lots that are new, with `LotId(0)`, and lots of the plan with what the table changes.
    pub lots: Vec<Lot>,
    /// What was not taken.
    pub faults: Vec<RowFault>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Column {
    Lot,
    Part,
    Count,
    Enters,
    Customer,
    Green,
    Dry,
    PreviousDry,
    GreenAt,
    DryAt,
    PreviousDryAt,
    Dried,
    DryerTemperature,
    Ventilated,
    FeedstockLot,
    FeedstockExpires,
    Certificate,
    Balance,
    Solvent,
    BathName,
    BathTemperature,
    BathTime,
    Wax,
    Basket,
    OnTray,
    BathEnded,
    SolventExpires,
    AcidPurged,
}

use Column::*;

/// Headings, first the one that our own export would write.
const COLUMNS: &[(Column, &[&str])] = &[
    (Lot, &["lot", "lot number", "lot id", "id"]),
    (Part, &["part", "part name"]),
    (Count, &["pieces", "count", "quantity", "number of pieces"]),
    (Enters, &["enters", "state"]),
    (Customer, &["customer"]),
    (Green, &["green mass", "green"]),
    (Dry, &["dry mass", "dry", "second weighing"]),
    (
        PreviousDry,
        &["dry mass before", "previous", "first weighing"],
    ),
    (GreenAt, &["green weighed at", "green at"]),
    (DryAt, &["dry weighed at", "dry at"]),
    (PreviousDryAt, &["dry before weighed at", "previous at"]),
    (Dried, &["in the dryer", "dryer time", "dried"]),
    (DryerTemperature, &["dryer temperature", "dryer"]),
    (Ventilated, &["dryer ventilated", "ventilated"]),
    (FeedstockLot, &["feedstock lot"]),
    (FeedstockExpires, &["feedstock expires"]),
    (Certificate, &["certificate"]),
    (Balance, &["balance"]),
    (Solvent, &["solvent"]),
    (BathName, &["bath"]),
    (BathTemperature, &["bath temperature", "bath temp"]),
    (BathTime, &["bath time", "time in bath"]),
    (Wax, &["wax content", "wax in bath", "wax g l"]),
    (Basket, &["basket"]),
    (OnTray, &["on tray"]),
    (BathEnded, &["bath ended", "bath ended at"]),
    (SolventExpires, &["solvent expires"]),
    (AcidPurged, &["acid purged"]),
];

/// What columns are called, in the order in which they are listed.
pub fn column_names() -> Vec<&'static str> {
    COLUMNS
        .iter()
        .filter_map(|(_, names)| names.first().copied())
        .collect()
}

/// Reads a table of lots for a plan: tab-separated as pasted, or separated by semicolons or commas.
/// A lot number that the plan has changes that lot; cells left empty change nothing.
///
/// # Errors
/// A table without headings, without a column for the lot, or too long; nothing is taken then.
pub fn read_lots(text: &str, plan: &Plan) -> Result<LotsTable, String> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(separator(text))
        .has_headers(false)
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let mut lines = Lines::of(text);
    let mut rows = reader.records().enumerate().map(|(index, row)| {
        let line = row.as_ref().ok().and_then(|row| lines.line_of(row));
        (index, line.unwrap_or(index + 1), row)
    });
    let (head_line, head) = loop {
        match rows.next() {
            None => return Err(say::empty()),
            Some((.., Err(fault))) => return Err(say::not_a_table(&fault.to_string())),
            Some((.., Ok(row))) if row.iter().all(str::is_empty) => {}
            Some((_, line, Ok(row))) => break (line, row),
        }
    };
    let mut out = LotsTable::default();
    let mut columns: Vec<Option<(Column, Option<String>)>> = Vec::new();
    for heading in &head {
        let read = heading_of(heading);
        if let Some((column, _)) = &read {
            let twice = columns.iter().flatten().any(|(c, _)| c == column);
            if twice {
                return Err(say::column_twice(heading));
            }
        } else if !heading.is_empty() {
            let names = COLUMNS.iter().flat_map(|(_, names)| names.iter().copied());
            let near = nearest(&plain(heading).0, names, 3);
            out.faults.push(RowFault {
                row: head_line,
                sentence: say::unknown_column(heading, &near, &column_names()),
            });
        }
        columns.push(read);
    }
    if !columns.iter().flatten().any(|(c, _)| *c == Lot) {
        return Err(say::no_lot_column());
    }
    for (index, at, row) in rows {
        if index >= MOST_ROWS {
            return Err(say::too_long(MOST_ROWS));
        }
        let read = row
            .map_err(|fault| say::not_a_table(&fault.to_string()))
            .and_then(|row| match row.iter().all(str::is_empty) {
                true => Ok(None),
                false if row.iter().skip(head.len()).any(|cell| !cell.is_empty()) => {
                    Err(say::row_too_long(row.len(), head.len()))
                }
                false => read_row(&columns, &row, plan, &out.lots).map(Some),
            });
        match read {
            Ok(lot) => out.lots.extend(lot),
            Err(sentence) => out.faults.push(RowFault { row: at, sentence }),
        }
    }
    Ok(out)
}

/// Tabs where cells were pasted; else what the headings are separated by.
pub(super) fn separator(text: &str) -> u8 {
    let first = text.lines().find(|l| !l.trim().is_empty()).unwrap_or("");
    if first.contains('\t') {
        b'\t'
    } else if first.contains(';') {
        b';'
    } else {
        b','
    }
}

/// Lines of a text as an editor counts them, from one record to the next.
pub(super) struct Lines<'a> {
    text: &'a str,
    at: usize,
    line: usize,
}

impl Lines<'_> {
    pub(super) fn of(text: &str) -> Lines<'_> {
        Lines {
            text,
            at: 0,
            line: 1,
        }
    }

    /// The line on which a record begins.
    pub(super) fn line_of(&mut self, record: &csv::StringRecord) -> Option<usize> {
        let from = usize::try_from(record.position()?.byte()).ok()?;
        let rest = self.text.get(from..)?;
        // The reader tells where it stood, before the empty lines that it passed over.
        let empty = rest.len() - rest.trim_start_matches(['\r', '\n']).len();
        let passed = self.text.get(self.at..from + empty)?;
        let ends = passed.matches('\n').count() + passed.matches('\r').count();
        self.line += ends - passed.matches("\r\n").count();
        self.at = from + empty;
        Some(self.line)
    }
}

/// Yes or no as people tick a cell.
pub(super) fn yes_no(text: &str) -> Option<bool> {
    match text.to_lowercase().as_str() {
        "yes" | "y" | "true" | "1" | "x" => Some(true),
        "no" | "n" | "false" | "0" => Some(false),
        _ => None,
    }
}

/// A heading in small letters without its unit, and the unit: `Green mass [g]`.
pub(super) fn plain(heading: &str) -> (String, Option<String>) {
    let unit = heading
        .split_once(['[', '('])
        .map(|(_, rest)| rest.trim_end_matches([']', ')']).trim().to_owned());
    let name = heading.split(['[', '(']).next().unwrap_or_default();
    let words: Vec<String> = name
        .split(|c: char| c.is_whitespace() || c == '_' || c == '-')
        .filter(|w| !w.is_empty())
        .map(str::to_lowercase)
        .collect();
    (words.join(" "), unit.filter(|u| !u.is_empty()))
}

fn heading_of(heading: &str) -> Option<(Column, Option<String>)> {
    let (name, unit) = plain(heading);
    let found = COLUMNS.iter().find(|(_, n)| n.contains(&name.as_str()));
    found.map(|(column, _)| (*column, unit))
}

fn read_row(
    columns: &[Option<(Column, Option<String>)>],
    row: &csv::StringRecord,
    plan: &Plan,
    before: &[Lot],
) -> Result<Lot, String> {
    let cell = |wanted: Column| {
        let at = columns
            .iter()
            .position(|c| c.as_ref().is_some_and(|(c, _)| *c == wanted))?;
        let text = row.get(at).filter(|text| !text.is_empty())?;
        let unit = columns.get(at)?.as_ref()?.1.as_deref();
        Some((text, unit))
    };
    let name = cell(Lot).ok_or_else(say::row_without_lot)?.0;
    if before.iter().any(|lot| lot.name == name) {
        return Err(say::lot_twice(name));
    }
    let known = plan.lots.iter().find(|lot| lot.name == name);
    let mut lot = match known {
        Some(lot) => lot.as_ref().clone(),
        None => {
            let part = cell(Part).ok_or_else(|| say::lot_without_part(name))?.0;
            let parts = || plan.parts.iter().map(|p| (p.name.as_str(), p.id));
            let same = called(part, parts()).unwrap_or_default();
            let names = parts().map(|(name, _)| name);
            let same = same.first();
            let same = same.ok_or_else(|| say::no_such_part(part, &nearest(part, names, 3)))?;
            Lot::new(LotId(0), name, *same)
        }
    };
    if let (Some(known), Some((part, _))) = (known, cell(Part)) {
        let of = plan.part(known.part).map_or("", |p| p.name.as_str());
        if !of.eq_ignore_ascii_case(part) {
            return Err(say::lot_of_other_part(name, of, part));
        }
    }
    if let Some((text, _)) = cell(Count) {
        lot.count = text.parse().map_err(|_| say::not_a_count("pieces", text))?;
    }
    if let Some((text, _)) = cell(Enters) {
        let all = MassState::ALL;
        let state = all.iter().find(|s| s.word().eq_ignore_ascii_case(text));
        lot.enters = *state.ok_or_else(|| say::not_a_state(text))?;
    }
    let word = |column: Column, to: &mut Option<String>| {
        if let Some((text, _)) = cell(column) {
            *to = Some(text.to_owned());
        }
    };
    word(Customer, &mut lot.customer);
    word(FeedstockLot, &mut lot.feedstock_lot);
    word(FeedstockExpires, &mut lot.feedstock_expires);
    word(Certificate, &mut lot.certificate);
    word(Balance, &mut lot.balance);
    for column in [FeedstockExpires, SolventExpires] {
        if let Some((text, _)) = cell(column)
            && when::day(text).is_none()
        {
            return Err(say::cell(title(column), &say::not_a_day(text)));
        }
    }
    for column in [GreenAt, DryAt, PreviousDryAt, BathEnded] {
        if let Some((text, _)) = cell(column)
            && when::moment(text).is_none()
        {
            return Err(say::cell(title(column), &say::not_a_moment(text)));
        }
    }
    word(GreenAt, &mut lot.green_at);
    word(DryAt, &mut lot.dry_at);
    word(PreviousDryAt, &mut lot.previous_dry_at);
    let number = |column: Column, quantity: Quantity, to: &mut Option<f64>| -> Result<(), String> {
        let Some((text, unit)) = cell(column) else {
            return Ok(());
        };
        let bare = text
            .chars()
            .all(|c| !c.is_alphabetic() && c != '°' && c != ':');
        let with = match unit {
            Some(unit) if bare => format!("{text} {unit}"),
            _ => text.to_owned(),
        };
        let value = parse(quantity, &with).map_err(|f| say::cell(title(column), &f.to_string()))?;
        *to = Some(value);
        Ok(())
    };
    number(Green, Quantity::Mass, &mut lot.green_g)?;
    number(Dry, Quantity::Mass, &mut lot.dry_g)?;
    number(PreviousDry, Quantity::Mass, &mut lot.previous_dry_g)?;
    number(Dried, Quantity::Time, &mut lot.dried_min)?;
    number(DryerTemperature, Quantity::Temperature, &mut lot.dryer_c)?;
    let answer = |column: Column, to: &mut Option<bool>| -> Result<(), String> {
        let Some((text, _)) = cell(column) else {
            return Ok(());
        };
        *to = Some(yes_no(text).ok_or_else(|| say::not_an_answer(title(column), text))?);
        Ok(())
    };
    answer(Ventilated, &mut lot.dryer_ventilated)?;
    answer(AcidPurged, &mut lot.acid_purged)?;
    let mut bath = lot.bath.clone().unwrap_or_default();
    word(Solvent, &mut bath.solvent);
    word(BathName, &mut bath.bath_id);
    word(Basket, &mut bath.basket);
    word(BathEnded, &mut bath.ended);
    word(SolventExpires, &mut bath.expires);
    number(BathTemperature, Quantity::Temperature, &mut bath.temp_c)?;
    number(BathTime, Quantity::Time, &mut bath.minutes)?;
    answer(OnTray, &mut bath.on_tray)?;
    if let Some((text, unit)) = cell(Wax) {
        // Grams a litre is the only unit in use for it.
        if unit.is_some_and(|u| !u.eq_ignore_ascii_case("g/l")) {
            return Err(say::cell(title(Wax), &say::wax_unit()));
        }
        let bare = text.trim_end_matches("g/L").trim_end_matches("g/l");
        let value = parse(Quantity::Number, bare);
        let value = value.map_err(|f| say::cell(title(Wax), &f.to_string()))?;
        bath.wax_g_l = Some(value);
    }
    lot.bath = (bath != Bath::default()).then_some(bath);
    // One lot that the editor refuses would take the whole table with it.
    check_lot(&lot, plan).map_err(|refusal| refusal.0)?;
    Ok(lot)
}

fn title(column: Column) -> &'static str {
    let found = COLUMNS.iter().find(|(c, _)| *c == column);
    found.and_then(|(_, names)| names.first()).unwrap_or(&"")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::fields_tests::{lot, part};
    use crate::part::{Part, PartId};
    use proptest::prelude::*;
    use std::sync::Arc;

    fn plan() -> Plan {
        let mut plan = Plan::empty("small-vacuum-box");
        plan.parts.push(Arc::new(part(1)));
        plan.lots.push(Arc::new(lot(2, 1)));
        plan
    }

    #[test]
    fn a_paste_adds_and_changes_lots() {
        let plan = plan();
        let part = &plan.parts[0].name;
        let old = plan.lots[0].name.clone();
        let text = format!(
            "Lot\tPart\tPieces\tGreen mass [kg]\tDry mass (g)\tIn the dryer\tBath ended\tWax \
             content\tventilated\nX1\t{part}\t24\t1,25\t1101,5\t4 h\t2026-11-20 \
             14:30\t12\tyes\n{old}\t\t\t\t95.5\t\t\t\t\n"
        );
        let read = read_lots(&text, &plan).unwrap();
        assert_eq!(read.faults, []);
        let [new, changed] = &read.lots[..] else {
            panic!("two lots, not {read:?}")
        };
        assert_eq!(
            (new.id, new.count, new.part),
            (LotId(0), 24, plan.parts[0].id)
        );
        assert_eq!((new.green_g, new.dry_g), (Some(1250.0), Some(1101.5)));
        assert_eq!(
            (new.dried_min, new.dryer_ventilated),
            (Some(240.0), Some(true))
        );
        let bath = new.bath.as_ref().unwrap();
        assert_eq!(bath.ended.as_deref(), Some("2026-11-20 14:30"));
        assert_eq!(bath.wax_g_l, Some(12.0));
        assert_eq!((changed.id, changed.dry_g), (plan.lots[0].id, Some(95.5)));
        assert_eq!(changed.count, plan.lots[0].count);
    }

    #[test]
    fn bad_rows_are_told_and_the_others_taken() {
        let plan = plan();
        let part = &plan.parts[0].name;
        let text = format!(
            "lot;part;pieces;green mass;colour\nA;{part};12;300 g;red\nB;{part};twelve;300 \
             g;\n;{part};12;300 g;\nC;Widgit;12;300 g;\nD;{part};12;300 furlongs;\nA;{part};1;1;\n"
        );
        let read = read_lots(&text, &plan).unwrap();
        assert_eq!(read.lots.len(), 1);
        let rows: Vec<usize> = read.faults.iter().map(|f| f.row).collect();
        assert_eq!(rows, [1, 3, 4, 5, 6, 7]);
        for (fault, word) in
            read.faults
                .iter()
                .zip(["colour", "twelve", "lot", "Widgit", "green mass", "twice"])
        {
            assert!(fault.sentence.contains(word), "{fault:?}");
        }
    }

    #[test]
    fn days_and_decimal_commas_are_looked_at_row_by_row() {
        let plan = plan();
        let part = &plan.parts[0].name;
        let text = format!(
            "lot,part,green mass (g),dry mass (g),dry weighed at,feedstock expires\n\
             A,{part},300,290,2026-11-20 14:30,2027-06-30\n\
             B,{part},300,290,20.11.2026,2027-06-30\n\
             C,{part},300,290,,30.06.2027\n\
             D,{part},300,5,290,5,2026-11-20 14:30,2027-06-30\n\
             E,{part},300,310,,\n"
        );
        let read = read_lots(&text, &plan).unwrap();
        assert_eq!(read.lots.len(), 1);
        let told: Vec<(usize, &str)> = read
            .faults
            .iter()
            .map(|f| (f.row, f.sentence.as_str()))
            .collect();
        for ((row, sentence), (at, words)) in told.iter().zip([
            (3, ["dry weighed at", "20.11.2026"]),
            (4, ["feedstock expires", "30.06.2027"]),
            (5, ["8 cells", "comma"]),
            (6, ["dry", "E"]),
        ]) {
            assert_eq!(*row, at, "{told:?}");
            assert!(words.iter().all(|w| sentence.contains(w)), "{sentence}");
        }
        assert_eq!(told.len(), 4);
    }

    /// The line that an editor shows, as for a backlog's table.
    #[test]
    fn empty_lines_and_lines_within_a_cell_are_counted() {
        let plan = plan();
        let part = &plan.parts[0].name;
        let text = format!(
            "\nlot;part;pieces;colour\n\nA;{part};three\n\n\nB;{part};3;\"two\nlines\"\nC;none;1\n;;\nB;{part};1\n"
        );
        for end in ["\n", "\r\n"] {
            let read = read_lots(&text.replace('\n', end), &plan).unwrap();
            let rows: Vec<usize> = read.faults.iter().map(|f| f.row).collect();
            assert_eq!(rows, [2, 4, 9, 11], "{:?}", read.faults);
            assert_eq!(read.lots.len(), 1);
        }
    }

    /// A name in another case is another part where both are there.
    #[test]
    fn the_exact_name_of_a_part_goes_first() {
        let mut plan = plan();
        let mut other = Part::clone(&plan.parts[0]);
        let name = other.name.clone();
        other.name = name.to_uppercase();
        other.id = PartId(77);
        assert_ne!(other.name, name);
        plan.parts.insert(0, Arc::new(other));
        let text = format!("lot,part\nA,{name}\nB,{}\n", name.to_uppercase());
        let read = read_lots(&text, &plan).unwrap();
        let parts: Vec<PartId> = read.lots.iter().map(|lot| lot.part).collect();
        assert_eq!(parts, [plan.parts[1].id, PartId(77)], "{:?}", read.faults);
    }

    #[test]
    fn what_is_no_table_is_refused_whole() {
        let plan = plan();
        for text in ["", "\n\n", "a,b\n1,2\n", "lot,lot\n1,2\n"] {
            read_lots(text, &plan).unwrap_err();
        }
    }

    proptest! {
        /// Whatever is pasted: each row below the headings is a lot, a fault, or empty.
        #[test]
        fn any_table_is_read_or_told(
            rows in prop::collection::vec(
                prop::collection::vec("[ -~°µ]{0,9}|NaN|inf|-1e999|1 oz|12,5 kg", 0..5), 0..6),
            separator in prop::sample::select(vec!["\t", ";", ","]),
        ) {
            let plan = plan();
            let lines: Vec<String> = rows.iter().map(|row| row.join(separator)).collect();
            let text = format!("lot{separator}part{separator}green mass (g)\n{}", lines.join("\n"));
            if let Ok(read) = read_lots(&text, &plan) {
                prop_assert!(read.lots.len() + read.faults.len() <= rows.len() + 1);
                for lot in &read.lots {
                    prop_assert!(lot.green_g.is_none_or(f64::is_finite));
                    prop_assert!(!lot.name.is_empty());
                }
            }
        }

        #[test]
        fn any_text_is_read_or_refused(text in "\\PC{0,200}|.{0,200}") {
            let _ = read_lots(&text, &plan());
        }
    }
}
