//! `man`: manual pages, made from the arguments themselves.

use crate::args::Args;
use anyhow::{Result, anyhow};
use clap::CommandFactory;

pub(crate) fn text(command: Option<&str>) -> Result<String> {
    let mut all = Args::command();
    all.build();
    let page = match command {
        None => all,
        Some(name) => {
            let known = all.get_subcommands().map(|c| c.get_name().to_owned()).collect::<Vec<_>>().join(", ");
            let found = all.find_subcommand(name).cloned();
            let found =
                found.ok_or_else(|| anyhow!("There is no command {name}. The commands are {known}."))?;
            found.display_name(format!("fellmark-{name}"))
        }
    };
    let mut bytes = Vec::new();
    clap_mangen::Man::new(page).render(&mut bytes)?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}
