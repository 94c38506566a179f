//! The page's files: built into the program, or, while the page is being worked on, from a folder.

use crate::answer::{Answer, Refusal};
use crate::bench::Bench;
use crate::session::hex;
use axum::body::Body;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};
use rust_embed::{EmbeddedFile, RustEmbed};
use std::path::PathBuf;

#[derive(RustEmbed)]
#[folder = "../../web"]
#[include = "*.html"]
#[include = "*.css"]
#[include = "*.js"]
#[include = "*.mjs"]
#[include = "*.svg"]
#[include = "*.png"]
#[include = "*.woff2"]
#[include = "*.txt"]
#[exclude = "node_modules/*"]
#[exclude = "test/*"]
#[exclude = "tests/*"]
#[exclude = "*.test.js"]
struct Web;

/// Where the page's files are taken from.
#[derive(Debug, Clone, Default)]
pub(crate) enum Assets {
    /// From the program itself.
    #[default]
    BuiltIn,
    /// From a folder, read anew each time.
    Folder(PathBuf),
}

impl Assets {
    pub(crate) fn get(&self, path: &str) -> Option<EmbeddedFile> {
        match self {
            Assets::BuiltIn => Web::get(path),
            Assets::Folder(folder) => {
                // A file within the folder, and nothing above it.
                let parts =
                    path.split('/').all(|part| !matches!(part, "" | "." | "..") && !part.contains('\\'));
                let file = parts.then(|| folder.join(path))?;
                let (file, folder) = (file.canonicalize().ok()?, folder.canonicalize().ok()?);
                if !file.starts_with(&folder) {
                    return None;
                }
                rust_embed::utils::read_file_from_fs(&file).ok()
            }
        }
    }
}

/// The page's shell.
pub(crate) async fn shell(State(bench): State<Bench>, headers: HeaderMap) -> Answer<Response> {
    answer(&bench, "index.html", &headers)
}

/// One of the page's files.
pub(crate) async fn file(
    State(bench): State<Bench>,
    Path(path): Path<String>,
    headers: HeaderMap,
) -> Answer<Response> {
    answer(&bench, &path, &headers)
}

/// The sign that browsers show beside a page's name: they ask for it at the root whatever the page says.
pub(crate) async fn favicon(State(bench): State<Bench>, headers: HeaderMap) -> Answer<Response> {
    answer(&bench, "favicon.svg", &headers)
}

fn answer(bench: &Bench, path: &str, headers: &HeaderMap) -> Answer<Response> {
    let file = bench.assets.get(path).ok_or_else(|| Refusal::usual(StatusCode::NOT_FOUND))?;
    let tag = format!("\"{}\"", hex(&file.metadata.sha256_hash()[..16]));
    let kept = headers.get_all(header::IF_NONE_MATCH).iter().filter_map(|tags| tags.to_str().ok());
    let kept =
        kept.flat_map(|tags| tags.split(',')).any(|known| known.trim().trim_start_matches("W/") == tag);
    // The browser asks each time, and is told in a few bytes when nothing has changed.
    let about = [(header::ETAG, tag), (header::CACHE_CONTROL, "no-cache".to_owned())];
    if kept {
        return Ok((StatusCode::NOT_MODIFIED, about).into_response());
    }
    let kind = file.metadata.mimetype();
    let kind = if kind.starts_with("text/") { format!("{kind}; charset=utf-8") } else { kind.to_owned() };
    Ok((about, [(header::CONTENT_TYPE, kind)], Body::from(file.data)).into_response())
}
