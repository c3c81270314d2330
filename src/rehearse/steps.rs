//! Programs that count from the last place (G91) where they mean places: when they are run again with G91 passed
//! over, what they spoil is gone.

use super::causes::NamedCause;
use super::codes::WRONG_DISTANCE;
use super::remedy::Remedy;
use super::replay::RehearsalOrder;
use super::running::run;
use super::slips::{Slip, Slips};
use crate::finding::Severity;
use crate::program::{LineTally, PassedOver};
use std::io;

/// Explains what is wrong in one program by a G91, if that does.
///
/// # Errors
/// When a program can't be read.
pub(super) fn explain(
    order: &RehearsalOrder<'_>,
    program: usize,
    tallies: &[LineTally],
    out: &mut Slips,
) -> io::Result<Option<NamedCause>> {
    let Some(line) = tallies.get(program).and_then(|tally| tally.stepped) else { return Ok(None) };
    if out.harms(program).next().is_none() {
        return Ok(None);
    }
    let over = PassedOver { steps: true, ..PassedOver::default() };
    let mut remedies = vec![Remedy::NONE; order.programs];
    remedies[program].over = over;
    if run(order, &remedies)?.slips.harms(program).next().is_some() {
        return Ok(None);
    }
    let says = "the program counts from the last place (G91), and its numbers are places: with G90 it fits".to_owned();
    let help = "Have the path program write G90 there.";
    let slip = Slip::new(WRONG_DISTANCE, Severity::Fault, (program, line), says.clone(), help);
    out.add("", slip);
    let remedy = Remedy { over, ..Remedy::NONE };
    Ok(Some(NamedCause { program, code: WRONG_DISTANCE, says, remedy, roughs: false }))
}
