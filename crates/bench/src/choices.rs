//! What may be chosen on the page.

use axum::Json;
use fellmark_report::Choices;

pub(crate) async fn choices() -> Json<Choices> {
    Json(fellmark_report::choices())
}
