//! What was typed becomes what is meant, and is done.

use crate::args::{Args, Command, Hand, NoSide, Open, Out, PlanArgs, UnitsArg, View};
use crate::{asked_rows, command, file};
use anyhow::{Result, anyhow};
use clap::CommandFactory;
use fellmark_core::plan::Plan;
use fellmark_core::say::{self, Units};
use fellmark_core::sound::to_mend;
use fellmark_core::study::Study;
use std::io::{IsTerminal, Write};
use std::path::Path;
use std::process::ExitCode;

/// A plan that was read and studied.
pub(crate) struct Opened {
    pub text: String,
    pub name: String,
    pub plan: Plan,
    pub study: Study,
}

/// Does what the arguments ask.
///
/// # Errors
/// One message that says what could not be used, where, and what to do.
pub fn run(args: Args) -> Result<ExitCode> {
    match args.command.unwrap_or_else(|| Command::Open(Open::default())) {
        Command::Open(open) => command::open::run(open)?,
        Command::Begin { plan, view, out } => {
            let opened = open(&plan, view)?;
            write(&out, &command::begin::text(&opened, units(view), view.hand))?;
        }
        Command::Check { plan, apply: Some(number), view, out, .. } => {
            let opened = open(&plan, view)?;
            write(&out, &command::check::apply(&opened, number)?)?;
        }
        Command::Check { plan, json, why, view, out, .. } => {
            let opened = open(&plan, view)?;
            let check = fellmark_report::check(&opened.plan, &opened.study, units(view));
            let text = if json { to_json(&check)? } else { command::check::text(&check, why) };
            write(&out, &text)?;
            return Ok(if check.told.to_mend > 0 { ExitCode::from(1) } else { ExitCode::SUCCESS });
        }
        Command::Edit { plan, edits, out } => {
            let text = file::read(&plan.plan)?;
            let name = file::name(&plan.plan);
            let edited = command::edit::apply(&text, &edits, |problem| shown(problem, &text, &name))?;
            file::write_bytes(out.file.as_deref(), edited.text.as_bytes())?;
            let _ = write!(anstream::stderr(), "{}", edited.done);
        }
        Command::Rows { plan, rows: asked, short, unpick, json, csv, view, out } => {
            let opened = open(&plan, view)?;
            tell_findings(&opened);
            let range = asked_rows::of_words(&opened, &asked)?;
            let rows = fellmark_report::rows(&opened.study, range.clone(), units(view));
            let text = match (json, csv, unpick) {
                (true, _, _) => to_json(&rows)?,
                (_, true, _) => fellmark_report::rows_csv(&rows),
                (_, _, true) => command::rows::unpick(&rows, view.hand),
                _ if short => command::rows::short(&opened.study, &rows, units(view), view.hand),
                _ => command::rows::text(&opened.study, &rows, units(view), view.hand),
            };
            write(&out, &text)?;
        }
        Command::Yarn { plan, json, view, out } => {
            let opened = open(&plan, view)?;
            tell_findings(&opened);
            let (study, units) = (&opened.study, units(view));
            let text =
                told(json, || fellmark_report::yarn(study, units), || command::yarn::text(study, units))?;
            write(&out, &text)?;
        }
        Command::Warp { plan, json, view, out } => {
            let opened = open(&plan, view)?;
            tell_findings(&opened);
            let (study, units) = (&opened.study, units(view));
            let text =
                told(json, || fellmark_report::warp(study, units), || command::warp::text(study, units))?;
            write(&out, &text)?;
        }
        Command::Size { plan, json, units, out } => {
            let view = measured_in(units);
            let opened = open(&plan, view)?;
            tell_findings(&opened);
            let (study, units) = (&opened.study, self::units(view));
            let text =
                told(json, || fellmark_report::size(study, units), || command::size::text(study, units))?;
            write(&out, &text)?;
        }
        Command::Fit { plan, width, length, apply, json, units, out } => {
            let view = measured_in(units);
            let opened = open(&plan, view)?;
            let wanted =
                command::fit::wanted(&opened, width.as_deref(), length.as_deref(), self::units(view))?;
            let fit = fellmark_report::fit(&opened.plan, &opened.study, wanted, self::units(view));
            let text = match (apply, json) {
                (Some(number), _) => command::fit::apply(&opened, &fit, number)?,
                (None, true) => to_json(&fit)?,
                (None, false) => command::fit::text(&fit),
            };
            write(&out, &text)?;
        }
        Command::Draw { plan, drawing, out } => {
            called(&drawing.side)?;
            file::named_for(out.file.as_deref(), "svg", "A drawing is written as SVG")?;
            let opened = open(&plan, measured_in(drawing.units))?;
            tell_findings(&opened);
            write(&out, &command::draw::svg(&opened, &drawing)?)?;
        }
        Command::Picture { plan, picture, out } => {
            if out.file.is_none() && std::io::stdout().is_terminal() {
                return Err(anyhow!("A picture can't be shown here. Name a file for it: -o FILE.png."));
            }
            called(&picture.side)?;
            file::named_for(out.file.as_deref(), "png", "A picture is written as PNG")?;
            let opened = read(&plan.plan)?;
            tell_findings(&opened);
            file::write_bytes(out.file.as_deref(), &command::picture::png(&opened, &picture)?)?;
        }
        Command::New(new) => write(&new.out, &command::new::text(&new)?)?,
        Command::Schema { out } => write(&out, &fellmark_note::schema())?,
        Command::Completions { shell, out } => {
            let mut bytes = Vec::new();
            clap_complete::generate(shell, &mut Args::command(), "fellmark", &mut bytes);
            write(&out, &String::from_utf8_lossy(&bytes))?;
        }
        Command::Man { command, out } => write(&out, &command::man::text(command.as_deref())?)?,
    }
    Ok(ExitCode::SUCCESS)
}

/// What a command has to tell, as JSON or in words.
fn told<J: serde::Serialize>(
    json: bool,
    object: impl FnOnce() -> J,
    words: impl FnOnce() -> String,
) -> Result<String> {
    if json { to_json(&object()) } else { Ok(words()) }
}

/// One thing has one name.
fn called(NoSide { side }: &NoSide) -> Result<()> {
    match side.as_deref() {
        None => Ok(()),
        Some(_) => {
            Err(anyhow!("There is no --side. Write --back-up for the back; without it, it is the front."))
        }
    }
}

/// The view of a command that nothing but its units changes.
fn measured_in(units: UnitsArg) -> View {
    View { units, back_up: false, hand: Hand::Right }
}

fn units(view: View) -> Units {
    view.units.units()
}

fn write(out: &Out, text: &str) -> Result<()> {
    file::write(out.file.as_deref(), text)
}

fn to_json(value: &impl serde::Serialize) -> Result<String> {
    let mut text = serde_json::to_string_pretty(value)?;
    text.push('\n');
    Ok(text)
}

/// A problem as it is told on standard error.
fn shown(problem: &fellmark_note::Problem, text: &str, name: &str) -> anyhow::Error {
    let colour = anstream::AutoStream::choice(&std::io::stderr()) != anstream::ColorChoice::Never
        && std::io::stderr().is_terminal();
    anyhow!(problem.render(text, name, colour))
}

/// Reads a plan and studies it; a problem comes out as one message with its place in the file.
pub(crate) fn read(path: &Path) -> Result<Opened> {
    let text = file::read(path)?;
    let name = file::name(path);
    let (note, study) = fellmark_note::study(&text).map_err(|problem| shown(&problem, &text, &name))?;
    Ok(Opened { text, name, plan: note.plan, study })
}

/// The same, as the reader wants to see it.
fn open(args: &PlanArgs, view: View) -> Result<Opened> {
    let opened = read(&args.plan)?;
    let study = if view.back_up { opened.study.turned() } else { opened.study };
    Ok(Opened { study, ..opened })
}

/// One line on standard error where a plan has something to mend; the command does its work all the same.
fn tell_findings(opened: &Opened) {
    let count = to_mend(&opened.study.findings).count();
    if count > 0 {
        let (name, things) = (&opened.name, say::things_to_mend(count));
        let _ = writeln!(anstream::stderr(), "{name} has {things}: see fellmark check.");
    }
}
