//! Reading plans and writing results.

use anyhow::{Context, Result, anyhow};
use std::io::{self, Read, Write};
use std::path::Path;

/// The text of a plan, from a file or (`-`) from standard input. It stops at the first byte past the bound.
pub(crate) fn read(path: &Path) -> Result<String> {
    let bound = fellmark_core::plan::bounds::BYTES as u64 + 1;
    let mut bytes = Vec::new();
    let name = name(path);
    if path == Path::new("-") {
        io::stdin().lock().take(bound).read_to_end(&mut bytes)
    } else {
        std::fs::File::open(path).and_then(|file| file.take(bound).read_to_end(&mut bytes))
    }
    .with_context(|| format!("{name} can't be read"))
    .map_err(flat)?;
    if bytes.len() as u64 >= bound {
        return Err(anyhow!("{name} is larger than 1 MiB: no plan is so large. Is it the right file?"));
    }
    String::from_utf8(bytes).map_err(|error| {
        let at = error.utf8_error().valid_up_to();
        let before = &error.as_bytes()[..at];
        let line = before.iter().filter(|&&byte| byte == b'\n').count() + 1;
        anyhow!("{name}:{line}: this is no UTF-8 text. Save the file as UTF-8 and try again.")
    })
}

/// What a plan is called in messages.
pub(crate) fn name(path: &Path) -> String {
    if path == Path::new("-") { "standard input".into() } else { path.display().to_string() }
}

/// Refuses a file whose name says that it is a picture or a sheet of another kind: who opens it would be misled.
pub(crate) fn named_for(path: Option<&Path>, kind: &str, is_written: &str) -> Result<()> {
    const KINDS: [&str; 10] = ["png", "svg", "jpg", "jpeg", "gif", "webp", "bmp", "tif", "tiff", "pdf"];
    let ending = path.and_then(Path::extension).map(|ending| ending.to_string_lossy().to_lowercase());
    match ending {
        Some(other) if other != kind && KINDS.contains(&other.as_str()) => {
            Err(anyhow!("{is_written}. Name a file that ends in .{kind}, not in .{other}."))
        }
        _ => Ok(()),
    }
}

/// Writes a result to a file, whole or not at all, or to standard output, without colour codes where they
/// are not wanted.
pub(crate) fn write(path: Option<&Path>, text: &str) -> Result<()> {
    match path.filter(|path| *path != Path::new("-")) {
        None => {
            let mut out = anstream::stdout().lock();
            read_or_left(out.write_all(text.as_bytes()).and_then(|()| out.flush()))?;
        }
        Some(path) => {
            let plain = anstream::adapter::strip_str(text).to_string();
            write_bytes(Some(path), plain.as_bytes())?;
        }
    }
    Ok(())
}

/// Writes bytes that are no text to a file, whole or not at all, or to standard output.
pub(crate) fn write_bytes(path: Option<&Path>, bytes: &[u8]) -> Result<()> {
    match path.filter(|path| *path != Path::new("-")) {
        None => {
            let mut out = io::stdout().lock();
            read_or_left(out.write_all(bytes).and_then(|()| out.flush()))?;
        }
        Some(path) => {
            whole(path, bytes).with_context(|| format!("{} can't be written", name(path))).map_err(flat)?;
        }
    }
    Ok(())
}

/// Who reads and stops before the end has what they want.
fn read_or_left(written: io::Result<()>) -> io::Result<()> {
    match written {
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Ok(()),
        written => written,
    }
}

/// Writes beside the file and renames, so that what was there before stays until the new is safe on disk.
fn whole(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    // A device or a pipe is written to directly; so is what can't be replaced.
    if path.exists() && !path.is_file() {
        return std::fs::write(path, bytes);
    }
    // What goes wrong is about the folder, not about a file that nobody has heard of.
    let mut beside = tempfile::Builder::new().prefix(".fellmark-").tempfile_in(folder).map_err(|error| {
        match error.kind() {
            io::ErrorKind::NotFound => {
                io::Error::new(error.kind(), format!("there is no folder {}", folder.display()))
            }
            kind => io::Error::from(kind),
        }
    })?;
    beside.write_all(bytes)?;
    beside.as_file().sync_all()?;
    keep_permissions(path, beside.as_file())?;
    beside.persist(path).map_err(|error| error.error)?;
    Ok(())
}

/// A new file gets the usual permissions, not those of a temporary one; a replaced one keeps its own.
fn keep_permissions(path: &Path, file: &std::fs::File) -> io::Result<()> {
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        let mode = std::fs::metadata(path).map_or(0o644, |known| known.permissions().mode());
        file.set_permissions(std::fs::Permissions::from_mode(mode))?;
    }
    #[cfg(not(unix))]
    let _ = (path, file);
    Ok(())
}

/// One line for an error and its cause.
fn flat(error: anyhow::Error) -> anyhow::Error {
    if is_closed_pipe(&error) { error } else { anyhow!("{error:#}") }
}

/// Whether an error only says that nobody reads any more.
#[must_use]
pub fn is_closed_pipe(error: &anyhow::Error) -> bool {
    error
        .chain()
        .filter_map(|cause| cause.downcast_ref::<io::Error>())
        .any(|cause| cause.kind() == io::ErrorKind::BrokenPipe)
}
