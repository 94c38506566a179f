//! `open`: the page, served on this computer alone until it is opened to a phone there.

use crate::args::Open;
use crate::file;
use crate::run::read;
use anyhow::{Result, anyhow};
use fellmark_bench::{Limits, Server, Settings};
use std::io::Write;
use std::time::Duration;

pub(crate) fn run(open: Open) -> Result<()> {
    // Plans are read first: a text that is no plan is told with its place in the file, and nothing is opened.
    let plans = open.plans.iter().map(|path| read(path)).collect::<Result<Vec<_>>>()?;
    let data = open.data.map_or_else(fellmark_store::data_folder, Ok).map_err(|error| anyhow!("{error}"))?;
    let usual = Limits::default();
    let limits = Limits { code: open.code_lasts.map_or(usual.code, Duration::from_secs), ..usual };
    let settings =
        Settings { data: data.clone(), port: open.port, assets: open.assets, network: open.network, limits };
    let server = Server::start(settings).map_err(|error| anyhow!("{error}"))?;
    let mut brought = Vec::new();
    for plan in &plans {
        brought.push(server.bring_in(&plan.text).map_err(|said| anyhow!("{}: {said}", plan.name))?);
    }
    let piece = match brought.as_slice() {
        [only] => Some(only.as_str()),
        _ => None,
    };
    // Told only when Ctrl-C closes it as it should.
    server.run(|server| {
        file::write(
            None,
            &format!(
                "Fellmark is open at\n\n  {}\n\nYour pieces are in {}. Ctrl-C closes it.\n",
                server.entrance(piece),
                data.display()
            ),
        )?;
        if !open.no_browser && open::that_detached(server.entrance_once(piece)).is_err() {
            let _ = writeln!(anstream::stderr(), "No browser could be started: open this address in one.");
        }
        for said in server.found() {
            let _ = writeln!(anstream::stderr(), "{said}");
        }
        Ok(())
    })
}
