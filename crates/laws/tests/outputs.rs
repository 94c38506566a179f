//! Every command answers every plan: a text that says something, and JSON of this version.

use clap::Parser;
use fellmark_laws::run::on_plans;
use std::fs;

#[test]
fn every_command_answers_every_plan() {
    let room = tempfile::tempdir().unwrap();
    let (plan, out) = (room.path().join("trial.toml"), room.path().join("out"));
    let (plan_name, out_name) = (plan.to_str().unwrap(), out.to_str().unwrap());
    let asked: [&[&str]; 13] = [
        &["check"],
        &["check", "--json"],
        &["check", "--units", "inch"],
        &["rows"],
        &["rows", "--json"],
        &["rows", "--csv"],
        &["rows", "--unpick"],
        &["rows", "--back-up"],
        &["yarn"],
        &["yarn", "--json"],
        &["warp"],
        &["warp", "--json"],
        &["begin"],
    ];
    on_plans(61, 60, |case| {
        fs::write(&plan, &case.text).map_err(|error| error.to_string())?;
        for words in asked {
            let typed = [&["fellmark"], words, &[plan_name, "-o", out_name]].concat();
            let args = fellmark::Args::try_parse_from(typed).map_err(|error| error.to_string())?;
            fellmark::run(args).map_err(|error| format!("{words:?}: {error}"))?;
            let said = fs::read_to_string(&out).map_err(|error| error.to_string())?;
            let clear = if words.contains(&"--json") {
                let json: serde_json::Value =
                    serde_json::from_str(&said).map_err(|error| error.to_string())?;
                json["schema"] == 1 && json["plan"]["ends"] == case.study.piece.end_count()
            } else {
                !said.trim().is_empty() && !said.contains("NaN") && !said.contains("inf ")
            };
            if !clear {
                return Err(format!("{words:?} says {said}"));
            }
        }
        Ok(())
    });
}
